"""What is written as a workbook can be read on a screen and on paper."""

import io
import re
import zipfile

from swardcost_api.xlsx_files import Column, Sheet, write_workbook

LONG = "Carried forward from the autumn before. " * 4


def sheet_of(*columns: Column, rows: list[list[str]]) -> str:
    """The XML of a sheet with these rows."""
    book = write_workbook([Sheet("Items", columns, rows)], {"title": "Prices"})
    with zipfile.ZipFile(io.BytesIO(book)) as archive:
        return archive.read("xl/worksheets/sheet1.xml").decode()


def test_a_long_text_gets_the_height_of_its_lines_and_a_short_one_none() -> None:
    columns = (Column("code"), Column("note", 40, wrapped=True))
    xml = sheet_of(*columns, rows=[["A", LONG], ["B", "short"], ["C", LONG * 100]])
    heights = re.findall(r'<row r="(\d+)"[^>]*? ht="([\d.]+)"', xml)
    assert [number for number, _ in heights] == ["2", "4"]
    lines = float(heights[0][1]) / 15
    assert len(LONG) / 40 <= lines <= len(LONG) / 40 + 3
    assert float(heights[1][1]) <= 409, "no row can be higher"


def test_the_header_and_of_a_wide_table_the_first_column_stay_in_sight() -> None:
    narrow = sheet_of(Column("code"), Column("note"), rows=[["A", "x"]])
    wide = sheet_of(*(Column(f"column {number}", 30) for number in range(20)), rows=[["A"]])
    assert '<pane ySplit="1"' in narrow
    assert '<pane xSplit="1" ySplit="1"' in wide


def test_a_wide_table_takes_as_many_sheets_of_paper_as_can_still_be_read() -> None:
    wide = sheet_of(*(Column(f"column {number}", 30) for number in range(20)), rows=[["A"]])
    assert 'orientation="landscape"' in wide
    assert 'fitToWidth="4" fitToHeight="0"' in wide
