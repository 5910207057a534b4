"""Conflicts of a plan's limits, and why a project is not in its wanted year: as trying all has it, and in words."""

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import assume, given, settings
from small_plans import (
    a_project,
    a_question,
    a_reserve,
    all_placements,
    another,
    best_by_trying_all,
    keeps_all,
    points,
    questions,
)
from swardcost_api.engine.capital import timing as timing_module
from swardcost_api.engine.capital import why_moved as why_module
from swardcost_api.engine.capital.candidates import After, Question
from swardcost_api.engine.capital.conflict_words import Part
from swardcost_api.engine.capital.conflicts import Conflict, conflict_in
from swardcost_api.engine.capital.kept_limits import Broken
from swardcost_api.engine.capital.moved_words import Move
from swardcost_api.engine.capital.timing import NoTiming, Timing, best_timing
from swardcost_api.engine.capital.why_moved import Reason, why_moved


def conflict(question: Question) -> Conflict:
    answer = best_timing(question)
    assert isinstance(answer, NoTiming), answer
    assert answer.conflict is not None
    return answer.conflict


def reasons(question: Question) -> tuple[Timing, dict[str, Reason]]:
    timing = best_timing(question)
    assert isinstance(timing, Timing), timing
    return timing, {reason.key: reason for reason in why_moved(question, timing)}


def only(question: Question, parts: Sequence[Part]) -> Question:
    """The question with nothing to keep but some parts, and windows and partners as they are."""
    kept = {(part.family, part.year, part.key, part.other) for part in parts}

    def figures(family: str, given: Sequence[int | None]) -> tuple[int | None, ...]:
        return tuple(one if (family, year, "", "") in kept else None for year, one in enumerate(given))

    candidates = [
        replace(
            one,
            required=("required", None, one.key, "") in kept,
            after=tuple(link for link in one.after if ("after", None, one.key, link.key) in kept),
        )
        for one in question.candidates.values()
    ]
    limits = question.limits
    reserve = limits.reserve and replace(
        limits.reserve, floors_minor=figures("floor", limits.reserve.floors_minor)
    )
    return another(
        question,
        candidates,
        spending_minor=figures("spending", limits.spending_minor),
        closure_days=figures("closure_days", limits.closure_days),
        reserve=reserve,
    )


def possible(question: Question) -> bool:
    return any(keeps_all(question, one) for one in all_placements(question))


@settings(max_examples=60, deadline=None)
@given(question=questions())
def test_a_conflict_stands_by_itself_and_not_without_any_part(question: Question) -> None:
    required = [replace(one, required=True) for one in question.candidates.values()]
    question = another(question, required)
    assume(not possible(question))
    found = conflict(question)
    assert found.narrowed
    assert not possible(only(question, found.parts))
    for part in found.parts:
        assert possible(only(question, [one for one in found.parts if one != part])), part


@settings(max_examples=60, deadline=None)
@given(question=questions())
def test_what_a_wanted_year_costs_is_what_trying_all_finds(question: Question) -> None:
    timing = best_timing(question)
    assume(isinstance(timing, Timing))
    assert isinstance(timing, Timing)
    told = {reason.key: reason for reason in why_moved(question, timing)}
    for key, one in question.candidates.items():
        start = timing.starts[key]
        assert (key in told) is (start is None or start > one.target)
    for key, reason in told.items():
        assert reason.broken, reason
        held = [
            replace(one, required=True, earliest=reason.target, latest=reason.target)
            if one.key == key
            else one
            for one in question.candidates.values()
        ]
        best = best_by_trying_all(another(question, held))
        assert reason.lost == (None if best is None else timing.worth - best)
        assert (reason.conflict is None) is (best is not None)
        if best is not None:
            assert reason.lost is not None
            assert reason.lost >= 0
            _moves_make_a_plan(question, timing, reason, best)


@settings(max_examples=40, deadline=None)
@given(question=questions())
def test_with_many_starts_to_choose_among_what_is_told_is_a_plan_all_the_same(question: Question) -> None:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(timing_module, "MOST_EXACT", 0)
        patch.setattr(why_module, "MOST_EXACT", 0)
        timing = best_timing(question)
        assume(isinstance(timing, Timing))
        assert isinstance(timing, Timing)
        told = why_moved(question, timing)
    best = best_by_trying_all(question)
    assert best is not None
    assert timing.worth <= best <= timing.bound
    assert timing.gap_percent <= Decimal("0.9")
    for reason in told:
        if reason.lost is None:
            assert reason.conflict is not None
        else:
            _moves_make_a_plan(question, timing, reason, timing.worth - reason.lost)


def _moves_make_a_plan(question: Question, timing: Timing, reason: Reason, best: Decimal) -> None:
    """The plan, changed by what a reason says, keeps every limit and is worth what it says."""
    together = question.candidates[reason.key].together
    with_it = dict(timing.done)
    for key, one in question.candidates.items():
        if key == reason.key or (together is not None and one.together == together):
            with_it[key] = reason.target
    for move in reason.gives_way:
        assert with_it.pop(move.key, None) == move.start
        if move.instead is not None:
            with_it[move.key] = move.instead
    assert keeps_all(question, with_it)
    assert points(question, with_it) == best


def test_two_required_projects_that_do_not_fit_are_named_with_their_years() -> None:
    found = conflict(
        a_question(
            a_project("pump", 90, name="Pump station", required=True, latest=1),
            a_project("bridge", 80, name="Bridge 4", required=True, latest=1),
            a_project("paths", 10, required=True),
            spending=[100, 70, 100, 100],
            days=[5] * 4,
            reserve=a_reserve(1_000, [0] * 4),
        )
    )
    assert found.words == (
        "With the spending limits of 2027 and 2028, the required projects 'Bridge 4' and 'Pump station' "
        "cannot both start by 2028."
    )


