"""Scenarios of a capital plan side by side: those that were asked for, or those that every committee asks about."""

from collections.abc import Iterator, Sequence
from decimal import Decimal

from swardcost_model import problems
from swardcost_model.plan_scenarios import (
    LeastContribution,
    MoneyChanges,
    ProjectChanges,
    Scenario,
    ScenarioQuestion,
)
from swardcost_model.problems import ProblemError
from swardcost_model.scenario_figures import ScenarioFigures, ScenariosSideBySide, ScenarioTotals
from swardcost_model.values import Money

from swardcost_api.capital.service import (
    CountedScenario,
    CurveDrawn,
    ScenariosAsked,
    counted_scenarios,
    reserve_curves,
    told_side_by_side,
)
from swardcost_api.charts import vega_lite_of
from swardcost_api.engine.capital.growth import LARGEST_PERCENT
from swardcost_api.packets.capital.scenario_words import changes_of, not_possible, warnings
from swardcost_api.packets.capital.telling import YEARS, Telling, year_key
from swardcost_api.packets.document import (
    Cell,
    Chart,
    Column,
    Kind,
    Listing,
    Paragraph,
    Part,
    Row,
    Section,
    Table,
)
from swardcost_api.packets.relations import SameAs
from swardcost_api.packets.values import Share

SCENARIOS, PROJECTS, CURVES = "scenario-totals", "scenario-projects", "scenario-years"


def scenarios(telling: Telling) -> Iterator[Part]:
    """What each scenario changes, what it comes to beside the first, and the reserve of each year."""
    say = telling.say
    yield Section("scenarios", say("Scenarios side by side"))
    asked = telling.facts.scenarios_asked or _usual(telling)
    try:
        counted = counted_scenarios(asked)
        found = told_side_by_side(asked, counted)
    except ProblemError as error:
        # What was asked for is refused; what nobody asked for is told to be missing, and the packet made without it.
        if telling.facts.scenarios_asked is not None or error.kind is not problems.WRONG_STATE:
            raise
        yield Paragraph(
            say("The amounts of these scenarios grow beyond what can be counted; look at the percentages.")
        )
        return
    yield Paragraph(say(
        "Each scenario is a plan with what stands here changed, counted again by the same rules; nothing of the plan "
        "itself is changed. Differences are from the first scenario."
    ))  # fmt: skip
    yield Listing(tuple(
        say("%(name)s: %(changes)s", name=one.name, changes=" ".join(changes_of(telling, asked, one.name)))
        for one in found.scenarios
    ))  # fmt: skip
    yield _totals(telling, found, counted)
    yield from _warnings(telling, counted)
    if any(one.totals is not None and (one.totals.projects_moved or one.totals.projects_left_out)
           for one in found.scenarios):  # fmt: skip
        yield _projects(telling, found)
    if _has_curves(found):
        yield _curves(telling, asked, found)


def _has_curves(found: ScenariosSideBySide) -> bool:
    """Whether there are years enough for lines."""
    return len(found.years) > 1


def _usual(telling: Telling) -> ScenariosAsked:
    """The plan as dated and as decided, with the least contribution, a year later, and with dearer costs.

    Without the last two where no project is dated.
    """
    say, facts = telling.say, telling.facts
    later = [Scenario(name=say("A year later"), projects=ProjectChanges(deferred_by=1)), *_dearer(telling)]
    decided = [Scenario(name=say("As decided"), start="as_decided")] if facts.decided_on else []
    least = LeastContribution(percent_a_year=facts.own_rise)
    question = ScenarioQuestion(scenarios=[
        Scenario(name=say("As dated")), *decided,
        Scenario(name=say("Least contribution"), money=MoneyChanges(contribution=least)),
        *(later if facts.counted.dated else []),
    ])  # fmt: skip
    return ScenariosAsked(facts.plan.id, question, {facts.plan.id: facts.counted})


def _dearer(telling: Telling) -> list[Scenario]:
    """Costs that grow a point more, where they can."""
    if max(telling.facts.counted.growth.values()) + 1 > LARGEST_PERCENT:
        return []
    return [Scenario(name=telling.say("Costs grow faster"), money=MoneyChanges(growth_points=Decimal(1)))]


def _totals(telling: Telling, found: ScenariosSideBySide, counted: Sequence[CountedScenario]) -> Table:
    say = telling.say
    columns = (
        Column("name", say("Scenario")), telling.money("first", say("Contribution, first year")),
        telling.money("contributions", say("Contributions, all years")), telling.money("spending", say("Spending")),
        telling.money("least", say("Least reserve")), Column("when", say("At the end of")),
        telling.money("closing", say("Reserve at the end")), telling.money("difference", say("Difference")),
        Column("funded", say("Funded at the end"), Kind.PERCENT),
    )  # fmt: skip
    base = found.scenarios[0]
    rows = tuple(
        _total(telling, place, one, base, counted[place], curves=_has_curves(found))
        for place, one in enumerate(found.scenarios)
    )
    notes = (say("Difference: the reserve at the end less that of the first scenario."),)
    return Table(SCENARIOS, say("What the scenarios come to"), columns, rows, notes)


