"""What an estimate packet is composed of: the estimate with its lines, what it rests on, its days and its risks."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from uuid import UUID

from swardcost_model import problems
from swardcost_model.estimate_quality import EstimateQuality
from swardcost_model.estimates import Estimate, EstimateLineDetail
from swardcost_model.packets import NewPacket
from swardcost_model.problems import ProblemError
from swardcost_model.projects import Project
from swardcost_model.schedule import ScheduledTask
from swardcost_model.simulations import Sensitivity, Simulation
from swardcost_model.uncertainty import UncertaintyFields

from swardcost_api.catalog.service import items_with_codes
from swardcost_api.estimates.service import (
    explained_lines,
    load_scope_items,
    read_estimate,
    read_project,
    read_quality,
)
from swardcost_api.packets.days.planned import PlannedDays, planned_days
from swardcost_api.risk.service import (
    Fitted,
    fitted_uncertainty,
    latest_simulation,
    read_uncertainty,
    sensitivity_of,
)
from swardcost_api.storage.work import UnitOfWork

_UNCERTAIN = set(UncertaintyFields.model_fields)


@dataclass(frozen=True)
class EstimateFacts:
    """An estimate as it was read at one moment; its days and swings are computed when they are asked for."""

    estimate: Estimate
    project: Project
    lines: Sequence[EstimateLineDetail]
    item_names: Mapping[str, str]
    """What the edition calls each item, by code."""
    scope_names: Mapping[UUID, str]
    """Names of scope items, those that have no line among them."""
    quality: EstimateQuality
    days: PlannedDays | None
    """None where the project has no calendar, or not with the alternates of this estimate any more."""
    simulation: Simulation | None
    stated: UncertaintyFields
    """What is said to be uncertain now."""
    fitted: Fitted | None
    """None where what the estimate was priced from, or what is uncertain of it, has changed since."""

    @property
    def currency(self) -> str:
        """The currency of all its money."""
        return self.estimate.total.currency

    @property
    def nothing_priced(self) -> bool:
        """Whether no line has an amount, so that there is no total to tell."""
        return all(line.amount is None for line in self.lines)

    @cached_property
    def scheduled(self) -> Mapping[UUID, ScheduledTask]:
        """The days of the schedule by scope item. Raises `unavailable` while others are solved."""
        found = self.days.schedule if self.days is not None and self.days.any else None
        return {} if found is None else {one.scope_item_id: one for one in found.tasks}

    @cached_property
    def by_simulated_name(self) -> Mapping[str, EstimateLineDetail]:
        """The first line of each resource, by what a simulation calls that."""
        return {f"{one.resource}. {one.scope_item}: {one.item}": one for one in reversed(self.lines)}

    @cached_property
    def sensitivity(self) -> Sensitivity | None:
        """What moves the total, where anything is said to be uncertain."""
        if self.fitted is None or not (self.stated.figures or self.stated.events):
            return None
        return sensitivity_of(self.fitted)


def read_facts(work: UnitOfWork, asked: NewPacket) -> EstimateFacts:
    """An estimate with all that a packet of it tells. Raises `not-found`."""
    estimate = read_estimate(work, asked.subject_id)
    lines = explained_lines(work, estimate.id)
    found = items_with_codes(work, estimate.edition_id, {line.item for line in lines})
    names = {entry.id: entry.name for entry in load_scope_items(work, estimate.project_id)}
    kept = read_uncertainty(work, estimate.id).model_dump(include=_UNCERTAIN)
    taken = [one.alternate_id for one in estimate.alternates if one.taken]
    return EstimateFacts(
        estimate=estimate, project=read_project(work, estimate.project_id), lines=lines,
        item_names={code: item.description for code, item in found.items()},
        scope_names=names | {line.scope_item_id: line.scope_item for line in lines},
        quality=read_quality(work, estimate), days=planned_days(work, estimate.project_id, taken),
        simulation=latest_simulation(work, estimate.id), stated=UncertaintyFields(**kept),
        fitted=_fitted(work, estimate.id),
    )  # fmt: skip


def _fitted(work: UnitOfWork, estimate_id: UUID) -> Fitted | None:
    try:
        return fitted_uncertainty(work, estimate_id)
    except ProblemError as error:
        if error.kind is not problems.WRONG_STATE:
            raise
        return None
