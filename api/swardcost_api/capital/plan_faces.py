"""The figures of a plan as CSV, as a workbook, and as a chart."""

from collections.abc import Callable, Iterator, Sequence
from datetime import UTC, datetime
from typing import Any
from uuid import UUID

from swardcost_model.plan_figures import (
    ChartName,
    PlanDeferrals,
    PlanFigures,
    PlanYear,
    ProjectInFigures,
)
from swardcost_model.values import Money

from swardcost_api.capital.charts import YearDrawn, reserve_curve
from swardcost_api.capital.plan_figures import FiguresToDraw
from swardcost_api.capital.year_charts import NOT_KNOWN, percent_funded_by_year, spending_by_year
from swardcost_api.charts import svg_of, vega_lite_of
from swardcost_api.csv_files import write_rows
from swardcost_api.operations import CSV, SVG, VEGA_LITE, XLSX, Face
from swardcost_api.xlsx_files import Cell, Column, Sheet, write_workbook

_IN_ORDER = (
    "opening", "contributions", "dues", "initiation_fees", "assessments", "loans_drawn", "interest",
    "capital_spending", "operating_spending", "loan_payments", "closing", "floor", "owed_on_loans", "spending_limit",
    "fully_funded",
)  # fmt: skip
_YEAR_COLUMNS = (
    "year", *_IN_ORDER, "percent_funded", "closure_days", "below_floor", "over_spending_limit", "over_closure_limit",
    "currency",
)  # fmt: skip
_PROJECT_COLUMNS = (
    "number", "name", "year", "last_year", "cost_at_price_year", "cost_as_dated", "spending", "growth_percent", "score",
    "closure_days", "cost_basis", "spending_because",
)  # fmt: skip
_PHASE_COLUMNS = ("number", "name", "year", "cost_at_price_year", "cost", "closure_days")
_DEFERRAL_COLUMNS = (
    "number", "name", "year", "later_year", "cost", "later_cost", "growth", "upkeep", "interest_kept", "net",
    "currency", "past_latest", "past_plan",
)  # fmt: skip
_WIDE = {"name": 40, "cost_basis": 36, "spending_because": 60}
_WIDTH = 16


def figures_csv(found: PlanFigures) -> str:
    """A row for each year of the plan."""
    return write_rows(_YEAR_COLUMNS, map(_year_cells, found.years))


def deferrals_csv(found: PlanDeferrals) -> str:
    """A row for each dated project."""
    cells = (
        (
            one.number, one.name, one.year, one.later_year, one.cost.amount, one.later_cost.amount, one.growth.amount,
            one.upkeep.amount, one.interest_kept.amount, one.net.amount, one.net.currency, _yes(one.past_latest),
            _yes(one.past_plan),
        )
        for one in found.items
    )  # fmt: skip
    return write_rows(_DEFERRAL_COLUMNS, cells)


def figures_workbook(found: PlanFigures) -> bytes:
    """A workbook of the years, the projects, their phases, and what is said of the plan."""
    heading = f"{found.name}, {found.first_year} to {found.last_year}"
    money = {*_IN_ORDER, "cost_at_price_year", "cost_as_dated", "cost"}
    sheets = (
        Sheet("Years", _columns(_YEAR_COLUMNS, money), map(_year_cells, found.years), heading),
        Sheet(
            "Projects", _columns(_PROJECT_COLUMNS, money), map(_project_cells, found.projects), heading, kept=2
        ),
        Sheet("Phases", _columns(_PHASE_COLUMNS, money), _phase_cells(found.projects), heading, kept=2),
        Sheet(
            "About the plan", [Column("what", 16), Column("words", 120, wrapped=True)], _about(found), heading
        ),
    )  # fmt: skip
    return write_workbook(sheets, {"title": found.name, "created": begun_at(found.plan_id)})


def begun_at(plan_id: UUID) -> datetime:
    """When a plan was begun, which its id tells (RFC 9562, section 5.7): the same figures give the same bytes."""
    return datetime.fromtimestamp((plan_id.int >> 80) / 1000, UTC)


