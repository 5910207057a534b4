"""A locked plan beside the money of its opened projects."""

from collections.abc import Iterator

from swardcost_model.plan_progress import PlanStanding, ProjectStanding

from swardcost_api.packets.capital.charts import line_chart
from swardcost_api.packets.capital.projects import decided_words, project_key
from swardcost_api.packets.capital.telling import YEARS, Telling, year_key
from swardcost_api.packets.document import (
    Cell,
    Chart,
    Column,
    Figure,
    Figures,
    Paragraph,
    Part,
    Row,
    Section,
    Table,
    Weight,
)
from swardcost_api.packets.relations import Columns, Rows, SameAs
from swardcost_api.packets.telling import money_sum
from swardcost_api.packets.values import MonthOf

STANDING, STANDING_YEARS = "standing", "standing-by-year"
_SPENT = ("actual", "accrued", "to_come")


def standing(telling: Telling) -> Iterator[Part]:
    """What was planned, budgeted, spent, is to come and expected; nothing of a plan that is not locked."""
    found = telling.facts.standing
    if found is None:
        return
    say, month = telling.say, telling.shown(MonthOf.named(found.through))
    yield Section("standing-of-projects", say("Where the money of the projects stands"))
    yield Paragraph(_words(telling, found, month))
    yield Figures((
        Figure(say("Planned"), found.planned, None, (STANDING, "total", "planned")),
        Figure(say("Spent through %(month)s, posted and accrued", month=month), found.actual),
        Figure(say("Expected"), found.expected, None, (STANDING, "total", "expected")),
    ))  # fmt: skip
    yield _projects(telling, found, month)
    yield Section("standing-of-reserve", say("What that leaves in the reserve"), 3)
    if not telling.one_year:
        yield _chart(telling, found)
    yield _years(telling, found)


def _words(telling: Telling, found: PlanStanding, month: str) -> str:
    budgeted = sum(one.budget is not None for one in found.projects)
    finished = sum(one.stage == "finished" for one in found.projects)
    counts = telling.counted(
        "Through %(month)s: one project; with a budget: %(budgeted)s; finished: %(finished)s.",
        "Through %(month)s: %(number)s projects, of which with a budget: %(budgeted)s; finished: %(finished)s.",
        len(found.projects), budgeted=budgeted, finished=finished, month=month,
    )  # fmt: skip
    last = found.years[-1]
    change = last.closing_expected - last.closing_planned
    told = {"year": last.year, "amount": telling.size(change)}
    if change.amount > 0:
        left = telling.say(
            "At the end of %(year)s the reserve is expected to hold %(amount)s more than planned.", **told
        )
    elif change.amount < 0:
        left = telling.say(
            "At the end of %(year)s the reserve is expected to hold %(amount)s less than planned.", **told
        )
    else:
        left = telling.say("At the end of %(year)s the reserve is expected to hold what was planned.", **told)
    below = [str(one.year) for one in found.years if one.below_floor]
    if not below:
        return f"{counts} {left}"
    short = telling.say("It is expected to be below its floor in: %(years)s.", years=", ".join(below))
    return f"{counts} {left} {short}"


def _stage(telling: Telling, one: ProjectStanding) -> str:
    say, stated = telling.say, telling.facts.stated[one.plan_project_id]
    if one.stage == "not_opened":
        return decided_words(telling, stated.decision)
    if one.stage == "finished" and stated.completion is not None:
        return say("Finished in %(year)s", year=stated.completion.year)
    stages = {
        "opened": say("Opened, not priced"), "estimated": say("Priced, no budget"), "budgeted": say("Under way")
    }  # fmt: skip
    return stages[one.stage]


def _projects(telling: Telling, found: PlanStanding, month: str) -> Table:
    say = telling.say
    columns = (
        Column("name", say("Project")), Column("stage", say("Stage")), telling.money("planned", say("Planned")),
        telling.money("budget", say("Budget")), telling.money("actual", say("Posted")),
        telling.money("accrued", say("Accrued")), telling.money("to_come", say("To come")),
        telling.money("expected", say("Expected")), telling.money("difference", say("Expected less planned")),
    )  # fmt: skip
    rows = [_project(telling, one) for one in found.projects]
    keys = tuple(one.key for one in rows)

    def total(name: str) -> Cell:
        amounts = [getattr(one, name) for one in found.projects]
        return Cell(money_sum(amounts, found.planned.currency), computed=Rows(keys))

    difference = Cell(found.expected - found.planned, computed=Columns(("expected",), ("planned",)))
    sums = [total(name) for name in ("planned", "budget", *_SPENT, "expected")]
    rows.append(Row("total", (Cell(say("Total")), Cell(), *sums, difference), Weight.TOTAL))
    notes = [
        say("Planned: in the money of the years, as the locked plan has it."),
        say(
            "To come: line by line of a budget, what is left of it or what is on order, whichever is more. Without a "
            "budget an approved project is to come as planned, a deferred one in the year to which it was deferred."
        ),
    ]
    if any(one.planned is None or one.expected is None for one in found.projects):
        notes.append(say("What is not known is left empty, and in no total."))
    caption = say("Projects, money through %(month)s", month=month)
    return Table(STANDING, caption, columns, tuple(rows), tuple(notes))