def _total(
    telling: Telling,
    place: int,
    one: ScenarioFigures,
    base: ScenarioFigures,
    counted: CountedScenario,
    *,
    curves: bool,
) -> Row:
    key, totals = _key(place), one.totals
    if totals is None:
        return Row(key, (Cell(one.name), *[Cell()] * 8), note=not_possible(telling, counted))
    title = telling.say("The scenario %(name)s", name=one.name)
    why = telling.why(f"scenario-{place + 1}", title, one.derivation)
    same = SameAs(CURVES, year_key(one.years[-1].year), key) if curves else None
    difference = None if base.totals is None else totals.closing - base.totals.closing
    return Row(key, (
        Cell(one.name), Cell(totals.contribution_first_year), Cell(totals.contributions, why),
        Cell(totals.spending, why), Cell(totals.least_balance, why), Cell(str(totals.least_balance_year)),
        Cell(totals.closing, computed=same), Cell(difference),
        Cell() if totals.percent_funded is None else Cell(Share(totals.percent_funded), why),
    ), note=_below(telling, totals))  # fmt: skip


def _below(telling: Telling, totals: ScenarioTotals) -> str:
    """That the reserve runs out or falls below its floor, where it does."""
    say = telling.say
    if totals.first_year_below_zero is not None:
        return say("The reserve runs out, first in %(year)s.", year=totals.first_year_below_zero)
    if totals.first_year_below_floor is not None:
        return say("The reserve is below its floor first in %(year)s.", year=totals.first_year_below_floor)
    return ""


def _warnings(telling: Telling, counted: Sequence[CountedScenario]) -> Iterator[Part]:
    """What speaks against each scenario that is possible; nothing where nothing does."""
    found = [(one.scenario.name, list(warnings(telling, one))) for one in counted if one.possible]
    told = [
        telling.counted(
            "%(name)s, one warning: %(warnings)s", "%(name)s, %(number)s warnings: %(warnings)s", len(words),
            name=name, warnings=" ".join(words),
        )
        for name, words in found if words
    ]  # fmt: skip
    if told:
        yield Paragraph(
            telling.say("All that speaks against each scenario, also what speaks against the plan as dated:")
        )
        yield Listing(tuple(told))


def _projects(telling: Telling, found: ScenariosSideBySide) -> Table:
    say = telling.say
    columns = (
        Column("name", say("Scenario")), Column("done", say("Projects done"), Kind.COUNT),
        Column("moved", say("Moved"), Kind.COUNT), Column("out", say("Not begun"), Kind.COUNT),
        telling.money("cost", say("Cost of moving")),
    )  # fmt: skip
    rows = tuple(
        Row(_key(place), (
            Cell(one.name), Cell(one.totals.projects_done), Cell(one.totals.projects_moved),
            Cell(one.totals.projects_left_out), Cell(one.totals.cost_of_moving),
        ))
        for place, one in enumerate(found.scenarios)
        if one.totals is not None
    )  # fmt: skip
    notes = (
        say(
            "Cost of moving: dearer work and upkeep of the projects in other years than dated, less the interest that "
            "is kept, all other projects as dated; less than zero where it pays."
        ),
        say("Only a scenario of best timing keeps to the order, the allowed years and the closure days."),
    )
    return Table(PROJECTS, say("Projects in the scenarios"), columns, rows, notes)


def _curves(telling: Telling, asked: ScenariosAsked, found: ScenariosSideBySide) -> Chart:
    say, title = telling.say, telling.say("The reserve by scenario")
    drawn = [(place, one) for place, one in enumerate(found.scenarios) if one.years]
    closing = {place: {year.year: year.closing for year in one.years} for place, one in drawn}
    columns = (
        Column("year", say("Year")), *(telling.money(_key(place), one.name) for place, one in drawn)
    )  # fmt: skip
    rows = tuple(
        Row(year_key(one.year), (
            Cell(str(one.year)),
            *(_closing(asked, place, one.year, closing[place].get(one.year)) for place, _ in drawn),
        ))
        for one in found.years
    )  # fmt: skip
    curves = [
        CurveDrawn(one.name, [(year.year, float(year.closing.amount), float(year.floor.amount)) for year in one.years])
        for _, one in drawn
    ]  # fmt: skip
    axis = say("Reserve at the end of the year, %(currency)s", currency=telling.facts.currency)
    drawing = reserve_curves(title, [], axis, curves, say("Floor"))
    ends = [f"{one.name}, {telling.shown(one.years[-1].closing)}" for _, one in drawn]
    words = say(
        "A line by year for each scenario: the reserve at the end of the year. At the end they are at: %(ends)s.",
        ends=telling.joined(ends),
    )
    return Chart(
        "scenario-curves", title, vega_lite_of(drawing), words, Table(CURVES, title, columns, rows), "line"
    )


def _closing(asked: ScenariosAsked, place: int, year: int, closing: Money | None) -> Cell:
    """A closing balance; the plan itself, unchanged, is that of its years."""
    scenario = asked.question.scenarios[place]
    unchanged = scenario == Scenario(name=scenario.name)
    same = SameAs(YEARS, year_key(year), "closing") if unchanged and closing is not None else None
    return Cell(closing, computed=same)


def _key(place: int) -> str:
    return f"s{place + 1}"
