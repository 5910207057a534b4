"""What the readers of an estimate packet are asked, its main figures, and what is in it and what is not."""

from collections.abc import Collection, Iterator, Sequence
from datetime import date
from decimal import Decimal
from uuid import UUID

from swardcost_model.estimates import EstimateLineDetail, EstimateStatus
from swardcost_model.values import Money

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
    Step,
    Table,
    Weight,
)
from swardcost_api.packets.estimate.gaps import gap_sentences
from swardcost_api.packets.estimate.tables import (
    COST,
    DIRECT,
    LINES,
    TOTAL,
    known_cash,
    known_sum,
    part_without_size,
    scope_item_key,
    scope_items,
    sum_cell,
)
from swardcost_api.packets.estimate.telling import Telling, given
from swardcost_api.packets.estimate.totals import estimated, not_whole, with_total
from swardcost_api.packets.relations import Rows, SameAs
from swardcost_api.packets.telling import as_sentence, money_sum
from swardcost_api.packets.values import share


def decision(telling: Telling) -> Iterator[Part]:
    """What is to be decided, and the figures to decide it by."""
    say, estimate = telling.say, telling.facts.estimate
    yield Section("decision", say("What is asked"))
    yield Paragraph(telling.writing.decision_asked or _asked_by_state(telling), "ask")
    yield Paragraph(_lead(telling), "lead")
    yield Figures(tuple(_figures(telling)))
    if not telling.facts.nothing_priced and not has_ranges(telling):
        yield Paragraph(_without_ranges(telling))
    if estimate.superseded_by is not None:
        yield Paragraph(
            say("A later revision of this estimate was issued. This one is kept for the record only.")
        )
    if not estimate.complete and not telling.facts.nothing_priced:
        yield Paragraph(say("The estimate has gaps: what has no price, no size or no rate is in no sum."))
    if estimate.incomplete_because:
        yield Paragraph(
            say(
                "It was issued with gaps because: %(reason)s",
                reason=as_sentence(estimate.incomplete_because),
            )
        )


def included(telling: Telling) -> Iterator[Part]:
    """The scope item by item, and what is left out of it."""
    say, facts = telling.say, telling.facts
    basis = facts.quality.basis
    yield Section("included", say("What is in it"))
    if basis.scope_note:
        yield Paragraph(basis.scope_note)
    yield _scope_table(telling)
    yield Section("not-included", say("What is not in it"))
    if basis.exclusions:
        yield Listing(telling.entries([as_sentence(one) for one in basis.exclusions]))
    else:
        yield Paragraph(say("Nobody has stated what is left out."))
    left = [one for one in facts.estimate.alternates if not one.taken]
    if left:
        yield Paragraph(
            say("Alternates that are not taken: %(names)s.", names=telling.listed(one.name for one in left))
        )
    gaps = gap_sentences(telling)
    if gaps:
        yield Paragraph(say("These gaps are in no figure of this packet:"))
        yield Listing(telling.entries(gaps))


def has_ranges(telling: Telling) -> bool:
    """Whether the total differs at the ends of the ranges of prices."""
    estimate = telling.facts.estimate
    return not estimate.low_total == estimate.high_total == estimate.total


def _asked_by_state(telling: Telling) -> str:
    say, estimate = telling.say, telling.facts.estimate
    names = {"number": estimate.number, "revision": estimate.revision, "total": with_total(telling)}
    if estimate.superseded_by is not None and estimate.decided_at is None:
        return say(
            "Nothing is to be decided on estimate %(number)s, revision %(revision)s, %(total)s, because a later "
            "revision of it was issued.",
            **names,
        )
    if estimate.status is EstimateStatus.ISSUED:
        return say(
            "To accept or to decline estimate %(number)s, revision %(revision)s, %(total)s. Accepting it opens the "
            "budget of the project.",
            **names,
        )
    if estimate.status is EstimateStatus.DRAFT:
        return say(
            "Nothing is to be decided yet: estimate %(number)s, revision %(revision)s, %(total)s, is a draft and may "
            "still change.",
            **names,
        )
    assert estimate.decided_at is not None
    names |= {"day": telling.shown(estimate.decided_at.date()), "name": estimate.decided_by or ""}
    decided = (
        say(
            "Nothing is left to decide: estimate %(number)s, revision %(revision)s, %(total)s, was accepted on "
            "%(day)s by %(name)s.",
            **names,
        )
        if estimate.status is EstimateStatus.ACCEPTED
        else say(
            "Nothing is left to decide: estimate %(number)s, revision %(revision)s, %(total)s, was declined on "
            "%(day)s by %(name)s.",
            **names,
        )
    )  # fmt: skip
    if not estimate.decision_note:
        return decided
    return say("%(decided)s Note: %(note)s", decided=decided, note=as_sentence(estimate.decision_note))


