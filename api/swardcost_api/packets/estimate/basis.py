"""What an estimate rests on: its assumptions, prices and chosen quotes, and how it answers a checklist."""

from collections.abc import Iterator, Sequence

from swardcost_model.estimate_quality import CheckId, ChoiceOnEstimate, DoubtfulPrice

from swardcost_api.estimates.service import FIRM_PERCENT
from swardcost_api.packets.document import (
    Cell,
    Column,
    Figure,
    Figures,
    Kind,
    Listing,
    Paragraph,
    Part,
    Row,
    Section,
    Table,
    Weight,
)
from swardcost_api.packets.estimate.check_words import check_question, check_source, check_state_name
from swardcost_api.packets.estimate.telling import Telling
from swardcost_api.packets.relations import Ratio, Rows
from swardcost_api.packets.telling import as_sentence
from swardcost_api.packets.trade_words import source_name
from swardcost_api.packets.values import Share, one_place, share

_OF_PRICES = (CheckId.ALL_PRICED, CheckId.PRICES_CURRENT, CheckId.PRICES_FIRM)
"""Questions that are open, or answered with no, while nothing has a price."""


def quotes(telling: Telling) -> Iterator[Part]:
    """The offers that were chosen, with the reasons."""
    say, choices = telling.say, telling.facts.quality.choices
    yield Section("quotes", say("Quotes chosen"))
    if not choices:
        none = (
            say("No quote was chosen.")
            if telling.facts.nothing_priced
            else say("No quote was chosen; all prices are those of the price list.")
        )
        yield Paragraph(none)
        return
    columns = (
        Column("what", say("Item")), Column("vendor", say("Vendor")),
        telling.money("price", say("Unit price offered")), telling.money("lump", say("Lump sum offered")),
        Column("compared", say("Offers compared"), Kind.COUNT),
    )  # fmt: skip
    rows = tuple(_choice(telling, number, one) for number, one in enumerate(choices, start=1))
    yield Table("chosen-quotes", say("Offers that take the place of the price list"), columns, rows)
    told = (
        Column("what", say("Item")), Column("reason", say("Reason")), Column("request", say("Asked for in")),
        Column("by", say("Chosen by")),
    )  # fmt: skip
    reasons = tuple(
        Row(f"choice-{number}", (
            Cell(_item(telling, one.item)), Cell(one.reason), Cell(one.quote_request),
            Cell(telling.by(one.chosen_by, one.chosen_on)),
        ))
        for number, one in enumerate(choices, start=1)
    )  # fmt: skip
    yield Table("reasons-of-choice", say("Why they were chosen"), told, reasons)


def basis(telling: Telling) -> Iterator[Part]:
    """What it is for, what is assumed, where prices come from, and what the checklist finds."""
    say, facts = telling.say, telling.facts
    found, estimate = facts.quality.basis, facts.estimate
    yield Section("basis", say("What it rests on"))
    if found.purpose:
        yield Paragraph(say("Purpose: %(purpose)s", purpose=as_sentence(found.purpose)))
    yield Figures((
        Figure(say("Price list"), estimate.edition), Figure(say("Date of its prices"), estimate.price_date),
        Figure(say("Prices judged on"), estimate.as_of), Figure(say("Work from"), estimate.starts_on),
        Figure(say("Work to"), estimate.ends_on),
        Figure(say("Prepared by"), telling.by(found.prepared_by, found.prepared_on)),
        Figure(say("Checked by"), telling.by(found.checked_by, found.checked_on)),
    ), large=False)  # fmt: skip
    for key, heading, none, stated in (
        ("assumptions", say("Assumptions"), say("No assumptions are stated."), found.assumptions),
        ("sources", say("Sources"), say("No sources are stated."), found.sources),
    ):
        yield Section(key, heading, 3)
        if stated:
            yield Listing(telling.entries([as_sentence(one) for one in stated]))
        else:
            yield Paragraph(none)
    yield from _prices(telling)
    yield from _checklist(telling)


