"""The cost of an estimate: line by line under its scope items, then markups, and the total."""

from collections.abc import Iterable, Iterator, Sequence
from decimal import Decimal
from itertools import groupby
from operator import attrgetter

from swardcost_model.estimates import EstimateLineDetail, MarkupKind, MarkupLine, WarningKind
from swardcost_model.values import Money

from swardcost_api.packets.document import Cell, Column, Kind, Paragraph, Part, Row, Section, Table, Weight
from swardcost_api.packets.estimate.telling import Telling
from swardcost_api.packets.estimate.totals import not_whole
from swardcost_api.packets.relations import Product, Relation, Rows, SameAs
from swardcost_api.packets.telling import money_sum
from swardcost_api.packets.trade_words import markup_name, part_name
from swardcost_api.packets.values import Measured, UnitPrice, share, to_minor_unit

LINES, COST = "lines", "total-cost"
DIRECT, TOTAL = "direct", "total"


def itemised(telling: Telling) -> Iterator[Part]:
    """Every line under its scope item, and how the total follows."""
    say = telling.say
    yield Section("cost", say("What it costs"))
    yield Paragraph(
        say(
            "Each amount is quantity times unit price. “Cash” is what of it the operating budget does not pay "
            "already, such as own staff in regular hours and own machines."
        )
    )
    yield cost_table(telling)
    yield Section("line-by-line", say("Line by line"), 3)
    yield lines_table(telling)


def lines_table(telling: Telling) -> Table:
    """The lines, each scope item with its subtotal, and the direct cost."""
    say = telling.say
    columns = (
        Column("what", say("Work and item")), Column("vendor", say("Vendor")),
        Column("quantity", say("Quantity"), Kind.QUANTITY), Column("price", say("Unit price"), Kind.UNIT_PRICE),
        telling.money("amount", say("Amount")), telling.money("cash", say("Cash")),
    )  # fmt: skip
    rows: list[Row] = []
    for number, (_, found) in enumerate(_by_scope_item(telling.facts.lines), start=1):
        rows += _scope_item_rows(telling, number, list(found))
    follows = Rows(tuple(row.key for row in rows if row.weight is Weight.SUBTOTAL))
    direct = None if telling.facts.nothing_priced else telling.facts.estimate.direct
    rows.append(
        Row(DIRECT, (
            Cell(say("Direct cost")), Cell(), Cell(), Cell(), sum_cell(direct, follows),
            sum_cell(known_cash(telling.facts.lines, telling.facts.currency), follows),
        ), Weight.TOTAL)
    )  # fmt: skip
    notes = (say("A line without an amount is in no sum."),) if _unpriced(telling) else ()
    return Table(LINES, say("The work, line by line"), columns, tuple(rows), notes)


def cost_table(telling: Telling) -> Table:
    """From direct cost over the markups to the total."""
    say, estimate = telling.say, telling.facts.estimate
    columns = (
        Column("what", say("Cost")), telling.money("base", say("Base")),
        Column("percent", say("Rate"), Kind.PERCENT), telling.money("amount", say("Amount")),
        telling.money("cash", say("Cash")),
    )  # fmt: skip
    cash_direct = known_cash(telling.facts.lines, telling.facts.currency)
    if cash_direct is None:
        return Table(
            COST, say("From direct cost to the total"), columns, tuple(_costs_to_come(telling)),
            (say("Nothing is priced, so no amount is told."),),
        )  # fmt: skip
    rows = [
        Row(DIRECT, (
            Cell(say("Direct cost")), Cell(), Cell(),
            Cell(estimate.direct, computed=SameAs(LINES, DIRECT, "amount")),
            Cell(cash_direct, computed=SameAs(LINES, DIRECT, "cash")),
        ))
    ]  # fmt: skip
    added, so_far, so_far_cash = [DIRECT], estimate.direct, cash_direct
    kind_before: MarkupKind | None = None
    for number, markup in enumerate(estimate.markups, start=1):
        if markup.kind is not kind_before and markup.base == so_far and len(added) > 1:
            key = f"before-{number}"
            label = say("Cost before “%(markup)s”", markup=markup_name(telling.writing.words, markup.kind))
            rows.append(
                Row(key, (
                    Cell(label), Cell(), Cell(), Cell(so_far, computed=Rows(tuple(added))),
                    Cell(so_far_cash, computed=Rows(tuple(added))),
                ), Weight.SUBTOTAL)
            )  # fmt: skip
        rows.append(_markup_row(telling, number, markup, rows))
        added.append(f"markup-{number}")
        so_far, so_far_cash = so_far + markup.amount, so_far_cash + markup.cash_amount
        kind_before = markup.kind
        rows += _together(telling, markup.kind, number)
    follows = Rows(tuple(added))
    cash_follows = follows if so_far_cash == estimate.cash_total else None
    rows.append(
        Row(TOTAL, (
            Cell(say("Total")), Cell(), Cell(), Cell(estimate.total, computed=follows),
            Cell(estimate.cash_total, computed=cash_follows),
        ), Weight.TOTAL, not_whole(telling))
    )  # fmt: skip
    return Table(COST, say("From direct cost to the total"), columns, tuple(rows))


