"""The contingency that a simulation speaks for, against what an estimate carries."""

from decimal import Decimal

from swardcost_model.estimates import LinePart, MarkupKind
from swardcost_model.simulations import SimulatedFigures

from swardcost_api.packets.document import Cell, Column, Kind, Row, Table, Weight
from swardcost_api.packets.estimate.tables import line_label
from swardcost_api.packets.estimate.telling import Telling
from swardcost_api.packets.relations import Columns, Rows
from swardcost_api.packets.trade_words import markup_name, part_name
from swardcost_api.packets.values import Share, one_place, share

NEEDED = "contingency"
ONCE = ", mobilization"
"""What a simulation adds to the name of what is agreed once."""


def item_name(telling: Telling, name: str) -> str:
    """What a simulation calls an item, as readers know it; events have the names that they were given."""
    words = telling.writing.words
    if name in list(MarkupKind):
        return markup_name(words, MarkupKind(name))
    lines = telling.facts.by_simulated_name
    line = lines.get(name) or lines.get(name.removesuffix(ONCE))
    if line is None:
        return name
    told = telling.say("%(work)s: %(item)s", work=line.scope_item, item=line_label(telling, line))
    if name in lines:
        return told
    return telling.say("%(name)s: %(part)s", name=told, part=part_name(words, LinePart.MOBILIZATION))


def contingency_words(telling: Telling, figures: SimulatedFigures) -> str:
    """What is needed and what is carried, in two sentences."""
    needed = figures.contingency
    names = {
        "percent": telling.shown(share(needed.confidence_percent)), "needed": telling.shown(needed.needed),
        "carried": telling.shown(needed.carried), "short": telling.shown(needed.short),
        "more": telling.shown(-needed.short),
    }  # fmt: skip
    told = (
        telling.say(
            "To be enough in %(percent)s of the trials, a contingency of %(needed)s is needed.", **names
        )
        if telling.facts.estimate.complete
        else telling.say(
            "To be enough for the part that is priced in %(percent)s of the trials, a contingency of %(needed)s is "
            "needed.",
            **names,
        )
    )
    carried = (
        telling.say("The estimate carries %(carried)s, which is %(short)s short.", **names)
        if needed.short.amount > 0
        else telling.say("The estimate carries %(carried)s, which is %(more)s more.", **names)
    )
    return f"{told} {carried}"


def contingency(telling: Telling, figures: SimulatedFigures) -> Table:
    """What is needed beside what is carried."""
    say, found = telling.say, figures.contingency
    steps = (*figures.derivation, *found.derivation)
    why = telling.why("contingency", say("The contingency needed"), steps)
    columns = (
        Column("what", say("Contingency")), telling.money("needed", say("Needed")),
        telling.money("carried", say("Carried")), telling.money("short", say("Shortfall; below zero is a surplus")),
    )  # fmt: skip
    label = say("Enough in %(percent)s of the trials", percent=telling.shown(share(found.confidence_percent)))
    row = Row("confidence", (
        Cell(label), Cell(found.needed, why), Cell(found.carried, why),
        Cell(found.short, why, Columns(("needed",), ("carried",))),
    ))  # fmt: skip
    return Table(NEEDED, say("Contingency needed and carried"), columns, (row,))


def contingency_parts(telling: Telling, figures: SimulatedFigures) -> Table:
    """What is needed over the items, by what each adds to the uncertainty."""
    say, found = telling.say, figures.contingency
    columns = (
        Column("what", say("What it is for")), Column("percent", say("Share of the uncertainty"), Kind.PERCENT),
        telling.money("amount", say("Of the contingency")),
    )  # fmt: skip
    rows = []
    for number, one in enumerate(found.parts, start=1):
        name = item_name(telling, one.item)
        why = telling.why(f"part-{number}", say("Contingency for: %(name)s", name=name), one.derivation)
        note = say("It makes the total less uncertain and has no part.") if one.lowers else ""
        percent = Share(one_place(one.variance_percent))
        rows.append(Row(f"part-{number}", (Cell(name), Cell(percent, why), Cell(one.amount, why)), note=note))
    follows = Rows(tuple(row.key for row in rows))
    known = sum((one.amount.amount for one in found.parts), Decimal())
    total = Cell(found.needed, computed=follows if known == found.needed.amount else None)
    rows.append(Row("needed", (Cell(say("Contingency needed")), Cell(), total), Weight.TOTAL))
    return Table("contingency-parts", say("The contingency by what is uncertain"), columns, tuple(rows))
