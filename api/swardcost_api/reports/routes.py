"""HTTP operations of reports."""

from typing import Annotated
from uuid import UUID

from swardcost_model import problems
from swardcost_model.access import Role
from swardcost_model.account_files import AccountFile, Layout, LayoutChange, NewLayout
from swardcost_model.control import (
    BudgetStanding,
    CashFlow,
    Explanation,
    Forecast,
    ForecastMethod,
    OwnForecast,
    OwnForecastFields,
)
from swardcost_model.paging import Page
from swardcost_model.reports import BudgetReport
from swardcost_model.values import Month

from swardcost_api.csv_files import write_rows
from swardcost_api.operations import CLUB, CSV, Cursor, Face, Limit, Query, Room
from swardcost_api.reports import (
    account_files,
    cash,
    explaining,
    forecasting,
    layouts,
    own_forecasts,
    service,
    standing,
)
from swardcost_api.reports.faces import faces
from swardcost_api.storage.work import UnitOfWork

room = Room("Reports", "Budget versus actual: where the money stands, where it goes, and why it differs.")
BOOKKEEPERS = frozenset({Role.CONTROLLER, Role.OWNER})
PLANNERS = frozenset({Role.SUPERINTENDENT, Role.OWNER})

BUDGET = CLUB + "/budgets/{budget_id}"
LAYOUTS = CLUB + "/account-layouts"

Through = Annotated[
    Month | None, Query("The last month that counts; this month where none is given.", example="2026-10")
]
Method = Annotated[ForecastMethod, Query("How the estimate at completion is made.")]


def _report_csv(report: BudgetReport) -> str:
    return write_rows(service.REPORT_COLUMNS, service.report_cells(report))


@room.read(BUDGET + "/report", "Budget versus actual", faces=[Face(CSV, _report_csv)])
def read_budget_report(work: UnitOfWork, budget_id: UUID) -> BudgetReport:
    """By line, account, month and scope item; totals equal the sum of the postings, unassigned included."""
    return service.budget_report(work, budget_id)


@room.read(
    BUDGET + "/standing", "Where the money stands",
    faces=faces("Standing", standing.COLUMNS, standing.MONEY, standing.standing_cells),
)  # fmt: skip
def read_budget_standing(work: UnitOfWork, budget_id: UUID, through: Through = None) -> BudgetStanding:
    """Original, adjusted, actual, accrued, committed and available money of every line, at the end of a month."""
    return standing.budget_standing(work, budget_id, through)


@room.read(
    BUDGET + "/forecast", "Earned value and estimate at completion",
    faces=faces("Forecast", forecasting.COLUMNS, forecasting.MONEY, forecasting.forecast_cells),
)  # fmt: skip
def read_budget_forecast(
    work: UnitOfWork, budget_id: UUID, through: Through = None, method: Method = "as_budgeted"
) -> Forecast:
    """What the work done is worth at budget prices, and what each line will cost in the end by four methods."""
    return forecasting.budget_forecast(work, budget_id, through, method)


@room.create(BUDGET + "/own-forecasts", "State an own figure to complete", needs=PLANNERS)
def state_own_forecast(work: UnitOfWork, budget_id: UUID, data: OwnForecastFields) -> OwnForecast:
    """What the superintendent expects a line still to take. Figures are kept; the last by a day counts."""
    return own_forecasts.state_own_forecast(work, budget_id, data)


@room.read(BUDGET + "/own-forecasts", "List the own figures to complete")
def list_own_forecasts(
    work: UnitOfWork, budget_id: UUID, limit: Limit = 50, cursor: Cursor = None
) -> Page[OwnForecast]:
    return own_forecasts.list_own_forecasts(work, budget_id, limit, cursor)


@room.read(
    BUDGET + "/cash-flow", "Cash flow by month",
    faces=faces("Cash flow", cash.COLUMNS, cash.MONEY, cash.cash_cells),
)  # fmt: skip
def read_cash_flow(
    work: UnitOfWork, budget_id: UUID, through: Through = None, method: Method = "as_budgeted"
) -> CashFlow:
    """Planned, paid and expected money of every month; in the end it is the estimate at completion."""
    return cash.budget_cash_flow(work, budget_id, through, method)


@room.read(
    BUDGET + "/explanation", "Why the money is different",
    faces=faces(
        "Explanation", explaining.COLUMNS, explaining.MONEY, explaining.explanation_cells,
        lambda report: (f"{one.cause} = {one.formula}" for one in report.causes),
    ),
)  # fmt: skip
def read_explanation(work: UnitOfWork, budget_id: UUID, through: Through = None) -> Explanation:
    """Each line's difference from its original plan by scope, timing, quantity, price, spending and coding."""
    return explaining.explanation(work, budget_id, through)


@room.read(
    BUDGET + "/account-file", "A file for the accounts", faces=[Face(CSV, account_files.write_file)],
    problems=[problems.INVALID_VALUES],
)  # fmt: skip
def read_account_file(
    work: UnitOfWork,
    budget_id: UUID,
    layout_id: Annotated[UUID, Query("The layout to write it in.")],
    through: Through = None,
) -> AccountFile:
    """Budget, accruals or open commitments of a budget; as CSV it has the layout's delimiter and encoding."""
    return account_files.account_file(work, budget_id, layout_id, through)


@room.create(LAYOUTS, "Save a layout of files for the accounts", needs=BOOKKEEPERS)
def create_account_layout(work: UnitOfWork, data: NewLayout) -> Layout:
    """Which column holds what, and how dates, months and amounts are written."""
    return layouts.create_layout(work, data)


@room.read(LAYOUTS, "List the layouts of files for the accounts")
def list_account_layouts(work: UnitOfWork, limit: Limit = 50, cursor: Cursor = None) -> Page[Layout]:
    return layouts.list_layouts(work, limit, cursor)


@room.read(LAYOUTS + "/{layout_id}", "Read a layout of files for the accounts")
def read_account_layout(work: UnitOfWork, layout_id: UUID) -> Layout:
    return layouts.read_layout(work, layout_id)


@room.edit(LAYOUTS + "/{layout_id}", "Edit a layout of files for the accounts", needs=BOOKKEEPERS)
def change_account_layout(work: UnitOfWork, layout_id: UUID, data: LayoutChange, if_match: int) -> Layout:
    return layouts.change_layout(work, layout_id, data, if_match)


@room.remove(LAYOUTS + "/{layout_id}", "Delete a layout of files for the accounts", needs=BOOKKEEPERS)
def delete_account_layout(work: UnitOfWork, layout_id: UUID, if_match: int) -> None:
    layouts.delete_layout(work, layout_id, if_match)