def known_sum(amounts: Iterable[Money | None], currency: str) -> Money | None:
    """The sum of the amounts that are known; `None` where none is, since nothing missing is read as zero."""
    known = [one for one in amounts if one is not None]
    return money_sum(known, currency) if known else None


def known_cash(lines: Iterable[EstimateLineDetail], currency: str) -> Money | None:
    """The cash of the lines that have an amount; `None` where none has."""
    return known_sum((_cash(line) for line in lines), currency)


def sum_cell(value: Money | None, follows: Relation) -> Cell:
    """A sum with how it follows from other cells; an empty one follows from nothing."""
    return Cell() if value is None else Cell(value, computed=follows)


def line_label(telling: Telling, line: EstimateLineDetail) -> str:
    """What a line is for: the item as the catalog calls it, and what of it where that is not its price."""
    name = telling.facts.item_names.get(line.item, "")
    if not name or not line.description.startswith(name):
        name = line.description or line.item
    part = part_name(telling.writing.words, line.part)
    return telling.say("%(name)s: %(part)s", name=name, part=part) if part else name


def scope_item_key(number: int) -> str:
    """The key of a scope item's subtotal, by its place among those that have lines."""
    return f"item-{number}"


def scope_items(telling: Telling) -> list[list[EstimateLineDetail]]:
    """The lines of each scope item that has any, in their order."""
    return [list(found) for _, found in _by_scope_item(telling.facts.lines)]


def part_without_size(telling: Telling, lines: Sequence[EstimateLineDetail]) -> str:
    """That areas of a scope item which has amounts are not in them; empty where all are."""
    warned = any(
        one.kind is WarningKind.MISSING_SIZE and one.scope_item_id == lines[0].scope_item_id
        for one in telling.facts.estimate.warnings
    )
    amounts = any(one.amount is not None for one in lines)
    return telling.say("Part of it has no size.") if warned and amounts else ""


def _by_scope_item(
    lines: Sequence[EstimateLineDetail],
) -> Iterator[tuple[object, Iterator[EstimateLineDetail]]]:
    yield from groupby(lines, key=attrgetter("scope_item_id"))


def _scope_item_rows(telling: Telling, number: int, lines: Sequence[EstimateLineDetail]) -> list[Row]:
    say, currency = telling.say, telling.facts.currency
    name = lines[0].scope_item
    heading = say("%(group)s: %(name)s", group=lines[0].group, name=name) if lines[0].group else name
    empty = (Cell(),) * 5
    rows = [Row(f"head-{number}", (Cell(heading), *empty), Weight.HEADING)]
    rows += [_line_row(telling, line) for line in lines]
    keys = tuple(row.key for row in rows[1:])
    amount = known_sum((line.amount for line in lines), currency)
    rows.append(
        Row(scope_item_key(number), (
            Cell(say("Together: %(name)s", name=name)), Cell(), Cell(), Cell(),
            sum_cell(amount, Rows(keys)), sum_cell(known_cash(lines, currency), Rows(keys)),
        ), Weight.SUBTOTAL, part_without_size(telling, lines))
    )  # fmt: skip
    return rows


def _line_row(telling: Telling, line: EstimateLineDetail) -> Row:
    say, label = telling.say, line_label(telling, line)
    title = say("Line %(number)s: %(name)s", number=line.number, name=label)
    why = telling.why(f"line-{line.number}", title, line.derivation)
    quantity = None if line.quantity is None else Measured(line.quantity, line.unit, as_bought=True)
    price = None
    if line.unit_price is not None:
        price = UnitPrice(line.unit_price.amount, line.unit_price.currency, line.unit)
    cells = (
        Cell(label), Cell(line.vendor), Cell(quantity, why), Cell(price),
        Cell(line.amount, None if line.amount is None else why, _product(line)), Cell(_cash(line)),
    )  # fmt: skip
    note = "" if line.amount is not None else say("It has no amount and is in no sum.")
    return Row(f"line-{line.number}", cells, note=note)


