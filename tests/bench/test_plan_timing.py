"""Placing 40 projects in a plan of 25 years beside 120 assets, to a proven gap under 1 %, and why each one moved.

The limits are seconds and not ratios, since the requirement is: 10 s on two cores. There is no floor in the same run
that does the same by other means; trying all placements would not end. The seconds are those of the processor, of all
threads of this process, so that others at work on the machine do not count.
"""

import random
import time
from collections.abc import Callable
from decimal import Decimal

import pytest
from big_capital_plan import big_plan
from swardcost_api.engine.capital.candidates import After, Candidate, Limits, Question, ReserveLimit
from swardcost_api.engine.capital.growth import grown
from swardcost_api.engine.capital.kept_limits import broken_limits
from swardcost_api.engine.capital.reserve import Flows, InterestTerms
from swardcost_api.engine.capital.timing import EFFORT, Timing, best_timing
from swardcost_api.engine.capital.why_moved import SECONDS as REASON_SECONDS
from swardcost_api.engine.capital.why_moved import why_moved

pytestmark = pytest.mark.bench

YEARS, PROJECTS, ASSETS = 25, 40, 120
SECONDS, GAP_PERCENT, SECONDS_OF_REASONS = 10.0, Decimal(1), 15.0
GROWTH = Decimal("4.1")


def assets_due(source: random.Random) -> list[int]:
    """What replacing the assets costs in each year, in minor units."""
    spent = [0] * YEARS
    for _ in range(ASSETS):
        life, cost = source.randint(6, 30), source.randint(800_000, 25_000_000)
        for year in range(source.randint(0, life - 1), YEARS, life):
            spent[year] += grown(cost, GROWTH, year)
    return spent


def projects(source: random.Random) -> list[Candidate]:
    """Projects of one to three phases; each eighth required, each fifth after another, two pairs together.

    They cost about twice what the plan can pay for, so that there is much to choose.
    """
    found = []
    for number in range(PROJECTS):
        phases = [source.randint(4_000_000, 90_000_000) for _ in range(source.choice([1, 1, 1, 2, 2, 3]))]
        earliest = source.randint(0, 8)
        required = number % 8 == 0
        found.append(
            Candidate(
                key=f"{number:02}",
                name=f"Project {number}",
                costs_minor=[
                    [grown(minor, GROWTH, start + phase) for phase, minor in enumerate(phases)]
                    for start in range(YEARS)
                ],
                closure_days=tuple(source.randint(0, 16) for _ in phases),
                value=Decimal(source.randint(20, 100)) / 10,
                earliest=earliest,
                latest=min(earliest + source.randint(6, 18), YEARS - len(phases)),
                required=required,
                after=(After(f"{number - 1:02}", source.randint(0, 2)),)
                if number % 5 == 0 and number
                else (),
                together={11: "A", 12: "A", 23: "B", 24: "B"}.get(number),
            )
        )
    return found


def question(seed: int) -> Question:
    source = random.Random(seed)
    due = assets_due(source)
    candidates = projects(source)
    income = sum(due) // YEARS + 60_000_000
    reserve = ReserveLimit(
        180_000_000,
        tuple(
            Flows(grown(income, Decimal(3), year) * 7 // 10, spending_minor=due[year])
            for year in range(YEARS)
        ),
        InterestTerms(Decimal("2.5"), "average_balance"),
        (20_000_000,) * YEARS,
    )
    limits = Limits(tuple(grown(120_000_000, GROWTH, year) for year in range(YEARS)), (36,) * YEARS, reserve)
    return Question(2027, YEARS, candidates, limits, Decimal(4))


PLANS: dict[str, Callable[[], Question]] = {
    **{f"twice the means, {seed}": lambda seed=seed: question(seed) for seed in (3, 6, 8)},  # type: ignore[misc]
    **{
        f"a course on {means} % of its means, {seed}": lambda seed=seed, means=means: big_plan(  # type: ignore[misc]
            seed, means
        ).timing_question()
        for seed, means in ((1, 65), (2, 65), (3, 80))
    },
}


@pytest.mark.parametrize("plan", PLANS)
def test_a_long_plan_is_placed_and_explained_in_time(plan: str) -> None:
    asked = PLANS[plan]()
    began = time.process_time()
    timing = best_timing(asked, EFFORT)
    seconds = time.process_time() - began
    assert isinstance(timing, Timing)
    assert not broken_limits(asked, timing.done)
    assert timing.gap_percent < GAP_PERCENT
    began = time.process_time()
    reasons = why_moved(asked, timing, REASON_SECONDS)
    seconds_of_reasons = time.process_time() - began
    print(
        f"\n  {PROJECTS} projects in {YEARS} years, {plan}: {seconds:.2f} s of at most {SECONDS:g} s, "
        f"gap {timing.gap_percent} % of less than {GAP_PERCENT} %; {len(reasons)} reasons in "
        f"{seconds_of_reasons:.2f} s of at most {SECONDS_OF_REASONS:g} s",
        end="",
    )
    assert seconds < SECONDS
    assert seconds_of_reasons < SECONDS_OF_REASONS
    assert all(one.lost is not None or one.conflict is not None for one in reasons)
