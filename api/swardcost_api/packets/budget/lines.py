"""The money of a budget line by line, by scope item and by account."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from swardcost_model.control import StandingLine

from swardcost_api.charts import vega_lite_of
from swardcost_api.packets.budget.drawings import Series, bars_by_group
from swardcost_api.packets.budget.telling import LINES, Telling, line_key, total_row
from swardcost_api.packets.document import (
    Cell,
    Chart,
    Column,
    Paragraph,
    Part,
    Row,
    Section,
    Step,
    Table,
)
from swardcost_api.packets.relations import Columns
from swardcost_api.packets.values import MonthOf

_MOST_DRAWN = 12
_FREE = Columns(("adjusted",), ("actual", "accrued", "ordered"))


@dataclass
class Group:
    """Lines that are looked at together, in minor units."""

    key: str
    name: str
    adjusted: int = 0
    actual: int = 0
    accrued: int = 0
    ordered: int = 0
    lines: int = 0

    @property
    def free(self) -> int:
        """What is available of it."""
        return self.adjusted - self.actual - self.accrued - self.ordered


def lines(telling: Telling) -> Iterator[Part]:
    """Tables and the chart."""
    say = telling.say
    yield Section("money", say("Budget, cost and orders"))
    yield Paragraph(say(
        "Adjusted is the budget as approved with its adjustments by %(day)s. Posted is what the accounts have; accrued "
        "is owed for what was received or billed and is not in the accounts yet, with retainage held back; on order is "
        "what is neither received nor billed. What is left is available.",
        day=telling.day(telling.facts.gathered.on),
    ))  # fmt: skip
    yield _line_table(telling)
    groups = by_scope_item(telling)
    if groups:
        yield Section("groups", say("By scope item"), 3)
        yield _group_chart(telling, groups)
        if any(one.lines > 1 for one in groups):
            yield _group_table(telling, "scope-items", say("By scope item"), say("Scope item"), groups, ())
        else:
            yield Paragraph(
                say("Every scope item has one line, so that the table by line is the one by scope item.")
            )
    yield Section("accounts", say("By account"), 3)
    yield _account_table(telling)


def _line_table(telling: Telling) -> Table:
    say, standing = telling.say, telling.facts.standing
    money = telling.money
    columns = (
        Column("line", say("Line")), money("original", say("Original")), money("adjustments", say("Adjustments")),
        money("adjusted", say("Adjusted")), money("actual", say("Posted")), money("accrued", say("Accrued")),
        money("ordered", say("On order")), money("available", say("Available")),
    )  # fmt: skip
    rows = [
        Row(line_key(one), (
            Cell(telling.label(one)), Cell(one.original), Cell(one.adjustments),
            Cell(one.adjusted, None, Columns(("original", "adjustments"))), Cell(one.actual, why_line(telling, one)),
            Cell(one.accrued, why_line(telling, one) if one.accrued.amount else None),
            Cell(one.open_commitments, why_line(telling, one) if one.open_commitments.amount else None),
            Cell(one.available, why_line(telling, one), _FREE),
        ), note=say("Work that nobody had planned") if one.unplanned else "")
        for one in standing.lines
    ]  # fmt: skip
    total = standing.total
    totals = {
        "original": Cell(total.original), "adjustments": Cell(total.adjustments), "adjusted": Cell(total.adjusted),
        "actual": Cell(total.actual), "accrued": Cell(total.accrued), "ordered": Cell(total.open_commitments),
        "available": Cell(total.available),
    }  # fmt: skip
    rows.append(total_row(telling, columns, totals, rows))
    notes = []
    unplanned = standing.unplanned
    if unplanned.adjusted.amount:
        notes.append(say(
            "Of the total, %(budget)s are for work that nobody had planned, of which %(cost)s were spent or accrued.",
            budget=telling.shown(unplanned.adjusted), cost=telling.shown(unplanned.actual + unplanned.accrued),
        ))  # fmt: skip
    elif any(one.unplanned for one in standing.lines):
        notes.append(say(
            "For work that nobody had planned there is no budget; %(cost)s were spent or accrued on it.",
            cost=telling.shown(unplanned.actual + unplanned.accrued),
        ))  # fmt: skip
    if any(one.available.amount < 0 for one in standing.lines):
        notes.append(say("An amount below zero means that more was spent and ordered than the line has."))
    return Table(LINES, say("Budget, cost and orders by line"), columns, tuple(rows), tuple(notes))


def why_line(telling: Telling, line: StandingLine) -> str | None:
    """How the figures of a line came about."""
    return telling.why_typed(
        line_key(line),
        telling.say("%(line)s: where it stands", line=telling.label(line)),
        *_steps(telling, line),
    )


def _steps(telling: Telling, line: StandingLine) -> Iterator[Step]:
    say, found = telling.say, telling.facts.lines[line.id]
    money, step = telling.facts.money, telling.step
    yield step(
        say("Adjusted"), line.adjusted, say("original + adjustments"),
        say("the accepted estimate, and adjustments approved and in effect by the day"),
        (say("Original"), line.original), (say("Adjustments"), line.adjustments),
    )  # fmt: skip
    yield step(
        say("Posted"), line.actual, say("sum of the postings by month"),
        telling.counted(
            "one posting of the ledger assigned to the line", "%(number)s postings of the ledger assigned to the line",
            line.postings,
        ),
        *(
            (telling.shown(MonthOf.named(month)), money(amount))
            for month, amount in sorted(found.actual_by_month.items())
        ),
    )  # fmt: skip
    parts = (
        (say("Received and not invoiced"), sum(one.received_not_invoiced_minor for one in found.commitments)),
        (say("Invoiced and not posted"), sum(one.invoiced_not_posted_minor for one in found.commitments)),
        (say("Retainage held back"), sum(one.retained_minor for one in found.commitments)),
    )
    if any(amount for _, amount in parts):
        yield step(
            say("Accrued"), line.accrued,
            say("received and not invoiced + invoiced and not posted + retainage held back"),
            say("orders, receipts and invoices by the day"), *((name, money(amount)) for name, amount in parts),
        )  # fmt: skip
    if any(one.open_minor for one in found.commitments):
        yield step(
            say("On order"), line.open_commitments, say("ordered, and neither received nor billed, by order"),
            say("orders that are open on the day"),
            *(
                (
                    say("%(order)s, line %(line)s", order=one.commitment_number, line=one.line_number),
                    money(one.open_minor),
                )
                for one in found.commitments
                if one.open_minor
            ),
        )  # fmt: skip
    yield step(
        say("Available"), line.available, say("adjusted - posted - accrued - on order"), say("the figures above"),
        (say("Adjusted"), line.adjusted), (say("Posted"), line.actual), (say("Accrued"), line.accrued),
        (say("On order"), line.open_commitments),
    )  # fmt: skip


def by_scope_item(telling: Telling) -> list[Group]:
    """The lines of each scope item together, and those of each markup; any other line stands for itself."""
    groups: dict[str, Group] = {}
    for line in telling.facts.gathered.lines:
        state = line.state
        if state.scope_item_id is None:
            key, name = (state.markup or f"line-{state.number}") + state.label, telling.name_of(state)
        else:
            key, name = str(state.scope_item_id), state.scope_item or state.label
        group = groups.setdefault(key, Group(f"group-{len(groups) + 1}", name))
        group.adjusted += state.adjusted_minor
        group.actual += line.actual_minor
        group.accrued += line.accrued_minor
        group.ordered += line.open_minor
        group.lines += 1
    return list(groups.values())


def by_account(telling: Telling) -> list[Group]:
    """Budget, accruals and orders by the account of their line; postings by the account that they stand in."""
    groups: dict[str | None, Group] = {}

    def at(account: str | None) -> Group:
        name = telling.say("No account") if account is None else account
        return groups.setdefault(account, Group("", name))

    for line in telling.facts.gathered.lines:
        group = at(line.state.account)
        group.adjusted += line.state.adjusted_minor
        group.accrued += line.accrued_minor
        group.ordered += line.open_minor
        group.lines += 1
    for total in telling.facts.totals:
        at(total.account).actual += total.amount_minor
    ordered = sorted(groups.items(), key=lambda one: (one[0] is None, one[0] or ""))
    for number, (_, group) in enumerate(ordered, start=1):
        group.key = f"account-{number}"
    return [group for _, group in ordered]


def _account_table(telling: Telling) -> Table:
    say, groups = telling.say, by_account(telling)
    notes = [say(
        "Budget, accruals and orders stand in the account of their line; postings in the account in which the ledger "
        "has them."
    )]  # fmt: skip
    other = [one for one in groups if not one.lines]
    if other:
        notes.append(telling.counted(
            "No line of the budget has the account %(names)s; its postings were assigned to lines of other accounts.",
            "No line of the budget has the accounts %(names)s; their postings were assigned to lines of other "
            "accounts.",
            len(other), names=telling.listed(one.name for one in other),
        ))  # fmt: skip
    return _group_table(telling, "by-account", say("By account"), say("Account"), groups, notes)


def _group_table(
    telling: Telling, table: str, caption: str, heading: str, groups: Sequence[Group], notes: Sequence[str]
) -> Table:
    say, money, minor = telling.say, telling.money, telling.facts.money
    total = telling.facts.standing.total
    columns = (
        Column("name", heading), money("adjusted", say("Adjusted")), money("actual", say("Posted")),
        money("accrued", say("Accrued")), money("ordered", say("On order")), money("available", say("Available")),
    )  # fmt: skip
    rows = [
        Row(one.key, (
            Cell(one.name), Cell(minor(one.adjusted)), Cell(minor(one.actual)), Cell(minor(one.accrued)),
            Cell(minor(one.ordered)), Cell(minor(one.free), computed=_FREE),
        ))
        for one in groups
    ]  # fmt: skip
    totals = {
        "adjusted": Cell(total.adjusted), "actual": Cell(total.actual), "accrued": Cell(total.accrued),
        "ordered": Cell(total.open_commitments), "available": Cell(total.available),
    }  # fmt: skip
    rows.append(total_row(telling, columns, totals, rows))
    return Table(table, caption, columns, tuple(rows), tuple(notes))


def _group_chart(telling: Telling, groups: Sequence[Group]) -> Chart:
    say, minor = telling.say, telling.facts.money
    drawn = _drawn(telling, groups)
    title = say("Budget, commitments and cost by scope item")
    kinds = (
        ("adjusted", say("Adjusted budget"), [one.adjusted for one in drawn]),
        ("committed", say("Accrued and on order"), [one.accrued + one.ordered for one in drawn]),
        ("actual", say("Posted"), [one.actual for one in drawn]),
    )
    series = [
        Series(
            name,
            [(one.name, minor(amount).amount) for one, amount in zip(drawn, amounts, strict=True)],
        )
        for _, name, amounts in kinds
    ]
    columns = (
        Column("name", say("Scope item")),
        *(telling.money(key, name) for key, name, _ in kinds),
    )
    rows = [
        Row(one.key, (Cell(one.name), *(Cell(minor(amounts[place])) for _, _, amounts in kinds)))
        for place, one in enumerate(drawn)
    ]
    specification = vega_lite_of(bars_by_group(title, telling.facts.currency, series))
    data = Table("chart-groups", title, columns, tuple(rows))
    return Chart("groups-chart", title, specification, _said(telling, drawn), data, "bar")


def _drawn(telling: Telling, groups: Sequence[Group]) -> list[Group]:
    """The groups that a chart has room for, the largest where there are more, each with a name of its own."""
    kept, others = list(groups), None
    if len(groups) > _MOST_DRAWN:
        largest = sorted(groups, key=lambda one: -max(one.adjusted, one.actual))[: _MOST_DRAWN - 1]
        kept = [one for one in groups if one in largest]
        others = Group("group-others", telling.say("All others"))
        for one in groups:
            if one not in largest:
                others.adjusted += one.adjusted
                others.actual += one.actual
                others.accrued += one.accrued
                others.ordered += one.ordered
                others.lines += one.lines
    shown, names = [], set[str]()
    for one in [*kept, *([] if others is None else [others])]:
        name, number = one.name, 1
        while name in names:
            number += 1
            name = f"{one.name} ({number})"
        names.add(name)
        shown.append(replace(one, name=name))
    return shown


def _said(telling: Telling, drawn: Sequence[Group]) -> str:
    """What the chart shows, in words."""
    say, minor = telling.say, telling.minor
    told = [
        say(
            "%(name)s: budget %(budget)s, accrued and on order %(committed)s, posted %(posted)s.",
            name=one.name, budget=minor(one.adjusted), committed=minor(one.accrued + one.ordered),
            posted=minor(one.actual),
        )
        for one in drawn
    ]  # fmt: skip
    return " ".join([say("Three bars for each scope item, all from zero."), *told])
