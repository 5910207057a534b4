"""What a work report is composed of: a project's scope as it was accepted, its days, and what was measured of it."""

from calendar import monthrange
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import Enum
from uuid import UUID

from swardcost_model import problems
from swardcost_model.budgets import BudgetSummary
from swardcost_model.estimates import Estimate
from swardcost_model.packets import NewPacket
from swardcost_model.problems import ProblemError
from swardcost_model.progress import LineProgress, ProgressState
from swardcost_model.projects import Project

from swardcost_api.budgets.service import LineState, line_states, read_budget_summary, read_progress
from swardcost_api.catalog.service import items_with_codes
from swardcost_api.estimates.service import (
    ScopeEntry,
    all_lines,
    load_scope,
    load_scope_items,
    read_estimate,
    read_project,
    repriceable,
)
from swardcost_api.methods.frame import Measure
from swardcost_api.packets.days.planned import PlannedDays, planned_days
from swardcost_api.packets.months import refuse_before
from swardcost_api.packets.values import MonthOf
from swardcost_api.storage.work import UnitOfWork

Scope = Sequence[tuple[ScopeEntry, Mapping[str, Measure]]]
"""Scope items with the measures of their methods."""


class KnownAs(Enum):
    """Which scope the figures are of: as it was accepted, as it is now, or that with all alternates."""

    ACCEPTED = "accepted"
    NOW = "now"
    NOW_WITH_ALL = "now_with_all"


@dataclass(frozen=True)
class WorkFacts:
    """The work of a budget as it was read at one moment. No money is told of it."""

    budget: BudgetSummary
    estimate: Estimate
    project: Project
    scope: Scope
    """Scope items with the measures of their methods."""
    known_as: KnownAs
    item_names: Mapping[tuple[UUID, str | None], Sequence[str]]
    """What the items of a scope item under an account are called."""
    days: PlannedDays | None
    month: MonthOf
    until: date
    """The last day that counts: of the month, or the day of the packet where that is earlier."""
    before: ProgressState
    """At the end of the month before."""
    now: ProgressState
    lines: Sequence[LineState]

    @property
    def work_lines(self) -> Sequence[LineState]:
        """The lines that are work: all but markups."""
        return [one for one in self.lines if one.markup is None]

    @property
    def measured_before(self) -> Mapping[UUID, LineProgress]:
        """What was measured by the end of the month before, by line."""
        return {one.budget_line_id: one for one in self.before.lines}


def read_facts(work: UnitOfWork, asked: NewPacket) -> WorkFacts:
    """The work of a budget, and what was measured of it by the end of a month.

    Raises `not-found`, and `invalid-values` for a month before the work and the budget.
    """
    budget = read_budget_summary(work, asked.subject_id)
    estimate = read_estimate(work, budget.estimate_id)
    today = work.now.date()
    month = MonthOf.named(asked.through or today.isoformat())
    first = date(month.year, month.month, 1)
    last = first.replace(day=monthrange(month.year, month.month)[1])
    until = min(last, today)
    now = read_progress(work, budget.id, until)
    if not now.lines:
        begun = min(estimate.starts_on, budget.created_at.date())
        refuse_before(begun.isoformat()[:7], str(month))
    taken = [one.alternate_id for one in estimate.alternates if one.taken]
    scope, known_as = _scope(work, estimate, taken)
    return WorkFacts(
        budget=budget, estimate=estimate, project=read_project(work, estimate.project_id), scope=scope,
        known_as=known_as, item_names=_item_names(work, estimate),
        days=planned_days(work, estimate.project_id, taken), month=month, until=until,
        before=read_progress(work, budget.id, first - timedelta(days=1)), now=now,
        lines=line_states(work, budget.id, until),
    )  # fmt: skip


def _item_names(work: UnitOfWork, estimate: Estimate) -> Mapping[tuple[UUID, str | None], Sequence[str]]:
    lines = all_lines(work, estimate.id).items
    known = items_with_codes(work, estimate.edition_id, {line.item for line in lines})
    found: dict[tuple[UUID, str | None], list[str]] = {}
    for line in lines:
        name = known[line.item].description if line.item in known else line.item
        names = found.setdefault((line.scope_item_id, line.account), [])
        if name not in names:
            names.append(name)
    return found


def _scope(work: UnitOfWork, estimate: Estimate, taken: Sequence[UUID]) -> tuple[Scope, KnownAs]:
    """The scope that an estimate was priced from; where that has changed since, the scope of now."""
    try:
        return repriceable(work, estimate.id).priced.taken_off, KnownAs.ACCEPTED
    except ProblemError as error:
        if error.kind is not problems.WRONG_STATE:
            raise
    try:
        entries, known_as = load_scope(work, estimate.project_id, taken), KnownAs.NOW
    except ProblemError as error:
        if error.kind is not problems.INVALID_VALUES:
            raise
        entries, known_as = load_scope_items(work, estimate.project_id), KnownAs.NOW_WITH_ALL
    return [(entry, entry.take_off()) for entry in entries], known_as
