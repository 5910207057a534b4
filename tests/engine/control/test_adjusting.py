"""Adjustments balance, never overdraw on any day, and take from contingency in a stated order."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from swardcost_api.engine.control.adjusting import (
    Entry,
    Shortfall,
    amount_to_approve,
    draw,
    imbalances,
    shortfalls,
    takeable,
)
from swardcost_model.adjustments import AdjustmentKind as Kind

SEPTEMBER, OCTOBER, NOVEMBER = "2026-09", "2026-10", "2026-11"
DAY = date(2026, 9, 10)
MONTHS = st.sampled_from([SEPTEMBER, OCTOBER, NOVEMBER])
LINES = st.sampled_from("abc")
DAYS = st.integers(0, 5).map(lambda n: DAY + timedelta(days=n))
CELLS = st.dictionaries(st.tuples(LINES, MONTHS), st.integers(0, 1000), min_size=1)
ENTRIES = st.lists(st.builds(Entry, LINES, MONTHS, st.integers(-500, 500), DAYS), max_size=8)


def faults(kind: Kind, *amounts: int, contingency: tuple[int, ...] = ()) -> list[int | None]:
    """Numbers of the entries that break the rules; `contingency` are those of contingency lines."""
    return [
        number for number, _ in imbalances(kind, amounts, [n in contingency for n in range(len(amounts))])
    ]


@pytest.mark.parametrize("kind", [Kind.TRANSFER, Kind.CONTINGENCY_DRAW])
def test_what_only_moves_money_sums_to_zero(kind: Kind) -> None:
    assert faults(kind, 100, -100, contingency=(1,) if kind is Kind.CONTINGENCY_DRAW else ()) == []
    assert None in faults(kind, 100, -99, contingency=(1,))


def test_an_addition_only_adds_and_a_reduction_only_takes() -> None:
    assert faults(Kind.ADDITION, 5, 0) == []
    assert faults(Kind.ADDITION, 5, -1) == [1]
    assert faults(Kind.ADDITION, 0, 0) == [None]
    assert faults(Kind.REDUCTION, -5, 0) == []
    assert faults(Kind.REDUCTION, -5, 1) == [1]
    assert faults(Kind.CHANGE_ORDER, 5, -7, 3) == []


def test_a_draw_takes_from_contingency_and_gives_to_other_lines() -> None:
    assert faults(Kind.CONTINGENCY_DRAW, 7, -7, contingency=(1,)) == []
    assert faults(Kind.CONTINGENCY_DRAW, 7, -7, contingency=(0,)) == [0, 1]
    assert faults(Kind.CONTINGENCY_DRAW, 7, -7) == [1]


def test_a_transfer_gives_back_to_contingency_but_does_not_take_from_it() -> None:
    assert faults(Kind.TRANSFER, 7, -7, contingency=(0,)) == []
    assert faults(Kind.TRANSFER, 7, -7, contingency=(1,)) == [None]
    assert faults(Kind.TRANSFER, 7, -7, contingency=(0, 1)) == []  # from month to month


def test_a_limit_is_held_against_the_larger_of_what_is_added_and_taken() -> None:
    assert amount_to_approve([100, -100]) == 100
    assert amount_to_approve([-40, -60]) == 100
    assert amount_to_approve([30, -100]) == 100
    assert amount_to_approve([]) == 0


def test_money_that_comes_later_cannot_be_moved_on_before() -> None:
    original = {("a", SEPTEMBER): 100}
    comes = [Entry("a", SEPTEMBER, 50, date(2026, 10, 1))]
    takes = Entry("a", SEPTEMBER, -120, DAY)
    assert shortfalls(original, comes, [takes]) == [Shortfall("a", SEPTEMBER, DAY, 20)]
    later = Entry("a", SEPTEMBER, -120, date(2026, 10, 1))
    assert shortfalls(original, comes, [later]) == []
    assert takeable(original, comes, "a", DAY) == {("a", SEPTEMBER): 100}
    assert takeable(original, comes, "a", date(2026, 10, 1)) == {("a", SEPTEMBER): 150}


def test_a_month_is_not_paid_for_by_another_month() -> None:
    original = {("a", SEPTEMBER): 100, ("a", OCTOBER): 100}
    entries = [Entry("a", SEPTEMBER, -101, DAY), Entry("a", OCTOBER, 101, DAY)]
    assert [short.short_minor for short in shortfalls(original, [], entries)] == [1]


def test_a_draw_begins_with_the_month_of_the_work_then_later_then_earlier_months() -> None:
    can = {("c", "2026-08"): 10, ("c", SEPTEMBER): 10, ("c", OCTOBER): 10, ("c", NOVEMBER): 10}
    assert draw(can, {}, 25, OCTOBER) == {("c", OCTOBER): 10, ("c", NOVEMBER): 10, ("c", SEPTEMBER): 5}
    assert sum(draw(can, {}, 99, OCTOBER).values()) == 40


def test_a_draw_leaves_what_others_proposed_until_nothing_else_is_left() -> None:
    can = {("c", SEPTEMBER): 10, ("c", OCTOBER): 10}
    reserved = {("c", SEPTEMBER): 8}
    assert draw(can, reserved, 6, SEPTEMBER) == {("c", SEPTEMBER): 2, ("c", OCTOBER): 4}
    assert draw(can, reserved, 15, SEPTEMBER) == {("c", SEPTEMBER): 5, ("c", OCTOBER): 10}


@given(
    CELLS,
    ENTRIES,
    st.lists(st.builds(Entry, LINES, MONTHS, st.integers(-500, 500), st.just(DAY)), max_size=4),
)
def test_what_is_let_through_is_below_zero_on_no_day(
    original: dict[tuple[str, str], int], approved: list[Entry[str]], asked: list[Entry[str]]
) -> None:
    short = {(one.line, one.month): one for one in shortfalls(original, approved, asked)}
    for cell in {(one.line, one.month) for one in asked}:
        entries = [one for one in [*approved, *asked] if (one.line, one.month) == cell]
        lowest = min(
            original.get(cell, 0) + sum(one.amount_minor for one in entries if one.effective_on <= day)
            for day in {one.effective_on for one in entries}
        )
        assert (cell in short) is (lowest < 0)
        if cell in short:
            assert short[cell].short_minor == -lowest


@given(CELLS, ENTRIES, DAYS, st.integers(1, 2000), MONTHS, CELLS)
def test_a_draw_never_overdraws_and_takes_all_it_can(
    original: dict[tuple[str, str], int], approved: list[Entry[str]], day: date, amount: int, month: str,
    reserved: dict[tuple[str, str], int],
) -> None:  # fmt: skip
    can = takeable(original, approved, "abc", day)
    taken = draw(can, reserved, amount, month)
    assert all(0 < minor <= can[cell] for cell, minor in taken.items())
    assert sum(taken.values()) == min(amount, sum(can.values()))
    asked = [Entry(line, of, -minor, day) for (line, of), minor in taken.items()]
    before = {(one.line, one.month) for one in _overdrawn(original, approved)}
    assert {(one.line, one.month) for one in shortfalls(original, approved, asked)} <= before


def _overdrawn(original: dict[tuple[str, str], int], entries: list[Entry[str]]) -> list[Shortfall[str]]:
    """Cells that arbitrary entries leave below zero by themselves."""
    return shortfalls(original, [], entries)
