"""Assets: what the course and its works are made of."""

from collections.abc import Iterator
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

from swardcost._sync.session import Session

_ASSETS = "/v1/clubs/{club}/assets"
_XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


class Assets:
    """Assets of the club."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def lives(self) -> StartingLives:
        """The starting lives of all kinds, from a published chart."""
        return self._session.get(StartingLives, "/v1/asset-lives")

    def create(self, new: NewAsset) -> Asset:
        """Enter an asset."""
        return self._session.post(Asset, _ASSETS, new)

    def list(self, kind: AssetKind | None = None, area_id: UUID | None = None) -> Iterator[Asset]:
        """Every asset by code; all, or those of a kind or on an area."""
        return self._session.pages(Asset, _ASSETS, kind=kind, area_id=area_id)

    def read(self, asset_id: UUID) -> Asset:
        """One asset."""
        return self._session.get(Asset, f"{_ASSETS}/{asset_id}")

    def figures(self, asset_id: UUID, year: int | None = None) -> AssetFigures:
        """An asset in figures at the end of a year, with the steps to each."""
        return self._session.get(AssetFigures, f"{_ASSETS}/{asset_id}/figures", year=year)

    def change(self, asset_id: UUID, change: AssetChange, version: int) -> Asset:
        """Replace the asset that is still at `version`."""
        return self._session.replace(Asset, f"{_ASSETS}/{asset_id}", change, version)

    def delete(self, asset_id: UUID, version: int) -> None:
        """Take an asset out of the register."""
        self._session.remove(f"{_ASSETS}/{asset_id}", version)

    def register(self, year: int | None = None) -> AssetRegister:
        """Every asset with its figures at the end of a year, and their sums."""
        return self._session.get(AssetRegister, f"{_ASSETS}/register", year=year)

    def register_csv(self, year: int | None = None) -> str:
        """The same as CSV."""
        return self._session.text(f"{_ASSETS}/register", year=year)

    def register_workbook(self, year: int | None = None) -> bytes:
        """The same as a workbook."""
        response = self._session.send("GET", f"{_ASSETS}/register", query={"year": year}, accept=_XLSX)
        return response.content

    def export(self) -> AssetList:
        """All assets at once."""
        return self._session.get(AssetList, f"{_ASSETS}/export")

    def export_csv(self) -> str:
        """All assets as CSV, the file that `upload` takes."""
        return self._session.text(f"{_ASSETS}/export")

    def export_workbook(self) -> bytes:
        """All assets as a workbook, the file that `upload_workbook` takes."""
        response = self._session.send("GET", f"{_ASSETS}/export", accept=_XLSX)
        return response.content

    def upload(self, file: str | bytes | Path) -> AssetUpload:
        """Enter or replace assets from CSV: all rows or none."""
        return self._session.upload(AssetUpload, f"{_ASSETS}/upload", file)

    def upload_workbook(self, workbook: bytes | Path) -> AssetUpload:
        """The same from a workbook."""
        return self._session.upload(AssetUpload, f"{_ASSETS}/upload", workbook, _XLSX)
