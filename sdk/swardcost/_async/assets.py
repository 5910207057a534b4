"""Assets: what the course and its works are made of."""

from collections.abc import AsyncIterator
from pathlib import Path
from uuid import UUID

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

from swardcost._async.session import AsyncSession

_ASSETS = "/v1/clubs/{club}/assets"
_XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


class AsyncAssets:
    """Assets of the club."""

    def __init__(self, session: AsyncSession) -> None:
        self._session = session

    async def lives(self) -> StartingLives:
        """The starting lives of all kinds, from a published chart."""
        return await self._session.get(StartingLives, "/v1/asset-lives")

    async def create(self, new: NewAsset) -> Asset:
        """Enter an asset."""
        return await self._session.post(Asset, _ASSETS, new)

    def list(self, kind: AssetKind | None = None, area_id: UUID | None = None) -> AsyncIterator[Asset]:
        """Every asset by code; all, or those of a kind or on an area."""
        return self._session.pages(Asset, _ASSETS, kind=kind, area_id=area_id)

    async def read(self, asset_id: UUID) -> Asset:
        """One asset."""
        return await self._session.get(Asset, f"{_ASSETS}/{asset_id}")

    async def figures(self, asset_id: UUID, year: int | None = None) -> AssetFigures:
        """An asset in figures at the end of a year, with the steps to each."""
        return await self._session.get(AssetFigures, f"{_ASSETS}/{asset_id}/figures", year=year)

    async def change(self, asset_id: UUID, change: AssetChange, version: int) -> Asset:
        """Replace the asset that is still at `version`."""
        return await self._session.replace(Asset, f"{_ASSETS}/{asset_id}", change, version)

    async def delete(self, asset_id: UUID, version: int) -> None:
        """Take an asset out of the register."""
        await self._session.remove(f"{_ASSETS}/{asset_id}", version)

    async def register(self, year: int | None = None) -> AssetRegister:
        """Every asset with its figures at the end of a year, and their sums."""
        return await self._session.get(AssetRegister, f"{_ASSETS}/register", year=year)

    async def register_csv(self, year: int | None = None) -> str:
        """The same as CSV."""
        return await self._session.text(f"{_ASSETS}/register", year=year)

    async def register_workbook(self, year: int | None = None) -> bytes:
        """The same as a workbook."""
        response = await self._session.send("GET", f"{_ASSETS}/register", query={"year": year}, accept=_XLSX)
        return response.content

    async def export(self) -> AssetList:
        """All assets at once."""
        return await self._session.get(AssetList, f"{_ASSETS}/export")

    async def export_csv(self) -> str:
        """All assets as CSV, the file that `upload` takes."""
        return await self._session.text(f"{_ASSETS}/export")

    async def export_workbook(self) -> bytes:
        """All assets as a workbook, the file that `upload_workbook` takes."""
        response = await self._session.send("GET", f"{_ASSETS}/export", accept=_XLSX)
        return response.content

    async def upload(self, file: str | bytes | Path) -> AssetUpload:
        """Enter or replace assets from CSV: all rows or none."""
        return await self._session.upload(AssetUpload, f"{_ASSETS}/upload", file)

    async def upload_workbook(self, workbook: bytes | Path) -> AssetUpload:
        """The same from a workbook."""
        return await self._session.upload(AssetUpload, f"{_ASSETS}/upload", workbook, _XLSX)
