"""The years of a capital plan: what comes in and goes out, what is left, and how well that is funded."""

from collections.abc import Iterator, Sequence

from swardcost_model.plan_figures import PlanYear
from swardcost_model.values import Money

from swardcost_api.packets.capital.charts import (
    funded_chart,
    kind_title,
    kinds_of_spending,
    reserve_chart,
    spending_chart,
)
from swardcost_api.packets.capital.telling import BALANCE, WORK, YEARS, Telling, why_year, year_key
from swardcost_api.packets.document import Cell, Column, Kind, Paragraph, Part, Row, Section, Table, Weight
from swardcost_api.packets.relations import Columns, Ratio, Rows, SameAs
from swardcost_api.packets.telling import money_sum, no_money
from swardcost_api.packets.values import Share

INCOME = "income-by-kind"
_INCOMES = ("contributions", "dues", "initiation_fees", "assessments")


def plan_by_year(telling: Telling) -> Iterator[Part]:
    """The years as tables and charts."""
    say = telling.say
    yield Section("years", say("The plan by year"))
    yield Paragraph(
        say(
            "The year opens with the reserve of its beginning. What comes in and the interest are added, what goes out "
            "is taken off."
        ) if telling.one_year else
        say(
            "Every year opens with what the year before left. What comes in and the interest are added, what goes out "
            "is taken off."
        )
    )  # fmt: skip
    yield _years_table(telling)
    income = _income_table(telling)
    if income is not None:
        yield income
    yield Section("reserve", say("The reserve and its floor"), 3)
    if not telling.one_year:
        yield reserve_chart(telling)
    yield _balance_table(telling)
    yield Section("spending", say("Spending by year"), 3)
    if any(one.spending.amount for one in telling.facts.figures.years):
        yield spending_chart(telling)
    else:
        yield Paragraph(say("Nothing is spent on projects."))
    limits = _limits_table(telling)
    if limits is not None:
        yield limits
    if any(one.percent_funded is not None for one in telling.facts.figures.years):
        yield Section("funding", say("How well the reserve is funded"), 3)
        yield Paragraph(say(
            "The fully funded balance is what a reserve would hold if every asset had put aside its replacement cost "
            "in step with its wear: cost in the prices of the year x years used / years of life, added up. Percent "
            "funded is the reserve in percent of it. It says how much of the wear so far is covered; it is no target "
            "of its own."
        ))  # fmt: skip
        if not telling.one_year:
            yield funded_chart(telling)


def income_of(year: PlanYear) -> Money:
    """All that comes in by the terms of the plan: contributions, dues, fees and assessments."""
    return year.contributions + year.dues + year.initiation_fees + year.assessments


def _years_table(telling: Telling) -> Table:
    say, years = telling.say, telling.facts.figures.years
    kinds = kinds_of_spending(years)
    loans = any(not no_money(one.loans_drawn) for one in years)
    payments = any(not no_money(one.loan_payments) for one in years)
    columns = [
        Column("year", say("Year")),
        telling.money("opening", say("Opening")),
        telling.money("income", say("Income")),
    ]
    columns += [telling.money("drawn", say("Loans drawn"))] if loans else []
    columns += [telling.money("interest", say("Interest"))]
    columns += [telling.money(kind, kind_title(telling, kind)) for kind in kinds]
    columns += [telling.money("spending", say("Spent on projects"))]
    columns += [telling.money("payments", say("Loan payments"))] if payments else []
    columns += [telling.money("closing", say("Closing"))]
    plus = ("opening", "income", *(("drawn",) if loans else ()), "interest")
    minus = ("spending", *(("payments",) if payments else ()))
    kinded = has_income_kinds(years)

    def cells(place: int, year: PlanYear) -> dict[str, Cell]:
        key, why = year_key(year.year), why_year(telling, year)
        before = None if place == 0 else SameAs(YEARS, year_key(years[place - 1].year), "closing")
        return {
            "year": Cell(str(year.year)),
            "opening": Cell(year.opening, computed=before),
            "income": Cell(income_of(year), why, SameAs(INCOME, key, "all") if kinded else None),
            "drawn": Cell(year.loans_drawn),
            "interest": Cell(year.interest, why),
            "capital_spending": Cell(year.capital_spending),
            "operating_spending": Cell(year.operating_spending),
            "spending": Cell(year.spending, computed=Columns(kinds) if kinds else _of_work(telling, year)),
            "payments": Cell(year.loan_payments),
            "closing": Cell(year.closing, why, Columns(plus, minus)),
        }

    rows = [
        Row(year_key(one.year), tuple(found[column.key] for column in columns))
        for place, one in enumerate(years)
        for found in [cells(place, one)]
    ]
    summed = {one.key for one in columns} - {"year", "opening", "closing"}
    rows.append(_total_row(telling, columns, rows, summed))
    notes = []
    if not kinds and any(not no_money(one.operating_spending) for one in years):
        notes.append(say("All spending is operating."))
    if len([one for one in years if one.owed_on_loans.amount]) and years[-1].owed_on_loans.amount:
        notes.append(say(
            "At the end of %(year)s %(owed)s are still owed on loans.",
            year=years[-1].year, owed=telling.shown(years[-1].owed_on_loans),
        ))  # fmt: skip
    return Table(YEARS, say("The plan by year"), tuple(columns), tuple(rows), tuple(notes))


def _of_work(telling: Telling, year: PlanYear) -> SameAs | None:
    """The sum of the work of a year; none where none is done in it."""
    at_work = any(
        one.year is not None
        and one.year <= year.year < one.year + len(telling.facts.stated[one.project_id].phases)
        for one in telling.facts.figures.projects
    )
    return SameAs(WORK, f"{year_key(year.year)}-all", "cost") if at_work else None


