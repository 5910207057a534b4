"""Best set and timing of a plan's projects: as good as trying all, and no limit broken by a cent."""

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from small_plans import (
    MONEY,
    a_project,
    a_question,
    a_reserve,
    another,
    best_by_trying_all,
    keeps_all,
    points,
    questions,
)
from swardcost_api.engine.capital.candidates import After, Question
from swardcost_api.engine.capital.kept_limits import broken_limits
from swardcost_api.engine.capital.reserve import projected
from swardcost_api.engine.capital.timing import EFFORT, NoTiming, Timing, best_timing
from swardcost_api.engine.capital.timing_model import Effort


def found(question: Question, effort: Effort = EFFORT) -> Timing:
    timing = best_timing(question, effort)
    assert isinstance(timing, Timing), timing
    return timing


def worth(question: Question) -> Decimal:
    """What the best plan is worth; below all others where there is none."""
    timing = best_timing(question)
    return timing.worth if isinstance(timing, Timing) else Decimal(-1)


@settings(max_examples=120, deadline=None)
@given(question=questions())
def test_no_other_placement_is_worth_more(question: Question) -> None:
    best = best_by_trying_all(question)
    timing = best_timing(question)
    if best is None:
        assert isinstance(timing, NoTiming)
        assert timing.conflict is not None
        return
    assert isinstance(timing, Timing)
    assert keeps_all(question, timing.done)
    assert timing.worth == points(question, timing.done) == best
    assert timing.gap_percent == 0


@settings(max_examples=40, deadline=None)
@given(question=questions(), data=st.data())
def test_a_higher_limit_never_lowers_the_worth(question: Question, data: st.DataObject) -> None:
    def raised(figures: tuple[int | None, ...]) -> tuple[int | None, ...]:
        year = data.draw(st.integers(0, question.years - 1))
        more = data.draw(st.none() | MONEY)
        now = figures[year]
        return (*figures[:year], None if now is None or more is None else now + more, *figures[year + 1 :])

    limits = question.limits
    wider = another(
        question,
        spending_minor=raised(limits.spending_minor),
        closure_days=raised(limits.closure_days),
        reserve=limits.reserve
        and replace(limits.reserve, opening_minor=limits.reserve.opening_minor + data.draw(MONEY)),
    )
    assert worth(wider) >= worth(question)


@settings(max_examples=40, deadline=None)
@given(question=questions(), data=st.data())
def test_a_further_prerequisite_never_raises_the_worth(question: Question, data: st.DataObject) -> None:
    assume(len(question.candidates) > 1)
    later, before = data.draw(st.permutations(list(question.candidates)))[:2]
    link = After(before, data.draw(st.integers(0, 3)))
    tied = [
        replace(one, after=(*one.after, link)) if one.key == later else one
        for one in question.candidates.values()
    ]
    assert worth(another(question, tied)) <= worth(question)


@settings(max_examples=40, deadline=None)
@given(question=questions(), data=st.data())
def test_the_order_in_which_projects_come_changes_nothing(question: Question, data: st.DataObject) -> None:
    shuffled = data.draw(st.permutations(list(question.candidates.values())))
    assert best_timing(another(question, shuffled)) == best_timing(question)


@settings(max_examples=40, deadline=None)
@given(question=questions())
def test_the_figures_of_each_year_are_those_of_the_projection(question: Question) -> None:
    timing = best_timing(question)
    assume(isinstance(timing, Timing))
    assert isinstance(timing, Timing)
    spent, days = [0] * question.years, [0] * question.years
    for key, start in timing.done.items():
        one = question.candidates[key]
        for phase, minor in enumerate(one.costs_minor[start]):
            spent[start + phase] += minor
            days[start + phase] += one.closure_days[phase]
    assert (list(timing.spending_minor), list(timing.closure_days)) == (spent, days)
    reserve = question.limits.reserve
    if reserve is None:
        assert timing.reserve == ()
    else:
        flows = [
            replace(one, spending_minor=one.spending_minor + more)
            for one, more in zip(reserve.flows, spent, strict=True)
        ]
        assert timing.reserve == projected(reserve.opening_minor, flows, reserve.interest)


def test_two_large_projects_a_cent_above_the_limit_are_not_done_in_one_year() -> None:
    large = 250_000_000_000
    pair = [a_project(key, large, years=1) for key in "AB"]
    assert found(a_question(*pair, years=1, spending=[2 * large])).done == {"A": 0, "B": 0}
    assert found(a_question(*pair, years=1, spending=[2 * large - 1])).done == {"A": 0}


def test_a_floor_missed_by_a_cent_puts_a_project_off() -> None:
    """1,000,000.03 earns 2.5 %: 25,000.00 (25,000.00075 rounded), so that 25,000.03 can be spent on a floor."""
    project = a_project("A", 2_500_003, years=2)
    kept = a_reserve(100_000_003, [100_000_000, None], "2.5")
    assert found(a_question(project, years=2, reserve=kept)).done == {"A": 0}
    missed = a_reserve(100_000_003, [100_000_001, None], "2.5")
    assert found(a_question(project, years=2, reserve=missed)).done == {"A": 1}


