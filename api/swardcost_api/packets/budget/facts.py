"""What a budget-versus-actual packet is composed of: a budget and its money at the end of a month."""

from collections import Counter
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from typing import TypeVar
from uuid import UUID

from swardcost_model.adjustments import AdjustmentStatus, AdjustmentSummary, ContingencyLog, ContingencyMove
from swardcost_model.commitments import CommitmentRegister
from swardcost_model.control import (
    BudgetStanding,
    CashFlow,
    Explanation,
    Forecast,
    ForecastMethod,
    OwnForecast,
    StandingLine,
)
from swardcost_model.estimates import Estimate
from swardcost_model.ledger_months import LedgerMonth, Reconciliation
from swardcost_model.packets import NewPacket
from swardcost_model.paging import Page
from swardcost_model.values import Money

from swardcost_api.access.service import read_club
from swardcost_api.budgets.service import contingency_log, list_adjustments
from swardcost_api.commitments.service import Wanted, commitment_register
from swardcost_api.estimates.service import read_estimate
from swardcost_api.ledger.service import (
    PostingTotal,
    list_months,
    posting_totals,
    read_month,
    reconcile_month,
)
from swardcost_api.packets.months import refuse_before
from swardcost_api.reports.service import (
    METHODS,
    Gathered,
    LineCauses,
    LineFigures,
    LineForecast,
    cash_of,
    causes_of,
    explanation_of,
    forecast_of,
    gather,
    line_forecasts,
    list_own_forecasts,
    standing_of,
)
from swardcost_api.storage.work import UnitOfWork

OWN_FIGURE: ForecastMethod = "own_figure"
"""The superintendent's own figure where one is stated, and budget prices for the other lines."""
_PAGE = 200
T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class BooksMonth:
    """An accounting month of the whole club, and how it agrees with the trial balance."""

    month: LedgerMonth
    reconciled: Reconciliation


@dataclass(frozen=True)
class BudgetFacts:
    """A budget at the end of a month; what follows from what was read is counted when it is asked for."""

    gathered: Gathered
    estimate: Estimate
    """The accepted one that the budget was opened by."""
    totals: Sequence[PostingTotal]
    """The postings assigned to the budget's lines up to the month, by line, account and month."""
    by_method: Mapping[ForecastMethod, Sequence[LineForecast]]
    own: Sequence[OwnForecast]
    """The superintendent's figures stated by the day; of each line the last counts."""
    log: ContingencyLog
    adjustments: Sequence[AdjustmentSummary]
    orders: CommitmentRegister
    books: Sequence[BooksMonth]
    closed_through: str | None
    now: datetime
    locale: str

    @property
    def currency(self) -> str:
        """The currency of all its money."""
        return self.gathered.currency

    def money(self, minor: int) -> Money:
        """So many minor units."""
        return Money.of_minor(minor, self.currency)

    @property
    def month_is_over(self) -> bool:
        """Whether the last month that counts has ended."""
        return self.gathered.on < self.now.date()

    @cached_property
    def ahead_of_cost(self) -> Sequence[LineForecast]:
        """Measured lines whose work is worth more than was spent and accrued on them."""
        return [
            one for one in self.by_method[self.method]
            if one.line.measured is not None and one.value.earned_minor > one.value.actual_minor
        ]  # fmt: skip

    @property
    def outdated(self) -> Sequence[LineFigures]:
        """Lines on which more is taken to be done than was measured, for what they cost since."""
        return [one for one in self.gathered.lines if one.outdated]

    @cached_property
    def standing(self) -> BudgetStanding:
        """Where each line stands."""
        return standing_of(self.gathered, self.now)

    @property
    def method(self) -> ForecastMethod:
        """The method that counts: the superintendent's own figures where there are any, or budget prices."""
        return OWN_FIGURE if self.own else "as_budgeted"

    @cached_property
    def forecasts(self) -> Mapping[ForecastMethod, Forecast]:
        """The estimate at completion by each method."""
        return {
            one: forecast_of(self.gathered, found, one, self.now) for one, found in self.by_method.items()
        }

    @property
    def forecast(self) -> Forecast:
        """The estimate at completion that counts."""
        return self.forecasts[self.method]

    @cached_property
    def cash(self) -> CashFlow:
        """Money by month."""
        return cash_of(self.gathered, self.by_method[self.method], self.method, self.now)

    @cached_property
    def explanation(self) -> Explanation:
        """Why the money is different."""
        return explanation_of(self.gathered, self.locale, self.now)

    @cached_property
    def causes(self) -> Sequence[LineCauses]:
        """Why each line is different, the largest differences first."""
        order = {one.id: place for place, one in enumerate(self.explanation.lines)}
        return sorted(causes_of(self.gathered), key=lambda one: order[one.line.state.id])

    @cached_property
    def lines(self) -> Mapping[UUID, LineFigures]:
        """What is known of each line, by id."""
        return {one.state.id: one for one in self.gathered.lines}

    @cached_property
    def repeated_labels(self) -> Collection[str]:
        """What more than one line is called."""
        counts = Counter(one.state.label for one in self.gathered.lines)
        return {label for label, count in counts.items() if count > 1}

    @cached_property
    def own_by_line(self) -> Mapping[UUID, OwnForecast]:
        """The superintendent's figure that counts, by line."""
        return {one.budget_line_id: one for one in self.own}

    @cached_property
    def cost_minor(self) -> int:
        """Posted and accrued."""
        return sum(one.cost_minor for one in self.gathered.lines)

    @cached_property
    def contingency(self) -> Sequence[LineFigures]:
        """The lines of contingency."""
        return [one for one in self.gathered.lines if one.state.markup == "contingency"]

    @cached_property
    def moves(self) -> Sequence[ContingencyMove]:
        """What was drawn from contingency or came back by the day."""
        return [one for one in self.log.moves if one.effective_on <= self.gathered.on]

    @property
    def contingency_left(self) -> Money:
        """Contingency at the end of the day."""
        return self.moves[-1].balance if self.moves else self.log.opening

    @property
    def has_contingency(self) -> bool:
        """Whether there is, or was, any."""
        return bool(self.log.opening.amount or self.moves)

    @cached_property
    def overdrawn(self) -> Sequence[StandingLine]:
        """Lines on which more was spent and ordered than they have, the worst first."""
        found = [one for one in self.standing.lines if one.available.amount < 0]
        return sorted(found, key=lambda one: (one.available.amount, one.number))

    def with_status(self, status: AdjustmentStatus) -> list[AdjustmentSummary]:
        """The adjustments that have a status, by number."""
        return [one for one in self.adjustments if one.status is status]

    @cached_property
    def approved(self) -> Sequence[AdjustmentSummary]:
        """Adjustments approved and in effect by the day, by that day."""
        found = [
            one for one in self.with_status(AdjustmentStatus.APPROVED) if one.effective_on <= self.gathered.on
        ]
        return sorted(found, key=lambda one: (one.effective_on, one.number))

    @cached_property
    def later(self) -> Sequence[AdjustmentSummary]:
        """Adjustments approved that take effect only after the day."""
        found = [
            one for one in self.with_status(AdjustmentStatus.APPROVED) if one.effective_on > self.gathered.on
        ]
        return sorted(found, key=lambda one: (one.effective_on, one.number))

    @cached_property
    def pending(self) -> Sequence[AdjustmentSummary]:
        """Adjustments that wait for a decision now."""
        return self.with_status(AdjustmentStatus.PROPOSED)


