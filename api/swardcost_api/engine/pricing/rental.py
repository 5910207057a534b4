"""Hired machines: the cheapest cover of the days on which one is needed, and what the hire costs in all."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from decimal import ROUND_HALF_UP, Decimal
from typing import ClassVar

from swardcost_model.values import to_minor

from swardcost_api.engine.derivation import Derivation
from swardcost_api.engine.pricing.money_working import MoneyWorking

MAX_DAYS = 1_100
"""Days from the first to the last working day that are looked at: three years, beyond any hire."""

TERMS = "the rental terms; periods chosen for the least cost"
_ZERO = Decimal(0)
_PLACES = Decimal("0.01")


@dataclass(frozen=True, slots=True)
class PeriodRate:
    """A price for a period of so many calendar days, with the running hours that it includes.

    The price counts rounded to the minor unit. `included_h` is `None` where hours are not metered.
    `over_hour_price` is the price of each hour beyond them; `None` stands for the price of the period divided
    by its included hours.
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
        return self.price / self.included_h if self.over_hour_price is None else self.over_hour_price

    def hours_over(self, used_h: Decimal) -> Decimal:
        """Running hours beyond the included ones."""
        return _ZERO if self.included_h is None else max(used_h - self.included_h, _ZERO)

    def charge_minor(self, used_h: Decimal, currency: str) -> int:
        """What the period costs with so many running hours in it, in minor units."""
        over = to_minor(self.hours_over(used_h) * self.price_over, currency)
        return to_minor(self.price, currency) + over


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


@dataclass(frozen=True, slots=True)
class RentalCharge:
    """One period on the bill: the days it pays for, the running hours in it, and its amount."""

    rate: Rate
    first: date
    last: date
    used_h: Decimal
    amount_minor: int


@dataclass(frozen=True, slots=True)
class RentalCost:
    """The cheapest hire: its cover in words, its charges, its days, and its amounts in minor units."""

    cover: str
    charges: tuple[RentalCharge, ...]
    rented_days: int
    working_days: int
    idle_days: int
    time_charge_minor: int
    damage_waiver_minor: int
    delivery_minor: int
    pick_up_minor: int
    fuel_minor: int
    total_minor: int
    currency: str
    steps: Derivation = field(repr=False, compare=False)


def cheapest_rental(*, hours_by_date: Mapping[date, Decimal], terms: RentalTerms) -> RentalCost:
    """The cheapest way to have a machine on every given date, and its cost.

    ::

        least over the rates at each day: charge of the period + least of the days after it
        total = time charge + damage waiver + delivery + pick-up + fuel
        idle days = rented days - working days

    `hours_by_date` holds the dates on which the machine must be there, each with its running hours (0 to
    24). Found exactly, by a dynamic programme over the calendar days. Where two covers cost the same, the one
    with fewer charges is taken.

    Limits: the machine is delivered once and stays from the first date to the last, so days between are paid
    for; to compare with sending it away, price the two stays on their own. At most 1,100 days. Included hours
    count within their own period and are not carried over. The last period may reach past the last date.

    Raises `ValueError` for no dates, dates too far apart, hours or terms that make no sense.

    References
    ----------
    Bellman, Dynamic Programming, 1957 (shortest path in stages). Terms: common practice.
    """
    work = MoneyWorking(terms.currency)
    _take_in_rates(work, terms.rates)
    hours = _hours_by_day(hours_by_date)
    charges = _cheapest_cover(min(hours_by_date), hours, terms)
    time_charge = _time_charge(work, charges)
    waiver = work.given("damage waiver percent", terms.damage_waiver_percent, "percent", zero=True)
    waiver_minor = work.amount(
        "damage waiver", work.major(time_charge) * waiver / 100, "time charge x damage waiver percent / 100",
        "time charge", "damage waiver percent", source="the rental terms",
    )  # fmt: skip
    fuel_minor = _fuel(work, sum(hours), terms.fuel)
    delivery_minor = to_minor(work.price("delivery", terms.delivery), terms.currency)
    pick_up_minor = to_minor(work.price("pick-up", terms.pick_up), terms.currency)
    parts = ("time charge", "damage waiver", "delivery", "pick-up", "fuel")
    total = time_charge + waiver_minor + delivery_minor + pick_up_minor + fuel_minor
    work.amount("total", work.major(total), " + ".join(parts), *parts)
    rented, idle = _days(work, charges, len(hours_by_date))
    return RentalCost(
        _in_words(charges), charges, rented, len(hours_by_date), idle, time_charge, waiver_minor,
        delivery_minor, pick_up_minor, fuel_minor, total, terms.currency, work.steps,
    )  # fmt: skip


