"""Assets in figures: age, life, when each is due, what another one costs, and what a reserve would hold for it."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from typing import Annotated
from uuid import UUID

from swardcost_model import problems
from swardcost_model.access import Club
from swardcost_model.assets import (
    Asset,
    AssetFigures,
    AssetRegister,
    EstimateCost,
    Life,
    LifeBasis,
    RateCost,
    RegisteredAsset,
    StatedCost,
)
from swardcost_model.course import Area
from swardcost_model.problems import ProblemError
from swardcost_model.values import Money, Quantity, from_minor, to_minor

from swardcost_api.access.service import read_club
from swardcost_api.capital.asset_sizes import size_of
from swardcost_api.capital.assets import all_assets, read_asset
from swardcost_api.course.service import all_areas
from swardcost_api.derivations import steps_for
from swardcost_api.engine.capital.growth import half_up
from swardcost_api.engine.capital.lives import (
    CHART,
    MIDDLE,
    age_used,
    age_used_by_judgement,
    due_year,
    starting_life,
)
from swardcost_api.engine.capital.reserve import FUNDING, fully_funded
from swardcost_api.engine.derivation import Input, Step
from swardcost_api.estimates.service import NamedEstimate, named_estimates
from swardcost_api.operations import Query
from swardcost_api.storage.work import UnitOfWork

_OWN = "the asset's own terms"
_BEYOND = 10**12
"""Amounts of so many whole units of a currency are not meant, and could not be sent."""
Year = Annotated[
    int | None, Query("The year at whose end; this year if absent.", ge=1800, le=2299, example=2027)
]


@dataclass(frozen=True, slots=True)
class KnownAssets:
    """Assets with all that their figures rest on, at the end of a year; read at one moment, in four queries."""

    assets: Sequence[Asset]
    year: int
    areas: Mapping[UUID, Area]
    estimates: Mapping[UUID, NamedEstimate]
    club: Club


def read_register(work: UnitOfWork, year: Year = None) -> KnownAssets:
    """Every asset of the club, at the end of a year; of this year where none is named."""
    return _known(work, all_assets(work), year)


def read_asset_question(work: UnitOfWork, asset_id: UUID, year: Year = None) -> KnownAssets:
    """One asset in the same way. Raises `not-found`."""
    return _known(work, [read_asset(work, asset_id)], year)


def _known(work: UnitOfWork, assets: Sequence[Asset], year: int | None) -> KnownAssets:
    named = {one.replacement.estimate_id for one in assets if isinstance(one.replacement, EstimateCost)}
    estimates = named_estimates(work, named) if named else {}
    return KnownAssets(assets, year or work.now.year, all_areas(work), estimates, read_club(work))


def register_of(known: KnownAssets) -> AssetRegister:
    """The assets with their figures, and the sums of those of which all is known.

    Raises `wrong-state` where a sum is too large to be meant.
    """
    items = [
        RegisteredAsset(
            asset=one, areas=[known.areas[area_id].name for area_id in one.area_ids if area_id in known.areas],
            figures=figures_of(one, known),
        )
        for one in known.assets
    ]  # fmt: skip
    return AssetRegister(
        year=known.year, items=items,
        replacement_cost=_sum((one.figures.replacement_cost for one in items), known.club.currency),
        fully_funded=_sum((one.figures.fully_funded for one in items), known.club.currency),
        missing=sum(bool(one.figures.missing) for one in items),
    )  # fmt: skip


def only_figures(known: KnownAssets) -> AssetFigures:
    """The figures of the one asset that was read."""
    (asset,) = known.assets
    return figures_of(asset, known)


def _sum(amounts: Iterable[Money | None], currency: str) -> Money:
    minor = sum(to_minor(one.amount, currency) for one in amounts if one is not None)
    if minor >= _beyond(currency):
        raise ProblemError(
            problems.WRONG_STATE,
            f"The assets together come to {_BEYOND:,} {currency} and beyond; look at their costs.",
        )
    return Money.of_minor(minor, currency)


def _beyond(currency: str) -> int:
    """The least amount in minor units that is not meant."""
    return to_minor(Decimal(_BEYOND), currency)


@dataclass(slots=True)
class _Working:
    """The figures of an asset in the making."""

    asset: Asset
    known: KnownAssets
    steps: list[Step] = field(default_factory=list)
    missing: list[str] = field(default_factory=list)


def figures_of(asset: Asset, known: KnownAssets) -> AssetFigures:
    """An asset at the end of the year; what is not known is named, and counts in no sum."""
    at = _Working(asset, known)
    life, basis = _life(at)
    size = size_of(asset, known.areas, known.club, at.steps, at.missing)
    cost = _cost(at, size)
    since, judged = asset.in_use_since, asset.condition
    due: tuple[int | None, int | None, int | None] = (None, None, None)
    left: Decimal | None = None
    if judged is not None and judged.years_left is not None:
        basis = LifeBasis.JUDGEMENT
        when = due_year(judged.on.year, judged.years_left)
        due, left = (when, when, when), max(judged.years_left - (known.year - judged.on.year), Decimal(0))
    elif since is not None and life is not None:
        due = (due_year(since, life.low), due_year(since, life.likely), due_year(since, life.high))
        left = max(life.likely - max(known.year - since, 0), Decimal(0))
    elif since is None:
        at.missing.append("the year since which it is in use")
    held = _held(at, life, basis, cost)
    return AssetFigures(
        year=known.year, age=None if since is None else max(known.year - since, 0), life=life, life_basis=basis,
        due_in=due[1], due_early=due[0], due_late=due[2], years_left=left, size=size, estimate=_estimate(at),
        replacement_cost=cost,
        fully_funded=held, missing=at.missing, derivation=steps_for(at.steps, known.club),
    )  # fmt: skip


def _life(at: _Working) -> tuple[Life | None, LifeBasis | None]:
    if at.asset.life is not None:
        return at.asset.life, LifeBasis.OWN_LIFE
    found = starting_life(at.asset.kind.value)
    if found is None:
        at.missing.append("its life, which the chart does not give for this kind")
        return None, None
    at.steps.append(
        Step(
            "likely life", float(found.likely), "year", "(least + most years of the chart) / 2",
            (Input("least", float(found.low), "year"), Input("most", float(found.high), "year")),
            f"{CHART}; {MIDDLE}",
        )
    )  # fmt: skip
    return Life(low=found.low, likely=found.likely, high=found.high), LifeBasis.STARTING_LIFE


def _estimate(at: _Working) -> str | None:
    stated = at.asset.replacement
    if not isinstance(stated, EstimateCost) or stated.estimate_id not in at.known.estimates:
        return None
    return at.known.estimates[stated.estimate_id].label


def _cost(at: _Working, size: Quantity | None) -> Money | None:
    """What another one costs, in whole minor units."""
    stated, currency = at.asset.replacement, at.known.club.currency
    if stated is None:
        at.missing.append("what another one costs")
        return None
    if isinstance(stated, EstimateCost):
        return _by_estimate(at, stated)
    if isinstance(stated, StatedCost):
        return Money.of_minor(to_minor(stated.cost.amount, currency), currency)
    return None if size is None else _by_rate(at, stated, size)


def _by_estimate(at: _Working, stated: EstimateCost) -> Money | None:
    found = at.known.estimates.get(stated.estimate_id)
    if found is None or found.total.currency != at.known.club.currency or found.total.amount < 0:
        at.missing.append("a total of its estimate in the club's currency, of zero or more")
        return None
    if not found.complete:
        at.missing.append(f"its cost: estimate {found.label}, is incomplete")
        return None
    return found.total


def _by_rate(at: _Working, stated: RateCost, size: Quantity) -> Money | None:
    currency = at.known.club.currency
    minor = half_up(Fraction(size.value) * Fraction(stated.rate.amount) * to_minor(Decimal(1), currency))
    if minor >= _beyond(currency):
        at.missing.append(f"a replacement cost below {_BEYOND:,} {currency}")
        return None
    at.steps.append(
        Step(
            "replacement cost", float(from_minor(minor, currency)), currency,
            "size x rate, rounded half up to the minor unit",
            (
                Input("size", float(size.value), size.unit),
                Input("rate", float(stated.rate.amount), f"{currency} per {stated.per}"),
            ),
            _OWN,
        )
    )  # fmt: skip
    return Money.of_minor(minor, currency)


def _held(at: _Working, life: Life | None, basis: LifeBasis | None, cost: Money | None) -> Money | None:
    """What a reserve would hold for it at the end of the year."""
    asset, year = at.asset, at.known.year
    if life is None or cost is None or not asset.replaced:
        return None
    judged = asset.condition
    if basis is LifeBasis.JUDGEMENT and judged is not None and judged.years_left is not None:
        used = age_used_by_judgement(judged.years_left, judged.on.year, year, life.likely)
    elif asset.in_use_since is not None:
        used = age_used(asset.in_use_since, year, life.likely)
    else:
        return None
    minor = fully_funded(to_minor(cost.amount, cost.currency), used, life.likely)
    at.steps.append(
        Step(
            "fully funded", float(from_minor(minor, cost.currency)), cost.currency,
            "replacement cost x age used / life, rounded half up to the minor unit",
            (
                Input("replacement cost", float(cost.amount), cost.currency),
                Input("age used", float(used), "year"), Input("life", float(life.likely), "year"),
            ),
            FUNDING,
        )
    )  # fmt: skip
    return Money.of_minor(minor, cost.currency)
