"""Why the money is different: the bridge from plan to cost, the largest differences in words, and all of them."""

from collections.abc import Iterator, Sequence
from decimal import Decimal

from swardcost_model.control import Cause as CauseName
from swardcost_model.control import ExplainedLine
from swardcost_model.values import Money

from swardcost_api.charts import vega_lite_of
from swardcost_api.engine.control.explanation import REASONS
from swardcost_api.packets.budget.drawings import BridgeBar, bridge
from swardcost_api.packets.budget.reason_steps import why_different
from swardcost_api.packets.budget.reason_words import cause_title, explained
from swardcost_api.packets.budget.telling import TOTAL, WHY, Telling, line_key, total_row
from swardcost_api.packets.document import (
    Cell,
    Chart,
    Column,
    Given,
    Listing,
    Paragraph,
    Part,
    Row,
    Section,
    Step,
    Table,
    Weight,
)
from swardcost_api.packets.relations import Columns, Rows, SameAs

_MOST_EXPLAINED = 8
BRIDGE = "bridge-data"


def reasons(telling: Telling) -> Iterator[Part]:
    """The bridge, the explanations and the table."""
    say, found = telling.say, telling.facts.explanation
    yield Section("reasons", say("Why the money is different"))
    yield Paragraph(_lead(telling), "lead")
    yield Paragraph(say(
        "Planned by now is what the accepted estimate had for the months up to %(month)s; the cost is what was posted "
        "and accrued. This is about the cost so far, not about the cost in the end.",
        month=telling.month,
    ))  # fmt: skip
    yield _bridge(telling)
    yield Listing(tuple(_meaning(telling, one) for one in REASONS))
    different = [one for one in telling.facts.causes if one.causes]
    if different:
        yield Section("largest", say("The largest differences"), 3)
        yield Listing(tuple(explained(telling, one) for one in different[:_MOST_EXPLAINED]))
        rest = different[_MOST_EXPLAINED:]
        if rest:
            net = sum(one.facts.cost_minor - one.facts.original_minor for one in rest)
            yield Paragraph(telling.counted(
                "One more line differs by less, by %(net)s.",
                "%(number)s more lines differ by less, by %(net)s in all.",
                len(rest), net=telling.minor(net),
            ))  # fmt: skip
    yield Section("all-reasons", say("All differences by cause"), 3)
    yield _table(telling, found.lines)


def _meaning(telling: Telling, cause: CauseName) -> str:
    """What a cause means, with its name."""
    say = telling.say
    return {
        "scope": say("Scope: approved changes of the budget, which the estimate did not have."),
        "timing": say("Timing: work done earlier or later than planned. It evens out when all is done."),
        "quantity": say("Quantity: more or less was used than the work done should have taken, at the planned price."),
        "price": say("Price: what was used cost more or less for each unit than planned."),
        "spending": say(
            "Spending: money that no quantity explains, as on lump sums and on lines without measured progress."
        ),
        "coding": say("Account coding: charged to a line from accounts that are not its own."),
    }[cause]  # fmt: skip


def _lead(telling: Telling) -> str:
    """The difference in all and what makes most of it."""
    found = telling.facts.explanation
    told = {
        "cost": telling.shown(found.cost), "planned": telling.shown(found.planned), "when": telling.by_then,
        "by": telling.size(found.difference),
    }  # fmt: skip
    if found.difference.amount > 0:
        first = telling.say(
            "%(when)s %(cost)s were spent or accrued where %(planned)s were planned: %(by)s more.",
            **told,
        )
    elif found.difference.amount < 0:
        first = telling.say(
            "%(when)s %(cost)s were spent or accrued where %(planned)s were planned: %(by)s less.",
            **told,
        )
    else:
        first = telling.say("%(when)s %(cost)s were spent or accrued, as much as was planned.", **told)
    parts = sorted(
        (one for one in found.causes if one.amount.amount), key=lambda one: -abs(one.amount.amount)
    )
    if not parts:
        return first
    named = telling.listed(
        telling.say(
            "%(cause)s %(amount)s", cause=cause_title(telling, one.cause), amount=signed(telling, one.amount)
        )
        for one in parts
    )
    return telling.say("%(first)s By cause: %(parts)s.", first=first, parts=named)


def signed(telling: Telling, money: Money) -> str:
    """An amount with its sign, also where it adds."""
    return f"+{telling.shown(money)}" if money.amount > 0 else telling.shown(money)


