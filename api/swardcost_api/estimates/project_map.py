"""A project on the map: its areas, each with its share of what the scope takes."""

from collections import defaultdict
from uuid import UUID

from swardcost_model.course_map import ProjectMap, WorkedAreaFeature, WorkedAreaProperties, WorkOnArea

from swardcost_api.access.service import read_club
from swardcost_api.course.service import AreaFacts, areas_on_map
from swardcost_api.derivations import figure
from swardcost_api.estimates.projects import read_project
from swardcost_api.estimates.scope_choice import load_scope
from swardcost_api.estimates.scopes import ScopeEntry
from swardcost_api.estimates.take_offs import measures_of
from swardcost_api.storage.work import UnitOfWork


def map_project(work: UnitOfWork, project_id: UUID) -> ProjectMap:
    """The areas that a project's scope names, with each one's share of the measures as the areas are now.

    A measure is shared by size, as an estimate shares its amounts; the shares add up to the take-off. Raises
    `invalid-values` where a scope item's parameters make no sense over its areas.
    """
    read_project(work, project_id)
    club = read_club(work)
    works: dict[UUID, list[WorkOnArea]] = defaultdict(list)
    for entry in load_scope(work, project_id):
        measures = [measure for measure in measures_of(entry).values() if measure.shared_by_area]
        for area in entry.areas:
            share = _share(area, entry)
            works[UUID(area.id)].append(
                WorkOnArea(
                    scope_item_id=entry.id, scope_item=entry.name, method=entry.method.name,
                    measures=[figure(m.name, m.value * share, m.unit, club) for m in measures] if share else [],
                )
            )  # fmt: skip
    features = areas_on_map(work, ids=list(works)).features
    return ProjectMap(
        features=[
            WorkedAreaFeature.model_construct(
                id=one.id, geometry=one.geometry,
                properties=WorkedAreaProperties.model_construct(**dict(one.properties), work=works[one.id]),
            )
            for one in features
        ]
    )  # fmt: skip


def _share(area: AreaFacts, entry: ScopeEntry) -> float:
    """The part of the scope item's sized surface that is this area's; zero for one without a size."""
    return area.size_m2 / entry.area_m2 if area.size_m2 else 0.0
