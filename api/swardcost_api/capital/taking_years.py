"""Taking the years of the best timing into a draft: solved with no transaction open, written in one.

What is written is the answer to the question as it stands when it is written: where the plan, or what it is counted
from, changed while it was solved, nothing is written.
"""

from dataclasses import dataclass
from uuid import UUID

from swardcost_model import problems
from swardcost_model.plan_timing import TakenYear, TimingQuestion, TimingTaken
from swardcost_model.problems import ProblemError

from swardcost_api.access.service import record
from swardcost_api.capital.counted_plans import CountedPlan, CountedProject, read_counted_plan
from swardcost_api.capital.plan_rows import (
    PROJECT,
    draft_to_change,
    project_columns,
    read_project,
    refuse_unless_draft,
)
from swardcost_api.capital.tables import PlanProjectRow
from swardcost_api.capital.timings import BestYears, TimingAsked, best_years
from swardcost_api.storage.rows import edit_row
from swardcost_api.storage.work import UnitOfWork


@dataclass(frozen=True, slots=True)
class TimedPlan:
    """A plan as it was read, and the years of its best timing."""

    counted: CountedPlan
    best: BestYears


def read_draft_to_time(work: UnitOfWork, plan_id: UUID, data: TimingQuestion) -> TimingAsked:
    """What the timing rests on. Raises `not-found`, and `wrong-state` for a plan that was issued."""
    counted = read_counted_plan(work, plan_id)
    refuse_unless_draft(counted.plan)
    return TimingAsked(counted, data.late_percent)


def solve_years(asked: TimingAsked) -> TimedPlan:
    """The years of the best timing; it may take long and reads nothing.

    Raises `wrong-state` where no timing keeps every limit, `unavailable` while others are solved.
    """
    best = best_years(asked.counted, asked.late_percent)
    if best.conflict:
        raise ProblemError(problems.WRONG_STATE, f"No years were taken. {best.conflict}")
    return TimedPlan(asked.counted, best)


def take_years(work: UnitOfWork, plan_id: UUID, data: TimingQuestion, solved: TimedPlan) -> TimingTaken:
    """Write the year in which each project begins into the draft.

    Raises `wrong-state` for a plan that was issued, and `changed-meanwhile` where it is not the plan solved any more.
    """
    draft_to_change(work, plan_id)
    counted = read_counted_plan(work, plan_id)
    if counted != solved.counted:
        raise ProblemError(
            problems.CHANGED_MEANWHILE,
            "The plan, its projects, or the assets and estimates that they rest on were changed while the timing was "
            "solved; nothing was written.",
        )
    best = solved.best
    assert best.worth is not None
    assert best.gap_percent is not None
    taken = [
        _take(work, one, best.years[one.stated.id]) for one in counted.projects if one.stated.id in best.years
    ]
    moves = {str(one.number): [one.before, one.after] for one in taken if one.changed}
    if moves:
        record(work, "take_timing", "capital_plan", plan_id, after={"years_before_and_after": moves})
    return TimingTaken(
        plan_id=plan_id, late_percent=data.late_percent, worth=best.worth, gap_percent=best.gap_percent,
        projects_changed=len(moves), projects=taken,
        kept=[best.why_not[one.stated.id] for one in counted.projects if one.stated.id in best.why_not],
    )  # fmt: skip


def _take(work: UnitOfWork, one: CountedProject, year: int | None) -> TakenYear:
    stated = one.stated
    changed = stated.year != year
    version = stated.version
    if changed:
        dated = stated.model_copy(update={"year": year})
        edit_row(work, PlanProjectRow, stated.id, version, PROJECT, **project_columns(dated))
        after = read_project(work, stated.id)
        record(work, "change", "plan_project", stated.id, stated, after)
        version = after.version
    return TakenYear(
        project_id=stated.id, number=stated.number, name=stated.name, before=stated.year, after=year, changed=changed,
        version=version,
    )  # fmt: skip
