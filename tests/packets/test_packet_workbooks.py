"""The workbook of a packet lives: a spreadsheet program computes the same figures, and others after a change."""

import io
import os
import re
import shutil
import subprocess
import zipfile
from collections.abc import Callable, Sequence
from dataclasses import replace
from decimal import ROUND_HALF_UP, Decimal
from itertools import combinations, pairwise
from pathlib import Path
from typing import Any, Literal

import pytest
from packet_comparing import assert_sheets, sheet_of
from packet_readers import read_workbook
from packet_samples import sample
from packet_tables import money
from swardcost_api.packets.document import Appendix, Cell, Column, Kind, Row, Table, Weight
from swardcost_api.packets.faces.xlsx_face import xlsx_of
from swardcost_api.packets.relations import Rows
from swardcost_api.packets.values import Measured, Share, Value

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
    document = sample(locale, lines=120, metric=metric)
    sheets = computed(edited(xlsx_of(document), without_values), tmp_path)
    assert_sheets(document, sheets)
    front = next(iter(sheets.values()))
    total = next(row for row in front if row[0] == "Total")
    assert Decimal(repr(round(total[1], 6))) == document.figures[0].value.amount  # type: ignore[union-attr]


@needs_office
def test_a_changed_quantity_changes_its_amount_and_every_total(tmp_path: Path) -> None:
    document = sample()
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


def grouped(groups: int) -> Table:
    """Groups of one entry and its subtotal, and the total of all subtotals."""
    rows = []
    for at in range(groups):
        amount = money(Decimal(1) + at)
        rows.append(Row(f"entry-{at}", (Cell(f"Entry {at}"), Cell(amount))))
        rows.append(
            Row(
                f"sum-{at}",
                (Cell("Together"), Cell(amount, computed=Rows((f"entry-{at}",)))),
                Weight.SUBTOTAL,
            )
        )
    total = Cell(
        money(Decimal(groups * (groups + 1) // 2)), computed=Rows(tuple(f"sum-{at}" for at in range(groups)))
    )
    rows.append(Row("total", (Cell("Total"), total), Weight.TOTAL))
    return Table(
        "grouped",
        "Entries in groups",
        (Column("what", "What"), Column("cost", "Cost", Kind.MONEY)),
        tuple(rows),
    )


@needs_office
def test_the_total_of_very_many_groups_is_a_formula_that_programs_compute(tmp_path: Path) -> None:
    document = replace(sample(), parts=(grouped(600),))
    book = xlsx_of(document)
    total = re.findall(r"<f>(.*?)</f>", sheets_of(book)[1])[-1]
    assert total.startswith("SUM(SUM(B4,B6,")
    assert max(inside.count(",") + 1 for inside in re.findall(r"[^()]+", total)) <= 255
    assert_sheets(document, computed(edited(book, without_values), tmp_path))


def test_a_total_of_more_groups_than_a_formula_can_name_is_a_number() -> None:
    table = grouped(1600)
    sheet = sheets_of(xlsx_of(replace(sample(), parts=(table,))))[1]
    formulas = re.findall(r"<f>(.*?)</f>", sheet)
    assert len(formulas) == 1600
    assert max(map(len, formulas)) <= 8192
    assert "<v>1280800</v>" in sheet


def charted(native: Literal["line", "bar"], *columns: Sequence[Value]) -> str:
    """What a workbook holds of a chart of these columns."""
    kinds = {Share: Kind.PERCENT, Measured: Kind.QUANTITY, int: Kind.COUNT}
    heads = [
        Column(f"c{at}", f"Column {at}", kinds.get(type(one[0]), Kind.MONEY))
        for at, one in enumerate(columns)
    ]
    rows = [
        Row(f"r{at}", (Cell(str(2026 + at)), *map(Cell, row)))
        for at, row in enumerate(zip(*columns, strict=True))
    ]
    data = Table("drawn", "Drawn", (Column("year", "Year"), *heads), tuple(rows))
    document = sample(lines=5, explained=8)
    chart = replace(document.charts[0], data=data, native=native)
    with zipfile.ZipFile(io.BytesIO(xlsx_of(replace(document, parts=(chart,))))) as parts:
        return parts.read("xl/charts/chart1.xml").decode()


def lightness(colour: str) -> float:
    """L* of a colour of sRGB (IEC 61966-2-1) under its own white (CIE 15): black is 0 and white 100."""
    parts = [int(colour[at : at + 2], 16) / 255 for at in (0, 2, 4)]
    red, green, blue = (one / 12.92 if one <= 0.04045 else ((one + 0.055) / 1.055) ** 2.4 for one in parts)
    y = 0.2126 * red + 0.7152 * green + 0.0722 * blue
    return 116 * y ** (1 / 3) - 16 if y > 216 / 24389 else y * 24389 / 27


def test_lightness_is_that_of_known_greys() -> None:
    assert lightness("ffffff") == pytest.approx(100)
    assert lightness("000000") == 0
    # The middle grey of sRGB, 18.4 % of white (CIE 15: L* = 50).
    assert lightness("777777") == pytest.approx(50, abs=0.1)


def test_lines_of_a_chart_differ_in_lightness_dashes_and_marks() -> None:
    drawn = charted("line", *[[money(Decimal(at)), money(Decimal(at + 1))] for at in range(8)])
    series = drawn.split("<c:ser>")[1:]
    colours = [re.findall(r'<a:ln w="\d+"><a:solidFill><a:srgbClr val="(\w+)"', one)[0] for one in series]
    looks = [
        (colour, *re.findall(r'<a:prstDash val="(\w+)"', one)[:1], *re.findall(r'<c:symbol val="(\w+)"', one))
        for colour, one in zip(colours, series, strict=True)
    ]
    assert len(set(looks)) == 8
    assert {len(look) for look in looks} == {3}
    tones = [lightness(one) for one in colours[:6]]
    assert min(abs(one - other) for one, other in combinations(tones, 2)) > 7
    assert min(abs(one - other) for one, other in pairwise(tones)) > 15
    # Three times as dark as the paper (WCAG 2.1, 1.4.11) is at most L* 61.6.
    assert max(tones) < 61.6


def test_bars_of_a_chart_differ_in_lightness_and_have_an_outline() -> None:
    drawn = charted("bar", *[[money(Decimal(at)), money(Decimal(at + 1))] for at in range(5)])
    series = drawn.split("<c:ser>")[1:]
    tones = [lightness(re.findall(r'<c:spPr><a:solidFill><a:srgbClr val="(\w+)"', one)[0]) for one in series]
    assert min(abs(one - other) for one, other in combinations(tones, 2)) > 18
    assert all("<a:ln" in one for one in series)


@pytest.mark.parametrize("kind", [money, Share, lambda number: Measured(number, "short_ton"), int])
def test_bars_begin_at_zero_unless_some_hang_below_it(kind: Callable[[Decimal], Value]) -> None:
    for least, begins in ((2, True), (-2, False)):
        drawn = charted("bar", [kind(Decimal(least)), kind(Decimal(5))])
        assert ('<c:min val="0"/>' in drawn) == begins


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
