"""Where the money of a plan's projects stands: their budgets, what was spent, and what is to come."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from uuid import UUID

from swardcost_model.capital_plans import PlanProject
from swardcost_model.values import Money

from swardcost_api.budgets.service import budgets_of_projects
from swardcost_api.estimates.service import estimate_totals, estimated_projects
from swardcost_api.reports.service import BudgetMoney, money_of_budgets
from swardcost_api.storage.work import UnitOfWork


@dataclass(frozen=True, slots=True)
class ProjectMoney:
    """What is known of the money of a project of a plan; all of it none where it has no estimate."""

    estimated: Money | None
    priced: bool
    budget: BudgetMoney | None


def money_of_projects(
    work: UnitOfWork, projects: Collection[PlanProject], through: str | None
) -> Mapping[UUID, ProjectMoney]:
    """The money of each project up to the end of a month, this month where none is given."""
    opened = {one.opened_project_id for one in projects if one.opened_project_id is not None}
    budgets = budgets_of_projects(work, opened) if opened else {}
    money = money_of_budgets(work, [one.id for one in budgets.values()], through)
    named = {one.estimate_id for one in projects if one.estimate_id is not None}
    named |= {one.estimate_id for one in budgets.values()}
    totals = estimate_totals(work, named) if named else {}
    priced = estimated_projects(work, opened) if opened else set()
    found = {}
    for one in projects:
        budget = None if one.opened_project_id is None else budgets.get(one.opened_project_id)
        estimate_id = one.estimate_id if budget is None else budget.estimate_id
        found[one.id] = ProjectMoney(
            None if estimate_id is None else totals.get(estimate_id), one.opened_project_id in priced,
            None if budget is None else money[budget.id],
        )  # fmt: skip
    return found
