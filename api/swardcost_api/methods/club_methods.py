"""From a club's own method, which is data, to a method of work like any other."""

import json
from collections.abc import Callable, Iterator, Mapping
from functools import cache, lru_cache
from typing import Annotated, Any

from pydantic import Field, create_model
from swardcost_model.club_methods import BaseMethod, ClubMethodFields, Driver, MethodLine, Production
from swardcost_model.values import Quantity

from swardcost_api.engine.derivation import Input, Step
from swardcost_api.engine.quantities.production import PACE, crew_time
from swardcost_api.methods.cautions import DEFER
from swardcost_api.methods.frame import AnyMethod, Dimension, Measure, MeasureNote, Parameters
from swardcost_api.methods.registry import METHODS
from swardcost_api.units import to_si, unit_named

TIMES = ("machine_time", "crew_time")
"""Measures that a pace and a crew give."""

TakeOff = Callable[[Any, float], tuple[Measure, ...]]


@lru_cache(maxsize=1024)
def club_method(name: str, revision: int, document: str) -> AnyMethod:
    """The method that a revision describes; its fields come as JSON. A revision never changes, so it is kept."""
    return method_of(name, revision, ClubMethodFields.model_validate(json.loads(document)))


def method_of(name: str, revision: int, fields: ClubMethodFields) -> AnyMethod:
    """The method that these fields describe. They must have passed `faults_in`."""
    source = f"the club's own method {name}, revision {revision}"
    if fields.sources:
        source += ": " + "; ".join(fields.sources)
    if fields.base is not None:
        under = _over_base(fields.base)
    else:
        assert fields.driver is not None
        under = _over_driver(fields.driver, fields.production, source)
    *cautions, last = under.cautions
    return AnyMethod(
        name=name, title=fields.title, summary=fields.summary, revision=revision, parameters=under.parameters,
        take_off=_with_lines(under.take_off, fields, source),
        measures=(*under.measures, *_notes_of_lines(fields, under.measures)),
        sources=(*under.sources, *fields.sources), cautions=(*cautions, *fields.cautions, last),
        needs_areas=under.needs_areas, presets=under.presets, presets_may_change=under.presets_may_change,
        resources=tuple(_resource(line) for line in fields.lines),
    )  # fmt: skip


def driving_measure(fields: ClubMethodFields, line: MethodLine) -> str:
    """The measure that says how much of a line is needed."""
    if line.driven_by is not None or fields.driver is None:
        return line.driven_by or ""
    return fields.driver.name


def words(name: str) -> str:
    """A name as it stands in formulas."""
    return name.replace("_", " ")


def _over_base(base: BaseMethod) -> AnyMethod:
    built_in = METHODS[base.method]
    return AnyMethod(
        name=built_in.name, title=built_in.title, summary=built_in.summary, parameters=built_in.parameters,
        take_off=built_in.take_off, measures=built_in.measures, sources=built_in.sources,
        cautions=built_in.cautions, needs_areas=built_in.needs_areas, presets=base.presets,
        presets_may_change=base.presets_may_change,
    )  # fmt: skip


def _over_driver(driver: Driver, production: Production | None, source: str) -> AnyMethod:
    unit = unit_named(driver.unit)
    of_areas = unit.dimension == "area"

    def take_off(parameters: Any, area_m2: float) -> tuple[Measure, ...]:
        if of_areas:
            sizes = ("sizes of the areas added up", "sizes of the areas")
            counted = Step(words(driver.name), area_m2, unit.si_unit, sizes[0], source=sizes[1])
        else:
            stated: Quantity = parameters.quantity
            formula = f"{stated.value:f} {words(stated.unit)}, as stated"
            value = to_si(stated, unit.dimension)
            counted = Step(words(driver.name), value, unit.si_unit, formula, source="the scope item")
        steps = {counted.name: counted}
        if production is not None:
            steps |= _steps_of_time(production, counted, source)
        return tuple(Measure.of(steps, name) for name in (driver.name, *_times(production)))

    meaning = "Total size of the areas." if of_areas else "What is stated on the scope item."
    return AnyMethod(
        name=driver.name, title="", summary="", needs_areas=of_areas,
        parameters=_no_parameters() if of_areas else _stated(driver.name, driver.unit, unit.dimension),
        take_off=take_off, sources=(), cautions=(DEFER,),
        measures=(
            MeasureNote(driver.name, unit.si_unit, meaning),
            *(MeasureNote(name, "hour", _HOURS[name]) for name in _times(production)),
        ),
    )  # fmt: skip


_HOURS = {
    "machine_time": "Hours that the work runs at its pace.",
    "crew_time": "Hours of all people together.",
}


def _times(production: Production | None) -> tuple[str, ...]:
    if production is None:
        return ()
    return TIMES if production.crew_size is not None else TIMES[:1]


@cache
def _no_parameters() -> type[Parameters]:
    return create_model(
        "OverAreas", __base__=Parameters, __doc__="The areas say how much; nothing else is asked."
    )


