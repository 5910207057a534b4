"""The workbook of a packet lives: a spreadsheet program computes the same figures, and others after a change."""

import io
import os
import re
import shutil
import subprocess
import zipfile
from collections.abc import Callable
from dataclasses import replace
from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path
from typing import Any

import pytest
from packet_comparing import assert_sheets, sheet_of
from packet_readers import read_workbook
from packet_samples import sample
from swardcost_api.packets.document import Appendix, Kind, Table
from swardcost_api.packets.faces.xlsx_face import xlsx_of
from swardcost_api.packets.reader_units import in_reader_units
from swardcost_api.packets.values import Measured

OFFICE = shutil.which("soffice")
needs_office = pytest.mark.skipif(
    OFFICE is None and not os.environ.get("SWARDCOST_REQUIRE_OFFICE"),
    reason="no LibreOffice (soffice) to compute with",
)


def edited(book: bytes, edit: Callable[[str, str], str]) -> bytes:
    """The workbook with its sheets changed, by name of the part and its text."""
    out = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(book)) as parts,
        zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as written,
    ):
        for name in parts.namelist():
            data = parts.read(name)
            if name.startswith("xl/worksheets/sheet"):
                data = edit(name, data.decode()).encode()
            written.writestr(name, data)
    return out.getvalue()


def without_values(_: str, text: str) -> str:
    """Formulas without the values that they came with."""
    return re.sub(r"(<f>[^<]*</f>)<v>[^<]*</v>", r"\1", text)


def computed(book: bytes, folder: Path) -> dict[str, list[list[Any]]]:
    """The cells of the workbook as LibreOffice computes them."""
    source, out = folder / "packet.xlsx", folder / "out"
    source.write_bytes(book)
    assert OFFICE is not None, "LibreOffice is required and not installed"
    subprocess.run(
        [OFFICE, f"-env:UserInstallation={(folder / 'profile').as_uri()}", "--headless", "--convert-to", "xlsx",
         "--outdir", str(out), str(source)],
        check=True, timeout=180, capture_output=True,
    )  # fmt: skip
    return read_workbook((out / "packet.xlsx").read_bytes())


@needs_office
@pytest.mark.parametrize(("locale", "metric"), [("en-US", False), ("fr-CA", True)])
def test_another_program_computes_the_same_figures_to_the_cent(
    locale: str, metric: bool, tmp_path: Path
) -> None:
    document = in_reader_units(sample(locale, lines=120, metric=metric))
    sheets = computed(edited(xlsx_of(document), without_values), tmp_path)
    assert_sheets(document.tables, sheets)
    front = next(iter(sheets.values()))
    total = next(row for row in front if row[0] == "Total")
    assert Decimal(repr(round(total[1], 6))) == document.figures[0].value.amount  # type: ignore[union-attr]


@needs_office
def test_a_changed_quantity_changes_its_amount_and_every_total(tmp_path: Path) -> None:
    document = in_reader_units(sample())
    lines = next(table for table in document.tables if table.id == "lines")
    before = lines.cell("total", "amount").value

    def more_sand(_: str, text: str) -> str:
        """One more short ton of the first line, which costs 38.50."""
        return without_values("", re.sub(r'(<c r="D4"[^>]*>)<v>12\.5</v>', r"\1<v>13.5</v>", text))

    sheets = computed(edited(xlsx_of(document), more_sand), tmp_path)
    found = Decimal(repr(round(sheet_of(lines, sheets)[-3][6], 6)))
    assert found == before.amount + Decimal("38.50")  # type: ignore[union-attr]
    summary = next(table for table in document.tables if table.id == "summary")
    rows = sheet_of(summary, sheets)
    tax = (found * Decimal("0.0725")).quantize(Decimal("0.01"), ROUND_HALF_UP)
    contingency = (found / 10).quantize(Decimal("0.01"), ROUND_HALF_UP)
    assert Decimal(repr(round(rows[3][3], 6))) == found + tax + contingency


def test_a_workbook_is_set_up_for_screens_and_paper() -> None:
    with zipfile.ZipFile(io.BytesIO(xlsx_of(sample()))) as parts:
        sheets = [
            parts.read(name).decode() for name in parts.namelist() if name.startswith("xl/worksheets/sheet")
        ]
        book = parts.read("xl/workbook.xml").decode()
    frozen = [sheet for sheet in sheets if 'state="frozen"' in sheet]
    assert len(frozen) == len(sheets) - 1
    assert book.count("_xlnm.Print_Titles") == len(sheets) - 1
    assert all("<pageSetup" in sheet and "<oddFooter>" in sheet for sheet in sheets)


def test_every_cited_figure_of_a_workbook_has_a_formula_or_a_note_and_a_link_to_its_steps() -> None:
    document = sample()
    with zipfile.ZipFile(io.BytesIO(xlsx_of(document))) as parts:
        comments = "".join(parts.read(name).decode() for name in parts.namelist() if "comments" in name)
        links = "".join(
            parts.read(name).decode() for name in parts.namelist() if name.startswith("xl/worksheets/sheet")
        )
    cited = [cell for table in document.tables for row in table.rows for cell in row.cells if cell.why]
    assert len(cited) > 50
    assert comments.count("<comment ") == sum(cell.computed is None for cell in cited)
    rows = sum(any(cell.why for cell in row.cells) for table in document.tables for row in table.rows)
    figures = sum(figure.why is not None for figure in document.figures)
    assert links.count("How this was computed'!A") == rows + figures + 1


def column_widths(sheet: str) -> dict[int, float]:
    """The widths of the columns of a sheet in characters, by their numbers from 1."""
    found = re.findall(r'<col min="(\d+)" max="(\d+)" width="([0-9.]+)"', sheet)
    return {at: float(width) for first, last, width in found for at in range(int(first), int(last) + 1)}


def sheets_of(book: bytes) -> list[str]:
    with zipfile.ZipFile(io.BytesIO(book)) as parts:
        names = sorted(one for one in parts.namelist() if re.match(r"xl/worksheets/sheet\d+\.xml", one))
        names.sort(key=lambda one: int(re.findall(r"\d+", one)[0]))
        return [parts.read(one).decode() for one in names]


def test_the_head_of_a_narrow_column_is_as_high_as_its_words() -> None:
    document = sample(lines=5, explained=8)
    title = "Left below the limit of spending at the end"
    table = next(part for part in document.parts if isinstance(part, Table) and part.id == "areas")
    columns = tuple(replace(one, title=title) if one.kind is Kind.COUNT else one for one in table.columns)
    parts = tuple(replace(part, columns=columns) if part is table else part for part in document.parts)
    sheet = sheets_of(xlsx_of(replace(document, parts=parts)))[1]
    head = re.search(r'<row r="2"[^>]* ht="([0-9.]+)"', sheet)
    assert head
    width = min(column_widths(sheet).values())
    assert float(head[1]) >= 13.5 * len(title) / width


def test_every_value_of_the_steps_has_room_for_its_digits() -> None:
    document = sample(lines=5, explained=8)
    appendix = document.parts[-1]
    assert isinstance(appendix, Appendix)
    first = appendix.derivations[0]
    step = replace(first.steps[0], value=Measured(Decimal("0.000126676869774"), "square_meter"))
    longer = replace(first, steps=(step, *first.steps[1:]))
    parts = (*document.parts[:-1], Appendix((longer, *appendix.derivations[1:])))
    for one, least in ((document, 12), (replace(document, parts=parts), len("0.000126676869774"))):
        assert column_widths(sheets_of(xlsx_of(one))[-1])[4] >= least
