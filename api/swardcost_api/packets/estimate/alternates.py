"""The alternates of an estimate, each with what it changes; and its direct cost under other headings."""

from collections.abc import Callable, Iterator, Sequence

from swardcost_model.alternates import AlternateMove, PricedAlternate
from swardcost_model.estimates import Subtotal
from swardcost_model.values import Money

from swardcost_api.packets.document import Cell, Column, Paragraph, Part, Row, Section, Table, Weight
from swardcost_api.packets.estimate.tables import COST, TOTAL, sum_cell
from swardcost_api.packets.estimate.tables import DIRECT as DIRECT_ROW
from swardcost_api.packets.estimate.telling import Telling
from swardcost_api.packets.relations import Columns, Rows, SameAs
from swardcost_api.packets.trade_words import alternate_kind_name, area_kind_name, item_kind_name


def alternates(telling: Telling) -> Iterator[Part]:
    """What each alternate changes, taken or not."""
    say, found = telling.say, telling.facts.estimate.alternates
    yield Section("alternates", say("Alternates"))
    if not found:
        yield Paragraph(say("No alternates were priced with this estimate."))
        return
    taken = sum(one.taken for one in found)
    yield Paragraph(
        telling.counted(
            "%(number)s alternate was priced; %(taken)s of them is in the total.",
            "%(number)s alternates were priced; %(taken)s of them are in the total.",
            len(found), taken=telling.shown(taken),
        )
    )  # fmt: skip
    yield Paragraph(
        say(
            "Each difference is the total with the alternate less the total without it, all else as it is. "
            "Differences of several do not add up, since whole loads, price breaks and visits depend on what else "
            "is bought."
        )
    )
    yield _table(telling, found)


def other_headings(telling: Telling) -> Iterator[Part]:
    """The direct cost by kind of cost, ground, hole and account."""
    say, found = telling.say, telling.facts.estimate.subtotals
    words = telling.writing.words
    headings: tuple[tuple[str, str, str, Sequence[Subtotal], Callable[[str | None], str]], ...] = (
        ("by-kind", say("Direct cost by what is paid for"), say("Kind"), found.by_item_kind,
         lambda key: item_kind_name(words, key)),
        ("by-ground", say("Direct cost by ground"), say("Ground"), found.by_area_kind,
         lambda key: area_kind_name(words, key)),
        ("by-hole", say("Direct cost by hole"), say("Hole"), found.by_hole,
         lambda key: say("On no hole") if key is None else say("Hole %(number)s", number=key)),
        ("by-account", say("Direct cost by ledger account"), say("Account"), found.by_account,
         lambda key: say("Without an account") if key is None else key),
    )  # fmt: skip
    shown = [one for one in headings if len(one[3]) > 1]
    if shown:
        yield Section("other-headings", say("The same cost under other headings"), 3)
    for name, caption, title, subtotals, called in shown:
        rows = [
            Row(f"r{number}", (Cell(called(one.key)), Cell(one.amount)))
            for number, one in enumerate(subtotals, start=1)
        ]
        follows = Rows(tuple(row.key for row in rows))
        total = Cell(telling.facts.estimate.direct, computed=follows)
        rows.append(Row(DIRECT_ROW, (Cell(say("Direct cost")), total), Weight.TOTAL))
        columns = (Column("what", title), telling.money("amount", say("Direct cost")))
        yield Table(name, caption, columns, tuple(rows))


def _table(telling: Telling, found: Sequence[PricedAlternate]) -> Table:
    say, estimate = telling.say, telling.facts.estimate
    total = None if telling.facts.nothing_priced else estimate.total
    columns = (
        Column("what", say("Alternate")), Column("kind", say("What it does")), Column("taken", say("Taken")),
        telling.money("difference", say("Difference")), telling.money("cash", say("Of which cash")),
        telling.money("total", say("Total of this estimate")),
        telling.money("otherwise", say("Total if decided otherwise")),
    )  # fmt: skip
    rows = []
    for one in found:
        key = f"alternate-{one.number}"
        difference, cash, otherwise = _told(one), _told(one, cash=True), Cell()
        if total is not None and one.complete and (estimate.complete or one.total_otherwise.amount):
            follows = Columns(("total",), ("difference",)) if one.taken else Columns(("total", "difference"))
            due = total - one.difference if one.taken else total + one.difference
            otherwise = Cell(one.total_otherwise, computed=follows if due == one.total_otherwise else None)
        rows.append(
            Row(key, (
                Cell(say("%(number)s. %(name)s", number=one.number, name=one.name)),
                Cell(alternate_kind_name(telling.writing.words, one.kind)), Cell(telling.yes_or_no(one.taken)),
                Cell(difference), Cell(cash), sum_cell(total, SameAs(COST, TOTAL, "amount")), otherwise,
            ), note=_note(telling, one))
        )  # fmt: skip
    notes = []
    if total is not None and not estimate.complete:
        notes.append(say("The totals are without what has no price, no size or no rate."))
    if any(row.cells[-1].value is None for row in rows):
        notes.append(
            say(
                "“Total if decided otherwise” is empty where what differs is not whole, and where nothing of what "
                "remains is priced."
            )
        )
    return Table("alternates-table", say("What each alternate changes"), columns, tuple(rows), tuple(notes))


def _told(one: PricedAlternate, *, cash: bool = False) -> Money | None:
    """What an alternate changes; `None` where nothing of what differs is priced."""
    if not one.complete and not one.difference.amount and not one.cash_difference.amount:
        return None
    return one.cash_difference if cash else one.difference


def _note(telling: Telling, one: PricedAlternate) -> str:
    say, notes = telling.say, []
    if one.choose_one:
        notes.append(say("At most one of the group “%(group)s” is taken.", group=one.choose_one))
    brought, dropped = (_moved(one.moves_with, moves) for moves in ("in", "out"))
    if brought:
        notes.append(say("With it comes: %(names)s.", names=telling.listed(brought)))
    if dropped:
        notes.append(say("With it goes: %(names)s.", names=telling.listed(dropped)))
    if not one.complete:
        notes.append(say("The difference is not whole: something that differs has no price, size or rate."))
    return " ".join(notes)


def _moved(moves: Sequence[AlternateMove], way: str) -> list[str]:
    return [one.name for one in moves if one.moves == way]
