"""Direct cost under any headings: nothing is lost, and the order is the one a reader expects."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from swardcost_api.engine.control.phasing import days_by_month, phase
from swardcost_api.engine.pricing.allocation import split_by_weights
from swardcost_api.engine.pricing.headings import (
    COST_TYPES,
    HeadedArea,
    HeadedLine,
    Key,
    Node,
    subtotals,
    tree,
)
from swardcost_model.catalog import ItemKind
from swardcost_model.estimate_views import Heading

GREEN_2 = HeadedArea("a2", "Green 2", 2, "green")
GREEN_10 = HeadedArea("a10", "Green 10", 10, "green")
TEE_2 = HeadedArea("t2", "Tee 2", 2, "tee")
NURSERY = HeadedArea("n", "Nursery", None, "nursery")
COURSE = (GREEN_2, GREEN_10, TEE_2, NURSERY)

AMOUNTS = st.integers(-(10**6), 10**15)
BY = st.lists(st.sampled_from(list(Heading)), min_size=1, max_size=6, unique=True)


def a_line(number: int = 1, amount_minor: int = 10_000, **more: Any) -> HeadedLine:
    """A line of sand, all of it cash, worked in August 2026."""
    fields: dict[str, Any] = {
        "scope_item": "s1", "resource": number, "item": "SAND", "part": "price", "cash_minor": amount_minor,
        "starts_on": date(2026, 8, 1), "ends_on": date(2026, 8, 31), "item_kind": "material",
    } | more  # fmt: skip
    return HeadedLine(number=number, amount_minor=amount_minor, **fields)


@st.composite
def headed_lines(draw: st.DrawFn) -> list[HeadedLine]:
    """Lines with distinct numbers, some on areas and some not, some with other cash than their amount."""
    lines = []
    names = st.sampled_from([None, "a", "b", "Greens"])
    for number in range(1, draw(st.integers(0, 8)) + 1):
        amount = draw(AMOUNTS)
        areas = draw(st.lists(st.sampled_from(COURSE), max_size=4, unique=True))
        weights = [draw(st.integers(0, 1000)) for _ in areas]
        starts_on = date(2026, 1, 1) + timedelta(days=draw(st.integers(0, 500)))
        lines.append(
            HeadedLine(
                number=number, scope_item=draw(st.sampled_from(["s1", "s2"])), resource=draw(st.integers(1, 4)),
                item=draw(st.sampled_from(["SAND", "CREW"])), part=draw(st.sampled_from(["price", "delivery"])),
                amount_minor=amount, cash_minor=draw(st.one_of(st.just(amount), st.just(0), AMOUNTS)),
                starts_on=starts_on, ends_on=starts_on + timedelta(days=draw(st.integers(0, 200))),
                group=draw(names), item_kind=draw(st.sampled_from([None, *ItemKind])), account=draw(names),
                vendor=draw(names), price_source=draw(st.sampled_from([None, "quote", "contract"])),
                areas=areas, parts=split_by_weights(amount, weights) if areas else (),
            )
        )  # fmt: skip
    return lines


def keys_of(lines: Sequence[HeadedLine], *by: Heading) -> list[tuple[Key, ...]]:
    return [row.keys for row in subtotals(lines, by)]


def amounts_of(lines: Sequence[HeadedLine], *by: Heading) -> dict[tuple[Key, ...], tuple[int, int]]:
    return {row.keys: (row.amount_minor, row.cash_minor) for row in subtotals(lines, by)}


@given(headed_lines(), BY)
def test_rows_are_distinct_and_sum_to_the_lines_under_any_headings(
    lines: list[HeadedLine], by: list[Heading]
) -> None:
    rows = subtotals(lines, by)
    assert len({row.keys for row in rows}) == len(rows)
    assert {len(row.keys) for row in rows} <= {len(by)}
    assert sum(row.amount_minor for row in rows) == sum(line.amount_minor for line in lines)
    assert sum(row.cash_minor for row in rows) == sum(line.cash_minor for line in lines)


@given(headed_lines(), BY, st.randoms())
def test_neither_the_order_of_lines_nor_that_of_headings_changes_an_amount(
    lines: list[HeadedLine], by: list[Heading], chance: Any
) -> None:
    mixed, other = list(lines), list(by)
    chance.shuffle(mixed)
    chance.shuffle(other)
    assert subtotals(mixed, by) == subtotals(lines, by)
    found = {
        tuple(row.keys[other.index(one)] for one in by): (row.amount_minor, row.cash_minor)
        for row in subtotals(lines, other)
    }
    assert found == amounts_of(lines, *by)


@given(headed_lines(), BY)
def test_children_sum_to_their_node_and_leaves_are_the_subtotals(
    lines: list[HeadedLine], by: list[Heading]
) -> None:
    leaves = []

    def walk(node: Node, above: tuple[Key, ...]) -> None:
        keys = (*above, node.key)
        assert node.heading is by[len(above)]
        if len(keys) == len(by):
            assert node.children == ()
            leaves.append((keys, node.amount_minor, node.cash_minor))
            return
        assert len({child.key for child in node.children}) == len(node.children) > 0
        assert sum(child.amount_minor for child in node.children) == node.amount_minor
        assert sum(child.cash_minor for child in node.children) == node.cash_minor
        for child in node.children:
            walk(child, keys)

    nodes = tree(lines, by)
    for node in nodes:
        walk(node, ())
    assert leaves == [(row.keys, row.amount_minor, row.cash_minor) for row in subtotals(lines, by)]
    assert len({node.key for node in nodes}) == len(nodes)


def collapsed(
    lines: Sequence[HeadedLine], by: Sequence[Heading], onto: Sequence[Heading]
) -> dict[tuple[Key, ...], tuple[int, int]]:
    """A table by some headings, added up to fewer."""
    places = [by.index(one) for one in onto]
    sums: dict[tuple[Key, ...], tuple[int, int]] = {}
    for keys, (amount, cash) in amounts_of(lines, *by).items():
        onto_keys = tuple(keys[place] for place in places)
        before = sums.get(onto_keys, (0, 0))
        sums[onto_keys] = (before[0] + amount, before[1] + cash)
    return sums


@settings(max_examples=60)
@given(headed_lines(), BY, BY)
def test_any_two_tables_agree_on_the_headings_that_both_have(
    lines: list[HeadedLine], one: list[Heading], other: list[Heading]
) -> None:
    common = [heading for heading in one if heading in other]
    assert collapsed(lines, one, common) == collapsed(lines, other, common)
    if common:
        assert collapsed(lines, one, common) == amounts_of(lines, *common)


@settings(max_examples=60)
@given(headed_lines(), BY)
def test_no_cell_has_more_cash_than_it_costs(lines: list[HeadedLine], by: list[Heading]) -> None:
    """Of lines that are nearly all cash, where an odd cent has the least room."""
    within = [
        replace(line, cash_minor=max(line.amount_minor - abs(line.cash_minor) % 4, 0))
        for line in lines
        if line.amount_minor >= 0
    ]
    for keys, (amount, cash) in amounts_of(within, *by).items():
        assert 0 <= cash <= amount, keys


@given(st.integers(0, 10**12), st.integers(0, 400), st.integers(0, 800))
def test_months_cover_the_work_and_the_amount_as_a_budget_is_phased(
    amount: int, first: int, length: int
) -> None:
    starts_on = date(2026, 1, 1) + timedelta(days=first)
    ends_on = starts_on + timedelta(days=length)
    rows = subtotals([a_line(1, amount, starts_on=starts_on, ends_on=ends_on)], [Heading.MONTH])
    days = days_by_month(starts_on, ends_on)
    phased = phase(amount, starts_on, ends_on)
    assert [row.keys[0] for row in rows] == list(days)
    assert sum(row.amount_minor for row in rows) == amount
    for row, (month, length_days) in zip(rows, days.items(), strict=True):
        assert abs(row.amount_minor * sum(days.values()) - amount * length_days) < sum(days.values())
        assert abs(row.amount_minor - phased[month]) <= 1


def test_work_over_two_months_is_split_by_its_days_with_the_odd_cent_to_the_larger_rest() -> None:
    """17 days of August and 14 of September: 100.01 x 17 / 31 = 54.844..., 100.01 x 14 / 31 = 45.165... ."""
    line = a_line(1, 10_001, cash_minor=3_100, starts_on=date(2026, 8, 15), ends_on=date(2026, 9, 14))
    assert amounts_of([line], Heading.MONTH) == {("2026-08",): (5_484, 1_700), ("2026-09",): (4_517, 1_400)}


def test_months_come_first_and_each_is_split_by_what_is_left_of_the_shares() -> None:
    """4 cents on two areas: 2 in each month. Of shares of 1 and 3 the first two are 0.5 and 1.5, the half to the
    earlier area: 1 and 1. What is left is September's."""
    line = a_line(
        1, 4, starts_on=date(2026, 8, 17), ends_on=date(2026, 9, 15), areas=[GREEN_2, GREEN_10], parts=[1, 3]
    )
    assert amounts_of([line], Heading.HOLE, Heading.MONTH) == {
        (2, "2026-08"): (1, 1), (2, "2026-09"): (0, 0), (10, "2026-08"): (1, 1), (10, "2026-09"): (2, 2),
    }  # fmt: skip
    assert amounts_of([line], Heading.MONTH) == {("2026-08",): (2, 2), ("2026-09",): (2, 2)}
    assert amounts_of([line], Heading.HOLE) == {(2,): (1, 1), (10,): (3, 3)}


