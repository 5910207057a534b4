"""Why a project stands otherwise than in the plan before: what was decided, what passed, what was found out since."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from uuid import UUID

from swardcost_model.capital_plans import Decided
from swardcost_model.plan_succession import MoveCause

from swardcost_api.capital.counted_plans import CountedPlan, CountedProject
from swardcost_api.capital.plan_assets import PlanAsset


@dataclass(frozen=True)
class BothPlans:
    """A plan, the plan that it goes on from, and their assets by id."""

    before: CountedPlan
    now: CountedPlan
    assets_before: Mapping[UUID, PlanAsset]
    assets: Mapping[UUID, PlanAsset]

    @classmethod
    def of(cls, before: CountedPlan, now: CountedPlan) -> "BothPlans":
        """Both with their assets found by id."""
        return cls(before, now, {one.id: one for one in before.assets}, {one.id: one for one in now.assets})

    def cost_alike(self, before: CountedProject, now: CountedProject) -> bool:
        """Whether a project of both costs the same if it is begun in one year, so that growth counts too."""
        year = self.now.years[-1]
        return before.costs_from(year) == now.costs_from(year)


def causes_of(plans: BothPlans, before: CountedProject, now: CountedProject) -> list[MoveCause]:
    """Why a project of both plans has another year or cost; where nothing tells it, that nobody has said why."""
    if before.stated.year == now.stated.year and plans.cost_alike(before, now):
        return []
    why_year = list(_of_year(plans, before, now)) if before.stated.year != now.stated.year else []
    why_cost = list(_of_cost(plans, before, now))
    told = [MoveCause(kind="stated", words=now.stated.moved_because)] if now.stated.moved_because else []
    if before.stated.year != now.stated.year and not why_year and not told:
        words = f"Nobody has said why it moved from {_in(before.stated.year)} to {_in(now.stated.year)}."
        why_year = [MoveCause(kind="not_said", words=words)]
    return [*why_year, *why_cost, *told]


def left_cause(before: CountedProject) -> MoveCause:
    """Why a project of the plan before is not in this one."""
    stated = before.stated
    if stated.completion is not None:
        return MoveCause(kind="work_done", words=f"Finished in {stated.completion.year}.")
    if stated.decision is not None and stated.decision.decided is Decided.DECLINED:
        return MoveCause(kind="decision", words=_decided(before))
    return MoveCause(kind="not_said", words="Taken out of the plan; nobody has said why.")


def _of_year(plans: BothPlans, before: CountedProject, now: CountedProject) -> Iterator[MoveCause]:
    decision = before.stated.decision
    if decision is not None and decision.decided is Decided.DEFERRED:
        yield MoveCause(kind="decision", words=_decided(before))
    year, first = before.stated.year, plans.now.years[0]
    if year is not None and year < first:
        begun = now.stated.opened_project_id is not None
        words = f"It was dated in {year}, which has passed; it is {'under way' if begun else 'not begun'}."
        yield MoveCause(kind="year_passed", words=words)
    for then, asset in _assets_of_both(plans, before, now):
        if then.due_in != asset.due_in and asset.due_in is not None:
            was = "" if then.due_in is None else f", not in {then.due_in}"
            words = f"{asset.code} ({asset.name}) is due in {asset.due_in}{was}."
            yield MoveCause(kind="asset_due", words=words)


def _of_cost(plans: BothPlans, before: CountedProject, now: CountedProject) -> Iterator[MoveCause]:
    words_of = plans.now.words
    if before.cost_minor != now.cost_minor:
        if now.stated.opened_project_id is not None and now.stated.cost is not None:
            words = f"What is to come of its budget: {_cost(plans, now)} in place of {_cost(plans, before)}."
            yield MoveCause(kind="work_done", words=words)
        elif now.stated.estimate_id is not None:
            words = f"Its estimate comes to {_cost(plans, now)}, in place of {_cost(plans, before)}."
            yield MoveCause(kind="estimate", words=words)
        elif now.stated.cost is not None:
            words = f"Its cost is stated as {_cost(plans, now)}, in place of {_cost(plans, before)}."
            yield MoveCause(kind="cost_stated", words=words)
        else:
            for then, asset in _assets_of_both(plans, before, now):
                if then.cost != asset.cost and asset.cost is not None:
                    was = "not known" if then.cost is None else words_of(plans.before.minor(then.cost))
                    cost = words_of(plans.now.minor(asset.cost))
                    words = f"{asset.code} ({asset.name}) costs {cost}, in place of {was}."
                    yield MoveCause(kind="asset_cost", words=words)
            if set(before.stated.asset_ids) != set(now.stated.asset_ids):
                yield MoveCause(kind="asset_cost", words="It replaces other assets.")
    if before.growth_percent != now.growth_percent or before.price_year != now.price_year:
        words = (
            f"Its costs grow by {now.growth_percent:f} percent a year from {now.price_year}, in place of "
            f"{before.growth_percent:f} from {before.price_year}."
        )
        yield MoveCause(kind="growth", words=words)
    if [one.percent for one in before.stated.phases] != [one.percent for one in now.stated.phases]:
        words = f"Its work is done in {len(now.stated.phases)} phases, not {len(before.stated.phases)}"
        if len(now.stated.phases) == len(before.stated.phases):
            words = "Its phases have other parts of the cost"
        yield MoveCause(kind="phases", words=f"{words}.")


def _assets_of_both(
    plans: BothPlans, before: CountedProject, now: CountedProject
) -> Iterator[tuple[PlanAsset, PlanAsset]]:
    for asset_id in now.stated.asset_ids:
        then, asset = plans.assets_before.get(asset_id), plans.assets.get(asset_id)
        if asset_id in before.stated.asset_ids and then is not None and asset is not None:
            yield then, asset


def _cost(plans: BothPlans, project: CountedProject) -> str:
    return "no known cost" if project.cost_minor is None else plans.now.words(project.cost_minor)


def _in(year: int | None) -> str:
    return "no year" if year is None else str(year)


def _decided(project: CountedProject) -> str:
    decision = project.stated.decision
    assert decision is not None
    words = f"{decision.decided.value.capitalize()} by {decision.decided_by}"
    if decision.deferred_to is not None:
        words = f"Deferred to {decision.deferred_to} by {decision.decided_by}"
    words += f" on {decision.decided_at.date().isoformat()}"
    return f"{words}: {decision.conditions}" if decision.conditions else f"{words}."
