"""Scenarios as CSV, as a workbook, and as a chart; and what is not done as dated as CSV."""

from collections.abc import Iterator, Sequence
from typing import Any

from swardcost_model.plan_deferred import PlanDeferred, ProjectNotDone
from swardcost_model.scenario_figures import (
    ScenarioFigures,
    ScenarioProject,
    ScenariosSideBySide,
    ScenarioYear,
)

from swardcost_api.capital.plan_faces import begun_at
from swardcost_api.capital.scenario_charts import CurveDrawn, reserve_curves
from swardcost_api.charts import shortened, svg_of, vega_lite_of
from swardcost_api.csv_files import write_rows
from swardcost_api.operations import CSV, SVG, VEGA_LITE, XLSX, Face
from swardcost_api.xlsx_files import Cell, Column, Sheet, write_workbook

_IN_ORDER = (
    "opening", "contributions", "other_income", "loans_drawn", "interest", "spending", "loan_payments", "closing",
    "floor",
)  # fmt: skip
_COLUMNS = (
    "year",
    "scenario",
    *_IN_ORDER,
    "percent_funded",
    "below_floor",
    "over_spending_limit",
    "currency",
)
_DEFERRED_COLUMNS = (
    "number", "name", "why", "conditions", "year", "deferred_to", "put_off", "later_cost", "growth", "upkeep",
    "interest_kept", "net", "not_spent", "upkeep_without", "currency",
)  # fmt: skip
_LETTERS = 40
_OUTCOMES = {
    "done": "", "in_part": " (in part)", "after_plan": " (after the plan)", "left_out": "left out",
    "not_dated": "not dated",
}  # fmt: skip


def scenarios_csv(found: ScenariosSideBySide) -> str:
    """A row for each year of each scenario, the years in order."""
    return write_rows(_COLUMNS, _year_rows(found))


def _year_rows(found: ScenariosSideBySide) -> Iterator[Sequence[Cell]]:
    for year in (one.year for one in found.years):
        for scenario in found.scenarios:
            for one in scenario.years:
                if one.year == year:
                    yield _cells(scenario, one)


def _cells(scenario: ScenarioFigures, year: ScenarioYear) -> Sequence[Cell]:
    return (
        year.year, scenario.name, *(getattr(year, name).amount for name in _IN_ORDER), year.percent_funded,
        _yes(year.below_floor), _yes(year.over_spending_limit), year.closing.currency,
    )  # fmt: skip


def scenarios_workbook(found: ScenariosSideBySide) -> bytes:
    """A workbook: figures side by side, closing balances side by side, all years, projects, and what is said."""
    heading = f"{found.name}: scenarios"
    names = [shortened(one.name, _LETTERS) for one in found.scenarios]
    beside = [f"{name}, difference" for name in names[1:]]
    figures = [
        Column("figure", 42), Column("unit", 10), *(Column(name, 20, money=True) for name in [*names, *beside])
    ]  # fmt: skip
    balances = [Column("year", 8), *(Column(name, 20, money=True) for name in [*names, *beside])]
    years = [
        Column(name.replace("_", " "), 30 if name == "scenario" else 14, money=name in _IN_ORDER,
               numeric=name in ("year", "percent_funded"), wrapped=name == "scenario")
        for name in _COLUMNS
    ]  # fmt: skip
    projects = [
        Column("number", 8, numeric=True), Column("name", 40, wrapped=True), Column("as dated", 12),
        *(Column(name, 20) for name in names),
    ]  # fmt: skip
    sheets = (
        Sheet("Summary", figures, _summary(found), heading, kept=2),
        Sheet("Balances", balances, _balances(found), heading),
        Sheet("Years", years, _year_rows(found), heading, kept=2),
        Sheet("Projects", projects, _projects(found), heading, kept=2),
        Sheet(
            "About the scenarios",
            [Column("scenario", 30, wrapped=True), Column("what", 14), Column("words", 110, wrapped=True)],
            _about(found), heading,
        ),
    )  # fmt: skip
    return write_workbook(sheets, {"title": heading, "created": begun_at(found.plan_id)})