def test_an_odd_cent_of_cash_goes_where_the_cost_is() -> None:
    """A cent on each of two areas, in one month each; one of them is cash, and it is in the month of its area."""
    line = a_line(
        1, 2, cash_minor=1, starts_on=date(2026, 8, 17), ends_on=date(2026, 9, 15), areas=[GREEN_2, GREEN_10],
        parts=[1, 1],
    )  # fmt: skip
    assert amounts_of([line], Heading.HOLE, Heading.MONTH) == {
        (2, "2026-08"): (1, 1), (2, "2026-09"): (0, 0), (10, "2026-08"): (0, 0), (10, "2026-09"): (1, 0),
    }  # fmt: skip
    assert amounts_of([line], Heading.HOLE) == {(2,): (1, 1), (10,): (1, 0)}


def test_cash_is_split_as_the_amount_is() -> None:
    line = a_line(1, 100, cash_minor=10, areas=[GREEN_2, TEE_2, NURSERY], parts=[50, 30, 20])
    assert amounts_of([line], Heading.AREA_KIND) == {
        ("green",): (50, 5), ("nursery",): (20, 2), ("tee",): (30, 3),
    }  # fmt: skip
    assert amounts_of([line], Heading.HOLE) == {(2,): (80, 8), (None,): (20, 2)}