def test_floors_that_no_project_breaks_are_told_as_such() -> None:
    found = conflict(a_question(a_project("A", 5), reserve=a_reserve(10, [10, 11, 10, 12])))
    assert found.parts == (Part("floor", 3),)
    assert found.words == "Even without projects the balance is below the least balance at the end of 2030."


def test_an_order_that_does_not_fit_the_windows_is_told() -> None:
    found = conflict(
        a_question(
            a_project("A", 5, name="Drains", earliest=2),
            a_project("B", 5, name="Fairways", latest=3, after=(After("A", 2),), required=True),
        )
    )
    assert found.words == (
        "With 'Fairways' after 'Drains' by 2 years, the required project 'Fairways' cannot start by 2030."
    )


def test_a_window_without_a_year_is_told() -> None:
    long = a_project("A", 5, 5, name="Pond", required=True, earliest=3)
    assert conflict(a_question(long)).words == (
        "The required project 'Pond' cannot be done: the plan ends before the last phase of 'Pond'."
    )
    early = a_project("A", 5, name="Pond", required=True, latest=1, together="X")
    late = a_project("B", 5, name="Bank", earliest=2, together="X")
    assert conflict(a_question(early, late)).words == (
        "The required project 'Pond' (together with 'Bank') cannot be done: "
        "no such year is within the window of 'Bank'."
    )


@pytest.mark.parametrize(
    ("limits", "named"),
    [
        ({"days": [9, 9, 9, 9]}, "the closure days of 2027 to 2030"),
        ({"days": [9, None, 9, 9]}, None),
        ({"reserve": a_reserve(99, [0] * 4)}, "the least balance at the end of 2030"),
    ],
)
def test_the_limit_that_does_it_is_named(limits: dict[str, object], named: str | None) -> None:
    question = a_question(
        a_project("A", 100, name="Greens", closure_days=(10,), required=True),
        spending=[100] * 4,
        **limits,  # type: ignore[arg-type]
    )
    if named is None:
        assert isinstance(best_timing(question), Timing)
    else:
        expected = f"With {named}, the required project 'Greens' cannot start by 2030."
        assert conflict(question).words == expected


def test_a_project_pushed_by_money_names_who_would_give_way_and_the_loss() -> None:
    question = a_question(
        a_project("bunkers", 80, name="Bunkers, back nine", value=Decimal(3), wanted=0),
        a_project("paths", 70, name="Paths", value=Decimal(5)),
        spending=[100, 100, 0, 0],
        late="10",
    )
    timing, told = reasons(question)
    assert timing.done == {"paths": 0, "bunkers": 1}
    assert list(told) == ["bunkers"]
    found = told["bunkers"]
    assert (found.start, found.target, found.lost) == (1, 0, Decimal("0.2"))
    assert found.broken == (Broken("spending", 0, 50),)
    assert found.gives_way == (Move("paths", 0, 1),)
    assert found.words == (
        "'Bunkers, back nine' in 2027 would break the spending limit of 2027 beside the others as they are. "
        "It would push 'Paths' to 2028; the plan would be worth 0.2 points less."
    )


def test_a_project_that_fell_out_names_what_it_would_put_out() -> None:
    _, told = reasons(
        a_question(
            a_project("A", 80, name="Tees", value=Decimal(3)),
            a_project("B", 70, name="Paths", value=Decimal(5)),
            spending=[100, 0, 0, 0],
        )
    )
    assert told["A"].start is None
    assert told["A"].gives_way == (Move("B", 0, None),)
    assert told["A"].words.endswith("It would leave out 'Paths'; the plan would be worth 2 points less.")


def test_a_wanted_year_that_no_plan_has_is_told_by_the_limit() -> None:
    _, told = reasons(
        a_question(
            a_project("A", 80, name="Tees", wanted=1),
            a_project("B", 70, name="Pump station", required=True, earliest=1, latest=1),
            spending=[0, 100, 100, 100],
        )
    )
    assert told["A"].conflict is not None
    assert told["A"].words == (
        "With the spending limit of 2028, 'Tees' cannot start in 2028 beside the required project 'Pump station'."
    )


def test_a_follower_is_told_by_the_order() -> None:
    _, told = reasons(
        a_question(
            a_project("A", 10, name="Drains", earliest=1),
            a_project("B", 10, name="Fairways", after=(After("A", 1),)),
        )
    )
    assert told["B"].broken == (Broken("after", key="B", other="A"),)
    assert told["B"].words == "With 'Fairways' after 'Drains' by 1 year, 'Fairways' cannot start in 2027."


def test_without_time_what_would_be_broken_is_told_all_the_same() -> None:
    question = a_question(
        a_project("A", 80, name="Tees"), a_project("B", 70, value=Decimal(5)), spending=[100] * 4
    )
    timing = best_timing(question)
    assert isinstance(timing, Timing)
    [found] = why_moved(question, timing, seconds=0.0)
    assert (found.lost, found.conflict, found.gives_way) == (None, None, ())
    assert found.words == (
        "'Tees' in 2027 would break the spending limit of 2027 beside the others as they are. "
        "What would have to give way was not found in the time allowed."
    )


def test_a_conflict_that_was_not_narrowed_in_time_says_so() -> None:
    question = a_question(a_project("A", 80, required=True), spending=[70] * 4)
    found = conflict_in(question, seconds=0.0)
    assert not found.narrowed
    assert Part("required", key="A") in found.parts