def _summary(found: ScenariosSideBySide) -> Iterator[Sequence[Cell]]:
    for one in found.table:
        cells = [*one.values, *one.differences[1:]]
        whole = one.unit == "projects"
        yield one.label, one.unit, *(int(cell) if whole and cell is not None else cell for cell in cells)
    for label, name in (
        ("Year of the least balance", "least_balance_year"),
        ("First year below the floor", "first_year_below_floor"),
        ("First year below zero", "first_year_below_zero"),
    ):
        years = [getattr(one.totals, name) if one.totals else None for one in found.scenarios]
        yield label, "year", *years, *[None] * (len(years) - 1)


def _balances(found: ScenariosSideBySide) -> Iterator[Sequence[Cell]]:
    for one in found.years:
        yield (
            one.year,
            *(None if money is None else money.amount for money in [*one.closing, *one.differences[1:]]),
        )


def _projects(found: ScenariosSideBySide) -> Iterator[Sequence[Cell]]:
    """A row for each project by its name, which is what projects of several plans have in common."""
    by_name: dict[str, dict[int, ScenarioProject]] = {}
    for place, scenario in enumerate(found.scenarios):
        for one in scenario.projects:
            by_name.setdefault(one.name, {})[place] = one
    for name, told in by_name.items():
        first = next(iter(told.values()))
        cells = []
        for place in range(len(found.scenarios)):
            project = told.get(place)
            cells.append("" if project is None else f"{project.year or ''}{_OUTCOMES[project.outcome]}")
        yield first.number, name, str(first.year_as_dated or "not dated"), *cells


def _about(found: ScenariosSideBySide) -> Iterator[Sequence[Cell]]:
    yield from (("", "conclusion", words) for words in found.conclusions)
    yield from (("", "caution", words) for words in found.cautions)
    for one in found.scenarios:
        for what, said in (
            ("plan", [one.plan_name]), ("change", one.changes), ("conflict", [one.conflict] if one.conflict else []),
            ("warning", one.warnings),
        ):  # fmt: skip
            yield from ((one.name, what, words) for words in said)
    yield from (("", "how", words) for words in found.method)


def deferred_csv(found: PlanDeferred) -> str:
    """A row for each project that is not done as dated."""
    return write_rows(_DEFERRED_COLUMNS, map(_deferred_cells, found.items))


def _deferred_cells(one: ProjectNotDone) -> Sequence[Cell]:
    counted = one.deferral
    amounts = (
        [None] * 5 if counted is None
        else [
            money.amount
            for money in (counted.later_cost, counted.growth, counted.upkeep, counted.interest_kept, counted.net)
        ]
    )  # fmt: skip
    currency = next(
        (money.currency for money in (counted and counted.net, one.not_spent, one.upkeep) if money), None
    )
    return (
        one.number, one.name, one.why, one.conditions, one.year, one.deferred_to, one.put_off, *amounts,
        one.not_spent and one.not_spent.amount, one.upkeep and one.upkeep.amount, currency,
    )  # fmt: skip


def _yes(true: bool) -> str:
    return "yes" if true else "no"


def scenarios_chart(found: ScenariosSideBySide) -> Any:
    """The reserve curves of the scenarios that are possible."""
    drawn = [
        CurveDrawn(
            one.name,
            [(year.year, float(year.closing.amount), float(year.floor.amount)) for year in one.years],
        )
        for one in found.scenarios
        if one.years
    ]
    missing = [one.name for one in found.scenarios if not one.years]
    subtitle = [f"Not possible: {shortened('; '.join(missing), 90)}"] if missing else []
    axis = f"{found.table[0].unit} left at the end of the year"
    return reserve_curves(f"{found.name}: the reserve by scenario", subtitle, axis, drawn)


SCENARIO_FACES = (
    Face(CSV, scenarios_csv),
    Face(XLSX, scenarios_workbook),
    Face(SVG, lambda found: svg_of(scenarios_chart(found))),
    Face(VEGA_LITE, lambda found: vega_lite_of(scenarios_chart(found))),
)
