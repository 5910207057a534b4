"""Accounting months: what they come to, closing them once they agree with the books, and reopening them."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Row, case, func, insert, select
from swardcost_model import problems
from swardcost_model.ledger_months import (
    Closing,
    ExplainedDifference,
    LedgerMonth,
    MonthEvent,
    MonthFigures,
    MonthList,
    MonthSummary,
    ReconciledAccount,
    Reconciliation,
    Reopening,
)
from swardcost_model.paging import Page
from swardcost_model.problems import ProblemError
from swardcost_model.values import Money

from swardcost_api.access.service import read_club, record
from swardcost_api.engine.control.trial_balance import Reconciled, fingerprint_of, reconcile
from swardcost_api.ledger.open_months import closed_through, hold_months_alone
from swardcost_api.ledger.posting_totals import PostingTotal, posting_totals
from swardcost_api.ledger.rules import unusable
from swardcost_api.ledger.tables import LedgerMonthRow as MonthRow
from swardcost_api.ledger.tables import MonthEventRow as EventRow
from swardcost_api.ledger.tables import PostingPartRow, PostingRow
from swardcost_api.ledger.trial_balances import month_row, movements, named_month, put_month
from swardcost_api.storage.paging import read_page
from swardcost_api.storage.work import UnitOfWork

HOW = [
    "ledger: sum of the postings that count in the month, late ones included, debits less credits",
    "trial balance: movement as stated, or closing less opening balance",
    "difference = ledger - trial balance; an account that one of the two lacks did not move there",
]
_EVENT = tuple(c for c in EventRow.__table__.c if c.name != "club_id")


@dataclass(frozen=True, slots=True)
class _Figures:
    """What the postings of a month come to, in minor units."""

    postings: int = 0
    debits_minor: int = 0
    credits_minor: int = 0
    unassigned_postings: int = 0
    unassigned_minor: int = 0
    late_postings: int = 0

    def said(self, currency: str) -> MonthFigures:
        return MonthFigures(
            postings=self.postings, debits=Money.of_minor(self.debits_minor, currency),
            credits=Money.of_minor(self.credits_minor, currency), unassigned_postings=self.unassigned_postings,
            unassigned=Money.of_minor(self.unassigned_minor, currency), late_postings=self.late_postings,
        )  # fmt: skip


def list_months(work: UnitOfWork, first: str | None, last: str | None) -> MonthList:
    """Every month that has postings or a trial balance, or was closed, from the earliest."""
    currency, closed = read_club(work).currency, closed_through(work)
    figures = _figures(work)
    statement = select(MonthRow.month, MonthRow.trial_balance.is_not(None)).where(
        MonthRow.club_id == work.club_id
    )
    stated = {row[0]: row[1] for row in work.session.execute(statement)}
    return MonthList(
        closed_through=closed,
        items=[
            MonthSummary(
                month=month, status="closed" if closed is not None and month <= closed else "open",
                trial_balance=stated.get(month, False), **dict(figures.get(month, _Figures()).said(currency)),
            )
            for month in sorted({*figures, *stated})
            if (first is None or month >= first) and (last is None or month <= last)
        ],
    )  # fmt: skip


def read_month(work: UnitOfWork, month: str) -> LedgerMonth:
    """One month; any month of the calendar is one, whether it has postings or not."""
    named_month(month)
    currency, closed = read_club(work).currency, closed_through(work)
    row = month_row(work, month)
    is_closed = closed is not None and month <= closed
    closing = _last_closing(work, month) if row is not None and row.closed else None
    fingerprint = _fingerprint(posting_totals(work, month))
    return LedgerMonth(
        month=month, status="closed" if is_closed else "open", fingerprint=fingerprint,
        trial_balance=row is not None and row.trial_balance is not None,
        closed_at=closing.at if closing is not None else None, closed_by=closing.actor if closing is not None else None,
        unchanged=closing.fingerprint == fingerprint if closing is not None else None,
        version=row.version if row is not None else 1,
        **dict(_figures(work, month).get(month, _Figures()).said(currency)),
    )  # fmt: skip


def reconcile_month(work: UnitOfWork, month: str) -> Reconciliation:
    """The month's postings against its trial balance, account by account."""
    named_month(month)
    currency, closed = read_club(work).currency, closed_through(work)
    row = month_row(work, month)
    stated = movements(row)
    totals = posting_totals(work, month)
    accounts = reconcile(_by_account(totals), stated or {})
    closing = _last_closing(work, month) if row is not None and row.closed else None
    reasons = {one["account"]: one["reason"] for one in closing.differences} if closing is not None else {}
    ledger = sum(total.amount_minor for total in totals)
    figures = _figures(work, month).get(month, _Figures())
    total = sum(stated.values()) if stated is not None else None
    return Reconciliation(
        month=month, status="closed" if closed is not None and month <= closed else "open",
        trial_balance=stated is not None,
        accounts=[_account(one, stated is not None, reasons.get(one.account), currency) for one in accounts],
        differing=sum(one.difference_minor != 0 for one in accounts) if stated is not None else 0,
        ledger=Money.of_minor(ledger, currency), stated=_money(total, currency),
        difference=_money(ledger - total if total is not None else None, currency),
        unassigned_postings=figures.unassigned_postings, late_postings=figures.late_postings,
        fingerprint=_fingerprint(totals), derivation=HOW,
    )  # fmt: skip


