"""What changed the budget and what binds it: contingency, adjustments, and orders that are open."""

from collections.abc import Iterator, Sequence

from swardcost_model.adjustments import (
    AdjustmentKind,
    AdjustmentStatus,
    AdjustmentSummary,
    ContingencyMove,
)
from swardcost_model.commitments import CommitmentRegisterRow, CommitmentStatus, MatchStatus
from swardcost_model.values import Money

from swardcost_api.packets.budget.brief import why_contingency
from swardcost_api.packets.budget.telling import CONTINGENCY, Telling, total_row
from swardcost_api.packets.document import Cell, Column, Kind, Paragraph, Part, Row, Section, Table, Weight
from swardcost_api.packets.relations import Rows
from swardcost_api.packets.telling import money_sum


def contingency(telling: Telling) -> Iterator[Part]:
    """Every draw: what for, on whose proposal and approval."""
    say, facts = telling.say, telling.facts
    yield Section("contingency", say("Contingency"))
    if not facts.has_contingency:
        yield Paragraph(say("The budget has no contingency."))
        return
    columns = (
        Column("move", say("Adjustment")), Column("day", say("In effect"), Kind.DATE), Column("what", say("What for")),
        Column("who", say("Proposed and approved")), telling.money("amount", say("Amount")),
        telling.money("left", say("Left")),
    )  # fmt: skip
    rows = [
        Row("opening", (
            Cell(say("Opening")), Cell(), Cell(say("As the accepted estimate gave it")), Cell(),
            Cell(facts.log.opening), Cell(facts.log.opening),
        )),
        *(_move(telling, one, number) for number, one in enumerate(facts.moves, start=1)),
    ]  # fmt: skip
    rows.append(Row("left", (
        Cell(say("Left on %(day)s", day=telling.day(facts.gathered.on))), Cell(), Cell(), Cell(),
        Cell(facts.contingency_left, why_contingency(telling), Rows(tuple(one.key for one in rows))), Cell(),
    ), Weight.TOTAL))  # fmt: skip
    notes = [say("Below zero is a draw; above zero is what came back or was added.")]
    yield Table(CONTINGENCY, say("Contingency log"), columns, tuple(rows), tuple(notes))
    yield from _after(telling)


def _move(telling: Telling, move: ContingencyMove, number: int) -> Row:
    say = telling.say
    what = [move.reason]
    if move.given_to:
        what.append(say("Line: %(names)s", names=telling.listed(move.given_to)))
    if move.reference:
        what.append(say("Rests on: %(reference)s", reference=move.reference))
    name = say("%(number)s. %(name)s", number=move.adjustment_number, name=kind_title(telling, move.kind))
    return Row(f"move-{number}", (
        Cell(name), Cell(move.effective_on), Cell(what[0], note=". ".join(what[1:])),
        Cell(say(
            "%(proposer)s; approved by %(approver)s on %(day)s",
            proposer=move.proposed_by, approver=move.approved_by, day=telling.day(move.approved_at.date()),
        )),
        Cell(move.amount), Cell(move.balance),
    ), note=say("Work that nobody had planned") if move.unplanned else "")  # fmt: skip


def _after(telling: Telling) -> Iterator[Part]:
    """What is approved for later, what is proposed, and what was charged to contingency itself."""
    facts, say = telling.facts, telling.say
    later = facts.log.moves[len(facts.moves) :]
    if later:
        yield Paragraph(telling.counted(
            "One more move of %(amount)s takes effect only after %(day)s.",
            "%(number)s more moves of %(amount)s in all take effect only after %(day)s.",
            len(later), amount=telling.shown(money_sum((one.amount for one in later), telling.facts.currency)),
            day=telling.day(facts.gathered.on),
        ))  # fmt: skip
    pending = facts.log.pending
    if pending.amount < 0:
        yield Paragraph(say(
            "Proposed adjustments would draw %(amount)s more; they are not decided.", amount=telling.size(pending)
        ))  # fmt: skip
    elif pending.amount > 0:
        yield Paragraph(say(
            "Proposed adjustments would add %(amount)s; they are not decided.", amount=telling.size(pending)
        ))  # fmt: skip
    charged = sum(one.cost_minor + one.open_minor for one in facts.contingency)
    if charged:
        yield Paragraph(say(
            "%(amount)s were charged to, or ordered on, the contingency line itself without a draw; they are not in "
            "this log.",
            amount=telling.minor(charged),
        ))  # fmt: skip


def kind_title(telling: Telling, kind: AdjustmentKind) -> str:
    """What a kind of adjustment is called."""
    say = telling.say
    return {
        AdjustmentKind.TRANSFER: say("Transfer"), AdjustmentKind.ADDITION: say("Addition"),
        AdjustmentKind.REDUCTION: say("Reduction"), AdjustmentKind.CONTINGENCY_DRAW: say("Draw on contingency"),
        AdjustmentKind.CHANGE_ORDER: say("Change order"),
    }[kind]  # fmt: skip


