"""What a reader finds in each face of a packet: the texts of every table, row by row, and of every figure."""

import csv
import io
from html.parser import HTMLParser
from typing import Any

import pypdf
from python_calamine import CalamineWorkbook

Rows = list[list[str]]
_MOST_EMPTY = 4
"""Columns without any cell at the right of a sheet, which some programs do not keep."""


class PageReader(HTMLParser):
    """Reads a page of HTML as a person would: tables with their cells, figures, links and what they lead to."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.tables: dict[str, Rows] = {}
        self.notes: dict[str, list[str]] = {}
        """The notes below the rows of each table, in their order."""
        self.remarks: list[str] = []
        """All notes, those of figures, cells and tables among them, in their order."""
        self.figures: list[tuple[str, str]] = []
        """Labels and texts of the figures outside tables, in their order."""
        self.tags: list[str] = []
        self.headings: list[int] = []
        self.ids: list[str] = []
        self.targets: list[str] = []
        self.attributes: list[tuple[str, str, str | None]] = []
        self.data: list[str] = []
        self._table = ""
        self._cell: list[str] | None = None
        self._hidden = 0
        self._more = 0
        self._below = False
        self._label = ""
        self._among_figures = False
        self._remark = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        named = dict(attrs)
        self.tags.append(tag)
        if "note" in str(named.get("class")).split():
            self._remark = tag
            self.remarks.append("")
        self.attributes += [(tag, name, value) for name, value in attrs]
        if named.get("id"):
            self.ids.append(str(named["id"]))
        if tag == "a" and str(named.get("href")).startswith("#"):
            self.targets.append(str(named["href"])[1:])
        if len(tag) == 2 and tag[0] == "h" and tag[1].isdigit():
            self.headings.append(int(tag[1]))
        if tag == "dl":
            self._among_figures = "figures" in str(named.get("class")).split()
        if tag == "table":
            self._table = str(named["id"])
            self.tables[self._table] = []
            self.notes[self._table] = []
        elif tag == "tr":
            self._below = "below" in str(named.get("class")).split()
            if self._below:
                self.notes[self._table].append("")
            else:
                self.tables[self._table].append([])
        elif tag in {"td", "th", "dt", "dd"}:
            self._cell = []
            self._more = int(named.get("colspan") or 1) - 1
        elif (tag == "span" and named.get("class") in {"note", "unit"}) or (tag == "span" and self._hidden):
            self._hidden += 1

    def handle_endtag(self, tag: str) -> None:
        if tag == self._remark:
            self._remark = ""
        if tag == "span" and self._hidden:
            self._hidden -= 1
        elif tag in {"td", "th"} and self._below:
            self._cell, self._below = None, False
        elif tag in {"td", "th"} and self._cell is not None:
            self.tables[self._table][-1] += ["".join(self._cell), *[""] * self._more]
            self._cell = None
        elif tag == "dt" and self._cell is not None:
            self._label, self._cell = "".join(self._cell), None
        elif tag == "dd" and self._cell is not None:
            if self._among_figures:
                self.figures.append((self._label, "".join(self._cell)))
            self._cell = None

    def handle_data(self, data: str) -> None:
        self.data.append(data)
        if self._remark:
            self.remarks[-1] += data
        if self._below and self._cell is not None:
            self.notes[self._table][-1] += data
        if self._cell is not None and not self._hidden:
            self._cell.append(data)


def read_page(html: str) -> PageReader:
    """The page, read to its end."""
    reader = PageReader()
    reader.feed(html)
    reader.close()
    return reader


def csv_blocks(text: str) -> list[Rows]:
    """What empty rows part: the title, then figures and tables, the first row of a table being its caption."""
    blocks: list[Rows] = [[]]
    for row in csv.reader(io.StringIO(text.removeprefix("\ufeff"), newline=""), strict=True):
        if row:
            blocks[-1].append(row)
        else:
            blocks.append([])
    return blocks


def read_workbook(book: bytes) -> dict[str, list[list[Any]]]:
    """The cells of every sheet, as the program that wrote them last left them; the last ones may be empty."""
    workbook = CalamineWorkbook.from_filelike(io.BytesIO(book))
    return {
        name: [
            row + [""] * _MOST_EMPTY
            for row in workbook.get_sheet_by_name(name).to_python(skip_empty_area=False)
        ]
        for name in workbook.sheet_names
    }


def read_paper(pdf: bytes) -> str:
    """The text of a PDF in its order, without any blanks, so that line ends do not matter."""
    pages = pypdf.PdfReader(io.BytesIO(pdf)).pages
    return "".join("".join(page.extract_text().split()) for page in pages)
