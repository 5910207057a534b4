"""The trial balance of a month: stated as JSON or as a CSV file, and the movement of each account that follows."""

import re
from collections.abc import Callable, Iterable
from decimal import Decimal
from typing import IO, Any

from sqlalchemy import Row, insert, null, select, update
from swardcost_model import problems
from swardcost_model.ledger_months import (
    MAX_ACCOUNTS,
    Basis,
    NewTrialBalance,
    StatedAccount,
    TrialBalance,
    TrialBalanceLine,
)
from swardcost_model.ledger_profiles import MAX_AMOUNT_MINOR, MAX_LENGTH
from swardcost_model.problems import Fault, ProblemError
from swardcost_model.values import Money, from_minor, to_minor

from swardcost_api.access.service import read_club, record
from swardcost_api.csv_files import CsvRow, read_rows
from swardcost_api.engine.control.ledger_rows import amount_reader
from swardcost_api.engine.control.trial_balance import movement
from swardcost_api.faults import shown
from swardcost_api.ledger.open_months import hold_months, refuse_closed
from swardcost_api.ledger.rules import unusable
from swardcost_api.ledger.tables import LedgerMonthRow as MonthRow
from swardcost_api.storage.rows import missing, stale
from swardcost_api.storage.work import UnitOfWork

COLUMNS = ("account", "debit", "credit", "balance", "opening")
_FIGURES = COLUMNS[1:]
_MONTH = re.compile(r"[0-9]{4}-(0[1-9]|1[0-2])")
_LIMIT = MAX_AMOUNT_MINOR * 1000
"""Largest figure of a trial balance, in minor units, so that sums of them stay within 64 bits."""


def named_month(month: str) -> None:
    """Raise `not-found` for what is no month of the calendar."""
    if _MONTH.fullmatch(month) is None or month < "0001":
        raise missing("month")


def month_row(work: UnitOfWork, month: str) -> Row[*tuple[Any, ...]] | None:
    """What is kept of a month: nothing as long as it has no trial balance and was never closed."""
    columns = (MonthRow.month, MonthRow.closed, MonthRow.trial_balance, MonthRow.version)
    statement = select(*columns).where(MonthRow.club_id == work.club_id, MonthRow.month == month)
    return work.session.execute(statement).first()


def put_month(work: UnitOfWork, month: str, if_match: int, **changes: Any) -> None:
    """Change what is kept of a month that is still at a version; one of which nothing is kept is at version 1."""
    row = month_row(work, month)
    current = row.version if row is not None else 1
    if current != if_match:
        raise stale("month", current, if_match)
    if row is None:
        start: dict[str, Any] = {"closed": False, "trial_balance": null()} | changes
        work.session.execute(
            insert(MonthRow).values(club_id=work.club_id, month=month, version=if_match + 1, **start)
        )
        return
    mine = (MonthRow.club_id == work.club_id, MonthRow.month == month, MonthRow.version == if_match)
    changed = work.session.execute(update(MonthRow).where(*mine).values(version=if_match + 1, **changes))
    if changed.rowcount != 1:  # type: ignore[attr-defined]
        raise stale("month", current + 1, if_match)


def movements(row: Row[*tuple[Any, ...]] | None) -> dict[str, int] | None:
    """The movement of each account by the trial balance, in minor units; `None` where none is stated."""
    if row is None or row.trial_balance is None:
        return None
    return {one["account"]: one["movement"] for one in row.trial_balance["accounts"]}


def read_trial_balance(work: UnitOfWork, month: str) -> TrialBalance:
    """The trial balance of a month. Raises `not-found` where none is stated."""
    named_month(month)
    row = month_row(work, month)
    if row is None or row.trial_balance is None:
        raise ProblemError(problems.NOT_FOUND, f"No trial balance is stated for {month}.")
    return _told(month, row.trial_balance, read_club(work).currency, row.version)


def state_trial_balance(work: UnitOfWork, month: str, new: NewTrialBalance, if_match: int) -> TrialBalance:
    """State the trial balance of an open month, in place of the one before."""
    named_month(month)
    hold_months(work)
    return _state(work, month, new, if_match)


def upload_trial_balance(
    work: UnitOfWork, month: str, upload: IO[bytes], basis: Basis, source: str, *, replace: bool
) -> TrialBalance:
    """State the trial balance of an open month from a CSV file.

    Raises `bad-rows` for rows that cannot be used, and `wrong-state` where one is stated already that is not to be
    replaced.
    """
    named_month(month)
    hold_months(work)
    row = month_row(work, month)
    if row is not None and row.trial_balance is not None and not replace:
        raise ProblemError(
            problems.WRONG_STATE,
            f"A trial balance is stated for {month} already; say `replace=true` to replace it.",
        )
    currency = read_club(work).currency
    lines = _lines_of(upload, basis, currency)
    new = NewTrialBalance(basis=basis, currency=currency, lines=lines, source=source)
    return _state(work, month, new, row.version if row is not None else 1)


