"""What a capital plan rests on: its money, how costs rise, and by what its projects are scored."""

from collections.abc import Iterator

from swardcost_model.capital_plans import PlanLoan, YearlyIncome

from swardcost_api.packets.capital.telling import Telling
from swardcost_api.packets.document import (
    Cell,
    Column,
    Figure,
    Figures,
    Kind,
    Listing,
    Paragraph,
    Part,
    Row,
    Section,
    Table,
)
from swardcost_api.packets.values import Measured, Share


def terms(telling: Telling) -> Iterator[Part]:
    """All that is stated of the plan but its projects."""
    say, plan = telling.say, telling.facts.plan
    yield Section("terms", say("What the plan rests on"))
    yield Figures(tuple(_money_terms(telling)), large=False)
    if plan.note:
        yield Paragraph(plan.note)
    incomes = plan.money.incomes
    if incomes:
        yield _incomes(telling)
    if plan.money.assessments:
        yield _assessments(telling)
    if plan.money.loans:
        yield _loans(telling)
    if not (incomes or plan.money.assessments or plan.money.loans):
        yield Paragraph(
            say("No income, assessment or loan is stated: the plan lives on its reserve alone.")
            if plan.money.opening_reserve.amount
            else say(
                "No income, assessment or loan is stated, and the reserve is empty: the plan has no money."
            )
        )
    if plan.growth_groups:
        yield _growth(telling)
    if plan.criteria:
        yield _criteria(telling)
    yield Section("method", say("How the figures are counted"), 3)
    yield Listing(tuple(_method(telling)))


def _money_terms(telling: Telling) -> Iterator[Figure]:
    say, plan = telling.say, telling.facts.plan
    money = plan.money
    yield Figure(say("Reserve at the beginning of %(year)s", year=plan.first_year), money.opening_reserve)
    yield Figure(
        say("Interest on the reserve, a year"), Share(money.interest_percent),
        note=say("On the opening balance")
        if money.interest_on == "opening_balance"
        else say("On the opening balance and half of what else comes and goes in the year"),
    )  # fmt: skip
    yield Figure(
        say("Floor: what must be left at the end of every year"),
        say("None stated; zero") if money.least_balance is None else money.least_balance,
    )
    yield Figure(say("Year of the prices that costs are stated in"), str(telling.facts.counted.price_year))
    yield Figure(
        say("Growth of costs a year"), Share(plan.growth_percent),
        note=say("For costs in no group") if plan.growth_groups else "",
    )  # fmt: skip
    if money.spending_limit is not None:
        yield Figure(
            say("Most that may be spent in %(year)s", year=plan.first_year), money.spending_limit,
            note="" if telling.one_year
            else say("Rising %(percent)s a year", percent=telling.shown(Share(money.spending_limit_percent_a_year))),
        )  # fmt: skip
    if plan.closure_days_a_year is not None:
        yield Figure(say("Most days of closure a year"), plan.closure_days_a_year)
    if plan.capital_threshold is not None:
        yield Figure(say("Projects are capital from a cost of"), plan.capital_threshold)


def _incomes(telling: Telling) -> Table:
    say = telling.say
    kinds = {
        "contribution": say("Contribution"),
        "dues": say("Share of dues"),
        "initiation": say("Initiation fees"),
    }

    def row(place: int, one: YearlyIncome) -> Row:
        first = one.first_year or telling.facts.figures.first_year
        last = one.last_year or telling.facts.figures.last_year
        return Row(f"i{place}", (
            Cell(one.name), Cell(kinds[one.kind]), Cell(Measured(one.units, "each")), Cell(one.amount),
            Cell(Share(one.percent_a_year)), Cell(telling.span(first, last)),
        ))  # fmt: skip

    columns = (
        Column("name", say("Income")), Column("kind", say("Kind")), Column("units", say("How many"), Kind.QUANTITY),
        telling.money("each", say("Each, in its first year")), Column("growth", say("Rise a year"), Kind.PERCENT),
        Column("years", say("Years")),
    )  # fmt: skip
    rows = tuple(row(place, one) for place, one in enumerate(telling.facts.plan.money.incomes))
    return Table("incomes", say("Incomes"), columns, rows)