def _take_in_rates(work: MoneyWorking, rates: Sequence[Rate]) -> None:
    if not rates or len({rate.name for rate in rates}) < len(rates):
        raise ValueError("rates: expected at least one, each with a name of its own")
    for rate in rates:
        price = work.price(f"{rate.name} price", rate.price, rate.name)
        if isinstance(rate, HourRate):
            work.given("least hours a day", rate.least_h, "hour")
            continue
        work.price(f"{rate.name} price", work.major(to_minor(price, work.currency)), rate.name)
        if rate.days < 1:
            raise ValueError(f"{rate.name}: expected a period of one day or more; got {rate.days!r} days")
        if rate.included_h is not None:
            work.given(f"hours in a {rate.name}", rate.included_h, "hour")
            work.price(f"price of an hour over in a {rate.name}", rate.price_over, "hour")


def _hours_by_day(hours_by_date: Mapping[date, Decimal]) -> list[Decimal]:
    """Running hours of each calendar day from the first date to the last."""
    if not hours_by_date:
        raise ValueError("dates: expected at least one date on which the machine is needed")
    for day, used in hours_by_date.items():
        if not 0 <= float(used) <= 24:
            raise ValueError(f"hours on {day}: expected 0 to 24; got {used}")
    first, last = min(hours_by_date), max(hours_by_date)
    days = (last - first).days + 1
    if days > MAX_DAYS:
        raise ValueError(f"dates: expected at most {MAX_DAYS:,} days from first to last; got {days:,}")
    return [hours_by_date.get(first + timedelta(number), _ZERO) for number in range(days)]


def _cheapest_cover(first: date, hours: Sequence[Decimal], terms: RentalTerms) -> tuple[RentalCharge, ...]:
    """The dynamic programme: the least cost and fewest charges from each day to the end, last day first."""
    rates = sorted(terms.rates, key=lambda rate: -rate.days)
    days = len(hours)
    used_before = [_ZERO]
    for one in hours:
        used_before.append(used_before[-1] + one)
    best: list[tuple[int, int]] = [(0, 0)] * (days + 1)
    chosen: list[RentalCharge | None] = [None] * days
    for start in reversed(range(days)):
        for rate in rates:
            end = min(start + rate.days, days)
            used = used_before[end] - used_before[start]
            amount = rate.charge_minor(used, terms.currency)
            cost = (amount + best[end][0], 1 + best[end][1])
            if chosen[start] is None or cost < best[start]:
                starts_on = first + timedelta(start)
                ends_on = starts_on + timedelta(rate.days - 1)
                best[start], chosen[start] = cost, RentalCharge(rate, starts_on, ends_on, used, amount)
    charges, start = [], 0
    while start < days and (charge := chosen[start]) is not None:
        charges.append(charge)
        start += charge.rate.days
    return tuple(charges)


def _counts(charges: Sequence[RentalCharge]) -> dict[Rate, int]:
    """How many charges at each rate, the longest period first."""
    counts: dict[Rate, int] = {}
    for charge in sorted(charges, key=lambda one: -one.rate.days):
        counts[charge.rate] = counts.get(charge.rate, 0) + 1
    return counts


