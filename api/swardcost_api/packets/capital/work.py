"""What is done in each year of a capital plan: the projects, or their phases, that its spending is made of."""

from collections.abc import Iterator
from dataclasses import dataclass

from swardcost_model.plan_figures import PhaseOfProject, ProjectInFigures
from swardcost_model.values import Money

from swardcost_api.packets.capital.projects import project_key, why_project
from swardcost_api.packets.capital.telling import WORK, Telling, year_key
from swardcost_api.packets.document import Cell, Column, Kind, Paragraph, Part, Row, Section, Table, Weight
from swardcost_api.packets.relations import Rows
from swardcost_api.packets.telling import money_sum
from swardcost_api.packets.values import Share


@dataclass(frozen=True, slots=True)
class Phased:
    """A phase of a project, its place from 1, and what it costs, where the project has a cost."""

    project: ProjectInFigures
    place: int
    cost: PhaseOfProject | None

    @property
    def year(self) -> int | None:
        """The year in which it is done."""
        return None if self.project.year is None else self.project.year + self.place - 1

    @property
    def key(self) -> str:
        """The key of its row."""
        return f"{project_key(self.project.number)}-{self.place}"

    @property
    def cost_in_year(self) -> Money | None:
        """In the money of its year."""
        return None if self.cost is None else self.cost.cost


def phased(telling: Telling) -> list[Phased]:
    """All phases of all projects, by number."""
    return [
        Phased(one, place, one.phases[place - 1] if one.phases else None)
        for one in telling.facts.figures.projects
        for place in range(1, len(telling.facts.stated[one.project_id].phases) + 1)
    ]


def work_by_year(telling: Telling) -> Iterator[Part]:
    """The work of each year, and what is not dated; nothing of a plan without projects."""
    found = phased(telling)
    if not found:
        return
    say = telling.say
    yield Section("work", say("What is done in each year"))
    yield Paragraph(say("What the spending of each year is made of, in the money of that year."))
    yield _table(telling, found)


def _table(telling: Telling, found: list[Phased]) -> Table:
    say, years = telling.say, telling.facts.counted.years
    columns = (
        Column("phase", say("Project")), Column("part", say("Part of the cost"), Kind.PERCENT),
        telling.money("then", say("Cost at the prices of %(year)s", year=telling.facts.counted.price_year)),
        telling.money("cost", say("Cost in the year")), Column("closed", say("Days of closure"), Kind.COUNT),
    )  # fmt: skip
    rows: list[Row] = []
    sums: list[str] = []
    for year in years:
        of_year = [one for one in found if one.year == year]
        if of_year:
            rows += _group(telling, of_year, year_key(year), str(year))
            sums.append(f"{year_key(year)}-all")
    total = money_sum([one.cost_in_year for one in found], telling.facts.currency)
    label = say("Total, %(years)s", years=telling.span(years[0], years[-1]))
    rows.append(Row(
        "total", (Cell(label), Cell(), Cell(), Cell(total, computed=Rows(tuple(sums))), Cell()), Weight.TOTAL
    ))  # fmt: skip
    undated = [one for one in found if one.year is None]
    if undated:
        rows += _group(telling, undated, "undated", say("Not dated, and not in its total"))
    notes: tuple[str, ...] = ()
    if any(one.cost is None for one in found):
        notes = (say("Where no cost stands it is not known, and is in no sum."),)
    return Table(WORK, say("What is done in each year"), columns, tuple(rows), notes)


def _group(telling: Telling, found: list[Phased], key: str, title: str) -> Iterator[Row]:
    yield Row(f"{key}-head", (Cell(title), *[Cell()] * 4), Weight.HEADING)
    yield from (_row(telling, one) for one in found)
    if any(one.year is None for one in found):
        return
    keys = Rows(tuple(one.key for one in found))
    costs, currency = [one.cost_in_year for one in found], telling.facts.currency
    then = [None if one.cost is None else one.cost.cost_at_price_year for one in found]
    yield Row(f"{key}-all", (
        Cell(telling.say("Sum: %(what)s", what=title)), Cell(), Cell(money_sum(then, currency), computed=keys),
        Cell(money_sum(costs, currency), computed=keys),
        Cell(sum(_closed(telling, one) for one in found), computed=keys),
    ), Weight.SUBTOTAL)  # fmt: skip


def _closed(telling: Telling, one: Phased) -> int:
    return telling.facts.stated[one.project.project_id].phases[one.place - 1].closure_days


def _row(telling: Telling, one: Phased) -> Row:
    phases, label = telling.facts.stated[one.project.project_id].phases, telling.label(one.project)
    if len(phases) > 1:
        label = telling.say("%(project)s, phase %(phase)s", project=label, phase=one.place)
    why = None if one.cost_in_year is None else why_project(telling, one.project)
    return Row(one.key, (
        Cell(label), Cell(Share(phases[one.place - 1].percent)),
        Cell(None if one.cost is None else one.cost.cost_at_price_year), Cell(one.cost_in_year, why),
        Cell(_closed(telling, one)),
    ))  # fmt: skip