def _assessments(telling: Telling) -> Table:
    say = telling.say
    rows = tuple(
        Row(f"a{place}", (Cell(one.name), Cell(str(one.year)), Cell(one.amount)))
        for place, one in enumerate(telling.facts.plan.money.assessments)
    )
    columns = (
        Column("name", say("Assessment")),
        Column("year", say("Year")),
        telling.money("amount", say("Amount")),
    )
    return Table("assessments", say("Assessments, each asked for once"), columns, rows)


def _loans(telling: Telling) -> Table:
    say = telling.say
    methods = {
        "level_payment": say("Level payments"),
        "level_principal": say("Level principal"),
        "interest_only": say("Interest alone, the principal with the last payment"),
    }

    def row(place: int, one: PlanLoan) -> Row:
        return Row(f"l{place}", (
            Cell(one.name), Cell(one.principal), Cell(Share(one.annual_percent)), Cell(str(one.drawn_in)),
            Cell(one.years), Cell(one.payments_a_year), Cell(methods[one.method]),
        ))  # fmt: skip

    columns = (
        Column("name", say("Loan")), telling.money("principal", say("Principal")),
        Column("percent", say("Interest a year"), Kind.PERCENT), Column("drawn", say("Drawn in")),
        Column("years", say("Years"), Kind.COUNT), Column("payments", say("Payments a year"), Kind.COUNT),
        Column("method", say("How it is paid back")),
    )  # fmt: skip
    rows = tuple(row(place, one) for place, one in enumerate(telling.facts.plan.money.loans))
    return Table("loans", say("Loans"), columns, rows)


def _growth(telling: Telling) -> Table:
    say, plan = telling.say, telling.facts.plan
    groups = [one.growth_group for one in telling.facts.stated.values()]
    rows = [
        Row(f"g{place}", (Cell(one.name), Cell(Share(one.percent)), Cell(groups.count(one.name))))
        for place, one in enumerate(plan.growth_groups)
    ]
    rows.append(
        Row("none", (Cell(say("In no group")), Cell(Share(plan.growth_percent)), Cell(groups.count(None))))
    )
    columns = (
        Column("group", say("Costs")), Column("percent", say("Growth a year"), Kind.PERCENT),
        Column("projects", say("Projects"), Kind.COUNT),
    )  # fmt: skip
    return Table("growth", say("How costs rise"), columns, tuple(rows))


def _criteria(telling: Telling) -> Table:
    say = telling.say
    rows = tuple(
        Row(f"c{place}", (Cell(one.name), Cell(Measured(one.weight, "each"))))
        for place, one in enumerate(telling.facts.plan.criteria)
    )
    columns = (Column("name", say("Criterion")), Column("weight", say("Weight"), Kind.QUANTITY))
    notes = (say("Each project is scored from 0 to 10 by each; its score is the weighted mean."),)
    return Table("criteria", say("What projects are scored by"), columns, rows, notes)


def _method(telling: Telling) -> Iterator[str]:
    say = telling.say
    yield say(
        "Costs are stated at the prices of %(year)s. Each phase of a project grows from then to its own year, "
        "compounded, and is rounded to the smallest unit of money.",
        year=telling.facts.counted.price_year,
    )
    yield say("Capital and operating projects are both paid from the reserve.")
    yield say(
        "Opening + income + loans drawn + interest - spending - loan payments = closing. A balance below zero earns "
        "nothing and is charged nothing."
    )
    if telling.facts.plan.money.loans:
        yield say("A loan is drawn at the beginning of its year and paid back from that year on.")
    yield say(
        "An asset begins a new life in the year in which a project has replaced it. What is not dated or has no cost "
        "is in no sum; an asset of which cost, life or age is not known is in no fully funded balance."
    )