def _in_words(charges: Sequence[RentalCharge]) -> str:
    words = []
    for rate, count in _counts(charges).items():
        number = Decimal(count)
        if isinstance(rate, HourRate):
            number = sum((rate.hours_charged(one.used_h) for one in charges if one.rate == rate), _ZERO)
        words.append(f"{number.normalize():f} {rate.name}{'' if number == 1 else 's'}")
    return " + ".join(words)


def _time_charge(work: MoneyWorking, charges: Sequence[RentalCharge]) -> int:
    """The steps of the charges and their sum, in minor units."""
    terms, inputs = [], list[str]()
    for rate, count in _counts(charges).items():
        if isinstance(rate, PeriodRate):
            work.given(f"{rate.name}s", Decimal(count), "each")
            terms.append(f"{rate.name}s x {rate.name} price")
            inputs += [f"{rate.name}s", f"{rate.name} price"]
    for charge in charges:
        if (name := _metered(work, charge)) is not None:
            terms.append(name)
            inputs.append(name)
    total = sum(charge.amount_minor for charge in charges)
    return work.amount("time charge", work.major(total), " + ".join(terms), *inputs, source=TERMS)


def _metered(work: MoneyWorking, charge: RentalCharge) -> str | None:
    """The step of what running hours add to a charge, if anything; its name."""
    rate, used = charge.rate, f"hours used from {charge.first}"
    if isinstance(rate, HourRate):
        work.given(used, charge.used_h, "hour", zero=True)
        name = f"charge by the hour on {charge.first}"
        work.amount(
            name, work.major(charge.amount_minor), f"max({used}, least hours a day) x hour price",
            used, "least hours a day", "hour price", source="the rental terms",
        )  # fmt: skip
        return name
    over = rate.hours_over(charge.used_h)
    if not over:
        return None
    work.given(used, charge.used_h, "hour")
    name, included = f"charge for hours over from {charge.first}", f"hours in a {rate.name}"
    price = f"price of an hour over in a {rate.name}"
    work.amount(
        name, over * rate.price_over, f"({used} - {included}) x {price}", used, included, price,
        source="the rental terms",
    )  # fmt: skip
    return name


def _fuel(work: MoneyWorking, running_h: Decimal | int, fuel: Fuel | None) -> int:
    if fuel is None:
        work.price("fuel", _ZERO)
        return 0
    running = work.given("running hours", Decimal(running_h), "hour", zero=True)
    use = work.given("fuel use", fuel.use_per_h, f"{fuel.unit} per hour", zero=True)
    price = work.price("price of fuel", fuel.price, fuel.unit)
    quantity = work.figure(
        "quantity bought", (running * use).quantize(_PLACES, ROUND_HALF_UP), fuel.unit,
        "running hours x fuel use, rounded half up to 0.01", "running hours", "fuel use",
    )  # fmt: skip
    return work.amount(
        "fuel", quantity * price, "quantity bought x price of fuel", "quantity bought", "price of fuel"
    )


def _days(work: MoneyWorking, charges: Sequence[RentalCharge], working: int) -> tuple[int, int]:
    """Days paid for, and those of them on which the machine is not needed."""
    terms, inputs = [], []
    for rate, count in _counts(charges).items():
        name = "days by the hour" if isinstance(rate, HourRate) else f"{rate.name}s"
        work.given(name, Decimal(count), "each")
        terms.append(f"{name} x {rate.days}")
        inputs.append(name)
    rented = sum(charge.rate.days for charge in charges)
    work.figure("rented days", Decimal(rented), "rental_day", " + ".join(terms), *inputs)
    work.given("working days", Decimal(working), "work_day")
    idle = rented - working
    work.figure(
        "idle days", Decimal(idle), "rental_day", "rented days - working days", "rented days", "working days"
    )
    return rented, idle
