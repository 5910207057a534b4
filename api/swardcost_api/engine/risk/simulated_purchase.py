"""What a purchase costs in each trial: price by breaks or bands, minimum charge, delivery and surcharges.

The arithmetic is that of `price_purchase`, redone for all trials at once, each amount rounded where it is there.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from functools import cached_property

import numpy as np
from swardcost_model.price_terms import ByLoad, ByMassAndDistance, Delivery, PurchaseTerms, Surcharge
from swardcost_model.values import CURRENCY_DIGITS, to_minor

from swardcost_api.engine.pricing.bands import EDGE_PLACES
from swardcost_api.engine.pricing.breaks import tiers_in_order
from swardcost_api.engine.pricing.lines import BEYOND
from swardcost_api.engine.risk.simulated_quantity import MILLION, QuantityRule, as_measured
from swardcost_api.engine.risk.whole_figures import Whole, places_of, scaled

_PRICE_PLACES = 6
_ALL = Decimal(100)
_PLAIN = PurchaseTerms()

Factors = Mapping[str, Whole]
"""Factors of each trial, in millionths, by the name of the uncertain figure."""


@dataclass(frozen=True)
class SimulatedPurchase:
    """A purchase as `price_purchase` takes it, with the names of the uncertain factors on it.

    `quantity_factor` multiplies what is measured, `production_factor` divides it (hours by how fast the work goes),
    `price_factor` multiplies the unit price and the prices of breaks and bands, each rounded half up to a millionth.
    Minimum charge, delivery and surcharges stay as agreed. A factor that is not named is one.

    Raises `ValueError` for figures that make no sense.
    """

    measured: float
    unit: str
    counted: bool
    unit_price: Decimal
    currency: str
    waste_percent: Decimal = Decimal(0)
    terms: PurchaseTerms = _PLAIN
    weekend_percent: Decimal = Decimal(0)
    mass_of_one: Decimal | None = None
    quantity_factor: str | None = None
    production_factor: str | None = None
    price_factor: str | None = None
    rule: QuantityRule = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        if self.currency not in CURRENCY_DIGITS:
            raise ValueError(
                f"currency: expected one of {', '.join(sorted(CURRENCY_DIGITS))}; got {self.currency!r}"
            )
        if not 0 <= self.weekend_percent <= _ALL:
            raise ValueError(f"weekend percent: expected 0 to 100; got {self.weekend_percent}")
        if not self.unit_price.is_finite() or self.unit_price < 0:
            raise ValueError(f"unit price: expected zero or more; got {self.unit_price}")
        rule = QuantityRule.of(self.measured, self.unit, self.counted, self.waste_percent, self.terms)
        object.__setattr__(self, "rule", rule)

    @property
    def factor_names(self) -> frozenset[str]:
        """The uncertain figures that this rests on."""
        return frozenset(
            name
            for name in (self.quantity_factor, self.production_factor, self.price_factor)
            if name is not None
        )

    @property
    def places(self) -> int:
        """Decimal places in which quantities are whole numbers here."""
        return self.rule.places

    def quantity_in_trials(self, factors: Factors) -> Whole:
        """What is bought in each trial, in 10^-`places` of the unit."""
        return self.rule.in_trials(
            _factor(factors, self.quantity_factor), _factor(factors, self.production_factor)
        )

    def amount_in_trials(self, factors: Factors) -> Whole:
        """What all charges come to in each trial, in minor units. Raises `ValueError` for ones that are too large."""
        bought = self.quantity_in_trials(factors)
        price = self._price(bought, _factor(factors, self.price_factor))
        total = price
        if self._on_top:
            total = self._with_charges_on_top(bought, price)
            if not bought.least:
                total = total.where(bought.values > 0, price)
        return payable(total, self.currency)

    @cached_property
    def _on_top(self) -> bool:
        terms = self.terms
        return terms.minimum_charge is not None or terms.delivery is not None or bool(terms.surcharges)

    @cached_property
    def _tiers(self) -> tuple[tuple[int, ...], tuple[int, ...]]:
        """Where prices of breaks begin, in scaled quantities, and the prices in millionths; the unit price first."""
        tiers = [] if self.terms.breaks is None else tiers_in_order(self.terms.breaks)
        starts = tuple(scaled(tier.from_quantity, self.places) for tier in tiers)
        prices = (self.unit_price, *(tier.unit_price for tier in tiers))
        return starts, tuple(scaled(price, _PRICE_PLACES) for price in prices)

    def _amount(self, quantity: Whole, price_micros: Whole, places: int) -> Whole:
        """quantity x price, rounded half up to the minor unit."""
        return quantity.times(price_micros).half_up(
            10 ** (places + _PRICE_PLACES - CURRENCY_DIGITS[self.currency])
        )

    def _price(self, bought: Whole, factor: Whole | None) -> Whole:
        starts, prices = self._tiers
        if self.terms.breaks is not None and self.terms.breaks.apply == "each_tier":
            return self._each_tier(bought, factor)
        if starts:
            reached = np.searchsorted(np.array(starts), bought.values, side="right")
            of_tier = Whole.of(np.array(prices, dtype=np.int64)[reached])
            return self._amount(bought, _times_factor(of_tier, factor), self.places)
        if self.terms.bands is not None:
            return self._in_bands(bought, factor)
        return self._amount(bought, _times_factor(Whole.constant(prices[0]), factor), self.places)

    def _each_tier(self, bought: Whole, factor: Whole | None) -> Whole:
        starts, prices = self._tiers
        total = Whole.constant(0)
        for start, end, price in zip((0, *starts), (*starts, None), prices, strict=True):
            if start > bought.most:
                break
            part = (bought if end is None else bought.at_most(end)).less(start)
            total = total.plus(self._amount(part, _times_factor(Whole.constant(price), factor), self.places))
        return total

    def _in_bands(self, bought: Whole, factor: Whole | None) -> Whole:
        bands = self.terms.bands
        assert bands is not None
        over, under = (
            scaled(
                (bands.contract_quantity * (1 + percent / 100)).quantize(EDGE_PLACES, "ROUND_HALF_UP"),
                self.places,
            )
            for percent in (bands.over_percent, -bands.under_percent)
        )
        price = _times_factor(Whole.constant(self._tiers[1][0]), factor)
        amount = self._amount(bought, price, self.places)
        if bands.price_over is not None:
            beyond = _times_factor(Whole.constant(scaled(bands.price_over, _PRICE_PLACES)), factor)
            amount = self._amount(bought.at_most(over), price, self.places).plus(
                self._amount(bought.less(over), beyond, self.places)
            )
        if bands.price_under is not None:
            below = _times_factor(Whole.constant(scaled(bands.price_under, _PRICE_PLACES)), factor)
            amount = self._amount(bought, below, self.places).where(bought.values < under, amount)
        return amount

    def _with_charges_on_top(self, bought: Whole, price: Whole) -> Whole:
        if self.terms.minimum_charge is not None:
            price = price.at_least(to_minor(self.terms.minimum_charge, self.currency))
        delivery = Whole.constant(0)
        if self.terms.delivery is not None:
            delivery = self._delivery(bought, self.terms.delivery)
        total = price.plus(delivery)
        for surcharge in self.terms.surcharges:
            total = total.plus(self._surcharge(surcharge, bought, price, delivery))
        return total

    def _delivery(self, bought: Whole, delivery: Delivery) -> Whole:
        if isinstance(delivery, ByMassAndDistance):
            return self._by_mass_and_distance(bought, delivery)
        if isinstance(delivery, ByLoad):
            charge, load_size = delivery.charge, delivery.load_size
        else:
            charge = next(zone.charge for zone in delivery.zones if zone.name == delivery.zone)
            if delivery.load_size is None:
                return Whole.constant(to_minor(charge, self.currency))
            load_size = delivery.load_size
        places = max(self.places, places_of(load_size))
        loads = bought.times(10 ** (places - self.places)).up(scaled(load_size, places))
        return self._amount(loads, Whole.constant(scaled(charge, _PRICE_PLACES)), 0)

    def _by_mass_and_distance(self, bought: Whole, delivery: ByMassAndDistance) -> Whole:
        mass = self.mass_of_one
        if mass is None:
            if self.unit != delivery.mass_unit:
                raise ValueError(
                    f"mass of one: expected the mass of one {self.unit} in {delivery.mass_unit}, by which delivery is "
                    "charged"
                )
            mass = Decimal(1)
        if not (mass.is_finite() and mass > 0):
            raise ValueError(f"mass of one: expected more than zero, in {delivery.mass_unit}; got {mass}")
        distance = delivery.distance.value
        for_mass, for_distance = places_of(mass), places_of(distance)
        carried, places = as_measured(
            bought.times(scaled(mass, for_mass)).times(scaled(distance, for_distance)),
            self.places + for_mass + for_distance, f"{delivery.mass_unit}_{delivery.distance.unit}",
        )  # fmt: skip
        amount = self._amount(carried, Whole.constant(scaled(delivery.rate, _PRICE_PLACES)), places)
        digits = CURRENCY_DIGITS[self.currency]
        least, below = (
            to_minor(delivery.least, self.currency),
            -(-scaled(delivery.least, 6) // 10 ** (6 - digits)),
        )
        return amount.where(amount.values >= below, Whole.constant(least))

    def _surcharge(self, surcharge: Surcharge, bought: Whole, price: Whole, delivery: Whole) -> Whole:
        share = self.weekend_percent if surcharge.when == "weekend" else _ALL
        if not share:
            return Whole.constant(0)
        for_share = places_of(share)
        if surcharge.percent is not None:
            base = {"price": price, "delivery": delivery, "both": price.plus(delivery)}[surcharge.on]
            for_percent = places_of(surcharge.percent)
            rate = scaled(surcharge.percent, for_percent) * scaled(share, for_share)
            return base.times(rate).half_up(10 ** (for_percent + for_share + 4))
        if surcharge.per_order is not None:
            return Whole.constant(to_minor(surcharge.per_order, self.currency))
        assert surcharge.per_unit is not None
        quantity, places = bought, self.places
        if share != _ALL:
            quantity, places = as_measured(
                bought.times(scaled(share, for_share)), self.places + for_share + 2, self.unit
            )
        return self._amount(quantity, Whole.constant(scaled(surcharge.per_unit, _PRICE_PLACES)), places)


def payable(amount: Whole, currency: str) -> Whole:
    """The amounts, in minor units. Raises `ValueError` for one too large to be meant."""
    limit = int((BEYOND - 1).scaleb(CURRENCY_DIGITS[currency]))
    if amount.most >= limit:
        amount = amount.tightened()
        if amount.most >= limit:
            raise ValueError(
                "expected an amount that a club could pay, below 1,000,000,000,000, in every trial"
            )
    return amount


def _factor(factors: Factors, name: str | None) -> Whole | None:
    """The factors of a name; `None`, which stands for one, where none is named."""
    return None if name is None else factors[name]


def _times_factor(price_micros: Whole, factor: Whole | None) -> Whole:
    return price_micros if factor is None else price_micros.times(factor).half_up(MILLION)
