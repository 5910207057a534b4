"""HTTP operations of reports."""

from uuid import UUID

from swardcost_model.reports import BudgetReport

from swardcost_api.csv_files import write_rows
from swardcost_api.operations import CLUB, Face, Room
from swardcost_api.reports import service
from swardcost_api.storage.work import UnitOfWork

room = Room("Reports", "Budget versus actual.")


def _report_csv(report: BudgetReport) -> str:
    return write_rows(service.REPORT_COLUMNS, service.report_cells(report))


@room.read(
    CLUB + "/budgets/{budget_id}/report", "Budget versus actual", faces=[Face("text/csv", _report_csv)]
)
def read_budget_report(work: UnitOfWork, budget_id: UUID) -> BudgetReport:
    """By line, account, month and scope item; totals equal the sum of the postings, unassigned included."""
    return service.budget_report(work, budget_id)
