"""How far a budget reaches: the outermost value at which an estimate, priced anew, costs no more."""

from collections.abc import Iterator
from dataclasses import dataclass

from swardcost_model import choosing as answers
from swardcost_model.access import Club
from swardcost_model.choosing import BudgetReachQuestion, Want
from swardcost_model.problems import Fault
from swardcost_model.values import Money, from_minor, minor_unit

from swardcost_api.access.service import read_club
from swardcost_api.alternatives.break_even import told_search
from swardcost_api.alternatives.choosing_sides import move, read_estimate_cost, refuse_unsearchable
from swardcost_api.alternatives.moved_costs import (
    SideCost,
    cautions_of,
    in_words,
    refuse_unmoved,
    samples_for,
    shown,
)
from swardcost_api.alternatives.variables import refuse
from swardcost_api.derivations import steps_for
from swardcost_api.engine.derivation import Input, Step
from swardcost_api.engine.risk.goal_seek import At, Reach, largest_within, smallest_within
from swardcost_api.storage.work import UnitOfWork


@dataclass(frozen=True, slots=True)
class BudgetToReach:
    """A question with its estimate, read."""

    question: BudgetReachQuestion
    cost: SideCost
    club: Club

    @property
    def budget_minor(self) -> int:
        """The budget in whole minor units; a part of one buys nothing."""
        return int(self.question.budget.amount // minor_unit(self.cost.currency))

    def at(self, one: At) -> str:
        """A value with its unit, in words."""
        return in_words(one.value, self.cost.unit or "")

    def money(self, minor: int) -> str:
        """An amount in words."""
        return f"{from_minor(minor, self.cost.currency):,f} {self.cost.currency}"


def read_budget_reach(work: UnitOfWork, data: BudgetReachQuestion) -> BudgetToReach:
    """The estimate with what it is priced from.

    Raises `invalid-values` for bounds, a unit or a variable that does not fit, an estimate that the club does not have
    and a budget in another currency; `wrong-state` where its scope or prices have changed since it was priced.
    """
    refuse_unsearchable(data)
    cost = read_estimate_cost(work, data.estimate_id, data, "")
    if data.budget.currency != cost.currency:
        expected = f"an amount in {cost.currency}, the currency of the estimate"
        refuse([Fault(pointer="/budget/currency", expected=expected, got=data.budget.currency)])
    move(work, cost, data.variable, data, "/variable")
    return BudgetToReach(data, cost, read_club(work))


def find_reach(asked: BudgetToReach) -> answers.BudgetReach:
    """The largest or smallest value within the budget, with the cost there and at the next value.

    Raises `invalid-values` as `find_break_even` does.
    """
    question, cost = asked.question, asked.cost
    refuse_unmoved(cost, question)
    search = largest_within if question.want is Want.LARGEST else smallest_within
    found = search(
        cost.minor_at, asked.budget_minor, question.low, question.high, question.resolution,
        samples=samples_for(cost),
    )  # fmt: skip
    left = None if found.found is None else asked.budget_minor - found.found.cost_minor
    return answers.BudgetReach(
        low=question.low, high=question.high, resolution=question.resolution, unit=cost.unit or "",
        counts=question.counts, want=question.want, budget=question.budget, label=cost.label,
        estimate_id=question.estimate_id, moved=cost.words,
        as_estimated=Money.of_minor(cost.base_minor, cost.currency),
        found=_cost_at(asked, found.found), left_over=None if left is None else Money.of_minor(left, cost.currency),
        next_over=_cost_at(asked, found.next_over),
        over_short_of_it=[
            answers.OverBudget(first=_told(asked, start), last=_told(asked, end))
            for start, end in found.over_within
        ],
        all_fit=_all_fit(found), least=_told(asked, found.least), steady=found.steady,
        words=list(_conclusions(asked, found)), derivation=steps_for(_steps(asked, found), asked.club),
        searched=told_search(found.searched, cost.pricings), cautions=cautions_of(cost),
    )  # fmt: skip


def _all_fit(found: Reach) -> bool:
    return found.found is not None and found.next_over is None and not found.over_within


def _cost_at(asked: BudgetToReach, at: At | None) -> answers.CostAt | None:
    return None if at is None else _told(asked, at)


def _told(asked: BudgetToReach, at: At) -> answers.CostAt:
    return answers.CostAt(value=at.value, cost=Money.of_minor(at.cost_minor, asked.cost.currency))


def _steps(asked: BudgetToReach, found: Reach) -> Iterator[Step]:
    """How the cost comes about at the value found and at the next one, and what is left or missing there."""
    currency = asked.cost.currency
    budget = Input("budget", float(from_minor(asked.budget_minor, currency)), currency)
    for words, at in (
        ("at the value found", found.found),
        ("at the next value", found.next_over),
        ("at the least cost computed", found.least if found.found is None else None),
    ):
        if at is None:
            continue
        yield asked.cost.at(at.value).step
        cost = Input(f"cost {words}", float(from_minor(at.cost_minor, currency)), currency)
        value = Input(asked.cost.words, float(at.value), asked.cost.unit or "")
        left = float(from_minor(asked.budget_minor - at.cost_minor, currency))
        yield Step(
            f"left of the budget {words}",
            left,
            currency,
            f"budget - {cost.name}",
            (budget, cost, value),
            "search",
        )


def _conclusions(asked: BudgetToReach, found: Reach) -> Iterator[str]:
    """What was found, in sentences; and what a search by samples may have missed."""
    question, budget = asked.question, asked.money(asked.budget_minor)
    if found.found is None:
        least = found.least
        yield f"No value fits: even {asked.at(least)} costs {asked.money(least.cost_minor)}, the budget is {budget}."
    elif _all_fit(found):
        cost = asked.money(found.found.cost_minor)
        low = shown(question.low)
        high = in_words(question.high, asked.cost.unit or "")
        yield f"All values from {low} to {high} fit within {budget}; {asked.at(found.found)} costs {cost}."
    else:
        yield from _reached(asked, found, found.found)
    if not found.steady:
        yield "The cost rises and falls between the bounds, as where a price break makes more cost less."
    if not found.searched.every_value:
        words = found.searched.words
        yield f"{words[0].upper()}{words[1:]}."


def _reached(asked: BudgetToReach, found: Reach, outermost: At) -> Iterator[str]:
    largest = asked.question.want is Want.LARGEST
    most = "At most" if largest else "At least"
    there = f"{most} {asked.at(outermost)}: it costs {asked.money(outermost.cost_minor)} there"
    if found.next_over is None:
        bound = "upper" if largest else "lower"
        yield f"{there}, and this is the {bound} bound of the search."
    else:
        over = found.next_over
        yield f"{there}; {asked.at(over)} would cost {asked.money(over.cost_minor)}."
    if found.over_within:
        gaps = ", ".join(
            asked.at(start) if start.value == end.value else f"{shown(start.value)} to {asked.at(end)}"
            for start, end in found.over_within
        )
        short = "below" if largest else "above"
        yield f"Not every value {short} it fits: the budget is exceeded at {gaps}."
