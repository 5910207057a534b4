"""Where the work was done, what it did to the surface, and what was measured of it."""

from collections.abc import Iterator
from decimal import Decimal

from swardcost_model.progress import LineProgress

from swardcost_api.budgets.service import LineState
from swardcost_api.derivations import steps_for
from swardcost_api.packets.document import (
    Cell,
    Column,
    Kind,
    Listing,
    Paragraph,
    Part,
    Row,
    Section,
    Table,
    Weight,
)
from swardcost_api.packets.relations import Columns, Ratio, Rows
from swardcost_api.packets.telling import Told
from swardcost_api.packets.trade_words import area_kind_name
from swardcost_api.packets.values import Measured, Share, one_place
from swardcost_api.packets.work.facts import KnownAs, WorkFacts
from swardcost_api.packets.work.quantities import in_round

_HUNDRED = Decimal(100)
_NO_QUANTITY = (None, "lump_sum")
"""Units of lines of which only a share is told."""


def progress(telling: Told[WorkFacts]) -> Iterator[Part]:
    """What was measured line by line, before the month and by its end, beside what is planned."""
    say, facts = telling.say, telling.facts
    yield Section("progress", say("What was measured"))
    lines = {one.id: one for one in facts.work_lines}
    measured = [one for one in facts.now.lines if one.budget_line_id in lines]
    if not measured:
        yield Paragraph(say("Nothing was measured by %(day)s.", day=telling.shown(facts.until)))
    else:
        yield _progress_table(telling, measured)
        month = _month_table(telling, measured)
        if month is not None:
            yield month
    missing = [one for one in facts.work_lines if one.number in facts.now.unmeasured]
    if missing and measured:
        yield Paragraph(say("Of this work nothing is measured yet, which does not mean that none is done:"))
        yield Listing(telling.entries([line_name(telling, one) for one in missing]))


def ground(telling: Told[WorkFacts]) -> Iterator[Part]:
    """The ground by kind, and each piece of work with its days and its ground."""
    say = telling.say
    yield Section("ground", say("Where the work is"))
    table = _areas_table(telling)
    if table is not None:
        yield table
    yield _work_table(telling)
    unsized = _unsized(telling)
    if unsized:
        yield Paragraph(
            say("These areas have no size and are in no figure: %(names)s.", names=telling.listed(unsized))
        )


def surface(telling: Told[WorkFacts]) -> Iterator[Part]:
    """How much of the surface was opened, and how much is as it was before."""
    say, club = telling.say, telling.writing.club
    rows = []
    for entry, measures in telling.facts.scope:
        once, summed = measures.get("share_touched_once"), measures.get("share_sum_of_passes")
        if once is None or summed is None:
            continue
        title = say("Surface opened: %(name)s", name=entry.name)
        steps = (*steps_for(summed.derivation, club), *steps_for(once.derivation, club)[-1:])
        why = telling.why(f"surface-{entry.number}", title, steps)
        opened = one_place(Decimal(str(once.value)) * _HUNDRED)
        rows.append(
            Row(f"item-{entry.number}", (
                Cell(entry.name), Cell(Share(one_place(Decimal(str(summed.value)) * _HUNDRED)), why),
                Cell(Share(_HUNDRED)), Cell(Share(opened), why),
                Cell(Share(_HUNDRED - opened), why, Columns(("before",), ("opened",))),
            ))
        )  # fmt: skip
    yield Section("surface", say("The ground before and after"))
    if not rows:
        yield Paragraph(say("Nothing of this work tells how the ground was before and is after."))
        return
    yield Paragraph(
        say(
            "Tools that pass twice meet some ground again. The second figure is the surface that at least one pass "
            "meets, passes falling at random; the last is what stays as it was."
        )
    )
    columns = (
        Column("what", say("Work")), Column("passes", say("Opened, passes added up"), Kind.PERCENT),
        Column("before", say("Untouched before"), Kind.PERCENT),
        Column("opened", say("Opened once or more"), Kind.PERCENT),
        Column("after", say("Untouched after"), Kind.PERCENT),
    )  # fmt: skip
    yield Table("surface-opened", say("The surface before and after, as planned"), columns, tuple(rows))


def _progress_table(telling: Told[WorkFacts], measured: list[LineProgress]) -> Table:
    """The measured lines under their work."""
    say = telling.say
    columns = (
        Column("what", say("Work")), Column("done", say("Done in all"), Kind.QUANTITY),
        Column("planned", say("Planned"), Kind.QUANTITY), Column("percent", say("Of the plan"), Kind.PERCENT),
        Column("on", say("Measured on"), Kind.DATE),
    )  # fmt: skip
    lines = {one.id: one for one in telling.facts.work_lines}
    rows: list[Row] = []
    heading: str | None = None
    for one in measured:
        line = lines[one.budget_line_id]
        under, name = _heading_and_name(telling, line)
        if under is not None and under != heading:
            rows.append(Row(f"work-{one.line_number}", (Cell(under), *(Cell(),) * 4), Weight.HEADING))
        heading = under
        rows.append(_progress_row(telling, one, line, name))
    return Table("measured", say("Measured work beside the plan"), columns, tuple(rows))


