"""Tasks of scope items: how long the work takes, with whom, and what it waits for."""

from collections.abc import Iterable, Iterator, Sequence
from typing import Any
from uuid import UUID

from sqlalchemy import Row, insert, select
from swardcost_model import problems
from swardcost_model.paging import Page
from swardcost_model.problems import Fault, ProblemError
from swardcost_model.projects import ScopeItem
from swardcost_model.schedule import NewTask, Task, TaskChange, TaskFields

from swardcost_api.access.service import record
from swardcost_api.engine.schedule.network import Loop, ordered
from swardcost_api.estimates.service import (
    checks_scope_changes,
    hold_project,
    load_scope_items,
    read_project,
    read_scope_item,
)
from swardcost_api.methods.frame import AnyMethod, Measure
from swardcost_api.schedule.tables import TaskRow
from swardcost_api.storage.paging import read_page
from swardcost_api.storage.rows import by_id, delete_row, edit_row, missing
from swardcost_api.storage.work import UnitOfWork
from swardcost_api.units import units_of

_TASK = (
    TaskRow.id, TaskRow.project_id, TaskRow.duration, TaskRow.crew, TaskRow.people, TaskRow.machine,
    TaskRow.machines, TaskRow.invasive, TaskRow.recovery_days, TaskRow.earliest_start, TaskRow.latest_finish,
    TaskRow.predecessors, TaskRow.note, TaskRow.version,
)  # fmt: skip
_TASK_BY_ID = by_id(TaskRow, _TASK)


def create_task(work: UnitOfWork, scope_item_id: UUID, new: NewTask) -> Task:
    """Give a scope item its task. Raises `duplicate` where it has one, `invalid-values` with each fault's place."""
    item = _held_item(work, scope_item_id)
    if _find(work, scope_item_id) is not None:
        raise ProblemError(problems.DUPLICATE, "This scope item has a task already; edit that one.")
    _check(work, item, new)
    task = Task(scope_item_id=scope_item_id, project_id=item.project_id, version=1, **dict(new))
    work.session.execute(
        insert(TaskRow).values(
            club_id=work.club_id, id=scope_item_id, project_id=item.project_id, version=1, **_columns(new)
        )
    )
    record(work, "create", "task", scope_item_id, after=task)
    return task


def list_tasks(work: UnitOfWork, project_id: UUID, limit: int, cursor: str | None) -> Page[Task]:
    """The tasks of a project."""
    read_project(work, project_id)
    statement = select(*_TASK).where(TaskRow.club_id == work.club_id, TaskRow.project_id == project_id)
    rows, following = read_page(work, statement, (TaskRow.id,), limit, cursor)
    return Page[Task](items=[_task(row) for row in rows], next=following)


def tasks_of(work: UnitOfWork, project_id: UUID) -> dict[UUID, Task]:
    """All tasks of a project, by scope item."""
    statement = select(*_TASK).where(TaskRow.club_id == work.club_id, TaskRow.project_id == project_id)
    return {row.id: _task(row) for row in work.session.execute(statement)}


def read_task(work: UnitOfWork, scope_item_id: UUID) -> Task:
    """The task of a scope item. Raises `not-found` where it has none."""
    task = _find(work, scope_item_id)
    if task is None:
        raise missing("task")
    return task


def change_task(work: UnitOfWork, scope_item_id: UUID, change: TaskChange, if_match: int) -> Task:
    """Replace the task of a scope item."""
    item = _held_item(work, scope_item_id)
    before = read_task(work, scope_item_id)
    _check(work, item, change)
    edit_row(work, TaskRow, scope_item_id, if_match, "task", **_columns(change))
    after = Task(
        scope_item_id=scope_item_id, project_id=item.project_id, version=if_match + 1, **dict(change)
    )
    record(work, "change", "task", scope_item_id, before, after)
    return after


def delete_task(work: UnitOfWork, scope_item_id: UUID, if_match: int) -> None:
    """Take the task of a scope item away. Refused with `in-use` while another task waits for it."""
    item = _held_item(work, scope_item_id)
    before = read_task(work, scope_item_id)
    waiting = [
        task
        for task in tasks_of(work, item.project_id).values()
        if any(one.scope_item_id == scope_item_id for one in task.predecessors)
    ]
    if waiting:
        raise ProblemError(
            problems.IN_USE,
            f"Tasks wait for this one: {len(waiting)}. Take it from their predecessors first.",
        )
    delete_row(work, TaskRow, scope_item_id, if_match, "task")
    record(work, "delete", "task", scope_item_id, before)


def _held_item(work: UnitOfWork, scope_item_id: UUID) -> ScopeItem:
    """A scope item whose project's tasks nobody else links meanwhile: two links could close a loop."""
    item = read_scope_item(work, scope_item_id)
    hold_project(work, item.project_id)
    return item


