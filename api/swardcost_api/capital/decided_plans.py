"""A plan as it was decided on: what was approved as dated, what was deferred in its new year, without the rest."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from uuid import UUID

from swardcost_model.capital_plans import Decided, PlanProject

from swardcost_api.capital.counted_plans import CountedPlan, under_terms


@dataclass(frozen=True)
class DecidedPlan:
    """A plan with every project in the year that was decided, none where it is not done.

    `why` says of each project that is not as dated what was decided; `waiting` are projects on which nothing is decided
    yet, which stay as dated.
    """

    counted: CountedPlan
    why: Mapping[UUID, str] = field(default_factory=dict)
    waiting: Sequence[str] = ()

    @property
    def left_out(self) -> list[str]:
        """Projects without a year by decision, each with what was decided."""
        return [
            f"{one.label}: {self.why[one.stated.id]}"
            for one in self.counted.projects
            if one.stated.year is None and one.stated.id in self.why
        ]

    @property
    def after_plan(self) -> list[str]:
        """Projects deferred to a year after the last of the plan."""
        last = self.counted.years[-1]
        return [
            f"{one.label} in {one.stated.year}"
            for one in self.counted.projects
            if one.stated.year is not None and one.stated.year > last
        ]


def as_decided(counted: CountedPlan) -> DecidedPlan:
    """The plan as decided so far. A deferred project begins in the year it was deferred to, also after the plan."""
    why = {one.stated.id: words for one in counted.projects if (words := _words(one.stated)) is not None}
    stated = [
        one.stated.model_copy(update={"year": _year(one.stated)}) if one.stated.id in why else one.stated
        for one in counted.projects
    ]
    waiting = [one.label for one in counted.projects if one.stated.decision is None]
    return DecidedPlan(under_terms(counted, counted.plan, stated), why, waiting)


def _year(project: PlanProject) -> int | None:
    decision = project.decision
    return decision.deferred_to if decision is not None and decision.decided is Decided.DEFERRED else None


def _words(project: PlanProject) -> str | None:
    """What was decided on a project that is not as dated."""
    decision = project.decision
    if decision is None or decision.decided is Decided.APPROVED:
        return None
    conditions = f" {decision.conditions.rstrip('.')}." if decision.conditions else ""
    if decision.decided is Decided.DECLINED:
        return f"Declined.{conditions}"
    since = "" if project.year is None else f" from {project.year}"
    if decision.deferred_to is None:
        return f"Deferred{since}, to no year that is named.{conditions}"
    return f"Deferred{since} to {decision.deferred_to}.{conditions}"
