"""Measured progress: how much of a budget line was done by a day, in the line's own unit."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_HALF_UP, Decimal
from typing import Any
from uuid import UUID

from sqlalchemy import Row, insert, select
from swardcost_model import problems
from swardcost_model.paging import Page
from swardcost_model.problems import Fault, ProblemError
from swardcost_model.progress import (
    LineProgress,
    Measure,
    MeasureChange,
    MeasureFields,
    NewMeasure,
    ProgressState,
)
from swardcost_model.values import plain

from swardcost_api.access.service import record
from swardcost_api.budgets.adjustments import hold_budget
from swardcost_api.budgets.states import LineState, line_states, require_budget
from swardcost_api.budgets.tables import BudgetLineRow, ProgressRow
from swardcost_api.storage.paging import read_page
from swardcost_api.storage.rows import by_id, delete_row, edit_row, read_row
from swardcost_api.storage.work import UnitOfWork

PERCENT = "percent"
_PERCENT_STEP = Decimal("0.0001")
_OF_LINE = (BudgetLineRow.club_id == ProgressRow.club_id) & (BudgetLineRow.id == ProgressRow.budget_line_id)
_MEASURE = (
    *(column for column in ProgressRow.__table__.c if column.name != "club_id"), BudgetLineRow.number,
    BudgetLineRow.label, BudgetLineRow.unit,
)  # fmt: skip
_MEASURE_BY_ID = by_id(ProgressRow, _MEASURE).join(BudgetLineRow, _OF_LINE)


@dataclass(frozen=True, slots=True)
class Measured:
    """The last measure of a line: what is done in its unit, or in percent where it has no unit.

    `percent` is done / adjusted quantity of the day x 100, rounded half up to 0.0001; `None` where nothing is planned.
    """

    done: Decimal
    unit: str | None
    measured_on: date
    percent: Decimal | None


def progress_at(
    work: UnitOfWork, budget_id: UUID, on: date | None = None, lines: Sequence[LineState] | None = None
) -> dict[UUID, Measured]:
    """The last measure of each measured line by a day (today if none); `lines` of that day, where they are at hand."""
    day = on or work.now.date()
    latest: dict[UUID, Row[*tuple[Any, ...]]] = {}
    rows = work.session.execute(
        select(ProgressRow.budget_line_id, ProgressRow.measured_on, ProgressRow.done)
        .where(
            ProgressRow.club_id == work.club_id,
            ProgressRow.budget_id == budget_id,
            ProgressRow.measured_on <= day,
        )
        .order_by(ProgressRow.measured_on)
    )
    for row in rows:
        latest[row.budget_line_id] = row
    if not latest:
        return {}
    measured = {}
    for line in line_states(work, budget_id, day) if lines is None else lines:
        found = latest.get(line.id)
        if found is not None:
            done = Decimal(found.done)
            percent = _percent(done, line.unit, line.adjusted_quantity)
            measured[line.id] = Measured(done, line.unit, found.measured_on, percent)
    return measured


def read_progress(work: UnitOfWork, budget_id: UUID, on: date | None) -> ProgressState:
    """Where the measured lines of a budget stand on a day (today if none)."""
    require_budget(work, budget_id)
    day = on or work.now.date()
    measured = progress_at(work, budget_id, day)
    lines = line_states(work, budget_id, day)
    return ProgressState(
        budget_id=budget_id, on=day, unmeasured=[line.number for line in lines if line.id not in measured],
        lines=[
            LineProgress(
                budget_line_id=line.id, line_number=line.number, label=line.label, measured_on=found.measured_on,
                done=found.done, unit=found.unit or PERCENT, planned=line.adjusted_quantity, percent=found.percent,
            )
            for line in lines
            if (found := measured.get(line.id)) is not None
        ],
    )  # fmt: skip


def measure(work: UnitOfWork, budget_id: UUID, new: NewMeasure) -> Measure:
    """Enter a measure of a line.

    Raises `duplicate` where the line has one on that day, `invalid-values` where it is smaller than an earlier one, or
    larger than a later one, and nobody says that it is a correction.
    """
    hold_budget(work, budget_id)
    line = _line(work, budget_id, new.budget_line_id)
    _refuse_unusable(work, line, new, None)
    measure_id = work.new_id()
    work.session.execute(
        insert(ProgressRow).values(
            club_id=work.club_id, id=measure_id, budget_id=budget_id, budget_line_id=new.budget_line_id,
            **_columns(work, new), version=1,
        )
    )  # fmt: skip
    after = read_measure(work, measure_id)
    record(work, "create", "measure", measure_id, after=after)
    return after


def list_measures(
    work: UnitOfWork, budget_id: UUID, limit: int, cursor: str | None, budget_line_id: UUID | None
) -> Page[Measure]:
    """The measures of a budget by day, all or those of a line."""
    require_budget(work, budget_id)
    statement = (
        select(*_MEASURE)
        .join(BudgetLineRow, _OF_LINE)
        .where(ProgressRow.club_id == work.club_id, ProgressRow.budget_id == budget_id)
    )
    if budget_line_id is not None:
        statement = statement.where(ProgressRow.budget_line_id == budget_line_id)
    order = (ProgressRow.measured_on, ProgressRow.id)
    rows, following = read_page(work, statement, order, limit, cursor)
    return Page[Measure](items=[_measure(row) for row in rows], next=following)


def read_measure(work: UnitOfWork, measure_id: UUID) -> Measure:
    """One measure."""
    return _measure(read_row(work, _MEASURE_BY_ID, measure_id, "measure"))


def change_measure(work: UnitOfWork, measure_id: UUID, change: MeasureChange, if_match: int) -> Measure:
    """Replace a measure; its line stays. Raises as `measure` does."""
    before = _held(work, measure_id)
    line = _line(work, before.budget_id, before.budget_line_id)
    _refuse_unusable(work, line, change, measure_id)
    edit_row(work, ProgressRow, measure_id, if_match, "measure", **_columns(work, change))
    after = read_measure(work, measure_id)
    record(work, "change", "measure", measure_id, before, after)
    return after


def delete_measure(work: UnitOfWork, measure_id: UUID, if_match: int) -> None:
    """Delete a measure, unless that leaves a later one smaller than an earlier one."""
    before = _held(work, measure_id)
    others = _others(work, before.budget_line_id, measure_id)
    earlier = [one for one in others if one.measured_on < before.measured_on]
    later = [one for one in others if one.measured_on > before.measured_on]
    if earlier and later and not later[0].correction and Decimal(later[0].done) < Decimal(earlier[-1].done):
        raise ProblemError(
            problems.WRONG_STATE,
            f"Without it, the measure of {later[0].measured_on} ({later[0].done}) would be smaller than that of "
            f"{earlier[-1].measured_on} ({earlier[-1].done}); mark that one as a correction first.",
        )
    delete_row(work, ProgressRow, measure_id, if_match, "measure")
    record(work, "delete", "measure", measure_id, before)


def _percent(done: Decimal, unit: str | None, planned: Decimal | None) -> Decimal | None:
    if unit is None:
        return done
    if not planned:
        return None
    return (done * 100 / planned).quantize(_PERCENT_STEP, ROUND_HALF_UP)


def _held(work: UnitOfWork, measure_id: UUID) -> Measure:
    """A measure whose budget nobody else measures until this transaction ends."""
    hold_budget(work, read_measure(work, measure_id).budget_id)
    return read_measure(work, measure_id)


def _line(work: UnitOfWork, budget_id: UUID, line_id: UUID) -> Row[*tuple[Any, ...]]:
    """A line of a budget that a request names. Raises `invalid-values` for any other."""
    line = work.session.execute(
        select(BudgetLineRow.id, BudgetLineRow.number, BudgetLineRow.unit).where(
            BudgetLineRow.club_id == work.club_id,
            BudgetLineRow.budget_id == budget_id,
            BudgetLineRow.id == line_id,
        )
    ).first()
    if line is None:
        fault = Fault(pointer="/budget_line_id", expected="the id of a line of this budget", got=str(line_id))
        raise _refused([fault])
    return line


def _refuse_unusable(
    work: UnitOfWork, line: Row[*tuple[Any, ...]], fields: MeasureFields, itself: UUID | None
) -> None:
    if line.unit is None and fields.done > 100:
        expected = "at most 100, since the line has no unit and is measured in percent"
        raise _refused([Fault(pointer="/done", expected=expected, got=plain(fields.done))])
    others = _others(work, line.id, itself)
    if any(one.measured_on == fields.measured_on for one in others):
        raise ProblemError(
            problems.DUPLICATE, f"Line {line.number} has a measure of {fields.measured_on}; edit that one."
        )
    earlier = [one for one in others if one.measured_on < fields.measured_on]
    later = [one for one in others if one.measured_on > fields.measured_on]
    if earlier and not fields.correction and fields.done < Decimal(earlier[-1].done):
        expected = f"{earlier[-1].done} or more, as measured on {earlier[-1].measured_on}, or a correction"
        raise _refused([Fault(pointer="/done", expected=expected, got=plain(fields.done))])
    if later and not later[0].correction and fields.done > Decimal(later[0].done):
        expected = (
            f"{later[0].done} or less, as measured on {later[0].measured_on}, or that measure as a correction"
        )
        raise _refused([Fault(pointer="/done", expected=expected, got=plain(fields.done))])


def _refused(faults: list[Fault]) -> ProblemError:
    return ProblemError(problems.INVALID_VALUES, "Nothing was measured.", faults)


def _others(work: UnitOfWork, line_id: UUID, itself: UUID | None) -> list[Row[*tuple[Any, ...]]]:
    """The other measures of a line, by day."""
    rows = work.session.execute(
        select(ProgressRow.id, ProgressRow.measured_on, ProgressRow.done, ProgressRow.correction)
        .where(ProgressRow.club_id == work.club_id, ProgressRow.budget_line_id == line_id)
        .order_by(ProgressRow.measured_on)
    )
    return [row for row in rows if row.id != itself]


def _columns(work: UnitOfWork, fields: MeasureFields) -> dict[str, Any]:
    return {
        "measured_on": fields.measured_on, "done": plain(fields.done), "correction": fields.correction,
        "reason": fields.reason, "note": fields.note, "measured_by": work.caller.name, "recorded_at": work.now,
    }  # fmt: skip


def _measure(row: Row[*tuple[Any, ...]]) -> Measure:
    return Measure(
        id=row.id, budget_id=row.budget_id, budget_line_id=row.budget_line_id, line_number=row.number,
        label=row.label, measured_on=row.measured_on, done=Decimal(row.done), unit=row.unit or PERCENT,
        correction=row.correction, reason=row.reason, note=row.note, measured_by=row.measured_by,
        recorded_at=row.recorded_at, version=row.version,
    )  # fmt: skip
