"""The charts of a capital plan, each with the table that it is drawn from."""

from collections.abc import Callable, Sequence

from swardcost_model.plan_figures import PlanYear

from swardcost_api.charts import vega_lite_of
from swardcost_api.packets.capital.drawings import Drawn, bars_by_year, lines_by_year
from swardcost_api.packets.capital.telling import BALANCE, YEARS, Telling, year_key
from swardcost_api.packets.document import Cell, Chart, Column, Kind, Row, Table
from swardcost_api.packets.relations import SameAs
from swardcost_api.packets.telling import no_money
from swardcost_api.packets.values import Share, number_of


def reserve_chart(telling: Telling) -> Chart:
    """The reserve at the end of each year, with its floor and the fully funded balance."""
    say, data = telling.say, _reserve_data(telling)
    years = telling.facts.figures.years
    least = telling.facts.least_year
    words = say(
        "Lines by year, from %(first)s to %(last)s: the reserve at the end of the year, its floor, and the fully "
        "funded balance where it is known. The reserve begins with %(begins)s, is least in %(year)s with %(least)s, "
        "and ends with %(ends)s.",
        first=years[0].year, last=years[-1].year, begins=telling.shown(years[0].closing), year=least.year,
        least=telling.shown(least.closing), ends=telling.shown(years[-1].closing),
    )  # fmt: skip
    return line_chart("reserve-curve", telling.facts.currency, words, data)


def spending_chart(telling: Telling) -> Chart:
    """What is spent in each year, capital and operating on top of each other."""
    say, data = telling.say, _spending_data(telling)
    years = telling.facts.figures.years
    most = max(years, key=lambda one: (one.spending.amount, -one.year))
    told = {"year": most.year, "most": telling.shown(most.spending)}
    words = (
        say("A bar of what is spent on projects: %(most)s in %(year)s.", **told) if telling.one_year else
        say(
            "Bars by year of what is spent on projects, from %(first)s to %(last)s; the highest is %(year)s with "
            "%(most)s.",
            **told, first=years[0].year, last=years[-1].year,
        )
    )  # fmt: skip
    limits = [
        (str(one.year), float(one.spending_limit.amount)) for one in years if one.spending_limit is not None
    ]
    drawing = bars_by_year(
        data.caption, telling.facts.currency, _drawn_columns(data), say("Spending limit"), limits
    )  # fmt: skip
    return Chart("spending-bars", data.caption, vega_lite_of(drawing), words, data, "column")


def funded_chart(telling: Telling) -> Chart:
    """The reserve in percent of the fully funded balance, year by year."""
    say, data = telling.say, _funded_data(telling)
    known = [
        (one.year, one.percent_funded)
        for one in telling.facts.figures.years
        if one.percent_funded is not None
    ]
    (first, begins), (last, ends) = known[0], known[-1]
    words = say(
        "A line by year of the reserve in percent of the fully funded balance: %(begins)s in %(first)s, %(ends)s in "
        "%(last)s.",
        begins=telling.shown(Share(begins)), first=first, ends=telling.shown(Share(ends)), last=last,
    )  # fmt: skip
    return line_chart("funded-curve", say("Percent"), words, data)


def line_chart(identity: str, unit: str, words: str, data: Table) -> Chart:
    """Lines by year of the columns of a table, under its caption; `words` say what they show."""
    drawing = lines_by_year(data.caption, unit, _drawn_columns(data))
    return Chart(identity, data.caption, vega_lite_of(drawing), words, data, "line")


def _drawn_columns(data: Table) -> list[Drawn]:
    """The columns of a table after the first, as they are drawn over the first."""
    return [
        Drawn(column.title, [
            (str(row.cells[0].value), float(number))
            for row in data.rows
            if (number := number_of(row.cells[place].value)) is not None
        ])
        for place, column in enumerate(data.columns)
        if place
    ]  # fmt: skip


def kinds_of_spending(years: Sequence[PlanYear]) -> tuple[str, ...]:
    """The kinds that money is spent by, where it is both; otherwise none."""
    kinds = ("capital_spending", "operating_spending")
    both = all(any(not no_money(getattr(one, kind)) for one in years) for kind in kinds)
    return kinds if both else ()


def kind_title(telling: Telling, kind: str) -> str:
    """The name of a kind of income or spending."""
    titles: dict[str, Callable[[], str]] = {
        "capital_spending": lambda: telling.say("Capital"),
        "operating_spending": lambda: telling.say("Operating"),
        "contributions": lambda: telling.say("Contributions"),
        "dues": lambda: telling.say("Share of dues"),
        "initiation_fees": lambda: telling.say("Initiation fees"),
        "assessments": lambda: telling.say("Assessments"),
    }
    return titles[kind]()


def _reserve_data(telling: Telling) -> Table:
    say, years = telling.say, telling.facts.figures.years
    funded = any(one.fully_funded is not None for one in years)
    columns = [
        Column("year", say("Year")), telling.money("closing", say("Reserve at the end of the year")),
        telling.money("floor", say("Floor")),
    ]  # fmt: skip
    columns += [telling.money("full", say("Fully funded balance"))] if funded else []
    rows = []
    for one in years:
        key = year_key(one.year)
        cells = [
            Cell(str(one.year)), Cell(one.closing, computed=SameAs(YEARS, key, "closing")),
            Cell(one.floor, computed=SameAs(BALANCE, key, "floor")),
        ]  # fmt: skip
        if funded:
            same = None if one.fully_funded is None else SameAs(BALANCE, key, "full")
            cells.append(Cell(one.fully_funded, computed=same))
        rows.append(Row(key, tuple(cells)))
    return Table("reserve-data", say("The reserve at the end of each year"), tuple(columns), tuple(rows))


def _spending_data(telling: Telling) -> Table:
    say, years = telling.say, telling.facts.figures.years
    kinds = kinds_of_spending(years) or ("spending",)
    titles = {
        kind: kind_title(telling, kind) if kind != "spending" else say("Spent on projects") for kind in kinds
    }
    columns = (Column("year", say("Year")), *(telling.money(kind, titles[kind]) for kind in kinds))
    rows = tuple(
        Row(year_key(one.year), (
            Cell(str(one.year)),
            *(Cell(getattr(one, kind), computed=SameAs(YEARS, year_key(one.year), kind)) for kind in kinds),
        ))
        for one in years
    )  # fmt: skip
    return Table("spending-data", say("Spending on projects in each year"), columns, rows)


def _funded_data(telling: Telling) -> Table:
    say, years = telling.say, telling.facts.figures.years
    columns = (Column("year", say("Year")), Column("funded", say("Percent funded"), Kind.PERCENT))
    rows = tuple(
        Row(year_key(one.year), (
            Cell(str(one.year)),
            Cell() if one.percent_funded is None
            else Cell(Share(one.percent_funded), computed=SameAs(BALANCE, year_key(one.year), "funded")),
        ))
        for one in years
    )  # fmt: skip
    return Table("funded-data", say("The reserve in percent of the fully funded balance"), columns, rows)