def read_facts(work: UnitOfWork, asked: NewPacket) -> BudgetFacts:
    """A budget with all that a packet of it tells. Raises `not-found`, and `invalid-values` for a month before it."""
    totals = posting_totals(work)
    gathered = gather(work, asked.subject_id, asked.through, totals)
    budget_id, through = gathered.budget.id, gathered.through
    known = {one.state.id for one in gathered.lines}
    mine = [one for one in totals if one.budget_line_id in known]
    first = _first_month(gathered, mine)
    refuse_before(first, through)
    own = _all(lambda cursor: list_own_forecasts(work, budget_id, _PAGE, cursor))
    by_day = sorted(
        (one for one in own if one.stated_on <= gathered.on), key=lambda one: (one.stated_on, one.id)
    )
    months = list_months(work, first, through)
    return BudgetFacts(
        gathered, read_estimate(work, gathered.budget.estimate_id), [one for one in mine if one.month <= through],
        {method: line_forecasts(work, gathered, method) for method in METHODS}, by_day,
        contingency_log(work, budget_id), _all(lambda cursor: list_adjustments(work, budget_id, _PAGE, cursor)),
        commitment_register(work, Wanted(budget_id=budget_id), gathered.on),
        [BooksMonth(read_month(work, one.month), reconcile_month(work, one.month)) for one in months.items],
        months.closed_through, work.now, read_club(work).locale,
    )  # fmt: skip


def _first_month(gathered: Gathered, totals: Sequence[PostingTotal]) -> str:
    """The first month of the plan or of a posting, or that in which the budget was opened."""
    planned = [
        month for line in gathered.lines for month, amount in line.state.adjusted_by_month.items() if amount
    ]
    opened = gathered.budget.created_at.date().isoformat()[:7]
    return min([*planned, *(one.month for one in totals), opened])


def _all(page: Callable[[str | None], Page[T]]) -> list[T]:
    """Everything of a list."""
    found, cursor = [], None
    while True:
        one = page(cursor)
        found += one.items
        cursor = one.next
        if cursor is None:
            return found
