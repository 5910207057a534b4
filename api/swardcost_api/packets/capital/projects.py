"""The projects of a capital plan line by line: what each costs, when, and what was decided on it."""

from collections.abc import Iterator

from swardcost_model.capital_plans import Decided, PlanProject, ProjectDecision
from swardcost_model.plan_figures import ProjectInFigures

from swardcost_api.packets.capital.telling import Telling, asset_name
from swardcost_api.packets.document import Cell, Column, Kind, Paragraph, Part, Row, Section, Table, Weight
from swardcost_api.packets.relations import Rows
from swardcost_api.packets.telling import as_sentence, money_sum
from swardcost_api.packets.values import Measured

PROJECTS = "projects-by-line"


def project_key(number: int) -> str:
    """The key of a project's row."""
    return f"p{number}"


def why_project(telling: Telling, project: ProjectInFigures) -> str | None:
    """The derivation of a project's cost and score."""
    title = telling.say("Project %(project)s", project=telling.label(project))
    return telling.why(f"project-{project.number}", title, project.derivation)


def projects(telling: Telling) -> Iterator[Part]:
    """Every project in a line."""
    say, found = telling.say, telling.facts.figures.projects
    yield Section("projects", say("The projects line by line"))
    if not found:
        yield Paragraph(telling.no_projects())
        return
    yield _lines(telling)


def decided_words(telling: Telling, decision: ProjectDecision | None) -> str:
    """What was decided, in a word or two."""
    say = telling.say
    if decision is None:
        return say("To be decided")
    if decision.decided is Decided.APPROVED:
        return say("Approved with conditions") if decision.conditions else say("Approved")
    if decision.decided is Decided.DECLINED:
        return say("Declined")
    if decision.deferred_to is None:
        return say("Deferred")
    return say("Deferred to %(year)s", year=decision.deferred_to)


def _years(telling: Telling, project: ProjectInFigures) -> str:
    if project.year is None or project.last_year is None:
        return telling.say("not dated")
    return telling.span(project.year, project.last_year)


def _lines(telling: Telling) -> Table:
    say, facts = telling.say, telling.facts
    kinds = {"capital": say("Capital"), "operating": say("Operating")}
    columns = [
        Column("name", say("Project")), Column("years", say("Years")),
        telling.money("then", say("Cost at the prices of %(year)s", year=facts.counted.price_year)),
        Column("from", say("Cost from")), telling.money("cost", say("Cost as dated")), Column("kind", say("Spending")),
    ]  # fmt: skip
    columns += [Column("score", say("Score"), Kind.QUANTITY)] if facts.plan.criteria else []
    columns += [Column("decision", say("Decision"))] if facts.decided_on else []

    def cells(one: ProjectInFigures) -> dict[str, Cell]:
        stated, why = facts.stated[one.project_id], why_project(telling, one)
        return {
            "name": Cell(telling.label(one)), "years": Cell(_years(telling, one)),
            "then": Cell(one.cost_at_price_year), "from": Cell(_basis(telling, stated)),
            "cost": Cell(one.cost, None if one.cost is None else why), "kind": Cell(kinds[one.spending]),
            "score": Cell() if one.score is None else Cell(Measured(one.score, "each"), why),
            "decision": Cell(decided_words(telling, stated.decision)),
        }  # fmt: skip

    rows = [
        Row(
            project_key(one.number), tuple(found[column.key] for column in columns),
            note=_said(telling, facts.stated[one.project_id]),
        )
        for one in facts.figures.projects
        for found in [cells(one)]
    ]  # fmt: skip
    keys = tuple(one.key for one in rows)
    found = facts.figures.projects
    sums = {
        "name": Cell(say("Total")),
        "then": Cell(
            money_sum([one.cost_at_price_year for one in found], facts.currency), computed=Rows(keys)
        ),
        "cost": Cell(money_sum([one.cost for one in found], facts.currency), computed=Rows(keys)),
    }
    rows.append(Row("total", tuple(sums.get(one.key, Cell()) for one in columns), Weight.TOTAL))
    return Table(PROJECTS, say("Projects"), tuple(columns), tuple(rows), tuple(_notes(telling)))


def _basis(telling: Telling, stated: PlanProject) -> str:
    """What the cost rests on."""
    if stated.cost is not None:
        return telling.say("stated")
    return telling.say("its estimate") if stated.estimate_id is not None else telling.say("its assets")


def _notes(telling: Telling) -> Iterator[str]:
    facts = telling.facts
    missing = [one for one in facts.figures.projects if one.cost_at_price_year is None]
    undated = [one for one in facts.figures.projects if one.year is None]
    if missing:
        yield telling.say(
            "Without a cost, and so in no sum: %(projects)s.",
            projects=telling.listed(map(telling.label, missing)),
        )
    if undated:
        yield telling.say(
            "Without a year, and so in no sum of costs as dated: %(projects)s.",
            projects=telling.listed(map(telling.label, undated)),
        )


def _said(telling: Telling, stated: PlanProject) -> str:
    """What the planner and those who decided have written of a project."""
    say = telling.say
    found = []
    if stated.decision is not None and stated.decision.conditions:
        found.append(say("Conditions: %(text)s", text=as_sentence(stated.decision.conditions)))
    if stated.required and stated.latest is not None:
        found.append(say("Must be begun by %(year)s.", year=stated.latest))
    elif stated.required:
        found.append(say("Must be done."))
    for need in stated.prerequisites:
        first = telling.label(telling.facts.stated[need.project_id])
        found.append(
            say("Needs first: %(project)s.", project=first)
            if not need.years_before
            else telling.counted(
                "Needs first, by one year: %(project)s.", "Needs first, by %(number)s years: %(project)s.",
                need.years_before, project=first,
            )
        )  # fmt: skip
    if stated.together_with:
        found.append(say("Goes together with: %(name)s.", name=stated.together_with))
    replaced = list(_replaced(telling, stated))
    if replaced:
        found.append(say("Replaces: %(assets)s.", assets=telling.listed(replaced)))
    if stated.note:
        found.append(as_sentence(stated.note))
    return " ".join(found)


def _replaced(telling: Telling, stated: PlanProject) -> Iterator[str]:
    """The assets that a project renews, each with the year in which it is due."""
    say, assets = telling.say, telling.facts.assets
    for asset in (assets[one] for one in stated.asset_ids if one in assets):
        told = {"asset": asset_name(asset), "year": asset.due_in}
        if asset.due_in is None:
            yield say("%(asset)s, not known when due", **told)
        elif asset.due_in < telling.facts.plan.first_year:
            yield say("%(asset)s, overdue since %(year)s", **told)
        else:
            yield say("%(asset)s, due in %(year)s", **told)