def _without_ranges(telling: Telling) -> str:
    """That prices have no ranges; those that are stated for the simulation are told elsewhere."""
    say, stated = telling.say, telling.facts.stated
    if stated.figures or stated.events:
        return say(
            "The price list gives no price as a range, so there is no lowest and highest total. What is uncertain is "
            "stated for the simulation, see “%(section)s”.",
            section=say("How far off it may be"),
        )
    return say("The price list gives no price as a range, so there is no lowest and highest total.")


def _lead(telling: Telling) -> str:
    say, facts, told = telling.say, telling.facts, estimated(telling)
    if facts.nothing_priced:
        return told
    band = facts.quality.band
    if band is None:
        return say("%(told)s No class is stated, so it is not said how far off it may be.", told=told)
    names = {
        "told": told, "number": band.estimate_class, "low": telling.shown(band.low), "high": telling.shown(band.high),
    }  # fmt: skip
    if facts.estimate.complete:
        return say(
            "%(told)s It is an estimate of class %(number)s; the final cost of such estimates usually lies between "
            "%(low)s and %(high)s.",
            **names,
        )
    return say(
        "%(told)s It is an estimate of class %(number)s; the final cost of the part that is priced usually lies "
        "between %(low)s and %(high)s; what is missing is in neither.",
        **names,
    )


def _figures(telling: Telling) -> Iterator[Figure]:
    say, facts = telling.say, telling.facts
    if facts.nothing_priced:
        yield Figure(say("Total"), say("Cannot be told yet"))
    else:
        yield from _totals(telling)
    stated, band = facts.quality.basis.estimate_class, facts.quality.band
    if stated is None:
        return
    label = say("Class, from 5 (least defined) to 1")
    known = say("Class %(number)s", number=stated)
    if band is None:
        yield Figure(label, known)
        return
    why = telling.why_typed("class", say("The class of the estimate"), *_band_steps(telling))
    ends = {"low": _signed(telling, band.low_percent), "high": _signed(telling, band.high_percent)}
    note = (
        say("%(low)s to %(high)s of the total", **ends)
        if facts.estimate.complete
        else say("%(low)s to %(high)s of the part that is priced", **ends)
    )
    yield Figure(label, known, why, note=note)


def _totals(telling: Telling) -> Iterator[Figure]:
    say, estimate, note = telling.say, telling.facts.estimate, not_whole(telling)
    total = telling.why_typed("total", say("The total"), _total_step(telling, "Total", "amount"))
    yield Figure(say("Total"), estimate.total, total, (COST, TOTAL, "amount"), note)
    cash = telling.why_typed("cash-total", say("The cash total"), _total_step(telling, "Cash total", "cash"))
    yield Figure(say("Of which cash"), estimate.cash_total, cash, (COST, TOTAL, "cash"), note)
    if has_ranges(telling):
        low, high = _at_ends(telling)
        yield Figure(say("At the lowest prices"), estimate.low_total, low, note=note)
        yield Figure(say("At the highest prices"), estimate.high_total, high, note=note)


def _total_step(telling: Telling, name: str, what: str) -> Step:
    estimate, markups = telling.facts.estimate, telling.facts.estimate.markups
    cash = what == "cash"
    total = estimate.cash_total if cash else estimate.total
    added = money_sum((one.cash_amount if cash else one.amount for one in markups), telling.facts.currency)
    inputs = (given("direct cost", total - added), given("markups", added))
    return Step(name, total, "direct cost + markups", inputs, "the lines and markups of this estimate")


def _at_ends(telling: Telling) -> tuple[str | None, str | None]:
    """The derivations of the totals at the ends of the prices' ranges."""
    say, facts = telling.say, telling.facts
    estimate, lines = facts.estimate, facts.lines
    found = []
    for key, title, total, amounts in (
        (
            "low-total",
            say("The total at the lowest prices"),
            estimate.low_total,
            [one.low_amount for one in lines],
        ),
        (
            "high-total",
            say("The total at the highest prices"),
            estimate.high_total,
            [one.high_amount for one in lines],
        ),
    ):
        direct = money_sum(amounts, facts.currency)
        ranged = sum(one.low_amount != one.high_amount for one in lines)
        inputs = (
            given("lines at that end", direct), given("lines with a range", ranged),
            given("markups at the same rates", total - direct),
        )  # fmt: skip
        step = Step(
            title, total, "lines at that end + markups at the same rates", inputs,
            "the lowest and highest prices of the edition",
        )  # fmt: skip
        found.append(telling.why_typed(key, title, step))
    return found[0], found[1]


