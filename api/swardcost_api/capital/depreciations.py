"""Depreciation for the accounts: of the assets in the books, and of a plan that replaces them and adds to them."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_HALF_UP
from typing import Annotated
from uuid import UUID

from swardcost_model.access import Club
from swardcost_model.assets import Asset, BookValue
from swardcost_model.depreciation import BookYear, Convention, DepreciatedItem, DepreciationSchedule
from swardcost_model.values import Money, from_minor, to_minor

from swardcost_api.access.service import read_club
from swardcost_api.capital.assets import all_assets
from swardcost_api.capital.counted_plans import CountedPlan, CountedProject, read_counted_plan
from swardcost_api.capital.plan_assets import PlanAsset
from swardcost_api.capital.plan_years import renewals
from swardcost_api.derivations import steps_for
from swardcost_api.engine.capital import depreciation
from swardcost_api.engine.derivation import Input, Step
from swardcost_api.engine.pricing.allocation import split_exactly
from swardcost_api.operations import Query
from swardcost_api.storage.work import UnitOfWork

_MONTHS = (
    "Straight line by months: written off after m months = (cost - salvage) x m / (12 x life), rounded half up to the "
    "minor unit; a year is the difference of two such sums."
)
_FIRST_YEAR: Mapping[Convention, str] = {
    "full_month": "The month in which a thing is put into service counts whole.",
    "half_year": "In its first year a thing counts six months, whenever in the year it is put into service.",
    "full_year": "In its first year a thing counts all twelve months, whenever in the year it is put into service.",
}
METHOD_OF_ASSETS = (
    _MONTHS, "Assets without a book value are in no sum.",
)  # fmt: skip
METHOD_OF_PLAN = (
    _MONTHS,
    "A capital project is in service from the first of July of the year of its last phase: half a year's depreciation "
    "in that year, unless a full year is asked for. It costs what it costs in the money of its years.",
    "It is written off over the years stated with it; else each of its assets takes a part of its cost by what another "
    "one costs, over its likely life in whole years.",
    "What a dated project replaces leaves them in the year of the project's last phase: what is "
    "left above its salvage value is written off. Operating projects are in no books.",
)
_OWN, _PLAN = "the book value of the asset", "the capital plan"


@dataclass(frozen=True)
class AssetsInBooks:
    """Assets with a book value, over some years."""

    club: Club
    assets: Sequence[Asset]
    years: range
    convention: Convention


@dataclass(frozen=True)
class PlanInBooks:
    """A plan as it is dated, to be depreciated."""

    counted: CountedPlan
    convention: Convention


@dataclass(frozen=True, slots=True)
class _Entry:
    """Something in the books, in minor units."""

    name: str
    cost_minor: int
    salvage_minor: int
    in_service_on: date
    life_years: int
    source: str
    asset_id: UUID | None = None
    plan_project_id: UUID | None = None
    replaced_in: int | None = None


FirstYear = Annotated[
    int | None,
    Query("First year of the schedule; this year where none is given.", ge=1800, le=2299, example=2026),
]
Years = Annotated[int, Query("How many years.", ge=1, le=40, example=10)]


FirstYearCounts = Annotated[
    Convention,
    Query(
        "What of its first year counts: from its month on, half of it, or all of it.", example="full_month"
    ),
]


def read_books(
    work: UnitOfWork,
    first_year: FirstYear = None,
    years: Years = 10,
    convention: FirstYearCounts = "full_month",
) -> AssetsInBooks:
    """The club's assets, to be depreciated over some years from this one, or another."""
    first = first_year or work.now.year
    return AssetsInBooks(read_club(work), all_assets(work), range(first, first + years), convention)


def read_plan_books(
    work: UnitOfWork, plan_id: UUID, convention: FirstYearCounts = "full_month"
) -> PlanInBooks:
    """A plan with what its depreciation rests on. Raises `not-found`."""
    return PlanInBooks(read_counted_plan(work, plan_id), convention)


def schedule_of_assets(books: AssetsInBooks) -> DepreciationSchedule:
    """The depreciation of every asset that has a book value."""
    entries = [
        _of_book(one.book, f"{one.code} ({one.name})", one.id, None)
        for one in books.assets
        if one.book is not None
    ]
    left_out = [f"{one.code} ({one.name}) has no book value." for one in books.assets if one.book is None]
    return _schedule(entries, books.years, books.convention, books.club, left_out, METHOD_OF_ASSETS)


def schedule_of_plan(books: PlanInBooks) -> DepreciationSchedule:
    """The depreciation of the assets in the books and of the capital projects of a plan as it is dated."""
    counted = books.counted
    renewed = renewals(counted)
    left_out: list[str] = []
    entries = []
    for asset in counted.assets:
        if asset.book is not None:
            label = f"{asset.code} ({asset.name})"
            begins = asset.book.in_service_on.year
            replaced = next((year for year in renewed.get(asset.id, ()) if year >= begins), None)
            entries.append(_of_book(asset.book, label, asset.id, replaced))
    by_id = {one.id: one for one in counted.assets}
    for project in counted.projects:
        entries += _of_project(counted, project, by_id, renewed, left_out)
    return _schedule(entries, counted.years, books.convention, counted.club, left_out, METHOD_OF_PLAN)


def _of_book(book: BookValue, name: str, asset_id: UUID, replaced_in: int | None) -> _Entry:
    salvage = 0 if book.salvage is None else to_minor(book.salvage.amount, book.salvage.currency)
    cost = to_minor(book.cost.amount, book.cost.currency)
    return _Entry(
        name,
        cost,
        salvage,
        book.in_service_on,
        book.life_years,
        _OWN,
        asset_id=asset_id,
        replaced_in=replaced_in,
    )


