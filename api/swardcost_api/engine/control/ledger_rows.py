"""A row of an accounting export as a posting: exact amounts, one canonical form, one fingerprint.

A profile says how the export is laid out; `row_reader` turns it into a function that reads one row.
Nothing is guessed: a cell that is not what the profile says is a fault, with its column and value.
"""

import re
from collections.abc import Callable, Sequence
from contextlib import suppress
from datetime import date
from hashlib import blake2b
from typing import Generic, NamedTuple, TypeVar

from swardcost_model.ledger_profiles import (
    MAX_AMOUNT_MINOR,
    MAX_LENGTH,
    DateFormat,
    DecimalMark,
    ProfileFields,
    ThousandsMark,
)
from swardcost_model.values import CURRENCY_DIGITS

T = TypeVar("T")
FIRST_YEAR, LAST_YEAR = 1900, 2299
_REMEMBERED, _LONGEST_REMEMBERED = 10_000, 400
_CURRENCY_SYMBOLS = {"USD": "$", "CAD": "$", "MXN": "$", "AUD": "$", "NZD": "$", "EUR": "€", "GBP": "£",
                     "JPY": "¥", "KRW": "₩"}  # fmt: skip
_SIDES = {"D": 1, "DR": 1, "DEBIT": 1, "C": -1, "CR": -1, "CREDIT": -1}
_OPTIONAL_TEXTS = ("vendor", "reference", "journal_id", "journal_line", "project")
_GROUPS = {"any": r"'’\s", "none": "", " ": r"\s", "'": "'’"}
"""Which characters group thousands, as a class of a regular expression."""
_UNPRINTABLE = re.compile(r"[\x00-\x1f\x7f-\x9f\ud800-\udfff]+")


class LedgerRow(NamedTuple):
    """A posting as a row states it: ISO day, amount in minor units (debit positive), texts or ''."""

    fingerprint: str
    posted_on: str
    account: str
    amount_minor: int
    description: str
    vendor: str
    reference: str
    journal_id: str
    journal_line: str
    project: str = ""


class CellFault(NamedTuple):
    """What is wrong with a cell, or with the whole row where `column` is `None`."""

    column: str | None
    expected: str
    got: str


class BadRowError(ValueError):
    """A row that cannot be posted, with all its faults."""

    def __init__(self, faults: list[CellFault]) -> None:
        super().__init__("bad row")
        self.faults = faults


class HeaderError(ValueError):
    """Columns that the profile maps and the header lacks, or has more than once."""

    def __init__(self, columns: list[str]) -> None:
        super().__init__(", ".join(columns))
        self.columns = columns


RowReader = Callable[[Sequence[str]], LedgerRow]


class _Remembered(dict[str, T], Generic[T]):
    """What cells that come again and again were read as; emptied when full, so memory stays bounded."""

    def __init__(self, read: Callable[[str], T]) -> None:
        super().__init__()
        self._read = read

    def __missing__(self, text: str) -> T:
        value = self._read(text)
        if len(text) <= _LONGEST_REMEMBERED:
            if len(self) >= _REMEMBERED:
                self.clear()
            self[text] = value
        return value