def close_month(work: UnitOfWork, month: str, closing: Closing) -> LedgerMonth:
    """Close a month, and with it all before it that have no postings.

    Raises `wrong-state` where the month is closed or yet to come, where an earlier one with postings is open, where
    there is no trial balance, where an account differs without a reason, or where postings are unassigned and that
    is not accepted. Nobody changes postings meanwhile.
    """
    named_month(month)
    hold_months_alone(work)
    before = read_month(work, month)
    _refuse_out_of_order(work, before)
    row = month_row(work, month)
    stated = movements(row)
    if stated is None:
        raise ProblemError(problems.WRONG_STATE, f"No trial balance is stated for {month}; state one first.")
    totals = posting_totals(work, month)
    currency = read_club(work).currency
    explained = _explained(reconcile(_by_account(totals), stated), closing, month, currency)
    figures = _figures(work, month).get(month, _Figures())
    if figures.unassigned_postings and closing.accept_unassigned is None:
        raise ProblemError(
            problems.WRONG_STATE,
            f"{figures.unassigned_postings} postings of {month} are unassigned; assign them, or say in "
            "`accept_unassigned` why they may stay so.",
            unassigned_postings=figures.unassigned_postings,
        )
    put_month(work, month, before.version, closed=True)
    _keep_event(
        work, month, "close", closing.note, figures, _fingerprint(totals), explained,
        closing.accept_unassigned if figures.unassigned_postings else None,
    )  # fmt: skip
    after = read_month(work, month)
    record(work, "close", "ledger_month", month, before, after.model_dump(mode="json") | {
        "differences": [one.model_dump(mode="json") for one in explained],
        "accept_unassigned": closing.accept_unassigned, "note": closing.note,
    })  # fmt: skip
    return after


def reopen_month(work: UnitOfWork, month: str, reopening: Reopening) -> LedgerMonth:
    """Open the last closed month again. Its closing stays in the history, with the totals of that time.

    Raises `wrong-state` where it is not closed, or where a later one is: months are reopened from the last.
    """
    named_month(month)
    hold_months_alone(work)
    before, closed = read_month(work, month), closed_through(work)
    if before.status == "open" or closed is None:
        raise ProblemError(problems.WRONG_STATE, f"{month} is open already.")
    if month != closed:
        raise ProblemError(
            problems.WRONG_STATE, f"Months are closed through {closed}; reopen that one first.", month=closed
        )
    put_month(work, month, before.version, closed=False)
    figures = _figures(work, month).get(month, _Figures())
    _keep_event(work, month, "reopen", reopening.reason, figures, before.fingerprint, [], None)
    after = read_month(work, month)
    told = after.model_dump(mode="json") | {"reason": reopening.reason}
    record(work, "reopen", "ledger_month", month, before, told)
    return after


