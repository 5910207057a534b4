"""Tables on paper: no number is broken, names get room, and what leads to a wide table stands on its page."""

import io
import json
import re
from collections.abc import Sequence
from dataclasses import replace

import pypdf
import pytest
import typst
from hypothesis import given, settings
from hypothesis import strategies as st
from packet_samples import sample
from packet_tables import lines_table, money
from swardcost_api.packets.document import Cell, Column, Document, Kind, Paragraph, Part, Row, Section, Table
from swardcost_api.packets.faces.letter_widths import text_width
from swardcost_api.packets.faces.paper_columns import Paper, data_setting_of, setting_of
from swardcost_api.packets.faces.pdf_face import pdf_of
from swardcost_api.packets.faces.print_letters import FONTS, font_set
from swardcost_api.packets.faces.table_views import Citations, TableView, table_view
from swardcost_api.packets.formatter import Formatter

WIDTHS: dict[Paper, tuple[float, float]] = {
    "us-letter": (612 - 102.05, 792 - 102.05),
    "a4": (595.28 - 102.05, 841.89 - 102.05),
}
"""Letter is 612 by 792 points, A4 595.28 by 841.89; the margins are 18 mm on either side."""
SAMPLE = sample(lines=5, explained=8)
NAME = "Renewal of the irrigation mains from the pump house to the ninth green"


def wide(columns: int, amount: str = "1234567.89", name: str = NAME, rows: int = 3, note: str = "") -> Table:
    heads = [Column(f"c{at}", "Amount", Kind.MONEY) for at in range(columns)]
    entries = [Row(f"r{at}", (Cell(name), *[Cell(money(amount))] * columns), note=note) for at in range(rows)]
    return Table("wide", "Wide table", (Column("name", "Project"), *heads), tuple(entries))


def document(*parts: Part) -> Document:
    return replace(SAMPLE, parts=parts)


def view_of(table: Table, locale: str = "en-US") -> TableView:
    return table_view(table, Formatter(locale), Citations(SAMPLE))


def measured(texts: Sequence[str], bold: bool) -> list[float]:
    """The widths in em that typst sets texts in."""
    template = b"""#set text(font: json(bytes(sys.inputs.fonts)), size: 100pt, number-width: "tabular")
#let texts = json(bytes(sys.inputs.texts))
#let set-in(one) = if sys.inputs.bold == "yes" { strong(one) } else { one }
#context [#metadata(texts.map(one => measure(set-in(one)).width.pt() / 100)) <widths>]"""
    inputs = {"texts": json.dumps(texts), "fonts": json.dumps(FONTS), "bold": "yes" if bold else "no"}
    found = typst.query(
        template, "<widths>", field="value", one=True, sys_inputs=inputs, font_paths=font_set(None)
    )
    widths: list[float] = json.loads(found)
    return widths


LATIN = st.text(
    st.characters(min_codepoint=0x20, max_codepoint=0x17E, exclude_categories=["Cc", "Cf"]), max_size=40
)


@settings(max_examples=20, deadline=None)
@given(st.lists(LATIN, min_size=1, max_size=10), st.booleans())
def test_no_text_is_wider_than_it_is_taken_for(texts: list[str], bold: bool) -> None:
    for text, width in zip(texts, measured(texts, bold), strict=True):
        assert width <= text_width(text, bold) + 0.01, text


@pytest.mark.parametrize("first", ["f", "(", "T", "F", "?", "@", "v", "7", "$", "-"])
def test_no_pair_of_letters_is_wider_than_it_is_taken_for(first: str) -> None:
    pairs = [first + chr(second) for second in range(0x20, 0x17F) if chr(second).isprintable()]
    for pair, width in zip(pairs, measured(pairs, False), strict=True):
        assert width <= text_width(pair) + 0.001, pair


@pytest.mark.parametrize("paper", WIDTHS)
@pytest.mark.parametrize("columns", [1, 4, 7, 9, 12, 20, 30])
def test_a_number_is_never_broken_and_no_table_leaves_its_page(columns: int, paper: Paper) -> None:
    setting = setting_of(view_of(wide(columns)), paper)
    digits = measured(["1,234,567.89"], bold=False)[0] * setting.size
    assert all(width >= digits for width in setting.widths[1:])
    assert sum(setting.widths) <= WIDTHS[paper][setting.across] + 0.1


