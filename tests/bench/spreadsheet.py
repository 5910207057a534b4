"""The same estimate as a workbook of formulas, recalculated by a spreadsheet program from the command line.

It holds what the estimate holds: take-offs, lines with what they take of new money and at the lowest and the highest
price, shares by area that sum to the line, subtotals, markups and totals. A share is cut off to the cent, and the cents
left over go to the largest remainders, of equal ones to the earlier; shares rounded one by one would not sum to the
line, nor the holes to the total.
"""

import shutil
import subprocess
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from typing import Any

import python_calamine
import xlsxwriter
from measuring import timed
from xlsxwriter.utility import xl_col_to_name, xl_rowcol_to_cell

PROGRAM = shutil.which("soffice")
ALWAYS, NEVER = 0, 1
"""Whether the program computes the formulas of a workbook that it opens."""
_FIRST_SHARE = 15
MARKUPS = ("tax", "overhead", "escalation", "contingency")
_SETTINGS = """<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry">
<item oor:path="/org.openoffice.Office.Calc/Formula/Load"><prop oor:name="OOXMLRecalcMode" oor:op="fuse">
<value>{recalculate}</value></prop></item></oor:items>"""


@dataclass(frozen=True)
class Dressing:
    """A scope item as a spreadsheet has it: what its topdressing is given, in SI units."""

    name: str
    depth_m: float
    density: float
    allowance: float
    pace_m2_per_s: float
    crew: int


@dataclass(frozen=True)
class Bought:
    """What every scope item takes: an item, the column of the take-off that drives it, and SI units in its unit."""

    code: str
    kind: str
    account: str
    taxable: bool
    in_budget: bool
    price: Decimal
    low: Decimal
    high: Decimal
    column: str
    si_factor: float


@dataclass(frozen=True)
class Ground:
    """An area with its size."""

    hole: int
    kind: str
    size_m2: float


@dataclass(frozen=True)
class Recalculated:
    """Seconds from the program's start to its end, and what it found: direct cost, markups, total, and subtotals."""

    seconds: float
    amounts: Mapping[str, Decimal]


def write_workbook(
    path: Path, scope: Sequence[Dressing], bought: Sequence[Bought], ground: Sequence[Ground],
    percents: Mapping[str, Decimal], *, shares_sum_up: bool = True,
) -> None:  # fmt: skip
    """All figures of an estimate as formulas; unless its shares sum up, each is rounded by itself."""
    book = xlsxwriter.Workbook(str(path))
    sums, take_off, lines = (book.add_worksheet(name) for name in ("Sums", "Take-off", "Lines"))
    sizes = _sizes(len(ground))
    take_off.write_row(0, 8, [area.size_m2 for area in ground])
    for row, work in enumerate(scope, 1):
        given = (work.name, work.depth_m, work.density, work.allowance, work.pace_m2_per_s, work.crew)
        take_off.write_row(row, 0, given)
        number = row + 1
        for column, formula in enumerate(
            (f"SUM({sizes})", f"I{number}*B{number}", f"J{number}*(1+D{number})", f"K{number}*C{number}",
             f"I{number}/E{number}", f"M{number}*F{number}"), 8,
        ):  # fmt: skip
            take_off.write_formula(row, column, f"={formula}")
    _write_lines(lines, scope, bought, len(ground), _write_shares if shares_sum_up else _write_rounded_shares)
    _write_sums(sums, scope, bought, ground, percents)
    book.close()


def _write_lines(
    page: Any, scope: Sequence[Dressing], bought: Sequence[Bought], areas: int,
    write_shares: Callable[[Any, int, int, int], None],
) -> None:  # fmt: skip
    """Columns: names, measured, quantity, prices, amount, cash, low, high, cents left over; remainders and shares."""
    row = 0
    for of_work, work in enumerate(scope, 2):
        for item in bought:
            number = row + 1
            page.write_row(row, 0, (work.name, item.code, item.kind, item.account, int(item.taxable)))
            page.write_formula(row, 5, f"='Take-off'!{item.column}{of_work}/{item.si_factor!r}")
            page.write_formula(row, 6, f"=ROUND(F{number},2)")
            page.write_row(row, 7, [float(price) for price in (item.price, item.low, item.high)])
            page.write_formula(row, 10, f"=ROUND(G{number}*H{number},2)")
            page.write_formula(row, 11, f"=IF({int(item.in_budget)},0,K{number})")
            page.write_formula(row, 12, f"=ROUND(G{number}*I{number},2)")
            page.write_formula(row, 13, f"=ROUND(G{number}*J{number},2)")
            write_shares(page, row, of_work, areas)
            row += 1


def _exact_share(row: int, column: int, of_work: int) -> str:
    size = xl_rowcol_to_cell(0, 8 + column - _FIRST_SHARE, row_abs=True, col_abs=True)
    return f"$K{row + 1}*'Take-off'!{size}/'Take-off'!$I${of_work}"


