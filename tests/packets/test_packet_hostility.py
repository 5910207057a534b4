"""Names that try to be markup, formulas or orders do no harm in any face of a packet."""

import io
import json
import re
import zipfile
from dataclasses import replace
from functools import cache
from typing import Any

import pypdf
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from packet_readers import csv_blocks, read_page, read_paper, read_workbook
from packet_samples import HOSTILE, sample
from packet_tables import areas_table
from swardcost_api.packets.document import Document
from swardcost_api.packets.faces.calm_text import calm
from swardcost_api.packets.faces.csv_face import csv_of
from swardcost_api.packets.faces.html_face import html_of
from swardcost_api.packets.faces.pdf_face import pdf_of
from swardcost_api.packets.faces.print_letters import STAND_IN, printable
from swardcost_api.packets.faces.xlsx_face import xlsx_of
from swardcost_api.packets.faces.xlsx_formulas import sheet_names

_ISOLATES = re.compile("[\u2066-\u2069]")
"""They order letters and are none."""
_RUNNING = {
    "script",
    "iframe",
    "object",
    "embed",
    "form",
    "input",
    "button",
    "link",
    "base",
    "svg",
    "video",
    "audio",
}


@cache
def hostile() -> Document:
    return sample(names=HOSTILE, club=HOSTILE[0])


def test_a_page_holds_names_as_text_and_nothing_that_runs_or_fetches() -> None:
    page = read_page(html_of(hostile()))
    assert not set(page.tags) & _RUNNING
    for tag, name, value in page.attributes:
        assert not name.startswith("on"), (tag, name)
        if name in {"src", "srcset", "href"}:
            assert str(value).startswith(("data:image/svg+xml;base64,", "#")), (tag, name, value)
    text = "".join(page.data)
    assert all(calm(name) in text for name in HOSTILE)
    assert "\u202e" not in html_of(hostile())


def test_the_policy_of_a_page_lets_nothing_run() -> None:
    page = read_page(html_of(hostile()))
    (policy,) = (
        value or ""
        for tag, name, value in page.attributes
        if tag == "meta" and name == "content" and "-src" in (value or "")
    )
    assert "default-src 'none'" in policy
    assert "script" not in policy
    assert "unsafe" not in policy


def test_paper_prints_names_letter_for_letter_and_says_where_it_lacks_one() -> None:
    paper = read_paper(pdf_of(hostile()))
    for name in HOSTILE[:-1]:
        assert "".join(_ISOLATES.sub("", calm(name)).split()) in paper
    assert STAND_IN in paper
    assert "Charactersthatthisprinthasnolettersfor" in paper


def test_paper_is_tagged_titled_and_has_bookmarks_in_its_language() -> None:
    for document in (hostile(), sample("fr-CA")):
        reader = pypdf.PdfReader(io.BytesIO(pdf_of(document)))
        root: Any = reader.root_object
        assert root["/Lang"] == document.locale
        assert root["/MarkInfo"]["/Marked"]
        assert root["/ViewerPreferences"]["/DisplayDocTitle"]
        assert reader.metadata is not None
        assert reader.metadata.title == document.title
        assert b"pdfuaid:part>1<" in root["/Metadata"].get_data()
        chapters = [section.heading for section in document.sections if section.level == 2]
        titles = [one.title for one in reader.outline if not isinstance(one, list)]
        assert titles == chapters
        assert "/JavaScript" not in str(root)
        assert "/OpenAction" not in root


@pytest.mark.parametrize(
    ("locale", "width"),
    [("en-US", 612), ("fr-CA", 612), ("en-BZ", 612), ("es-DO", 595.28), ("en-GB", 595.28), ("en", 595.28)],
)
def test_paper_has_the_size_of_its_country(locale: str, width: float) -> None:
    # 8.5 inches, or 210 mm, in points of 1/72 inch.
    reader = pypdf.PdfReader(io.BytesIO(pdf_of(sample(locale, lines=5, explained=8))))
    assert float(reader.pages[0].mediabox.width) == pytest.approx(width, abs=0.01)


def test_a_workbook_holds_names_as_text_with_no_formula_but_its_own() -> None:
    book = xlsx_of(hostile())
    with zipfile.ZipFile(io.BytesIO(book)) as parts:
        formulas = [
            formula
            for name in parts.namelist()
            if name.startswith("xl/worksheets/sheet")
            for formula in re.findall(r"<f>(.*?)</f>", parts.read(name).decode())
        ]
        relations = "".join(parts.read(name).decode() for name in parts.namelist() if name.endswith(".rels"))
    assert len(formulas) > 30
    assert all(re.match(r"(ROUND|SUM|IF)\(|'[^']+'!|[A-Z]+[0-9]", formula) for formula in formulas)
    assert "TargetMode" not in relations
    cells = {cell for rows in read_workbook(book).values() for row in rows for cell in row}
    assert {calm(name) for name in HOSTILE[:8]} <= cells


