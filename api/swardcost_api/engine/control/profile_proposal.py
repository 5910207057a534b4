"""A profile proposed from the first rows of an accounting export: what each column seems to hold, and why.

Names of columns are compared with what accounting exports usually call them, and the cells below must read as
such. Where a sample can be read in two ways both are said, as a doubt; the reader decides before anything is saved.
"""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, get_args

from swardcost_model.ledger_profiles import DateFormat, DecimalMark

from swardcost_api.engine.control.ledger_rows import amount_reader, day_reader

NAMES: Mapping[str, tuple[str, ...]] = {
    "date": ("effective date", "posting date", "post date", "posted", "transaction date", "trans date", "entry date",
             "gl date", "date"),
    "account": ("gl account number", "account number", "account no", "account code", "gl account", "acct no", "acct",
                "account"),
    "description": ("je line description", "line description", "description", "memo", "text", "details", "narrative"),
    "debit": ("debit amount", "debits", "debit", "dr"),
    "credit": ("credit amount", "credits", "credit", "cr"),
    "amount": ("transaction amount", "net amount", "amount"),
    "debit_or_credit": ("amount credit debit indicator", "credit debit indicator", "debit credit", "dr cr", "d c",
                        "dc", "side"),
    "vendor": ("vendor name", "supplier name", "vendor", "supplier", "payee", "name"),
    "reference": ("reference number", "reference", "ref no", "ref", "document number", "document no", "invoice number",
                  "voucher", "check no"),
    "journal_id": ("journal id", "journal number", "journal no", "journal", "batch"),
    "journal_line": ("journal id line number", "journal line", "line number", "line no"),
    "currency": ("amount currency", "currency code", "currency"),
    "balance": ("running balance", "ending balance", "balance"),
}  # fmt: skip
"""What columns are called, by what they hold; words alone count, letter case and signs do not."""

SUBTOTAL = (
    "total",
    "subtotal",
    "sub-total",
    "grand total",
    "net change",
    "ending balance",
    "closing balance",
)
OPENING = (
    "opening balance",
    "beginning balance",
    "balance forward",
    "balance brought forward",
    "starting balance",
)
_ORDERS: Sequence[DateFormat] = get_args(DateFormat)
_REQUIRED = ("date", "account", "description")
_FILLED_ROWS = 2


@dataclass(frozen=True, slots=True)
class ColumnReading:
    """What a column seems to hold (`None` where it is not needed), and why."""

    column: str
    meaning: str | None
    why: str


@dataclass
class Reading:
    """What a sample seems to be; `layout` has the fields of a profile, `missing` what no column was found for."""

    columns: list[ColumnReading]
    layout: dict[str, Any] = field(default_factory=dict)
    missing: list[str] = field(default_factory=list)
    doubts: list[str] = field(default_factory=list)


def header_place(rows: Sequence[Sequence[str]]) -> int | None:
    """Which of the rows is the header: the first that names the most known columns, and two at least."""
    best, place = 1, None
    for at, row in enumerate(rows):
        known = len({meaning for cell in row if (meaning := _meaning(cell)) is not None})
        if known > best:
            best, place = known, at
    return place


def read_sample(
    header: Sequence[str], rows: Sequence[Sequence[str]], currency: str, *, month_first: bool, comma: bool
) -> Reading:
    """What the columns hold and how their cells are written.

    `month_first` and `comma` (decimal) are the custom of the club's locale, used where the sample fits both, with a
    doubt that says so.
    """
    found = _columns(header)
    reading = Reading(
        [ColumnReading(name, *found.get(at, (None, "not needed, or not known by its name")))
         for at, name in enumerate(header) if name.strip()]
    )  # fmt: skip
    places = {meaning: at for at, (meaning, _why) in found.items()}
    _settle_amounts(places, reading)
    reading.missing += [name for name in _REQUIRED if name not in places]
    if "amount" not in places and "debit" not in places:
        reading.missing.append("amount")
    body = _row_tests(header, rows, places, reading)
    reading.layout["columns"] = {meaning: header[at].strip() for meaning, at in places.items()}
    if "date" in places:
        _date_order([row[places["date"]] for row in body], reading, month_first=month_first)
    money = [row[places[name]] for name in ("amount", "debit", "credit") if name in places for row in body]
    _decimal_mark([cell for cell in money if cell.strip()], currency, reading, comma=comma)
    return reading


def _words(text: str) -> str:
    return " ".join(re.findall(r"[a-z0-9]+", text.casefold()))


_MEANINGS = {_words(name): meaning for meaning, names in NAMES.items() for name in names}


def _meaning(cell: str) -> str | None:
    return _MEANINGS.get(_words(cell))


def _columns(header: Sequence[str]) -> dict[int, tuple[str, str]]:
    """Column by place: what it holds and why. Of several that fit, the name that says most is taken."""
    best: dict[str, tuple[int, int]] = {}
    for at, name in enumerate(header):
        meaning = _meaning(name)
        if meaning is None:
            continue
        rank = next(i for i, known in enumerate(NAMES[meaning]) if _words(known) == _words(name))
        if meaning not in best or rank < best[meaning][0]:
            best[meaning] = (rank, at)
    return {at: (meaning, f"exports usually name it so: {header[at].strip()!r}")
            for meaning, (_rank, at) in best.items()}  # fmt: skip


