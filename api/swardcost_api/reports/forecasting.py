"""Earned value and the estimate at completion of each line, by stated methods."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from fractions import Fraction
from typing import Any, get_args
from uuid import UUID

from swardcost_model.control import EarnedFigures, Forecast, ForecastLine, ForecastMethod, MethodForecast
from swardcost_model.values import Money

from swardcost_api.engine.control.earned_value import EarnedValue, earned
from swardcost_api.engine.control.forecast import FORMULAS, forecast
from swardcost_api.engine.control.rounding import places
from swardcost_api.engine.control.variance import Comparison
from swardcost_api.engine.pricing.bought import in_words
from swardcost_api.engine.unit_words import units_of
from swardcost_api.reports.gathering import Gathered, LineFigures, gather, up_to
from swardcost_api.reports.own_forecasts import own_figures
from swardcost_api.reports.standing import naming
from swardcost_api.storage.work import UnitOfWork

METHODS: tuple[ForecastMethod, ...] = get_args(ForecastMethod)
HOW = [
    "planned: adjusted budget up to the month; earned = adjusted budget x share done, rounded half up to the cent",
    "share done: measured in the line's own unit, or in percent; a line that was not measured counts as on budget: "
    "earned = cost, at most the budget",
    "what a line cost after the month in which it was measured may have done more: earned is then the cost, but at "
    "least what was measured, and at most that and the cost since, or the budget",
    "cost = actual + accrued; schedule variance = earned - planned; cost variance = earned - cost",
    "schedule index = earned / planned; cost index = earned / cost; to 0.001",
    *(f"{method}: estimate at completion = {formula}" for method, formula in FORMULAS.items()),
    "no estimate is less than cost + open commitments; of a line where the method has no answer it is as_budgeted",
    "variance at completion = budget - estimate at completion",
]
COLUMNS = (
    "line", "label", "account", "unplanned", "measured", "cost_since_measured", "budget", "planned", "earned", "cost",
    "schedule_variance", "cost_variance", "schedule_index", "cost_index", "index_to_complete", "percent_done", "method",
    *(f"at_completion_{method}" for method in METHODS), "at_completion", "to_complete", "variance_at_completion",
    "currency",
)  # fmt: skip
MONEY = frozenset(COLUMNS[5:12]) | frozenset(
    name for name in COLUMNS if name.startswith(("at_completion", "to_complete", "variance_at_completion"))
)


@dataclass(frozen=True)
class LineForecast:
    """A line's earned value and what each method says it will cost, in minor units; absent is no answer."""

    line: LineFigures
    value: EarnedValue
    own_minor: int | None
    by_method: Mapping[ForecastMethod, int | None]
    method: ForecastMethod
    at_completion_minor: int

    @property
    def on_floor(self) -> bool:
        """Whether cost and open commitments are more than the method gave."""
        return self.at_completion_minor != self.by_method[self.method]


def line_forecasts(work: UnitOfWork, gathered: Gathered, method: ForecastMethod) -> list[LineForecast]:
    """The forecast of each line of a gathered budget."""
    own = own_figures(work, gathered.budget.id, gathered.on)
    return [
        _line_forecast(line, up_to(line.state.adjusted_by_month, gathered.through), own.get(line.state.id), method)
        for line in gathered.lines
    ]  # fmt: skip


def _line_forecast(line: LineFigures, planned: int, own: int | None, method: ForecastMethod) -> LineForecast:
    budget, cost, done = line.state.adjusted_minor, line.cost_minor, line.done_as_counted
    worth = earned(budget, done) if done is not None else max(min(cost, budget), 0)
    value = EarnedValue(planned, worth, cost, budget)
    found = {one: forecast(value, one, own) for one in METHODS}
    by_method = {one: None if it is None else it.at_completion_minor for one, it in found.items()}
    used: ForecastMethod = method if by_method[method] is not None else "as_budgeted"
    answer = by_method[used]
    assert answer is not None
    return LineForecast(line, value, own, by_method, used, max(answer, cost + line.open_minor))


def budget_forecast(
    work: UnitOfWork, budget_id: UUID, through: str | None, method: ForecastMethod
) -> Forecast:
    """Earned value and forecast at the end of a month: this month where none is given."""
    gathered = gather(work, budget_id, through)
    return forecast_of(gathered, line_forecasts(work, gathered, method), method, work.now)


