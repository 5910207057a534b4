"""HTTP operations of comparisons, break-even and life-cycle cost."""

from uuid import UUID

from swardcost_model import problems
from swardcost_model.access import Role
from swardcost_model.comparisons import Comparison, ComparisonChange, ComparisonFigures, NewComparison
from swardcost_model.paging import Page

from swardcost_api.alternatives import comparing, comparisons
from swardcost_api.alternatives.comparison_faces import (
    comparison_csv,
    comparison_svg,
    comparison_vega_lite,
)
from swardcost_api.operations import CLUB, CSV, SVG, VEGA_LITE, Cursor, Face, Limit, Room
from swardcost_api.storage.work import UnitOfWork

room = Room(
    "Alternatives", "Estimates compared, where one becomes cheaper than another, and cost over the years."
)
PLANNERS = frozenset({Role.SUPERINTENDENT, Role.CONTROLLER, Role.OWNER})

COMPARISONS = CLUB + "/comparisons"


@room.create(COMPARISONS, "Compare estimates", needs=PLANNERS, problems=[problems.INVALID_VALUES])
def create_comparison(work: UnitOfWork, data: NewComparison) -> Comparison:
    """Keep which estimates answer the same need, and what each leaves out; the first is held against the others."""
    return comparisons.create_comparison(work, data)


@room.read(COMPARISONS, "List the comparisons")
def list_comparisons(work: UnitOfWork, limit: Limit = 50, cursor: Cursor = None) -> Page[Comparison]:
    return comparisons.list_comparisons(work, limit, cursor)


@room.read(COMPARISONS + "/{comparison_id}", "Read a comparison")
def read_comparison(work: UnitOfWork, comparison_id: UUID) -> Comparison:
    return comparisons.read_comparison(work, comparison_id)


@room.read(
    COMPARISONS + "/{comparison_id}/figures", "Compare the estimates in figures",
    faces=[Face(CSV, comparison_csv), Face(SVG, comparison_svg), Face(VEGA_LITE, comparison_vega_lite)],
)  # fmt: skip
def read_comparison_figures(work: UnitOfWork, comparison_id: UUID) -> ComparisonFigures:
    """Cost, cash, days closed, sand, trips, hours, area touched and risk side by side; what each leaves out; and line
    by line where each differs from the first. All figures are those of the estimates as they were priced."""
    return comparing.compare(work, comparison_id)


@room.edit(
    COMPARISONS + "/{comparison_id}", "Edit a comparison", needs=PLANNERS, problems=[problems.INVALID_VALUES]
)
def change_comparison(
    work: UnitOfWork, comparison_id: UUID, data: ComparisonChange, if_match: int
) -> Comparison:
    return comparisons.change_comparison(work, comparison_id, data, if_match)


@room.remove(COMPARISONS + "/{comparison_id}", "Delete a comparison", needs=PLANNERS)
def delete_comparison(work: UnitOfWork, comparison_id: UUID, if_match: int) -> None:
    """The estimates stay."""
    comparisons.delete_comparison(work, comparison_id, if_match)
