"""Projects for the assets that are due within a plan."""

from collections.abc import Iterable, Mapping
from uuid import UUID

from swardcost_model.capital_plans import MOST_PROJECTS, NewPlanProject, Plan, PlanProject
from swardcost_model.plan_figures import AssetLeftOut, ProjectsFromAssets

from swardcost_api.capital.plan_assets import PlanAsset, asset_ids, assets_of_plan
from swardcost_api.capital.plan_checks import last_year
from swardcost_api.capital.plan_projects import add_project
from swardcost_api.capital.plan_rows import draft_to_change, projects_of_plan
from swardcost_api.storage.work import UnitOfWork

_LONGEST_NAME = 200


def add_projects_from_assets(work: UnitOfWork, plan_id: UUID) -> ProjectsFromAssets:
    """Add a project for each asset that is due within a draft, or overdue, and that no project of it replaces.

    Each is named after its asset and dated in the year in which that is first due; what is overdue is dated in the
    first year. Raises `wrong-state` for a plan that was issued.
    """
    plan = draft_to_change(work, plan_id)
    projects = {one.id: one for one in projects_of_plan(work, plan_id)}
    replacing = {asset: one for one in reversed(projects.values()) for asset in one.asset_ids}
    added: list[PlanProject] = []
    left_out: list[AssetLeftOut] = []
    assets = assets_of_plan(work, plan_id)
    there = asset_ids(work, [one.id for one in assets])
    for asset in _in_order(one for one in assets if one.id in there):
        why = _why_left_out(plan, asset, replacing, len(projects))
        if why is None:
            names = {one.name for one in projects.values()}
            name = _free_name(asset, names)
            why = None if name else "A project of its name and one of its name and code are there already."
            if name:
                project = add_project(work, plan, work.new_id(), _project(plan, asset, name), projects)
                projects[project.id] = project
                added.append(project)
        if why is not None:
            left_out.append(AssetLeftOut(asset_id=asset.id, code=asset.code, name=asset.name, why=why))
    return ProjectsFromAssets(added=added, left_out=left_out)


def _in_order(assets: Iterable[PlanAsset]) -> list[PlanAsset]:
    """By the year in which they are due, those of one year by code."""
    return sorted(assets, key=lambda one: (one.due_in or 0, one.code))


def _why_left_out(
    plan: Plan, asset: PlanAsset, replacing: Mapping[UUID, PlanProject], projects: int
) -> str | None:
    if asset.id in replacing:
        return f"Project {replacing[asset.id].number} ({replacing[asset.id].name}) replaces it."
    if not asset.replaced:
        return "It is not replaced when its life has ended."
    if asset.due_in is None:
        return "Nobody knows when it is due: say since when it is in use and how long it lasts, or judge its condition."
    if asset.due_in > last_year(plan):
        return f"It is due in {asset.due_in}, after the plan."
    if projects >= MOST_PROJECTS:
        return f"The plan has {MOST_PROJECTS} projects, the most that it can have."
    return None


def _free_name(asset: PlanAsset, taken: set[str]) -> str | None:
    with_code = f" ({asset.code})"
    names = (asset.name, asset.name[: _LONGEST_NAME - len(with_code)] + with_code)
    return next((name for name in names if name not in taken), None)


def _project(plan: Plan, asset: PlanAsset, name: str) -> NewPlanProject:
    assert asset.due_in is not None
    known = {one.name for one in plan.growth_groups}
    return NewPlanProject(
        name=name, asset_ids=[asset.id], year=max(asset.due_in, plan.first_year),
        growth_group=asset.growth_group if asset.growth_group in known else None, cost_range=asset.cost_range,
    )  # fmt: skip
