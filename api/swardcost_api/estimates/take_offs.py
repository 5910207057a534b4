"""Taking off quantities: of one scope item with every step, or of a whole scope in figures."""

from collections.abc import Iterable
from uuid import UUID

from swardcost_model.estimates import ItemMeasures, MeasureValue, ProjectTakeOff, TakeOff

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
    """The measures of every scope item over its areas as they are now, and their sums."""
    read_project(work, project_id)
    club = read_club(work)
    items = []
    sums: dict[tuple[str, str], float] = {}
    for entry in load_scope(work, project_id):
        measures = entry.take_off().values()
        items.append(_in_figures(entry, measures))
        for measure in measures:
            if measure.shared_by_area:
                key = (measure.name, measure.unit)
                sums[key] = sums.get(key, 0.0) + measure.value
    totals = [figure(name, value, unit, club) for (name, unit), value in sorted(sums.items())]
    return ProjectTakeOff.model_construct(project_id=project_id, items=items, totals=totals)


def _in_figures(entry: ScopeEntry, measures: Iterable[Measure]) -> ItemMeasures:
    """Without validation: the figures are ours, and there may be tens of thousands."""
    return ItemMeasures.model_construct(
        scope_item_id=entry.id, number=entry.number, name=entry.name, method=entry.method.name,
        measures=[
            MeasureValue.model_construct(name=m.name, value=digits(m.value), unit=m.unit) for m in measures
        ],
        missing_sizes=sum(1 for area in entry.areas if not area.size_m2),
    )  # fmt: skip