def row_reader(profile: ProfileFields, header: Sequence[str], currency: str) -> RowReader:
    """The function that reads the rows below this header; it raises `BadRowError`.

    Raises `HeaderError` where a mapped column is missing or ambiguous.
    """
    places = places_of(profile, header)
    width = len(header)
    read_day = _Remembered(day_reader(profile.date_format)).__getitem__
    read_account = _Remembered(text_reader("account", required=True)).__getitem__
    read_description = text_reader("description")
    read_amount = row_amount_reader(profile, places, currency)
    day_at, account_at, description_at = places["date"], places["account"], places["description"]
    vendor_at, reference_at, journal_at, line_at, project_at = (
        places.get(name, 0) for name in _OPTIONAL_TEXTS
    )
    read_vendor, read_reference, read_journal, read_line, read_project = (
        _Remembered(text_reader(name)).__getitem__ if name in places else _nothing for name in _OPTIONAL_TEXTS
    )
    currency_at = places.get("currency")
    check_currency = _currency_check(currency)

    def read(cells: Sequence[str]) -> LedgerRow:
        if len(cells) != width:
            expected = f"{width} cells, as in the header"
            raise BadRowError([CellFault(None, expected, f"{len(cells)} cells")])
        try:
            if currency_at is not None:
                check_currency(cells[currency_at])
            day = read_day(cells[day_at])
            account = read_account(cells[account_at])
            amount = read_amount(cells)
            description = read_description(cells[description_at])
            vendor = read_vendor(cells[vendor_at])
            reference = read_reference(cells[reference_at])
            journal_id = read_journal(cells[journal_at])
            journal_line = read_line(cells[line_at])
            project = read_project(cells[project_at])
        except ValueError:
            raise BadRowError(faults_in(cells)) from None
        # Texts hold no control characters, so that the separator cannot occur in them.
        canonical = (
            f"{day}\x1f{account}\x1f{amount}\x1f{currency}\x1f{description}\x1f{vendor}\x1f{reference}"
            f"\x1f{journal_id}\x1f{journal_line}"
        )
        if project:  # so that a row without one is the same posting as before projects were read
            canonical += f"\x1f{project}"
        fingerprint = blake2b(canonical.encode(), digest_size=16).hexdigest()
        return LedgerRow(
            fingerprint,
            day,
            account,
            amount,
            description,
            vendor,
            reference,
            journal_id,
            journal_line,
            project,
        )

    def faults_in(cells: Sequence[str]) -> list[CellFault]:
        checks: list[tuple[int, Callable[[str], object]]] = [
            (day_at, read_day), (account_at, read_account), (description_at, read_description),
            (vendor_at, read_vendor), (reference_at, read_reference), (journal_at, read_journal), (line_at, read_line),
            (project_at, read_project),
        ]  # fmt: skip
        if currency_at is not None:
            checks.append((currency_at, check_currency))
        faults = []
        for at, check in checks:
            try:
                check(cells[at])
            except ValueError as error:
                faults.append(CellFault(header[at].strip(), str(error), cells[at]))
        try:
            read_amount(cells)
        except AmountError as error:
            faults.append(CellFault(header[error.at].strip(), str(error), cells[error.at]))
        return faults

    return read


def places_of(profile: ProfileFields, header: Sequence[str]) -> dict[str, int]:
    """Where the mapped columns are, by what they hold."""
    names = [name.strip().casefold() for name in header]
    places, wrong = {}, []
    for meaning, column in profile.columns.model_dump(exclude_none=True).items():
        if names.count(column.casefold()) == 1:
            places[meaning] = names.index(column.casefold())
        else:
            wrong.append(column)
    if wrong:
        raise HeaderError(wrong)
    return places


def day_reader(date_format: DateFormat) -> Callable[[str], str]:
    """The function that reads a date in this format as ISO 8601 text; it raises `ValueError`."""
    digits = "1,2" if len(date_format) == 10 else "2"
    pattern = re.escape(date_format).replace("YYYY", "(?P<year>[0-9]{4})")
    pattern = pattern.replace("MM", f"(?P<month>[0-9]{{{digits}}})").replace(
        "DD", f"(?P<day>[0-9]{{{digits}}})"
    )
    match_day = re.compile(pattern).fullmatch

    def read(text: str) -> str:
        found = match_day(text.strip())
        if found is not None and int(found["year"]) > LAST_YEAR:
            raise ValueError(f"a date up to {LAST_YEAR}, written {date_format}")
        if found is not None and int(found["year"]) >= FIRST_YEAR:
            with suppress(ValueError):
                return date(int(found["year"]), int(found["month"]), int(found["day"])).isoformat()
        raise ValueError(f"a date from {FIRST_YEAR} on, written {date_format}")

    return read