def _state(work: UnitOfWork, month: str, new: NewTrialBalance, if_match: int) -> TrialBalance:
    refuse_closed(work, month)
    currency = read_club(work).currency
    if new.currency != currency:
        raise unusable(("currency",), f"the club's currency, {currency}", new.currency)
    stated = {
        "basis": new.basis, "source": new.source, "stated_at": work.now.isoformat(), "stated_by": work.caller.name,
        "accounts": [_stated(number, line, new.basis, currency) for number, line in enumerate(new.lines)],
    }  # fmt: skip
    before = month_row(work, month)
    put_month(work, month, if_match, trial_balance=stated)
    told, kept = _told(month, stated, currency, if_match + 1), None
    if before is not None and before.trial_balance is not None:
        kept = _told(month, before.trial_balance, currency, if_match)
    record(work, "state", "trial_balance", month, _summary(kept), _summary(told))
    return told


def _stated(number: int, line: TrialBalanceLine, basis: Basis, currency: str) -> dict[str, Any]:
    def minor(name: str) -> int:
        value: Decimal | None = getattr(line, name)
        if value is None:
            return 0
        found = to_minor(value, currency)
        if from_minor(found, currency) != value:
            raise unusable(("lines", number, name), f"no more decimal places than {currency} has", value)
        if abs(found) > _LIMIT:
            raise unusable(("lines", number, name), "a smaller figure", value)
        return found

    figure = minor("balance") if line.balance is not None else minor("debit") - minor("credit")
    if basis == "movement":
        return {"account": line.account, "opening": None, "closing": None, "movement": figure}
    opening = minor("opening")
    return {
        "account": line.account,
        "opening": opening,
        "closing": figure,
        "movement": movement(figure, opening),
    }


def _lines_of(upload: IO[bytes], basis: Basis, currency: str) -> list[TrialBalanceLine]:
    """The rows of a file as lines. Raises `bad-rows` with the faults of those that cannot be used."""
    read, faults = amount_reader(".", currency), []
    lines: dict[str, TrialBalanceLine] = {}
    for row in read_rows(upload, COLUMNS, optional=_FIGURES):
        found = list(_row_faults(row, basis, read, lines))
        faults += found
        if not found:
            figures = {
                name: from_minor(read(row.cells[name]), currency) for name in _FIGURES if row.cells[name]
            }
            lines[row.cells["account"]] = TrialBalanceLine(account=row.cells["account"], **figures)
    if not lines and not faults:
        faults.append(Fault(pointer="row 2", expected="an account", got=None))
    if len(lines) > MAX_ACCOUNTS:
        faults.append(
            Fault(pointer="row 1", expected=f"at most {MAX_ACCOUNTS} accounts", got=str(len(lines)))
        )
    if faults:
        raise ProblemError(problems.BAD_ROWS, "Nothing was stated.", faults)
    return list(lines.values())


def _row_faults(
    row: CsvRow, basis: Basis, read: Callable[[str], int], known: Iterable[str]
) -> Iterable[Fault]:
    account, figures = row.cells["account"], {name: row.cells[name] for name in _FIGURES if row.cells[name]}
    if not account or len(account) > MAX_LENGTH["account"] or not account.isprintable():
        yield _fault(row, "account", f"an account of at most {MAX_LENGTH['account']} characters", account)
    elif account in known:
        yield _fault(row, "account", "each account once", account)
    for name, text in figures.items():
        try:
            if read(text) < 0 and name in ("debit", "credit"):
                yield _fault(row, name, "zero or more", text)
        except ValueError as error:
            yield _fault(row, name, str(error), text)
    if ("balance" in figures) == ("debit" in figures or "credit" in figures):
        yield _fault(row, "balance", "either a balance, or a debit or credit", figures.get("balance", ""))
    if ("opening" in figures) != (basis == "closing_balance"):
        expected = "an opening balance" if basis == "closing_balance" else "nothing, beside a movement"
        yield _fault(row, "opening", expected, figures.get("opening", ""))


def _fault(row: CsvRow, column: str, expected: str, got: str) -> Fault:
    return Fault(pointer=f"row {row.number}, {column}", expected=expected, got=shown(got) or None)


def _told(month: str, stated: dict[str, Any], currency: str, version: int) -> TrialBalance:
    def money(minor: int | None) -> Money | None:
        return None if minor is None else Money.of_minor(minor, currency)

    return TrialBalance(
        month=month, basis=stated["basis"], source=stated["source"], stated_at=stated["stated_at"],
        stated_by=stated["stated_by"],
        total=Money.of_minor(sum(one["movement"] for one in stated["accounts"]), currency),
        accounts=[
            StatedAccount(
                account=one["account"], opening=money(one["opening"]), closing=money(one["closing"]),
                movement=Money.of_minor(one["movement"], currency),
            )
            for one in stated["accounts"]
        ],
        version=version,
    )  # fmt: skip


def _summary(told: TrialBalance | None) -> dict[str, Any] | None:
    """What the audit trail keeps of a trial balance; the whole of it stands with the month."""
    if told is None:
        return None
    return told.model_dump(mode="json", exclude={"accounts"}) | {"accounts": len(told.accounts)}
