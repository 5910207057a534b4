"""What a rental yard asks for a machine: rates by the period and by the hour, and what comes on top of them."""

from dataclasses import dataclass, replace
from decimal import ROUND_HALF_UP, Decimal
from typing import ClassVar, Self

from swardcost_model import price_terms
from swardcost_model.values import from_micros, from_minor, to_micros, to_minor

RATE_PLACES = Decimal("0.000001")
"""The price of an hour over is rounded half up to this."""

_ZERO = Decimal(0)
_PLACES = Decimal("0.01")


@dataclass(frozen=True, slots=True)
class PeriodRate:
    """A price for a period of so many calendar days, with the running hours that it includes.

    The price counts rounded to the minor unit. `included_h` is `None` where hours are not metered.
    `over_hour_price` is the price of each hour beyond them; `None` stands for the price of the period divided
    by its included hours, rounded half up to 0.000001.
    """

    name: str
    days: int
    price: Decimal
    included_h: Decimal | None = None
    over_hour_price: Decimal | None = None

    @property
    def price_over(self) -> Decimal:
        """Price of an hour beyond the included ones."""
        if self.included_h is None:
            return _ZERO
        if self.over_hour_price is not None:
            return self.over_hour_price
        return from_micros(to_micros((self.price / self.included_h).quantize(RATE_PLACES, ROUND_HALF_UP)))

    def hours_over(self, used_h: Decimal) -> Decimal:
        """Running hours beyond the included ones."""
        return _ZERO if self.included_h is None else max(used_h - self.included_h, _ZERO)

    def charge_minor(self, used_h: Decimal, currency: str) -> int:
        """What the period costs with so many running hours in it, in minor units."""
        whole, over = to_minor(self.price, currency), self.hours_over(used_h)
        return whole + to_minor(over * self.price_over, currency) if over else whole

    def as_printed(self, currency: str) -> "PeriodRate":
        """The rate with its price rounded to the minor unit."""
        return replace(self, price=from_minor(to_minor(self.price, currency), currency))


@dataclass(frozen=True, slots=True)
class HourRate:
    """A price by the running hour, with the least hours charged on each day that the machine is kept."""

    price: Decimal
    least_h: Decimal
    name: ClassVar[str] = "hour"
    days: ClassVar[int] = 1

    def hours_charged(self, used_h: Decimal) -> Decimal:
        """Hours charged for a day."""
        return max(used_h, self.least_h)

    def charge_minor(self, used_h: Decimal, currency: str) -> int:
        """What a day costs with so many running hours in it, in minor units."""
        return to_minor(self.hours_charged(used_h) * self.price, currency)

    def as_printed(self, currency: str) -> "HourRate":
        """The rate as it is: the price of an hour is not rounded."""
        return self


Rate = PeriodRate | HourRate


def day_week_and_four_weeks(
    *, day: Decimal | None = None, week: Decimal | None = None, four_weeks: Decimal | None = None
) -> tuple[PeriodRate, ...]:
    """The usual three periods with one shift of running hours: 8 in a day, 40 in a week, 160 in four weeks.

    References
    ----------
    Common practice of rental agreements; hours over are charged at 1/8, 1/40 and 1/160 of the rate.
    """
    usual = (("day", 1, day, 8), ("week", 7, week, 40), ("four-week period", 28, four_weeks, 160))
    return tuple(
        PeriodRate(name, days, price, Decimal(hours))
        for name, days, price, hours in usual
        if price is not None
    )


@dataclass(frozen=True, slots=True)
class Fuel:
    """Fuel that the hirer buys: use in `unit` per running hour, and the price of a `unit`."""

    use_per_h: Decimal
    unit: str
    price: Decimal

    def bought(self, running_h: Decimal) -> Decimal:
        """What is bought for so many running hours, rounded half up to 0.01 of the unit."""
        return (running_h * self.use_per_h).quantize(_PLACES, ROUND_HALF_UP)


@dataclass(frozen=True, slots=True)
class RentalTerms:
    """What the rental yard asks for: rates to choose from, and what comes on top.

    The damage waiver is a percentage of the time charge, hours over the included ones among it.
    """

    currency: str
    rates: tuple[Rate, ...]
    delivery: Decimal = _ZERO
    pick_up: Decimal = _ZERO
    damage_waiver_percent: Decimal = _ZERO
    fuel: Fuel | None = None

    @classmethod
    def of_price_list(cls, terms: price_terms.RentalTerms, currency: str) -> Self:
        """What a price list says, each period at the price at which it counts."""
        rates: list[Rate] = [
            PeriodRate(one.name, one.days, one.price, one.included_hours, one.over_hour_price)
            for one in terms.periods
        ]
        if terms.hourly is not None:
            rates.append(HourRate(terms.hourly.price, terms.hourly.least_hours_a_day))
        fuel = None
        if terms.fuel is not None:
            fuel = Fuel(terms.fuel.use_per_hour, terms.fuel.unit, terms.fuel.price)
        return cls(
            currency, tuple(rates), terms.delivery, terms.pick_up, terms.damage_waiver_percent, fuel
        ).as_printed()

    def as_printed(self) -> Self:
        """These terms with the price of every period rounded as it counts."""
        return replace(self, rates=tuple(rate.as_printed(self.currency) for rate in self.rates))

    def total_minor(self, time_charge_minor: int, running_h: Decimal) -> int:
        """What a stay costs in all with such a time charge and so many running hours, in minor units."""
        waiver = from_minor(time_charge_minor, self.currency) * self.damage_waiver_percent / 100
        fuel = _ZERO if self.fuel is None else self.fuel.bought(running_h) * self.fuel.price
        on_top = (waiver, self.delivery, self.pick_up, fuel)
        return time_charge_minor + sum(to_minor(one, self.currency) for one in on_top)
