"""What the tour prints of the control of money: few lines a step, with figures that can be followed."""

from collections.abc import Iterable, Sequence
from decimal import Decimal

from swardcost_model.adjustments import AdjustmentSummary, ContingencyLog
from swardcost_model.budgets import BudgetSummary
from swardcost_model.commitments import CommitmentMatch, CommitmentRegister
from swardcost_model.control import (
    BudgetStanding,
    CashFlow,
    Explanation,
    Forecast,
    MoneyStanding,
    StandingLine,
)
from swardcost_model.ledger import ImportResult, Posting
from swardcost_model.ledger_months import LedgerMonth, Reconciliation
from swardcost_model.ledger_profiles import ControlTotals, ProfileProposal
from swardcost_model.ledger_reversals import Reversal

from swardcost_api.demo.books import differing
from swardcost_api.demo.tour import Tour, money, table, words

LINES_EXPLAINED = 3


class ControlTour:
    """Writes the second half of the tour."""

    def __init__(self, tour: Tour) -> None:
        self._tour = tour

    def changes(
        self, adjustments: Iterable[AdjustmentSummary], log: ContingencyLog, budget: BudgetSummary
    ) -> None:
        """The changes of the budget, and what they left of contingency."""
        left = {move.adjustment_number: money(move.balance) for move in log.moves}
        shown = table(
            "Changes of the budget", ("#", "right"), ("Kind", "left"), ("Reason", "left"), ("Amount", "right"),
            ("Approved by", "left"), ("Contingency left", "right"),
        )  # fmt: skip
        for one in adjustments:
            shown.add_row(
                str(one.number), "unplanned work" if one.unplanned else words(one.kind), one.reason,
                money(one.amount), one.decided_by, left.get(one.number, ""),
            )  # fmt: skip
        self._tour.show(shown)
        self._tour.say(
            f"Contingency: {money(log.opening)} at first - {money(log.drawn)} drawn = {money(log.left)} left, "
            f"{log.percent_left} %. Budget "
            f"{money(budget.total)} at first, {money(budget.current_total)} now."
        )

    def orders(self, register: CommitmentRegister, sand: CommitmentMatch) -> None:
        """The orders as they stood on a day, and in what the sand's differs beyond the tolerance."""
        shown = table(
            f"Orders on {register.as_of}", ("Number", "left"), ("What", "left"), ("Ordered", "right"),
            ("Received", "right"), ("Billed", "right"), ("Not billed", "right"), ("To come", "right"),
            ("Match", "left"),
        )  # fmt: skip
        for row in register.rows:
            shown.add_row(
                row.number, row.title, money(row.ordered), money(row.received), money(row.billed),
                money(row.received_not_billed), money(row.open), row.match,
            )  # fmt: skip
        shown.add_section()
        shown.add_row(
            "Total", "", money(register.ordered), money(register.received), money(register.billed),
            money(register.received_not_billed), money(register.open), "",
        )  # fmt: skip
        self._tour.show(shown)
        beyond = [one for one in sand.differences if "within tolerance" not in one]
        self._tour.say(f"{sand.number} differs by more than is tolerated:")
        for difference in beyond:
            self._tour.say(f"  {difference}")

    def proposal(self, proposal: ProfileProposal) -> None:
        """What was found out about a file of a new form."""
        known = [one for one in proposal.columns if one.meaning is not None]
        others = [one.column for one in proposal.columns if one.meaning is None]
        kinds = [row.kind for row in proposal.rows]
        self._tour.say(
            f"  {len(known)} of {len(proposal.columns)} columns are known by their names, {', '.join(others)} is not; "
            f"of {proposal.rows_read} rows {kinds.count('posting')} are postings, {kinds.count('skipped')} totals, "
            f"{kinds.count('opening_balance')} opening balances, {proposal.rows_at_fault} at fault."
        )
        for doubt in proposal.doubts:
            self._tour.say(f"  In doubt: {doubt}")

    def late_import(self, done: ImportResult, totals: ControlTotals) -> None:
        """What the job posted, beside the balances that the file states."""
        self._tour.say(
            f"  {done.rows_read} rows read, {done.rows_posted} posted, {done.rows_assigned} assigned by rules; "
            f"debits {money(done.debits)}, credits {money(done.credits)}"
        )
        for one in totals.items:
            if one.opening is not None and one.closing is not None and one.difference is not None:
                self._tour.say(
                    f"  {one.account}: opening {money(one.opening)} + moved {money(one.movement)} = closing "
                    f"{money(one.closing)}, as the file says (difference {money(one.difference)})"
                )

    def mended(self, pair: Reversal, split: Posting, assigned: Posting) -> None:
        """What the controller decides by hand."""
        self._tour.say(
            f"  taken back  {money(pair.original.amount)} of {pair.original.posted_on} by "
            f"{money(pair.reversal.amount)} of {pair.reversal.posted_on}: {pair.reason}"
        )
        parts = " + ".join(money(part.amount) for part in split.parts)
        self._tour.say(f"  split       {money(split.amount)} = {parts}: {split.description}")
        self._tour.say(
            f"  assigned    {money(assigned.amount)} of {assigned.posted_on}: {assigned.description}"
        )

    def month(self, found: Reconciliation, closed: LedgerMonth) -> None:
        """The trial balance beside the postings, and the closing."""
        assert found.stated is not None
        assert found.difference is not None
        agree = len(found.accounts) - found.differing
        self._tour.say(
            f"Postings of {found.month} {money(found.ledger)}, trial balance {money(found.stated)}: {agree} of "
            f"{len(found.accounts)} accounts agree, difference {money(found.difference)}."
        )
        for one in differing(found):
            assert one.difference is not None
            self._tour.say(f"  {one.account} differs by {money(one.difference)}: {one.reason}")
        self._tour.say(
            f"{closed.closed_by} closed {closed.month}: {closed.postings} postings, of which "
            f"{closed.unassigned_postings} ({money(closed.unassigned)}) stay unassigned."
        )

    def standing(self, report: BudgetStanding, ledger: Reconciliation) -> None:
        """Where the money stands, the budget's lines added up by what they pay for."""
        shown = table(
            f"Budget versus actual, end of {report.through}", ("", "left"), ("Budget", "right"), ("Actual", "right"),
            ("Accrued", "right"), ("To come", "right"), ("Available", "right"),
        )  # fmt: skip
        groups: dict[str, list[StandingLine]] = {}
        for line in report.lines:
            groups.setdefault(line.label, []).append(line)
        for label, lines in groups.items():
            shown.add_row(label, *_added(lines))
        shown.add_section()
        shown.add_row("[bold]Total", *_added([report.total]))
        self._tour.show(shown)
        total = report.total.actual.amount + report.unassigned.amount
        self._tour.say(
            f"Actual {money(report.total.actual)} + unassigned {money(report.unassigned)} = {total:,}; the postings of "
            f"{ledger.month} are {money(ledger.ledger)}."
        )

    def explanation(self, report: Explanation) -> None:
        """The difference from the original plan to date by cause, and the largest lines in words."""
        causes = ", ".join(
            f"{one.cause} {one.amount.amount:+,}" for one in report.causes if one.amount.amount
        )
        self._tour.say(
            f"Planned to date {money(report.planned)}, cost {money(report.cost)}, difference "
            f"{report.difference.amount:+,}:"
        )
        self._tour.say(f"  {causes}")
        for line in report.lines[:LINES_EXPLAINED]:
            self._tour.say(f"  {line.label} ({line.account}) {line.difference.amount:+,}")
            for cause in line.causes:
                self._tour.say(f"    {cause.words}")

    def earned_value(self, as_budgeted: Forecast, current_rate: Forecast) -> None:
        """What the work done is worth, and what all of it will have cost."""
        total = as_budgeted.total
        self._tour.say(
            f"Earned {money(total.earned)} ({total.percent_done} % of {money(total.budget_at_completion)}); cost "
            f"{money(total.cost)}, cost variance {money(total.cost_variance)}, cost index {total.cost_index}; schedule "
            f"variance {money(total.schedule_variance)}."
        )
        self._tour.say(
            f"At completion {money(total.at_completion)} if the rest costs what was budgeted, "
            f"{money(current_rate.total.at_completion)} at the rate so far."
        )
        self._tour.say(f"  ({as_budgeted.unmeasured} lines were not measured and count as on budget so far.)")

    def cash(self, flow: CashFlow) -> None:
        """Planned, paid and expected money by month."""
        shown = table(
            f"Cash, as known at the end of {flow.through}", ("Month", "left"), ("Planned", "right"), ("Paid", "right"),
            ("Accrued", "right"), ("On order", "right"), ("Not ordered", "right"), ("Planned so far", "right"),
            ("Money so far", "right"),
        )  # fmt: skip
        for one in flow.months:
            amounts = (
                one.planned, one.paid, one.accrued, one.committed, one.not_ordered, one.planned_so_far,
                one.money_so_far,
            )  # fmt: skip
            shown.add_row(one.month, *(money(amount) for amount in amounts))
        self._tour.show(shown)


def _added(lines: Sequence[MoneyStanding]) -> list[str]:
    return [
        f"{sum((getattr(line, name).amount for line in lines), Decimal(0)):,}"
        for name in ("adjusted", "actual", "accrued", "open_commitments", "available")
    ]
