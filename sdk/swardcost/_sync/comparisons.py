"""Comparisons: estimates of the same need side by side."""

from collections.abc import Iterator
from uuid import UUID

from swardcost_model.comparisons import Comparison, ComparisonChange, ComparisonFigures, NewComparison

from swardcost._sync.session import Session

_COMPARISONS = "/v1/clubs/{club}/comparisons"
_SVG = "image/svg+xml"
_VEGA_LITE = "application/vnd.vegalite.v6+json"


class Comparisons:
    """Comparisons of the club."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def create(self, new: NewComparison) -> Comparison:
        """Keep which estimates are compared."""
        return self._session.post(Comparison, _COMPARISONS, new)

    def list(self) -> Iterator[Comparison]:
        """Every comparison, in the order in which they were put together."""
        return self._session.pages(Comparison, _COMPARISONS)

    def read(self, comparison_id: UUID) -> Comparison:
        """One comparison, without its figures."""
        return self._session.get(Comparison, f"{_COMPARISONS}/{comparison_id}")

    def change(self, comparison_id: UUID, change: ComparisonChange, version: int) -> Comparison:
        """Replace the comparison that is still at `version`."""
        return self._session.replace(Comparison, f"{_COMPARISONS}/{comparison_id}", change, version)

    def delete(self, comparison_id: UUID, version: int) -> None:
        """Delete a comparison; the estimates stay."""
        self._session.remove(f"{_COMPARISONS}/{comparison_id}", version)

    def figures(self, comparison_id: UUID) -> ComparisonFigures:
        """The alternatives side by side, with what each leaves out and where it differs from the first."""
        return self._session.get(ComparisonFigures, f"{_COMPARISONS}/{comparison_id}/figures")

    def figures_csv(self, comparison_id: UUID) -> str:
        """The same as CSV: a row for each figure, a column for each alternative."""
        return self._session.text(f"{_COMPARISONS}/{comparison_id}/figures")

    def chart_svg(self, comparison_id: UUID) -> str:
        """Total and cash of each alternative as bars, as SVG."""
        return self._session.text(f"{_COMPARISONS}/{comparison_id}/figures", accept=_SVG)

    def chart_vega_lite(self, comparison_id: UUID) -> str:
        """The same chart as a Vega-Lite specification with its data."""
        return self._session.text(f"{_COMPARISONS}/{comparison_id}/figures", accept=_VEGA_LITE)