def _progress_row(telling: Told[WorkFacts], one: LineProgress, line: LineState, name: str) -> Row:
    key = f"line-{one.line_number}"
    of_plan = Share(one_place(one.done * _HUNDRED / one.planned)) if one.planned else None
    if line.unit in _NO_QUANTITY:
        percent = Share(one.done) if line.unit is None else of_plan
        cells = (Cell(name), Cell(), Cell(), Cell(percent), Cell(one.measured_on))
        return Row(key, cells, note=telling.say("It is measured in percent."))
    return Row(key, (
        Cell(name), Cell(_in_its_unit(one.done, one)),
        Cell(None if one.planned is None else _in_its_unit(one.planned, one)),
        Cell(of_plan, computed=None if of_plan is None else Ratio("done", "planned")), Cell(one.measured_on),
    ))  # fmt: skip


def _month_table(telling: Told[WorkFacts], measured: list[LineProgress]) -> Table | None:
    """What was done before the month, in it and by its end, where it was measured before it and in it."""
    say, facts = telling.say, telling.facts
    month = telling.shown(facts.month)
    columns = (
        Column("what", say("Work")), Column("before", say("Done before %(month)s", month=month), Kind.QUANTITY),
        Column("during", say("Done in %(month)s", month=month), Kind.QUANTITY),
        Column("done", say("Done in all"), Kind.QUANTITY),
    )  # fmt: skip
    lines = {one.id: one for one in facts.work_lines}
    rows = []
    for one in measured:
        before, line = facts.measured_before.get(one.budget_line_id), lines[one.budget_line_id]
        if before is None or before.measured_on == one.measured_on or line.unit in _NO_QUANTITY:
            continue
        rows.append(
            Row(f"line-{one.line_number}", (
                Cell(line_name(telling, line)), Cell(_in_its_unit(before.done, one)),
                Cell(_in_its_unit(one.done - before.done, one), computed=Columns(("done",), ("before",))),
                Cell(_in_its_unit(one.done, one)),
            ))
        )  # fmt: skip
    notes = (say("Only work that was measured both before the month and in it is in this table."),)
    if not rows:
        return None
    return Table("in-the-month", say("Before the month and by its end"), columns, tuple(rows), notes)


def _in_its_unit(number: Decimal, one: LineProgress) -> Measured:
    return Measured(number, one.unit, as_bought=True)


def line_name(telling: Told[WorkFacts], line: LineState) -> str:
    """What a line is called where it stands alone: its work, and what of it."""
    under, name = _heading_and_name(telling, line)
    return name if under is None else telling.say("%(work)s: %(item)s", work=under, item=name)


def _heading_and_name(telling: Told[WorkFacts], line: LineState) -> tuple[str | None, str]:
    """The work that a line belongs to, if any, and what of that work it is."""
    work = line.scope_item
    if work is None or line.scope_item_id is None:
        return None, line.label
    if line.label != work:
        within = line.label.removeprefix(f"{work}: ")
        return (work, within) if within != line.label else (None, line.label)
    names = telling.facts.item_names.get((line.scope_item_id, line.account), ())
    return (work, telling.listed(names)) if names else (None, line.label)


def _areas_table(telling: Told[WorkFacts]) -> Table | None:
    """Areas by kind, each once however much is done on it."""
    say = telling.say
    areas = {area.id: area for entry, _ in telling.facts.scope for area in entry.areas}
    if not areas:
        return None
    work = telling.facts.estimate.work
    why = None
    if work is not None and work.area_worked is not None and telling.facts.known_as is KnownAs.ACCEPTED:
        why = telling.why("area-worked", say("Ground worked"), [work.area_worked])
    rows = []
    for kind in sorted({area.kind for area in areas.values()}):
        of_kind = [area for area in areas.values() if area.kind == kind]
        sizes = [area.size_m2 for area in of_kind if area.size_m2]
        size = in_round(sum(sizes), "square_meter") if sizes else None
        rows.append(
            Row(kind.replace("_", "-"), (
                Cell(area_kind_name(telling.writing.words, kind)), Cell(len(of_kind)),
                Cell(size, why if size else None),
            ))
        )  # fmt: skip
    follows = Rows(tuple(row.key for row in rows))
    known = [row.cells[2].value for row in rows]
    total = sum((one.value for one in known if isinstance(one, Measured)), Decimal())
    size = Measured(total, "square_meter") if any(one is not None for one in known) else None
    rows.append(
        Row("total", (
            Cell(say("Together")), Cell(len(areas), computed=follows),
            Cell(size, why if size else None, follows if size else None),
        ), Weight.TOTAL)
    )  # fmt: skip
    columns = (
        Column("what", say("Ground")), Column("count", say("Areas"), Kind.COUNT),
        Column("size", say("Size"), Kind.QUANTITY),
    )  # fmt: skip
    return Table("areas", say("The ground that is worked on, each area once"), columns, tuple(rows))


def _work_table(telling: Told[WorkFacts]) -> Table:
    say = telling.say
    rows = []
    for entry, _ in telling.facts.scope:
        size = in_round(entry.area_m2, "square_meter") if entry.area_m2 else None
        rows.append(Row(f"item-{entry.number}", (Cell(entry.name), Cell(len(entry.areas)), Cell(size))))
    columns = (
        Column("what", say("Work")), Column("count", say("Areas"), Kind.COUNT),
        Column("size", say("Size"), Kind.QUANTITY),
    )  # fmt: skip
    notes = (say("An area on which several pieces of work are done counts in each of them."),)
    return Table("work-items", say("Each piece of work and its ground"), columns, tuple(rows), notes)


def _unsized(telling: Told[WorkFacts]) -> list[str]:
    areas = {area.id: area for entry, _ in telling.facts.scope for area in entry.areas}
    return [area.name for area in areas.values() if not area.size_m2]