def test_a_table_is_set_smaller_before_it_lies_across_and_across_before_it_is_tiny() -> None:
    settings_of = [setting_of(view_of(wide(columns)), "us-letter") for columns in range(1, 31)]
    ranks = [(one.across, -one.size) for one in settings_of]
    assert ranks == sorted(ranks)
    assert {(one.across, one.size) for one in settings_of if one.size >= 7} == {
        (False, 9.0), (False, 8.0), (True, 9.0), (True, 8.0), (True, 7.0),
    }  # fmt: skip


@pytest.mark.parametrize("columns", range(1, 12))
def test_names_of_rows_get_room_for_more_than_a_word(columns: int) -> None:
    setting = setting_of(view_of(wide(columns)), "us-letter")
    assert setting.widths[0] >= measured(["Renewal of the irrigation"], bold=False)[0] * setting.size


def test_a_quantity_is_not_broken_for_the_sake_of_long_words() -> None:
    table = lines_table(24, ["A name that is so long that it takes two lines or three in a column"] * 10, 8)
    view = view_of(table)
    setting = setting_of(view, "us-letter")
    for index, column in enumerate(view.columns):
        if column.numeric:
            widest = max(measured([row.cells[index].text for row in view.rows], bold=False))
            assert setting.widths[index] >= widest * setting.size, column.title


def test_what_leads_to_a_table_across_stands_on_its_page_and_the_next_chapter_does_not() -> None:
    parts = (
        Section("first", "Chapter before"), Paragraph("It says what is asked."),
        Section("second", "Chapter of the wide table"), Paragraph("What the columns mean."),
        wide(11), Paragraph("What the table leaves out."),
        Section("third", "Chapter after"), Paragraph("It ends here."),
    )  # fmt: skip
    pages = pypdf.PdfReader(io.BytesIO(pdf_of(document(*parts)))).pages
    across = [page for page in pages if page.mediabox.width > page.mediabox.height]
    assert len(across) == 1
    text = across[0].extract_text()
    for words in ("Chapter of the wide table", "What the columns mean", "Wide table", "leaves out"):
        assert words in text
    assert "Chapter before" not in text
    assert "Chapter after" not in text
    assert len(pages) == 3


def test_the_note_of_a_row_runs_below_all_of_its_columns() -> None:
    note = "The price is that of the spring and holds for the first of three deliveries to the upper yard."
    pages = pypdf.PdfReader(io.BytesIO(pdf_of(document(wide(4, note=note, rows=1))))).pages
    lines = [line for page in pages for line in page.extract_text().splitlines()]
    assert note in lines


@pytest.mark.parametrize("plain", range(3))
def test_a_note_stands_on_the_page_of_its_row(plain: int) -> None:
    note = "Its price is that of the spring."
    table = wide(5, name="Mains", rows=200, note=note)
    rows = tuple(replace(row, note=note if at > plain else "") for at, row in enumerate(table.rows))
    pages = pypdf.PdfReader(io.BytesIO(pdf_of(document(replace(table, rows=rows))))).pages
    found = [re.findall(r"Mains|Its price", page.extract_text()) for page in pages]
    assert sum(len(page) for page in found) == 400 - plain - 1
    assert len(found) > 5
    assert not [page for page in found if page[:1] == ["Its price"]]


@settings(deadline=None)
@given(st.integers(0, 400), st.integers(1, 6), st.sampled_from(["1.00", "1234567.89"]))
def test_every_row_of_a_chart_stands_in_one_block_in_its_order(rows: int, columns: int, amount: str) -> None:
    setting = data_setting_of(view_of(wide(columns, amount, "2027", rows)), "a4")
    blocks = [block for band in setting.bands for block in band]
    assert [at for block in blocks for at in range(block.begin, block.end)] == list(range(rows))
    for band in setting.bands:
        room = sum(setting.setting.widths) * len(band) + 16 * (len(band) - 1)
        assert room <= WIDTHS["a4"][0] + 0.1
        assert max(block.end - block.begin for block in band) <= 40 or len(setting.bands) == 1


def test_the_figures_of_a_chart_are_small_and_side_by_side() -> None:
    setting = data_setting_of(view_of(wide(1, name="2027", rows=12)), "us-letter")
    assert setting.setting.size < 8
    assert [len(band) for band in setting.bands] == [3]
    assert [len(band) for band in data_setting_of(view_of(wide(6, rows=12)), "us-letter").bands] == [1]
