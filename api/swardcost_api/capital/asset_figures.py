"""Assets in figures: age, life, when each is due, what another one costs, and what a reserve would hold for it."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Annotated
from uuid import UUID

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
    StartingLife,
    StartingLives,
    StatedCost,
)
from swardcost_model.assets import AssetKind as Kind
from swardcost_model.values import Money, Quantity, from_minor, to_minor

from swardcost_api.access.service import read_club
from swardcost_api.capital.assets import all_assets, read_asset
from swardcost_api.course.service import AreaFacts, area_facts
from swardcost_api.derivations import steps_for
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
from swardcost_api.estimates.service import estimate_totals
from swardcost_api.operations import Query
from swardcost_api.storage.work import UnitOfWork
from swardcost_api.units import UNITS, exact

_OWN = "the asset's own terms"
Year = Annotated[
    int | None, Query("The year at whose end; this year if absent.", ge=1800, le=2299, example=2027)
]


@dataclass(frozen=True, slots=True)
class KnownAssets:
    """Assets with all that their figures rest on, at the end of a year; read at one moment, in four queries."""

    assets: Sequence[Asset]
    year: int
    areas: Mapping[UUID, AreaFacts]
    totals: Mapping[UUID, Money]
    club: Club


def read_register(work: UnitOfWork, year: Year = None) -> KnownAssets:
    """Every asset of the club, at the end of a year; of this year where none is named."""
    return _known(work, all_assets(work), year)


def read_asset_question(work: UnitOfWork, asset_id: UUID, year: Year = None) -> KnownAssets:
    """One asset in the same way. Raises `not-found`."""
    return _known(work, [read_asset(work, asset_id)], year)


def _known(work: UnitOfWork, assets: Sequence[Asset], year: int | None) -> KnownAssets:
    named = {one.replacement.estimate_id for one in assets if isinstance(one.replacement, EstimateCost)}
    totals = estimate_totals(work, named) if named else {}
    return KnownAssets(assets, year or work.now.year, area_facts(work), totals, read_club(work))


def register_of(known: KnownAssets) -> AssetRegister:
    """The assets with their figures, and the sums of those of which all is known."""
    items = [RegisteredAsset(asset=one, figures=figures_of(one, known)) for one in known.assets]
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
    return Money.of_minor(minor, currency)


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
    size = _size(at)
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
        due_in=due[1], due_early=due[0], due_late=due[2], years_left=left, size=size, replacement_cost=cost,
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


def _size(at: _Working) -> Quantity | None:
    if at.asset.size is not None:
        return at.asset.size
    areas = [at.known.areas[one] for one in at.asset.area_ids if one in at.known.areas]
    if not areas or any(not area.size_m2 for area in areas):
        return None
    total = sum(area.size_m2 or 0.0 for area in areas)
    inputs = (Input("areas", float(len(areas)), "each"),)
    at.steps.append(
        Step("size", total, "square_meter", "sizes of its areas added up", inputs, "the areas of the course")
    )
    return Quantity(value=exact(total, 6), unit="square_meter")


def _cost(at: _Working, size: Quantity | None) -> Money | None:
    stated, currency = at.asset.replacement, at.known.club.currency
    if isinstance(stated, StatedCost):
        return stated.cost
    if isinstance(stated, EstimateCost):
        total = at.known.totals.get(stated.estimate_id)
        if total is None or total.currency != currency:
            at.missing.append("a total of its estimate in the club's currency")
            return None
        return total
    if stated is None:
        at.missing.append("what another one costs")
        return None
    return _by_rate(at, stated, size)


def _by_rate(at: _Working, stated: RateCost, size: Quantity | None) -> Money | None:
    currency = at.known.club.currency
    if size is None or UNITS[size.unit].dimension != UNITS[stated.per].dimension:
        at.missing.append("a size that its rate fits")
        return None
    own, per = UNITS[size.unit], UNITS[stated.per]
    measured = exact(float(size.value) * own.si_factor / per.si_factor, 6)
    minor = to_minor(measured * stated.rate.amount, currency)
    amount = float(from_minor(minor, currency))
    at.steps.append(
        Step(
            "replacement cost", amount, currency, "size x rate, rounded half up to the minor unit",
            (
                Input("size", float(measured), per.name),
                Input("rate", float(stated.rate.amount), f"{currency} per {per.name}"),
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


def starting_lives() -> StartingLives:
    """The starting life of every kind, with its source; none for kinds that the chart does not have."""
    found = {kind: starting_life(kind.value) for kind in Kind}
    return StartingLives(
        items=[
            StartingLife(
                kind=kind, words=kind.value.replace("_", " "),
                life=None if life is None else Life(low=life.low, likely=life.likely, high=life.high),
                source="" if life is None else f"{CHART}; {MIDDLE}",
            )
            for kind, life in found.items()
        ]
    )  # fmt: skip
