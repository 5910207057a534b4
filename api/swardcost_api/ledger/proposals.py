"""A profile proposed from a sample of an export, and shown with the rows as it would read them."""

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass
from typing import IO, get_args

from babel import Locale
from pydantic import ValidationError
from swardcost_model.access import Club
from swardcost_model.ledger_profiles import (
    CellReading,
    ColumnProposal,
    Delimiter,
    Encoding,
    ProfileFields,
    ProfileProposal,
    SampleRow,
)
from swardcost_model.values import Money

from swardcost_api.access.service import read_club
from swardcost_api.csv_files import MAX_CELL
from swardcost_api.engine.control.ledger_rows import BadRowError, CellFault, row_reader
from swardcost_api.engine.control.profile_proposal import Reading, header_place, read_sample
from swardcost_api.engine.control.row_kinds import opening_reader, row_sorting
from swardcost_api.faults import shown
from swardcost_api.ledger.export_files import unreadable
from swardcost_api.ledger.workbook_exports import sample_rows
from swardcost_api.operations import XLSX
from swardcost_api.storage.work import UnitOfWork
from swardcost_api.xlsx_parts import unusable

SAMPLE_BYTES = 256 * 1024
"""How much of a file is looked at."""
ROWS_TRIED, ROWS_SHOWN, CELLS_SHOWN = 500, 20, 3


@dataclass(frozen=True, slots=True)
class _Sample:
    rows: list[list[str]]
    encoding: Encoding
    delimiter: Delimiter
    doubts: list[str]


def propose_profile(work: UnitOfWork, upload: IO[bytes], media_type: str, name: str) -> ProfileProposal:
    """Propose a profile for a file from its first rows. Raises `invalid-csv` or `invalid-workbook` where no
    header can be found."""
    club = read_club(work)
    if media_type == XLSX:
        sample = _Sample(sample_rows(upload, 2 * ROWS_TRIED), "utf-8", ",", [])
    else:
        sample = _read(upload.read(SAMPLE_BYTES + 1))
    at = header_place(sample.rows[: ROWS_TRIED // 2])
    if at is None:
        known = "a header row with names such as Date, Account, Description, Debit and Credit"
        refusal = unusable if media_type == XLSX else unreadable
        raise refusal("the first rows", known, shown(",".join(sample.rows[0])) if sample.rows else "nothing")
    header, body = sample.rows[at], sample.rows[at + 1 : at + 1 + ROWS_TRIED]
    body = [row for row in body if any(cell.strip() for cell in row)]
    locale = Locale.parse(club.locale, sep="-")
    reading = read_sample(
        header, body, club.currency, month_first=_month_first(locale), comma=_decimal_comma(locale)
    )
    profile = _profile(name, sample, at + 1, reading)
    rows = _rows(profile, header, sample.rows[at + 1 : at + 1 + ROWS_TRIED], at + 2, club) if profile else []
    return ProfileProposal(
        profile=profile,
        missing=reading.missing,
        columns=[
            ColumnProposal(
                column=one.column, meaning=one.meaning, why=one.why, cells=_cells(header, body, one.column)
            )
            for one in reading.columns
        ],
        rows=rows[:ROWS_SHOWN],
        rows_read=len(rows),
        rows_at_fault=sum(row.kind == "fault" for row in rows),
        doubts=sample.doubts + reading.doubts,
    )


def _read(sample: bytes) -> _Sample:
    cut = len(sample) > SAMPLE_BYTES
    text, encoding, doubts = _decoded(sample)
    lines = text.splitlines(keepends=True)
    if cut:
        lines = lines[:-1]
    csv.field_size_limit(MAX_CELL)
    best: tuple[int, Delimiter, list[list[str]]] = (0, ",", [])
    for delimiter in get_args(Delimiter):
        try:
            rows = list(csv.reader(io.StringIO("".join(lines), newline=""), delimiter=delimiter, strict=True))
        except csv.Error:
            continue
        widths = [len(row) for row in rows if any(row)]
        usual = max(set(widths), key=widths.count, default=0)
        score = sum(width == usual for width in widths) * (usual - 1)
        if score > best[0]:
            best = (score, delimiter, rows)
    if not best[2]:
        raise unreadable("the first rows", "columns separated by a comma, a semicolon, a tab or a bar", None)
    return _Sample(best[2], encoding, best[1], doubts)


def _decoded(sample: bytes) -> tuple[str, Encoding, list[str]]:
    if sample.startswith((b"\xff\xfe", b"\xfe\xff")):
        return sample[: len(sample) // 2 * 2].decode("utf-16", "replace"), "utf-16", []
    try:
        return sample.decode("utf-8-sig"), "utf-8", []
    except UnicodeDecodeError as error:
        if error.start >= len(sample) - 3:  # the sample ends within a character
            return sample[: error.start].decode("utf-8-sig"), "utf-8", []
    doubt = "The text is not UTF-8; windows-1252 is taken. Compare a name with an accent."
    return sample.decode("windows-1252", "replace"), "windows-1252", [doubt]


def _profile(name: str, sample: _Sample, header_row: int, reading: Reading) -> ProfileFields | None:
    if reading.missing:
        return None
    try:
        return ProfileFields(
            name=name, delimiter=sample.delimiter, encoding=sample.encoding, header_row=header_row, **reading.layout
        )  # fmt: skip
    except ValidationError as error:
        # Names of columns that a profile cannot hold, such as two that are alike: the reader has to map them.
        reading.doubts += [
            f"{'.'.join(map(str, one['loc']))}: expected {one['msg']}" for one in error.errors()
        ]
        return None


def _rows(
    profile: ProfileFields, header: Sequence[str], rows: Sequence[list[str]], first: int, club: Club
) -> list[SampleRow]:
    sorting = row_sorting(profile, header)
    read = row_reader(profile, header, club.currency)
    read_opening = opening_reader(profile, header, club.currency)
    shown_rows = []
    for number, cells in enumerate(rows, start=first):
        if not any(cell.strip() for cell in cells):
            continue
        cells = list(cells)
        kind = sorting.sort(cells) if sorting is not None else "posting"
        try:
            if kind == "skipped":
                shown_rows.append(SampleRow(row=number, kind=kind))
            elif kind == "opening_balance":
                account, balance = read_opening(cells)
                amount = Money.of_minor(balance, club.currency)
                shown_rows.append(SampleRow(row=number, kind=kind, account=account, amount=amount))
            else:
                row = read(cells)
                shown_rows.append(
                    SampleRow(
                        row=number,
                        kind=kind,
                        posted_on=row.posted_on,
                        account=row.account,
                        description=row.description,
                        amount=Money.of_minor(row.amount_minor, club.currency),
                    )
                )
        except BadRowError as error:
            shown_rows.append(
                SampleRow(row=number, kind="fault", faults=[_fault(one) for one in error.faults])
            )
    return shown_rows


def _fault(fault: CellFault) -> CellReading:
    return CellReading(
        column=fault.column, expected=fault.expected, got=shown(fault.got) if fault.got else None
    )


def _cells(header: Sequence[str], body: Sequence[Sequence[str]], column: str) -> list[str]:
    at = header.index(column)
    found = [row[at].strip() for row in body if at < len(row) and row[at].strip()]
    return [shown(cell) for cell in found[:CELLS_SHOWN]]


def _month_first(locale: Locale) -> bool:
    pattern = str(locale.date_formats["short"].pattern)
    return pattern.find("M") < pattern.find("d")


def _decimal_comma(locale: Locale) -> bool:
    return str(locale.number_symbols["latn"]["decimal"]) == ","