def test_holes_come_by_number_and_what_has_no_hole_last() -> None:
    lines = [
        a_line(1, 30, areas=[GREEN_10, NURSERY, GREEN_2], parts=[10, 10, 10]),
        a_line(2, 7),
    ]
    assert keys_of(lines, Heading.HOLE) == [(2,), (10,), (None,)]
    assert amounts_of(lines, Heading.HOLE)[(None,)] == (17, 17)
    assert keys_of(lines, Heading.AREA) == [("a2",), ("a10",), ("n",), (None,)]


def test_holes_of_several_courses_are_told_apart() -> None:
    north, south = replace(GREEN_10, course="North"), replace(GREEN_2, course="South")
    south_10 = replace(GREEN_10, id="s10", course="South")
    line = a_line(1, 6, areas=[south_10, south, north], parts=[1, 2, 3])
    assert keys_of([line], Heading.HOLE) == [("North: 10",), ("South: 2",), ("South: 10",)]


def test_scope_items_groups_and_lines_come_in_the_order_of_the_scope() -> None:
    lines = [
        a_line(1, scope_item="z", group=None), a_line(2, scope_item="a", group="Tees"),
        a_line(10, scope_item="z", group="Greens"), a_line(9, scope_item="b", group="Tees"),
    ]  # fmt: skip
    assert keys_of(lines, Heading.SCOPE_ITEM) == [("z",), ("a",), ("b",)]
    assert keys_of(lines, Heading.GROUP) == [("Tees",), ("Greens",), (None,)]
    assert keys_of(lines, Heading.LINE) == [(1,), (2,), (9,), (10,)]
    assert keys_of(lines, Heading.GROUP, Heading.LINE) == [
        ("Tees", 2), ("Tees", 9), ("Greens", 10), (None, 1),
    ]  # fmt: skip


