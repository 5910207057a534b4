"""An estimate's question with another value of a parameter of its methods."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from decimal import Decimal
from typing import Any

from pydantic import ValidationError
from swardcost_model import problems
from swardcost_model.choosing import QuantityVariable, SearchFields
from swardcost_model.problems import Fault, ProblemError
from swardcost_model.values import plain

from swardcost_api.estimates.service import PricingQuestion, ScopeEntry
from swardcost_api.faults import faults_of
from swardcost_api.units import UNITS, units_of

_STEP = "/"


def with_parameter(
    question: PricingQuestion,
    entries: Sequence[ScopeEntry],
    variable: QuantityVariable,
    search: SearchFields,
    pointer: str,
) -> tuple[str, str, Callable[[Decimal], PricingQuestion]]:
    """What is moved and its unit in words, and the question with a value of the parameter in these scope items.

    Raises `invalid-values` where none of them gives the parameter, or a named one does not; for a unit that does not
    fit; and for bounds that a method refuses.
    """
    path = variable.parameter.split(_STEP)
    giving = [entry for entry in entries if _given(entry.parameters, path) is not None]
    faults = []
    if not giving:
        known = sorted({name for entry in entries for name in _names(entry.parameters)})
        expected = f"a parameter that these scope items give: {', '.join(known) or 'they give none'}"
        faults.append(Fault(pointer=f"{pointer}/parameter", expected=expected, got=variable.parameter))
    elif variable.scope_item_ids and len(giving) < len(entries):
        faults += [
            Fault(
                pointer=f"{pointer}/scope_item_ids/{variable.scope_item_ids.index(entry.id)}",
                expected=f"a scope item that gives {variable.parameter}", got=entry.name,
            )
            for entry in entries
            if entry not in giving
        ]  # fmt: skip
    faults += next((found for entry in giving if (found := _misfits(entry, path, search))), [])
    if faults:
        raise ProblemError(problems.INVALID_VALUES, "The parameter cannot be moved.", faults)

    def put(value: Decimal) -> PricingQuestion:
        changed = {}
        for entry in giving:
            kind = replace(entry.kind, parameters=_put(entry.parameters, path, value, search.unit))
            changed[entry.id] = replace(entry, kind=kind)
        return replace(question, scope=[changed.get(entry.id, entry) for entry in question.scope])

    names = ", ".join(entry.name for entry in giving)
    unit = "" if search.unit is None else search.unit.replace("_", " ")
    return f"{variable.parameter.replace('_', ' ')} of {names}", unit, put


def _given(parameters: Any, path: Sequence[str]) -> Any:
    """What stands there that can be moved: a quantity, a number, or a decimal; `None` for anything else."""
    found = parameters
    for name in path:
        found = found.get(name) if isinstance(found, Mapping) else None
    if isinstance(found, Mapping):
        return found if {"value", "unit"} <= found.keys() else None
    return found if _is_number(found) else None


def _is_number(found: Any) -> bool:
    if isinstance(found, str):
        digits = found.replace(".", "", 1)
        return digits.isascii() and digits.isdigit()
    return isinstance(found, int) and not isinstance(found, bool)


def _names(parameters: Mapping[str, Any], within: str = "") -> list[str]:
    names = []
    for name, found in parameters.items():
        if _given(parameters, [name]) is not None:
            names.append(within + name)
        elif isinstance(found, Mapping):
            names += _names(found, f"{within}{name}{_STEP}")
    return names


def _misfits(entry: ScopeEntry, path: Sequence[str], search: SearchFields) -> list[Fault]:
    """What of the unit and the bounds does not fit the method of a scope item."""
    given = _given(entry.parameters, path)
    if isinstance(given, Mapping):
        dimension = UNITS[given["unit"]].dimension
        stated = UNITS.get(search.unit or "")
        if stated is None or stated.dimension != dimension:
            fitting = units_of(dimension)
            return [Fault(pointer="/unit", expected=f"one of: {', '.join(fitting)}", got=search.unit)]
    elif search.unit is not None:
        return [Fault(pointer="/unit", expected="null, since the parameter has no unit", got=search.unit)]
    elif isinstance(given, int):
        for name, value in (("low", search.low), ("resolution", search.resolution)):
            if value != value.to_integral_value():
                return [Fault(pointer=f"/{name}", expected="a whole number", got=plain(value))]
    faults = []
    for name, value in (("low", search.low), ("high", search.high)):
        try:
            entry.method.parameters_as_typed(_put(entry.parameters, path, value, search.unit))
        except ValidationError as error:
            said = faults_of(error)[0]
            expected = f"a value that {entry.name} can have: {said.expected}"
            faults.append(Fault(pointer=f"/{name}", expected=expected, got=plain(value)))
    return faults


def _put(
    parameters: Mapping[str, Any], path: Sequence[str], value: Decimal, unit: str | None
) -> dict[str, Any]:
    """The parameters with a value at a place, all else as it is."""
    name, below = path[0], path[1:]
    if below:
        return {**parameters, name: _put(parameters[name], below, value, unit)}
    if unit is not None:
        return {**parameters, name: {"value": plain(value), "unit": unit}}
    return {**parameters, name: int(value) if isinstance(parameters[name], int) else plain(value)}
