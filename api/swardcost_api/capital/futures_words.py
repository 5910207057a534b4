"""What the futures of a plan say in words: what follows, what speaks against them, and how they are drawn."""

from collections.abc import Iterator

from swardcost_model.plan_futures import FuturesShare, PlanFutures
from swardcost_model.values import Money

from swardcost_api.capital.decided_plans import DecidedPlan
from swardcost_api.capital.drawn_plans import DrawnPlan
from swardcost_api.capital.plan_assets import PlanAsset
from swardcost_api.capital.plan_words import listed
from swardcost_api.engine.capital.futures_drivers import Driver, Drivers
from swardcost_api.engine.capital.reserve import first_below, lowest

METHOD = (
    "Each future draws how long every asset with a range of life lasts, and what every project with a range of cost "
    "costs, from the triangle of least, likely and most; of growth and interest, where asked, one difference for all "
    "its years. Everything else is as in the plan and rounded alike, so that without ranges each future is the plan, "
    "to the minor unit.",
    "What is in use has lasted until the plan begins, so that only lives longer than that are drawn for it; part years "
    "count up. Years that somebody judged to be left vary in the proportion in which the life does.",
    "A project is done as dated, or in the year in which an asset that it replaces fails, if that is before: the part "
    "of the asset in the costs, or all of it where that is asked for. Where projects wait for failures they are done "
    "then, at most in their latest year.",
    "What fails when no project of the plan replaces it any more is replaced in that year at its own cost, which the "
    "reserve pays: an unplanned replacement. What is renewed begins a new life.",
    "Prerequisites, partners, limits of spending and closure days do not hold back what has failed, and nothing else "
    "is moved to make room.",
    "Every asset, project and rate has random numbers of its own from the seed, by its code or number, so that a "
    "change of one leaves the draws of the others as they are.",
)


def driver_words(driver: Driver, named: str) -> str:
    """What a driver does, in words."""
    does = {
        "life": f"The longer {named} lasts", "asset_cost": f"The more {named} costs",
        "project_cost": f"The more project {named} costs", "growth": "The more costs grow",
        "interest": "The more the reserve earns",
    }[driver.kind]  # fmt: skip
    return f"{does}, the {'less' if driver.rank_correlation < 0 else 'more'} is left where the reserve is lowest."


def conclusions(told: PlanFutures) -> Iterator[str]:
    """How probable a shortfall is, when, how low the reserve falls, what decides, and what would be enough."""
    if told.below_floor is None:
        yield from _one_future(told)
        return
    named = _floor(told)
    years = f"some year from {told.first_year} to {told.last_year}"
    yield (
        f"In {_percent(told.below_floor)} of the futures the reserve falls below {named} in "
        f"{years if len(told.years) > 1 else told.first_year}; {_interval(told.below_floor)}."
    )
    if told.floor.amount and told.below_zero is not None:
        yield f"In {_percent(told.below_zero)} it runs out; {_interval(told.below_zero)}."
    yield from _when(told)
    low, middle = (next(one for one in told.lowest_years if one.percent == percent) for percent in (5, 50))
    yield (
        f"The middle of the futures is lowest at the end of {middle.year}, at {_words(middle.closing)}; one in twenty "
        f"has at most {_words(low.closing)} at the end of {low.year}."
    )
    unplanned = sum(year.unplanned.amount for year in told.years)
    if unplanned:
        mean = Money(amount=unplanned, currency=told.floor.currency)
        most = listed([f"{one.code} ({one.name})" for one in told.unplanned[:3]])
        yield (
            f"Replacements that no project of the plan does cost {_words(mean)} in the mean of the futures; the most "
            f"often replaced: {most}."
        )
    if told.drivers:
        words = told.drivers[0].words
        yield f"What decides most: {words[0].lower()}{words[1:]}"
    yield from _enough(told)


