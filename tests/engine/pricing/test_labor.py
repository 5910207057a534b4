"""Labor: overtime by the workweek, burden by item, and what own staff costs in new money."""

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from printed_amount import assert_redone
from swardcost_api.engine.pricing.burden import (
    BurdenItem,
    HourItem,
    PercentItem,
    burden_on_wages,
    own_staff_cost,
)
from swardcost_api.engine.pricing.labor import HoursWorked, WeekPay, rate_of_salary, week_pay

ITEMS: tuple[BurdenItem, ...] = (
    PercentItem("old-age tax", Decimal("6.2"), {2024: Decimal(168_600)}),
    PercentItem("health tax", Decimal("1.45")),
    HourItem("accident insurance", Decimal("0.85")),
)
MONEY = st.decimals(0, 200, places=2)


def entries(most_hours: int = 30) -> st.SearchStrategy[HoursWorked]:
    return st.builds(
        HoursWorked, MONEY, st.decimals("0.25", most_hours, places=2), MONEY,
        st.sampled_from([Decimal(1), Decimal("1.1"), Decimal("1.5"), Decimal(2)]), MONEY, st.just("club rule"),
    )  # fmt: skip


WEEKS = st.lists(entries(), min_size=1, max_size=5)


def paid(*entries: tuple[str, str]) -> WeekPay:
    """Pay of (rate, hours) entries."""
    return week_pay(worked=[HoursWorked(Decimal(r), Decimal(h)) for r, h in entries], currency="USD")


def test_forty_hours_bring_no_overtime() -> None:
    assert paid(("20", "40")).total_minor == 80_000
    assert paid(("20", "41")).total_minor == 83_000


def test_double_time_on_a_sunday_counts_towards_overtime() -> None:
    sunday = HoursWorked(Decimal(20), Decimal(8), multiplier=Decimal(2), rule="Sundays are paid double")
    week = week_pay(worked=[HoursWorked(Decimal(20), Decimal(40)), sunday], currency="USD")
    assert (week.straight_minor, week.premium_minor, week.overtime_minor) == (96_000, 16_000, 0)
    assert next(s for s in week.steps if s.name == "premium pay [2]").source == "Sundays are paid double"


def test_a_small_extra_raises_the_regular_rate_and_is_not_credited() -> None:
    night = HoursWorked(Decimal(20), Decimal(24), multiplier=Decimal("1.1"), rule="nights bring a tenth more")
    week = week_pay(worked=[HoursWorked(Decimal(20), Decimal(24)), night], currency="USD")
    assert (week.regular_rate, week.premium_minor, week.overtime_minor) == (Decimal(21), 4_800, 8_400)


@given(WEEKS, MONEY)
def test_parts_sum_and_every_step_can_be_redone(worked: list[HoursWorked], other: Decimal) -> None:
    week = week_pay(worked=worked, currency="USD", other_earnings=other)
    assert week.total_minor == sum(
        (week.straight_minor, week.premium_minor, week.overtime_minor, week.fringe_minor)
    )
    assert float(week.steps[-1].value) == week.total_minor / 100
    assert_redone(week.steps)


@given(WEEKS, st.decimals("0.25", 18, places=2))
def test_an_hour_more_never_brings_less(worked: list[HoursWorked], more: Decimal) -> None:
    first, *others = worked
    longer = [replace(first, hours=first.hours + more), *others]
    # Rounded lines may each move by half a cent, never the exact sum.
    assert (
        week_pay(worked=longer, currency="USD").total_minor
        >= week_pay(worked=worked, currency="USD").total_minor - 1
    )


@given(st.lists(entries(), min_size=2, max_size=5))
def test_the_order_of_entries_does_not_matter(worked: list[HoursWorked]) -> None:
    one = week_pay(worked=worked, currency="USD")
    other = week_pay(worked=worked[::-1], currency="USD")
    assert (one.total_minor, one.overtime_minor) == (other.total_minor, other.overtime_minor)


