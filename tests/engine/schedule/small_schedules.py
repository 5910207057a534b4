"""Small schedules: building them, checking that one keeps every rule, and trying all there are."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import date, timedelta
from itertools import product

from hypothesis import strategies as st
from swardcost_api.engine.schedule.network import Link, Network, Resource, Task
from swardcost_api.engine.schedule.working_days import WorkingDays
from swardcost_model.schedule import LinkKind

MONDAY = date(2026, 9, 14)
CREW: Resource = ("crew", "Greens")
DAY = timedelta(days=1)

Starts = Mapping[int, int]


def weekdays_from(first: date = MONDAY, weeks: int = 60) -> WorkingDays:
    return WorkingDays.between(first=first, last=first + timedelta(weeks=weeks), weekdays=range(5))


def a_task(key: int, duration: int, *links: Link, **more: object) -> Task:
    return Task(key=key, duration=duration, earliest=MONDAY, links=links, **more)  # type: ignore[arg-type]


def after(
    key: int, lag: int = 0, kind: LinkKind = LinkKind.FINISH_TO_START, *, calendar: bool = False
) -> Link:
    return Link(key, kind, lag, calendar)


def faults_in(
    starts: Starts, tasks: Sequence[Task], limits: Mapping[Resource, int], days: WorkingDays
) -> list[str]:
    """Every rule that a schedule breaks, told from dates alone."""
    return list(_faults(starts, {task.key: task for task in tasks}, limits, days))


def _faults(
    starts: Starts, tasks: Mapping[int, Task], limits: Mapping[Resource, int], days: WorkingDays
) -> Iterator[str]:
    worked = {key: days.days[s : s + tasks[key].duration] for key, s in starts.items()}
    for key, task in tasks.items():
        if worked[key][0] < task.earliest:
            yield f"{key} starts too early"
        for link in task.links:
            theirs, mine = worked[link.predecessor], worked[key]
            origin = theirs[0] if link.kind is LinkKind.START_TO_START else theirs[-1]
            held = mine[-1] if link.kind is LinkKind.FINISH_TO_FINISH else mine[0]
            away = link.lag_days + (link.kind is LinkKind.FINISH_TO_START)
            gone = (
                (held - origin).days
                if link.calendar_days
                else days.days.index(held) - days.days.index(origin)
            )
            if gone < away:
                yield f"{key} does not keep its link to {link.predecessor}"
        for other in tasks.values():
            if other.key > key and task.invaded & other.invaded:
                first, second = sorted((key, other.key), key=lambda one: worked[one][0])
                if worked[second][0] <= worked[first][-1] + tasks[first].recovery_days * DAY:
                    yield f"{second} invades what has not recovered from {first}"
    for resource, limit in limits.items():
        for day in {day for one in worked.values() for day in one}:
            there = sum(
                (tasks[key].needs or {}).get(resource, 0) for key, one in worked.items() if day in one
            )
            if there > limit:
                yield f"{there} of {resource} on {day}"


def best_by_trying_all(
    tasks: Sequence[Task], limits: Mapping[Resource, int], days: WorkingDays, last_start: int
) -> tuple[date, int, int]:
    """Reopening, days late and sum of starts of the best schedule among all with starts up to a day."""
    network = Network(tasks, days)
    best = None
    for chosen in product(range(last_start + 1), repeat=len(tasks)):
        starts = {task.key: start for task, start in zip(tasks, chosen, strict=True)}
        if not faults_in(starts, tasks, limits, days):
            worth = worth_of(network, starts)
            best = worth if best is None else min(best, worth)
    assert best is not None
    return best


def worth_of(network: Network, starts: Starts, weather_days: int = 0) -> tuple[date, int, int]:
    late = sum(network.days_late(task, starts[key]) for key, task in network.tasks.items())
    return network.opens_on(starts, weather_days), late, sum(starts.values())


@st.composite
def links_to_earlier(draw: st.DrawFn, key: int, most: int) -> tuple[Link, ...]:
    earlier = draw(st.lists(st.integers(1, key - 1), unique=True, max_size=most)) if key > 1 else []
    return tuple(
        Link(one, draw(st.sampled_from(LinkKind)), draw(st.integers(0, 3)), draw(st.booleans()))
        for one in earlier
    )


@st.composite
def task_lists(draw: st.DrawFn, most_tasks: int, most_days: int = 4, most_links: int = 2) -> list[Task]:
    """Tasks that share a crew and two areas."""
    return [
        Task(
            key=key,
            duration=draw(st.integers(1, most_days)),
            earliest=MONDAY + draw(st.integers(0, 4)) * DAY,
            latest_finish=draw(st.none() | st.integers(0, 10).map(lambda n: MONDAY + n * DAY)),
            links=draw(links_to_earlier(key, most_links)),
            invaded=draw(st.sets(st.sampled_from("ab")).map(frozenset)),
            recovery_days=draw(st.integers(0, 4)),
            needs={CREW: draw(st.integers(0, 3))},
        )
        for key in range(1, draw(st.integers(1, most_tasks)) + 1)
    ]