def _product(line: EstimateLineDetail) -> Relation | None:
    """How the amount follows from what is printed; an amount that is stated whole follows from nothing."""
    if line.quantity is None or line.unit_price is None or line.amount is None:
        return None
    due = to_minor_unit(line.quantity * line.unit_price.amount, line.amount.currency)
    return Product(("quantity", "price")) if due == line.amount.amount else None


def _costs_to_come(telling: Telling) -> Iterator[Row]:
    """The cost of an estimate in which nothing is priced: what it will be made of, without an amount."""
    say, empty = telling.say, Cell()
    yield Row(DIRECT, (Cell(say("Direct cost")), empty, empty, empty, empty))
    for number, markup in enumerate(telling.facts.estimate.markups, start=1):
        rate = Cell(share(markup.percent)) if markup.percent else empty
        name = markup_name(telling.writing.words, markup.kind)
        yield Row(f"markup-{number}", (Cell(name), empty, rate, empty, empty))
    yield Row(TOTAL, (Cell(say("Total")), empty, empty, empty, empty), Weight.TOTAL)


def _markup_row(telling: Telling, number: int, markup: MarkupLine, before: Sequence[Row]) -> Row:
    name = markup_name(telling.writing.words, markup.kind)
    why = telling.why(f"markup-{number}", name, markup.derivation)
    base = None if markup.kind is MarkupKind.TAX else _base_of(markup.base, before)
    due = to_minor_unit(markup.base.amount * markup.percent / Decimal(100), markup.amount.currency)
    follows = Product(("base", "percent")) if due == markup.amount.amount else None
    note = " ".join(_markup_notes(telling, markup))
    cells = (
        Cell(name), Cell(markup.base, why, base), Cell(share(markup.percent), why),
        Cell(markup.amount, why, follows), Cell(markup.cash_amount, why),
    )  # fmt: skip
    return Row(f"markup-{number}", cells, note=note)


def _together(telling: Telling, kind: MarkupKind, number: int) -> Iterator[Row]:
    """The sum of markups of one kind after the last of several."""
    of_kind = [n for n, one in enumerate(telling.facts.estimate.markups, start=1) if one.kind is kind]
    if len(of_kind) < 2 or number != of_kind[-1]:
        return
    markups = [telling.facts.estimate.markups[n - 1] for n in of_kind]
    follows = Rows(tuple(f"markup-{n}" for n in of_kind))
    label = telling.say("Together: %(name)s", name=markup_name(telling.writing.words, kind))
    currency = telling.facts.currency
    yield Row(f"together-{kind.value}", (
        Cell(label), Cell(), Cell(), Cell(money_sum((one.amount for one in markups), currency), computed=follows),
        Cell(money_sum((one.cash_amount for one in markups), currency), computed=follows),
    ), Weight.SUBTOTAL)  # fmt: skip


def _markup_notes(telling: Telling, markup: MarkupLine) -> Iterator[str]:
    """What tells a markup from others of its kind, and its account."""
    say = telling.say
    if markup.kind is MarkupKind.TAX and ": " in markup.label:
        of_class = markup.label.partition(": ")[2]
        yield say("For: %(name)s.", name=of_class) if markup.percent else say("Exempt.")
    days = next((one.value for step in markup.derivation for one in step.inputs if one.unit == "day"), None)
    if markup.kind is MarkupKind.ESCALATION and days is not None:
        yield telling.counted(
            "%(number)s day from the price to the middle of the work.",
            "%(number)s days from the price to the middle of the work.", int(Decimal(days)),
        )  # fmt: skip
    if markup.account:
        yield say("Account %(account)s.", account=markup.account)


def _base_of(base: Money, before: Sequence[Row]) -> Relation | None:
    """Where the base of a markup stands already: the direct cost, or the cost before it."""
    for row in reversed(before):
        if row.key == DIRECT or row.key.startswith("before-"):
            return SameAs(COST, row.key, "amount") if row.cells[3].value == base else None
    return None


def _cash(line: EstimateLineDetail) -> Money | None:
    return line.amount if line.cash_amount is None else line.cash_amount


def _unpriced(telling: Telling) -> bool:
    return any(line.amount is None for line in telling.facts.lines)
