"""Hired machines: the cheapest cover of the days on which one is needed, and what the hire costs in all."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from decimal import Decimal

from swardcost_model.values import to_minor

from swardcost_api.engine.derivation import Derivation
from swardcost_api.engine.pricing.money_working import MoneyWorking
from swardcost_api.engine.pricing.rental_terms import (
    RATE_PLACES,
    Fuel,
    HourRate,
    PeriodRate,
    Rate,
    RentalTerms,
)

MAX_DAYS = 1_100
"""Days from the first to the last working day that are looked at: three years, beyond any hire."""

TERMS = "the rental terms; periods chosen for the least cost"
_ZERO = Decimal(0)


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

    @property
    def running_h(self) -> Decimal:
        """Running hours of the whole hire; each day is paid for by one charge."""
        return sum((charge.used_h for charge in self.charges), _ZERO)


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
    terms = terms.as_printed()
    hours = _hours_by_day(hours_by_date)
    charges = _cheapest_cover(min(hours_by_date), hours, terms)
    time_charge = _time_charge(work, charges)
    waiver = work.given("damage waiver percent", terms.damage_waiver_percent, "percent", zero=True)
    waiver_minor = work.amount(
        "damage waiver", work.major(time_charge) * waiver / 100, "time charge x damage waiver percent / 100",
        "time charge", "damage waiver percent", source="the rental terms",
    )  # fmt: skip
    fuel_minor = _fuel(work, sum(hours), terms.fuel)
    delivery_minor = _as_charged(work, "delivery", terms.delivery)
    pick_up_minor = _as_charged(work, "pick-up", terms.pick_up)
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


def _as_charged(work: MoneyWorking, name: str, price: Decimal) -> int:
    """Take in a price that is charged once; what rests on it rests on the rounded one."""
    minor = to_minor(work.price(name, price), work.currency)
    work.price(name, work.major(minor))
    return minor


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


def least_time_charges(hours: Sequence[Decimal], terms: RentalTerms) -> list[int]:
    """The least time charge from each day to the last one, in minor units; `hours` run on each calendar day.

    The first of them is what `cheapest_rental` finds for these days, where it refuses nothing.
    """
    least, _ = _least_from_each_day(hours, terms)
    return [amount for amount, _ in least[:-1]]


_Choice = tuple[Rate, Decimal, int]


def _least_from_each_day(
    hours: Sequence[Decimal], terms: RentalTerms
) -> tuple[list[tuple[int, int]], list[_Choice]]:
    """The dynamic programme, last day first: from each day to the end, the least cost and fewest charges; and the
    charge that begins there (its rate, the hours in it, its amount)."""
    rates = sorted(terms.rates, key=lambda rate: -rate.days)
    days = len(hours)
    used_before = [_ZERO]
    for one in hours:
        used_before.append(used_before[-1] + one)
    best: list[tuple[int, int]] = [(0, 0)] * (days + 1)
    chosen: list[_Choice] = []
    for start in reversed(range(days)):
        options = []
        for rate in rates:
            end = min(start + rate.days, days)
            used = used_before[end] - used_before[start]
            amount = rate.charge_minor(used, terms.currency)
            options.append(((amount + best[end][0], 1 + best[end][1]), (rate, used, amount)))
        best[start], choice = min(options, key=lambda option: option[0])
        chosen.append(choice)
    return best, chosen[::-1]


def _cheapest_cover(first: date, hours: Sequence[Decimal], terms: RentalTerms) -> tuple[RentalCharge, ...]:
    """The charges of the least cost, in the order of their days."""
    _, chosen = _least_from_each_day(hours, terms)
    charges, start = [], 0
    while start < len(hours):
        rate, used, amount = chosen[start]
        starts_on = first + timedelta(start)
        charges.append(RentalCharge(rate, starts_on, starts_on + timedelta(rate.days - 1), used, amount))
        start += rate.days
    return tuple(charges)


def counts_by_rate(charges: Sequence[RentalCharge]) -> dict[Rate, int]:
    """How many of the charges are at each rate, the longest period first."""
    counts: dict[Rate, int] = {}
    for charge in sorted(charges, key=lambda one: -one.rate.days):
        counts[charge.rate] = counts.get(charge.rate, 0) + 1
    return counts


def _in_words(charges: Sequence[RentalCharge]) -> str:
    words = []
    for rate, count in counts_by_rate(charges).items():
        number = Decimal(count)
        if isinstance(rate, HourRate):
            number = sum((rate.hours_charged(one.used_h) for one in charges if one.rate == rate), _ZERO)
        words.append(f"{number.normalize():f} {rate.name}{'' if number == 1 else 's'}")
    return " + ".join(words)


def _time_charge(work: MoneyWorking, charges: Sequence[RentalCharge]) -> int:
    """The steps of the charges and their sum, in minor units."""
    terms, inputs = [], list[str]()
    for rate, count in counts_by_rate(charges).items():
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
    if rate.over_hour_price is None:
        work.figure(
            price, rate.price_over, f"{work.currency} per hour",
            f"{rate.name} price / {included}, rounded half up to {RATE_PLACES}", f"{rate.name} price", included,
            source="the rental terms",
        )  # fmt: skip
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
    work.given("fuel use", fuel.use_per_h, f"{fuel.unit} per hour", zero=True)
    price = work.price("price of fuel", fuel.price, fuel.unit)
    quantity = work.figure(
        "quantity bought", fuel.bought(running), fuel.unit,
        "running hours x fuel use, rounded half up to 0.01", "running hours", "fuel use",
    )  # fmt: skip
    return work.amount(
        "fuel", quantity * price, "quantity bought x price of fuel", "quantity bought", "price of fuel"
    )


def _days(work: MoneyWorking, charges: Sequence[RentalCharge], working: int) -> tuple[int, int]:
    """Days paid for, and those of them on which the machine is not needed."""
    terms, inputs = [], []
    for rate, count in counts_by_rate(charges).items():
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
