"""Comparisons: estimates of the same need side by side."""

from collections.abc import AsyncIterator
from uuid import UUID

from swardcost_model.comparisons import Comparison, ComparisonChange, ComparisonFigures, NewComparison

from swardcost._async.session import AsyncSession

_COMPARISONS = "/v1/clubs/{club}/comparisons"
_SVG = "image/svg+xml"
_VEGA_LITE = "application/vnd.vegalite.v6+json"


class AsyncComparisons:
    """Comparisons of the club."""

    def __init__(self, session: AsyncSession) -> None:
        self._session = session

    async def create(self, new: NewComparison) -> Comparison:
        """Keep which estimates are compared."""
        return await self._session.post(Comparison, _COMPARISONS, new)

    def list(self) -> AsyncIterator[Comparison]:
        """Every comparison, in the order in which they were put together."""
        return self._session.pages(Comparison, _COMPARISONS)

    async def read(self, comparison_id: UUID) -> Comparison:
        """One comparison, without its figures."""
        return await self._session.get(Comparison, f"{_COMPARISONS}/{comparison_id}")

    async def change(self, comparison_id: UUID, change: ComparisonChange, version: int) -> Comparison:
        """Replace the comparison that is still at `version`."""
        return await self._session.replace(Comparison, f"{_COMPARISONS}/{comparison_id}", change, version)

    async def delete(self, comparison_id: UUID, version: int) -> None:
        """Delete a comparison; the estimates stay."""
        await self._session.remove(f"{_COMPARISONS}/{comparison_id}", version)

    async def figures(self, comparison_id: UUID) -> ComparisonFigures:
        """The alternatives side by side, with what each leaves out and where it differs from the first."""
        return await self._session.get(ComparisonFigures, f"{_COMPARISONS}/{comparison_id}/figures")

    async def figures_csv(self, comparison_id: UUID) -> str:
        """The same as CSV: a row for each figure, a column for each alternative."""
        return await self._session.text(f"{_COMPARISONS}/{comparison_id}/figures")

    async def chart_svg(self, comparison_id: UUID) -> str:
        """Total and cash of each alternative as bars, as SVG."""
        return await self._session.text(f"{_COMPARISONS}/{comparison_id}/figures", accept=_SVG)

    async def chart_vega_lite(self, comparison_id: UUID) -> str:
        """The same chart as a Vega-Lite specification with its data."""
        return await self._session.text(f"{_COMPARISONS}/{comparison_id}/figures", accept=_VEGA_LITE)