def _band_steps(telling: Telling) -> Iterator[Step]:
    band, total = telling.facts.quality.band, telling.facts.estimate.total
    assert band is not None
    ends: tuple[tuple[str, Decimal, Money], ...] = (
        ("low", band.low_percent, band.low),
        ("high", band.high_percent, band.high),
    )
    for name, percent, amount in ends:
        inputs = (given("total", total), given(f"{name} percent", share(percent)))
        yield Step(name, amount, f"total x (1 + {name} percent / 100)", inputs, band.source)


def _signed(telling: Telling, percent: Decimal) -> str:
    shown = telling.shown(share(percent))
    return f"+{shown}" if percent > 0 else shown


def _scope_table(telling: Telling) -> Table:
    say, currency, scheduled = telling.say, telling.facts.currency, telling.facts.scheduled
    columns = (
        Column("what", say("Work")), Column("first", say("First day"), Kind.DATE),
        Column("last", say("Last day"), Kind.DATE), telling.money("amount", say("Direct cost")),
        telling.money("cash", say("Cash")),
    )  # fmt: skip
    rows = []
    for number, lines in enumerate(scope_items(telling), start=1):
        key, first, last = scope_item_key(number), *_days(telling, lines)
        amount = known_sum((one.amount for one in lines), currency)
        rows.append(
            Row(key, (
                Cell(lines[0].scope_item), Cell(first), Cell(last),
                sum_cell(amount, SameAs(LINES, key, "amount")),
                sum_cell(known_cash(lines, currency), SameAs(LINES, key, "cash")),
            ), note=_missing(telling, lines))
        )  # fmt: skip
    follows = Rows(tuple(row.key for row in rows))
    direct = None if telling.facts.nothing_priced else telling.facts.estimate.direct
    rows.append(
        Row(DIRECT, (
            Cell(say("Direct cost")), Cell(), Cell(), sum_cell(direct, follows),
            sum_cell(known_cash(telling.facts.lines, currency), follows),
        ), Weight.TOTAL)
    )  # fmt: skip
    notes = _notes_on_days(telling, {line.scope_item_id for line in telling.facts.lines}, scheduled)
    return Table("scope", say("The work and its direct cost, before markups"), columns, tuple(rows), notes)


def _days(telling: Telling, lines: Sequence[EstimateLineDetail]) -> tuple[date, date]:
    """First and last day of a scope item: those of the schedule, or where it has none those it is priced for."""
    task = telling.facts.scheduled.get(lines[0].scope_item_id)
    if task is not None:
        return task.starts_on, task.finishes_on
    return min(one.starts_on for one in lines), max(one.ends_on for one in lines)


def _notes_on_days(telling: Telling, shown: Collection[UUID], scheduled: Collection[UUID]) -> tuple[str, ...]:
    """Where the days of a table of scope items are from."""
    say = telling.say
    on_schedule = sum(one in scheduled for one in shown)
    if not shown:
        return ()
    if not on_schedule:
        return (say("The days are those planned in the scope, not those of a schedule."),)
    section = say("When it is done")
    if on_schedule == len(shown):
        return (say("The days are those of the schedule, see “%(section)s”.", section=section),)
    return (
        say(
            "The days are those of the schedule, see “%(section)s”; of work that it leaves out, those planned in the "
            "scope.",
            section=section,
        ),
    )


def _missing(telling: Telling, lines: Sequence[EstimateLineDetail]) -> str:
    """What of a scope item has no amount, in words; empty where all of it has one."""
    missing = [one for one in lines if one.amount is None]
    if len(missing) < len(lines):
        unpriced = any(one.quantity is not None for one in missing)
        notes = (
            telling.say("Part of it has no price.") if unpriced else "",
            part_without_size(telling, lines),
        )
        return " ".join(filter(None, notes))
    if all(one.quantity is None for one in lines):
        return telling.say("It has no size, so nothing of it is priced.")
    return telling.say("None of it has a price.")