def adjustments(telling: Telling) -> Iterator[Part]:
    """What changed the budget, what will, and what waits."""
    say, facts = telling.say, telling.facts
    yield Section("adjustments", say("Adjustments of the budget"))
    if facts.approved:
        yield _table(telling, "approved", say("Approved and in effect"), facts.approved)
    else:
        yield Paragraph(say("No adjustment was in effect by %(day)s.", day=telling.day(facts.gathered.on)))
    if facts.later:
        yield _table(telling, "later", say("Approved, in effect later"), facts.later)
    if facts.pending:
        yield _table(telling, "pending", say("Proposed and not decided"), facts.pending)
    else:
        yield Paragraph(say("No adjustment waits for a decision."))
    refused = len(facts.with_status(AdjustmentStatus.DECLINED))
    withdrawn = len(facts.with_status(AdjustmentStatus.WITHDRAWN))
    if refused:
        yield Paragraph(telling.counted(
            "One proposed adjustment was declined.", "%(number)s proposed adjustments were declined.", refused
        ))  # fmt: skip
    if withdrawn:
        yield Paragraph(telling.counted(
            "One proposed adjustment was withdrawn.", "%(number)s proposed adjustments were withdrawn.", withdrawn
        ))  # fmt: skip


def _table(telling: Telling, name: str, caption: str, found: Sequence[AdjustmentSummary]) -> Table:
    say = telling.say
    decided = name != "pending"
    columns = (
        Column("name", say("Adjustment")), Column("day", say("In effect"), Kind.DATE), Column("reason", say("Reason")),
        Column("who", say("Proposed and approved") if decided else say("Proposed")),
        telling.money("amount", say("Money moved")), telling.money("net", say("Net change")),
    )  # fmt: skip
    rows = [
        Row(f"adjustment-{one.number}", (
            Cell(say("%(number)s. %(name)s", number=one.number, name=kind_title(telling, one.kind))),
            Cell(one.effective_on),
            Cell(one.reason, note=say("Rests on: %(reference)s", reference=one.reference) if one.reference else ""),
            Cell(_who(telling, one)), Cell(one.amount), Cell(one.net),
        ), note=say("Work that nobody had planned") if one.unplanned else "")
        for one in found
    ]  # fmt: skip
    totals = {"net": Cell(money_sum((one.net for one in found), telling.facts.currency))}
    rows.append(total_row(telling, columns, totals, rows))
    return Table(name, caption, columns, tuple(rows))


def _who(telling: Telling, one: AdjustmentSummary) -> str:
    proposed = telling.day(one.proposed_at.date())
    if one.decided_by is None or one.decided_at is None:
        return telling.say("%(proposer)s on %(day)s", proposer=one.proposed_by, day=proposed)
    told = telling.say(
        "%(proposer)s; approved by %(approver)s on %(day)s",
        proposer=one.proposed_by, approver=one.decided_by, day=telling.day(one.decided_at.date()),
    )  # fmt: skip
    if one.decision_note:
        return telling.say("%(who)s (%(note)s)", who=told, note=one.decision_note)
    return told


def orders(telling: Telling) -> Iterator[Part]:
    """Orders and contracts that something is still to come of, or that money is held back on."""
    say, register = telling.say, telling.facts.orders
    yield Section("orders", say("Open orders and contracts"))
    shown = [one for one in register.rows if _is_open(one)]
    done = len(register.rows) - len(shown)
    if shown:
        yield _orders_table(telling, shown)
    else:
        yield Paragraph(say("No order or contract is open."))
    if done:
        yield Paragraph(telling.counted(
            "One more order or contract is closed or cancelled, with nothing to come and nothing held back.",
            "%(number)s more orders or contracts are closed or cancelled, with nothing to come and nothing held back.",
            done,
        ))  # fmt: skip


def _is_open(one: CommitmentRegisterRow) -> bool:
    return one.status is CommitmentStatus.OPEN or bool(
        one.open.amount or one.retainage_held.amount or one.received_not_billed.amount
    )


def _orders_table(telling: Telling, shown: Sequence[CommitmentRegisterRow]) -> Table:
    say, money = telling.say, telling.money
    columns = (
        Column("order", say("Order")), Column("vendor", say("Vendor")), money("ordered", say("Ordered")),
        money("received", say("Received")), money("billed", say("Billed")), money("open", say("Still to come")),
        money("retained", say("Retainage held")),
    )  # fmt: skip
    rows = [
        Row(f"order-{number}", (
            Cell(say("%(order)s: %(title)s", order=one.number, title=one.title)), Cell(one.vendor), Cell(one.ordered),
            Cell(one.received), Cell(one.billed), Cell(one.open), Cell(one.retainage_held),
        ), note=_order_note(telling, one))
        for number, one in enumerate(shown, start=1)
    ]  # fmt: skip
    sums: dict[str, list[Money]] = {
        "ordered": [one.ordered for one in shown], "received": [one.received for one in shown],
        "billed": [one.billed for one in shown], "open": [one.open for one in shown],
        "retained": [one.retainage_held for one in shown],
    }  # fmt: skip
    totals = {key: Cell(money_sum(amounts, telling.facts.currency)) for key, amounts in sums.items()}
    rows.append(total_row(telling, columns, totals, rows))
    notes = [say(
        "Received is at the price ordered; billed is by invoices, with tax and freight that were not ordered. Still to "
        "come is what is neither received nor billed."
    )]  # fmt: skip
    return Table("open-orders", say("Open orders and contracts"), columns, tuple(rows), tuple(notes))


def _order_note(telling: Telling, one: CommitmentRegisterRow) -> str:
    found = []
    if one.status is CommitmentStatus.CLOSED:
        found.append(telling.say("Closed: nothing more is to come."))
    elif one.status is CommitmentStatus.CANCELLED:
        found.append(telling.say("Cancelled: nothing more is to come."))
    if one.match is MatchStatus.DIFFERS:
        found.append(telling.say("Order, receipts and invoices differ by more than is tolerated."))
    return " ".join(found)
