"""What is not known of a capital plan, what speaks against its dates, and what all such figures are worth."""

from collections.abc import Iterator

from swardcost_api.capital.service import PlanAsset
from swardcost_api.packets.capital.plan_cautions import plan_cautions
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
        yield Paragraph(" ".join(_known(telling)))


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


def _known(telling: Telling) -> Iterator[str]:
    """That of what there is nothing is missing."""
    say, plan = telling.say, telling.facts.plan
    if not telling.facts.counted.projects:
        yield telling.no_projects()
    elif plan.criteria:
        yield say("Nothing is missing of the projects: every one has a year, a cost and its scores.")
    else:
        yield say("Nothing is missing of the projects: every one has a year and a cost.")
    assets = telling.facts.counted.assets
    if not assets:
        yield say("The register has no assets.")
    elif not any(one.replaced for one in assets):
        yield say("No asset of the register is replaced when its life has ended.")
    else:
        yield say("Of every asset that is replaced the cost, the life and the age are known.")


def _gaps(telling: Telling) -> Iterator[str]:
    say, counted = telling.say, telling.facts.counted
    assets = telling.facts.assets
    for project in counted.projects:
        label = telling.label(project.stated)
        if project.stated.year is None:
            yield say("%(project)s: not dated; it is in no year and no sum.", project=label)
        kinds = {one.kind for one in project.gaps}
        if "project_cost" in kinds and project.stated.estimate_id is not None:
            yield say("%(project)s: no cost, since its estimate is not complete.", project=label)
        elif "project_cost" in kinds:
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
    say, years = telling.say, telling.facts.figures.years
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
    yield from plan_cautions(telling, telling.facts.counted)
