"""What moved since the plan before: project by project, and what that changes in the reserve."""

from collections.abc import Iterator

from swardcost_model.plan_succession import MoveKind, PlanMoves, ProjectMove, YearBeside

from swardcost_api.packets.capital.charts import line_chart
from swardcost_api.packets.capital.move_words import since_plan_before
from swardcost_api.packets.capital.telling import YEARS, Telling, year_key
from swardcost_api.packets.document import (
    Cell,
    Chart,
    Column,
    Kind,
    Paragraph,
    Part,
    Row,
    Section,
    Table,
    Weight,
)
from swardcost_api.packets.relations import Columns, Rows, SameAs
from swardcost_api.packets.telling import money_sum
from swardcost_api.packets.values import Share

MOVES, BESIDE = "moves", "beside-by-year"
_BY = ("by_opening", "by_incomes", "by_interest", "by_spending")


def moves(telling: Telling) -> Iterator[Part]:
    """This plan beside the one that it goes on from; nothing where it goes on from none."""
    before, found = telling.facts.plan_before, telling.facts.moves
    if before is None:
        return
    say = telling.say
    yield Section("since", say("What moved since the plan before"))
    if found is None:
        yield Paragraph(say(
            "This plan goes on from %(name)s, with which it has no year in common, so the two cannot be compared.",
            name=before.name,
        ))  # fmt: skip
        return
    yield Paragraph(_words(telling, found))
    yield _causes_of_change(telling, found)
    yield _projects(telling, found)
    yield Section("beside", say("The reserve of both plans"), 3)
    if len(found.years) > 1:
        yield _chart(telling, found)
    yield _years(telling, found)


def _words(telling: Telling, found: PlanMoves) -> str:
    say = telling.say
    last = found.years[-1]
    told = {
        "name": found.name_before, "years": telling.span(found.first_year, found.last_year),
        "spent": telling.shown(found.spent), "before": telling.shown(found.spent_before), "last": last.year,
        "closing": telling.shown(last.closing), "was": telling.shown(last.closing_before),
    }  # fmt: skip
    if len(found.years) == 1:
        return say(
            "This plan goes on from %(name)s. In the one year of both, %(years)s, projects cost %(spent)s; in the plan "
            "before it was %(before)s. At its end the reserve holds %(closing)s; in the plan before it was %(was)s.",
            **told,
        )
    return say(
        "This plan goes on from %(name)s. In the years of both, %(years)s, projects cost %(spent)s; in the plan before "
        "it was %(before)s. At the end of %(last)s the reserve holds %(closing)s; in the plan before it was %(was)s.",
        **told,
    )


def _causes_of_change(telling: Telling, found: PlanMoves) -> Table:
    say = telling.say
    why = telling.why("moves", say("The change of spending"), found.derivation)
    causes = {
        "timing": (say("Other years, at the cost before"), found.by_timing),
        "cost": (say("Other costs, growth or phases"), found.by_cost),
        "new": (say("New projects"), found.by_new),
        "finished": (say("Finished since, so that nothing more is spent"), found.by_finished),
        "out": (say("Declined or taken out"), found.by_left_out),
    }
    rows = [
        Row("before", (Cell(say("Spending in the plan before")), Cell(found.spent_before)), Weight.SUBTOTAL)
    ]
    rows += [Row(key, (Cell(name), Cell(amount, why))) for key, (name, amount) in causes.items()]
    rows.append(Row(
        "now", (Cell(say("Spending in this plan")), Cell(found.spent, why, Rows(("before", *causes)))), Weight.TOTAL
    ))  # fmt: skip
    caption = say(
        "What makes the difference, %(years)s", years=telling.span(found.first_year, found.last_year)
    )
    columns = (Column("what", say("Cause")), telling.money("amount", say("Amount")))
    return Table("causes", caption, columns, tuple(rows))


def kind_words(telling: Telling, kind: MoveKind) -> str:
    """What became of a project, in a few words."""
    say = telling.say
    words = {
        "kept": say("As before"), "moved": say("Moved"), "repriced": say("Other cost"),
        "moved_and_repriced": say("Moved, other cost"), "new": say("New"), "finished": say("Finished"),
        "declined": say("Declined"), "taken_out": say("Taken out"),
    }  # fmt: skip
    return words[kind]