def list_events(work: UnitOfWork, month: str, limit: int, cursor: str | None) -> Page[MonthEvent]:
    """The closings and reopenings of a month, from the first."""
    named_month(month)
    statement = select(*_EVENT).where(EventRow.club_id == work.club_id, EventRow.month == month)
    rows, following = read_page(work, statement, (EventRow.id,), limit, cursor)
    currency = read_club(work).currency
    return Page[MonthEvent](items=[_event(row, currency) for row in rows], next=following)


def _refuse_out_of_order(work: UnitOfWork, month: LedgerMonth) -> None:
    if month.status == "closed":
        raise ProblemError(problems.WRONG_STATE, f"{month.month} is closed already.")
    if month.month > f"{work.now:%Y-%m}":
        raise ProblemError(
            problems.WRONG_STATE, f"{month.month} is yet to come; a month can be closed once it has begun."
        )
    earlier = select(func.min(PostingRow.month)).where(
        PostingRow.club_id == work.club_id,
        PostingRow.month > (closed_through(work) or ""),
        PostingRow.month < month.month,
    )
    first = work.session.scalar(earlier)
    if first is not None:
        raise ProblemError(
            problems.WRONG_STATE,
            f"{first} is open and has postings; months are closed in order.",
            month=first,
        )


def _explained(
    accounts: Iterable[Reconciled], closing: Closing, month: str, currency: str
) -> list[ExplainedDifference]:
    """The differences with their reasons. Raises `wrong-state` with those that have none, or one for another amount."""
    reasons = {one.account: one for one in closing.reasons}
    differing = {one.account: one for one in accounts if one.difference_minor}
    for number, given in enumerate(closing.reasons):
        if given.account not in differing:
            raise unusable(("reasons", number, "account"), "an account that differs", given.account)
    explained: list[ExplainedDifference] = []
    open_ones: list[dict[str, Any]] = []
    for one in differing.values():
        difference = Money.of_minor(one.difference_minor, currency)
        reason = reasons.get(one.account)
        if reason is None or reason.difference not in (None, difference):
            open_ones.append({"account": one.account, "difference": difference.model_dump(mode="json"),
                              "only_in": one.only_in})  # fmt: skip
        else:
            explained.append(
                ExplainedDifference(account=one.account, difference=difference, reason=reason.reason)
            )
    if open_ones:
        first = ", ".join(f"{one['account']} by {one['difference']['amount']}" for one in open_ones[:5])
        more = f" and {len(open_ones) - 5} more" if len(open_ones) > 5 else ""
        raise ProblemError(
            problems.WRONG_STATE,
            f"The postings of {month} differ from the trial balance in {first}{more}; give a reason for each.",
            differences=open_ones,
        )
    return explained


