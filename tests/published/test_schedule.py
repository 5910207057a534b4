"""Schedules against published examples and calendars; the source stands beside each check."""

from datetime import date, timedelta

import pytest
from swardcost_api.engine.schedule.network import Link, Network, Starts, Task
from swardcost_api.engine.schedule.programme import programme
from swardcost_api.engine.schedule.working_days import WorkingDays
from swardcost_api.schedule.calendars import holidays_between
from swardcost_model.schedule import Holidays

MONDAY = date(2026, 1, 5)
DAYS = WorkingDays.between(first=MONDAY, last=MONDAY + timedelta(days=100), weekdays=range(7))

Printed = dict[str, tuple[int, int, int, int]]
"""Early start, early finish, late start, late finish of each activity."""

# Engineering lecture handout on network scheduling, "design prototype ... final assembly", table 2 (read in a reprint):
# 16 hours, critical A-B-D-E-G.
PROTOTYPE = {
    "A": (6, ""), "B": (2, "A"), "C": (2, "A"), "D": (3, "B"), "F": (2, "C"), "E": (4, "DF"), "G": (1, "E"),
}  # fmt: skip
PROTOTYPE_PRINTED: Printed = {
    "A": (0, 6, 0, 6), "B": (6, 8, 6, 8), "C": (6, 8, 7, 9), "D": (8, 11, 8, 11), "F": (8, 10, 9, 11),
    "E": (11, 15, 11, 15), "G": (15, 16, 15, 16),
}  # fmt: skip

# Heizer and Render, Operations Management, chapter on project management, table 3.2 and its solution (times read in
# a reprint of the slides; the early and late times from memory): 15 weeks, critical A-C-E-G-H.
FILTER = {
    "A": (2, ""), "B": (3, ""), "C": (2, "A"), "D": (4, "AB"), "E": (4, "C"), "F": (3, "C"), "G": (5, "DE"),
    "H": (2, "FG"),
}  # fmt: skip
FILTER_PRINTED: Printed = {
    "A": (0, 2, 0, 2), "B": (0, 3, 1, 4), "C": (2, 4, 2, 4), "D": (3, 7, 4, 8), "E": (4, 8, 4, 8),
    "F": (4, 7, 10, 13), "G": (8, 13, 8, 13), "H": (13, 15, 13, 15),
}  # fmt: skip


def tasks_of(activities: dict[str, tuple[int, str]]) -> list[Task]:
    """The activities of a textbook as tasks; its time 0 is the start of the first day."""
    return [
        Task(
            key=ord(name),
            duration=duration,
            earliest=MONDAY,
            links=tuple(Link(ord(one)) for one in waits_for),
        )
        for name, (duration, waits_for) in activities.items()
    ]


def times(network: Network, early: Starts, late: Starts) -> Printed:
    return {
        chr(key): (early[key], early[key] + task.duration, late[key], late[key] + task.duration)
        for key, task in network.tasks.items()
    }


@pytest.mark.parametrize(
    ("activities", "printed", "length", "critical"),
    [(PROTOTYPE, PROTOTYPE_PRINTED, 16, "ABDEG"), (FILTER, FILTER_PRINTED, 15, "ACEGH")],
)
def test_both_passes_give_the_printed_times_and_the_critical_path(
    activities: dict[str, tuple[int, str]], printed: Printed, length: int, critical: str
) -> None:
    tasks = tasks_of(activities)
    network = Network(tasks, DAYS)
    early = network.forward()
    opens_on = network.opens_on(early)
    assert (opens_on - MONDAY).days == length
    assert times(network, early, network.backward(opens_on)) == printed
    plan = programme(tasks=tasks, days=DAYS, limits={})
    assert "".join(sorted(chr(one.task.key) for one in plan.placed if one.critical)) == critical
    assert {chr(one.task.key): one.total_float for one in plan.placed} == {
        name: late_start - early_start for name, (early_start, _, late_start, _) in printed.items()
    }


# 5 U.S.C. 6103 and the list of the US Office of Personnel Management for 2026: Independence Day is a Saturday and is
# taken on Friday, July 3 (list from memory; the dates follow from the statute).
FEDERAL_2026 = {
    (1, 1): "New Year's Day", (1, 19): "Martin Luther King Jr. Day", (2, 16): "Washington's Birthday",
    (5, 25): "Memorial Day", (6, 19): "Juneteenth National Independence Day", (7, 3): "Independence Day (observed)",
    (9, 7): "Labor Day", (10, 12): "Columbus Day", (11, 11): "Veterans Day", (11, 26): "Thanksgiving Day",
    (12, 25): "Christmas Day",
}  # fmt: skip
YEAR = (date(2026, 1, 1), date(2026, 12, 31))


def test_holidays_of_the_united_states_in_2026_are_the_federal_ones() -> None:
    found, until = holidays_between(Holidays(country="US"), *YEAR)
    on_weekdays = {(day.month, day.day): name for day, name in found.items() if day.weekday() < 5}
    assert on_weekdays == FEDERAL_2026
    assert until is None


def test_a_holiday_that_is_not_moved_leaves_the_friday_before_to_work() -> None:
    found, _ = holidays_between(Holidays(country="US", moved=False), *YEAR)
    assert date(2026, 7, 3) not in found
    assert date(2026, 7, 4) in found


def test_a_state_has_holidays_of_its_own() -> None:
    # Massachusetts General Laws, chapter 4, section 7: Patriots' Day is the third Monday in April.
    found, _ = holidays_between(Holidays(country="US", subdivision="MA"), *YEAR)
    assert found[date(2026, 4, 20)] == "Patriots' Day"
    assert date(2026, 4, 20) not in holidays_between(Holidays(country="US"), *YEAR)[0]


def test_years_without_known_holidays_are_told() -> None:
    _, until = holidays_between(Holidays(country="US"), date(2095, 1, 1), date(2105, 1, 1))
    assert until == 2100