def _stated(name: str, unit: str, dimension: str) -> type[Parameters]:
    """A model that asks for the driver by its name; the attribute is `quantity`, which clashes with nothing."""
    field = Field(
        alias=name, description=f"How much there is: {words(name)}.", examples=[{"value": "12", "unit": unit}]
    )
    return create_model(
        "Stated", __base__=Parameters, __doc__="What the work is counted or measured by.",
        quantity=(Annotated[Quantity, Dimension(dimension)], field),
    )  # fmt: skip


def _steps_of_time(production: Production, counted: Step, source: str) -> dict[str, Step]:
    pace = f"{counted.name} an hour"
    per_hour = to_si(production.per_hour, unit_named(production.per_hour.unit).dimension)
    machine = Step(
        "machine time", counted.value / per_hour, "hour", f"{counted.name} / {pace}",
        (Input(counted.name, counted.value, counted.unit), Input(pace, per_hour, counted.unit)),
        f"{PACE}; {source}",
    )  # fmt: skip
    steps = {machine.name: machine}
    if production.crew_size is not None:
        steps |= crew_time(machine_time_h=machine.value, crew_size=production.crew_size).steps
    return steps


def _with_lines(take_off: TakeOff, fields: ClubMethodFields, source: str) -> TakeOff:
    """A take-off that adds what each line needs; a line whose measure these parameters do not give is absent."""

    def whole(parameters: Any, area_m2: float) -> tuple[Measure, ...]:
        found = take_off(parameters, area_m2)
        by_name = {measure.name: measure for measure in found}
        needs = [
            need_of(line, by_name[name], source)
            for line in fields.lines
            if (name := driving_measure(fields, line)) in by_name
        ]
        return (*found, *needs)

    return whole


def need_of(line: MethodLine, driver: Measure, source: str) -> Measure:
    """How much of a line is needed for a measure: by the rate, and no less than the minimum.

    Raises `ValueError` where the rate or the minimum is for something else than the measure.
    """
    steps = list(driver.derivation)
    name, by = words(line.name), words(driver.name)
    needed, unit, formula = driver.value, driver.unit, by
    inputs = [Input(by, driver.value, driver.unit)]
    if line.rate is not None:
        per, amount = _in_si(line.rate.per), _in_si(line.rate.amount)
        if per.unit != driver.unit:
            raise ValueError(
                f"{driver.name} in the unit that the rate of {line.name} is for, {line.rate.per.unit}"
            )
        rate = Step(
            f"rate of {name}", amount.value / per.value, f"{amount.unit} per {per.unit}",
            f"{_as_typed(line.rate.amount)} per {_as_typed(line.rate.per)}, as set", source=source,
        )  # fmt: skip
        steps.append(rate)
        inputs.append(Input(rate.name, rate.value, rate.unit))
        needed, unit, formula = needed * rate.value, amount.unit, f"{by} x {rate.name}"
    if line.minimum is not None:
        least = _in_si(line.minimum)
        if least.unit != unit:
            raise ValueError(f"{driver.name} in the unit of the minimum of {line.name}, {line.minimum.unit}")
        steps.append(Step(f"{name} by measure", needed, unit, formula, tuple(inputs), source))
        inputs = [Input(f"{name} by measure", needed, unit), Input(f"least {name}", least.value, unit)]
        needed, formula = max(needed, least.value), f"max({name} by measure, least {name})"
    steps.append(Step(name, needed, unit, formula, tuple(inputs), source))
    return Measure(line.name, needed, unit, tuple(steps), driver.shared_by_area)


def figures_of(line: MethodLine) -> Iterator[str]:
    """Names, in words, of the figures that a line brings into a derivation."""
    name = words(line.name)
    yield name
    if line.rate is not None:
        yield f"rate of {name}"
    if line.minimum is not None:
        yield from (f"{name} by measure", f"least {name}")


def _in_si(quantity: Quantity) -> Input:
    unit = unit_named(quantity.unit)
    return Input("", to_si(quantity, unit.dimension), unit.si_unit)


def _as_typed(quantity: Quantity) -> str:
    return f"{quantity.value:f} {words(quantity.unit)}"


def _notes_of_lines(fields: ClubMethodFields, under: tuple[MeasureNote, ...]) -> Iterator[MeasureNote]:
    by_name = {note.name: note for note in under}
    for line in fields.lines:
        driver = by_name[driving_measure(fields, line)]
        meaning, unit = f"{line.item} as much as {driver.name}", driver.unit
        if line.rate is not None:
            meaning = (
                f"{line.item}, {_as_typed(line.rate.amount)} per {_as_typed(line.rate.per)} of {driver.name}"
            )
            unit = unit_named(line.rate.amount.unit).si_unit
        if line.minimum is not None:
            meaning += f", at least {_as_typed(line.minimum)}"
        yield MeasureNote(line.name, unit, f"{meaning}.", driver.shared_by_area)


def _resource(line: MethodLine) -> Mapping[str, Any]:
    return {
        "item": line.item, "measure": line.name, "quantity": None, "waste_percent": format(line.waste_percent, "f"),
    }  # fmt: skip