def _of_project(
    counted: CountedPlan,
    project: CountedProject,
    assets: Mapping[UUID, PlanAsset],
    renewed: Mapping[UUID, Sequence[int]],
    left_out: list[str],
) -> Iterator[_Entry]:
    """What a capital project adds to the books: one entry, or one for each asset; what cannot be said is told."""
    stated = project.stated
    if project.spending != "capital":
        return
    if stated.year is None or project.last_year is None or project.cost_minor is None:
        left_out.append(f"Project {project.label} has no {'year' if stated.year is None else 'cost'}.")
        return
    cost = sum(project.costs_from(stated.year))
    in_service_on = date(project.last_year, 7, 1)
    if stated.depreciation_years is not None:
        yield _Entry(
            project.label, cost, 0, in_service_on, stated.depreciation_years, _PLAN, plan_project_id=stated.id
        )
        return
    parts = _parts(stated.asset_ids, assets)
    if parts is None:
        left_out.append(f"Project {project.label}: nobody has said over how many years it is written off.")
        return
    for asset, part in zip(parts, split_exactly(cost, [one.weight for one in parts]), strict=True):
        label = project.label if len(parts) == 1 else f"{project.label}: {asset.name}"
        again = next((year for year in renewed.get(asset.id, ()) if year > project.last_year), None)
        yield _Entry(
            label, part, 0, in_service_on, asset.life_years, _PLAN, asset_id=asset.id, plan_project_id=stated.id,
            replaced_in=again,
        )  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Part:
    """An asset that takes a part of its project's cost by its weight."""

    id: UUID
    name: str
    weight: int
    life_years: int


def _parts(asset_ids: Sequence[UUID], assets: Mapping[UUID, PlanAsset]) -> list[_Part] | None:
    """The assets of a project; none where a life, or a cost to share by, is not known."""
    found = []
    for asset_id in asset_ids:
        asset = assets.get(asset_id)
        if asset is None or asset.life_years is None:
            return None
        weight = 1
        if len(asset_ids) > 1:
            if asset.cost is None:
                return None
            weight = to_minor(asset.cost.amount, asset.cost.currency)
        life_years = int(asset.life_years.to_integral_value(ROUND_HALF_UP))
        found.append(_Part(asset.id, asset.name, weight, min(max(life_years, 1), 100)))
    return found if sum(one.weight for one in found) else None


def _schedule(
    entries: Sequence[_Entry],
    years: range,
    convention: Convention,
    club: Club,
    left_out: Sequence[str],
    method: Sequence[str],
) -> DepreciationSchedule:
    counted = [
        (
            one,
            depreciation.book_years(
                one.cost_minor,
                one.salvage_minor,
                one.in_service_on,
                one.life_years,
                years,
                one.replaced_in,
                convention,
            ),
        )
        for one in entries
    ]
    return DepreciationSchedule(
        first_year=years[0], last_year=years[-1], convention=convention,
        items=[_item(entry, found, club) for entry, found in counted],
        totals=[_total([found[place] for _, found in counted], year, club) for place, year in enumerate(years)],
        left_out=list(left_out), method=[*method, _FIRST_YEAR[convention]],
    )  # fmt: skip


def _item(entry: _Entry, years: Sequence[depreciation.BookYear], club: Club) -> DepreciatedItem:
    currency = club.currency
    return DepreciatedItem(
        asset_id=entry.asset_id, plan_project_id=entry.plan_project_id, name=entry.name,
        cost=Money.of_minor(entry.cost_minor, currency), salvage=Money.of_minor(entry.salvage_minor, currency),
        in_service_on=entry.in_service_on, life_years=entry.life_years, replaced_in=entry.replaced_in,
        years=[_year(one, currency) for one in years], derivation=steps_for(_steps(entry, currency), club),
    )  # fmt: skip


def _steps(entry: _Entry, currency: str) -> Iterator[Step]:
    whole = entry.cost_minor - entry.salvage_minor
    yield Step(
        "depreciation of a full year", float(from_minor(whole, currency)) / entry.life_years, currency,
        "(cost - salvage) / life; a year of fewer months takes as many twelfths",
        (
            Input("cost", float(from_minor(entry.cost_minor, currency)), currency),
            Input("salvage", float(from_minor(entry.salvage_minor, currency)), currency),
            Input("life", float(entry.life_years), "year"),
        ),
        entry.source,
    )  # fmt: skip


def _total(found: Sequence[depreciation.BookYear], year: int, club: Club) -> BookYear:
    def total(name: str) -> int:
        return sum(getattr(one, name) for one in found)

    return _year(
        depreciation.BookYear(
            year, total("opening_minor"), total("added_minor"), total("depreciation_minor"),
            total("written_off_minor"), total("disposed_minor"), total("accumulated_minor"),
        ),
        club.currency,
    )  # fmt: skip


def _year(one: depreciation.BookYear, currency: str) -> BookYear:
    def money(minor: int) -> Money:
        return Money.of_minor(minor, currency)

    return BookYear(
        year=one.year, opening=money(one.opening_minor), added=money(one.added_minor),
        depreciation=money(one.depreciation_minor), written_off=money(one.written_off_minor),
        disposed=money(one.disposed_minor), closing=money(one.closing_minor),
        accumulated=money(one.accumulated_minor),
    )  # fmt: skip
