"""What an estimate would cost if figures turned out otherwise: one at a time, two together, and whole scenarios.

No chance is in it. What is asked for is read first; it is priced when that transaction has ended.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from uuid import UUID

import numpy as np
from swardcost_model import problems
from swardcost_model import simulations as answers
from swardcost_model.access import Club
from swardcost_model.problems import Fault, ProblemError
from swardcost_model.simulations import GridQuestion
from swardcost_model.uncertainty import Scenario, UncertainKind
from swardcost_model.values import CURRENCY_DIGITS, Money, from_minor

from swardcost_api.access.service import read_club
from swardcost_api.derivations import steps_for
from swardcost_api.engine.derivation import Input, Step
from swardcost_api.engine.risk.sampling import Event, Floats
from swardcost_api.engine.risk.sensitivity import grid, swings
from swardcost_api.engine.risk.simulated_lines import Trials, refuse_beyond
from swardcost_api.engine.risk.simulated_quantity import MILLION
from swardcost_api.engine.risk.whole_figures import Ints, Whole
from swardcost_api.risk.fitting import Fitted, kinds_of, refusing_what_cannot_be
from swardcost_api.risk.ranges import HUNDRED, LEAST_PERCENT, percent_of_factor
from swardcost_api.risk.reopening import ReopeningQuestion, read_reopening, scenario_opens_on, solved
from swardcost_api.risk.stated import fitted_uncertainty
from swardcost_api.risk.telling import base_step, round_half_up, told_held
from swardcost_api.schedule.service import NotSimulated, ScheduleInTrials
from swardcost_api.storage.work import UnitOfWork


@dataclass(frozen=True, slots=True)
class ScenarioQuestion:
    """An estimate with its scenarios, and the work that its project plans."""

    fitted: Fitted
    reopening: ReopeningQuestion
    club: Club


def read_scenarios(work: UnitOfWork, estimate_id: UUID) -> ScenarioQuestion:
    """What the scenarios of an estimate rest on. Raises as `fitted_uncertainty`."""
    fitted = fitted_uncertainty(work, estimate_id)
    return ScenarioQuestion(fitted, read_reopening(work, fitted.repriced), read_club(work))


def sensitivity_of(fitted: Fitted) -> answers.Sensitivity:
    """One figure at a time at the ends of its range, all else likely, then each event; the widest swing first."""
    with refusing_what_cannot_be():
        likely = int(_total(fitted, {one.name: np.array([one.range.likely]) for one in fitted.costs})[0])
        found = swings(fitted.costs, lambda values: _total(fitted, values)) if fitted.costs else ()
        events = [_event_swing(fitted, one, likely) for one in fitted.events]
    told = [
        answers.Swing(
            name=one.name, kind="figure", low=_percent(one.low), high=_percent(one.high),
            at_low=_money(fitted, one.at_low_minor), at_high=_money(fitted, one.at_high_minor),
            width=_money(fitted, one.width_minor),
        )
        for one in found
    ]  # fmt: skip
    told += events
    told.sort(key=lambda one: (-one.width.amount, one.name))
    return answers.Sensitivity(
        base=_money(fitted, fitted.trials.base_minor), likely=_money(fitted, likely), swings=told,
        held=told_held(fitted.trials.held, fitted.currency), not_priced=list(fitted.trials.not_priced),
    )  # fmt: skip


def grid_of(work: UnitOfWork, estimate_id: UUID, question: GridQuestion) -> answers.SensitivityGrid:
    """The total over the values of two figures, all else likely.

    Raises `invalid-values` for a figure that the cost does not rest on, and as `fitted_uncertainty`.
    """
    fitted = fitted_uncertainty(work, estimate_id)
    _refuse_other_figures(fitted, question)
    with refusing_what_cannot_be():
        found = grid(
            fitted.costs, question.first, question.second, lambda values: _total(fitted, values),
            [float(one) / HUNDRED for one in question.first_percents] or None,
            [float(one) / HUNDRED for one in question.second_percents] or None,
        )  # fmt: skip
    return answers.SensitivityGrid(
        first=found.first, second=found.second,
        first_percents=question.first_percents or [percent_of_factor(one) for one in found.first_values],
        second_percents=question.second_percents or [percent_of_factor(one) for one in found.second_values],
        totals=[[_money(fitted, minor) for minor in row] for row in found.totals_minor],
        base=_money(fitted, fitted.trials.base_minor),
    )  # fmt: skip


def _refuse_other_figures(fitted: Fitted, question: GridQuestion) -> None:
    kinds = kinds_of(fitted.stated)
    faults = [
        Fault(pointer=pointer, expected="an uncertain figure that the cost rests on", got=name)
        for pointer, name in (("/first", question.first), ("/second", question.second))
        if kinds.get(name, UncertainKind.DURATION) is UncertainKind.DURATION
    ]
    if question.first == question.second:
        faults.append(Fault(pointer="/second", expected="another figure than the first", got=question.second))
    for name, percents, pointer in (
        (question.first, question.first_percents, "/first_percents"),
        (question.second, question.second_percents, "/second_percents"),
    ):
        faults += [
            Fault(pointer=f"{pointer}/{number}", expected=f"{LEAST_PERCENT} or more", got=str(percent))
            for number, percent in enumerate(percents)
            if kinds.get(name) is UncertainKind.PRODUCTION and percent < LEAST_PERCENT
        ]
    if faults:
        raise ProblemError(problems.INVALID_VALUES, "These figures cannot be looked at together.", faults)


def scenarios_of(question: ScenarioQuestion) -> answers.ScenarioOutcomes:
    """What each scenario comes to and by what, all else as estimated, and when the course then reopens."""
    fitted = question.fitted
    schedule = solved(question.reopening) if fitted.stated.scenarios else None
    planned = schedule.reopens_on if isinstance(schedule, ScheduleInTrials) else None
    with refusing_what_cannot_be():
        found = [
            _outcome(question, one, schedule if isinstance(schedule, ScheduleInTrials) else None)
            for one in fitted.stated.scenarios
        ]
    return answers.ScenarioOutcomes(
        base=_money(fitted, fitted.trials.base_minor), planned_reopening=planned,
        no_reopening_because=schedule.reason if isinstance(schedule, NotSimulated) else None, scenarios=found,
        held=told_held(fitted.trials.held, fitted.currency), not_priced=list(fitted.trials.not_priced),
    )  # fmt: skip


def _outcome(
    question: ScenarioQuestion, scenario: Scenario, schedule: ScheduleInTrials | None
) -> answers.ScenarioOutcome:
    """A scenario, as estimated in case 0, whole in case 1, and each of its settings alone in the cases from 2 on."""
    fitted, base = question.fitted, question.fitted.trials.base_minor
    settings = {one.figure: float(one.percent) / HUNDRED for one in scenario.settings}
    priced = _cases(fitted, [{}, settings, *({name: factor} for name, factor in settings.items())])
    events = {
        one.name: _minor(fitted, one.cost.likely) for one in fitted.events if one.name in scenario.events
    }
    total = int(priced.total[1]) + sum(events.values())
    refuse_beyond(total, fitted.currency)
    parts: list[tuple[str, str, int]] = [
        (name, "figure", int(priced.total[place]) - base) for place, name in enumerate(settings, 2)
    ]
    parts += [(name, "event", events[name]) for name in scenario.events]
    opens_on = None if schedule is None else scenario_opens_on(schedule, fitted.stated, scenario)
    alone = sum(minor for _, _, minor in parts)
    base_figure, difference = (
        Input(name, float(from_minor(minor, fitted.currency)), fitted.currency)
        for name, minor in (("base", base), ("difference of all items", total - base))
    )
    step = Step(
        "total", float(from_minor(total, fitted.currency)), fitted.currency,
        "base + difference of all items, each priced anew at the figures of the scenario", (base_figure, difference),
        "the estimate's own terms of price",
    )  # fmt: skip
    return answers.ScenarioOutcome(
        name=scenario.name, note=scenario.note, total=_money(fitted, total),
        difference=_money(fitted, total - base),
        parts=[
            answers.ScenarioPart.model_validate(
                {"name": name, "kind": kind, "difference": _money(fitted, minor)}
            )
            for name, kind, minor in parts
        ],
        together=_money(fitted, total - base - alone), moved=_moved(fitted, priced, events),
        reopens_on=opens_on,
        days_later=None if opens_on is None or schedule is None else (opens_on - schedule.reopens_on).days,
        derivation=steps_for([base_step(fitted), step], question.club),
    )  # fmt: skip


def _moved(fitted: Fitted, priced: Trials, events: Mapping[str, int]) -> list[answers.MovedItem]:
    items = [(name, int(amount[0]), int(amount[1])) for name, amount in priced.items.items()]
    items += [(name, 0, minor) for name, minor in events.items()]
    moved = [one for one in items if one[1] != one[2]]
    return [
        answers.MovedItem(
            item=name, as_estimated=_money(fitted, before), in_scenario=_money(fitted, after),
            difference=_money(fitted, after - before),
        )
        for name, before, after in sorted(moved, key=lambda one: (-abs(one[2] - one[1]), one[0]))
    ]  # fmt: skip


def _cases(fitted: Fitted, cases: Sequence[Mapping[str, float]]) -> Trials:
    """Everything priced in each case, with what is not set as estimated."""
    estimate = fitted.trials.estimate
    if not fitted.costs:
        return estimate.priced(lambda _: Whole.constant(MILLION), len(cases))
    return estimate.in_trials(
        {one.name: np.array([case.get(one.name, 1.0) for case in cases]) for one in fitted.costs}
    )


def _total(fitted: Fitted, values: Mapping[str, Floats]) -> Ints:
    if not values:
        return fitted.trials.estimate.base().total
    return fitted.trials.estimate.in_trials(values).total


def _event_swing(fitted: Fitted, event: Event, likely: int) -> answers.Swing:
    at_high = likely + _minor(fitted, event.cost.high)
    refuse_beyond(at_high, fitted.currency)
    return answers.Swing(
        name=event.name, kind="event", low="does not happen", high="happens at its high cost",
        at_low=_money(fitted, likely), at_high=_money(fitted, at_high), width=_money(fitted, at_high - likely),
    )  # fmt: skip


def _minor(fitted: Fitted, cost: float) -> int:
    """A cost in minor units, as the trials round it."""
    return round_half_up(cost * 10 ** CURRENCY_DIGITS[fitted.currency])


def _money(fitted: Fitted, minor: int) -> Money:
    return Money.of_minor(minor, fitted.currency)


def _percent(factor: float) -> str:
    return f"{percent_of_factor(factor)} %"
