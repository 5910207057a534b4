"""What hired machines cost in each trial: the cheapest cover of the days that the hours take, from a table by hours."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from fractions import Fraction

import numpy as np
from swardcost_model import price_terms
from swardcost_model.price_terms import PurchaseTerms
from swardcost_model.values import CURRENCY_DIGITS, to_minor

from swardcost_api.engine.pricing.hire import Need, days_at_work, price_hire
from swardcost_api.engine.pricing.rental_terms import HourRate, Rate, RentalTerms
from swardcost_api.engine.risk.simulated_purchase import Factors, payable
from swardcost_api.engine.risk.simulated_quantity import MILLION, QuantityRule
from swardcost_api.engine.risk.whole_figures import Ints, Whole, places_of, scaled

_HUNDREDTHS = 100
_PRICE_PLACES = 6
_ALL_NEEDS = slice(None)
_KEPT_HIRES = 100_000
"""Hires that are kept for trials with the same hours; beyond them all are forgotten, so that memory is bounded."""


@dataclass(frozen=True)
class HoursNeeded:
    """Running hours of a machine as measured, between which dates, and the names of the uncertain factors on them.

    `quantity_factor` multiplies the hours, `production_factor` divides them.
    """

    measured: float
    starts_on: date
    ends_on: date
    waste_percent: Decimal = Decimal(0)
    quantity_factor: str | None = None
    production_factor: str | None = None
    rule: QuantityRule = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        rule = QuantityRule.of(self.measured, "hour", False, self.waste_percent, PurchaseTerms())
        object.__setattr__(self, "rule", rule)

    @property
    def factor_names(self) -> frozenset[str]:
        """The uncertain figures that the hours rest on."""
        return frozenset(name for name in (self.quantity_factor, self.production_factor) if name is not None)

    def in_trials(self, factors: Factors) -> Whole:
        """Hours in each trial, in hundredths. Raises `ValueError` for a production factor of zero."""
        quantity, production = (
            None if name is None else factors[name] for name in (self.quantity_factor, self.production_factor)
        )
        return self.rule.in_trials(quantity, production)


@dataclass(frozen=True)
class SimulatedHire:
    """Machines of one item hired for one need or several, as `price_hire` takes them.

    ::

        amount = price factor x what the hire costs in all, rounded half up to the minor unit

    With one need the cost comes from a table by hundredths of an hour, of the same dynamic programme; with several,
    which share machines, each distinct combination of hours is hired by `price_hire` itself: as exact, and slow where
    there are many.

    Limits: all rates of the yard move together with `price_factor`, so that the cover stays the cheapest.

    Raises `ValueError` for no needs, or terms that make no sense.
    """

    needs: Sequence[HoursNeeded]
    terms: price_terms.RentalTerms
    currency: str
    price_factor: str | None = None
    _table: "_HireTable" = field(init=False, repr=False, compare=False)
    _found: dict[tuple[int, ...], tuple[int, ...]] = field(
        init=False, repr=False, compare=False, default_factory=dict
    )

    def __post_init__(self) -> None:
        if self.currency not in CURRENCY_DIGITS:
            raise ValueError(
                f"currency: expected one of {', '.join(sorted(CURRENCY_DIGITS))}; got {self.currency!r}"
            )
        if not self.needs:
            raise ValueError("needs: expected at least one")
        first = self.needs[0]
        object.__setattr__(
            self, "_table", _HireTable(first.starts_on, first.ends_on, self.terms, self.currency)
        )

    @property
    def factor_names(self) -> frozenset[str]:
        """The uncertain figures that this rests on."""
        own = frozenset() if self.price_factor is None else frozenset({self.price_factor})
        return own.union(*(need.factor_names for need in self.needs))

    def amount_in_trials(self, factors: Factors) -> Whole:
        """What it costs in each trial, in minor units. Raises `ValueError` for hours that `price_hire` refuses."""
        hours = [need.in_trials(factors) for need in self.needs]
        amount = self._table.totals(hours[0]) if len(hours) == 1 else self._hired_together(hours)
        if self.price_factor is not None:
            amount = amount.times(factors[self.price_factor]).half_up(MILLION)
        return payable(amount, self.currency)

    def share_in_trials(self, place: int, factors: Factors) -> Whole:
        """What one of the needs bears of it in each trial, in minor units, by its place among them.

        Raises `ValueError` for hours that `price_hire` refuses.

        The price factor is on the share, which is then rounded, so that shares may sum to other cents than the whole.
        """
        hours = [need.in_trials(factors) for need in self.needs]
        amount = (
            self._table.totals(hours[0])
            if len(hours) == 1
            else self._hired_together(hours, slice(place, place + 1))
        )
        if self.price_factor is not None:
            amount = amount.times(factors[self.price_factor]).half_up(MILLION)
        return payable(amount, self.currency)

    def _hired_together(self, hours: Sequence[Whole], wanted: slice = _ALL_NEEDS) -> Whole:
        trials = max(len(one.values) for one in hours)
        rows, trial_row = np.unique(
            np.stack([one.int64(trials) for one in hours], axis=1), axis=0, return_inverse=True
        )
        totals = [sum(self._hired(tuple(int(one) for one in row))[wanted]) for row in rows]
        return Whole.of(np.array(totals, dtype=np.int64)[trial_row.ravel()])

    def _hired(self, hundredths: tuple[int, ...]) -> tuple[int, ...]:
        """What each need bears where they take so many hundredths of an hour."""
        if hundredths not in self._found:
            needs = [
                Need(str(number), Decimal(hours).scaleb(-2), need.starts_on, need.ends_on)
                for number, (hours, need) in enumerate(zip(hundredths, self.needs, strict=True), 1)
            ]
            hired = price_hire(needs, self.terms, self.currency)
            if len(self._found) >= _KEPT_HIRES:
                self._found.clear()
            self._found[hundredths] = tuple(one.amount_minor for one in hired.needs)
        return self._found[hundredths]


@dataclass(frozen=True)
class HireShare:
    """What one need bears of a hire that several share; each is a line of its own for the markups."""

    hire: SimulatedHire
    place: int

    @property
    def factor_names(self) -> frozenset[str]:
        """The uncertain figures that this rests on: those of all needs, since they share machines."""
        return self.hire.factor_names

    def amount_in_trials(self, factors: Factors) -> Whole:
        """What it costs in each trial, in minor units; raises as `SimulatedHire.share_in_trials`."""
        return self.hire.share_in_trials(self.place, factors)


class _HireTable:
    """What one machine costs by hundredths of an hour, filled for as many days at work as have been asked for."""

    def __init__(
        self, starts_on: date, ends_on: date, listed: price_terms.RentalTerms, currency: str
    ) -> None:
        self.starts_on, self.ends_on, self.listed, self.currency = starts_on, ends_on, listed, currency
        self.terms = RentalTerms.of_price_list(listed, currency)
        self.hundredths_a_day = Fraction(listed.hours_a_day) * _HUNDREDTHS
        self.by_hundredths: Ints = np.zeros(1, dtype=np.int64)
        self.filled: set[int] = {0}

    def totals(self, hours: Whole) -> Whole:
        """What so many hundredths of an hour cost in all, in minor units; nothing for none."""
        hours = hours.tightened()
        if hours.most >= len(self.by_hundredths):
            self._need(hours.most)
            size = self._hundredths_of(int(self._days(np.array([hours.most]))[0]))[1] + 1
            longer = np.zeros(size, dtype=np.int64)
            longer[: len(self.by_hundredths)] = self.by_hundredths
            self.by_hundredths = longer
        for days in np.unique(self._days(hours.values)):
            if int(days) not in self.filled:
                self._fill(int(days))
        return Whole.of(self.by_hundredths[hours.values])

    def _need(self, hundredths: int) -> Need:
        """The need for so many hours, refused by the hire itself where it has too many."""
        need = Need("1", Decimal(hundredths).scaleb(-2), self.starts_on, self.ends_on)
        days_at_work([need], self.listed)
        return need

    def _days(self, hundredths: Ints) -> Ints:
        """hours / hours a day, rounded up."""
        found: Ints = -((-hundredths * self.hundredths_a_day.denominator) // self.hundredths_a_day.numerator)
        return found

    def _hundredths_of(self, days: int) -> tuple[int, int]:
        """The least and the most hundredths of an hour that take so many days."""
        return int((days - 1) * self.hundredths_a_day) + 1, int(days * self.hundredths_a_day)

    def _fill(self, days: int) -> None:
        """The table for all hours that take so many days: whole days, and what is left on the last."""
        least, most = self._hundredths_of(days)
        hours = np.arange(least, most + 1, dtype=np.int64)
        (at_work,), _ = days_at_work([self._need(least)], self.listed)
        offsets = {(day - at_work.dates[0]).days for day in at_work.dates}
        per_day = self.listed.hours_a_day
        before = [Decimal(0)]
        for day in range(max(offsets) + 1):
            before.append(before[-1] + (per_day if day in offsets else 0))
        last = max(offsets)
        best: list[Whole] = [Whole.constant(0)] * (last + 2)
        for start in reversed(range(last + 1)):
            options: list[Whole] = []
            for rate in self.terms.rates:
                end = min(start + rate.days, last + 1)
                if end <= last:
                    charge = Whole.constant(rate.charge_minor(before[end] - before[start], self.currency))
                else:
                    charge = self._last_charge(rate, Whole.of(hours), before[start])
                options.append(charge.plus(best[end]))
            best[start] = options[0]
            for option in options[1:]:
                best[start] = option.where(option.values < best[start].values, best[start])
        self.by_hundredths[least : most + 1] = self._with_all(best[0], Whole.of(hours)).int64(len(hours))
        self.filled.add(days)

    def _last_charge(self, rate: Rate, hours: Whole, before: Decimal) -> Whole:
        """A charge that holds the last day: all hundredths of an hour but those before it."""
        digits = CURRENCY_DIGITS[self.currency]
        places = max(places_of(before), 2)
        if isinstance(rate, HourRate):
            places = max(places, places_of(rate.least_h))
            used = hours.times(10 ** (places - 2)).less(scaled(before, places))
            charged = used.at_least(scaled(rate.least_h, places))
            return charged.times(scaled(rate.price, _PRICE_PLACES)).half_up(
                10 ** (places + _PRICE_PLACES - digits)
            )
        price = Whole.constant(to_minor(rate.price, self.currency))
        if rate.included_h is None:
            return price
        places = max(places, places_of(rate.included_h))
        over = (
            hours.times(10 ** (places - 2)).less(scaled(before, places)).less(scaled(rate.included_h, places))
        )
        return (
            over.times(scaled(rate.price_over, _PRICE_PLACES))
            .half_up(10 ** (places + _PRICE_PLACES - digits))
            .plus(price)
        )

    def _with_all(self, time_charge: Whole, hours: Whole) -> Whole:
        """The time charge with waiver, delivery, pick-up and fuel."""
        waiver, digits = self.terms.damage_waiver_percent, CURRENCY_DIGITS[self.currency]
        places = places_of(waiver)
        total = time_charge.plus(time_charge.times(scaled(waiver, places)).half_up(10 ** (places + 2)))
        total = total.plus(
            sum(to_minor(one, self.currency) for one in (self.terms.delivery, self.terms.pick_up))
        )
        if self.terms.fuel is None:
            return total
        fuel = self.terms.fuel
        places = places_of(fuel.use_per_h)
        bought = hours.times(scaled(fuel.use_per_h, places)).half_up(10**places)
        return total.plus(
            bought.times(scaled(fuel.price, _PRICE_PLACES)).half_up(10 ** (2 + _PRICE_PLACES - digits))
        )
