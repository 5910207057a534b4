"""HTTP operations of depreciation."""

from swardcost_model import problems
from swardcost_model.depreciation import DepreciationSchedule

from swardcost_api.capital import depreciations
from swardcost_api.capital.asset_routes import ASSETS
from swardcost_api.capital.depreciation_faces import schedule_csv, schedule_workbook
from swardcost_api.capital.depreciations import AssetsInBooks, PlanInBooks
from swardcost_api.capital.plan_routes import PLANS
from swardcost_api.operations import CSV, XLSX, Face, Room

room = Room(
    "Depreciation", "What assets and capital projects are written off by in the accounts, year by year."
)
_FACES = (Face(CSV, schedule_csv), Face(XLSX, schedule_workbook))


@room.read(
    ASSETS + "/depreciation",
    "Show the depreciation of the assets",
    reads=depreciations.read_books,
    faces=_FACES,
)
def read_asset_depreciation(books: AssetsInBooks) -> DepreciationSchedule:
    """Straight line, of every asset that has a book value, year by year; totals are the sums of the items."""
    return depreciations.schedule_of_assets(books)


@room.read(
    PLANS + "/{plan_id}/depreciation", "Show the depreciation under a capital plan",
    reads=depreciations.read_plan_books,
    faces=_FACES, problems=[problems.WRONG_STATE],
)  # fmt: skip
def read_capital_plan_depreciation(books: PlanInBooks) -> DepreciationSchedule:
    """Of the assets in the books until they are replaced, and of the capital projects as they are dated."""
    return depreciations.schedule_of_plan(books)
