"""Taking the days of the schedule into the scope: solved with no transaction open, written in one.

What is written is the answer to the question as it stands when it is written: where something changed while the
schedule was solved, so that it would be another question, nothing is written.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from uuid import UUID

from swardcost_model import problems
from swardcost_model.problems import Fault, ProblemError
from swardcost_model.projects import Project
from swardcost_model.schedule_dates import DatedItem, DatesTaken, DatesToTake, UndatedItem

from swardcost_api.engine.schedule.programme import Programme
from swardcost_api.estimates.service import DaysSet, ScopeEntry, hold_project, set_scope_days
from swardcost_api.schedule.answers import RULES, solution_of
from swardcost_api.schedule.cautions import PLANNING
from swardcost_api.schedule.service import (
    PlannedWork,
    Question,
    TimedWork,
    answer_to,
    read_planned_work,
    refusing_endless_work,
    timed_work_of,
)
from swardcost_api.storage.work import UnitOfWork


@dataclass(frozen=True, slots=True)
class WorkToDate:
    """Planned work, and which of it is to take its days."""

    planned: PlannedWork
    named: Sequence[UUID]


@dataclass(frozen=True, slots=True)
class Solved:
    """A question with its answer."""

    question: Question
    programme: Programme


def read_work_to_date(work: UnitOfWork, project_id: UUID, data: DatesToTake) -> WorkToDate:
    """The work whose days are asked for. Raises `wrong-state` for a project without a calendar."""
    planned = read_planned_work(work, project_id, data.alternate_ids)
    return WorkToDate(planned, data.scope_item_ids or ())


def solve(asked: WorkToDate) -> Solved:
    """The schedule whose days are to be taken; it may take long and reads nothing.

    Raises `wrong-state` where nothing can be scheduled, `invalid-values` for named scope items that cannot.
    """
    with refusing_endless_work():
        question = _checked(asked).question
        return Solved(question, answer_to(question))


def take_dates(work: UnitOfWork, project_id: UUID, data: DatesToTake, solved: Solved) -> DatesTaken:
    """Write the first and last day of each task into its scope item.

    Raises as `solve`, and `changed-meanwhile` where the schedule solved is not that of the work any more.
    """
    hold_project(work, project_id)
    asked = read_work_to_date(work, project_id, data)
    with refusing_endless_work():
        found = _checked(asked)
    if found.question != solved.question:
        raise ProblemError(
            problems.CHANGED_MEANWHILE,
            "The tasks, their scope items or the calendar were changed while the schedule was solved; nothing was "
            "written.",
        )
    entries = {one.entry.number: one.entry for one in found.timed}
    date_of, wanted = found.question.days.date, set(asked.named)
    placed = sorted(solved.programme.placed, key=lambda one: one.task.key)
    days = {
        entries[one.task.key].id: (date_of(one.start), date_of(one.finish))
        for one in placed
        if not wanted or entries[one.task.key].id in wanted
    }
    dated = set_scope_days(work, project_id, days)
    project = asked.planned.project
    items = [
        _dated(entry, dated[entry.id], project) for _, entry in sorted(entries.items()) if entry.id in days
    ]
    return DatesTaken(
        project_id=project.id, project=project.name, project_first_day=project.starts_on,
        project_last_day=project.ends_on, items_changed=sum(one.changed for one in items), items=items,
        kept=[UndatedItem(**dict(one), kept=dated[one.scope_item_id].after) for one in found.unscheduled],
        reopens_on=solved.programme.opens_on, solution=solution_of(solved.programme),
        cautions=list(_cautions(project, items, found, solved.programme)),
    )  # fmt: skip


def _checked(asked: WorkToDate) -> TimedWork:
    found = timed_work_of(asked.planned)
    scheduled = {one.entry.id for one in found.timed}
    why_not = {one.scope_item_id: one.text for one in found.unscheduled}
    faults = [
        Fault(
            pointer=f"/scope_item_ids/{index}",
            expected="a scope item that can be scheduled"
            if named in why_not
            else "a scope item of this project",
            got=f"{named}: {why_not[named]}" if named in why_not else str(named),
        )
        for index, named in enumerate(asked.named)
        if named not in scheduled
    ]
    if faults:
        raise ProblemError(problems.INVALID_VALUES, "No days were taken; nothing was changed.", faults)
    if not scheduled:
        raise ProblemError(
            problems.WRONG_STATE,
            "No scope item of the project can be scheduled, so there are no days to take.",
        )
    return found


def _dated(entry: ScopeEntry, days: DaysSet, project: Project) -> DatedItem:
    first, last = days.after.starts_on, days.after.ends_on
    outside = (first is not None and first < project.starts_on) or (
        last is not None and last > project.ends_on
    )
    return DatedItem(
        scope_item_id=entry.id, number=entry.number, name=entry.name, before=days.before, after=days.after,
        changed=days.changed, outside_project=outside, version=days.version,
    )  # fmt: skip


def _cautions(
    project: Project, items: Sequence[DatedItem], found: TimedWork, programme: Programme
) -> Iterator[str]:
    if found.unscheduled:
        yield f"Scope items not scheduled: {len(found.unscheduled)}. They keep the days they had."
    if programme.rule in ("best_found", "priority_rule"):
        yield RULES[programme.rule]
    for one in items:
        if one.outside_project:
            yield (
                f"{one.name} is at work from {one.after.starts_on} to {one.after.ends_on}, outside the project's days, "
                f"{project.starts_on} to {project.ends_on}."
            )
    yield PLANNING
