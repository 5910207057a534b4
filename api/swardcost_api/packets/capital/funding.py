"""The least contribution to a capital plan, and what deferring its projects costs."""

from collections.abc import Iterator, Sequence

from swardcost_model.capital_plans import Decided
from swardcost_model.plan_figures import LeastContributionFigures, ProjectDeferral

from swardcost_api.packets.capital.projects import PROJECTS, project_key
from swardcost_api.packets.capital.telling import YEARS, Telling, year_key
from swardcost_api.packets.document import Cell, Column, Figure, Figures, Paragraph, Part, Row, Section, Table
from swardcost_api.packets.relations import Columns, SameAs
from swardcost_api.packets.values import Share


def least_contribution(telling: Telling) -> Iterator[Part]:
    """The least contribution that keeps every year at or above the floor, beside the plan's own."""
    say, least = telling.say, telling.facts.least
    yield Section("contribution", say("The least contribution"))
    yield Paragraph(_least_words(telling, least))
    if least.first_below_without is not None and least.contribution is not None:
        told = {"year": least.first_below_without}
        yield Paragraph(
            say("Without any contribution the reserve would be below its floor at the end of %(year)s.", **told)
            if telling.one_year else
            say("Without any contribution the reserve would be below its floor first at the end of %(year)s.", **told)
        )  # fmt: skip
    if least.contribution is None or not least.contribution.amount:
        return
    first = year_key(telling.facts.figures.first_year)
    why = telling.why("least-contribution", say("The least contribution"), least.derivation)
    assert least.more_than_today is not None
    yield Figures((
        Figure(say("Least contribution in the first year"), least.contribution, why, ("contributions", first, "least")),
        Figure(say("The plan's own in that year"), least.contribution_today, None, ("contributions", first, "own")),
        Figure(say("Difference"), least.more_than_today, None, ("contributions", first, "more")),
    ))  # fmt: skip
    columns = (
        Column("year", say("Year")), telling.money("least", say("Least contribution")),
        telling.money("own", say("The plan's own")), telling.money("more", say("Difference")),
        telling.money("closing", say("Year-end reserve with the least contribution")),
        telling.money("planned", say("Closing as planned")),
        telling.money("floor", say("Floor")),
    )  # fmt: skip
    planned = {one.year: one.closing for one in telling.facts.figures.years}
    rows = tuple(
        Row(year_key(one.year), (
            Cell(str(one.year)), Cell(one.contribution, why), Cell(one.contribution_today),
            Cell(one.contribution - one.contribution_today, computed=Columns(("least",), ("own",))),
            Cell(one.closing),
            Cell(planned[one.year], computed=SameAs(YEARS, year_key(one.year), "closing")), Cell(one.floor),
        ))
        for one in least.years
    )  # fmt: skip
    yield Table("contributions", say("The least contribution by year"), columns, rows)


def _least_words(telling: Telling, least: LeastContributionFigures) -> str:
    say = telling.say
    if telling.one_year:
        return _least_of_one_year(telling, least)
    if least.contribution is None:
        return say("No realistic contribution keeps the reserve at its floor in every year.")
    if not least.contribution.amount:
        return say(
            "No contribution is needed: the reserve stays at or above its floor in every year without one."
        )
    told = {
        "least": telling.shown(least.contribution), "floor": telling.shown(least.floor),
        "year": least.binding_year, "first": telling.facts.figures.first_year,
    }  # fmt: skip
    if not least.percent_a_year:
        return say(
            "The least level contribution that keeps every year at or above the floor of %(floor)s is "
            "%(least)s a year. %(year)s is the year that requires it.",
            **told,
        )
    told["percent"] = telling.shown(Share(abs(least.percent_a_year)))
    if least.percent_a_year < 0:
        return say(
            "The least contribution that keeps every year at or above the floor of %(floor)s is %(least)s in "
            "%(first)s, falling by %(percent)s a year. %(year)s is the year that requires it.",
            **told,
        )
    return say(
        "The least contribution that keeps every year at or above the floor of %(floor)s is %(least)s in "
        "%(first)s, rising by %(percent)s a year. %(year)s is the year that requires it.",
        **told,
    )