def _settle_amounts(places: dict[str, int], reading: Reading) -> None:
    """Keep one way in which amounts come: two columns before one."""
    if "debit" in places and "credit" in places:
        for name in ("amount", "debit_or_credit"):
            if places.pop(name, None) is not None:
                reading.doubts.append(
                    f"There are debit and credit columns as well as one for {name!r}; the two are used."
                )
        return
    for name in ("debit", "credit"):
        if places.pop(name, None) is not None:
            reading.doubts.append(f"There is a {name} column without its counterpart; it is not used.")
    if "amount" in places and "debit_or_credit" not in places:
        reading.doubts.append(
            "One column of signed amounts: a positive one is taken to be a debit. Compare a known expense."
        )
        reading.layout["sign"] = "debits_positive"


def _row_tests(
    header: Sequence[str], rows: Sequence[Sequence[str]], places: Mapping[str, int], reading: Reading
) -> list[list[str]]:
    """The rows that seem to be postings; the tests that tell the others go into the layout."""
    skip: dict[int, set[str]] = {}
    opening: dict[int, set[str]] = {}
    width, body = len(header), []
    for row in rows:
        cells = [*row, *[""] * (width - len(row))]
        told = _told_by(cells, OPENING), _told_by(cells, SUBTOTAL)
        for known, tests in zip(told, (opening, skip), strict=True):
            if known is not None:
                tests.setdefault(known[0], set()).add(known[1])
                break
        else:
            body.append(cells)
    if opening:
        reading.layout["opening_balances"] = _tests(header, opening)
    if skip:
        reading.layout["skip_rows"] = _tests(header, skip)
    return _settle_blanks(header, body, places, reading)


def _settle_blanks(
    header: Sequence[str], body: list[list[str]], places: Mapping[str, int], reading: Reading
) -> list[list[str]]:
    """Headings above groups of rows: an account that stands alone in its row is that of the rows below it."""
    if "date" not in places or "account" not in places:
        return body
    date_at, account_at = places["date"], places["account"]
    dated = [cells for cells in body if cells[date_at].strip()]
    undated = [cells for cells in body if not cells[date_at].strip()]
    if undated:
        reading.layout.setdefault("skip_rows", []).append({"column": header[date_at].strip(), "blank": True})
        reading.doubts.append(
            f"{len(undated)} rows of the sample have no date; they are skipped as headings."
        )
    if sum(not cells[account_at].strip() for cells in dated) >= _FILLED_ROWS:
        reading.layout["fill_down"] = ["account"]
        reading.doubts.append("Rows without an account are taken to belong to the account above them.")
    return dated


def _told_by(cells: Iterable[str], texts: Sequence[str]) -> tuple[int, str] | None:
    for at, cell in enumerate(cells):
        text = cell.strip().casefold()
        known = next((one for one in texts if text.startswith(one)), None)
        if known is not None:
            return at, known
    return None


def _tests(header: Sequence[str], found: Mapping[int, set[str]]) -> list[dict[str, Any]]:
    return [{"column": header[at].strip(), "begins_with": sorted(texts)} for at, texts in sorted(found.items())
            if header[at].strip()]  # fmt: skip


def _date_order(cells: Sequence[str], reading: Reading, *, month_first: bool) -> None:
    fitting = [order for order in _ORDERS if cells and all(_reads(day_reader(order), cell) for cell in cells)]
    if not fitting:
        shown = next((cell for cell in cells if not any(_reads(day_reader(o), cell) for o in _ORDERS)), None)
        why = (
            "the sample has no dates"
            if shown is None
            else f"not all dates are written in one way, as {shown!r}"
        )
        reading.doubts.append(f"The order of day, month and year is not known: {why}.")
        return
    preferred = [order for order in fitting if order.startswith("MM" if month_first else "DD")]
    reading.layout["date_format"] = (preferred or fitting)[0]
    if len(fitting) > 1:
        reading.doubts.append(
            f"The dates fit {' and '.join(fitting)}; {reading.layout['date_format']} is the custom of the club's "
            "locale. Compare a date that you know, or send a sample with a day after the twelfth."
        )


def _decimal_mark(cells: Sequence[str], currency: str, reading: Reading, *, comma: bool) -> None:
    marks: tuple[DecimalMark, DecimalMark] = (",", ".") if comma else (".", ",")
    fitting = [
        mark for mark in marks if cells and all(_reads(amount_reader(mark, currency), c) for c in cells)
    ]
    if not fitting:
        reading.doubts.append("Some amounts read neither with a point nor with a comma before the cents.")
        return
    reading.layout["decimal_mark"] = fitting[0]
    if len(fitting) > 1 and any(mark in cell for cell in cells for mark in ",."):
        reading.doubts.append(
            f"The amounts read with a point and with a comma before the cents; {fitting[0]!r} is the custom of the "
            "club's locale."
        )


def _reads(read: Any, cell: str) -> bool:
    try:
        read(cell)
    except ValueError:
        return False
    return True
