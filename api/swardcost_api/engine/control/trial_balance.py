"""A month's postings against the trial balance of the club's books, account by account.

References
----------
Reconciliation of a subsidiary record to the general ledger, common practice: the movement of each account in the
month (debits less credits) must be the movement that the trial balance shows, and each difference is explained.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from hashlib import blake2b
from typing import Literal

Only = Literal["ledger", "trial_balance"]


@dataclass(frozen=True, slots=True)
class Reconciled:
    """One account: its movement in minor units by the postings and by the trial balance, absent where it has none."""

    account: str
    ledger_minor: int | None
    trial_balance_minor: int | None

    @property
    def difference_minor(self) -> int:
        """Movement by the postings less movement by the trial balance; an account that one lacks did not move there."""
        return (self.ledger_minor or 0) - (self.trial_balance_minor or 0)

    @property
    def only_in(self) -> Only | None:
        """Where the account is, if it is in one of the two alone."""
        if self.trial_balance_minor is None:
            return "ledger"
        return "trial_balance" if self.ledger_minor is None else None


def movement(closing_minor: int, opening_minor: int) -> int:
    """What an account moved by in a month, from its balances at the month's end and start, debit positive."""
    return closing_minor - opening_minor


def reconcile(ledger: Mapping[str, int], trial_balance: Mapping[str, int]) -> list[Reconciled]:
    """Every account of either side, in the order of their names; movements in minor units, debit positive.

    Examples
    --------
    >>> [(one.account, one.difference_minor, one.only_in) for one in reconcile({"6410": 9}, {"6410": 7, "7010": 1})]
    [('6410', 2, None), ('7010', -1, 'trial_balance')]
    """
    return [
        Reconciled(account, ledger.get(account), trial_balance.get(account))
        for account in sorted({*ledger, *trial_balance})
    ]


def fingerprint_of(totals: Iterable[tuple[str, str, int, int]]) -> str:
    """One short text for a month's totals: by budget line (or ''), account, sum in minor units, and number of postings.

    Another text means that something was added, removed or assigned otherwise; the order given is of no matter.
    """
    digest = blake2b(digest_size=16)
    for line, account, amount, count in sorted(totals):
        digest.update(f"{line}\x1f{account}\x1f{amount}\x1f{count}\x1e".encode())
    return digest.hexdigest()