def _least_of_one_year(telling: Telling, least: LeastContributionFigures) -> str:
    say, told = telling.say, {"year": telling.facts.figures.first_year}
    if least.contribution is None:
        return say("No realistic contribution keeps the reserve at its floor in %(year)s.", **told)
    if not least.contribution.amount:
        return say(
            "No contribution is needed: at the end of %(year)s the reserve is at or above its floor without one.",
            **told,
        )
    return say(
        "The least contribution that keeps the reserve at or above the floor of %(floor)s at the end of %(year)s is "
        "%(least)s.",
        **told, floor=telling.shown(least.floor), least=telling.shown(least.contribution),
    )  # fmt: skip


def deferral(telling: Telling) -> Iterator[Part]:
    """What is deferred and what that costs; and what a year's delay of each project would cost."""
    say, facts = telling.say, telling.facts
    yield Section("deferral", say("What is deferred, and what deferring costs"))
    if facts.decided_on:
        yield from _deferred(telling)
    items = facts.by_a_year.items
    if not facts.figures.projects:
        yield Paragraph(telling.no_projects())
        return
    if not items:
        yield Paragraph(say("No project has both a year and a cost, so there is nothing to defer."))
        return
    yield Section("delay", say("A year's delay of each project"), 3)
    yield Paragraph(say(
        "One project at a time, all else as dated. Dearer work + further upkeep - interest that the reserve keeps = "
        "net cost of the delay; less than zero means that waiting saves money. Amounts are in the money of their years "
        "and not discounted. What a failure would cost in the meantime is not in them."
    ))  # fmt: skip
    yield _deferral_table(telling, "delays", say("What a year's delay costs"), items, "delay")


def _deferred(telling: Telling) -> Iterator[Part]:
    say, facts = telling.say, telling.facts
    deferred = [
        one for one in facts.stated.values()
        if one.decision is not None and one.decision.decided is Decided.DEFERRED
    ]  # fmt: skip
    if not deferred:
        yield Paragraph(say("No project was deferred by decision."))
        return
    yield Paragraph(telling.counted(
        "One project was deferred by decision: %(names)s.", "%(number)s projects were deferred by decision: %(names)s.",
        len(deferred), names=telling.listed(map(telling.label, deferred)),
    ))  # fmt: skip
    if facts.deferred:
        yield _deferral_table(
            telling, "deferred", say("What deferring to the decided years costs"), facts.deferred, "deferral"
        )  # fmt: skip
    counted = {one.project_id for one in facts.deferred}
    left = [telling.label(one) for one in deferred if one.id not in counted]
    if left:
        yield Paragraph(say(
            "What this costs is not counted, since no year to defer to, no year as dated or no cost is known: "
            "%(projects)s.",
            projects=telling.listed(left),
        ))  # fmt: skip


def _deferral_table(
    telling: Telling, table_id: str, caption: str, items: Sequence[ProjectDeferral], why_prefix: str
) -> Table:
    say = telling.say
    columns = (
        Column("name", say("Project, its year and the later one")),
        telling.money("now", say("Cost as dated")), telling.money("then", say("Cost when deferred")),
        telling.money("growth", say("Dearer work")), telling.money("upkeep", say("Upkeep")),
        telling.money("interest", say("Interest kept")), telling.money("net", say("Net cost")),
    )  # fmt: skip

    def row(one: ProjectDeferral) -> Row:
        title = say("Deferring %(project)s to %(year)s", project=telling.label(one), year=one.later_year)
        label = say(
            "%(project)s, from %(year)s to %(later)s",
            project=telling.label(one),
            year=one.year,
            later=one.later_year,
        )
        why = telling.why(f"{why_prefix}-{one.number}", title, one.derivation)
        plus = ("growth", "upkeep") if one.upkeep_stated else ("growth",)
        return Row(project_key(one.number), (
            Cell(label),
            Cell(one.cost, computed=SameAs(PROJECTS, project_key(one.number), "cost")), Cell(one.later_cost),
            Cell(one.growth, why, Columns(("then",), ("now",))),
            Cell(one.upkeep, why) if one.upkeep_stated else Cell(),
            Cell(one.interest_kept, why), Cell(one.net, why, Columns(plus, ("interest",))),
        ), note=_limits(telling, one))  # fmt: skip

    notes = []
    if not all(one.upkeep_stated for one in items):
        notes.append(
            say("Where no upkeep is stated none is counted, which is not the same as none being needed.")
        )
    return Table(table_id, caption, columns, tuple(map(row, items)), tuple(notes))


def _limits(telling: Telling, one: ProjectDeferral) -> str:
    found = []
    if one.past_latest:
        found.append(telling.say("After the latest year that the project is given."))
    if one.past_plan:
        found.append(telling.say("Some of it would be done after the last year of the plan."))
    return " ".join(found)