def _project(telling: Telling, one: ProjectStanding) -> Row:
    title = telling.say("What is expected of %(project)s", project=telling.label(one))
    why = telling.why(f"standing-{one.number}", title, one.derivation)
    unknown_cost = one.stage == "finished" and one.budget is None
    parts = ("planned",) if unknown_cost else tuple(name for name in _SPENT if getattr(one, name) is not None)
    expected = Cell(one.expected, why, Columns(parts)) if one.expected is not None else Cell()
    difference = (
        Cell()
        if one.difference is None
        else Cell(one.difference, computed=Columns(("expected",), ("planned",)))
    )
    return Row(project_key(one.number), (
        Cell(telling.label(one)), Cell(_stage(telling, one)), Cell(one.planned), Cell(one.budget), Cell(one.actual),
        Cell(one.accrued), Cell(one.to_come, why if one.to_come is not None else None), expected, difference,
    ), note=_finished_without_budget(telling, one) if unknown_cost else "")  # fmt: skip


def _finished_without_budget(telling: Telling, one: ProjectStanding) -> str:
    """What can be said of what a project cost that had no budget."""
    if one.expected is None:
        return telling.say(
            "Finished without a budget: nothing more is to come, and what it cost is not known here."
        )
    return telling.say(
        "Finished without a budget: nothing more is to come, and what it cost is not known here, so it counts as "
        "planned."
    )


def _years(telling: Telling, found: PlanStanding) -> Table:
    say = telling.say
    parts = [("actual", "actual_spending", say("Spent so far")), ("to_come", "to_come", say("To come"))]
    if any(one.finished_as_planned.amount for one in found.years):
        parts.append(("finished", "finished_as_planned", say("Finished, counted as planned")))
    columns = (
        Column("year", say("Year")), telling.money("planned", say("Spending as planned")),
        *(telling.money(key, title) for key, _, title in parts),
        telling.money("expected", say("Spending expected")), telling.money("closing", say("Closing as planned")),
        telling.money("closing_expected", say("Closing expected")),
        telling.money("difference", say("Expected less planned")),
    )  # fmt: skip
    rows = [
        Row(year_key(one.year), (
            Cell(str(one.year)),
            Cell(one.planned_spending, computed=SameAs(YEARS, year_key(one.year), "spending")),
            *(Cell(getattr(one, name)) for _, name, _ in parts),
            Cell(one.expected_spending, computed=Columns(tuple(key for key, _, _ in parts))),
            Cell(one.closing_planned, computed=SameAs(YEARS, year_key(one.year), "closing")),
            Cell(one.closing_expected),
            Cell(one.closing_expected - one.closing_planned, computed=Columns(("closing_expected",), ("closing",))),
        ))
        for one in found.years
    ]  # fmt: skip
    below = [str(one.year) for one in found.years if one.below_floor]
    notes = [
        say(
            "Expected: with the incomes, loans and interest rate of the plan, and what is spent and to come."
        ),
        say("Money posted before the first year of the plan or after its last is in no year."),
    ]
    if below:
        notes.append(say("Expected below the floor: %(years)s.", years=", ".join(below)))
    return Table(
        STANDING_YEARS, say("The reserve as planned and as expected"), columns, tuple(rows), tuple(notes)
    )


def _chart(telling: Telling, found: PlanStanding) -> Chart:
    say = telling.say
    columns = (
        Column("year", say("Year")), telling.money("expected", say("As expected")),
        telling.money("planned", say("As planned")),
    )  # fmt: skip
    rows = tuple(
        Row(year_key(one.year), (
            Cell(str(one.year)),
            Cell(one.closing_expected, computed=SameAs(STANDING_YEARS, year_key(one.year), "closing_expected")),
            Cell(one.closing_planned, computed=SameAs(STANDING_YEARS, year_key(one.year), "closing")),
        ))
        for one in found.years
    )  # fmt: skip
    title, last = say("The reserve, expected beside planned"), found.years[-1]
    data = Table("standing-data", title, columns, rows)
    words = say(
        "Two lines by year: the reserve as expected and as planned. At the end of %(year)s they are at %(expected)s "
        "and %(planned)s.",
        year=last.year, expected=telling.shown(last.closing_expected), planned=telling.shown(last.closing_planned),
    )  # fmt: skip
    return line_chart("standing-curve", telling.facts.currency, words, data)