def amount_reader(
    decimal_mark: DecimalMark, currency: str, thousands_mark: ThousandsMark = "any"
) -> Callable[[str], int]:
    """The function that reads an amount as minor units, exactly; it raises `ValueError`.

    Negative is a minus before or after, or parentheses around. Thousands may be grouped by blanks,
    apostrophes or the mark that is not the decimal one, or only as stated. More places than the currency has must
    be zeros.
    """
    digits = CURRENCY_DIGITS[currency]
    symbol = re.escape(_CURRENCY_SYMBOLS.get(currency, currency)) + "|" + currency
    group = _GROUPS.get(thousands_mark, thousands_mark)
    if thousands_mark == "any":
        group += "," if decimal_mark == "." else "."
    grouped = rf"|[0-9]{{1,3}}(?:(?P<group>[{group}])[0-9]{{3}}(?:(?P=group)[0-9]{{3}})*)" if group else ""
    whole = f"[0-9]+{grouped}"
    match_amount = re.compile(
        rf"(?P<before>[-+−(]?)\s?(?:{symbol})?\s?(?P<minus>[-−]?)(?P<whole>{whole})?"
        rf"(?:{re.escape(decimal_mark)}(?P<places>[0-9]+))?\s?(?:{symbol})?\s?(?P<after>[-−)]?)"
    ).fullmatch
    match_plain = re.compile(
        rf"(-?[0-9]{{1,12}}){re.escape(decimal_mark)}([0-9]{{{digits}}})" if digits else "(-?[0-9]{1,12})()"
    ).fullmatch
    expected = f"an amount of {currency} such as " + ("1234.50" if decimal_mark == "." else "1234,50")
    if digits == 0:
        expected = f"an amount of {currency} such as 1234"
    limit = MAX_AMOUNT_MINOR // 10**digits

    def read(text: str) -> int:
        text = text.strip()
        plain = match_plain(text)
        minor = int(plain[1] + plain[2]) if plain is not None else read_unusual(text)
        if not -MAX_AMOUNT_MINOR < minor < MAX_AMOUNT_MINOR:
            raise ValueError(f"an amount between -{limit} and {limit}")
        return minor

    def read_unusual(text: str) -> int:
        found = match_amount(text) if len(text) <= 60 else None
        if found is None or (found["whole"] is None and found["places"] is None):
            raise ValueError(expected)
        signs = found["before"] + found["minus"] + found["after"]
        if signs not in ("", "+", "-", "−", "()"):
            raise ValueError(expected)
        places = found["places"] or ""
        if places[digits:].strip("0"):
            raise ValueError(f"an amount with at most {digits} decimal places, as {currency} has")
        minor = int(re.sub("[^0-9]", "", found["whole"] or "0") + places[:digits].ljust(digits, "0"))
        return minor if signs in ("", "+") else -minor

    return read


class AmountError(ValueError):
    """What is wrong with a row's amount, and at which place of the row."""

    def __init__(self, at: int, expected: str) -> None:
        super().__init__(expected)
        self.at = at


def row_amount_reader(
    profile: ProfileFields, places: dict[str, int], currency: str
) -> Callable[[Sequence[str]], int]:
    """The function that reads a row's signed amount, debit positive, from the columns that state it."""
    read = amount_reader(profile.decimal_mark, currency, profile.thousands_mark)

    def read_at(cells: Sequence[str], at: int) -> int:
        try:
            return read(cells[at])
        except ValueError as error:
            raise AmountError(at, str(error)) from None

    if "amount" not in places:
        debit_at, credit_at = places["debit"], places["credit"]

        def from_two_columns(cells: Sequence[str]) -> int:
            has_debit, has_credit = bool(cells[debit_at].strip()), bool(cells[credit_at].strip())
            if not has_debit and not has_credit:
                raise AmountError(debit_at, "an amount in the debit or in the credit column")
            debit = read_at(cells, debit_at) if has_debit else 0
            credit = read_at(cells, credit_at) if has_credit else 0
            if debit and credit:
                raise AmountError(credit_at, "an amount in one of the debit and credit columns, not in both")
            return debit - credit

        return from_two_columns

    amount_at, side_at = places["amount"], places.get("debit_or_credit")
    if side_at is None:
        factor = 1 if profile.sign == "debits_positive" else -1

        def from_signed_amount(cells: Sequence[str]) -> int:
            try:
                return factor * read(cells[amount_at])
            except ValueError as error:
                raise AmountError(amount_at, str(error)) from None

        return from_signed_amount

    def from_amount_and_side(cells: Sequence[str]) -> int:
        side = _SIDES.get(cells[side_at].strip().upper())
        if side is None:
            raise AmountError(side_at, "D or C, for debit or credit")
        return side * read_at(cells, amount_at)

    return from_amount_and_side


def text_reader(name: str, *, required: bool = False) -> Callable[[str], str]:
    """The function that reads a text cell: line breaks and other control characters become blanks."""
    longest = MAX_LENGTH[name]

    def read(text: str) -> str:
        text = text.strip()
        if not text.isprintable():
            text = _UNPRINTABLE.sub(" ", text).strip()
        if len(text) > longest:
            raise ValueError(f"at most {longest} characters")
        if required and not text:
            raise ValueError(f"an {name}")
        return text

    return read


def _nothing(_cell: str) -> str:
    return ""


def _currency_check(currency: str) -> Callable[[str], None]:
    def check(text: str) -> None:
        if text.strip().upper() != currency:
            raise ValueError(f"the club's currency, {currency}")

    return check