def test_other_headings_come_by_key() -> None:
    lines = [a_line(1, account="2000"), a_line(2, account=None), a_line(3, account="1000")]
    assert keys_of(lines, Heading.ACCOUNT) == [("1000",), ("2000",), (None,)]


def test_months_come_by_date_across_years() -> None:
    lines = [
        a_line(1, starts_on=date(2027, 1, 1), ends_on=date(2027, 1, 5)),
        a_line(2, starts_on=date(2026, 12, 1), ends_on=date(2026, 12, 5)),
    ]
    assert keys_of(lines, Heading.MONTH) == [("2026-12",), ("2027-01",)]


def test_every_kind_of_item_has_a_type_of_cost() -> None:
    assert set(COST_TYPES) == set(ItemKind)
    kinds = [
        None,
        "sod",
        "material",
        "owned_machine",
        "rental",
        "labor",
        "contract",
        "freight",
        "disposal",
        "fee",
    ]
    lines = [a_line(number, 10**number, item_kind=kind) for number, kind in enumerate(kinds)]
    assert amounts_of(lines, Heading.COST_TYPE) == {
        ("contract",): (10**6, 10**6), ("equipment",): (11_000,) * 2, ("freight",): (10**7, 10**7),
        ("labor",): (10**5, 10**5), ("material",): (110, 110), ("other",): (1_100_000_000,) * 2, (None,): (1, 1),
    }  # fmt: skip


def test_nothing_priced_has_no_rows() -> None:
    assert subtotals([], [Heading.HOLE, Heading.MONTH]) == ()
    assert tree([], [Heading.GROUP]) == ()


@pytest.mark.parametrize("by", [[], [Heading.HOLE, Heading.HOLE]])
def test_no_heading_or_one_twice_is_refused(by: list[Heading]) -> None:
    with pytest.raises(ValueError, match="expected one or more different headings"):
        subtotals([a_line()], by)


@pytest.mark.parametrize(
    ("wrong", "expected"),
    [
        ({"areas": [GREEN_2]}, "a part for each of 1 areas; got 0 parts"),
        ({"areas": [GREEN_2], "parts": [9_999]}, "parts that sum to 10000; got 9999"),
        ({"areas": [GREEN_2, TEE_2], "parts": [10_001, -1]}, "parts of one sign; got -1 and 10001"),
        ({"ends_on": date(2026, 7, 31)}, "an end on or after 2026-08-01; got 2026-07-31"),
    ],
)
def test_a_line_that_does_not_add_up_is_refused(wrong: dict[str, Any], expected: str) -> None:
    with pytest.raises(ValueError, match=expected):
        a_line(**wrong)


def test_an_unknown_kind_of_item_is_refused() -> None:
    with pytest.raises(ValueError, match="plastic"):
        subtotals([a_line(item_kind="plastic")], [Heading.COST_TYPE])
