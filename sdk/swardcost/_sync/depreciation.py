"""Depreciation for the accounts, of assets and under capital plans."""

from uuid import UUID

from swardcost_model.depreciation import Convention, DepreciationSchedule

from swardcost._sync.session import Session

_ASSETS = "/v1/clubs/{club}/assets/depreciation"
_PLANS = "/v1/clubs/{club}/capital-plans"
_XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


class Depreciation:
    """Straight-line depreciation, year by year."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def of_assets(
        self, first_year: int | None = None, years: int | None = None, convention: Convention = "full_month"
    ) -> DepreciationSchedule:
        """Of every asset that has a book value; `convention` says what of its first year counts."""
        return self._session.get(
            DepreciationSchedule, _ASSETS, first_year=first_year, years=years, convention=convention
        )

    def of_assets_csv(
        self, first_year: int | None = None, years: int | None = None, convention: Convention = "full_month"
    ) -> str:
        """The same as CSV."""
        return self._session.text(_ASSETS, first_year=first_year, years=years, convention=convention)

    def of_assets_workbook(
        self, first_year: int | None = None, years: int | None = None, convention: Convention = "full_month"
    ) -> bytes:
        """The same as a workbook."""
        query = {"first_year": first_year, "years": years, "convention": convention}
        return (self._session.send("GET", _ASSETS, accept=_XLSX, query=query)).content

    def of_plan(self, plan_id: UUID, convention: Convention = "full_month") -> DepreciationSchedule:
        """Of the assets until a plan replaces them, and of its capital projects."""
        path = f"{_PLANS}/{plan_id}/depreciation"
        return self._session.get(DepreciationSchedule, path, convention=convention)

    def of_plan_csv(self, plan_id: UUID, convention: Convention = "full_month") -> str:
        """The same as CSV."""
        return self._session.text(f"{_PLANS}/{plan_id}/depreciation", convention=convention)

    def of_plan_workbook(self, plan_id: UUID, convention: Convention = "full_month") -> bytes:
        """The same as a workbook."""
        path, query = f"{_PLANS}/{plan_id}/depreciation", {"convention": convention}
        return (self._session.send("GET", path, accept=_XLSX, query=query)).content