def test_csv_has_no_cell_that_a_spreadsheet_would_compute() -> None:
    text = csv_of(hostile())
    cells = [cell for rows in csv_blocks(text) for row in rows for cell in row]
    assert "'" + HOSTILE[1] in cells
    assert ["'" + HOSTILE[1]] in csv_blocks(text)[2]
    notes = [row[-1] for row in (*csv_blocks(text)[1], *csv_blocks(text)[2])]
    assert "'" + HOSTILE[2] in notes
    assert f"'{HOSTILE[1]} At least: {HOSTILE[3]}" in notes
    for cell in cells:
        assert not cell.startswith(("=", "+", "@", "\t", "\r"))
        assert not cell.startswith("-") or re.fullmatch(r"-[0-9.]+", cell)


# What the model of the service takes for a name: no control characters and no halves of characters.
NAMES = st.text(st.characters(exclude_categories=["Cc", "Cs"]), min_size=1, max_size=60)


@settings(max_examples=25, deadline=None)
@given(st.lists(NAMES, min_size=10, max_size=10))
def test_any_names_can_be_printed(names: list[str]) -> None:
    document = sample(names=names, lines=6, explained=10)
    page = read_page(html_of(document))
    assert [row[0] for row in page.tables["areas"][1:-1]] == [calm(name) for name in names[:8]]
    found = read_workbook(xlsx_of(document))
    assert any(
        [row[0] for row in rows[2:10]] == [calm(name) for name in names[:8]] for rows in found.values()
    )
    csv_of(document)


@settings(max_examples=8, deadline=None)
@given(st.lists(NAMES, min_size=10, max_size=10))
def test_any_names_can_be_set_on_paper(names: list[str]) -> None:
    assert pdf_of(sample(names=names, lines=6, explained=10)).startswith(b"%PDF-1.7")


def charted(name: str) -> Document:
    """A packet with a chart that has a bar of that name."""
    document = sample(lines=6, explained=10)
    chart = document.charts[0]
    specification = json.loads(chart.specification)
    next(iter(specification["datasets"].values()))[0]["group"] = calm(name)
    specification["encoding"]["y"]["axis"] = {"labelLimit": 0}
    drawn = replace(chart, specification=json.dumps(specification))
    return replace(document, parts=tuple(drawn if part is chart else part for part in document.parts))


SCRIPTS = (
    "\uff1cg\uff1e\uff06\uff02",
    "\u0939\u093f\u0928\u094d\u0926\u0940 \u0e01\u0e23\u0e38\u0e07",
    "\u0645\u064e\u0631\u0652\u062d\u0628\u0627 \u0644\u0627",
    "a\u20dd e\u0301 \u0416\u0391",
)


@pytest.mark.parametrize("name", [*HOSTILE, *SCRIPTS])
def test_any_name_can_stand_in_a_chart_on_paper(name: str) -> None:
    document = charted(name)
    assert pdf_of(document).startswith(b"%PDF-1.7")


def test_paper_says_on_its_first_page_where_a_chart_lacks_a_letter() -> None:
    said = "Characters that this print has no letters for are shown as"
    for name, told in (("\u65e5\u672c", True), ("Nippon", False)):
        first = pypdf.PdfReader(io.BytesIO(pdf_of(charted(name)))).pages[0].extract_text()
        assert (said in first) == told


@settings(max_examples=20, deadline=None)
@given(NAMES)
def test_any_name_at_all_can_stand_in_a_chart_on_paper(name: str) -> None:
    assert pdf_of(charted(name)).startswith(b"%PDF-1.7")


def test_a_letter_without_a_glyph_gets_its_plain_form_or_the_stand_in() -> None:
    assert printable("A￥日é") == {"￥": "¥", "日": STAND_IN}


@pytest.mark.parametrize(
    ("titles", "names"),
    [
        (["a/b:c", "a b c", "A B C"], ["a b c", "a b c 2", "A B C 3"]),
        (["'; DROP", "x" * 40, "x" * 40], ["; DROP", "x" * 31, "x" * 27 + " 2"]),
        (["History", "", "\U0001f600" * 20], ["History 2", "-", "\U0001f600" * 15]),
    ],
)
def test_sheets_have_names_that_workbooks_allow(titles: list[str], names: list[str]) -> None:
    assert sheet_names(titles, []) == names


def test_the_order_of_what_stands_around_a_name_cannot_be_turned() -> None:
    assert calm("a\u202eb\u2067c") == "ab\u2067c\u2069"
    assert areas_table(HOSTILE).rows[5].cells[0].value != calm(HOSTILE[5])
