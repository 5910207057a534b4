"""The part of the story that is about adjusting a budget, paying for a failed pump, and measuring progress."""

from datetime import date
from decimal import Decimal
from typing import Any

from swardcost_model.access import Role
from swardcost_model.adjustments import (
    AdjustmentKind,
    AdjustmentStatus,
    ApprovalLimit,
    ApprovalLimitsChange,
    LineToOpen,
    NewAdjustment,
    NewEntry,
)
from swardcost_model.progress import MeasureChange, NewMeasure
from swardcost_model.unplanned import NewUnplannedWork, UnplannedEntry
from swardcost_model.values import Money

SEPTEMBER, OCTOBER = "2026-09", "2026-10"
LATE = date(2026, 10, 31)


def usd(amount: str) -> Money:
    return Money(amount=Decimal(amount), currency="USD")


def the_budget(client: Any, budget: Any) -> None:
    """Limits of approval, a transfer, a change order, a failed pump, and progress in tons."""
    limits = client.approval_limits.read()
    client.approval_limits.change(
        ApprovalLimitsChange(
            limits=[
                ApprovalLimit(role=Role.OWNER, up_to=None),
                ApprovalLimit(role=Role.SUPERINTENDENT, up_to=usd("500"), emergency_up_to=usd("5000")),
            ]
        ),
        limits.version,
    )
    the_adjustments(client, budget)
    the_failed_pump(client, budget)
    the_progress(client, budget)
    state = client.budgets.state(budget.id, on=LATE)
    assert state.original.amount + state.adjustments.amount == state.adjusted.amount
    assert client.budgets.state_csv(budget.id, on=LATE, known_on=LATE).startswith("line,label,")


def the_adjustments(client: Any, budget: Any) -> None:
    sand, crew = budget.lines[0], budget.lines[1]
    month = sand.months[0].month

    def proposed(kind: AdjustmentKind, *entries: NewEntry, **more: Any) -> Any:
        terms = {"effective_on": date(2026, 9, 10), "reason": "As agreed on site", **more}
        return client.adjustments.propose(budget.id, NewAdjustment(kind=kind, entries=list(entries), **terms))

    gives = NewEntry(budget_line_id=crew.id, month=month, amount=usd("10"))
    takes = NewEntry(budget_line_id=sand.id, month=month, amount=usd("-10"))
    transfer = proposed(AdjustmentKind.TRANSFER, gives, takes)
    assert client.adjustments.approve(transfer.id, note="By telephone").status is AdjustmentStatus.APPROVED
    drain = LineToOpen(label="Drain behind green 1", account="6420", unit="foot")
    entry = NewEntry(new_line=1, month=OCTOBER, amount=usd("420"), quantity=Decimal(60))
    change = proposed(AdjustmentKind.CHANGE_ORDER, entry, new_lines=[drain], reference="Change order 1")
    client.adjustments.approve(change.id)
    client.adjustments.decline(proposed(AdjustmentKind.ADDITION, gives).id, note="Not this season")
    client.adjustments.withdraw(proposed(AdjustmentKind.ADDITION, gives).id)
    assert client.adjustments.read(change.id).entries[0].line_number == len(budget.lines) + 1
    assert [one.number for one in client.adjustments.list(budget.id, status=AdjustmentStatus.APPROVED)] == [
        1,
        2,
    ]


def the_failed_pump(client: Any, budget: Any) -> None:
    found = client.unplanned_work.price(
        budget.id,
        NewUnplannedWork(
            name="Pump station repair", what_happened="The main pump seized in the second week.",
            happened_on=date(2026, 9, 22), account="6450", beyond_contingency=True,
            entries=[
                UnplannedEntry(item="CREW", quantity={"value": Decimal(6), "unit": "hour"}),
                UnplannedEntry(description="Pump motor, rewound", amount=usd("40")),
            ],
        ),
    )  # fmt: skip
    client.adjustments.approve(found.adjustment.id, note="Greens cannot wait")
    assert client.unplanned_work.read(found.id).adjustment.status is AdjustmentStatus.APPROVED
    assert [one.id for one in client.unplanned_work.list(budget.id)] == [found.id]
    log = client.budgets.contingency(budget.id)
    assert [move.unplanned for move in log.moves] == [True]
    assert client.budgets.contingency_csv(budget.id).startswith("adjustment,effective_on")


def the_progress(client: Any, budget: Any) -> None:
    sand = budget.lines[0]
    first = client.measures.create(
        budget.id, NewMeasure(budget_line_id=sand.id, measured_on=date(2026, 9, 15), done=Decimal(8))
    )
    client.measures.change(
        first.id,
        MeasureChange(measured_on=date(2026, 9, 15), done=Decimal("8.5"), note="With the last ticket"),
        first.version,
    )
    spare = client.measures.create(
        budget.id, NewMeasure(budget_line_id=sand.id, measured_on=date(2026, 9, 18), done=Decimal(11))
    )
    assert client.measures.read(spare.id) in list(client.measures.list(budget.id, budget_line_id=sand.id))
    client.measures.delete(spare.id, spare.version)
    assert [line.line_number for line in client.budgets.progress(budget.id, on=LATE).lines] == [1]
