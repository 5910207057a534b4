"""What is wrong with a club's own method, found when it is saved and not when a scope is priced."""

import json
from collections.abc import Iterator, Mapping, Set
from typing import Any

from pydantic import ValidationError
from swardcost_model.club_methods import ClubMethodFields, MethodLine
from swardcost_model.problems import Fault
from swardcost_model.values import Quantity

from swardcost_api.faults import faults_of, json_pointer, shown
from swardcost_api.methods.club_methods import TIMES, driving_measure, figures_of, words
from swardcost_api.methods.frame import Method
from swardcost_api.methods.registry import METHODS
from swardcost_api.units import UNITS

SUMMABLE = ("length", "area", "volume", "mass", "time")
"""Dimensions, besides counts, in which one can say how much there is of something."""


def faults_in(fields: ClubMethodFields) -> list[Fault]:
    """Every fault with its place; none where the method can be used."""
    if fields.base is not None:
        return list(_of_base(fields))
    return list(_of_driver(fields))


def _of_base(fields: ClubMethodFields) -> Iterator[Fault]:
    assert fields.base is not None
    method = METHODS.get(fields.base.method)
    if method is None:
        yield Fault(
            pointer="/base/method",
            expected="a built-in method: " + ", ".join(METHODS),
            got=fields.base.method,
        )
        return
    yield from _of_presets(method, fields.base.presets)
    yield from _of_lines(
        fields, {note.name: note.unit for note in method.measures}, _figures_of_example(method)
    )


def _of_presets(method: Method, presets: Mapping[str, Any]) -> Iterator[Fault]:
    """What no scope item could use: a preset that is wrong, rests on a parameter that is not set, or goes with no
    value of what is left open."""
    known = method.parameters.model_fields
    for name, value in presets.items():
        place = json_pointer(("base", "presets", name))
        if name not in known:
            expected = f"a parameter of {method.name}: " + ", ".join(known)
            yield Fault(pointer=place, expected=expected, got=shown(value))
        elif value is None:
            yield Fault(
                pointer=place, expected="a value; a parameter that is not set is left out", got="null"
            )
    mine = {name: value for name, value in presets.items() if name in known and value is not None}
    wrong = [fault for fault in _refused(method, mine) if _preset_of(fault) in mine]
    yield from wrong or _never_together(method, mine)


def _refused(method: Method, parameters: Mapping[str, Any]) -> list[Fault]:
    """What a built-in method refuses of parameters, as faults of presets."""
    try:
        method.parameters.model_validate_json(json.dumps(parameters), strict=True)
    except ValidationError as error:
        return faults_of(error, ("base", "presets"))
    return []


def _preset_of(fault: Fault) -> str:
    """Name of the preset that a fault is about; empty where it is about all of them."""
    _, _, below = fault.pointer.partition("/base/presets/")
    return below.partition("/")[0]


def _never_together(method: Method, presets: Mapping[str, Any]) -> list[Fault]:
    """The fault of presets as a whole that stays whatever a scope item adds to them.

    What they leave open is tried with values of the worked example and of the descriptions: all that is required,
    then one more at a time, then the rest of the example. Required values that do not suit the presets prove
    nothing, and neither does a parameter without a value to try.
    """
    known = method.parameters.model_fields
    values = {name: field.examples[0] for name, field in known.items() if field.examples}
    values |= method.example.parameters
    left = [name for name in known if name not in presets]
    needed = {**presets, **{name: values[name] for name in left if known[name].is_required()}}
    faults = _refused(method, needed)
    if not faults or any(_preset_of(fault) for fault in faults):
        return []
    if any(name not in values and known[name].default is None for name in left):
        return []
    more = [{name: values[name]} for name in left if name in values]
    more.append({name: method.example.parameters[name] for name in left if name in method.example.parameters})
    if not all(_refused(method, needed | one) for one in more):
        return []
    return [fault.model_copy(update={"got": shown(presets)}) for fault in faults]


