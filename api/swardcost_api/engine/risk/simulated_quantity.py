"""What is bought in each trial: the estimate's rules of waste, increments, minimum and rounding, over factors."""

from dataclasses import dataclass
from decimal import Decimal

import numpy as np
from numpy.typing import NDArray
from swardcost_model.price_terms import PurchaseTerms

from swardcost_api.engine.pricing.lines import purchase_quantity
from swardcost_api.engine.risk.whole_figures import Ints, Whole, places_of, scaled

MILLION = 1_000_000
"""Factors count in millionths."""

_DIGITS = 12
"""Digits to which a measured figure counts, as everywhere in pricing."""

_DUST_PLACES = 6


def in_millionths(factors: NDArray[np.float64]) -> Whole:
    """Factors as whole millionths, rounded half up. Raises `ValueError` for one below zero or of a million and more."""
    if not (factors.size and (least := factors.min()) >= 0 and (most := factors.max()) < MILLION):
        raise ValueError("factors: expected numbers of zero or more and below 1,000,000")
    millionths = factors * MILLION
    millionths += 0.5
    return Whole(millionths.astype(np.int64), int(most * MILLION + 0.5), int(least * MILLION + 0.5))


@dataclass(frozen=True, slots=True)
class ScaledNeed:
    """A measured need with twelve digits: `number` x 10^-`places`."""

    number: int
    places: int

    @classmethod
    def of(cls, measured: float) -> "ScaledNeed":
        """The need as it is printed. Raises `ValueError` unless it is zero or more and can be meant."""
        if not 0 <= measured < 1e12:
            raise ValueError("expected a quantity of zero or more and below 1,000,000,000,000")
        printed = Decimal(f"{measured:.12g}")
        if not printed:
            return cls(0, 0)
        places = _DIGITS - 1 - printed.adjusted()
        return cls(scaled(printed, places), places)

    def in_trials(self, quantity: Whole | None, production: Whole | None) -> Whole:
        """need x quantity factor / production factor, rounded half up where the twelfth digit of the need stands, or at
        the twelfth of the result where it has more. Both factors are in millionths, the production factor above zero.

        Raises `ValueError` for a production factor of zero.
        """
        if (quantity is None and production is None) or not self.number:
            return Whole.constant(self.number)
        if production is None:
            assert quantity is not None
            above = quantity.times(self.number)
            return _twelve_digits(above, MILLION)
        if not (production.least or production.values.min() > 0):
            raise ValueError("production factor: expected more than zero in every trial")
        above = Whole.constant(self.number).times(MILLION if quantity is None else quantity)
        return _twelve_digits(above, production.values)


def _twelve_digits(above: Whole, below: int | Ints) -> Whole:
    """above / below, rounded half up to a whole number, or to the twelfth digit where it has more; once, not twice."""
    number = above.half_up(below)
    most, extra = number.most, 1
    while 10 ** (_DIGITS + extra - 1) <= most:
        unit, down = 10**extra, above.down(below)
        number = down.half_up(unit).times(unit).where(down.values >= 10 ** (_DIGITS + extra - 1), number)
        extra += 1
    return number


@dataclass(frozen=True, slots=True)
class QuantityRule:
    """How a need becomes a purchase quantity, in whole numbers of 10^-`places` of the unit.

    `with_waste` is 1 + waste as a whole number of 10^-`waste_places`; `fine` are the decimal places in which the unit
    is bought where nothing else is named.
    """

    need: ScaledNeed
    with_waste: int
    waste_places: int
    counted: bool
    fine: int
    places: int
    terms: PurchaseTerms

    @classmethod
    def of(
        cls, measured: float, unit: str, counted: bool, waste_percent: Decimal, terms: PurchaseTerms
    ) -> "QuantityRule":
        """The rule of `quantity_bought`, with room for every quantity that the terms name.

        Raises `ValueError` for a waste below zero, and as `ScaledNeed.of`.
        """
        if not waste_percent.is_finite() or waste_percent < 0:
            raise ValueError(f"waste percent: expected zero or more; got {waste_percent}")
        with_waste = 1 + waste_percent / 100
        fine = places_bought(unit, counted)
        named = [terms.increment, terms.minimum_order]
        if terms.breaks is not None:
            named += [tier.from_quantity for tier in terms.breaks.tiers]
        places = max([fine, *(places_of(one) for one in named if one is not None)])
        if terms.bands is not None:
            places = max(places, 6)
        waste_places = places_of(with_waste)
        return cls(
            ScaledNeed.of(measured),
            scaled(with_waste, waste_places),
            waste_places,
            counted,
            fine,
            places,
            terms,
        )

    def in_trials(self, quantity: Whole | None, production: Whole | None) -> Whole:
        """What is bought in each trial, in 10^-`places` of the unit; factors in millionths.

        Raises `ValueError` for a production factor of zero.
        """
        need = self.need.in_trials(quantity, production)
        if not need.most:
            return Whole.constant(0)
        needed, places = need.times(self.with_waste), self.need.places + self.waste_places
        if places < self.places + _DUST_PLACES:
            needed, places = (
                needed.times(10 ** (self.places + _DUST_PLACES - places)),
                self.places + _DUST_PLACES,
            )
        if self.terms.increment is not None:
            bought = self._in_increments(needed, places, self.terms.increment)
        else:
            bought = self._rounded(needed, places)
        if need.least or need.values.min() > 0:
            return bought
        return bought.where(need.values > 0, Whole.constant(0))

    def _in_increments(self, needed: Whole, places: int, increment: Decimal) -> Whole:
        if self.terms.minimum_order is not None:
            needed = needed.at_least(scaled(self.terms.minimum_order, places))
        one = scaled(increment, places)
        dust = one // 10**_DUST_PLACES
        return needed.less(dust).up(one).at_least(1).times(scaled(increment, self.places))

    def _rounded(self, needed: Whole, places: int) -> Whole:
        one = 10 ** (places - self.fine)
        dust = one // 10**_DUST_PLACES
        rounded = needed.less(dust).up(one) if self.counted else needed.half_up(one)
        bought = rounded.at_least(1).times(10 ** (self.places - self.fine))
        if self.terms.minimum_order is not None:
            bought = bought.at_least(scaled(self.terms.minimum_order, self.places))
            if self.counted:
                whole = 10**self.places
                bought = bought.up(whole).times(whole)
        return bought


def places_bought(unit: str, counted: bool) -> int:
    """Decimal places in which a unit is bought, as the rule for purchase quantities has them."""
    one, _ = purchase_quantity(1.0, Decimal(0), counted, unit)
    exponent = one.as_tuple().exponent
    assert isinstance(exponent, int)
    return -exponent


def as_measured(figure: Whole, places: int, unit: str) -> tuple[Whole, int]:
    """A computed figure rounded as a measured one is, and the places in which it then counts.

    Up to twelve digits it is what it is; one that is longer is rounded by the rule for measured figures itself.
    """
    fine = places_bought(unit, counted=False)
    if not figure.most:
        return figure, fine
    figure = figure.tightened()
    if figure.most >= 10**_DIGITS:
        found = [
            scaled(
                purchase_quantity(float(Decimal(int(one)).scaleb(-places)), Decimal(0), False, unit)[0], fine
            )
            for one in figure.values
        ]
        return Whole.of(np.array(found, dtype=np.int64)), fine
    rounded = figure.times(10 ** max(fine - places, 0)).half_up(10 ** max(places - fine, 0))
    if rounded.least:
        return rounded, fine
    return rounded.at_least(1).where(figure.values > 0, Whole.constant(0)), fine
