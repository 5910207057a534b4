"""HTTP operations of budgets."""

from typing import Annotated
from uuid import UUID

from swardcost_model.budgets import Budget, BudgetSummary
from swardcost_model.paging import Page

from swardcost_api.budgets import service
from swardcost_api.operations import CLUB, Cursor, Limit, Query, Room
from swardcost_api.storage.work import UnitOfWork

room = Room("Budgets", "Budgets that accepted estimates opened, by line, account and month.")

BUDGETS = CLUB + "/budgets"


@room.read(BUDGETS, "List the budgets")
def list_budgets(
    work: UnitOfWork,
    limit: Limit = 50,
    cursor: Cursor = None,
    project_id: Annotated[UUID | None, Query("Only budgets of this project.")] = None,
) -> Page[BudgetSummary]:
    return service.list_budgets(work, limit, cursor, project_id)


@room.read(BUDGETS + "/{budget_id}", "Read a budget")
def read_budget(work: UnitOfWork, budget_id: UUID) -> Budget:
    return service.read_budget(work, budget_id)
