"""Budget, accruals and commitments as rows for the club's accounts, in a layout that the club defines."""

import csv
import io
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date
from uuid import UUID

from swardcost_model import problems
from swardcost_model.account_files import AccountContent, AccountField, AccountFile, Layout, LayoutFields
from swardcost_model.problems import Fault, ProblemError
from swardcost_model.values import Money, from_minor, plain

from swardcost_api.budgets.service import line_states, read_budget_summary
from swardcost_api.commitments.service import accruals_by_month, committed_by_line
from swardcost_api.csv_files import guarded
from swardcost_api.engine.control.months import last_day, next_month
from swardcost_api.reports.layouts import read_layout
from swardcost_api.storage.work import UnitOfWork


@dataclass(frozen=True, slots=True)
class Entry:
    """One row before it is laid out: debit positive, in minor units."""

    account: str | None
    amount_minor: int
    month: str
    on: date
    description: str = ""
    line: int | None = None
    kind: str = ""
    vendor: str = ""
    commitment: str = ""


def account_file(work: UnitOfWork, budget_id: UUID, layout_id: UUID, through: str | None) -> AccountFile:
    """The file as of the end of a month: this month where none is given."""
    layout = read_layout(work, layout_id)
    budget = read_budget_summary(work, budget_id)
    currency = budget.total.currency
    month = through or work.now.date().isoformat()[:7]
    entries = [
        entry for entry in _ENTRIES[layout.content](work, budget_id, month, layout) if entry.amount_minor
    ]
    kept = [entry for entry in entries if entry.account is not None]
    write = _writer(layout, budget.name, currency)
    return AccountFile(
        layout=layout, budget_id=budget_id, through=month,
        header=[column.header for column in layout.columns] if layout.header else [],
        rows=[write(entry) for entry in kept],
        debits=Money.of_minor(sum(max(one.amount_minor, 0) for one in kept), currency),
        credits=Money.of_minor(-sum(min(one.amount_minor, 0) for one in kept), currency),
        without_account=Money.of_minor(sum(one.amount_minor for one in entries if one.account is None), currency),
    )  # fmt: skip


def write_file(file: AccountFile) -> bytes:
    """The file in the layout's delimiter and encoding, a line for each row.

    Raises `invalid-values` for a text that the encoding has no characters for: none is replaced unseen.
    """
    out = io.StringIO()
    writer = csv.writer(out, delimiter=file.layout.delimiter, lineterminator="\r\n")
    if file.header:
        writer.writerow(file.header)
    writer.writerows(file.rows)
    text, encoding = out.getvalue(), file.layout.encoding
    try:
        return text.encode(encoding)
    except UnicodeEncodeError as error:
        line = text.count("\r\n", 0, error.start) + 1
        expected = f"characters that {encoding} has; a layout in utf-8 has them all"
        raise ProblemError(
            problems.INVALID_VALUES, "The file was not written.",
            [Fault(pointer=f"line {line}", expected=expected, got=text[error.start])],
        ) from None  # fmt: skip


def _budget(work: UnitOfWork, budget_id: UUID, month: str, layout: LayoutFields) -> Iterator[Entry]:
    """By account and month, or by line and month where the layout names the line; as adjusted by the day."""
    by_line = any(column.field in ("line", "description") for column in layout.columns)
    sums: dict[tuple[str | None, str], int] = {}
    for state in line_states(work, budget_id, last_day(month)):
        for one, amount in state.adjusted_by_month.items():
            if by_line:
                yield Entry(state.account, amount, one, last_day(one), state.label, state.number)
            else:
                sums[state.account, one] = sums.get((state.account, one), 0) + amount
    for (account, one), amount in sorted(sums.items(), key=lambda item: (item[0][0] or "", item[0][1])):
        yield Entry(account, amount, one, last_day(one))


def _accruals(work: UnitOfWork, budget_id: UUID, month: str, layout: LayoutFields) -> Iterator[Entry]:
    """The balances at the end of the month, and where the layout asks for it their reversals in the next."""
    labels = {state.id: state for state in line_states(work, budget_id, last_day(month))}
    following = next_month(month)
    reversed_on = date(int(following[:4]), int(following[5:]), 1)
    for accrual in accruals_by_month(work, budget_id, month):
        if accrual.month != month:
            continue
        state = labels[accrual.budget_line_id]
        entry = Entry(
            accrual.account, accrual.amount_minor, month, last_day(month), state.label, state.number,
            accrual.kind.replace("_", " "), accrual.vendor, accrual.commitment_number,
        )  # fmt: skip
        yield entry
        if layout.reverse_next_month:
            yield replace(
                entry, amount_minor=-entry.amount_minor, month=following, on=reversed_on,
                kind=f"{entry.kind}, reversed",
            )  # fmt: skip


def _commitments(work: UnitOfWork, budget_id: UUID, month: str, layout: LayoutFields) -> Iterator[Entry]:
    """What is still to come of each ordered line, in the month in which it is expected."""
    states = {state.id: state for state in line_states(work, budget_id, last_day(month))}
    for one in committed_by_line(work, budget_id, last_day(month)):
        state = states[one.budget_line_id]
        expected = one.expected_month or month
        yield Entry(
            state.account, one.open_minor, expected, last_day(expected), one.description, state.number, "",
            one.vendor, one.commitment_number,
        )  # fmt: skip


_ENTRIES: Mapping[AccountContent, Callable[[UnitOfWork, UUID, str, LayoutFields], Iterable[Entry]]] = {
    "budget": _budget,
    "accruals": _accruals,
    "commitments": _commitments,
}


def _writer(layout: Layout, budget: str, currency: str) -> Callable[[Entry], list[str]]:
    """What writes an entry as the cells of a row."""
    sign = 1 if layout.sign == "debits_positive" else -1

    def amount(minor: int) -> str:
        return plain(from_minor(minor, currency)).replace(".", layout.decimal_mark)

    cells: Mapping[AccountField, Callable[[Entry], str]] = {
        "account": lambda entry: entry.account or "",
        "amount": lambda entry: amount(sign * entry.amount_minor),
        "debit": lambda entry: amount(entry.amount_minor) if entry.amount_minor > 0 else "",
        "credit": lambda entry: amount(-entry.amount_minor) if entry.amount_minor < 0 else "",
        "date": lambda entry: _patterned(layout.date_format, entry.on),
        "month": lambda entry: _patterned(layout.month_format, entry.on),
        "description": lambda entry: guarded(entry.description),
        "line": lambda entry: "" if entry.line is None else str(entry.line),
        "budget": lambda entry: guarded(budget),
        "kind": lambda entry: entry.kind,
        "vendor": lambda entry: guarded(entry.vendor),
        "commitment": lambda entry: guarded(entry.commitment),
        "currency": lambda entry: currency,
    }
    columns = [
        (lambda entry, text=column.text: text) if column.field == "text" else cells[column.field]
        for column in layout.columns
    ]
    return lambda entry: [cell(entry) for cell in columns]


def _patterned(pattern: str, day: date) -> str:
    parts = {"YYYY": f"{day.year:04d}", "MM": f"{day.month:02d}", "DD": f"{day.day:02d}"}
    for name, text in parts.items():
        pattern = pattern.replace(name, text)
    return pattern
