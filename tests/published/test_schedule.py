"""Schedules against published examples and calendars; the source stands beside each check."""

from datetime import date, timedelta

import pytest
from swardcost_api.engine.schedule.bounds import not_before
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


# Carlier, "The one-machine sequencing problem", European Journal of Operational Research 11, 1982, the example with
# seven jobs (from memory): start, work and tail of each; 50 at best, and 11 + 6 + 7 + 4 + 21 = 49 by jobs 2 to 4.
ONE_MACHINE = [(10, 5, 7), (13, 6, 26), (11, 7, 24), (20, 4, 21), (30, 3, 8), (0, 6, 17), (30, 2, 0)]
MACHINE = ("machine", "Loader")


def test_one_machine_reopens_on_the_published_day_and_not_before_the_published_bound() -> None:
    tasks = [
        Task(
            key=n,
            duration=work,
            earliest=MONDAY + timedelta(days=start),
            recovery_days=tail,
            needs={MACHINE: 1},
        )
        for n, (start, work, tail) in enumerate(ONE_MACHINE, start=1)
    ]
    plan = programme(tasks=tasks, days=DAYS, limits={MACHINE: 1})
    assert ((plan.opens_on - MONDAY).days, plan.rule) == (50, "proven_earliest")
    network = Network(tasks, DAYS)
    by_links = network.opens_on(network.forward())
    assert (not_before(network, {MACHINE: 1}, by_links, plan.opens_on) - MONDAY).days == 49


# Kolisch and Sprecher, "PSPLIB - A project scheduling problem library", European Journal of Operational Research 96,
# 1997: instance j301_1 and its time by the links alone, 38 (read in a copy of the file); its optimum, 43 (read in a
# copy of the library's list). Of each job its days, what it needs of resources 1 to 4, and what it waits for.
JOBS = {
    2: (8, (4, 0, 0, 0), ()), 3: (4, (10, 0, 0, 0), ()), 4: (6, (0, 0, 0, 3), ()), 5: (3, (3, 0, 0, 0), (4,)),
    6: (8, (0, 0, 0, 8), (2,)), 7: (5, (4, 0, 0, 0), (3,)), 8: (9, (0, 1, 0, 0), (3,)), 9: (2, (6, 0, 0, 0), (4,)),
    10: (7, (0, 0, 0, 1), (4,)), 11: (9, (0, 5, 0, 0), (2,)), 12: (2, (0, 7, 0, 0), (8,)),
    13: (6, (4, 0, 0, 0), (3,)), 14: (3, (0, 8, 0, 0), (9, 12)), 15: (9, (3, 0, 0, 0), (2,)),
    16: (10, (0, 0, 0, 5), (10,)), 17: (6, (0, 0, 0, 8), (13, 14)), 18: (5, (0, 0, 0, 7), (13,)),
    19: (3, (0, 1, 0, 0), (8,)), 20: (7, (0, 10, 0, 0), (5, 11, 18)), 21: (2, (0, 0, 0, 6), (16,)),
    22: (7, (2, 0, 0, 0), (16, 17, 18)), 23: (2, (3, 0, 0, 0), (20, 22)), 24: (3, (0, 9, 0, 0), (19, 23)),
    25: (3, (4, 0, 0, 0), (10, 15, 20)), 26: (7, (0, 0, 4, 0), (11,)), 27: (8, (0, 0, 0, 7), (7, 8)),
    28: (3, (0, 8, 0, 0), (21, 27)), 29: (7, (0, 7, 0, 0), (19,)), 30: (2, (0, 7, 0, 0), (6, 24, 25)),
    31: (2, (0, 0, 2, 0), (26, 28)),
}  # fmt: skip
THERE_ARE = (12, 13, 4, 12)


def test_thirty_jobs_with_four_resources_take_the_published_time() -> None:
    resources = [("crew", str(n)) for n in range(1, 5)]
    limits = dict(zip(resources, THERE_ARE, strict=True))
    tasks = [
        Task(
            key=job, duration=duration, earliest=MONDAY, links=tuple(map(Link, waits_for)),
            needs={resource: need for resource, need in zip(resources, needs, strict=True) if need},
        )
        for job, (duration, needs, waits_for) in JOBS.items()
    ]  # fmt: skip
    network = Network(tasks, DAYS)
    by_links = network.opens_on(network.forward())
    assert (by_links - MONDAY).days == 38
    plan = programme(tasks=tasks, days=DAYS, limits=limits)
    assert ((plan.opens_on - MONDAY).days, plan.rule) == (43, "proven_earliest")
    assert 38 < (not_before(network, limits, by_links, plan.opens_on) - MONDAY).days <= 43
    cut_off = programme(tasks=tasks, days=DAYS, limits=limits, nodes=0)
    assert by_links < cut_off.bound <= plan.opens_on <= cut_off.opens_on


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
