"""What was decided on the projects of a capital plan, with the sums of what was approved, deferred and declined."""

from collections.abc import Iterator, Sequence

from swardcost_model.capital_plans import Decided, PlanProject
from swardcost_model.plan_figures import ProjectInFigures

from swardcost_api.packets.capital.projects import PROJECTS, project_key
from swardcost_api.packets.capital.telling import Telling
from swardcost_api.packets.document import Cell, Column, Kind, Part, Row, Section, Table, Weight
from swardcost_api.packets.relations import Rows, SameAs
from swardcost_api.packets.telling import money_sum


def decisions(telling: Telling) -> Iterator[Part]:
    """What was decided, by kind of decision, with the costs as dated; nothing of a draft."""
    say, facts = telling.say, telling.facts
    if not facts.decided_on:
        return
    yield Section("decisions", say("Decisions"))
    columns = (
        Column("name", say("Project")), telling.money("cost", say("Cost as dated")),
        Column("to", say("Deferred to")), Column("conditions", say("Conditions")), Column("by", say("By")),
        Column("on", say("Decided on"), Kind.DATE),
    )  # fmt: skip
    titles: dict[Decided | None, str] = {
        Decided.APPROVED: say("Approved"), Decided.DEFERRED: say("Deferred"), Decided.DECLINED: say("Declined"),
        None: say("To be decided"),
    }  # fmt: skip
    rows: list[Row] = []
    groups: list[str] = []
    for decided, title in titles.items():
        of_kind = [
            one for one in facts.figures.projects
            if _decided(facts.stated[one.project_id]) is decided
        ]  # fmt: skip
        if of_kind:
            name = "waiting" if decided is None else decided.value
            groups.append(f"{name}-all")
            rows += _decided_rows(telling, of_kind, name, title)
    costs = [one.cost for one in facts.figures.projects]
    total = Cell(money_sum(costs, facts.currency), computed=Rows(tuple(groups)))
    rows.append(Row("total", (Cell(say("Total")), total, *[Cell()] * 4), Weight.TOTAL))
    notes = (say("Projects without a year or a cost are in no sum."),) if None in costs else ()
    yield Table("decisions-by-line", say("Decisions line by line"), columns, tuple(rows), notes)


def _decided(stated: PlanProject) -> Decided | None:
    return None if stated.decision is None else stated.decision.decided


def _decided_rows(
    telling: Telling, found: Sequence[ProjectInFigures], name: str, title: str
) -> Iterator[Row]:
    yield Row(f"{name}-head", (Cell(title), *[Cell()] * 5), Weight.HEADING)
    for one in found:
        decision, key = telling.facts.stated[one.project_id].decision, project_key(one.number)
        cost = Cell(one.cost, computed=None if one.cost is None else SameAs(PROJECTS, key, "cost"))
        if decision is None:
            yield Row(key, (Cell(telling.label(one)), cost, *[Cell()] * 4))
            continue
        to = None if decision.deferred_to is None else str(decision.deferred_to)
        yield Row(key, (
            Cell(telling.label(one)), cost, Cell(to), Cell(decision.conditions or None), Cell(decision.decided_by),
            Cell(decision.decided_at.date()),
        ))  # fmt: skip
    keys = tuple(project_key(one.number) for one in found)
    label = telling.say("Sum: %(what)s", what=title)
    total = Cell(money_sum([one.cost for one in found], telling.facts.currency), computed=Rows(keys))
    yield Row(f"{name}-all", (Cell(label), total, *[Cell()] * 4), Weight.SUBTOTAL)