def _columns(names: Sequence[str], money: set[str]) -> list[Column]:
    texts = {*_WIDE, "spending", "currency", "below_floor", "over_spending_limit", "over_closure_limit"}
    return [
        Column(
            name.replace("_", " "), _WIDE.get(name, _WIDTH), money=name in money, numeric=name not in texts,
            wrapped=name in _WIDE,
        )
        for name in names
    ]  # fmt: skip


def _year_cells(year: PlanYear) -> Sequence[Cell]:
    return (
        year.year, *(_amount(getattr(year, name)) for name in _IN_ORDER), year.percent_funded, year.closure_days,
        _yes(year.below_floor), _yes(year.over_spending_limit), _yes(year.over_closure_limit), year.closing.currency,
    )  # fmt: skip


def _project_cells(one: ProjectInFigures) -> Sequence[Cell]:
    return (
        one.number, one.name, one.year, one.last_year, _amount(one.cost_at_price_year), _amount(one.cost),
        one.spending, one.growth_percent, one.score, sum(phase.closure_days for phase in one.phases),
        one.cost_basis, one.spending_because,
    )  # fmt: skip


def _phase_cells(projects: Sequence[ProjectInFigures]) -> Iterator[Sequence[Cell]]:
    for one in projects:
        for phase in one.phases:
            at_price_year, cost = _amount(phase.cost_at_price_year), _amount(phase.cost)
            yield one.number, one.name, phase.year, at_price_year, cost, phase.closure_days


def _about(found: PlanFigures) -> Iterator[Sequence[Cell]]:
    for what, said in (
        ("conclusion", found.conclusions), ("caution", found.cautions),
        ("missing", [one.words for one in found.missing]), ("not dated", found.not_dated), ("how", found.method),
    ):  # fmt: skip
        yield from ((what, words) for words in said)


def _amount(money: Money | None) -> Any:
    return None if money is None else money.amount


def _yes(true: bool) -> str:
    return "yes" if true else "no"


def reserve_chart(found: PlanFigures) -> Any:
    """The reserve curve with its floor, over the spending of each year."""
    years = [
        YearDrawn(
            one.year, float(one.closing.amount), float(one.floor.amount), float(one.capital_spending.amount),
            float(one.operating_spending.amount), None if one.fully_funded is None else float(one.fully_funded.amount),
        )
        for one in found.years
    ]  # fmt: skip
    # The first conclusion is of spending, the second of the reserve.
    return reserve_curve(found.name, [found.conclusions[1]], found.years[0].closing.currency, years)


def spending_chart(found: PlanFigures) -> Any:
    """What is spent in each year, by the growth groups of the projects; without groups, capital and operating."""
    first, last = found.first_year, found.last_year
    grouped = any(one.growth_group is not None for one in found.projects)
    spent: dict[tuple[int, str], float] = {}
    for one in found.projects:
        kind = one.growth_group or "Other works" if grouped else one.spending.capitalize()
        for phase in one.phases:
            if phase.year is not None and first <= phase.year <= last and phase.cost is not None:
                at = (phase.year, kind)
                spent[at] = spent.get(at, 0.0) + float(phase.cost.amount)
    limits = [
        (year.year, float(year.spending_limit.amount))
        for year in found.years
        if year.spending_limit is not None
    ]
    currency = found.years[0].closing.currency
    return spending_by_year(
        found.name, [found.conclusions[0]], currency, list(range(first, last + 1)), spent, limits
    )


def funded_chart(found: PlanFigures) -> Any:
    """How well the reserve is funded at the end of each year."""
    percents = [
        (year.year, float(year.percent_funded)) for year in found.years if year.percent_funded is not None
    ]
    said = [words for words in found.conclusions if "percent funded" in words] or [NOT_KNOWN]
    return percent_funded_by_year(found.name, said, [year.year for year in found.years], percents)


def figures_chart(found: FiguresToDraw) -> Any:
    """The chart that was asked for."""
    charts: dict[ChartName, Callable[[PlanFigures], Any]] = {
        "reserve": reserve_chart, "spending": spending_chart, "funded": funded_chart,
    }  # fmt: skip
    return charts[found.chart](found)


FIGURES_FACES = (
    Face(CSV, figures_csv),
    Face(XLSX, figures_workbook),
    Face(SVG, lambda found: svg_of(figures_chart(found))),
    Face(VEGA_LITE, lambda found: vega_lite_of(figures_chart(found))),
)