def forecast_of(
    gathered: Gathered, found: Sequence[LineForecast], method: ForecastMethod, now: datetime
) -> Forecast:
    """Earned value and forecast of a gathered budget whose lines were forecast by a method."""
    currency = gathered.currency
    total = EarnedValue(0, 0, 0, 0)
    for one in found:
        total += one.value
    return Forecast(
        budget=gathered.budget, through=gathered.through, on=gathered.on, created_at=now, method=method,
        lines=[_line(one, currency) for one in found],
        total=EarnedFigures(**_figures(total, sum(one.at_completion_minor for one in found), currency)),
        unmeasured=sum(one.line.measured is None for one in found), outdated=sum(one.line.outdated for one in found),
        derivation=HOW,
    )  # fmt: skip


def _line(found: LineForecast, currency: str) -> ForecastLine:
    value = found.value

    def money(minor: int | None) -> Money | None:
        return None if minor is None else Money.of_minor(minor, currency)

    since = found.line.cost_since_measured_minor if found.line.outdated else None
    return ForecastLine(
        **naming(found.line), **_figures(value, found.at_completion_minor, currency),
        measured=_measured(found.line), cost_since_measured=money(since),
        method=found.method, committed_floor=found.on_floor,
        forecasts=[
            MethodForecast(
                method=one, at_completion=money(answer),
                to_complete=money(None if answer is None else answer - value.actual_minor),
                variance=money(None if answer is None else value.budget_minor - answer),
            )
            for one, answer in found.by_method.items()
        ],
    )  # fmt: skip


def _figures(value: EarnedValue, at_completion: int, currency: str) -> dict[str, Any]:
    amounts = {
        "budget_at_completion": value.budget_minor, "planned": value.planned_minor, "earned": value.earned_minor,
        "cost": value.actual_minor, "schedule_variance": value.schedule_variance_minor,
        "cost_variance": value.cost_variance_minor, "at_completion": at_completion,
        "to_complete": at_completion - value.actual_minor,
        "variance_at_completion": value.budget_minor - at_completion,
    }  # fmt: skip
    return {name: Money.of_minor(amount, currency) for name, amount in amounts.items()} | {
        "schedule_index": value.schedule_index, "cost_index": value.cost_index,
        "index_to_complete": value.index_to_complete,
        "percent_done": Comparison(value.budget_minor, value.earned_minor).percent_to_print,
    }  # fmt: skip


def _measured(line: LineFigures) -> str:
    found, state = line.measured, line.state
    if found is None:
        return "not measured"
    if state.unit is None:
        return f"{in_words(found.done)} percent on {found.measured_on}"
    share = line.done
    planned = in_words(state.adjusted_quantity) if state.adjusted_quantity else "0"
    percent = "" if share is None else f" ({in_words(places(Fraction(share * 100), 1))} %)"
    things = units_of(state.adjusted_quantity or Decimal(0), state.unit)
    return f"{in_words(found.done)} of {planned} {things} on {found.measured_on}{percent}"


def forecast_cells(report: Forecast) -> Iterable[Sequence[Any]]:
    """The report as rows of a table with `COLUMNS`; the total comes last."""
    for line in report.lines:
        since = line.cost_since_measured.amount if line.cost_since_measured else None
        by_method = [one.at_completion.amount if one.at_completion else None for one in line.forecasts]
        yield (
            line.number, line.label, line.account, line.unplanned, line.measured, since, *_earned_cells(line),
            line.method, *by_method, *_end_cells(line),
        )  # fmt: skip
    total = report.total
    yield (None, "Total", None, None, None, None, *_earned_cells(total), report.method, *[None] * len(METHODS),
           *_end_cells(total))  # fmt: skip


def _earned_cells(row: EarnedFigures) -> Sequence[Any]:
    return (
        row.budget_at_completion.amount, row.planned.amount, row.earned.amount, row.cost.amount,
        row.schedule_variance.amount, row.cost_variance.amount, row.schedule_index, row.cost_index,
        row.index_to_complete, row.percent_done,
    )  # fmt: skip


def _end_cells(row: EarnedFigures) -> Sequence[Any]:
    return (
        row.at_completion.amount, row.to_complete.amount, row.variance_at_completion.amount, row.cost.currency,
    )  # fmt: skip
