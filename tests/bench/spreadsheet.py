"""The same estimate as a workbook of formulas, recalculated by a spreadsheet program from the command line."""

import shutil
import subprocess
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path

import python_calamine
import xlsxwriter
from measuring import timed

PROGRAM = shutil.which("soffice")
_ALWAYS_RECALCULATE = """<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry">
<item oor:path="/org.openoffice.Office.Calc/Formula/Load"><prop oor:name="OOXMLRecalcMode" oor:op="fuse">
<value>0</value></prop></item></oor:items>"""


@dataclass(frozen=True)
class WorkbookLine:
    """A line as a spreadsheet has it: how much of it a square metre takes in its unit, its price, and its areas."""

    per_m2: float
    price: Decimal
    counted: bool
    sizes: Sequence[float]


def write_workbook(path: Path, lines: Sequence[WorkbookLine], tax_percent: Decimal) -> None:
    """Each line with its quantity, amount and share by area as formulas; at the top the total and its tax."""
    book = xlsxwriter.Workbook(str(path), {"constant_memory": False})
    sheet = book.add_worksheet("Lines")
    last = len(lines) + 2
    sheet.write_formula(0, 0, f"=SUM(D3:D{last})")
    sheet.write_formula(0, 1, f"=ROUND(A1*{tax_percent}/100,2)")
    sheet.write_formula(0, 2, "=A1+B1")
    for row, line in enumerate(lines, 2):
        first_size = 4
        sheet.write_row(row, first_size, line.sizes)
        of_sizes = (
            f"E{row + 1}:{xlsxwriter.utility.xl_col_to_name(first_size + len(line.sizes) - 1)}{row + 1}"
        )
        sheet.write_number(row, 0, line.per_m2)
        sheet.write_number(row, 1, float(line.price))
        rounded = "ROUNDUP({}-0.000001,0)" if line.counted else "ROUND({},2)"
        sheet.write_formula(row, 2, "=" + rounded.format(f"A{row + 1}*SUM({of_sizes})"))
        sheet.write_formula(row, 3, f"=ROUND(C{row + 1}*B{row + 1},2)")
        for column in range(len(line.sizes)):
            size = xlsxwriter.utility.xl_rowcol_to_cell(row, first_size + column)
            share = f"=ROUND(D{row + 1}*{size}/SUM({of_sizes}),2)"
            sheet.write_formula(row, first_size + len(line.sizes) + column, share)
    book.close()


def recalculated(path: Path, folder: Path) -> tuple[float, Decimal]:
    """Seconds that the program takes to recalculate the workbook, and the sum of the amounts that it found."""
    assert PROGRAM is not None
    profile, out = folder / "profile", folder / "out"
    settings = profile / "user" / "registrymodifications.xcu"
    settings.parent.mkdir(parents=True, exist_ok=True)
    settings.write_text(_ALWAYS_RECALCULATE, encoding="utf-8")
    command = [
        PROGRAM, f"-env:UserInstallation={profile.as_uri()}", "--headless", "--convert-to", "xlsx", "--outdir",
        str(out), str(path),
    ]  # fmt: skip
    with timed() as watch:
        subprocess.run(command, check=True, capture_output=True, timeout=300)
    rows = python_calamine.CalamineWorkbook.from_path(str(out / path.name)).get_sheet_by_index(0).to_python()
    return watch.seconds, Decimal(f"{rows[0][0]:.2f}")