def _figures(work: UnitOfWork, month: str | None = None) -> dict[str, _Figures]:
    """What each month with postings comes to, or one of them."""
    amount = PostingRow.amount_minor
    of_month = [PostingRow.club_id == work.club_id] + (
        [PostingRow.month == month] if month is not None else []
    )
    # By line and account too, because that is an index from which all of it can be read.
    by = (PostingRow.budget_line_id, PostingRow.account, PostingRow.month)
    sums = (
        select(*by, func.count(), func.sum(amount), func.sum(case((amount > 0, amount), else_=0)))
        .where(*of_month)
        .group_by(*by)
    )
    # A split posting has no line of its own, but it is not unassigned.
    split = (
        select(PostingRow.month, func.count(), func.sum(amount))
        .join_from(
            PostingPartRow,
            PostingRow,
            (PostingRow.club_id == PostingPartRow.club_id)
            & (PostingRow.fingerprint == PostingPartRow.fingerprint)
            & (PostingRow.occurrence == PostingPartRow.occurrence),
        )
        .where(*of_month, PostingPartRow.club_id == work.club_id, PostingPartRow.number == 1)
        .group_by(PostingRow.month)
    )
    late = select(PostingRow.month, func.count()).where(*of_month, PostingRow.late).group_by(PostingRow.month)
    in_parts = {row[0]: (row[1], int(row[2])) for row in work.session.execute(split)}
    late_ones = {row[0]: row[1] for row in work.session.execute(late)}
    found: dict[str, list[int]] = {}
    for line, _account, of, count, net, debits in work.session.execute(sums):
        sums_of = found.setdefault(of, [0, 0, 0, 0, 0])
        mine = (count, int(net)) if line is None else (0, 0)
        for at, more in enumerate((count, int(debits), int(debits) - int(net), *mine)):
            sums_of[at] += more
    return {
        of: _Figures(
            postings, debits, credits_, without - split_count, minor - split_minor, late_ones.get(of, 0)
        )
        for of, (postings, debits, credits_, without, minor) in found.items()
        for split_count, split_minor in (in_parts.get(of, (0, 0)),)
    }


def _by_account(totals: Iterable[PostingTotal]) -> dict[str, int]:
    found: dict[str, int] = {}
    for total in totals:
        found[total.account] = found.get(total.account, 0) + total.amount_minor
    return found


def _fingerprint(totals: Iterable[PostingTotal]) -> str:
    return fingerprint_of(
        (total.budget_line_id.hex if total.budget_line_id is not None else "", total.account, total.amount_minor,
         total.count)
        for total in totals
    )  # fmt: skip


def _account(one: Reconciled, is_stated: bool, reason: str | None, currency: str) -> ReconciledAccount:
    return ReconciledAccount(
        account=one.account, ledger=_money(one.ledger_minor, currency),
        trial_balance=_money(one.trial_balance_minor, currency),
        difference=_money(one.difference_minor if is_stated else None, currency),
        only_in=one.only_in if is_stated else None, reason=reason,
    )  # fmt: skip


def _money(minor: int | None, currency: str) -> Money | None:
    return None if minor is None else Money.of_minor(minor, currency)


def _keep_event(
    work: UnitOfWork,
    month: str,
    action: str,
    reason: str,
    figures: _Figures,
    fingerprint: str,
    explained: Sequence[ExplainedDifference],
    accept_unassigned: str | None,
) -> None:
    work.session.execute(
        insert(EventRow).values(
            club_id=work.club_id, month=month, id=work.new_id(), action=action, at=work.now, actor=work.caller.name,
            reason=reason, accept_unassigned=accept_unassigned, postings=figures.postings,
            debits_minor=figures.debits_minor, credits_minor=figures.credits_minor,
            unassigned_postings=figures.unassigned_postings, unassigned_minor=figures.unassigned_minor,
            late_postings=figures.late_postings, fingerprint=fingerprint,
            differences=[one.model_dump(mode="json") for one in explained],
        )
    )  # fmt: skip


def _last_closing(work: UnitOfWork, month: str) -> Row[*tuple[Any, ...]] | None:
    statement = select(*_EVENT).where(
        EventRow.club_id == work.club_id, EventRow.month == month, EventRow.action == "close"
    )
    return work.session.execute(statement.order_by(EventRow.id.desc()).limit(1)).first()


def _event(row: Row[*tuple[Any, ...]], currency: str) -> MonthEvent:
    figures = _Figures(
        row.postings, row.debits_minor, row.credits_minor, row.unassigned_postings, row.unassigned_minor,
        row.late_postings,
    )  # fmt: skip
    return MonthEvent(
        id=row.id, month=row.month, action=row.action, at=row.at, actor=row.actor, reason=row.reason,
        accept_unassigned=row.accept_unassigned, fingerprint=row.fingerprint,
        differences=[ExplainedDifference.model_validate(one) for one in row.differences],
        **dict(figures.said(currency)),
    )  # fmt: skip
