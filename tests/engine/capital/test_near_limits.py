"""Twelve projects within cents of the limits: the best plan is found and proven, as trying all subsets has it.

The second opinion goes year by year: the best of every subset of projects done by then, from every smaller one.
"""

import random
from collections.abc import Callable
from decimal import Decimal

import numpy as np
import pytest
from small_plans import a_project, a_question, a_reserve
from swardcost_api.engine.capital.candidates import WORTH_PARTS, Question
from swardcost_api.engine.capital.kept_limits import broken_limits
from swardcost_api.engine.capital.timing import GAP, NODES, Timing, best_timing
from swardcost_api.engine.capital.timing_model import Effort

BASE = 30_000_000


def some_projects(source: random.Random, spread: int, projects: int = 12) -> list[tuple[int, Decimal]]:
    """Costs that differ by cents, and values that differ little."""
    return [(BASE + source.randint(0, spread), Decimal(source.randint(50, 60)) / 10) for _ in range(projects)]


def in_a_year(
    seed: int, years: int, spread: int, each: int, more: Callable[[random.Random], int]
) -> Question:
    """Projects of which `each` fit into a year, or one less, by cents."""
    source = random.Random(seed)
    made = some_projects(source, spread)
    return a_question(
        *(a_project(f"{n:02}", cost, years=years, value=value) for n, (cost, value) in enumerate(made)),
        years=years,
        spending=[each * BASE + more(source) for _ in range(years)],
    )


def best_by_subsets(question: Question, most_by: list[int] | None = None) -> Decimal:
    """The most that projects of one phase are worth within spending limits, or within sums spent by each year."""
    keys = list(question.candidates)
    subsets = np.arange(1 << len(keys))
    member = (subsets[:, None] >> np.arange(len(keys))) & 1
    best = np.where(subsets == 0, 0, -1)
    for year in range(question.years):
        costs = np.array([question.candidates[key].costs_minor[year][0] for key in keys])
        worth = member @ np.array([question.worth(key, year) for key in keys])
        spent, most = member @ costs, question.limits.spending_minor[year]
        before = best.copy()
        for chosen in np.flatnonzero(spent <= (np.inf if most is None else most)):
            beside = subsets[((subsets & chosen) == 0) & (before >= 0)]
            best[beside | chosen] = np.maximum(best[beside | chosen], before[beside] + worth[chosen])
        if most_by is not None:
            best[spent > most_by[year]] = -1
    return Decimal(int(best.max())) / WORTH_PARTS


FAMILIES: dict[str, Callable[[int], Question]] = {
    "one year, six of them or five": lambda seed: in_a_year(seed, 1, 20, 6, lambda s: s.randint(0, 120)),
    "three years, three or two": lambda seed: in_a_year(seed, 3, 9, 3, lambda s: s.randint(0, 27)),
    "a cent short for three": lambda seed: in_a_year(seed, 3, 3, 3, lambda s: -1),
    "further apart": lambda seed: in_a_year(seed, 3, 400, 2, lambda s: s.randint(0, 400)),
}


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize("family", FAMILIES)
def test_spending_within_cents_of_the_limits_is_proven(family: str, seed: int) -> None:
    question = FAMILIES[family](seed)
    timing = best_timing(question, Effort(NODES, 600.0, GAP))
    assert isinstance(timing, Timing)
    assert not broken_limits(question, timing.done)
    assert timing.gap_percent == 0
    assert timing.worth == best_by_subsets(question)


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize("on", ["opening_balance", "average_balance"])
def test_balances_within_cents_of_the_floor_are_proven(on: str, seed: int) -> None:
    """Without interest a floor is a limit of what is spent by the end of its year."""
    source = random.Random(seed)
    made = some_projects(source, 9, projects=10)
    income = 2 * BASE + 9
    projects = [a_project(f"{n:02}", cost, years=3, value=value) for n, (cost, value) in enumerate(made)]
    question = a_question(
        *projects, years=3, reserve=a_reserve(20_000_000, [20_000_000] * 3, "0", on, income)
    )
    timing = best_timing(question, Effort(NODES, 600.0, GAP))
    assert isinstance(timing, Timing)
    assert not broken_limits(question, timing.done)
    assert timing.gap_percent == 0
    assert timing.worth == best_by_subsets(question, [income * year for year in (1, 2, 3)])
