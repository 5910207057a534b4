"""Assets as the club states them: entered, found, changed and deleted, each with the areas that it lies on."""

from collections.abc import Iterator, Sequence
from typing import Any
from uuid import UUID

from sqlalchemy import Row, delete, insert, select
from swardcost_model import problems
from swardcost_model.assets import (
    Asset,
    AssetChange,
    AssetFields,
    AssetKind,
    EstimateCost,
    NewAsset,
    RateCost,
    StatedCost,
)
from swardcost_model.paging import Page
from swardcost_model.problems import Fault, ProblemError

from swardcost_api.access.service import read_club, record
from swardcost_api.capital.tables import AssetAreaRow, AssetRow
from swardcost_api.course.service import areas_with_ids
from swardcost_api.estimates.service import estimate_totals
from swardcost_api.storage.paging import read_page
from swardcost_api.storage.rows import by_id, delete_row, edit_row, read_row
from swardcost_api.storage.work import UnitOfWork
from swardcost_api.units import UNITS

_ASSET = (AssetRow.id, AssetRow.asset, AssetRow.version)
_ASSET_BY_ID = by_id(AssetRow, _ASSET)


def create_asset(work: UnitOfWork, new: NewAsset) -> Asset:
    """Enter an asset.

    Raises `duplicate` for a code that the club has, and `invalid-values` with the place of areas and estimates that it
    does not have, and of units and currencies that do not fit.
    """
    refuse_unusable(work, new)
    _refuse_taken_code(work, new.code)
    asset = Asset(id=work.new_id(), version=1, **new.model_dump())
    insert_assets(work, [asset])
    record(work, "create", "asset", asset.id, after=asset)
    return asset


def list_assets(
    work: UnitOfWork, limit: int, cursor: str | None, kind: AssetKind | None, area_id: UUID | None
) -> Page[Asset]:
    """The club's assets by code; all, or those of a kind or on an area."""
    statement = select(*_ASSET, AssetRow.code).where(AssetRow.club_id == work.club_id)
    if kind is not None:
        statement = statement.where(AssetRow.kind == kind)
    if area_id is not None:
        on_area = select(AssetAreaRow.asset_id).where(
            AssetAreaRow.club_id == work.club_id, AssetAreaRow.area_id == area_id
        )
        statement = statement.where(AssetRow.id.in_(on_area))
    rows, following = read_page(work, statement, (AssetRow.code,), limit, cursor)
    return Page[Asset](items=[_asset(row) for row in rows], next=following)


def all_assets(work: UnitOfWork) -> list[Asset]:
    """Every asset of the club, by code, in one query."""
    statement = select(*_ASSET).where(AssetRow.club_id == work.club_id).order_by(AssetRow.code)
    return [_asset(row) for row in work.session.execute(statement)]


def read_asset(work: UnitOfWork, asset_id: UUID) -> Asset:
    """One asset."""
    return _asset(read_row(work, _ASSET_BY_ID, asset_id, "asset"))


def change_asset(work: UnitOfWork, asset_id: UUID, change: AssetChange, if_match: int) -> Asset:
    """Replace what is stated of an asset; raises as `create_asset`."""
    before = read_asset(work, asset_id)
    refuse_unusable(work, change)
    if change.code != before.code:
        _refuse_taken_code(work, change.code)
    edit_row(work, AssetRow, asset_id, if_match, "asset", **columns_of(change))
    put_areas(work, asset_id, change.area_ids)
    after = Asset(id=asset_id, version=if_match + 1, **change.model_dump())
    record(work, "change", "asset", asset_id, before, after)
    return after


def delete_asset(work: UnitOfWork, asset_id: UUID, if_match: int) -> None:
    """Take an asset out of the register."""
    before = read_asset(work, asset_id)
    put_areas(work, asset_id, ())
    delete_row(work, AssetRow, asset_id, if_match, "asset")
    record(work, "delete", "asset", asset_id, before)


