"""How a project of a locked plan is carried on into the next one."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any
from uuid import UUID

from swardcost_model.capital_plans import (
    Decided,
    Phase,
    PlanFields,
    PlanProjectFields,
    ProjectDecision,
)
from swardcost_model.plan_succession import HowCarried
from swardcost_model.values import Money

from swardcost_api.capital.counted_plans import CountedPlan, CountedProject
from swardcost_api.capital.project_checks import beginnings
from swardcost_api.engine.capital.growth import grown
from swardcost_api.reports.service import BudgetMoney

_HUNDRED = Decimal(100)


@dataclass(frozen=True, slots=True)
class Carried:
    """What becomes of a project: how it is carried on, as what, and in words; nothing of it where it is not."""

    how: HowCarried
    fields: PlanProjectFields | None
    words: str


def carried(
    counted: CountedPlan,
    project: CountedProject,
    budget: BudgetMoney | None,
    following: PlanFields,
    assets: Collection[UUID],
) -> Carried:
    """What becomes of a project of a locked plan in the plan that follows.

    Parameters
    ----------
    counted, project
        The locked plan and one of its projects.
    budget
        Its money, where it was opened and has a budget.
    following
        The next plan, whose price year is the same.
    assets
        Those of the club as they are now; others fall out of the project, unless nothing else says what it costs.
    """
    stated = project.stated
    if stated.completion is not None:
        return Carried("finished", None, f"Finished in {stated.completion.year}.")
    decision = stated.decision
    if decision is not None and decision.decided is Decided.DECLINED:
        return Carried("declined", None, f"Declined by {_by(decision)}.")
    if decision is not None and decision.decided is Decided.DEFERRED:
        year, to = decision.deferred_to, decision.deferred_to
        named = "to no year in particular" if to is None else f"to {to}"
        return _dated("deferred", project, year, following, assets, f"Deferred {named} by {_by(decision)}.")
    if budget is not None:
        return _under_way(counted, project, budget, following, assets)
    if stated.year is None:
        return _dated("undated", project, None, following, assets, "Not dated, as before.")
    if stated.year < following.first_year:
        words = f"Not begun in {stated.year}; dated in the first year."
        return _dated("not_begun", project, following.first_year, following, assets, words)
    return _dated("as_dated", project, stated.year, following, assets, f"As dated, {stated.year}.")


def _by(decision: ProjectDecision) -> str:
    words = f"{decision.decided_by} on {decision.decided_at.date().isoformat()}"
    return f"{words} ({decision.conditions})" if decision.conditions else words


def _under_way(
    counted: CountedPlan,
    project: CountedProject,
    budget: BudgetMoney,
    following: PlanFields,
    assets: Collection[UUID],
) -> Carried:
    """With what is to come of its budget, in the phases that are left, at the prices of the price year."""
    first = following.first_year
    year = max(project.stated.year or first, first)
    done = 0 if project.stated.year is None else max(0, first - project.stated.year)
    phases = _rescaled(project.stated.phases[done:]) or [Phase(percent=_HUNDRED)]
    # What is to come is told in today's money; so that the first year has it, it is brought back to the price year.
    at_prices = grown(budget.to_come_minor, project.growth_percent, counted.price_year - year)
    words = (
        f"Under way: {counted.words(budget.cost_minor)} spent by the end of {budget.through}, "
        f"{counted.words(budget.to_come_minor)} to come."
    )
    return _dated(
        "under_way", project, year, following, assets, words, phases=phases, cost=counted.money(at_prices),
        estimate_id=None,
    )  # fmt: skip


def _rescaled(phases: Sequence[Phase]) -> list[Phase]:
    """Phases whose percents sum to a hundred again; the last takes what rounding leaves."""
    whole = sum(one.percent for one in phases)
    if not phases or whole == _HUNDRED:
        return list(phases)
    if not whole:
        return [Phase(percent=_HUNDRED, closure_days=max(one.closure_days for one in phases))]
    percents = [(one.percent * 100 / whole).quantize(Decimal("0.0001")) for one in phases[:-1]]
    percents.append(_HUNDRED - sum(percents))
    return [
        Phase(percent=percent, closure_days=one.closure_days)
        for percent, one in zip(percents, phases, strict=True)
    ]


def _dated(
    how: HowCarried,
    project: CountedProject,
    year: int | None,
    following: PlanFields,
    assets: Collection[UUID],
    words: str,
    **changes: Any,
) -> Carried:
    """The project from a year on, within the years of the plan that follows; undated where they end before it."""
    stated = project.stated
    kept = {name: getattr(stated, name) for name in PlanProjectFields.model_fields} | changes
    kept |= {"moved_because": "", "asset_ids": [one for one in stated.asset_ids if one in assets]}
    if kept["cost"] is None and kept["estimate_id"] is None and not kept["asset_ids"]:
        if project.cost_minor is None:
            # It still names them, so that its cost is missing and not nothing.
            kept["asset_ids"] = stated.asset_ids
            words += " Its assets are no longer there, and nobody knows what it costs."
        else:
            kept["cost"] = Money.of_minor(project.cost_minor, following.money.opening_reserve.currency)
            words += " Its assets are no longer there; their cost of then stands."
    can_begin = beginnings(following, PlanProjectFields(**kept))
    earliest, latest = stated.earliest, stated.latest
    if year is not None and year not in can_begin:
        if can_begin and year < can_begin[0]:
            year = can_begin[0]
        else:
            words += f" It cannot begin in {year}: the plan ends before its work would."
            year = None
    if year is not None:
        earliest = None if earliest is None else min(earliest, year)
        latest = None if latest is None else max(latest, year)
    kept |= {"year": year, "earliest": _within(earliest, can_begin), "latest": _within(latest, can_begin)}
    return Carried(how, PlanProjectFields(**kept), words)


def _within(year: int | None, can_begin: range) -> int | None:
    """A bound in the plan that follows; none where it would be no bound there."""
    if year is None or not can_begin:
        return None
    return min(max(year, can_begin[0]), can_begin[-1])
