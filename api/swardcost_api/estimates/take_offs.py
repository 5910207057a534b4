"""Taking off quantities: of one scope item with every step, or of a whole scope in figures."""

from collections.abc import Iterator, Sequence
from uuid import UUID

from swardcost_model.estimates import ItemMeasures, ProjectTakeOff, TakeOff

from swardcost_api.access.service import read_club
from swardcost_api.estimates.derivations import digits, figure, steps_for
from swardcost_api.estimates.projects import read_project
from swardcost_api.estimates.scopes import ScopeEntry, load_scope, read_scope_item
from swardcost_api.methods.frame import Measure
from swardcost_api.storage.work import UnitOfWork


def take_off(work: UnitOfWork, scope_item_id: UUID) -> TakeOff:
    """The measures of a scope item over its areas as they are now, with their derivations."""
    item = read_scope_item(work, scope_item_id)
    club = read_club(work)
    entry = next(one for one in load_scope(work, item.project_id) if one.id == scope_item_id)
    measures = entry.take_off()
    return TakeOff(
        scope_item_id=scope_item_id,
        area=figure("area", entry.area_m2, "square_meter", club),
        measures=[figure(m.name, m.value, m.unit, club) for m in measures.values()],
        derivations={m.name: steps_for(m.derivation, club) for m in measures.values()},
        missing_sizes=[area.name for area in entry.areas if not area.size_m2],
        cautions=list(entry.method.cautions),
    )


def take_off_project(work: UnitOfWork, project_id: UUID) -> ProjectTakeOff:
    """The measures of every scope item over its areas as they are now, and their sums.

    The same work is often done on many areas, so that what is proportional to the area is computed once.
    """
    read_project(work, project_id)
    club = read_club(work)
    of_a_square_metre: dict[tuple[str, int | None, str], Sequence[Measure]] = {}
    items = []
    grounds: dict[str, float] = {}
    sums: dict[tuple[str, str], float] = {}
    for entry in load_scope(work, project_id):
        values, units = {}, {}
        for name, value, unit, shared in _figures(entry, of_a_square_metre):
            values[name], units[name] = digits(value), unit
            if shared and not _is_ground(name):
                sums[name, unit] = sums.get((name, unit), 0.0) + value
        items.append(
            ItemMeasures.model_construct(  # the figures are ours, and there may be tens of thousands
                scope_item_id=entry.id, number=entry.number, name=entry.name, method=entry.method.name,
                measures=values, units=units, missing_sizes=sum(1 for area in entry.areas if not area.size_m2),
            )
        )  # fmt: skip
        grounds |= {area.id: area.size_m2 for area in entry.areas if area.size_m2}
    if grounds:
        sums["area", "square_meter"] = sum(grounds.values())
    totals = [figure(name, value, unit, club) for (name, unit), value in sorted(sums.items())]
    return ProjectTakeOff.model_construct(project_id=project_id, items=items, totals=totals)


def _is_ground(name: str) -> bool:
    """Whether a measure is ground itself, which several works on it do not make more of."""
    return name == "area" or name.endswith(("_touched_once", "_once"))


def _figures(
    entry: ScopeEntry, of_a_square_metre: dict[tuple[str, int | None, str], Sequence[Measure]]
) -> Iterator[tuple[str, float, str, bool]]:
    """Name, value and unit of each measure of a scope item, and whether it adds up over areas."""
    method, area_m2 = entry.method, entry.area_m2
    if not method.scales_with_area:
        for measure in entry.take_off().values():
            yield measure.name, measure.value, measure.unit, measure.shared_by_area
        return
    if area_m2 <= 0:
        return
    key = (method.name, method.revision, repr(entry.parameters))
    if key not in of_a_square_metre:
        of_a_square_metre[key] = method.take_off(method.parameters_as_stored(entry.parameters), 1.0)
    for measure in of_a_square_metre[key]:
        value = measure.value * area_m2 if measure.shared_by_area else measure.value
        yield measure.name, value, measure.unit, measure.shared_by_area
