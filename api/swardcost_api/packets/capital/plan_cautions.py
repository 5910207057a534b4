"""What speaks against taking a capital plan as it is dated, in the language of the packet."""

from collections.abc import Iterator

from swardcost_api.capital.service import Apart, CountedPlan, NotReplaced, TooSoon, against_plan
from swardcost_api.packets.capital.telling import Telling, asset_name


def plan_cautions(telling: Telling, counted: CountedPlan) -> Iterator[str]:
    """Projects in years that do not fit each other, and what is not dated, not said or not replaced."""
    say, wrong = telling.say, against_plan(counted)
    yield from (_too_soon(telling, one) for one in wrong.too_soon)
    yield from (_apart(telling, one) for one in wrong.apart)
    if wrong.required:
        names = telling.listed([telling.label(one.stated) for one in wrong.required])
        yield say("Required, and not dated: %(projects)s.", projects=names)
    if wrong.doubtful:
        names = telling.listed([telling.label(one.stated) for one in wrong.doubtful])
        yield say("Counted as capital, though nothing says so: %(projects)s.", projects=names)
    if wrong.not_replaced:
        yield say(
            "Due by the end of the plan, and no dated project replaces them: %(assets)s.",
            assets=telling.listed([_not_replaced(telling, one) for one in wrong.not_replaced]),
        )
    if wrong.growth_groups:
        yield say(
            "Assets of these growth groups, which the plan does not have, take its general rate: %(groups)s.",
            groups=telling.listed(wrong.growth_groups),
        )


def _too_soon(telling: Telling, one: TooSoon) -> str:
    told = {"project": telling.label(one.project.stated), "before": telling.label(one.before.stated)}
    if one.soonest is None:
        return telling.say("%(project)s is dated; %(before)s, which it needs first, is not.", **told)
    return telling.say(
        "%(project)s begins in %(year)s; %(before)s, which it needs first, lets it begin in %(soonest)s at the "
        "soonest.",
        **told, year=one.project.stated.year, soonest=one.soonest,
    )  # fmt: skip


def _apart(telling: Telling, group: Apart) -> str:
    told = [
        telling.say("%(project)s in %(year)s", project=telling.label(one.stated), year=one.stated.year)
        if one.stated.year is not None
        else telling.say("%(project)s, not dated", project=telling.label(one.stated))
        for one in group.projects
    ]
    return telling.say(
        "These belong together (%(name)s) but begin apart: %(projects)s.",
        name=group.name,
        projects=telling.listed(told),
    )


def _not_replaced(telling: Telling, one: NotReplaced) -> str:
    told = {"asset": asset_name(one.asset), "year": one.due_in}
    return (
        telling.say("%(asset)s, again in %(year)s", **told) if one.again
        else telling.say("%(asset)s, in %(year)s", **told)
    )  # fmt: skip
