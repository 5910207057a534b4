"""What speaks against a scenario, beside the cautions of its plan: which projects, and which years."""

from collections.abc import Sequence
from dataclasses import dataclass

from swardcost_model.capital_plans import PlanProject
from swardcost_model.plan_scenarios import ContributionByAmount

from swardcost_api.capital.counted_plans import CountedProject
from swardcost_api.capital.least_contributions import own_contributions
from swardcost_api.capital.plan_words import over_closure_limit, over_spending_limit
from swardcost_api.capital.scenarios import CountedScenario
from swardcost_api.capital.timings import worth_begun_in


@dataclass(frozen=True, slots=True)
class AgainstScenario:
    """Years in which limits are passed, or in which no contribution is left, and projects by what is wrong with them.

    `waiting` are those on which nothing is decided yet, `in_part` those whose last phases are after the plan.
    """

    over_spending: Sequence[int]
    over_closure: Sequence[int]
    no_contribution: Sequence[int]
    waiting: Sequence[CountedProject]
    in_part: Sequence[CountedProject]
    outside_window: Sequence[CountedProject]
    costless: Sequence[CountedProject]
    not_scored: Sequence[CountedProject]


def against(found: CountedScenario) -> AgainstScenario:
    """What speaks against a scenario that is possible."""
    counted, last = found.counted, found.counted.years[-1]
    dated = [one for one in counted.projects if one.stated.year is not None]
    return AgainstScenario(
        over_spending=[one.year for one in found.years if over_spending_limit(one)],
        over_closure=[one.year for one in found.years if over_closure_limit(counted, one)],
        no_contribution=_no_contribution(found),
        waiting=[one for one in counted.projects if one.stated.decision is None] if found.waiting else [],
        in_part=[
            one for one in dated
            if (one.stated.year or 0) <= last and one.last_year is not None and one.last_year > last
        ],
        outside_window=[one for one in dated if _outside_window(one.stated)],
        costless=[one for one in dated if one.cost_minor is None],
        not_scored=[
            one for one in dated if worth_begun_in(counted, one, found.late_percent, counted.years[0]) is None
        ],
    )  # fmt: skip


def _outside_window(stated: PlanProject) -> bool:
    year, earliest, latest = stated.year, stated.earliest, stated.latest
    assert year is not None
    return (earliest is not None and year < earliest) or (latest is not None and year > latest)


def _no_contribution(found: CountedScenario) -> list[int]:
    """Years in which more is taken from the plan's contribution than there is."""
    change = found.scenario.money.contribution
    if not isinstance(change, ContributionByAmount):
        return []
    own, more = own_contributions(found.base), found.base.minor(change.amount)
    return [year for year, minor in zip(found.base.years, own, strict=True) if minor + more < 0]
