"""When the course reopens in many trials: what lengthens tasks and what delays the work, put into the schedule.

Days are drawn from the same causes as the costs and from streams of their own, so that costs are what they are without
them. The schedule is solved once, as planned, and its order of work is kept in every trial.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date

import numpy as np
from swardcost_model import problems
from swardcost_model import simulations as answers
from swardcost_model.access import Club
from swardcost_model.problems import ProblemError
from swardcost_model.uncertainty import Scenario, UncertainKind, UncertaintyFields

from swardcost_api.derivations import steps_for
from swardcost_api.engine.derivation import Input, Step
from swardcost_api.engine.risk.outcomes import Outcomes
from swardcost_api.engine.risk.sampling import BLOCK, Floats, open_blocks, stream
from swardcost_api.engine.risk.whole_figures import Ints
from swardcost_api.engine.schedule.working_days import BeyondCalendar
from swardcost_api.estimates.service import Repriceable
from swardcost_api.risk.fitting import Fitted
from swardcost_api.risk.ranges import engine_range, places
from swardcost_api.schedule.service import (
    NotSimulated,
    PlannedWork,
    ScheduleInTrials,
    find_planned_work,
    simulated_schedule_of,
)
from swardcost_api.storage.work import UnitOfWork

ReopeningQuestion = PlannedWork | NotSimulated
Tell = Callable[[int, int | None, str, str], None]
"""Told how many trials are done, of how many, their unit, and the step under way; may raise to end it."""

_DUST = 1e-9
_ENDLESS = 1e6
"""Working days beyond any calendar."""
_LATEST_OF_TASKS = (
    "trials that reopen by the day after the closure / trials x 100; reopening = latest of the tasks' finish, weather "
    "days, delays by events and recovery + 1 day; duration = planned duration x factor, rounded up to whole days"
)


@dataclass(frozen=True, slots=True)
class Opening:
    """What is told of the reopening, or why nothing is."""

    reopening: answers.Reopening | None
    why_not: str | None


def read_reopening(work: UnitOfWork, repriced: Repriceable) -> ReopeningQuestion:
    """The planned work of an estimate's project, or why it has no schedule."""
    taken = sorted(repriced.question.choice.taken)
    return find_planned_work(work, repriced.project_id, taken)


def solved(question: ReopeningQuestion) -> ScheduleInTrials | NotSimulated:
    """The schedule as it can be put into trials; it may take long and reads nothing. Raises `unavailable` while others
    are solved."""
    if isinstance(question, NotSimulated):
        return question
    try:
        return simulated_schedule_of(question)
    except ProblemError as error:
        if error.kind is not problems.WRONG_STATE:
            raise
        return NotSimulated(error.detail)


def reopening_in_trials(
    question: ReopeningQuestion, fitted: Fitted, seed: int, trials: int, club: Club, tell: Tell
) -> Opening:
    """When the course reopens in all trials; nothing, with the reason, where there is no schedule to vary."""
    tell(trials, trials, "trial", "scheduling")
    found = solved(question)
    if isinstance(found, NotSimulated):
        return Opening(None, found.reason)
    opens = np.empty(trials, dtype=np.int64)
    try:
        for first, days in _blocks(found, fitted, seed, trials):
            opens[first : first + len(days)] = days
            tell(trials, trials, "trial", "scheduling")
    except BeyondCalendar as error:
        return Opening(None, f"No distribution can be given: {error}.")
    return Opening(_told(found, opens, club), None)


def _blocks(found: ScheduleInTrials, fitted: Fitted, seed: int, trials: int) -> Iterator[tuple[int, Ints]]:
    tasks = _tasks_of(found, fitted.stated)
    figures = [one for one in fitted.durations if tasks.get(one.name)]
    events = [one for one in fitted.events if one.name in fitted.delays]
    sources = {one.name: stream(seed, "delay", one.name) for one in events}
    for opened in open_blocks(figures, events, seed=seed, trials=trials, block=BLOCK):
        lost = np.zeros(opened.size, dtype=np.int64)
        for event in events:
            happened, _ = opened.event(event.name)
            lost += np.where(
                happened,
                _whole_days(fitted.delays[event.name].quantile(sources[event.name].random(opened.size))),
                0,
            )
        factors = {
            key: values
            for figure in figures
            for values in [opened.figure(figure.name)]
            for key in tasks[figure.name]
        }
        yield opened.first, found.schedule.reopening(factors, lost)


def _tasks_of(found: ScheduleInTrials, stated: UncertaintyFields) -> Mapping[str, list[int]]:
    """The scheduled tasks that each duration is on, by its name."""
    return {
        one.name: [
            found.key_of[scope_item] for scope_item in one.scope_item_ids if scope_item in found.key_of
        ]
        for one in stated.figures
        if one.kind is UncertainKind.DURATION
    }


def _whole_days(days: Floats) -> Ints:
    """Days rounded up to whole ones."""
    return np.ceil(np.minimum(days, _ENDLESS) - _DUST).astype(np.int64)


def scenario_opens_on(found: ScheduleInTrials, stated: UncertaintyFields, scenario: Scenario) -> date | None:
    """When the course reopens in a scenario, its events taking the days that are likely of them; `None` where its work
    goes on after the last day of the calendar."""
    tasks = _tasks_of(found, stated)
    factors = {
        key: np.array([float(one.percent) / 100])
        for one in scenario.settings
        for key in tasks.get(one.figure, ())
    }
    delays = {one.name: one.delay_days for one in stated.events if one.delay_days is not None}
    likely = np.array([engine_range(delays[name], 1.0).likely for name in scenario.events if name in delays])
    lost = np.array([int(_whole_days(likely).sum())], dtype=np.int64)
    try:
        return date.fromordinal(int(found.schedule.reopening(factors, lost)[0]))
    except BeyondCalendar:
        return None


def _told(found: ScheduleInTrials, opens: Ints, club: Club) -> answers.Reopening:
    outcomes = Outcomes(opens)
    last = found.closure_last_day.toordinal() + 1
    in_time = outcomes.confidence_of(last)
    days, counts = np.unique(opens, return_counts=True)
    reached = np.cumsum(counts)
    step = Step(
        "reopening in time", in_time, "percent", _LATEST_OF_TASKS,
        (
            Input("trials in time", float(np.count_nonzero(opens <= last)), "each"),
            Input("trials", float(opens.size), "each"),
        ),
        "the trials of this simulation; the order of the work is kept as it is planned",
    )  # fmt: skip
    return answers.Reopening(
        planned=found.reopens_on, closure_last_day=found.closure_last_day, in_time_percent=places(in_time, 4),
        percentiles=[
            answers.ReopeningPercentile(
                percent=places(one.percent, 4), day=date.fromordinal(one.amount_minor), low=_day(one.low_minor),
                high=_day(one.high_minor),
            )
            for one in outcomes.percentiles()
        ],
        curve=[
            answers.ReopeningPoint(
                day=date.fromordinal(int(day)), percent=places(100 * int(so_far) / opens.size, 4)
            )
            for day, so_far in zip(days, reached, strict=True)
        ],
        unscheduled=[one.name for one in found.unscheduled], derivation=steps_for([step], club),
    )  # fmt: skip


def _day(ordinal: int | None) -> date | None:
    return None if ordinal is None else date.fromordinal(ordinal)