def _write_rounded_shares(page: Any, row: int, of_work: int, areas: int) -> None:
    for column in range(_FIRST_SHARE, _FIRST_SHARE + areas):
        page.write_formula(row, column + areas, f"=ROUND({_exact_share(row, column, of_work)},2)")


def _write_shares(page: Any, row: int, of_work: int, areas: int) -> None:
    number, last = row + 1, xl_col_to_name(_FIRST_SHARE + areas - 1)
    remainders = f"${xl_col_to_name(_FIRST_SHARE)}{number}:${last}{number}"
    cents_left = (
        f"=ROUND(100*(K{number}-SUMPRODUCT(ROUNDDOWN(K{number}*{_sizes(areas)}/'Take-off'!I{of_work},2))),0)"
    )
    page.write_formula(row, _FIRST_SHARE - 1, cents_left)
    for column in range(_FIRST_SHARE, _FIRST_SHARE + areas):
        exact = _exact_share(row, column, of_work)
        remainder = xl_rowcol_to_cell(row, column)
        page.write_formula(row, column, f"={exact}-ROUNDDOWN({exact},2)-COLUMN()*1E-9")
        share = f"=ROUNDDOWN({exact},2)+IF(RANK({remainder},{remainders})<=$O{number},0.01,0)"
        page.write_formula(row, column + areas, share)


def _sizes(areas: int) -> str:
    return f"'Take-off'!$I$1:${xl_col_to_name(7 + max(areas, 1))}$1"


def _write_sums(
    page: Any, scope: Sequence[Dressing], bought: Sequence[Bought], ground: Sequence[Ground],
    percents: Mapping[str, Decimal],
) -> None:  # fmt: skip
    last = max(len(scope) * len(bought), 1)
    rows: list[tuple[str, str]] = []
    for name, column in (("", "K"), ("low ", "M"), ("high ", "N")):
        rows += _chain(name, f"Lines!${column}$1:${column}${last}", last, len(rows) + 1, percents)
    amounts = f"Lines!$K$1:$K${last}"
    rows.append(("cash", f"SUM(Lines!$L$1:$L${last})"))
    for column, keys in (
        ("C", {item.kind for item in bought}),
        ("D", {item.account for item in bought}),
        ("A", [work.name for work in scope]),
    ):
        of_lines = f"Lines!${column}$1:${column}${last}"
        rows += [(key, f'SUMIF({of_lines},"{key}",{amounts})') for key in sorted(keys)]
    first = len(rows) + 1
    for number, area in enumerate(ground):
        column = xl_col_to_name(_FIRST_SHARE + len(ground) + number)
        rows.append((f"area {number}", f"SUM(Lines!{column}1:{column}{last})"))
        page.write_row(len(rows) - 1, 2, (area.hole, area.kind))
    end = first + len(ground) - 1
    for column, keys in (("C", {str(area.hole) for area in ground}), ("D", {area.kind for area in ground})):
        headings, of_areas = f"${column}${first}:${column}${end}", f"$B${first}:$B${end}"
        rows += [(key, f'SUMIF({headings},"{key}",{of_areas})') for key in sorted(keys)]
    for row, (name, formula) in enumerate(rows):
        page.write_string(row, 0, name)
        page.write_formula(row, 1, f"={formula}")


def _chain(
    name: str, amounts: str, last: int, first: int, percents: Mapping[str, Decimal]
) -> list[tuple[str, str]]:
    """Direct cost, each markup on what it rests on, and the total, from this row on."""
    bases = (
        f"SUMPRODUCT({amounts},Lines!$E$1:$E${last})", f"B{first}", f"SUM(B{first}:B{first + 2})",
        f"SUM(B{first}:B{first + 3})",
    )  # fmt: skip
    rows = [(f"{name}direct", f"SUM({amounts})")]
    for kind, base in zip(MARKUPS, bases, strict=True):
        rows.append((f"{name}{kind}", f"ROUND({base}*{percents[kind]}/100,2)"))
    return [*rows, (f"{name}total", f"SUM(B{first}:B{first + 4})")]


def recalculated(path: Path, folder: Path, recalculate: int = ALWAYS) -> Recalculated:
    """Open the workbook from the command line, recalculate it, save it and read what was saved.

    The program's settings are kept in the folder, so that only its first run there has to make them.
    """
    assert PROGRAM is not None
    profile, out = folder / f"profile-{recalculate}", folder / f"out-{recalculate}"
    settings = profile / "user" / "registrymodifications.xcu"
    if not settings.exists():
        settings.parent.mkdir(parents=True)
        settings.write_text(_SETTINGS.format(recalculate=recalculate), encoding="utf-8")
    command = [
        PROGRAM, f"-env:UserInstallation={profile.as_uri()}", "--headless", "--convert-to", "xlsx", "--outdir",
        str(out), str(path),
    ]  # fmt: skip
    with timed() as watch:
        subprocess.run(command, check=True, capture_output=True, timeout=300)
    sums = python_calamine.CalamineWorkbook.from_path(str(out / path.name)).get_sheet_by_name("Sums")
    return Recalculated(watch.seconds, {row[0]: Decimal(f"{row[1]:.2f}") for row in sums.to_python()})
