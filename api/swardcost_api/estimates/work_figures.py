"""The work of an estimate in figures: ground, sand, trips and hours, each with what it is added up from."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from swardcost_model.access import Club
from swardcost_model.catalog import ItemKind
from swardcost_model.estimates import WorkFigures

from swardcost_api.derivations import steps_for
from swardcost_api.engine.derivation import Input, Step
from swardcost_api.estimates.buying import Bought
from swardcost_api.estimates.derivations import pack, unpack
from swardcost_api.estimates.priced import PricedScope
from swardcost_api.estimates.scopes import ScopeEntry
from swardcost_api.methods.frame import Measure
from swardcost_api.units import UNITS

_SAND_VOLUMES = (("sand_volume", "cubic_meter"), ("sand_to_bring_in", "cubic_meter"))
_SAND_MASS = ("sand_mass", "kilogram")
_MEASURES = (
    (
        "area_touched", "square_meter", (("area_sum_of_passes", "square_meter"),),
        "sum of the surfaces opened in every pass",
    ),
    ("sand", "kilogram", (_SAND_MASS,), "sum of the sand of all scope items, with its allowance"),
    (
        "trips", "trip", (("trips", "trip"), ("loads", "load"), ("spoil_loads", "load")),
        "sum of the trips of all scope items, one to a load, whole for each of them",
    ),
)  # fmt: skip
"""Name and unit of a figure, the measures of which the first that a scope item has is added up, and how."""
_MACHINES = frozenset({ItemKind.RENTAL, ItemKind.OWNED_MACHINE})
MOST_TOLD = 100
MOST_PARTS = 40
"""Of a figure with more parts only their number is kept."""
_HOURS = "hours needed with waste, added up"
_SOURCE = "the take-off of this estimate"


def work_document(priced: PricedScope) -> dict[str, Any]:
    """The work of a priced scope for storage."""
    left_out: list[str] = []
    steps = (
        *_area([entry for entry, _ in priced.taken_off], left_out),
        *_measured(priced.taken_off, left_out),
        *_hours("labor_hours", priced.purchases, frozenset({ItemKind.LABOR}), left_out),
        *_hours("machine_hours", priced.purchases, _MACHINES, left_out),
    )
    told = list(dict.fromkeys(left_out))
    if len(told) > MOST_TOLD:
        told = [*told[:MOST_TOLD], f"And {len(told) - MOST_TOLD:,} more."]
    return {"steps": pack(steps), "left_out": told}


def work_figures(document: Mapping[str, Any] | None, club: Club) -> WorkFigures | None:
    """The work of an estimate as it was kept; `None` where it was not."""
    if document is None:
        return None
    found = {
        step.name: step.model_copy(update={"name": step.name.replace("_", " ")})
        for step in steps_for(unpack(document["steps"]), club)
    }
    names = set(WorkFigures.model_fields) - {"left_out"}
    return WorkFigures(left_out=document["left_out"], **{name: found.get(name) for name in names})


def _area(scope: Sequence[ScopeEntry], left_out: list[str]) -> Iterator[Step]:
    areas = {area.id: area for entry in scope for area in entry.areas}
    sized = [area for area in areas.values() if area.size_m2]
    left_out += [f"{area.name} has no size." for area in areas.values() if not area.size_m2]
    if sized:
        total = sum(area.size_m2 or 0.0 for area in sized)
        inputs = (Input("areas", float(len(sized)), "each"),)
        yield Step("area_worked", total, "square_meter", "sizes of the areas, each once", inputs, _SOURCE)


def _measured(
    taken_off: Sequence[tuple[ScopeEntry, Mapping[str, Measure]]], left_out: list[str]
) -> Iterator[Step]:
    left_out += [
        f"The sand of {entry.name} has no mass, since no bulk density is given."
        for entry, measures in taken_off
        if _found(measures, (_SAND_MASS,)) is None and _found(measures, _SAND_VOLUMES) is not None
    ]
    for name, unit, wanted, formula in _MEASURES:
        parts = [
            Input(entry.name, measure.value, unit)
            for entry, measures in taken_off
            if (measure := _found(measures, wanted)) is not None
        ]
        if parts:
            yield Step(name, sum(part.value for part in parts), unit, formula, _few(parts), _SOURCE)


def _found(measures: Mapping[str, Measure], wanted: Iterable[tuple[str, str]]) -> Measure | None:
    """The first of the wanted measures, each by name and unit, that there is."""
    for name, unit in wanted:
        measure = measures.get(name)
        if measure is not None and measure.unit == unit:
            return measure
    return None


def _few(parts: Sequence[Input]) -> tuple[Input, ...]:
    """The parts of a sum; of more than can be read, how many there are."""
    return tuple(parts) if len(parts) <= MOST_PARTS else (Input("parts", float(len(parts)), "each"),)


def _hours(
    name: str, purchases: Iterable[Bought], kinds: frozenset[ItemKind], left_out: list[str]
) -> Iterator[Step]:
    hours_of: dict[str, float] = {}
    for one in purchases:
        if one.item is None or one.item.kind not in kinds:
            continue
        where = f"{one.entry.name}: {one.code}"
        unit = UNITS[one.unit]
        if unit.dimension != "time":
            left_out.append(f"{where} is counted by the {unit.name.replace('_', ' ')}, not in hours.")
        elif one.quantity is None:
            left_out.append(f"{where} has no quantity.")
        else:
            hours = float(one.quantity) * unit.si_factor / UNITS["hour"].si_factor
            hours_of[one.code] = hours_of.get(one.code, 0.0) + hours
    if hours_of:
        parts = [Input(code, hours, "hour") for code, hours in sorted(hours_of.items())]
        yield Step(name, sum(hours_of.values()), "hour", _HOURS, _few(parts), _SOURCE)