def _total_row(telling: Telling, columns: Sequence[Column], rows: Sequence[Row], summed: set[str]) -> Row:
    """The sum of the money in some columns."""
    keys = tuple(one.key for one in rows)

    def cell(place: int, column: Column) -> Cell:
        if column.key not in summed:
            return Cell(telling.say("Total") if place == 0 else None)
        found = [one.cells[place].value for one in rows]
        amounts = [one for one in found if isinstance(one, Money)]
        return Cell(money_sum(amounts, telling.facts.currency), computed=Rows(keys))

    return Row("total", tuple(cell(place, one) for place, one in enumerate(columns)), Weight.TOTAL)


def has_income_kinds(years: Sequence[PlanYear]) -> bool:
    """Whether money comes in by more than one kind."""
    return sum(any(not no_money(getattr(one, kind)) for one in years) for kind in _INCOMES) > 1


def _income_table(telling: Telling) -> Table | None:
    """What comes in by kind; none where there is one kind alone."""
    say, years = telling.say, telling.facts.figures.years
    if not has_income_kinds(years):
        return None
    kinds = [kind for kind in _INCOMES if any(not no_money(getattr(one, kind)) for one in years)]
    columns = (
        Column("year", say("Year")), *(telling.money(kind, kind_title(telling, kind)) for kind in kinds),
        telling.money("all", say("Income")),
    )  # fmt: skip
    rows = [
        Row(year_key(one.year), (
            Cell(str(one.year)), *(Cell(getattr(one, kind)) for kind in kinds),
            Cell(income_of(one), why_year(telling, one), Columns(tuple(kinds))),
        ))
        for one in years
    ]  # fmt: skip
    rows.append(_total_row(telling, columns, rows, {*kinds, "all"}))
    return Table(INCOME, say("Income by kind"), columns, tuple(rows))


def _balance_table(telling: Telling) -> Table:
    """What is left beside the floor and the fully funded balance."""
    say, years = telling.say, telling.facts.figures.years
    funded = any(one.fully_funded is not None for one in years)
    columns = [
        Column("year", say("Year")), telling.money("closing", say("Closing")), telling.money("floor", say("Floor")),
        telling.money("above", say("Above the floor")),
    ]  # fmt: skip
    if funded:
        columns += [
            telling.money("full", say("Fully funded balance")),
            Column("funded", say("Percent funded"), Kind.PERCENT),
        ]

    def cells(year: PlanYear) -> dict[str, Cell]:
        why, percent = why_year(telling, year), year.percent_funded
        return {
            "year": Cell(str(year.year)),
            "closing": Cell(year.closing, why, SameAs(YEARS, year_key(year.year), "closing")),
            "floor": Cell(year.floor),
            "above": Cell(year.closing - year.floor, None, Columns(("closing",), ("floor",))),
            "full": Cell(year.fully_funded, None if year.fully_funded is None else why),
            "funded": Cell() if percent is None else Cell(Share(percent), why, Ratio("closing", "full", 2)),
        }

    rows = tuple(
        Row(year_key(one.year), tuple(found[column.key] for column in columns))
        for one in years
        for found in [cells(one)]
    )
    below = [str(one.year) for one in years if one.below_floor]
    notes: tuple[str, ...] = ()
    if below:
        notes = (say("Years below the floor: %(years)s.", years=", ".join(below)),)
    return Table(BALANCE, say("The reserve beside its floor"), tuple(columns), rows, notes)


def _limits_table(telling: Telling) -> Table | None:
    """Spending and days of closure beside their limits; none where neither is limited."""
    say, years, most_days = telling.say, telling.facts.figures.years, telling.facts.plan.closure_days_a_year
    limited = telling.facts.plan.money.spending_limit is not None
    if not limited and most_days is None:
        return None
    columns = [Column("year", say("Year")), telling.money("spending", say("Spent on projects"))]
    if limited:
        columns += [
            telling.money("limit", say("Spending limit")),
            telling.money("left", say("Left below the limit")),
        ]
    columns += [Column("closed", say("Days of closure"), Kind.COUNT)]
    columns += [Column("days", say("Most days of closure"), Kind.COUNT)] if most_days is not None else []

    def cells(year: PlanYear) -> dict[str, Cell]:
        work, limit = _of_work(telling, year), year.spending_limit
        return {
            "year": Cell(str(year.year)),
            "spending": Cell(year.spending, computed=SameAs(YEARS, year_key(year.year), "spending")),
            "limit": Cell(limit),
            "left": Cell() if limit is None
            else Cell(limit - year.spending, computed=Columns(("limit",), ("spending",))),
            "closed": Cell(
                year.closure_days, computed=None if work is None else SameAs(work.table, work.row, "closed")
            ),
            "days": Cell(most_days),
        }  # fmt: skip

    rows = tuple(
        Row(year_key(one.year), tuple(found[column.key] for column in columns))
        for one in years
        for found in [cells(one)]
    )
    notes = []
    over = [str(one.year) for one in years if one.over_spending_limit]
    closed = [str(one.year) for one in years if one.over_closure_limit]
    if over:
        notes.append(say("Over the spending limit: %(years)s.", years=", ".join(over)))
    if closed:
        notes.append(say("Over the days of closure: %(years)s.", years=", ".join(closed)))
    return Table(
        "limits", say("Spending and closures beside their limits"), tuple(columns), rows, tuple(notes)
    )
