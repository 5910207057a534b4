"""Sizes of assets as exact decimals: of what is stated, or of the areas together, in the unit that a rate is for."""

from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from fractions import Fraction
from uuid import UUID

from swardcost_model.access import Club
from swardcost_model.assets import Asset, RateCost
from swardcost_model.course import Area
from swardcost_model.values import MAX_DIGITS, MAX_PLACES, Quantity, plain

from swardcost_api.engine.capital.growth import half_up
from swardcost_api.engine.derivation import Input, Step
from swardcost_api.units import UNITS, exact_ratio

_SHOWN = 12
"""Significant digits of a figure in a derivation, so that whoever computes with it has all of the size."""
_NAMED = 40
"""Areas that a step names one by one."""
_SMALL = {"us_customary": "square_foot", "metric": "square_meter"}


def size_of(
    asset: Asset, areas: Mapping[UUID, Area], club: Club, steps: list[Step], missing: list[str]
) -> Quantity | None:
    """The size of an asset, in the unit of its rate where it has one and the two compare.

    Adds the step by which it was found, and to `missing` what a rate lacks; without a rate nothing misses a size.
    """
    rate = asset.replacement if isinstance(asset.replacement, RateCost) else None
    parts, lacking = _parts(asset, areas)
    if lacking:
        if rate is not None:
            missing.append(lacking)
        return None
    unit = _unit(parts, rate, club)
    if asset.size is not None and unit == asset.size.unit:
        return asset.size
    value = added_up([one for _, one in parts], unit)
    if value is None:
        missing.append("a size that its rate fits")
        return None
    steps.append(_step(asset, parts, value, unit))
    return Quantity(value=value, unit=unit)


def added_up(sizes: Iterable[Quantity], unit: str) -> Decimal | None:
    """Sizes added up in a unit, rounded half up once: to six places, or to twelve digits where those are fewer.

    `None` where they do not compare with the unit, or where what is left is zero or too large to be written.

    Examples
    --------
    >>> added_up([Quantity(value=Decimal("0.5"), unit="acre")], "square_foot")
    Decimal('21780')
    """
    total = Fraction(0)
    for one in sizes:
        ratio = exact_ratio(UNITS[one.unit], UNITS[unit])
        if ratio is None:
            return None
        total += Fraction(one.value) * ratio
    whole = len(str(int(total)))
    if whole > MAX_DIGITS:
        return None
    places = min(MAX_PLACES, _SHOWN - whole)
    value = Decimal(half_up(total * 10**places)).scaleb(-places)
    return Decimal(plain(value.normalize())) if 0 < value < 10**MAX_DIGITS else None


def _parts(asset: Asset, areas: Mapping[UUID, Area]) -> tuple[Sequence[tuple[str, Quantity]], str]:
    """The stated size, else those of the areas, by name; in words what is lacking for them to be added up."""
    if asset.size is not None:
        return [("stated size", asset.size)], ""
    found = [areas[one] for one in asset.area_ids if one in areas]
    without = [one.name for one in found if one.size is None or not one.size.value]
    if not found:
        return [], "a size, of its own or of its areas"
    if without:
        more = f" and {len(without) - 3} more" if len(without) > 3 else ""
        return [], f"the size of {', '.join(without[:3])}{more}"
    return [(one.name, one.size) for one in found if one.size is not None], ""


def _unit(parts: Sequence[tuple[str, Quantity]], rate: RateCost | None, club: Club) -> str:
    """The unit of the rate; else that in which all is stated; else the small one of the club."""
    units = {one.unit for _, one in parts}
    if rate is not None:
        return rate.per
    return units.pop() if len(units) == 1 else _SMALL[club.unit_system]


def _step(asset: Asset, parts: Sequence[tuple[str, Quantity]], value: Decimal, unit: str) -> Step:
    if asset.size is not None:
        formula, source = "the stated size in the unit of the rate", "the asset's own terms"
    else:
        formula, source = "sizes of its areas added up", "the areas of the course"
    inputs = [Input(name, float(one.value), one.unit) for name, one in parts]
    if len(parts) > _NAMED:
        inputs = [Input("areas", float(len(parts)), "each")]
    return Step("size", float(value), unit, formula, tuple(inputs), source)
