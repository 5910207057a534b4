"""Confirmed reversals, and accounting months: trial balance, reconciliation, closing and reopening."""

from collections.abc import Iterator, Sequence
from pathlib import Path
from uuid import UUID

from swardcost_model.ledger_months import (
    Basis,
    Closing,
    DifferenceReason,
    LedgerMonth,
    MonthEvent,
    MonthList,
    NewTrialBalance,
    Reconciliation,
    Reopening,
    TrialBalance,
)
from swardcost_model.ledger_reversals import NewReversal, Reversal, ReversalProposals, UndoneReversal

from swardcost._sync.session import Session

_LEDGER = "/v1/clubs/{club}/ledger"


class Reversals:
    """Postings that take back earlier ones."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def propose(
        self, within_days: int = 90, month: str | None = None, account: str | None = None, limit: int = 50
    ) -> ReversalProposals:
        """Pairs that may belong together, the best match first; nothing is paired by it."""
        return self._session.get(
            ReversalProposals, f"{_LEDGER}/reversals/proposals", within_days=within_days, month=month, account=account,
            limit=limit,
        )  # fmt: skip

    def confirm(self, original_id: str, reversal_id: str, reason: str) -> Reversal:
        """Pair two postings; the reversal is assigned like its original from now on."""
        new = NewReversal(original_id=original_id, reversal_id=reversal_id, reason=reason)
        return self._session.post(Reversal, f"{_LEDGER}/reversals", new)

    def list(self) -> Iterator[Reversal]:
        """Every confirmed pair."""
        return self._session.pages(Reversal, f"{_LEDGER}/reversals")

    def read(self, reversal_id: UUID) -> Reversal:
        """One confirmed pair."""
        return self._session.get(Reversal, f"{_LEDGER}/reversals/{reversal_id}")

    def undo(self, reversal_id: UUID, reason: str) -> Reversal:
        """Take a pair apart; the reversal is assigned as it was before. Gives the pair that was."""
        return self._session.post(
            Reversal, f"{_LEDGER}/reversals/{reversal_id}/undo", UndoneReversal(reason=reason)
        )


class LedgerMonths:
    """Accounting months."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def list(self, first: str | None = None, last: str | None = None) -> MonthList:
        """Every month with postings or a trial balance; all, or those between two."""
        return self._session.get(MonthList, f"{_LEDGER}/months", first=first, last=last)

    def read(self, month: str) -> LedgerMonth:
        """One month."""
        return self._session.get(LedgerMonth, f"{_LEDGER}/months/{month}")

    def trial_balance(self, month: str) -> TrialBalance:
        """The trial balance that is stated for a month."""
        return self._session.get(TrialBalance, f"{_LEDGER}/months/{month}/trial-balance")

    def state_trial_balance(self, month: str, new: NewTrialBalance, version: int) -> TrialBalance:
        """State the trial balance of a month that is still at `version`."""
        return self._session.replace(
            TrialBalance, f"{_LEDGER}/months/{month}/trial-balance", new, version
        )

    def upload_trial_balance(
        self, month: str, csv: str | bytes | Path, basis: Basis, source: str = "", replace: bool = False
    ) -> TrialBalance:
        """State the trial balance of a month from a CSV file: account, and debit, credit, balance or opening."""
        return self._session.upload(
            TrialBalance, f"{_LEDGER}/months/{month}/trial-balance/upload", csv, basis=basis, source=source,
            replace=replace,
        )  # fmt: skip

    def reconcile(self, month: str) -> Reconciliation:
        """The month's postings against its trial balance."""
        return self._session.get(Reconciliation, f"{_LEDGER}/months/{month}/reconciliation")

    def close(
        self,
        month: str,
        reasons: Sequence[DifferenceReason] = (),
        accept_unassigned: str | None = None,
        note: str = "",
    ) -> LedgerMonth:
        """Close a month; each account that differs needs a reason, and postings left unassigned need one too."""
        closing = Closing(reasons=[*reasons], accept_unassigned=accept_unassigned, note=note)
        return self._session.post(LedgerMonth, f"{_LEDGER}/months/{month}/close", closing)

    def reopen(self, month: str, reason: str) -> LedgerMonth:
        """Open the last closed month again."""
        return self._session.post(
            LedgerMonth, f"{_LEDGER}/months/{month}/reopen", Reopening(reason=reason)
        )

    def history(self, month: str) -> Iterator[MonthEvent]:
        """The closings and reopenings of a month."""
        return self._session.pages(MonthEvent, f"{_LEDGER}/months/{month}/history")
