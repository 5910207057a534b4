"""What an adjustment may ask for: lines of its budget, balanced entries, and only money that is there."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from uuid import UUID

from sqlalchemy import func, select
from swardcost_model import problems
from swardcost_model.adjustments import AdjustmentKind, AdjustmentStatus, NewAdjustment, NewEntry
from swardcost_model.estimates import MarkupKind
from swardcost_model.problems import Fault, ProblemError
from swardcost_model.values import from_minor, plain

from swardcost_api.access.service import read_club
from swardcost_api.budgets.amounts import BEYOND, stated_minor
from swardcost_api.budgets.states import LineState, approved_entries, line_states
from swardcost_api.budgets.tables import AdjustmentEntryRow, AdjustmentRow
from swardcost_api.engine.control.adjusting import Entry, imbalances, shortfalls
from swardcost_api.storage.work import UnitOfWork
from swardcost_api.units import UNITS

_UNPLANNED = frozenset({AdjustmentKind.CONTINGENCY_DRAW, AdjustmentKind.CHANGE_ORDER})
_WHOLE_LINE = ""
"""Stands for the month where quantities are summed, which are planned for a line as a whole."""

LineKey = UUID | int
"""A budget line by its id, or a line to be opened by its number in the adjustment."""


@dataclass(frozen=True, slots=True)
class Proposed:
    """An entry in minor units, and the quantity it adds or takes in the line's unit."""

    line: LineKey
    month: str
    amount_minor: int
    quantity: Decimal | None


def is_contingency(line: LineState) -> bool:
    """Whether a line is money set aside for what nobody could plan."""
    return line.markup == MarkupKind.CONTINGENCY


def refuse_unusable(
    work: UnitOfWork, budget_id: UUID, new: NewAdjustment, *, has_commitment: bool
) -> list[Proposed]:
    """The entries of an adjustment that can be proposed. Raises `invalid-values` with the place of each fault."""
    currency = read_club(work).currency
    lines = {line.id: line for line in line_states(work, budget_id)}
    faults = list(_faults_of_form(new, has_commitment=has_commitment))
    proposed = [
        _proposed(entry, new, f"/entries/{index}", lines, currency, faults)
        for index, entry in enumerate(new.entries)
    ]
    if not faults:
        faults += _faults_of_balance(new.kind, proposed, lines)
    if not faults:
        faults += faults_of_balances(work, budget_id, new.effective_on, proposed)
        faults += _faults_of_size(work, budget_id, proposed, lines.values(), currency)
    if faults:
        raise ProblemError(problems.INVALID_VALUES, "Nothing was proposed.", faults)
    return proposed


def _faults_of_form(new: NewAdjustment, *, has_commitment: bool) -> Iterator[Fault]:
    if new.unplanned and new.kind not in _UNPLANNED:
        expected = "false, or a contingency draw or change order"
        yield Fault(pointer="/unplanned", expected=expected, got=new.kind)
    if not has_commitment:
        expected = "the id of a commitment of this budget"
        yield Fault(pointer="/commitment_id", expected=expected, got=str(new.commitment_id))
    used = {entry.new_line for entry in new.entries}
    for index, opened in enumerate(new.new_lines):
        if index + 1 not in used:
            yield Fault(
                pointer=f"/new_lines/{index}", expected="a line that an entry gives to", got=opened.label
            )
        if opened.unit is not None and opened.unit not in UNITS:
            expected = "a unit listed at /v1/units"
            yield Fault(pointer=f"/new_lines/{index}/unit", expected=expected, got=opened.unit)


def _proposed(
    entry: NewEntry,
    new: NewAdjustment,
    place: str,
    lines: dict[UUID, LineState],
    currency: str,
    faults: list[Fault],
) -> Proposed:
    known = len(faults)
    amount = stated_minor(entry.amount, currency, f"{place}/amount", faults)
    unreadable = len(faults) > known
    unit: str | None = None
    if entry.budget_line_id is not None:
        line = lines.get(entry.budget_line_id)
        if line is None:
            expected = "the id of a line of this budget"
            faults.append(
                Fault(pointer=f"{place}/budget_line_id", expected=expected, got=str(entry.budget_line_id))
            )
        unit = line.unit if line else None
    else:
        assert entry.new_line is not None
        if entry.new_line > len(new.new_lines):
            expected = f"a number of new_lines, which has {len(new.new_lines)}"
            faults.append(Fault(pointer=f"{place}/new_line", expected=expected, got=str(entry.new_line)))
        else:
            unit = new.new_lines[entry.new_line - 1].unit
    if entry.quantity is not None and unit is None:
        expected = "no quantity, since the line has no unit"
        faults.append(Fault(pointer=f"{place}/quantity", expected=expected, got=plain(entry.quantity)))
    if not amount and not entry.quantity and not unreadable:
        faults.append(Fault(pointer=f"{place}/amount", expected="an amount or a quantity that is not zero"))
    return Proposed(entry.budget_line_id or entry.new_line or 0, entry.month, amount, entry.quantity)


