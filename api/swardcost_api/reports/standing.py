"""Budget versus actual with commitments and accruals: where the money stands, line by line."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, fields
from datetime import datetime
from typing import Any
from uuid import UUID

from swardcost_model.control import BudgetStanding, MoneyStanding, StandingLine
from swardcost_model.values import Money

from swardcost_api.engine.control.variance import Comparison
from swardcost_api.reports.gathering import Gathered, LineFigures, gather
from swardcost_api.storage.work import UnitOfWork

HOW = [
    "original: the accepted estimate; adjustments: approved and in effect by the day; adjusted is their sum",
    "actual: postings assigned to the line up to the month, splits counted by their parts",
    "accrued = received and not invoiced + invoiced and not posted + retainage held back, on the day",
    "open commitments: ordered, and neither received nor billed; nothing of closed commitments",
    "exposure = actual + accrued + open commitments; available = adjusted - exposure",
    "percent = (actual + accrued) / adjusted x 100, rounded half up to 0.1",
    "postings of invoices are taken to be net of the retainage held back, which is posted when it is paid",
]
COLUMNS = (
    "line", "label", "account", "unplanned", "original", "adjustments", "adjusted", "pending", "actual", "accrued",
    "open_commitments", "exposure", "available", "percent", "postings", "currency",
)  # fmt: skip
MONEY = frozenset(COLUMNS[4:13])


@dataclass
class _Sums:
    """Figures of lines added up, in minor units."""

    original: int = 0
    adjusted: int = 0
    pending: int = 0
    actual: int = 0
    accrued: int = 0
    open: int = 0
    postings: int = 0

    def add(self, other: "_Sums") -> None:
        for one in fields(self):
            setattr(self, one.name, getattr(self, one.name) + getattr(other, one.name))

    def answer(self, currency: str) -> dict[str, Any]:
        exposure = self.actual + self.accrued + self.open
        amounts = {
            "original": self.original, "adjustments": self.adjusted - self.original, "adjusted": self.adjusted,
            "pending": self.pending, "actual": self.actual, "accrued": self.accrued, "open_commitments": self.open,
            "exposure": exposure, "available": self.adjusted - exposure,
        }  # fmt: skip
        return {name: Money.of_minor(amount, currency) for name, amount in amounts.items()} | {
            "percent": Comparison(self.adjusted, self.actual + self.accrued).percent_to_print,
            "postings": self.postings,
        }


def budget_standing(work: UnitOfWork, budget_id: UUID, through: str | None) -> BudgetStanding:
    """Where each line of a budget stands at the end of a month: this month where none is given."""
    return standing_of(gather(work, budget_id, through, with_work_since=False), work.now)


def standing_of(gathered: Gathered, now: datetime) -> BudgetStanding:
    """Where each line of a gathered budget stands."""
    currency = gathered.currency
    total, unplanned, lines = _Sums(), _Sums(), []
    for line in gathered.lines:
        sums = _sums(line)
        total.add(sums)
        if line.state.unplanned:
            unplanned.add(sums)
        lines.append(StandingLine(**naming(line), **sums.answer(currency)))
    return BudgetStanding(
        budget=gathered.budget, through=gathered.through, on=gathered.on, created_at=now, lines=lines,
        unplanned=MoneyStanding(**unplanned.answer(currency)), total=MoneyStanding(**total.answer(currency)),
        unassigned=Money.of_minor(gathered.unassigned_minor, currency),
        unassigned_postings=gathered.unassigned_postings, derivation=HOW,
    )  # fmt: skip


def naming(line: LineFigures) -> dict[str, Any]:
    """What tells a line from the others, in every report."""
    state = line.state
    return {
        "id": state.id, "number": state.number, "label": state.label, "account": state.account,
        "unplanned": state.unplanned,
    }  # fmt: skip


def _sums(line: LineFigures) -> _Sums:
    state = line.state
    return _Sums(
        state.original_minor, state.adjusted_minor, state.pending_minor, line.actual_minor, line.accrued_minor,
        line.open_minor, line.postings,
    )  # fmt: skip


def standing_cells(report: BudgetStanding) -> Iterable[Sequence[Any]]:
    """The report as rows of a table with `COLUMNS`; the total comes last."""
    for line in report.lines:
        yield (line.number, line.label, line.account, line.unplanned, *_cells(line))
    yield (None, "Unplanned, of the total", None, None, *_cells(report.unplanned))
    yield (None, "Total", None, None, *_cells(report.total))


def _cells(row: MoneyStanding) -> Sequence[Any]:
    return (
        row.original.amount, row.adjustments.amount, row.adjusted.amount, row.pending.amount, row.actual.amount,
        row.accrued.amount, row.open_commitments.amount, row.exposure.amount, row.available.amount, row.percent,
        row.postings, row.original.currency,
    )  # fmt: skip
