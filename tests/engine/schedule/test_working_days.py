"""Working days and their numbers."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from small_schedules import DAY, MONDAY, weekdays_from
from swardcost_api.engine.schedule.working_days import BeyondCalendar, WorkingDays

FRIDAY, SATURDAY, NEXT_MONDAY = MONDAY + 4 * DAY, MONDAY + 5 * DAY, MONDAY + 7 * DAY


def test_a_date_off_work_belongs_to_the_working_days_around_it() -> None:
    days = weekdays_from()
    assert days.date(days.on_or_after(SATURDAY)) == NEXT_MONDAY
    assert days.date(days.on_or_before(SATURDAY)) == FRIDAY
    assert days.on_or_after(FRIDAY) == days.on_or_before(FRIDAY) == 4


def test_closed_days_are_off_and_worked_days_are_on_whatever_else_is_said() -> None:
    days = WorkingDays.between(
        first=MONDAY, last=NEXT_MONDAY, weekdays=range(5), closed={FRIDAY, MONDAY}, worked={SATURDAY, FRIDAY}
    )
    assert days.days == (MONDAY + DAY, MONDAY + 2 * DAY, MONDAY + 3 * DAY, FRIDAY, SATURDAY, NEXT_MONDAY)


def test_a_date_after_the_last_working_day_is_refused_with_that_day() -> None:
    days = weekdays_from(weeks=1)
    with pytest.raises(BeyondCalendar, match="2026-09-21"):
        days.on_or_after(MONDAY + 8 * DAY)
    with pytest.raises(BeyondCalendar):
        days.date(6)
    assert days.on_or_before(MONDAY - DAY) == 0


@pytest.mark.parametrize("wrong", [(), (MONDAY, MONDAY), (NEXT_MONDAY, MONDAY)])
def test_what_is_no_row_of_days_is_refused(wrong: tuple[date, ...]) -> None:
    with pytest.raises(ValueError, match="at least one, each later"):
        WorkingDays(wrong)


@given(st.sets(st.integers(0, 6), min_size=1), st.sets(st.integers(0, 60)), st.integers(0, 40))
def test_dates_and_numbers_are_inverse(weekdays: set[int], closed: set[int], away: int) -> None:
    days = WorkingDays.between(
        first=MONDAY, last=MONDAY + timedelta(days=200), weekdays=weekdays,
        closed={MONDAY + n * DAY for n in closed},
    )  # fmt: skip
    day = MONDAY + away * DAY
    number = days.on_or_after(day)
    assert days.date(number) >= day
    assert number == 0 or days.date(number - 1) < day
    assert all(days.on_or_after(d) == days.on_or_before(d) == n for n, d in enumerate(days.days))
