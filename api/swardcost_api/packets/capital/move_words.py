"""Why a project stands otherwise than in the plan before, in sentences."""

from collections.abc import Iterator

from swardcost_model.capital_plans import Decided, PlanProject
from swardcost_model.plan_succession import ProjectMove

from swardcost_api.capital.service import BothPlans, CountedProject
from swardcost_api.packets.capital.telling import Telling, asset_name
from swardcost_api.packets.telling import as_sentence
from swardcost_api.packets.values import Share


def since_plan_before(telling: Telling, move: ProjectMove) -> Iterator[str]:
    """A sentence for each cause; those that rest on assets in one for each asset."""
    both = telling.facts.both
    assert both is not None
    before = next((one for one in both.before.projects if one.stated.id == move.carried_from), None)
    now = None if move.project_id is None else telling.facts.counted_by_id[move.project_id]
    for kind in dict.fromkeys(one.kind for one in move.causes):
        if before is None:
            continue
        if now is None:
            yield _left(telling, before.stated)
        elif kind in ("asset_due", "asset_cost"):
            yield from _of_assets(telling, both, before.stated, now.stated, kind == "asset_due")
        else:
            yield _carried(telling, kind, before, now)


def _left(telling: Telling, before: PlanProject) -> str:
    """Why a project of the plan before is not in this one."""
    if before.completion is not None:
        return telling.say("Finished in %(year)s.", year=before.completion.year)
    if before.decision is not None and before.decision.decided is Decided.DECLINED:
        return _decided(telling, before)
    return telling.say("Taken out of the plan; nobody has said why.")


def _decided(telling: Telling, before: PlanProject) -> str:
    decision = before.decision
    assert decision is not None
    told = {"who": decision.decided_by, "day": telling.day(decision.decided_at.date())}
    if decision.decided is Decided.DECLINED:
        words = telling.say("Declined by %(who)s on %(day)s.", **told)
    elif decision.deferred_to is None:
        words = telling.say("Deferred by %(who)s on %(day)s.", **told)
    else:
        words = telling.say("Deferred to %(year)s by %(who)s on %(day)s.", **told, year=decision.deferred_to)
    if not decision.conditions:
        return words
    return words + " " + telling.say("Conditions: %(text)s", text=as_sentence(decision.conditions))


def _carried(telling: Telling, kind: str, before: CountedProject, now: CountedProject) -> str:
    say = telling.say
    costs = {"now": _cost(telling, now), "was": _cost(telling, before)}
    match kind:
        case "decision":
            return _decided(telling, before.stated)
        case "year_passed" if now.stated.opened_project_id is not None:
            return say("Its year, %(year)s, has passed; it is under way.", year=before.stated.year)
        case "year_passed":
            return say("Its year, %(year)s, has passed; it is not begun.", year=before.stated.year)
        case "stated":
            return as_sentence(now.stated.moved_because)
        case "work_done":
            return say(
                "What is to come of its budget is %(now)s at the plan's prices, in place of a cost of %(was)s.",
                **costs,
            )
        case "estimate":
            return say("Its estimate comes to %(now)s, in place of %(was)s.", **costs)
        case "cost_stated":
            return say("Its cost is stated as %(now)s, in place of %(was)s.", **costs)
        case "growth":
            return say(
                "Its costs grow by %(now)s a year from %(year)s, in place of %(was)s from %(before)s.",
                now=telling.shown(Share(now.growth_percent)), year=now.price_year,
                was=telling.shown(Share(before.growth_percent)), before=before.price_year,
            )  # fmt: skip
        case "phases":
            return say("Its phases or their parts of the cost are others.")
        case _:
            return say(
                "Nobody has said why it moved from %(was)s to %(now)s.",
                was=_year(telling, before), now=_year(telling, now),
            )  # fmt: skip


def _of_assets(
    telling: Telling, both: BothPlans, before: PlanProject, now: PlanProject, of_year: bool
) -> Iterator[str]:
    say = telling.say
    for asset_id in now.asset_ids:
        then, asset = both.assets_before.get(asset_id), both.assets.get(asset_id)
        if asset_id not in before.asset_ids or then is None or asset is None:
            continue
        if of_year and asset.due_in is not None and then.due_in != asset.due_in:
            told = {"asset": asset_name(asset), "year": asset.due_in}
            yield (
                say("%(asset)s is due in %(year)s.", **told) if then.due_in is None
                else say("%(asset)s is due in %(year)s, not in %(was)s.", **told, was=then.due_in)
            )  # fmt: skip
        if not of_year and asset.cost is not None and then.cost != asset.cost:
            told = {"asset": asset_name(asset), "cost": telling.shown(asset.cost)}
            yield (
                say("%(asset)s costs %(cost)s; before, its cost was not known.", **told) if then.cost is None
                else say("%(asset)s costs %(cost)s, in place of %(was)s.", **told, was=telling.shown(then.cost))
            )  # fmt: skip
    if not of_year and set(before.asset_ids) != set(now.asset_ids):
        yield say("It replaces other assets.")


def _cost(telling: Telling, project: CountedProject) -> str:
    if project.cost_minor is None:
        return telling.say("no known cost")
    return telling.shown(telling.facts.counted.money(project.cost_minor))


def _year(telling: Telling, project: CountedProject) -> str:
    return telling.say("no year") if project.stated.year is None else str(project.stated.year)
