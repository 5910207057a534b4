"""What is moved of an estimate, and the estimate with a value of it put in: its scope, or its prices.

Nothing is priced here. What cannot be moved is refused with its place; what would move nothing is refused too.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from decimal import Decimal
from typing import Any
from uuid import UUID

from swardcost_model import problems
from swardcost_model.choosing import (
    AreaVariable,
    DaysVariable,
    EstimateVariable,
    HoursVariable,
    PriceVariable,
    QuantityVariable,
    SearchFields,
)
from swardcost_model.problems import Fault, ProblemError
from swardcost_model.values import plain

from swardcost_api.alternatives.moved_parameters import with_parameter
from swardcost_api.alternatives.moved_prices import with_price
from swardcost_api.engine.schedule.working_days import WorkingDays
from swardcost_api.estimates.service import PricingQuestion, Repriceable, ScopeEntry
from swardcost_api.units import UNITS, units_of, without_dust

LONGEST_WORK = 3660
"""Days of work that are looked at: as long as a scope item may take."""

Put = Callable[[Decimal], PricingQuestion]
"""The question of an estimate with a value of the variable put into it."""

_WORK_DAY = "work_day"
_WEEKDAYS, _ALL_DAYS = range(5), range(7)


@dataclass(frozen=True, slots=True)
class Moved:
    """A variable on an estimate: what it moves and the unit of its values, both in words, and how a value is put in."""

    words: str
    unit: str
    put: Put


def moved(
    repriced: Repriceable, variable: EstimateVariable, search: SearchFields, pointer: str = "/variable"
) -> Moved:
    """A variable on an estimate, for the values of a search; `pointer` says where the variable stands in the request.

    Raises `invalid-values` for what the estimate does not have, a unit that does not fit, values that cannot be
    meant, and a variable that nothing follows.
    """
    match variable:
        case AreaVariable():
            return _area(repriced, variable, search, pointer)
        case DaysVariable():
            return _days(repriced, variable, search, pointer)
        case HoursVariable():
            return _hours(repriced, variable, search, pointer)
        case PriceVariable():
            return Moved(*with_price(repriced.question, variable, search, pointer))
        case QuantityVariable():
            entries = chosen_entries(repriced, variable.scope_item_ids, pointer)
            return Moved(*with_parameter(repriced.question, entries, variable, search, pointer))


def chosen_entries(repriced: Repriceable, named: Sequence[UUID], pointer: str) -> Sequence[ScopeEntry]:
    """The scope items that are named, or all. Raises `invalid-values` for one of another estimate."""
    scope = {entry.id: entry for entry in repriced.question.scope}
    refuse(
        Fault(
            pointer=f"{pointer}/scope_item_ids/{number}", expected="a scope item of this estimate", got=str(one)
        )
        for number, one in enumerate(named)
        if one not in scope
    )  # fmt: skip
    return [scope[one] for one in dict.fromkeys(named)] if named else list(scope.values())


def refuse(faults: Iterable[Fault]) -> None:
    """Raise `invalid-values` where there are faults."""
    found = list(faults)
    if found:
        raise ProblemError(problems.INVALID_VALUES, "The question cannot be answered as it was put.", found)


def _area(repriced: Repriceable, variable: AreaVariable, search: SearchFields, pointer: str) -> Moved:
    entries = chosen_entries(repriced, variable.scope_item_ids, pointer)
    areas = {area.id: area for entry in entries for area in entry.areas}
    wanted = [str(one) for one in variable.area_ids]
    refuse(
        Fault(pointer=f"{pointer}/area_ids/{number}", expected="an area of these scope items", got=one)
        for number, one in enumerate(wanted)
        if one not in areas
    )
    chosen = {key: area for key, area in areas.items() if not wanted or key in wanted}
    unit = UNITS.get(search.unit or "")
    if unit is None or unit.dimension not in ("area", "ratio"):
        expected = f"percent or ratio, or a unit of area: {', '.join(units_of('area'))}"
        refuse([Fault(pointer="/unit", expected=expected, got=search.unit)])
    assert unit is not None
    alone = len(chosen) == 1 and unit.dimension == "area"
    together = sum(area.size_m2 or 0.0 for area in chosen.values())
    if not chosen or not (together or alone):
        refuse([Fault(pointer=pointer, expected="scope items that work on areas with a size", got="none")])
    _refuse_zero(search)

    def put(value: Decimal) -> PricingQuestion:
        in_si = float(value) * unit.si_factor
        factor = in_si if unit.dimension == "ratio" else in_si / together if together else 0.0
        grounds: dict[int, Any] = {}

        def ground(entry: ScopeEntry) -> Any:
            if id(entry.ground) not in grounds:
                grounds[id(entry.ground)] = replace(
                    entry.ground,
                    areas=tuple(
                        replace(area, size_m2=_size(area.size_m2, in_si if alone else None, factor))
                        if area.id in chosen
                        else area
                        for area in entry.areas
                    ),
                )
            return grounds[id(entry.ground)]

        return with_entries(
            repriced.question, {entry.id: replace(entry, ground=ground(entry)) for entry in entries}
        )

    shown = "share of their present size" if unit.dimension == "ratio" else "size"
    names = "all areas" if not wanted else ", ".join(area.name for area in chosen.values())
    return Moved(f"{shown} of {names} of {_names(repriced, entries)}", _words(unit.name), put)


def _size(size_m2: float | None, stated_m2: float | None, factor: float) -> float | None:
    """The new size of an area; one without a size keeps none unless its size is what is stated."""
    if stated_m2 is not None:
        return without_dust(stated_m2)
    return None if size_m2 is None else without_dust(size_m2 * factor)


def _days(repriced: Repriceable, variable: DaysVariable, search: SearchFields, pointer: str) -> Moved:
    entries = chosen_entries(repriced, variable.scope_item_ids, pointer)
    if search.unit != _WORK_DAY:
        refuse([Fault(pointer="/unit", expected=_WORK_DAY, got=search.unit)])
    _refuse_zero(search)
    _refuse_parts_of_days(search)
    if search.high > LONGEST_WORK:
        expected = f"at most {LONGEST_WORK:,} days of work"
        refuse([Fault(pointer="/high", expected=expected, got=plain(search.high))])
    named = {str(resource["item"]) for entry in entries for resource in entry.resources}
    refuse(
        Fault(
            pointer=f"{pointer}/hours_a_day/{number}/item", expected="an item of these scope items", got=one.item
        )
        for number, one in enumerate(variable.hours_a_day)
        if one.item not in named
    )  # fmt: skip
    a_day = {one.item: one.hours for one in variable.hours_a_day}
    weekdays = _ALL_DAYS if variable.works_weekends else _WEEKDAYS
    span = timedelta(days=int(search.high) * (1 if variable.works_weekends else 2) + 7)
    worked = {
        first: WorkingDays.between(first=first, last=first + span, weekdays=weekdays)
        for first in {entry.starts_on for entry in entries}
    }

    def last_day(first: date, days: int) -> date:
        return worked[first].date(days - 1)

    def put(value: Decimal) -> PricingQuestion:
        hours = {item: value * one for item, one in a_day.items()}
        changed = {
            entry.id: replace(
                entry,
                ends_on=last_day(entry.starts_on, int(value)),
                resources=[_needed(resource, hours, "hour") for resource in entry.resources],
            )
            for entry in entries
        }
        return with_entries(repriced.question, changed)

    return Moved(f"days of work of {_names(repriced, entries)}", "work day", put)


def _hours(repriced: Repriceable, variable: HoursVariable, search: SearchFields, pointer: str) -> Moved:
    entries = chosen_entries(repriced, variable.scope_item_ids, pointer)
    unit = UNITS.get(search.unit or "")
    if unit is None or unit.dimension != "time":
        expected = f"a unit of time: {', '.join(units_of('time'))}"
        refuse([Fault(pointer="/unit", expected=expected, got=search.unit)])
    assert unit is not None
    using = [entry for entry in entries if any(one["item"] == variable.item for one in entry.resources)]
    if not using:
        expected = "an item of these scope items"
        refuse([Fault(pointer=f"{pointer}/item", expected=expected, got=variable.item)])
    if variable.scope_item_ids:
        refuse(
            Fault(
                pointer=f"{pointer}/scope_item_ids/{variable.scope_item_ids.index(entry.id)}",
                expected=f"a scope item that needs {variable.item}",
                got=entry.name,
            )
            for entry in entries
            if entry not in using
        )

    def put(value: Decimal) -> PricingQuestion:
        needed = {variable.item: value}
        changed = {
            entry.id: replace(entry, resources=[_needed(one, needed, unit.name) for one in entry.resources])
            for entry in using
        }
        return with_entries(repriced.question, changed)

    return Moved(f"hours of {variable.item} in {_names(repriced, using)}", _words(unit.name), put)


def _needed(resource: Mapping[str, Any], needed: Mapping[str, Decimal], unit: str) -> Mapping[str, Any]:
    """A resource with as much of it stated as is needed; as it is where nothing is said of its item."""
    value = needed.get(resource["item"])
    if value is None:
        return resource
    return {**resource, "measure": None, "quantity": {"value": plain(value), "unit": unit}}


def with_entries(question: PricingQuestion, changed: Mapping[UUID, ScopeEntry]) -> PricingQuestion:
    """The question with these scope items in place of those of the same id."""
    return replace(question, scope=[changed.get(entry.id, entry) for entry in question.scope])


def _refuse_zero(search: SearchFields) -> None:
    if not search.low > 0:
        refuse([Fault(pointer="/low", expected="more than zero", got=plain(search.low))])


def _refuse_parts_of_days(search: SearchFields) -> None:
    """Days of work are whole; low and resolution whole make all values so."""
    refuse(
        Fault(pointer=f"/{name}", expected="a whole number", got=plain(value))
        for name, value in (("low", search.low), ("resolution", search.resolution))
        if value != value.to_integral_value()
    )


def _names(repriced: Repriceable, entries: Sequence[ScopeEntry]) -> str:
    """The scope items in words: by name where they are few, and as all where they are."""
    if len(entries) == len(repriced.question.scope) and len(entries) > 1:
        return "all scope items"
    if not entries:
        return "no scope items"
    if len(entries) > _NAMED:
        return f"{', '.join(entry.name for entry in entries[:_NAMED])} and {len(entries) - _NAMED} more"
    return ", ".join(entry.name for entry in entries)


_NAMED = 5


def _words(unit: str) -> str:
    return unit.replace("_", " ")