@pytest.mark.parametrize(("on", "affordable"), [("opening_balance", 1_100), ("average_balance", 1_000)])
def test_interest_is_earned_on_the_balance_that_is_asked_for(on: str, affordable: int) -> None:
    """1,000 earn 10 %; spending x on an average balance: 1,000 - x + (1,000 - x / 2) / 10, so 1,047.6 at most."""
    reserve = a_reserve(1_000, [0], "10", on)
    for more, done in ((0, True), (100, False)):
        project = a_project("A", affordable + more, years=1)
        assert bool(found(a_question(project, years=1, reserve=reserve)).done) is done


def test_a_balance_below_zero_earns_nothing_and_is_charged_nothing() -> None:
    """-1,000 stays so until 1,200 come in each year; then 200, 1,420 and 2,762 with 10 % on what was there."""
    reserve = a_reserve(-1_000, [None, None, None, 0], "10", income=1_200)
    project = a_project("A", 2_762 + 1_200 + 276)
    assert found(a_question(project, reserve=reserve)).done == {"A": 3}
    assert not found(a_question(replace(project, costs_minor=[(4_239,)] * 4), reserve=reserve)).done


def test_of_equals_the_first_key_starts_first() -> None:
    projects = [a_project(key, 100) for key in "DBCA"]
    timing = found(a_question(*projects, spending=[100] * 4, late="0"))
    assert timing.done == {"A": 0, "B": 1, "C": 2, "D": 3}


def test_a_project_with_phases_is_done_within_the_plan_or_not_at_all() -> None:
    road = a_project("A", 10, 10, 10, earliest=1)
    assert found(a_question(road)).done == {"A": 1}
    assert found(a_question(replace(road, earliest=2))).starts == {"A": None}


def test_partners_start_together_and_followers_later() -> None:
    timing = found(
        a_question(
            a_project("A", 60, together="pond", earliest=1),
            a_project("B", 60, together="pond"),
            a_project("C", 60, after=(After("B", 2),)),
            spending=[120] * 4,
        )
    )
    assert timing.done == {"A": 1, "B": 1, "C": 3}


def test_worth_falls_with_each_year_by_what_is_stated() -> None:
    """8 points, 3 % less for each of two years: 7.5272."""
    timing = found(a_question(a_project("A", 10, earliest=2, value=Decimal(8))))
    assert (timing.worth, timing.bound) == (Decimal("7.5272"), Decimal("7.5272"))


def test_without_time_the_plan_is_worse_but_keeps_every_limit_and_says_so() -> None:
    """More than three projects would have to move at once: A out, and three for it in."""
    question = a_question(
        a_project("A", 60, value=Decimal(5)),
        *(a_project(key, 25, value=Decimal(2)) for key in "BCDE"),
        spending=[100, 0, 0, 0],
    )
    timing = found(question, Effort(1, 0.0))
    assert timing.done == {"A": 0, "B": 0}
    assert not broken_limits(question, timing.done)
    assert (timing.bound, timing.gap_percent) == (Decimal(13), Decimal("46.16"))
    assert found(question).done == dict.fromkeys("BCDE", 0)


def test_without_time_and_without_a_plan_nothing_is_claimed() -> None:
    question = a_question(a_project("A", 60, required=True), spending=[50] * 4)
    assert best_timing(question, Effort(1, 0.0)) == NoTiming(None)


@pytest.mark.parametrize(
    ("fault", "said"),
    [
        ({"value": Decimal(0)}, "value above zero"),
        ({"earliest": 3, "latest": 2}, "window within the plan"),
        ({"latest": 4}, "window within the plan"),
        ({"wanted": 3, "latest": 2}, "wanted year within its window"),
        ({"closure_days": (-1,)}, "zero or more closure days"),
        ({"costs_minor": [(5,)] * 3}, "a cost of zero or more for each phase from year 3"),
        ({"costs_minor": [(5, 5)] * 4}, "a cost of zero or more for each phase from year 0"),
        ({"after": (After("B"),)}, "another project"),
        ({"after": (After("A"),)}, "another project"),
    ],
)
def test_what_is_no_project_of_the_plan_is_refused(fault: dict[str, object], said: str) -> None:
    with pytest.raises(ValueError, match=said):
        a_question(replace(a_project("A", 10), **fault))  # type: ignore[arg-type]


def test_limits_that_do_not_fit_the_years_are_refused() -> None:
    with pytest.raises(ValueError, match="spending limits: expected one for each of 4 years; got 3"):
        a_question(spending=[1, 2, 3])
    with pytest.raises(ValueError, match="expected zero or more; got -1"):
        a_question(spending=[-1, 2, 3, 4])
    with pytest.raises(ValueError, match="a key twice"):
        a_question(a_project("A", 1), a_project("A", 2))