def _bridge(telling: Telling) -> Chart:
    say, found = telling.say, telling.facts.explanation
    title = say("From the plan to the cost so far")
    causes = [(one.cause, one.amount) for one in found.causes]
    planned, cost = say("Planned by now"), say("Cost so far")
    height = found.planned.amount
    bars = [BridgeBar(planned, Decimal(), height, telling.shown(found.planned), standing=True)]
    for cause, amount in causes:
        bars.append(
            BridgeBar(cause_title(telling, cause), height, height + amount.amount, signed(telling, amount))
        )
        height += amount.amount
    bars.append(BridgeBar(cost, Decimal(), found.cost.amount, telling.shown(found.cost), standing=True))
    columns = (Column("step", say("Step")), telling.money("amount", say("Amount")))
    keys, present = tuple(cause for cause, _ in causes), _present(telling)
    rows = (
        Row("planned", (Cell(planned), Cell(found.planned, None, SameAs(WHY, TOTAL, "planned"))), Weight.SUBTOTAL),
        *(
            Row(cause, (
                Cell(cause_title(telling, cause)),
                Cell(amount, _why_cause(telling, cause), SameAs(WHY, TOTAL, cause) if cause in present else None),
            ))
            for cause, amount in causes
        ),
        Row("cost", (Cell(cost), Cell(found.cost, None, Rows(("planned", *keys)))), Weight.TOTAL),
    )  # fmt: skip
    words = (say("Plan and cost"), say("More money"), say("Less money"))
    told = telling.joined(
        say("%(cause)s %(amount)s", cause=cause_title(telling, cause), amount=signed(telling, amount))
        for cause, amount in causes
    )
    return Chart(
        "bridge", title, vega_lite_of(bridge(title, telling.facts.currency, bars, words)),
        say(
            "A bridge of bars: it begins at %(planned)s planned, goes up or down with each cause (%(causes)s), and "
            "ends at a cost of %(cost)s.",
            planned=telling.shown(found.planned), causes=told, cost=telling.shown(found.cost),
        ),
        Table(BRIDGE, title, columns, rows),
    )  # fmt: skip


def _why_cause(telling: Telling, cause: CauseName) -> str | None:
    """What a cause comes to, by line."""
    title = cause_title(telling, cause)
    found = next(one for one in telling.facts.explanation.causes if one.cause == cause)
    parts = [
        (telling.label(line), one.amount)
        for line in telling.facts.explanation.lines
        for one in line.causes
        if one.cause == cause
    ]
    return telling.why_typed(f"cause-{cause}", title,
        Step(
            title, found.amount, found.formula,
            tuple(Given(name, amount) for name, amount in parts), telling.say("each line so, and their sum"),
        )
    )  # fmt: skip


def _present(telling: Telling) -> list[CauseName]:
    """The causes that any line has."""
    found = {one.cause for line in telling.facts.explanation.lines for one in line.causes}
    return [one for one in REASONS if one in found]


def _table(telling: Telling, lines: Sequence[ExplainedLine]) -> Table:
    say, found, zero = telling.say, telling.facts.explanation, telling.facts.money(0)
    causes = _present(telling)
    facts = {one.line.state.id: one for one in telling.facts.causes}
    columns = (
        Column("line", say("Line")), telling.money("planned", say("Planned by now")),
        *(telling.money(one, cause_title(telling, one)) for one in causes),
        telling.money("cost", say("Cost so far")), telling.money("difference", say("Difference")),
    )  # fmt: skip

    def row(line: ExplainedLine) -> Row:
        amounts = {one.cause: one.amount for one in line.causes}
        return Row(line_key(line), (
            Cell(telling.label(line)), Cell(line.planned), *(Cell(amounts.get(one, zero)) for one in causes),
            Cell(line.cost, computed=Columns(("planned", *causes))),
            Cell(line.difference, why_different(telling, facts[line.id]), Columns(("cost",), ("planned",))),
        ))  # fmt: skip

    rows = [row(one) for one in lines]
    in_all = {one.cause: one.amount for one in found.causes}
    totals: dict[str, Cell] = {
        "planned": Cell(found.planned), "cost": Cell(found.cost), "difference": Cell(found.difference),
        **{one: Cell(in_all[one], _why_cause(telling, one)) for one in causes},
    }  # fmt: skip
    rows.append(total_row(telling, columns, totals, rows))
    notes = [say("Above zero is more money than planned. The causes of a line sum to its difference.")]
    return Table(
        WHY, say("Differences by line and cause, the largest first"), columns, tuple(rows), tuple(notes)
    )