def _choice(telling: Telling, number: int, one: ChoiceOnEstimate) -> Row:
    note = ""
    if one.rental is not None:
        note = telling.say("Hired by rates for time, of which the cheapest cover of the days is taken.")
    cells = (
        Cell(_item(telling, one.item)), Cell(one.vendor), Cell(one.unit_price), Cell(one.lump_sum),
        Cell(one.offers_compared),
    )  # fmt: skip
    return Row(f"choice-{number}", cells, note=note)


def _item(telling: Telling, code: str) -> str:
    return telling.facts.item_names.get(code, code)


def _prices(telling: Telling) -> Iterator[Part]:
    say, quality = telling.say, telling.facts.quality
    yield Section("prices", say("Where the prices come from"), 3)
    if telling.facts.nothing_priced or not quality.price_sources:
        yield Paragraph(say("Nothing is priced."))
        return
    direct = telling.facts.estimate.direct
    columns = (
        Column("what", say("Source")), telling.money("amount", say("Direct cost")),
        telling.money("whole", say("Of the direct cost")), Column("percent", say("Share"), Kind.PERCENT),
    )  # fmt: skip
    rows = []
    for number, one in enumerate(quality.price_sources, start=1):
        percent = None
        if direct.amount:
            percent = Share(one_place(one.amount.amount * 100 / direct.amount))
        follows = None if percent is None else Ratio("amount", "whole")
        rows.append(
            Row(f"source-{number}", (
                Cell(source_name(telling.writing.words, one.price_source)), Cell(one.amount), Cell(direct),
                Cell(percent, computed=follows),
            ))
        )  # fmt: skip
    keys = tuple(row.key for row in rows)
    rows.append(
        Row(
            "direct",
            (Cell(say("Direct cost")), Cell(direct, computed=Rows(keys)), Cell(), Cell()),
            Weight.TOTAL,
        )
    )
    yield Table("price-sources", say("Direct cost by where its prices come from"), columns, tuple(rows))
    for key, caption, doubtful in (
        ("old-prices", say("Prices that are old or do not hold"), quality.stale),
        ("single-quotes", say("Quotes that were compared with no other"), quality.single_source),
    ):
        if doubtful:
            yield _doubtful(telling, key, caption, doubtful)


def _doubtful(telling: Telling, key: str, caption: str, found: Sequence[DoubtfulPrice]) -> Table:
    say = telling.say
    columns = (
        Column("what", say("Item")), Column("vendor", say("Vendor")), Column("source", say("Source")),
        Column("on", say("Price of"), Kind.DATE), telling.money("amount", say("Amount")),
    )  # fmt: skip
    priced = {line.item for line in telling.facts.lines if line.amount is not None}
    rows = tuple(
        Row(f"r{number}", (
            Cell(telling.facts.item_names.get(one.item, one.description or one.item)), Cell(one.vendor),
            Cell(source_name(telling.writing.words, one.price_source)), Cell(one.priced_on),
            Cell(one.amount if one.item in priced else None),
        ))
        for number, one in enumerate(found, start=1)
    )  # fmt: skip
    return Table(key, caption, columns, rows)


def _checklist(telling: Telling) -> Iterator[Part]:
    say, quality = telling.say, telling.facts.quality
    words = telling.writing.words
    yield Section("checklist", say("Checklist"), 3)
    yield Paragraph(
        say(
            "%(met)s of %(number)s questions that apply are answered with yes.",
            met=telling.shown(quality.met), number=telling.shown(quality.of),
        )
    )  # fmt: skip
    notes = {one.check: one.note for one in quality.basis.confirmations}
    if telling.facts.nothing_priced:
        notes = dict.fromkeys(_OF_PRICES, say("Nothing is priced.")) | notes
    firm = telling.shown(share(FIRM_PERCENT))
    columns = (
        Column("what", say("Question")), Column("found", say("Found")), Column("source", say("Asked for by")),
    )  # fmt: skip
    rows = tuple(
        Row(one.id.value.replace("_", "-"), (
            Cell(check_question(words, one.id, firm)), Cell(check_state_name(words, one.state)),
            Cell(check_source(words, one.source)),
        ), note=notes.get(one.id, ""))
        for one in quality.checks
    )  # fmt: skip
    yield Table("checks", say("How the estimate answers a checklist"), columns, rows)
