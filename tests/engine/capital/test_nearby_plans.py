"""Plans that differ in a few projects: the best of them is the best that trying all of them finds."""

from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from small_plans import (
    a_project,
    a_question,
    a_reserve,
    all_placements,
    another,
    keeps_all,
    points,
    questions,
)
from swardcost_api.engine.capital.candidates import After, Question, Starts, in_points
from swardcost_api.engine.capital.improving import improved, mended, polished
from swardcost_api.engine.capital.kept_limits import broken_limits
from swardcost_api.engine.capital.nearby_plans import NearbyPlans


def moved(question: Question, one: Starts, other: Starts) -> int:
    """How many of the things that start together are elsewhere in another plan."""
    return sum(one.get(bundle.key) != other.get(bundle.key) for bundle in question.bundles)


def kept(question: Question) -> list[Starts]:
    return [one for one in all_placements(question) if keeps_all(question, one)]


def starts_of(question: Question) -> Iterator[tuple[str, int]]:
    return ((bundle.key, start) for bundle in question.bundles for start in bundle.starts)


@settings(max_examples=120, deadline=None)
@given(question=questions(), data=st.data())
def test_the_best_plan_with_a_project_in_a_year_is_that_of_trying_all(
    question: Question, data: st.DataObject
) -> None:
    plans = kept(question)
    assume(plans)
    base = data.draw(st.sampled_from(plans))
    elsewhere = [(key, start) for key, start in starts_of(question) if base.get(key) != start]
    assume(elsewhere)
    key, start = data.draw(st.sampled_from(elsewhere))
    most_moves = data.draw(st.integers(0, 3))
    near = [one for one in plans if one.get(key) == start and moved(question, one, base) <= most_moves + 1]
    found = NearbyPlans(question, base).best_with(key, start, most_moves)
    if found is None:
        assert not near
        return
    assert keeps_all(question, found)
    assert found[key] == start
    best = max(points(question, one) for one in near)
    assert points(question, found) == best
    fewest = min(moved(question, one, base) for one in near if points(question, one) == best)
    assert moved(question, found, base) == fewest


@settings(max_examples=120, deadline=None)
@given(question=questions(), data=st.data())
def test_a_better_plan_is_found_wherever_few_moves_make_one(question: Question, data: st.DataObject) -> None:
    plans = kept(question)
    assume(plans)
    base = data.draw(st.sampled_from(plans))
    most_moves = data.draw(st.integers(1, 3))
    best = max(points(question, one) for one in plans if moved(question, one, base) <= most_moves)
    found = NearbyPlans(question, base).better(most_moves)
    if found is None:
        assert best == points(question, base)
    else:
        assert keeps_all(question, found)
        assert points(question, found) == best > points(question, base)
    final = polished(question, base, most_moves)
    assert keeps_all(question, final)
    assert points(question, final) >= best


@settings(max_examples=80, deadline=None)
@given(question=questions(), data=st.data())
def test_what_is_mended_keeps_the_limits_by_leaving_projects_out(
    question: Question, data: st.DataObject
) -> None:
    wide = another(
        question,
        spending_minor=(None,) * question.years,
        closure_days=(None,) * question.years,
        reserve=None,
    )
    plans = kept(wide)
    assume(plans)
    base = data.draw(st.sampled_from(plans))
    found = mended(question, base)
    if found:
        assert set(found.items()) <= set(base.items())
        assert not broken_limits(question, found)
    for required in (one for one in question.candidates.values() if one.required):
        assert not found or required.key in found


def test_the_project_worth_least_is_left_out_with_what_needs_it() -> None:
    question = a_question(
        a_project("A", 60, value=Decimal(2)), a_project("B", 10, value=Decimal(9), after=(After("A"),)),
        a_project("C", 60, value=Decimal(4)), spending=[120, 0, 0, 0],
    )  # fmt: skip
    assert mended(question, {"A": 0, "B": 0, "C": 0}) == {"A": 0, "B": 0}
    required = [replace(one, required=one.key == "C") for one in question.projects]
    tight = another(question, required, spending_minor=(65, 0, 0, 0))
    assert mended(tight, {"A": 0, "B": 0, "C": 0}) == {"C": 0}
    assert improved(tight, {}) == {"C": 0}


def test_what_cannot_be_mended_is_empty() -> None:
    question = a_question(a_project("A", 60, required=True), a_project("B", 10), spending=[50] * 4)
    assert mended(question, {"A": 0, "B": 1}) == {}


@pytest.mark.parametrize(("opening", "done"), [(101, None), (102, {"A": 0})])
def test_what_rounding_the_interest_breaks_is_not_taken(opening: int, done: Starts | None) -> None:
    """1.4 % on about 100 is 1 in whole units, so that 101 less 1 are 102 after two years, where 103 have to be."""
    reserve = a_reserve(opening, [0, 103], "1.4")
    question = a_question(a_project("A", 1, years=2), years=2, reserve=reserve)
    assert NearbyPlans(question, {}).better(1) == done


def test_in_points_of_a_nearby_plan_are_those_told() -> None:
    question = a_question(
        a_project("A", 80, value=Decimal(3)), a_project("B", 70, value=Decimal(5)), spending=[100, 100, 0, 0],
        late="10",
    )  # fmt: skip
    found = NearbyPlans(question, {"B": 0, "A": 1}).best_with("A", 0, 3)
    assert found == {"A": 0, "B": 1}
    assert in_points(question.worth_of(found)) == Decimal("7.5")
