"""Where the money of a budget stands, where it goes, why it differs; and files for the club's accounts."""

from collections.abc import Iterator
from uuid import UUID

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

from swardcost._sync.session import Session

_CLUB = "/v1/clubs/{club}"
_XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


class Control:
    """Reports on a budget, up to the end of a month (``"2026-10"``), or of this month where none is given."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def standing(self, budget_id: UUID, through: str | None = None) -> BudgetStanding:
        """Original, adjusted, actual, accrued, committed and available money, line by line."""
        return self._session.get(BudgetStanding, _of(budget_id, "standing"), through=through)

    def forecast(
        self, budget_id: UUID, through: str | None = None, method: ForecastMethod = "as_budgeted"
    ) -> Forecast:
        """Earned value, and the estimate at completion by four methods."""
        path = _of(budget_id, "forecast")
        return self._session.get(Forecast, path, through=through, method=method)

    def cash_flow(
        self, budget_id: UUID, through: str | None = None, method: ForecastMethod = "as_budgeted"
    ) -> CashFlow:
        """Planned, paid and expected money by month."""
        path = _of(budget_id, "cash-flow")
        return self._session.get(CashFlow, path, through=through, method=method)

    def explanation(self, budget_id: UUID, through: str | None = None) -> Explanation:
        """Why the money is different: each line's difference by cause, in words."""
        return self._session.get(Explanation, _of(budget_id, "explanation"), through=through)

    def csv(self, budget_id: UUID, report: str, through: str | None = None) -> str:
        """A report as CSV: ``standing``, ``forecast``, ``cash-flow`` or ``explanation``."""
        return self._session.text(_of(budget_id, report), through=through)

    def workbook(self, budget_id: UUID, report: str, through: str | None = None) -> bytes:
        """A report as a workbook (.xlsx): ``standing``, ``forecast``, ``cash-flow`` or ``explanation``."""
        query = {"through": through}
        return (self._session.send("GET", _of(budget_id, report), query=query, accept=_XLSX)).content

    def state_own_forecast(self, budget_id: UUID, figure: OwnForecastFields) -> OwnForecast:
        """State what a line is still expected to take."""
        return self._session.post(OwnForecast, _of(budget_id, "own-forecasts"), figure)

    def own_forecasts(self, budget_id: UUID) -> Iterator[OwnForecast]:
        """Every figure stated."""
        return self._session.pages(OwnForecast, _of(budget_id, "own-forecasts"))

    def account_file(self, budget_id: UUID, layout_id: UUID, through: str | None = None) -> AccountFile:
        """Budget, accruals or commitments as rows for the accounts."""
        path = _of(budget_id, "account-file")
        return self._session.get(AccountFile, path, layout_id=layout_id, through=through)

    def account_file_csv(self, budget_id: UUID, layout_id: UUID, through: str | None = None) -> bytes:
        """The same as a file, in the layout's delimiter and encoding."""
        query = {"layout_id": layout_id, "through": through}
        path = _of(budget_id, "account-file")
        return (self._session.send("GET", path, query=query, accept="text/csv")).content


class AccountLayouts:
    """How files for the accounts are laid out."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def create(self, new: NewLayout) -> Layout:
        """Save a layout."""
        return self._session.post(Layout, f"{_CLUB}/account-layouts", new)

    def list(self) -> Iterator[Layout]:
        """Every layout."""
        return self._session.pages(Layout, f"{_CLUB}/account-layouts")

    def read(self, layout_id: UUID) -> Layout:
        """One layout."""
        return self._session.get(Layout, f"{_CLUB}/account-layouts/{layout_id}")

    def change(self, layout_id: UUID, change: LayoutChange, version: int) -> Layout:
        """Replace the layout that is still at `version`."""
        return self._session.replace(Layout, f"{_CLUB}/account-layouts/{layout_id}", change, version)

    def delete(self, layout_id: UUID, version: int) -> None:
        """Delete the layout that is still at `version`."""
        self._session.remove(f"{_CLUB}/account-layouts/{layout_id}", version)


def _of(budget_id: UUID, report: str) -> str:
    return f"{_CLUB}/budgets/{budget_id}/{report}"
