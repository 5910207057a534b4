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
from swardcost_model.values import plain

from swardcost_api.access.service import read_club, record
from swardcost_api.capital.plan_rows import projects_of_drafts
from swardcost_api.capital.tables import AssetAreaRow, AssetRow
from swardcost_api.course.service import areas_with_ids
from swardcost_api.estimates.service import named_estimates
from swardcost_api.storage.paging import read_page
from swardcost_api.storage.rows import by_id, delete_row, edit_row, read_row
from swardcost_api.storage.work import UnitOfWork
from swardcost_api.units import UNITS

YEARS_AHEAD = 5
"""What is said to be built, judged or put in use later than so many years from now is a slip of the pen."""
_ASSET = (AssetRow.id, AssetRow.asset, AssetRow.version)
_NAMED = 5
"""Projects that a refusal names."""
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
    """Take an asset out of the register.

    Raises `in-use` while projects of drafts replace it; plans that were issued keep a copy of it.
    """
    before = read_asset(work, asset_id)
    held = select(AssetRow.id).where(AssetRow.club_id == work.club_id, AssetRow.id == asset_id)
    work.session.execute(held.with_for_update())
    _refuse_planned(work, before)
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
    faults += fit_faults(fields, read_club(work).currency, work.now.year)
    if faults:
        raise ProblemError(problems.INVALID_VALUES, "The asset cannot be used; nothing was changed.", faults)


def _reference_faults(work: UnitOfWork, fields: AssetFields) -> Iterator[Fault]:
    known = areas_with_ids(work, fields.area_ids)
    for place, area_id in enumerate(fields.area_ids):
        if area_id not in known:
            yield Fault(pointer=f"/area_ids/{place}", expected="an area of this club", got=str(area_id))
    if isinstance(fields.replacement, EstimateCost):
        estimate_id = fields.replacement.estimate_id
        if estimate_id not in named_estimates(work, [estimate_id]):
            where = "/replacement/estimate_id"
            yield Fault(pointer=where, expected="an estimate of this club", got=str(estimate_id))


def fit_faults(fields: AssetFields, currency: str, this_year: int) -> Iterator[Fault]:
    """Units that there are not or that do not fit one another, a size of nothing, years far ahead, and money below zero
    or in another currency than the club's.
    """
    yield from _year_faults(fields, this_year + YEARS_AHEAD)
    size = None if fields.size is None else UNITS.get(fields.size.unit)
    if fields.size is not None and not fields.size.value:
        yield Fault(pointer="/size/value", expected="more than zero", got=plain(fields.size.value))
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


def _year_faults(fields: AssetFields, latest: int) -> Iterator[Fault]:
    """Years of building, judging and putting in use that are too far ahead to be meant."""
    expected = f"a year up to {latest}"
    if fields.in_use_since is not None and fields.in_use_since > latest:
        yield Fault(pointer="/in_use_since", expected=expected, got=str(fields.in_use_since))
    if fields.condition is not None and fields.condition.on.year > latest:
        yield Fault(pointer="/condition/on", expected=expected, got=fields.condition.on.isoformat())
    if fields.book is not None and fields.book.in_service_on.year > latest:
        yield Fault(
            pointer="/book/in_service_on", expected=expected, got=fields.book.in_service_on.isoformat()
        )


def _money_of(fields: AssetFields) -> Iterator[tuple[str, Any]]:
    if isinstance(fields.replacement, StatedCost):
        yield "/replacement/cost", fields.replacement.cost
    if isinstance(fields.replacement, RateCost):
        yield "/replacement/rate", fields.replacement.rate
    if fields.book is not None:
        yield "/book/cost", fields.book.cost


def _refuse_planned(work: UnitOfWork, asset: Asset) -> None:
    """Raise `in-use` where projects of drafts replace an asset, naming them."""
    plans = [
        f"project {project.number} ({project.name}) of the capital plan {plan!r}"
        for plan, project in projects_of_drafts(work)
        if asset.id in project.asset_ids
    ]
    if plans:
        named = ", ".join(plans[:_NAMED]) + (
            f" and {len(plans) - _NAMED} more" if len(plans) > _NAMED else ""
        )
        raise ProblemError(
            problems.IN_USE,
            f"Asset {asset.code} ({asset.name}) cannot be deleted. It is replaced by {named}.",
        )


def _refuse_taken_code(work: UnitOfWork, code: str) -> None:
    taken = select(AssetRow.id).where(AssetRow.club_id == work.club_id, AssetRow.code == code)
    if work.session.scalar(taken) is not None:
        raise ProblemError(problems.DUPLICATE, f"There is already an asset with the code {code!r}.")


def _asset(row: Row[*tuple[Any, ...]]) -> Asset:
    return Asset(id=row.id, version=row.version, **row.asset)
