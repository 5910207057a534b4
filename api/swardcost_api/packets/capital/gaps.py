"""What is not known of a capital plan, what speaks against its dates, and what all such figures are worth."""

from collections.abc import Iterator

from swardcost_model.capital_plans import Prerequisite

from swardcost_api.capital.service import CountedProject, PlanAsset, renewals
from swardcost_api.engine.capital.lives import due_year
from swardcost_api.packets.capital.telling import Telling, asset_name
from swardcost_api.packets.document import Cautions, Listing, Paragraph, Part, Section


def missing(telling: Telling) -> Iterator[Part]:
    """The figures that are missing, each named with what it keeps from being known."""
    say = telling.say
    yield Section("missing", say("Missing figures"))
    found = tuple(_gaps(telling))
    if found:
        yield Paragraph(say("What is not known counts in no sum; it is not taken to be nothing."))
        yield Listing(found)
    else:
        yield Paragraph(say(
            "Nothing is missing: every project has a year, a cost and its scores, and of every asset that is replaced "
            "the cost, the life and the age are known."
        ))  # fmt: skip


def cautions(telling: Telling) -> Iterator[Part]:
    """What to mind: first what is wrong with this plan, then what holds for every plan."""
    say = telling.say
    yield Section("cautions", say("Cautions"))
    general = (
        say(
            "Costs are estimates for planning, not an offer. Local codes and licensed practice come first: let "
            "engineers and contractors who are licensed where you are judge structures, water, power and safety before "
            "money is committed."
        ),
        say(
            "Growth of costs, interest, lives and incomes are assumptions. Each will turn out otherwise; look at the "
            "plan again every year."
        ),
    )
    yield Cautions((*_of_plan(telling), *general))


def _gaps(telling: Telling) -> Iterator[str]:
    say, counted = telling.say, telling.facts.counted
    assets = {one.id: one for one in counted.assets}
    for project in counted.projects:
        label = telling.label(project.stated)
        if project.stated.year is None:
            yield say("%(project)s: not dated; it is in no year and no sum.", project=label)
        kinds = {one.kind for one in project.gaps}
        if "project_cost" in kinds:
            unpriced = [
                asset_name(assets[one])
                for one in project.stated.asset_ids
                if one in assets and assets[one].cost is None
            ]
            yield say(
                "%(project)s: no cost, since it is not known what another one costs of: %(assets)s.",
                project=label, assets=telling.listed(unpriced),
            )  # fmt: skip
        if "asset_gone" in kinds:
            yield say(
                "%(project)s: no cost, since an asset that it replaces is no longer there.", project=label
            )
        if "project_score" in kinds:
            scored = {one.criterion for one in project.stated.scores}
            lacking = [one.name for one in counted.plan.criteria if one.name not in scored]
            yield say(
                "%(project)s: not scored by %(criteria)s.", project=label, criteria=telling.listed(lacking)
            )
    for asset in counted.assets:
        if asset.replaced and asset.gap is not None:
            yield _asset_gap(telling, asset)


def _asset_gap(telling: Telling, asset: PlanAsset) -> str:
    assert asset.gap is not None
    say, named = telling.say, asset_name(asset)
    if asset.gap[0] == "asset_cost":
        return say(
            "%(asset)s: in no fully funded balance, since it is not known what another one costs.",
            asset=named,
        )
    if asset.gap[0] == "asset_life":
        return say(
            "%(asset)s: in no fully funded balance, since it is not known how long it lasts.", asset=named
        )
    return say(
        "%(asset)s: in no fully funded balance, since it is not known since when it is in use.", asset=named
    )


def _of_plan(telling: Telling) -> Iterator[str]:
    say, counted = telling.say, telling.facts.counted
    by_id = telling.facts.counted_by_id
    years = telling.facts.figures.years
    below = [str(one.year) for one in years if one.below_floor]
    if below:
        yield say("The reserve is below its floor at the end of: %(years)s.", years=", ".join(below))
    over = [str(one.year) for one in years if one.over_spending_limit]
    if over:
        yield say("The spending limit is passed in: %(years)s.", years=", ".join(over))
    closed = [str(one.year) for one in years if one.over_closure_limit]
    if closed:
        yield say(
            "More days of closure than the plan allows are asked for in: %(years)s.", years=", ".join(closed)
        )
    for project in counted.projects:
        for need in project.stated.prerequisites:
            yield from _too_soon(telling, project, by_id[need.project_id], need)
    yield from _apart(telling)
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
    due = list(_not_replaced(telling))
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


def _apart(telling: Telling) -> Iterator[str]:
    found = telling.facts.counted.projects
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


def _not_replaced(telling: Telling) -> Iterator[str]:
    """Assets that fall due within the plan, at first or again, and that no dated project replaces from then on."""
    counted = telling.facts.counted
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
