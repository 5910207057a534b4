"""The part of the story in which a committee reads where the money stands, and the accounts get their file."""

from datetime import date
from decimal import Decimal
from typing import Any

from swardcost_model.account_files import LayoutChange, LayoutColumn, NewLayout
from swardcost_model.control import OwnForecastFields
from swardcost_model.values import Money

SAMPLE = (
    "Account,Date,Description,Debit,Credit,Balance\n"
    '6410,,Opening balance,,,"1,000.00"\n'
    ",09/18/2026,Topdressing sand,512.30,,1512.30\n"
    "Total 6410,,,512.30,,\n"
)
REPORTS = ("standing", "forecast", "cash-flow", "explanation")
MONTH = "2026-09"


def the_reports(client: Any, budget: Any) -> None:
    """State a figure to complete, read every report in every face, and write a file for the accounts."""
    figure = OwnForecastFields(
        budget_line_id=budget.lines[0].id, stated_on=date(2026, 2, 1),
        to_complete=Money(amount=Decimal("150.00"), currency="USD"), reason="One green is still to be dressed",
    )  # fmt: skip
    stated = client.control.state_own_forecast(budget.id, figure)
    assert [one.id for one in client.control.own_forecasts(budget.id)] == [stated.id]
    assert client.control.standing(budget.id, MONTH).through == MONTH
    assert client.control.forecast(budget.id, MONTH, "own_figure").method == "own_figure"
    assert client.control.cash_flow(budget.id, MONTH).months
    assert client.control.explanation(budget.id, MONTH).lines
    for report in REPORTS:
        assert client.control.csv(budget.id, report, MONTH)
        assert client.control.workbook(budget.id, report, MONTH).startswith(b"PK")
    fields = {
        "name": "Budget upload", "content": "budget",
        "columns": [
            LayoutColumn(header="Account", field="account"), LayoutColumn(header="Month", field="month"),
            LayoutColumn(header="Amount", field="amount"),
        ],
    }  # fmt: skip
    layout = client.account_layouts.create(NewLayout(**fields))
    layout = client.account_layouts.change(layout.id, LayoutChange(**fields, delimiter=";"), layout.version)
    assert client.account_layouts.read(layout.id) == layout
    assert list(client.account_layouts.list()) == [layout]
    file = client.control.account_file(budget.id, layout.id, MONTH)
    assert client.control.account_file_csv(budget.id, layout.id, MONTH).decode().splitlines()[0] == ";".join(
        file.header
    )
    spare = client.account_layouts.create(NewLayout(**fields | {"name": "Spare"}))
    client.account_layouts.delete(spare.id, spare.version)


def the_proposal(client: Any, import_id: Any) -> None:
    """Propose a profile from a sample, list the ready ones, and read an import's control totals."""
    assert client.import_profiles.propose(SAMPLE, "Printed ledger").profile is not None
    assert client.import_profiles.ready().items
    assert client.imports.control_totals(import_id).items
