"""A line over areas and months: each margin is exact, and each cell is close to its share."""

from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st
from swardcost_api.engine.pricing.allocation import split_by_weights, split_exactly
from swardcost_api.engine.pricing.cells import cash_of_areas, cells, over_months

WEIGHTS = st.lists(st.integers(0, 10**9), min_size=1, max_size=8)
DAYS = st.lists(st.integers(1, 31), min_size=1, max_size=6)


@st.composite
def lines(draw: st.DrawFn) -> tuple[int, int, list[int], list[int]]:
    """Amount, cash, the areas' shares and the days of the months."""
    amount = draw(st.integers(0, 10**12) | st.integers(0, 40))
    parts = split_by_weights(amount, draw(WEIGHTS))
    sign = draw(st.sampled_from([1, -1]))
    cash = draw(st.integers(0, amount))
    return sign * amount, sign * cash, [sign * part for part in parts], draw(DAYS)


@given(WEIGHTS, st.data())
def test_no_part_is_larger_than_its_weight_where_the_whole_is_not(
    weights: list[int], data: st.DataObject
) -> None:
    """What keeps the cash of a cell within its cost, and a month within what is left of a share."""
    weights = [1, *weights]
    parts = split_exactly(data.draw(st.integers(0, sum(weights))), weights)
    assert all(0 <= part <= weight for part, weight in zip(parts, weights, strict=True))


def test_cells_by_hand() -> None:
    """10.01 over 17 and 14 days is 5.489... and 4.520...; of shares of 4.00 and 6.01 the first month takes 2.193... and
    3.296..., the odd cent to the larger rest. Cash of 2.00 is 1.096... and 0.903... of the months."""
    assert cells(1001, 200, [400, 601], [17, 14]) == [([219, 330], [44, 66]), ([181, 271], [36, 54])]


def test_nothing_is_split_into_nothing_and_cash_alone_evenly() -> None:
    assert cells(0, 0, [0, 0], [3, 4]) == [([0, 0], [0, 0])] * 2
    assert cells(0, 3, [0, 0], [3, 4]) == [([0, 0], [1, 1]), ([0, 0], [1, 0])]


@given(lines())
def test_cells_sum_to_the_months_and_to_the_shares(line: tuple[int, int, list[int], list[int]]) -> None:
    amount, cash, parts, days = line
    found = cells(amount, cash, parts, days)
    months, cash_of_months = over_months(amount, cash, days)
    assert (sum(months), sum(cash_of_months)) == (amount, cash)
    assert [sum(row) for row, _ in found] == months
    assert [sum(row) for _, row in found] == cash_of_months
    assert [sum(column) for column in zip(*(row for row, _ in found), strict=True)] == parts
    of_areas = [sum(column) for column in zip(*(row for _, row in found), strict=True)]
    assert of_areas == cash_of_areas(amount, cash, parts, days)


@given(lines())
def test_cash_of_a_cell_is_never_more_than_it_costs(line: tuple[int, int, list[int], list[int]]) -> None:
    sign = -1 if line[0] < 0 else 1
    for row, cash in cells(*line):
        assert all(0 <= sign * paid <= sign * cost for cost, paid in zip(row, cash, strict=True))


@given(lines())
def test_a_cell_is_within_three_units_of_its_share(line: tuple[int, int, list[int], list[int]]) -> None:
    amount, _, parts, days = line
    for (row, _), length in zip(cells(*line), days, strict=True):
        for cell, part in zip(row, parts, strict=True):
            assert abs(cell - Fraction(part * length, sum(days))) < 3, (amount, parts, days)


@given(lines())
def test_the_same_line_gives_the_same_cells_the_other_way(
    line: tuple[int, int, list[int], list[int]],
) -> None:
    """What is taken off an estimate comes off where it was added."""
    amount, cash, parts, days = line
    opposite = cells(-amount, -cash, [-part for part in parts], days)
    assert opposite == [([-one for one in row], [-one for one in paid]) for row, paid in cells(*line)]
