"""HTTP operations of the register of assets."""

from typing import IO, Annotated
from uuid import UUID

from swardcost_model import problems
from swardcost_model.access import Role
from swardcost_model.assets import (
    Asset,
    AssetChange,
    AssetFigures,
    AssetKind,
    AssetList,
    AssetRegister,
    AssetUpload,
    NewAsset,
    StartingLives,
)
from swardcost_model.paging import Page

from swardcost_api.capital import asset_cells, asset_figures, asset_files, asset_lives, assets, register_faces
from swardcost_api.capital.asset_figures import KnownAssets
from swardcost_api.operations import CLUB, CSV, XLSX, Cursor, Face, Limit, Query, Room
from swardcost_api.storage.work import UnitOfWork

room = Room(
    "Assets", "What the course and its works are made of, how long it lasts, and what another one costs."
)
PLANNERS = frozenset({Role.SUPERINTENDENT, Role.CONTROLLER, Role.OWNER})
ASSETS = CLUB + "/assets"


@room.read("/v1/asset-lives", "List the starting lives of assets", needs=None)
def list_asset_lives() -> StartingLives:
    """Years from a published chart, for assets of which the club has no experience of its own."""
    return asset_lives.starting_lives()


@room.create(ASSETS, "Enter an asset", needs=PLANNERS, problems=[problems.DUPLICATE])
def create_asset(work: UnitOfWork, data: NewAsset) -> Asset:
    return assets.create_asset(work, data)


@room.read(ASSETS, "List the assets")
def list_assets(
    work: UnitOfWork,
    limit: Limit = 50,
    cursor: Cursor = None,
    kind: Annotated[AssetKind | None, Query("Only assets of this kind.", example="green")] = None,
    area_id: Annotated[UUID | None, Query("Only assets on this area.")] = None,
) -> Page[Asset]:
    """By code."""
    return assets.list_assets(work, limit, cursor, kind, area_id)


@room.read(
    ASSETS + "/register", "Show the register of assets", reads=asset_figures.read_register,
    faces=[Face(CSV, register_faces.register_csv), Face(XLSX, register_faces.register_workbook)],
    problems=[problems.WRONG_STATE],
)  # fmt: skip
def read_asset_register(known: KnownAssets) -> AssetRegister:
    """Every asset with age, due year, replacement cost and what a reserve would hold for it, and their sums."""
    return asset_figures.register_of(known)


@room.read(
    ASSETS + "/export", "Export the assets",
    faces=[Face(CSV, asset_cells.assets_csv), Face(XLSX, asset_cells.assets_workbook)],
)  # fmt: skip
def export_assets(work: UnitOfWork) -> AssetList:
    """All assets at once; as CSV or as a workbook, the file that an upload takes."""
    return asset_cells.export_assets(work)


@room.act(
    ASSETS + "/upload", "Enter or replace assets from CSV or a workbook", needs=PLANNERS, upload=True,
    upload_media_types=[CSV, XLSX],
    problems=[problems.BAD_ROWS, problems.INVALID_CSV, problems.INVALID_WORKBOOK, problems.TOO_LARGE],
)  # fmt: skip
def put_assets(work: UnitOfWork, upload: IO[bytes], media_type: str) -> AssetUpload:
    """All rows or none, at most 5,000. What has no column stays as it is where a row of the same code comes again."""
    return asset_files.put_assets(work, upload, media_type)


@room.read(ASSETS + "/{asset_id}", "Read an asset")
def read_asset(work: UnitOfWork, asset_id: UUID) -> Asset:
    return assets.read_asset(work, asset_id)


@room.read(
    ASSETS + "/{asset_id}/figures", "Show an asset in figures", reads=asset_figures.read_asset_question
)
def read_asset_figures(known: KnownAssets) -> AssetFigures:
    """With the steps to each figure, and what is not known."""
    return asset_figures.only_figures(known)


@room.edit(ASSETS + "/{asset_id}", "Edit an asset", needs=PLANNERS, problems=[problems.DUPLICATE])
def change_asset(work: UnitOfWork, asset_id: UUID, data: AssetChange, if_match: int) -> Asset:
    return assets.change_asset(work, asset_id, data, if_match)


@room.remove(ASSETS + "/{asset_id}", "Delete an asset", needs=PLANNERS, problems=[problems.IN_USE])
def delete_asset(work: UnitOfWork, asset_id: UUID, if_match: int) -> None:
    assets.delete_asset(work, asset_id, if_match)
