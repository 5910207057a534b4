"""The plan that goes on from a locked one: its money, and its projects as they are carried on."""

from collections.abc import Iterator, Mapping
from typing import Any
from uuid import UUID

from swardcost_model import problems
from swardcost_model.capital_plans import (
    NewPlan,
    Plan,
    PlanFields,
    PlanProject,
    PlanProjectFields,
    PlanStatus,
    Prerequisite,
)
from swardcost_model.plan_succession import CarriedProject, ContinuedPlan, NextPlan
from swardcost_model.problems import Fault, ProblemError
from swardcost_model.values import Money

from swardcost_api.capital.carrying import Carried, carried
from swardcost_api.capital.counted_plans import CountedPlan, read_counted_plan
from swardcost_api.capital.plan_assets import asset_ids
from swardcost_api.capital.plan_checks import last_year
from swardcost_api.capital.plan_projects import add_project
from swardcost_api.capital.plans import create_plan
from swardcost_api.capital.project_money import money_of_projects
from swardcost_api.engine.capital.growth import grown
from swardcost_api.storage.work import UnitOfWork


def continue_plan(work: UnitOfWork, plan_id: UUID, new: NextPlan) -> ContinuedPlan:
    """Begin the plan that goes on from a locked one, as a draft.

    Prices stay those of the same price year, so that both plans can be compared; incomes and loans go on as they were
    begun. Projects keep their numbers: what is finished or declined is not carried on, what is under way is carried on
    with what is to come of its budget.

    Raises `wrong-state` for a plan that is not locked, `duplicate` for a name that is taken, `invalid-values` for years
    that have none in common with the plan before, and for an opening reserve in another currency.
    """
    counted = read_counted_plan(work, plan_id)
    before = counted.plan
    if before.status is not PlanStatus.LOCKED:
        raise ProblemError(
            problems.WRONG_STATE,
            f"The capital plan {before.name!r} is {before.status}; only one that is locked is continued.",
        )
    first = _first_year(before, new)
    years = new.years or before.years
    longest = max((len(one.stated.phases) for one in counted.projects), default=1)
    if years < longest:
        expected = f"at least {longest}, the phases of the longest project"
        raise ProblemError(
            problems.INVALID_VALUES, "Nothing was begun.",
            [Fault(pointer="/years", expected=expected, got=str(years))],
        )  # fmt: skip
    reserve = new.opening_reserve
    if reserve.currency != counted.currency:
        fault = Fault(
            pointer="/opening_reserve/currency", expected=f"the club's currency, {counted.currency}",
            got=reserve.currency,
        )  # fmt: skip
        raise ProblemError(problems.INVALID_VALUES, "Nothing was begun.", [fault])
    left_out: list[str] = []
    plan = create_plan(work, _following(counted, new, first, years, left_out), follows=plan_id)
    return ContinuedPlan(plan=plan, carried=list(_carry(work, counted, plan)), left_out=left_out)


def _first_year(before: Plan, new: NextPlan) -> int:
    first = before.first_year + 1 if new.first_year is None else new.first_year
    if not before.first_year < first <= last_year(before):
        expected = (
            f"a year from {before.first_year + 1} to {last_year(before)}, so that the plans share years"
        )
        raise ProblemError(
            problems.INVALID_VALUES, "Nothing was begun.",
            [Fault(pointer="/first_year", expected=expected, got=str(first))],
        )  # fmt: skip
    return first


def _following(counted: CountedPlan, new: NextPlan, first: int, years: int, left_out: list[str]) -> NewPlan:
    """The terms of the plan before, from a later year on; what has ended by then is named in `left_out`."""
    before = counted.plan
    last = first + years - 1
    fields: dict[str, Any] = {name: getattr(before, name) for name in PlanFields.model_fields}
    money: dict[str, Any] = dict(before.money)
    money["opening_reserve"] = new.opening_reserve
    money["incomes"] = [
        one.model_copy(
            update={
                "first_year": one.first_year or before.first_year,
                "last_year": None if one.last_year is None or one.last_year > last else one.last_year,
            }
        )
        for one in before.money.incomes
        if _goes_on(one.name, one.last_year, first, left_out)
    ]
    money["assessments"] = [
        one
        for one in before.money.assessments
        if _goes_on(one.name, one.year, first, left_out) and one.year <= last
    ]
    money["loans"] = [
        one
        for one in before.money.loans
        if _goes_on(one.name, one.drawn_in + one.years - 1, first, left_out) and one.drawn_in <= last
    ]
    limit = before.money.spending_limit
    if limit is not None:
        percent = before.money.spending_limit_percent_a_year
        minor = grown(counted.minor(limit), percent, first - before.first_year)
        money["spending_limit"] = Money.of_minor(minor, limit.currency)
    fields |= {
        "name": new.name, "first_year": first, "years": years, "price_year": counted.price_year, "money": money,
    }  # fmt: skip
    return NewPlan(**fields)


def _goes_on(name: str, last: int | None, first: int, left_out: list[str]) -> bool:
    if last is None or last >= first:
        return True
    left_out.append(f"{name}: its last year was {last}.")
    return False


def _carry(work: UnitOfWork, counted: CountedPlan, plan: Plan) -> Iterator[CarriedProject]:
    """Each project of the plan before, carried on where it is; those that it needs first by their new ids."""
    stated = [one.stated for one in counted.projects]
    money = money_of_projects(work, stated, None)
    named = {asset_id for one in stated for asset_id in one.asset_ids}
    there = asset_ids(work, named) if named else set()
    found = {
        one.stated.id: carried(counted, one, money[one.stated.id].budget, plan, there)
        for one in counted.projects
    }
    new_ids = {key: work.new_id() for key, one in found.items() if one.fields is not None}
    kept: dict[UUID, PlanProject] = {}
    for before in stated:
        became = found[before.id]
        project = None
        words = became.words
        if became.fields is not None:
            fields, gone = _needing(became.fields, new_ids)
            project = add_project(work, plan, new_ids[before.id], fields, kept, goes_on_from=before)
            kept[project.id] = project
            words += _no_longer_needed(gone, found, stated)
        yield CarriedProject(
            number=before.number, name=before.name, carried_from=before.id, how=became.how, project=project,
            words=words,
        )  # fmt: skip


def _needing(fields: PlanProjectFields, new_ids: Mapping[UUID, UUID]) -> tuple[PlanProjectFields, list[UUID]]:
    """The project with those that it needs first by their ids in the new plan, and those that are not carried on."""
    needed = [
        Prerequisite(project_id=new_ids[one.project_id], years_before=one.years_before)
        for one in fields.prerequisites
        if one.project_id in new_ids
    ]
    gone = [one.project_id for one in fields.prerequisites if one.project_id not in new_ids]
    return fields.model_copy(update={"prerequisites": needed}), gone


def _no_longer_needed(gone: list[UUID], found: Mapping[UUID, Carried], stated: list[PlanProject]) -> str:
    by_id = {one.id: one for one in stated}
    return "".join(
        f" It no longer waits for {by_id[one].number} ({by_id[one].name}), which is {found[one].how}."
        for one in gone
    )
