"""A locked plan beside its money, and a plan beside the one before, as CSV, as a workbook, and as a chart."""

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from swardcost_model.plan_progress import PlanStanding, ProjectStanding, StandingYear
from swardcost_model.plan_succession import PlanMoves, ProjectMove, YearBeside
from swardcost_model.values import Money

from swardcost_api.capital.plan_faces import begun_at
from swardcost_api.capital.progress_charts import two_reserves
from swardcost_api.charts import svg_of, vega_lite_of
from swardcost_api.csv_files import write_rows
from swardcost_api.operations import CSV, SVG, VEGA_LITE, XLSX, Face
from swardcost_api.xlsx_files import Cell, Column, Sheet, write_workbook

_STANDING_MONEY = (
    "planned", "estimated", "budget", "actual", "accrued", "open_commitments", "to_come", "expected", "difference",
)  # fmt: skip
_STANDING = (
    "number", "name", "year", "decided", "stage", *_STANDING_MONEY, "percent_of_planned", "currency", "words",
)  # fmt: skip
_STANDING_YEAR_MONEY = (
    "planned_spending", "actual_spending", "to_come", "finished_as_planned", "expected_spending", "closing_planned",
    "closing_expected",
)  # fmt: skip
_MOVE_MONEY = ("cost_before", "cost", "spent_before", "spent", "by_timing", "by_cost")
_MOVES = (
    "number_before", "number", "name", "kind", "year_before", "year", *_MOVE_MONEY, "currency", "decided", "why",
)  # fmt: skip
_BESIDE_MONEY = (
    "closing_before", "closing", "difference", "by_opening", "by_incomes", "by_interest", "by_spending",
)  # fmt: skip
_BESIDE = ("year", *_BESIDE_MONEY, "percent_funded_before", "percent_funded")
_WIDE = {"name": 40, "words": 70, "why": 80}
_TEXTS = {"decided", "stage", "kind", "currency", "below_floor"}


def standing_csv(found: PlanStanding) -> str:
    """A row for each project."""
    currency = found.planned.currency
    return write_rows(_STANDING, (_standing_cells(one, currency) for one in found.projects))


def moves_csv(found: PlanMoves) -> str:
    """A row for each project of both plans."""
    return write_rows(_MOVES, map(_move_cells, found.projects))


def standing_workbook(found: PlanStanding) -> bytes:
    """A workbook of the projects, the years, and what is said of them."""
    heading = f"{found.name}, money through {found.through}"
    currency = found.planned.currency
    year_columns = ("year", *_STANDING_YEAR_MONEY, "below_floor")
    sheets = (
        Sheet(
            "Projects", _columns(_STANDING, _STANDING_MONEY),
            (_standing_cells(one, currency) for one in found.projects), heading, kept=2,
        ),
        Sheet("Years", _columns(year_columns, _STANDING_YEAR_MONEY), map(_year_cells, found.years), heading),
        _words_sheet(heading, (("conclusion", found.conclusions), ("how", found.method))),
    )  # fmt: skip
    return write_workbook(sheets, {"title": heading, "created": begun_at(found.plan_id)})


def moves_workbook(found: PlanMoves) -> bytes:
    """A workbook of the projects, the years of both plans, and what is said of them."""
    heading = f"{found.name}, beside {found.name_before}"
    sheets = (
        Sheet("Projects", _columns(_MOVES, _MOVE_MONEY), map(_move_cells, found.projects), heading, kept=3),
        Sheet("Years", _columns(_BESIDE, _BESIDE_MONEY), map(_beside_cells, found.years), heading),
        _words_sheet(heading, (("conclusion", found.conclusions),)),
    )  # fmt: skip
    return write_workbook(sheets, {"title": heading, "created": begun_at(found.plan_id)})


def standing_chart(found: PlanStanding) -> Any:
    """The reserve as planned and as expected."""
    years = [
        (one.year, float(one.closing_planned.amount), float(one.closing_expected.amount))
        for one in found.years
    ]
    # The conclusion on what the reserve is expected to hold comes before the one on its floor, which may be missing.
    told = next(one for one in found.conclusions if one.startswith("At the end of"))
    return two_reserves(
        f"{found.name}, money through {found.through}", [told], found.planned.currency,
        ("As planned", "As expected"), years,
    )  # fmt: skip


def moves_chart(found: PlanMoves) -> Any:
    """The reserve of both plans in the years of both."""
    years = [(one.year, float(one.closing_before.amount), float(one.closing.amount)) for one in found.years]
    told = next(one for one in found.conclusions if one.startswith("At the end of"))
    return two_reserves(
        found.name, [told], found.spent.currency, (found.name_before, found.name), years
    )  # fmt: skip


def _words_sheet(heading: str, parts: Iterable[tuple[str, Sequence[str]]]) -> Sheet:
    rows: Iterator[Sequence[Cell]] = ((what, words) for what, said in parts for words in said)
    return Sheet("In words", [Column("what", 16), Column("words", 120, wrapped=True)], rows, heading)


def _columns(names: Sequence[str], money: Sequence[str]) -> list[Column]:
    return [
        Column(
            name.replace("_", " "), _WIDE.get(name, 16), money=name in money,
            numeric=name not in _TEXTS and name not in _WIDE, wrapped=name in _WIDE,
        )
        for name in names
    ]  # fmt: skip


def _standing_cells(one: ProjectStanding, currency: str) -> Sequence[Cell]:
    amounts = (_amount(getattr(one, name)) for name in _STANDING_MONEY)
    return (
        one.number, one.name, one.year, one.decided.value, one.stage, *amounts, one.percent_of_planned, currency,
        one.words,
    )  # fmt: skip


def _year_cells(one: StandingYear) -> Sequence[Cell]:
    amounts = (_amount(getattr(one, name)) for name in _STANDING_YEAR_MONEY)
    return one.year, *amounts, "yes" if one.below_floor else "no"


def _move_cells(one: ProjectMove) -> Sequence[Cell]:
    amounts = (_amount(getattr(one, name)) for name in _MOVE_MONEY)
    decided = None if one.decided is None else one.decided.value
    return (
        one.number_before, one.number, one.name, one.kind.replace("_", " "), one.year_before, one.year, *amounts,
        one.spent.currency, decided, " ".join(cause.words for cause in one.causes),
    )  # fmt: skip


def _beside_cells(one: YearBeside) -> Sequence[Cell]:
    amounts = (_amount(getattr(one, name)) for name in _BESIDE_MONEY)
    return one.year, *amounts, one.percent_funded_before, one.percent_funded


def _amount(money: Money | None) -> Any:
    return None if money is None else money.amount


STANDING_FACES = (
    Face(CSV, standing_csv),
    Face(XLSX, standing_workbook),
    Face(SVG, lambda found: svg_of(standing_chart(found))),
    Face(VEGA_LITE, lambda found: vega_lite_of(standing_chart(found))),
)
MOVES_FACES = (
    Face(CSV, moves_csv),
    Face(XLSX, moves_workbook),
    Face(SVG, lambda found: svg_of(moves_chart(found))),
    Face(VEGA_LITE, lambda found: vega_lite_of(moves_chart(found))),
)
