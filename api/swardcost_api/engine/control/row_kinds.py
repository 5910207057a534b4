"""Which rows of an accounting export are postings: subtotals and headings are skipped, opening balances kept apart.

Exports made for reading print an account once above its rows, subtotals below them, and the balance that each
account begins with. A profile says how to tell them; nothing is told by guessing.
"""

from collections.abc import Callable, Sequence
from typing import Literal

from swardcost_model.ledger_profiles import ProfileFields, RowTest

from swardcost_api.engine.control.ledger_rows import (
    AmountError,
    BadRowError,
    CellFault,
    HeaderError,
    amount_reader,
    places_of,
    row_amount_reader,
    text_reader,
)

RowKind = Literal["posting", "skipped", "opening_balance"]


class RowSorting:
    """Tells the kind of each row, in the order of the file, and fills what a row leaves blank from above."""

    def __init__(self, profile: ProfileFields, header: Sequence[str]) -> None:
        """Raises `HeaderError` for a column that the tests name and the header lacks or has more than once."""
        places = places_of(profile, header)
        self._filled = [places[name] for name in profile.fill_down]
        self._above = dict.fromkeys(self._filled, "")
        names = [name.strip().casefold() for name in header]
        tests = [*profile.skip_rows, *profile.opening_balances]
        wrong = sorted({test.column for test in tests if names.count(test.column.casefold()) != 1})
        if wrong:
            raise HeaderError(wrong)
        self._skips = [_test(one, names) for one in profile.skip_rows]
        self._subtotals = [_test(one, names) for one in profile.skip_rows if one.begins_with]
        self._openings = [_test(one, names) for one in profile.opening_balances]

    def sort(self, cells: list[str]) -> RowKind:
        """The kind of a row; its blank cells are filled in place. A row may be shorter than the header.

        Opening balances are told first, then rows to skip; what neither takes is a posting. A row that is skipped for
        its text, as a subtotal is, hands nothing down; one that is skipped for a blank, as a heading is, does.
        """
        if any(passes(cells) for passes in self._subtotals):
            return "opening_balance" if any(passes(cells) for passes in self._openings) else "skipped"
        above = self._above
        for at in self._filled:
            if at < len(cells):
                if cells[at].strip():
                    above[at] = cells[at]
                else:
                    cells[at] = above[at]
        if any(passes(cells) for passes in self._openings):
            return "opening_balance"
        return "skipped" if any(passes(cells) for passes in self._skips) else "posting"


def row_sorting(profile: ProfileFields, header: Sequence[str]) -> RowSorting | None:
    """What tells the rows of this profile, or `None` where every row is a posting and says all itself."""
    if not (profile.fill_down or profile.skip_rows or profile.opening_balances):
        return None
    return RowSorting(profile, header)


def opening_reader(
    profile: ProfileFields, header: Sequence[str], currency: str
) -> Callable[[Sequence[str]], tuple[str, int]]:
    """The function that reads account and opening balance (minor units, debit positive) of a row.

    The balance is that of the balance column, or of the columns of amounts where that is blank or not mapped. It
    raises `BadRowError`.
    """
    places = places_of(profile, header)
    read_account = text_reader("account", required=True)
    balance_of = balance_reader(profile, header, currency)
    read_amount = row_amount_reader(profile, places, currency)

    def read(cells: Sequence[str]) -> tuple[str, int]:
        cells = [*cells, *[""] * (len(header) - len(cells))]
        try:
            account = read_account(cells[places["account"]])
        except ValueError as error:
            at = places["account"]
            raise BadRowError([CellFault(header[at].strip(), str(error), cells[at])]) from None
        balance = balance_of(cells)
        if balance is None:
            try:
                balance = read_amount(cells)
            except AmountError as error:
                raise BadRowError(
                    [CellFault(header[error.at].strip(), str(error), cells[error.at])]
                ) from None
        return account, balance

    return read


def balance_reader(
    profile: ProfileFields, header: Sequence[str], currency: str
) -> Callable[[Sequence[str]], int | None]:
    """The function that reads the running balance of a row in minor units; `None` where it states none.

    It raises `BadRowError`.
    """
    at = places_of(profile, header).get("balance")
    if at is None:
        return lambda cells: None
    read = amount_reader(profile.decimal_mark, currency, profile.thousands_mark)

    def balance(cells: Sequence[str]) -> int | None:
        if at >= len(cells) or not cells[at].strip():
            return None
        try:
            return read(cells[at])
        except ValueError as error:
            raise BadRowError([CellFault(header[at].strip(), str(error), cells[at])]) from None

    return balance


def _test(test: RowTest, names: Sequence[str]) -> Callable[[Sequence[str]], bool]:
    at = names.index(test.column.casefold())
    if test.blank:
        return lambda cells: at >= len(cells) or not cells[at].strip()
    texts = tuple(text.casefold() for text in test.begins_with)
    return lambda cells: at < len(cells) and cells[at].strip().casefold().startswith(texts)