def _find(work: UnitOfWork, scope_item_id: UUID) -> Task | None:
    row = work.session.execute(_TASK_BY_ID, {"club": work.club_id, "id": scope_item_id}).first()
    return None if row is None else _task(row)


def _check(work: UnitOfWork, item: ScopeItem, fields: TaskFields) -> None:
    faults = [*_duration_faults(work, item, fields), *_predecessor_faults(work, item, fields)]
    if faults:
        raise ProblemError(problems.INVALID_VALUES, "The task cannot be used; nothing was changed.", faults)


def _duration_faults(work: UnitOfWork, item: ScopeItem, fields: TaskFields) -> Iterator[Fault]:
    stated, measure = fields.duration.stated, fields.duration.measure
    if stated is not None and stated.unit not in (*units_of("time"), "work_day"):
        units = ", ".join([*units_of("time"), "work_day"])
        yield Fault(pointer="/duration/stated/unit", expected=f"one of: {units}", got=stated.unit)
    if measure is not None:
        hours = hour_measures(work, item)
        if measure not in hours:
            yield Fault(
                pointer="/duration/measure",
                expected="a measure in hours that the method gives with the scope item's parameters: "
                + (", ".join(hours) or "it gives none; add a production rate, or state the duration"),
                got=measure,
            )


def hour_measures(work: UnitOfWork, item: ScopeItem) -> list[str]:
    """Names of the measures in hours that a scope item's method gives with its parameters."""
    entry = next(one for one in load_scope_items(work, item.project_id) if one.id == item.id)
    parameters = entry.method.parameters_as_stored(entry.parameters)
    return _in_hours(entry.method.take_off(parameters, 1.0))


def _in_hours(measures: Iterable[Measure]) -> list[str]:
    return [measure.name for measure in measures if measure.unit == "hour"]


@checks_scope_changes
def timing_faults(
    work: UnitOfWork, scope_item_id: UUID, method: AnyMethod, measures: Sequence[Measure]
) -> Iterator[Fault]:
    """That a scope item would lose the measure by which its task is timed."""
    task = _find(work, scope_item_id)
    hours = _in_hours(measures)
    if task is not None and task.duration.measure is not None and task.duration.measure not in hours:
        revision = "" if method.revision is None else f", revision {method.revision}"
        yield Fault(
            pointer="/method",
            expected=f"a method that gives {task.duration.measure} in hours with these parameters, because the "
            "scope item's task in the schedule is timed by it (change the task first); it gives "
            + (", ".join(hours) or "nothing in hours"),
            got=f"{method.name}{revision}",
        )


def _predecessor_faults(work: UnitOfWork, item: ScopeItem, fields: TaskFields) -> Iterator[Fault]:
    tasks = tasks_of(work, item.project_id)
    known = True
    for index, one in enumerate(fields.predecessors):
        pointer = f"/predecessors/{index}/scope_item_id"
        if one.scope_item_id == item.id:
            known = False
            yield Fault(pointer=pointer, expected="another scope item than the task's own", got=str(item.id))
        elif one.scope_item_id not in tasks:
            known = False
            yield Fault(
                pointer=pointer,
                expected="a scope item of this project that has a task",
                got=str(one.scope_item_id),
            )
    if known:
        loop = _loop(tasks, item.id, [one.scope_item_id for one in fields.predecessors])
        if loop:
            index = next(n for n, one in enumerate(fields.predecessors) if one.scope_item_id in loop)
            names = " -> ".join(read_scope_item(work, scope_item_id).name for scope_item_id in loop)
            yield Fault(
                pointer=f"/predecessors/{index}", expected="tasks that do not wait for each other in a loop",
                got=names,
            )  # fmt: skip


def _loop(tasks: dict[UUID, Task], changed: UUID, waits_for: list[UUID]) -> list[UUID]:
    """The loop that a task would close by waiting for others; empty where it closes none."""
    ids = sorted({*tasks, changed})
    numbers = {scope_item_id: n for n, scope_item_id in enumerate(ids)}
    links = {one: [p.scope_item_id for p in task.predecessors] for one, task in tasks.items()}
    links[changed] = waits_for
    try:
        ordered({numbers[one]: [numbers[other] for other in others] for one, others in links.items()})
    except Loop as loop:
        return [ids[n] for n in loop.keys]
    return []


def _columns(fields: TaskFields) -> dict[str, Any]:
    document = fields.model_dump(mode="json")
    return document | {"earliest_start": fields.earliest_start, "latest_finish": fields.latest_finish}


def _task(row: Row[*tuple[Any, ...]]) -> Task:
    return Task.model_validate({"scope_item_id": row.id, **row._mapping})
