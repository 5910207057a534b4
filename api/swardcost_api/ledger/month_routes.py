"""HTTP operations of accounting months: trial balance, reconciliation, closing and reopening."""

from typing import IO, Annotated

from swardcost_model import problems
from swardcost_model.ledger_months import (
    Basis,
    Closing,
    LedgerMonth,
    MonthEvent,
    MonthList,
    NewTrialBalance,
    Reconciliation,
    Reopening,
    TrialBalance,
)
from swardcost_model.paging import Page
from swardcost_model.values import Month, Text

from swardcost_api.ledger import months, trial_balances
from swardcost_api.ledger.routes import BOOKKEEPERS
from swardcost_api.operations import CLUB, Cursor, Limit, Query, Room
from swardcost_api.storage.work import UnitOfWork

room = Room(
    "Ledger months",
    "Accounting months: reconciled with the trial balance, closed in order, and reopened with a trace.",
)
MONTHS = CLUB + "/ledger/months"
MONTH = MONTHS + "/{month}"


@room.read(MONTHS, "List the accounting months")
def list_ledger_months(
    work: UnitOfWork,
    first: Annotated[Month | None, Query("Only this month and later ones.", example="2026-01")] = None,
    last: Annotated[Month | None, Query("Only this month and earlier ones.", example="2026-12")] = None,
) -> MonthList:
    """Those with postings or a trial balance. Late postings count in the month that took them."""
    return months.list_months(work, first, last)


@room.read(MONTH, "Read an accounting month")
def read_ledger_month(work: UnitOfWork, month: Month) -> LedgerMonth:
    return months.read_month(work, month)


@room.read(MONTH + "/trial-balance", "Read the trial balance of a month")
def read_trial_balance(work: UnitOfWork, month: Month) -> TrialBalance:
    return trial_balances.read_trial_balance(work, month)


@room.edit(
    MONTH + "/trial-balance", "State the trial balance of a month", needs=BOOKKEEPERS,
    problems=[problems.WRONG_STATE],
)  # fmt: skip
def state_trial_balance(work: UnitOfWork, month: Month, data: NewTrialBalance, if_match: int) -> TrialBalance:
    """Takes the place of the one before; `If-Match` names the version of the month."""
    return trial_balances.state_trial_balance(work, month, data, if_match)


@room.create(
    MONTH + "/trial-balance/upload", "Upload the trial balance of a month", needs=BOOKKEEPERS, upload=True,
    problems=[problems.BAD_ROWS, problems.WRONG_STATE],
)  # fmt: skip
def upload_trial_balance(
    work: UnitOfWork,
    upload: IO[bytes],
    month: Month,
    basis: Annotated[
        Basis, Query("Whether the figures are the month's movement, or closing balances beside opening ones.")
    ],
    source: Annotated[Text, Query("Where it comes from.", example="Trial balance of 31 March")] = "",
    replace: Annotated[bool, Query("Replace the trial balance that is stated already.")] = False,
) -> TrialBalance:
    """A CSV file with the columns account, debit, credit, balance, opening, of which only account must be there.

    A row has either a balance, debit positive and credit negative or in parentheses, or a debit or a credit or both;
    with closing balances each row has its opening balance too.
    """
    return trial_balances.upload_trial_balance(work, month, upload, basis, source, replace=replace)


@room.read(MONTH + "/reconciliation", "Reconcile a month with its trial balance")
def reconcile_ledger_month(work: UnitOfWork, month: Month) -> Reconciliation:
    """Each account's movement by the postings and by the trial balance, their difference, and what only one has."""
    return months.reconcile_month(work, month)


@room.act(MONTH + "/close", "Close a month", needs=BOOKKEEPERS, problems=[problems.WRONG_STATE])
def close_ledger_month(work: UnitOfWork, month: Month, data: Closing) -> LedgerMonth:
    """Refused unless each account that differs from the trial balance has a reason, and unassigned postings are
    accepted.

    From then on no posting of the month is added, removed or assigned otherwise. Rows of its days that come later
    count in the first open month, and are told as late. Months are closed in order; earlier ones without postings are
    closed with it.
    """
    return months.close_month(work, month, data)


@room.act(MONTH + "/reopen", "Reopen a month", needs=BOOKKEEPERS, problems=[problems.WRONG_STATE])
def reopen_ledger_month(work: UnitOfWork, month: Month, data: Reopening) -> LedgerMonth:
    """The last closed month is open again; its closing stays in the history. Late postings stay where they count."""
    return months.reopen_month(work, month, data)


@room.read(MONTH + "/history", "List the closings and reopenings of a month")
def list_month_events(
    work: UnitOfWork, month: Month, limit: Limit = 50, cursor: Cursor = None
) -> Page[MonthEvent]:
    """With who did it, when and why, and the totals of that time."""
    return months.list_events(work, month, limit, cursor)