def insert_assets(work: UnitOfWork, assets: Sequence[Asset]) -> None:
    """Add assets whose codes no other has, with their areas."""
    if not assets:
        return
    work.session.execute(
        insert(AssetRow),
        [{"club_id": work.club_id, "id": one.id, "version": 1} | columns_of(one) for one in assets],
    )
    places = [
        {"club_id": work.club_id, "asset_id": one.id, "area_id": area_id}
        for one in assets
        for area_id in one.area_ids
    ]
    if places:
        work.session.execute(insert(AssetAreaRow), places)


def put_areas(work: UnitOfWork, asset_id: UUID, area_ids: Sequence[UUID]) -> None:
    """Have an asset lie on these areas and no others."""
    work.session.execute(
        delete(AssetAreaRow).where(AssetAreaRow.club_id == work.club_id, AssetAreaRow.asset_id == asset_id)
    )
    if area_ids:
        mine = {"club_id": work.club_id, "asset_id": asset_id}
        work.session.execute(insert(AssetAreaRow), [mine | {"area_id": one} for one in area_ids])


def columns_of(fields: AssetFields) -> dict[str, Any]:
    """What an asset puts into its row, without id and version."""
    document = fields.model_dump(mode="json", include=set(AssetFields.model_fields))
    return {"code": fields.code, "name": fields.name, "kind": fields.kind.value, "asset": document}


def refuse_unusable(work: UnitOfWork, fields: AssetFields) -> None:
    """Raise `invalid-values` for what the club does not have, and for units and currencies that do not fit."""
    faults = list(_reference_faults(work, fields))
    faults += fit_faults(fields, read_club(work).currency)
    if faults:
        raise ProblemError(problems.INVALID_VALUES, "The asset cannot be used; nothing was changed.", faults)


def _reference_faults(work: UnitOfWork, fields: AssetFields) -> Iterator[Fault]:
    known = areas_with_ids(work, fields.area_ids)
    for place, area_id in enumerate(fields.area_ids):
        if area_id not in known:
            yield Fault(pointer=f"/area_ids/{place}", expected="an area of this club", got=str(area_id))
    if isinstance(fields.replacement, EstimateCost):
        estimate_id = fields.replacement.estimate_id
        if estimate_id not in estimate_totals(work, [estimate_id]):
            where = "/replacement/estimate_id"
            yield Fault(pointer=where, expected="an estimate of this club", got=str(estimate_id))


def fit_faults(fields: AssetFields, currency: str) -> Iterator[Fault]:
    """Units that there are not or that do not fit one another, and money in another currency than the club's."""
    size = None if fields.size is None else UNITS.get(fields.size.unit)
    if fields.size is not None and size is None:
        yield Fault(pointer="/size/unit", expected="a unit listed at /v1/units", got=fields.size.unit)
    if isinstance(fields.replacement, RateCost):
        per = UNITS.get(fields.replacement.per)
        wanted = size.dimension if size else ("area" if fields.area_ids else None)
        if per is None:
            yield Fault(
                pointer="/replacement/per", expected="a unit listed at /v1/units", got=fields.replacement.per
            )
        elif wanted is not None and per.dimension != wanted:
            yield Fault(
                pointer="/replacement/per", expected=f"a unit that fits the size ({wanted})", got=per.name
            )
    for pointer, money in _money_of(fields):
        if money.currency != currency:
            yield Fault(pointer=f"{pointer}/currency", expected=currency, got=money.currency)
        if money.amount < 0:
            yield Fault(pointer=f"{pointer}/amount", expected="zero or more", got=f"{money.amount:f}")


def _money_of(fields: AssetFields) -> Iterator[tuple[str, Any]]:
    if isinstance(fields.replacement, StatedCost):
        yield "/replacement/cost", fields.replacement.cost
    if isinstance(fields.replacement, RateCost):
        yield "/replacement/rate", fields.replacement.rate
    if fields.book is not None:
        yield "/book/cost", fields.book.cost


def _refuse_taken_code(work: UnitOfWork, code: str) -> None:
    taken = select(AssetRow.id).where(AssetRow.club_id == work.club_id, AssetRow.code == code)
    if work.session.scalar(taken) is not None:
        raise ProblemError(problems.DUPLICATE, f"There is already an asset with the code {code!r}.")


def _asset(row: Row[*tuple[Any, ...]]) -> Asset:
    return Asset(id=row.id, version=row.version, **row.asset)
