"""What speaks against taking a plan as it is dated: which projects, which assets, which groups."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from swardcost_api.capital.counted_plans import CountedPlan, CountedProject
from swardcost_api.capital.plan_assets import PlanAsset
from swardcost_api.capital.plan_years import renewals
from swardcost_api.engine.capital.lives import due_year


@dataclass(frozen=True, slots=True)
class TooSoon:
    """A dated project, and one that must be begun before it: `soonest` is the year in which that lets it begin.

    None where the one before is not dated.
    """

    project: CountedProject
    before: CountedProject
    soonest: int | None


@dataclass(frozen=True, slots=True)
class Apart:
    """Projects that belong together by a name and are not dated alike."""

    name: str
    projects: Sequence[CountedProject]


@dataclass(frozen=True, slots=True)
class NotReplaced:
    """An asset that falls due within the plan and that no dated project replaces from then on.

    `again` where a project replaces it before, so that it is its next life that ends.
    """

    asset: PlanAsset
    due_in: int
    again: bool


@dataclass(frozen=True, slots=True)
class AgainstPlan:
    """Projects in years that do not fit each other, and what is not dated, not said or not replaced.

    `required` are those that must be done and are not dated, `doubtful` those taken as capital though nothing says so,
    `growth_groups` those of assets that the plan does not have, by name.
    """

    too_soon: Sequence[TooSoon]
    apart: Sequence[Apart]
    required: Sequence[CountedProject]
    doubtful: Sequence[CountedProject]
    not_replaced: Sequence[NotReplaced]
    growth_groups: Sequence[str]


def against_plan(counted: CountedPlan) -> AgainstPlan:
    """What speaks against a plan."""
    projects = counted.projects
    return AgainstPlan(
        too_soon=list(_too_soon(counted)),
        apart=list(_apart(counted)),
        required=[one for one in projects if one.stated.required and one.stated.year is None],
        doubtful=[one for one in projects if one.spending_doubt],
        not_replaced=list(_not_replaced(counted)),
        growth_groups=sorted(
            {str(one.growth_group) for one in counted.assets if one.growth_group not in counted.growth}
        ),
    )


def _too_soon(counted: CountedPlan) -> Iterator[TooSoon]:
    by_id = {one.stated.id: one for one in counted.projects}
    for project in counted.projects:
        year = project.stated.year
        if year is None:
            continue
        for need in project.stated.prerequisites:
            before = by_id[need.project_id]
            needed = before.stated.year
            soonest = None if needed is None else needed + need.years_before
            if soonest is None or year < soonest:
                yield TooSoon(project, before, soonest)


def _apart(counted: CountedPlan) -> Iterator[Apart]:
    names = dict.fromkeys(one.stated.together_with for one in counted.projects if one.stated.together_with)
    for name in names:
        partners = [one for one in counted.projects if one.stated.together_with == name]
        if len({one.stated.year for one in partners}) > 1:
            yield Apart(name, partners)


def _not_replaced(counted: CountedPlan) -> Iterator[NotReplaced]:
    renewed = renewals(counted)
    for asset in counted.assets:
        due_in, again = asset.due_in, asset.id in renewed
        if again:
            due_in = None if asset.life_years is None else due_year(renewed[asset.id][-1], asset.life_years)
        if asset.replaced and due_in is not None and due_in <= counted.years[-1]:
            yield NotReplaced(asset, due_in, again)