def _figures_of_example(method: Method) -> set[str]:
    """Names of the figures in a method's derivations, which a line's own figures must differ from."""
    area = method.example.area
    area_m2 = 0.0 if area is None else float(area["value"]) * UNITS[area["unit"]].si_factor
    parameters = method.parameters_as_typed(method.example.parameters)
    steps = [step for measure in method.take_off(parameters, area_m2) for step in measure.derivation]
    return {step.name for step in steps} | {figure.name for step in steps for figure in step.inputs}


def _of_driver(fields: ClubMethodFields) -> Iterator[Fault]:
    driver, production = fields.driver, fields.production
    assert driver is not None
    if driver.name in TIMES or not _summable(driver.unit):
        if driver.name in TIMES:
            expected = "a name other than " + " and ".join(TIMES)
            yield Fault(pointer="/driver/name", expected=expected, got=driver.name)
        if not _summable(driver.unit):
            yield Fault(pointer="/driver/unit", expected=_SUMMABLE_WORDS, got=driver.unit)
        return
    unit = UNITS[driver.unit]
    measures = {driver.name: unit.si_unit}
    if production is not None:
        yield from _of_amount(production.per_hour, "/production/per_hour", unit.si_unit)
        measures["machine_time"] = "hour"
        if production.crew_size is not None:
            measures["crew_time"] = "hour"
    pace = f"{words(driver.name)} an hour"
    yield from _of_lines(fields, measures, {words(driver.name), *map(words, TIMES), pace, "crew size"})


def _of_lines(fields: ClubMethodFields, units: Mapping[str, str], figures: Set[str]) -> Iterator[Fault]:
    """Faults of the lines over measures in these units and beside figures of these names."""
    taken = {*figures, *map(words, units)}
    for index, line in enumerate(fields.lines):
        names = set(figures_of(line))
        if names & taken:
            yield Fault(
                pointer=f"/lines/{index}/name", expected="a name that no other figure of the method has",
                got=line.name,
            )  # fmt: skip
        taken |= names
        driver = driving_measure(fields, line)
        if driver not in units:
            yield Fault(
                pointer=f"/lines/{index}/driven_by",
                expected="a measure of the base or the driver: " + ", ".join(units),
                got=line.driven_by,
            )
            continue
        yield from _of_rate(line, f"/lines/{index}", units[driver])


def _of_rate(line: MethodLine, place: str, unit: str) -> Iterator[Fault]:
    """Faults of a line's rate and minimum; a measure whose unit depends on the scope item is taken as it comes."""
    needed: str | None = unit if unit in UNITS else None
    if line.rate is not None:
        yield from _of_amount(line.rate.per, f"{place}/rate/per", needed)
        yield from _of_amount(line.rate.amount, f"{place}/rate/amount", None)
        amount = UNITS.get(line.rate.amount.unit)
        needed = None if amount is None else amount.si_unit
    if line.minimum is not None:
        yield from _of_amount(line.minimum, f"{place}/minimum", needed)


def _of_amount(quantity: Quantity, place: str, si_unit: str | None) -> Iterator[Fault]:
    """A quantity above zero of something that adds up and, where `si_unit` is given, is counted in that."""
    fitting = [unit.name for unit in UNITS.values() if unit.si_unit == si_unit]
    if fitting and quantity.unit not in fitting:
        yield Fault(pointer=f"{place}/unit", expected="one of: " + ", ".join(fitting), got=quantity.unit)
    elif not fitting and not _summable(quantity.unit):
        yield Fault(pointer=f"{place}/unit", expected=_SUMMABLE_WORDS, got=quantity.unit)
    if quantity.value == 0:
        yield Fault(pointer=f"{place}/value", expected="more than zero", got="0")


def _summable(name: str) -> bool:
    unit = UNITS.get(name)
    return unit is not None and (unit.dimension in SUMMABLE or unit.counted)


_SUMMABLE_WORDS = "a unit of length, area, volume, mass, time or of things counted, listed at /v1/units"