def _projects(telling: Telling, found: PlanMoves) -> Table:
    say = telling.say
    columns = (
        Column("name", say("Project")), Column("kind", say("What moved")), Column("was", say("Year before")),
        Column("year", say("Year now")), telling.money("cost_before", say("Cost before")),
        telling.money("cost", say("Cost now")), telling.money("spent_before", say("Spent before")),
        telling.money("spent", say("Spent now")), telling.money("change", say("Change")),
    )  # fmt: skip
    rows = [_project(telling, place, one) for place, one in enumerate(found.projects, start=1)]
    keys, currency = tuple(one.key for one in rows), telling.facts.currency
    before = money_sum([one.spent_before for one in found.projects], currency)
    spent = money_sum([one.spent for one in found.projects], currency)
    rows.append(Row("total", (
        Cell(say("Total")), *[Cell()] * 5, Cell(before, computed=Rows(keys)), Cell(spent, computed=Rows(keys)),
        Cell(spent - before, computed=Columns(("spent",), ("spent_before",))),
    ), Weight.TOTAL))  # fmt: skip
    notes = (
        say(
            "Costs are at the prices of each plan's own year; what is spent is in the years of both plans, in the "
            "money of those years."
        ),
    )
    return Table(MOVES, say("Projects of both plans"), columns, tuple(rows), notes)


def _project(telling: Telling, place: int, one: ProjectMove) -> Row:
    number = one.number if one.number is not None else one.number_before
    assert number is not None

    def year(of: int | None, there: bool) -> Cell:
        return Cell((telling.say("not dated") if of is None else str(of)) if there else None)

    return Row(f"m{place}", (
        Cell(telling.numbered(number, one.name)), Cell(kind_words(telling, one.kind)),
        year(one.year_before, one.number_before is not None), year(one.year, one.number is not None),
        Cell(one.cost_before), Cell(one.cost), Cell(one.spent_before), Cell(one.spent),
        Cell(one.spent - one.spent_before, computed=Columns(("spent",), ("spent_before",))),
    ), note=" ".join(since_plan_before(telling, one)))  # fmt: skip


def _years(telling: Telling, found: PlanMoves) -> Table:
    say = telling.say
    funded = any(one.percent_funded is not None for one in found.years)
    columns = [
        Column("year", say("Year")), telling.money("before", say("Closing before")),
        telling.money("by_opening", say("Opening reserve")), telling.money("by_incomes", say("Incomes and loans")),
        telling.money("by_interest", say("Interest")), telling.money("by_spending", say("Spending")),
        telling.money("closing", say("Closing now")),
    ]  # fmt: skip
    if funded:
        columns += [
            Column("funded_before", say("Funded before"), Kind.PERCENT),
            Column("funded", say("Funded now"), Kind.PERCENT),
        ]

    def row(one: YearBeside) -> Row:
        cells = [
            Cell(str(one.year)), Cell(one.closing_before), *(Cell(getattr(one, name)) for name in _BY),
            Cell(one.closing, computed=Columns(("before", *_BY))),
        ]  # fmt: skip
        if funded:
            cells += [
                Cell() if percent is None else Cell(Share(percent))
                for percent in (one.percent_funded_before, one.percent_funded)
            ]
        return Row(year_key(one.year), tuple(cells))

    notes = (
        say(
            "What makes the difference is added up from the first year of both plans; more spending leaves less."
        ),
    )
    return Table(
        BESIDE, say("The reserve of both plans by year"), tuple(columns), tuple(map(row, found.years)), notes
    )


def _chart(telling: Telling, found: PlanMoves) -> Chart:
    say = telling.say
    columns = (
        Column("year", say("Year")), telling.money("now", say("This plan")), telling.money("before", say("Plan before"))
    )  # fmt: skip
    rows = tuple(
        Row(year_key(one.year), (
            Cell(str(one.year)), Cell(one.closing, computed=SameAs(YEARS, year_key(one.year), "closing")),
            Cell(one.closing_before, computed=SameAs(BESIDE, year_key(one.year), "before")),
        ))
        for one in found.years
    )  # fmt: skip
    title, last = say("The reserve in this plan and the plan before"), found.years[-1]
    data = Table("beside-data", title, columns, rows)
    words = say(
        "Two lines by year: the reserve in this plan and in the plan before. At the end of %(year)s they are at "
        "%(now)s and %(before)s.",
        year=last.year, now=telling.shown(last.closing), before=telling.shown(last.closing_before),
    )  # fmt: skip
    return line_chart("beside-curve", telling.facts.currency, words, data)