def _faults_of_balance(
    kind: AdjustmentKind, proposed: Sequence[Proposed], lines: dict[UUID, LineState]
) -> Iterator[Fault]:
    contingency = {line.id for line in lines.values() if is_contingency(line)}
    amounts = [one.amount_minor for one in proposed]
    for index, expected in imbalances(kind, amounts, [one.line in contingency for one in proposed]):
        pointer = "/entries" if index is None else f"/entries/{index}/amount"
        yield Fault(pointer=pointer, expected=expected)


def _faults_of_size(
    work: UnitOfWork,
    budget_id: UUID,
    proposed: Iterable[Proposed],
    lines: Iterable[LineState],
    currency: str,
) -> Iterator[Fault]:
    """What would be too large to print on some day: nothing is, if all that ever moves is not."""
    moved = work.session.scalar(
        select(func.sum(func.abs(AdjustmentEntryRow.amount_minor)))
        .join(
            AdjustmentRow,
            (AdjustmentRow.club_id == AdjustmentEntryRow.club_id)
            & (AdjustmentRow.id == AdjustmentEntryRow.adjustment_id),
        )
        .where(
            AdjustmentRow.club_id == work.club_id,
            AdjustmentRow.budget_id == budget_id,
            AdjustmentRow.status.in_((AdjustmentStatus.PROPOSED, AdjustmentStatus.APPROVED)),
        )
    )
    planned = sum(line.original_minor for line in lines)
    total = planned + int(moved or 0) + sum(abs(one.amount_minor) for one in proposed)
    if from_minor(total, currency) >= BEYOND:
        expected = "a budget that, with all that its adjustments move, stays below 1,000,000,000,000"
        yield Fault(pointer="/entries", expected=expected, got=str(from_minor(total, currency)))


def faults_of_balances(
    work: UnitOfWork, budget_id: UUID, effective_on: date, proposed: Sequence[Proposed]
) -> list[Fault]:
    """Where entries would take more than the approved budget holds on some day: of money in a month, of quantity."""
    lines = {line.id: line for line in line_states(work, budget_id)}
    approved = approved_entries(work, budget_id)
    currency = read_club(work).currency
    faults = []
    planned: dict[tuple[LineKey, str], int] = {
        (line.id, month): minor for line in lines.values() for month, minor in line.original_by_month.items()
    }
    held: list[Entry[LineKey]] = [
        Entry(one.line_id, one.month, one.amount_minor, one.effective_on) for one in approved
    ]
    asked = [Entry(one.line, one.month, one.amount_minor, effective_on) for one in proposed]
    money = shortfalls(planned, held, asked)
    for short in money:
        place = _place(proposed, short.line, short.month)
        expected = (
            f"{from_minor(short.short_minor, currency)} {currency} less taken from {_name(lines, short.line)} in "
            f"{short.month}, which would be below zero on {short.on}"
        )
        faults.append(Fault(pointer=f"/entries/{place}/amount", expected=expected))
    planned = {(line.id, _WHOLE_LINE): _micros(line.quantity) for line in lines.values()}
    held = [Entry(one.line_id, _WHOLE_LINE, _micros(one.quantity), one.effective_on) for one in approved]
    asked = [Entry(one.line, _WHOLE_LINE, _micros(one.quantity), effective_on) for one in proposed]
    quantities = shortfalls(planned, held, asked)
    for short in quantities:
        place = _place(proposed, short.line, None)
        expected = (
            f"{plain(Decimal(short.short_minor).scaleb(-6).normalize())} less taken from the quantity of "
            f"{_name(lines, short.line)}, which would be below zero on {short.on}"
        )
        faults.append(Fault(pointer=f"/entries/{place}/quantity", expected=expected))
    return faults


def _micros(quantity: Decimal | None) -> int:
    return int((quantity or Decimal(0)).scaleb(6))


def _place(proposed: Sequence[Proposed], line: LineKey, month: str | None) -> int:
    """The first entry that takes from a line in a month, or the first of them at all."""
    own = [n for n, one in enumerate(proposed) if one.line == line and month in (None, one.month)]
    takes = [n for n in own if proposed[n].amount_minor < 0 or (proposed[n].quantity or 0) < 0]
    return (takes or own)[0]


def _name(lines: dict[UUID, LineState], key: LineKey) -> str:
    if isinstance(key, int):
        return f"the line to be opened, number {key}"
    return f"line {lines[key].number}, {lines[key].label}"