def cautions(drawn: DrawnPlan, decided: DecidedPlan, told: PlanFutures, drivers: Drivers) -> Iterator[str]:
    """What speaks against taking the futures as they are."""
    if not told.all_alike:
        yield (
            "Lives and costs are drawn independently of one another. Where neglect or dear years touch many at once, "
            "the real fan is wider than this one."
        )
    if drivers.significant > len(drivers.told):
        yield f"Of {drivers.significant} figures that decide the {len(drivers.told)} strongest are told."
    yield from _of_assets(drawn)
    fixed = [
        drawn.projects[one.key].label for one in drawn.uncertain.projects
        if not drawn.uncertain.has_cost_range(one) and any(one.phases_minor)
    ]  # fmt: skip
    if fixed and not told.all_alike:
        yield f"These projects have no range of cost, and cost what the plan says: {listed(fixed)}."
    without = [one.label for one in drawn.projects.values() if one.cost_minor is None]
    if without:
        yield f"Without what these projects cost, which nobody knows: {listed(without)}."
    if told.left_out:
        yield f"Not in the plan as it is counted here: {listed(told.left_out)}."
    if decided.waiting:
        yield f"Nothing is decided yet on these projects, which count as dated: {listed(decided.waiting)}."
    if decided.after_plan:
        yield f"Deferred to after the last year of the plan: {listed(decided.after_plan)}."


def _of_assets(drawn: DrawnPlan) -> Iterator[str]:
    """Assets of which something is not drawn, or not known, or that are older than they can be."""
    replaced = [one for one in drawn.assets.values() if one.replaced]
    living = drawn.uncertain.asset
    fixed = [one for one in replaced if not living[one.code].drawn]
    if fixed:
        yield (
            "The lives of these assets have no range; they are renewed as dated, and where no project is dated they "
            f"are not renewed at all: {_listed(fixed)}."
        )
    ages = [one for one in replaced if living[one.code].drawn and living[one.code].present is None]
    if ages:
        yield (
            "Nobody knows when these assets are due, so that only what is put in their place has a drawn life: "
            f"{_listed(ages)}."
        )
    costless = [one for one in replaced if one.cost is None and living[one.code].drawn]
    if costless:
        yield (
            "Nobody knows what these assets cost, so that no unplanned replacement of them is in the sums: "
            f"{_listed(costless)}."
        )
    old = [one for one in replaced if living[one.code].outlived]
    if old:
        yield f"Older than their longest life, and taken to fail in the first year: {_listed(old)}."


def _one_future(told: PlanFutures) -> Iterator[str]:
    """What the plan itself shows, where it is the only future."""
    yield (
        "Nothing in this plan is given as a range: no life, no cost, no percentage. So there is one future only, the "
        "plan itself, and nothing can be said of how probable a shortfall is. That does not make the plan certain."
    )
    named = _floor(told)
    closings = [one.closing_in_plan.amount for one in told.years]
    least = told.years[lowest(closings)]
    ends = f"it is lowest at the end of {least.year}, with {_words(least.closing_in_plan)}"
    below = first_below(closings, told.floor.amount)
    if below is None:
        yield f"In that future the reserve never falls below {named}; {ends}."
        return
    first = told.years[below]
    short = _words(told.floor - first.closing_in_plan)
    yield f"In that future the reserve falls below {named}, first in {first.year}, by {short}; {ends}."
    if told.enough is not None:
        yield f"{_words(told.enough.more_a_year)} more in every year would keep it from that."


def _floor(told: PlanFutures) -> str:
    return f"its floor of {_words(told.floor)}" if told.floor.amount else "zero"


def _when(told: PlanFutures) -> Iterator[str]:
    first = [(one.first_below_floor, one.year) for one in told.years if one.first_below_floor is not None]
    share, year = max(first, key=lambda one: (one[0].futures, -one[1]))
    if share.futures:
        yield f"The first shortfall comes most often in {year}, in {_percent(share)} of the futures."


def _enough(told: PlanFutures) -> Iterator[str]:
    if told.enough is None:
        return
    percent = f"{told.enough.at_most_percent.normalize():f} percent"
    kept = f"the reserve below {_floor(told)} in at most {percent} of the futures"
    if told.enough.more_a_year.amount:
        yield f"{_words(told.enough.more_a_year)} more in every year leave {kept}."
    else:
        yield f"Nothing more is needed to leave {kept}."


def _percent(share: FuturesShare) -> str:
    return f"{share.percent.normalize():f} percent"


def _interval(share: FuturesShare) -> str:
    return f"for sampling error from {share.low.normalize():f} to {share.high.normalize():f} percent"


def _words(money: Money) -> str:
    return f"{money.amount:,f} {money.currency}"


def _listed(assets: list[PlanAsset]) -> str:
    return listed([f"{one.code} ({one.name})" for one in assets])
