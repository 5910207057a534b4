"""What every report on a budget rests on: each line's budget, postings and commitments up to the end of a month."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from fractions import Fraction
from functools import cached_property
from uuid import UUID

from swardcost_model.budgets import BudgetSummary

from swardcost_api.budgets.service import LineState, Measured, line_states, progress_at, read_budget_summary
from swardcost_api.commitments.service import (
    LUMP_SUM,
    NOT_ORDERED,
    Bill,
    LineCommitment,
    billed_of_budget,
    committed_by_line,
)
from swardcost_api.engine.control.earned_value import done_since, earned
from swardcost_api.engine.control.months import last_day
from swardcost_api.engine.control.rounding import share_done
from swardcost_api.ledger.service import PostingTotal, posting_totals
from swardcost_api.storage.work import UnitOfWork
from swardcost_api.units import UNITS, exact_ratio

HUNDRED = Decimal(100)


@dataclass
class LineFigures:
    """A budget line with all that was charged, ordered and measured on it; amounts in minor units.

    Its sums are asked for when all is gathered, and are then kept.
    """

    state: LineState
    measured: Measured | None
    cost_when_measured_minor: int | None = None
    """Cost at the end of the month in which it was last measured, where that is an earlier one and may matter."""
    commitments: list[LineCommitment] = field(default_factory=list)
    actual_by_month: dict[str, int] = field(default_factory=dict)
    other_accounts_minor: int = 0
    postings: int = 0

    @cached_property
    def actual_minor(self) -> int:
        return sum(self.actual_by_month.values())

    @cached_property
    def accrued_minor(self) -> int:
        """Received and not invoiced, invoiced and not posted, and retainage held back."""
        return sum(one.accrued_minor for one in self.commitments)

    @cached_property
    def cost_minor(self) -> int:
        return self.actual_minor + self.accrued_minor

    @cached_property
    def open_minor(self) -> int:
        return sum(one.open_minor for one in self.commitments)

    @cached_property
    def done(self) -> Fraction | None:
        """The share of the work done, where it was measured."""
        if self.measured is None:
            return None
        planned = self.state.adjusted_quantity if self.state.unit is not None else HUNDRED
        return share_done(self.measured.done, planned) if planned else None

    @property
    def may_be_outdated(self) -> bool:
        """Whether it cost more than what was measured is worth, and not all was measured to be done."""
        done, budget = self.done, self.state.adjusted_minor
        return done is not None and done < 1 and self.cost_minor > earned(budget, done)

    @property
    def cost_since_measured_minor(self) -> int:
        """What the cost grew by after the month in which it was last measured; 0 where that moves nothing."""
        return 0 if self.cost_when_measured_minor is None else self.cost_minor - self.cost_when_measured_minor

    @cached_property
    def done_as_counted(self) -> Fraction | None:
        """The share of the work done as reports count it: the measured one, and what it cost since as on budget."""
        if self.done is None:
            return None
        return done_since(
            self.state.adjusted_minor, self.done, self.cost_minor, self.cost_since_measured_minor
        )

    @property
    def outdated(self) -> bool:
        """Whether it cost so much since it was measured that more counts as done than was."""
        return self.done_as_counted != self.done

    def used(self) -> tuple[Decimal | None, int | None]:
        """The quantity received or billed, in the line's unit, and what it cost; absent where nothing tells it.

        What was ordered with it by another unit (delivery by the load) is part of what it cost, as it is part of the
        planned price; what was billed without an order is not. A lump sum is billed in parts, as amounts alone, so that
        its quantity tells nothing.
        """
        if self.state.unit in (None, LUMP_SUM):
            return None, None
        quantity, cost, known = Fraction(0), 0, False
        for one in self.commitments:
            if one.line_number == NOT_ORDERED:
                continue
            cost += one.billed_minor + one.received_not_invoiced_minor
            ratio = _ratio(one.unit, self.state.unit)
            if ratio is not None:
                known = True
                quantity += Fraction(max(one.received_quantity, one.billed_quantity)) * ratio
        if not known:
            return None, None
        return Decimal(round(quantity * 10**6)).scaleb(-6).normalize(), cost


@dataclass(frozen=True)
class Gathered:
    """A budget up to the end of a month."""

    budget: BudgetSummary
    through: str
    on: date
    lines: Sequence[LineFigures]
    unassigned_minor: int
    unassigned_postings: int

    @property
    def currency(self) -> str:
        return self.budget.total.currency


def gather(
    work: UnitOfWork, budget_id: UUID, through: str | None, totals: Sequence[PostingTotal] | None = None, *,
    with_work_since: bool = True,
) -> Gathered:  # fmt: skip
    """A budget's lines with their figures up to the end of a month: this month where none is given.

    `totals` are the club's posting totals where they have been read already, for several budgets. Without the work
    done since lines were measured nothing may be asked of what they earned.
    """
    budget = read_budget_summary(work, budget_id)
    month = through or work.now.date().isoformat()[:7]
    on = last_day(month)
    states = line_states(work, budget_id, on)
    measured = progress_at(work, budget_id, on, states)
    lines = {state.id: LineFigures(state, measured.get(state.id)) for state in states}
    bills = billed_of_budget(work, budget_id)
    for commitment in committed_by_line(work, budget_id, on, bills):
        if commitment.budget_line_id in lines:
            lines[commitment.budget_line_id].commitments.append(commitment)
    unassigned = postings = 0
    for total in posting_totals(work) if totals is None else totals:
        if total.month > month:
            continue
        if total.budget_line_id is None:
            unassigned += total.amount_minor
            postings += total.count
        elif total.budget_line_id in lines:
            line = lines[total.budget_line_id]
            so_far = line.actual_by_month.get(total.month, 0)
            line.actual_by_month[total.month] = so_far + total.amount_minor
            line.postings += total.count
            if line.state.account is not None and total.account != line.state.account:
                line.other_accounts_minor += total.amount_minor
    if with_work_since:
        _costs_when_measured(work, budget_id, month, lines.values(), bills)
    return Gathered(budget, month, on, list(lines.values()), unassigned, postings)


def _costs_when_measured(
    work: UnitOfWork, budget_id: UUID, through: str, lines: Iterable[LineFigures], bills: Sequence[Bill]
) -> None:
    """Fill in what lines had cost at the end of the months in which they were last measured, where that may matter.

    Orders are looked at once a month, and only those of such lines.
    """
    by_month: dict[str, dict[UUID, LineFigures]] = {}
    for line in lines:
        if line.measured is None or not line.may_be_outdated:
            continue
        month = line.measured.measured_on.isoformat()[:7]
        if month < through:
            line.cost_when_measured_minor = up_to(line.actual_by_month, month)
            if line.commitments:
                by_month.setdefault(month, {})[line.state.id] = line
    for month, ordered in by_month.items():
        orders = {one.commitment_id for line in ordered.values() for one in line.commitments}
        for commitment in committed_by_line(work, budget_id, last_day(month), bills, orders):
            found = ordered.get(commitment.budget_line_id)
            if found is not None and found.cost_when_measured_minor is not None:
                found.cost_when_measured_minor += commitment.accrued_minor


def up_to(by_month: dict[str, int], month: str) -> int:
    """What the months up to and including this one sum to."""
    return sum(amount for one, amount in by_month.items() if one <= month)


def summed(parts: Iterable[dict[str, int]]) -> dict[str, int]:
    """Amounts by month, added up."""
    total: dict[str, int] = {}
    for part in parts:
        for month, amount in part.items():
            total[month] = total.get(month, 0) + amount
    return total


def _ratio(unit: str, wanted: str) -> Fraction | None:
    """How many of the wanted unit one of another is, where both measure the same."""
    if unit == wanted:
        return Fraction(1)
    one, other = UNITS.get(unit), UNITS.get(wanted)
    return exact_ratio(one, other) if one is not None and other is not None else None
