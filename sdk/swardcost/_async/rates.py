"""Rates that others publish: tax by place, exemption certificates, price indices."""

from collections.abc import AsyncIterator
from uuid import UUID

from swardcost_model.rates import (
    Exemption,
    ExemptionChange,
    IndexSeries,
    IndexSeriesChange,
    NewExemption,
    NewIndexSeries,
    NewTaxRate,
    TaxRate,
    TaxRateChange,
)

from swardcost._async.session import AsyncSession

_CLUB = "/v1/clubs/{club}"


class AsyncTaxRates:
    """Sales tax by place and class of things."""

    def __init__(self, session: AsyncSession) -> None:
        self._session = session

    async def create(self, new: NewTaxRate) -> TaxRate:
        """Add a tax rate."""
        return await self._session.post(TaxRate, f"{_CLUB}/tax-rates", new)

    def list(self, *, place: str | None = None) -> AsyncIterator[TaxRate]:
        """Every tax rate, by place, class and first day."""
        return self._session.pages(TaxRate, f"{_CLUB}/tax-rates", place=place)

    async def read(self, tax_rate_id: UUID) -> TaxRate:
        """Read a tax rate."""
        return await self._session.get(TaxRate, f"{_CLUB}/tax-rates/{tax_rate_id}")

    async def change(self, tax_rate_id: UUID, change: TaxRateChange, version: int) -> TaxRate:
        """Replace a tax rate that is still at `version`."""
        return await self._session.replace(TaxRate, f"{_CLUB}/tax-rates/{tax_rate_id}", change, version)

    async def delete(self, tax_rate_id: UUID, version: int) -> None:
        """Delete a tax rate that is still at `version`."""
        await self._session.remove(f"{_CLUB}/tax-rates/{tax_rate_id}", version)


class AsyncExemptions:
    """Certificates that free the club from tax."""

    def __init__(self, session: AsyncSession) -> None:
        self._session = session

    async def create(self, new: NewExemption) -> Exemption:
        """Add a certificate."""
        return await self._session.post(Exemption, f"{_CLUB}/exemptions", new)

    def list(self) -> AsyncIterator[Exemption]:
        """Every one, in order of its name."""
        return self._session.pages(Exemption, f"{_CLUB}/exemptions")

    async def read(self, exemption_id: UUID) -> Exemption:
        """Read a certificate."""
        return await self._session.get(Exemption, f"{_CLUB}/exemptions/{exemption_id}")

    async def change(self, exemption_id: UUID, change: ExemptionChange, version: int) -> Exemption:
        """Replace a certificate that is still at `version`."""
        return await self._session.replace(Exemption, f"{_CLUB}/exemptions/{exemption_id}", change, version)

    async def delete(self, exemption_id: UUID, version: int) -> None:
        """Delete a certificate that is still at `version`."""
        await self._session.remove(f"{_CLUB}/exemptions/{exemption_id}", version)


class AsyncPriceIndices:
    """Price indices that escalation can follow."""

    def __init__(self, session: AsyncSession) -> None:
        self._session = session

    async def create(self, new: NewIndexSeries) -> IndexSeries:
        """Add an index."""
        return await self._session.post(IndexSeries, f"{_CLUB}/index-series", new)

    def list(self) -> AsyncIterator[IndexSeries]:
        """Every one, in order of its name."""
        return self._session.pages(IndexSeries, f"{_CLUB}/index-series")

    async def read(self, index_series_id: UUID) -> IndexSeries:
        """Read an index."""
        return await self._session.get(IndexSeries, f"{_CLUB}/index-series/{index_series_id}")

    async def change(self, index_series_id: UUID, change: IndexSeriesChange, version: int) -> IndexSeries:
        """Replace an index that is still at `version`."""
        return await self._session.replace(
            IndexSeries, f"{_CLUB}/index-series/{index_series_id}", change, version
        )

    async def delete(self, index_series_id: UUID, version: int) -> None:
        """Delete an index that is still at `version`."""
        await self._session.remove(f"{_CLUB}/index-series/{index_series_id}", version)