@pytest.mark.parametrize(
    "worked",
    [
        [], [HoursWorked(Decimal(20), Decimal(0))], [HoursWorked(Decimal(20), Decimal(169))],
        [HoursWorked(Decimal(-1), Decimal(8))], [HoursWorked(Decimal("nan"), Decimal(8))],
        [HoursWorked(Decimal(20), Decimal(8), multiplier=Decimal("0.5"))],
        [HoursWorked(Decimal(20), Decimal(8), multiplier=Decimal(2))],
    ],
)  # fmt: skip
def test_a_week_that_makes_no_sense_is_refused(worked: list[HoursWorked]) -> None:
    with pytest.raises(ValueError, match="expected"):
        week_pay(worked=worked, currency="USD")


def test_a_salary_can_be_redone_and_is_refused_for_no_hours() -> None:
    found = rate_of_salary(
        salary=Decimal(52_000), period="year", hours_covered_per_week=Decimal(40), currency="USD"
    )
    assert (found.weekly, found.regular_rate, found.overtime_rate) == (
        Decimal(1_000),
        Decimal(25),
        Decimal("37.5"),
    )
    assert_redone(found.steps)
    for hours in (0, 200):
        with pytest.raises(ValueError, match="expected"):
            rate_of_salary(
                salary=Decimal(1), period="week", hours_covered_per_week=Decimal(hours), currency="USD"
            )


def test_a_wage_base_is_charged_only_up_to_its_year() -> None:
    def of(earned_before: int, year: int = 2024) -> list[int]:
        found = burden_on_wages(
            wages=Decimal(1_000), hours=Decimal(40), earned_before=Decimal(earned_before), year=year,
            items=ITEMS, currency="USD",
        )  # fmt: skip
        assert_redone(found.steps)
        assert sum(line.amount_minor for line in found.lines) == found.total_minor
        return [line.amount_minor for line in found.lines]

    assert of(0) == [6_200, 1_450, 3_400]
    assert of(168_000) == [3_720, 1_450, 3_400]
    assert of(170_000) == [0, 1_450, 3_400]
    with pytest.raises(ValueError, match="expected a wage base for 2025; given are 2024"):
        of(0, 2025)


@given(st.lists(st.decimals(0, 60_000, places=2), min_size=1, max_size=8))
def test_a_year_in_parts_is_never_charged_above_the_base(parts: list[Decimal]) -> None:
    tax, before, charged = ITEMS[0], Decimal(0), Decimal(0)
    assert isinstance(tax, PercentItem)
    for wages in parts:
        charged += tax.charged_wages(wages, before, 2024)
        before += wages
    assert charged == min(sum(parts), Decimal(168_600))


def test_own_staff_within_the_budgeted_hours_costs_no_new_money() -> None:
    found = own_staff_cost(
        pay=paid(("20", "40")), hours_in_budget=Decimal(40), earned_before=Decimal(0), year=2024, items=ITEMS
    )
    assert (found.full_minor, found.cash_minor) == (80_000 + 4_960 + 1_160 + 3_400, 0)


def test_overtime_and_its_burden_are_new_money() -> None:
    found = own_staff_cost(
        pay=paid(("20", "50")), hours_in_budget=Decimal(40), earned_before=Decimal(0), year=2024, items=ITEMS
    )
    wages = 200_00 + 100_00
    assert found.cash_minor == wages + 18_60 + 4_35 + 8_50
    assert found.full_minor == found.in_budget_minor + found.cash_minor


@given(WEEKS, st.decimals(0, 60, places=2), st.integers(0, 200_000))
@settings(deadline=None)
def test_new_money_lies_between_nothing_and_the_full_cost(
    worked: list[HoursWorked], budgeted: Decimal, before: int
) -> None:
    found = own_staff_cost(
        pay=week_pay(worked=worked, currency="USD"), hours_in_budget=budgeted, earned_before=Decimal(before),
        year=2024, items=ITEMS,
    )  # fmt: skip
    assert 0 <= found.cash_minor <= found.full_minor
    assert found.cash_minor + found.in_budget_minor == found.full_minor
    assert_redone(found.steps)


def test_items_of_one_name_are_refused() -> None:
    with pytest.raises(ValueError, match="expected each with a name"):
        burden_on_wages(
            wages=Decimal(1), hours=Decimal(1), earned_before=Decimal(0), year=2024, items=(ITEMS[1],) * 2,
            currency="USD",
        )  # fmt: skip
