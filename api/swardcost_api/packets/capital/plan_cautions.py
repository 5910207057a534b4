"""What speaks against taking a capital plan as it is dated, in the language of the packet."""

from collections.abc import Iterator

from swardcost_model.capital_plans import Prerequisite

from swardcost_api.capital.service import CountedPlan, CountedProject, renewals
from swardcost_api.engine.capital.lives import due_year
from swardcost_api.packets.capital.telling import Telling, asset_name


def plan_cautions(telling: Telling, counted: CountedPlan) -> Iterator[str]:
    """Projects in years that do not fit each other, and what is not dated, not said or not replaced."""
    say, by_id = telling.say, {one.stated.id: one for one in counted.projects}
    for project in counted.projects:
        for need in project.stated.prerequisites:
            yield from _too_soon(telling, project, by_id[need.project_id], need)
    yield from _apart(telling, counted)
    required = [
        telling.label(one.stated)
        for one in counted.projects
        if one.stated.required and one.stated.year is None
    ]
    if required:
        yield say("Required, and not dated: %(projects)s.", projects=telling.listed(required))
    doubtful = [telling.label(one.stated) for one in counted.projects if one.spending_doubt]
    if doubtful:
        yield say(
            "Counted as capital, though nothing says so: %(projects)s.", projects=telling.listed(doubtful)
        )
    due = list(_not_replaced(telling, counted))
    if due:
        yield say(
            "Due by the end of the plan, and no dated project replaces them: %(assets)s.",
            assets=telling.listed(due),
        )
    groups = {str(one.growth_group) for one in counted.assets if one.growth_group not in counted.growth}
    if groups:
        yield say(
            "Assets of these growth groups, which the plan does not have, take its general rate: %(groups)s.",
            groups=telling.listed(sorted(groups)),
        )


def _too_soon(
    telling: Telling, project: CountedProject, before: CountedProject, need: Prerequisite
) -> Iterator[str]:
    year, needed = project.stated.year, before.stated.year
    if year is None:
        return
    told = {"project": telling.label(project.stated), "before": telling.label(before.stated)}
    if needed is None:
        yield telling.say("%(project)s is dated; %(before)s, which it needs first, is not.", **told)
    elif year < needed + need.years_before:
        yield telling.say(
            "%(project)s begins in %(year)s; %(before)s, which it needs first, lets it begin in %(soonest)s at the "
            "soonest.",
            **told, year=year, soonest=needed + need.years_before,
        )  # fmt: skip


def _apart(telling: Telling, counted: CountedPlan) -> Iterator[str]:
    found = counted.projects
    for name in dict.fromkeys(one.stated.together_with for one in found if one.stated.together_with):
        partners = [one.stated for one in found if one.stated.together_with == name]
        if len({one.year for one in partners}) > 1:
            told = [
                telling.say("%(project)s in %(year)s", project=telling.label(one), year=one.year)
                if one.year is not None
                else telling.say("%(project)s, not dated", project=telling.label(one))
                for one in partners
            ]
            yield telling.say(
                "These belong together (%(name)s) but begin apart: %(projects)s.",
                name=name,
                projects=telling.listed(told),
            )


def _not_replaced(telling: Telling, counted: CountedPlan) -> Iterator[str]:
    """Assets that fall due within the plan, at first or again, and that no dated project replaces from then on."""
    renewed = renewals(counted)
    for asset in counted.assets:
        when = asset.due_in
        if asset.id in renewed:
            when = None if asset.life_years is None else due_year(renewed[asset.id][-1], asset.life_years)
        if not asset.replaced or when is None or when > counted.years[-1]:
            continue
        told = {"asset": asset_name(asset), "year": when}
        yield (
            telling.say("%(asset)s, again in %(year)s", **told) if asset.id in renewed
            else telling.say("%(asset)s, in %(year)s", **told)
        )  # fmt: skip
