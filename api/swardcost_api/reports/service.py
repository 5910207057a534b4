"""Budget versus actual: every posting of the club is in it once, assigned or not."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any, get_args
from uuid import UUID

from swardcost_model.reports import BudgetReport, Heading, ReportRow, ReportSection
from swardcost_model.values import Money

from swardcost_api.budgets.service import LineState, line_states, read_budget_summary
from swardcost_api.engine.control.variance import Comparison
from swardcost_api.ledger.service import posting_totals
from swardcost_api.reports.budget_money import BudgetMoney as BudgetMoney
from swardcost_api.reports.budget_money import money_of_budgets as money_of_budgets
from swardcost_api.reports.cash import cash_of as cash_of
from swardcost_api.reports.explaining import LineCauses as LineCauses
from swardcost_api.reports.explaining import causes_of as causes_of
from swardcost_api.reports.explaining import explanation_of as explanation_of
from swardcost_api.reports.forecasting import METHODS as METHODS
from swardcost_api.reports.forecasting import LineForecast as LineForecast
from swardcost_api.reports.forecasting import forecast_of as forecast_of
from swardcost_api.reports.forecasting import line_forecasts as line_forecasts
from swardcost_api.reports.gathering import Gathered as Gathered
from swardcost_api.reports.gathering import LineFigures as LineFigures
from swardcost_api.reports.gathering import gather as gather
from swardcost_api.reports.own_forecasts import list_own_forecasts as list_own_forecasts
from swardcost_api.reports.standing import standing_of as standing_of
from swardcost_api.storage.work import UnitOfWork

UNASSIGNED = "Unassigned"
HOW = [
    "budget: the accepted estimate with all approved adjustments, by line and month",
    "actual: sum of the postings assigned to the line; postings not yet assigned stand in rows of their own",
    "remaining = budget - actual",
    "percent = actual / budget x 100, rounded half up to 0.1",
    "variance = actual - budget",
]


@dataclass
class _Sum:
    """What has been added up under one heading so far."""

    label: str
    order: tuple[Any, ...]
    budget: int = 0
    actual: int = 0
    postings: int = 0


class _Section:
    """Sums by key; the same money goes into each section once.

    What is unassigned is apart from whatever account or line there may be with a like key.
    """

    def __init__(self, by: Heading) -> None:
        self.by = by
        self.sums: dict[tuple[Any, ...], tuple[str | None, _Sum]] = {}

    def at(self, key: str | None, label: str, order: tuple[Any, ...]) -> _Sum:
        return self.sums.setdefault((order[0], key), (key, _Sum(label, order)))[1]

    def rows(self, currency: str) -> list[ReportRow]:
        ordered = sorted(self.sums.values(), key=lambda one: one[1].order)
        return [
            _row(key, s.label, Comparison(s.budget, s.actual), s.postings, currency) for key, s in ordered
        ]


def budget_report(work: UnitOfWork, budget_id: UUID) -> BudgetReport:
    """Budget versus actual for one budget."""
    budget = read_budget_summary(work, budget_id)
    currency = budget.total.currency
    lines = {line.id: line for line in line_states(work, budget_id)}
    sections: dict[Heading, _Section] = {by: _Section(by) for by in get_args(Heading)}
    for line in lines.values():
        for by, key, label, order in _headings_of_plan(line):
            sections[by].at(key, label, order).budget += line.current_minor
        for month, amount in line.current_by_month.items():
            sections["month"].at(month, month, (0, month)).budget += amount
    assigned = unassigned = elsewhere = unassigned_postings = assigned_postings = 0
    for total in posting_totals(work):
        if total.budget_line_id is None:
            unassigned += total.amount_minor
            unassigned_postings += total.count
            headings = _headings_of_unassigned(total.month)
        elif total.budget_line_id in lines:
            assigned += total.amount_minor
            assigned_postings += total.count
            headings = _headings_of_posting(lines[total.budget_line_id], total.account, total.month)
        else:
            elsewhere += total.amount_minor
            continue
        for by, key, label, order in headings:
            found = sections[by].at(key, label, order)
            found.actual += total.amount_minor
            found.postings += total.count
    planned = sum(line.current_minor for line in lines.values())
    whole = Comparison(planned, assigned + unassigned)
    return BudgetReport(
        budget=budget, created_at=work.now,
        total=_row(None, "Total, unassigned included", whole, assigned_postings + unassigned_postings, currency),
        to_this_budget=_row(
            None, "Assigned to this budget", Comparison(planned, assigned), assigned_postings, currency
        ),
        assigned=Money.of_minor(assigned, currency), unassigned=Money.of_minor(unassigned, currency),
        unassigned_postings=unassigned_postings, assigned_elsewhere=Money.of_minor(elsewhere, currency),
        all_postings=Money.of_minor(assigned + unassigned + elsewhere, currency),
        sections=[ReportSection(by=s.by, rows=s.rows(currency)) for s in sections.values()], derivation=HOW,
    )  # fmt: skip


_Placed = tuple[Heading, str | None, str, tuple[Any, ...]]
"""A section, the key and label of a row in it, and what orders the rows."""


def _headings_of_plan(line: LineState) -> Iterable[_Placed]:
    yield "line", str(line.number), line.label, (0, line.number)
    yield _account_heading(line.account)
    yield _scope_heading(line)


def _headings_of_posting(line: LineState, account: str, month: str) -> Iterable[_Placed]:
    yield "line", str(line.number), line.label, (0, line.number)
    yield _account_heading(account)
    yield "month", month, month, (0, month)
    yield _scope_heading(line)


def _headings_of_unassigned(month: str) -> Iterable[_Placed]:
    yield "line", None, UNASSIGNED, (2,)
    yield "account", None, UNASSIGNED, (2,)
    yield "month", month, month, (0, month)
    yield "scope_item", None, UNASSIGNED, (2,)


def _account_heading(account: str | None) -> _Placed:
    return "account", account, account or "No account", (1,) if account is None else (0, account)


def _scope_heading(line: LineState) -> _Placed:
    if line.scope_item_id is None:
        return "scope_item", line.markup or f"line {line.number}", line.label, (1, line.number)
    return "scope_item", str(line.scope_item_id), line.scope_item or line.label, (0, line.number)


def _row(key: str | None, label: str, compared: Comparison, postings: int, currency: str) -> ReportRow:
    return ReportRow(
        key=key, label=label, postings=postings, percent=compared.percent_to_print,
        budget=Money.of_minor(compared.budget_minor, currency),
        actual=Money.of_minor(compared.actual_minor, currency),
        remaining=Money.of_minor(compared.remaining_minor, currency),
        variance=Money.of_minor(compared.variance_minor, currency),
    )  # fmt: skip


REPORT_COLUMNS = (
    "by",
    "key",
    "label",
    "budget",
    "actual",
    "remaining",
    "percent",
    "variance",
    "postings",
    "currency",
)


def report_cells(report: BudgetReport) -> Iterable[Sequence[Any]]:
    """The report as the cells of a CSV file with the columns `REPORT_COLUMNS`; the total comes last."""
    for section in report.sections:
        for row in section.rows:
            yield (section.by, *_cells(row))
    yield ("assigned", *_cells(report.to_this_budget))
    yield ("total", *_cells(report.total))


def _cells(row: ReportRow) -> Sequence[Any]:
    return (
        row.key, row.label, row.budget.amount, row.actual.amount, row.remaining.amount, row.percent,
        row.variance.amount, row.postings, row.budget.currency,
    )  # fmt: skip
