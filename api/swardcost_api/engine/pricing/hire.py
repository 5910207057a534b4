"""Machines hired for several pieces of work: how many, from when to when, and each one's share of the bill."""

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from decimal import Decimal

from swardcost_model.price_terms import RentalTerms as Terms
from swardcost_model.values import from_minor, to_minor

from swardcost_api.engine.derivation import Derivation, Input, Step
from swardcost_api.engine.pricing.allocation import split_by_weights
from swardcost_api.engine.pricing.charge import Charge, Part
from swardcost_api.engine.pricing.rental import (
    MAX_DAYS,
    Fuel,
    HourRate,
    PeriodRate,
    Rate,
    RentalCost,
    RentalTerms,
    cheapest_rental,
)

SHARED = "the rental terms; shared by hours, by largest remainder to the minor unit"
LONGEST_STAY = 60
"""Pieces of work that one stay of a machine may serve; a stay for more is never looked at."""
_MICRO = Decimal("0.000001")
_ONE = Decimal(1)


@dataclass(frozen=True, slots=True)
class Need:
    """A piece of work that needs a machine for so many hours, between two days."""

    key: Hashable
    hours: Decimal
    starts_on: date
    ends_on: date


@dataclass(frozen=True, slots=True)
class Stay:
    """A machine from its delivery to its pick-up: which machine, what it serves, and the bill."""

    machine: int
    keys: tuple[Hashable, ...]
    cost: RentalCost = field(repr=False)


@dataclass(frozen=True, slots=True)
class Hire:
    """All stays, the charges of each piece of work, and those whose hours do not fit between their days."""

    stays: tuple[Stay, ...]
    charges: Mapping[Hashable, tuple[Charge, ...]]
    overruns: Mapping[Hashable, date]
    total_minor: int


def working_days(need: Need, terms: Terms) -> dict[date, Decimal]:
    """The days on which the machine runs, with the hours of each: as early as its work allows.

    At most `hours_a_day` on a day, from the first day of the work on; Saturdays and Sundays only where the
    terms say so. Hours that do not fit until the last day go on past it.
    """
    left, day, hours = need.hours, need.starts_on, dict[date, Decimal]()
    while left > 0:
        if terms.works_weekends or day.weekday() < 5:
            hours[day] = min(left, terms.hours_a_day)
            left -= hours[day]
        day += timedelta(1)
        if (day - need.starts_on).days > MAX_DAYS:
            raise ValueError(
                f"hours: expected what {MAX_DAYS:,} days hold at {terms.hours_a_day} hours a day; got {need.hours}"
            )
    return hours


def price_hire(needs: Sequence[Need], terms: Terms, currency: str) -> Hire:
    """Hire as few machines as the days need, each with the cheapest stays, and charge them to the work.

    ::

        a machine serves pieces of work whose days do not overlap
        least over the splits of a machine's work into stays: sum of the cheapest rental of each stay

    Work goes to the first machine that is free, in order of its first day. Whether a machine stays through a gap
    or is brought twice is decided exactly, by a dynamic programme over its work. A stay that serves one piece of
    work is charged in full, line by line; one that serves several is shared by hours.

    Limits: machines are alike; fewest machines is not always cheapest; a stay serves at most 60 pieces of work.

    Raises `ValueError` for needs without hours, or hours and terms that make no sense.

    References
    ----------
    Interval partitioning by earliest start uses the fewest machines (Kleinberg and Tardos, Algorithm Design,
    4.1); Bellman 1957 for the stays. Terms: common practice.
    """
    if any(need.hours <= 0 for need in needs):
        raise ValueError("hours: expected more than zero for every piece of work")
    rental = _rental_terms(terms, currency)
    days = {need.key: working_days(need, terms) for need in needs}
    if len(days) < len(needs):
        raise ValueError("needs: expected each with a key of its own")
    stays: list[Stay] = []
    for number, served in enumerate(_machines(needs, days), 1):
        stays += [
            Stay(number, tuple(need.key for need in group), cost)
            for group, cost in _stays(served, days, rental)
        ]
    by_key = {need.key: need for need in needs}
    charges: dict[Hashable, tuple[Charge, ...]] = {}
    for stay in stays:
        charges |= _charges(stay, by_key, rental)
    overruns = {need.key: max(days[need.key]) for need in needs if max(days[need.key]) > need.ends_on}
    return Hire(tuple(stays), charges, overruns, sum(stay.cost.total_minor for stay in stays))


def _machines(needs: Sequence[Need], days: Mapping[Hashable, Mapping[date, Decimal]]) -> list[list[Need]]:
    """The work of each machine, in order of its days."""
    machines: list[list[Need]] = []
    for need in sorted(needs, key=lambda one: (min(days[one.key]), max(days[one.key]))):
        first = min(days[need.key])
        free = next((served for served in machines if max(days[served[-1].key]) < first), None)
        if free is None:
            machines.append([need])
        else:
            free.append(need)
    return machines


def _stays(
    served: Sequence[Need], days: Mapping[Hashable, Mapping[date, Decimal]], terms: RentalTerms
) -> list[tuple[Sequence[Need], RentalCost]]:
    """The cheapest split of a machine's work into stays; of equal ones that with fewer stays."""
    best: list[tuple[int, int]] = [(0, 0)] + [(0, 0)] * len(served)
    chosen: list[tuple[int, RentalCost] | None] = [None] * (len(served) + 1)
    for end in range(1, len(served) + 1):
        for start in range(end - 1, max(end - LONGEST_STAY, 0) - 1, -1):
            hours: dict[date, Decimal] = {}
            for need in served[start:end]:
                hours |= days[need.key]
            if (max(hours) - min(hours)).days >= MAX_DAYS:
                break
            cost = cheapest_rental(hours_by_date=hours, terms=terms)
            reached = (best[start][0] + cost.total_minor, best[start][1] + 1)
            if chosen[end] is None or reached < best[end]:
                best[end], chosen[end] = reached, (start, cost)
    split: list[tuple[Sequence[Need], RentalCost]] = []
    end = len(served)
    while end and (one := chosen[end]) is not None:
        split.append((served[one[0] : end], one[1]))
        end = one[0]
    return split[::-1]


def _charges(
    stay: Stay, needs: Mapping[Hashable, Need], terms: RentalTerms
) -> dict[Hashable, tuple[Charge, ...]]:
    if len(stay.keys) == 1:
        return {stay.keys[0]: _bill(stay, terms)}
    hours = [needs[key].hours for key in stay.keys]
    parts = split_by_weights(stay.cost.total_minor, [float(one) for one in hours])
    all_hours = sum(hours)
    shares: dict[Hashable, tuple[Charge, ...]] = {}
    for key, own, part in zip(stay.keys, hours, parts, strict=True):
        words = f"Share of the hire of machine {stay.machine}: {_number(own)} of {_number(all_hours)} hours"
        amount = from_minor(part, terms.currency)
        total = float(from_minor(stay.cost.total_minor, terms.currency))
        step = Step(
            "share of the hire", float(amount), terms.currency, "total x hours here / hours of the stay",
            (
                Input("total", total, terms.currency), Input("hours here", float(own), "hour"),
                Input("hours of the stay", float(all_hours), "hour"),
            ),
            SHARED,
        )  # fmt: skip
        charge = Charge(Part.RENTAL, words, _ONE, "each", "a share", amount, part, (*stay.cost.steps, step))
        shares[key] = (charge,)
    return shares


def _bill(stay: Stay, terms: RentalTerms) -> tuple[Charge, ...]:
    """The lines of a stay that serves one piece of work; the first explains the cover, the others themselves."""
    cost = stay.cost
    counts: dict[Rate, list[Decimal]] = {}
    lines: list[Charge] = []
    for charge in cost.charges:
        amounts = counts.setdefault(charge.rate, [])
        amounts.append(
            charge.rate.hours_charged(charge.used_h) if isinstance(charge.rate, HourRate) else _ONE
        )
    steps = cost.steps
    for rate, quantities in sorted(counts.items(), key=lambda one: -one[0].days):
        minor = sum(
            one.amount_minor - (_over_minor(rate, one.used_h, terms) if isinstance(rate, PeriodRate) else 0)
            for one in cost.charges
            if one.rate == rate
        )
        quantity = sum(quantities, Decimal(0))
        words = f"{_number(quantity)} {rate.name}{'' if quantity == 1 else 's'}, {cost.idle_days} idle days in all"
        lines.append(_line(Part.RENTAL, words, quantity, rate.name, rate.price, minor, terms, steps))
        steps = ()
    for one in cost.charges:
        if isinstance(one.rate, PeriodRate) and (over := one.rate.hours_over(one.used_h)):
            minor = _over_minor(one.rate, one.used_h, terms)
            words = f"{_number(over)} hours over in the {one.rate.name} from {one.first}"
            lines.append(_line(Part.OVER_HOURS, words, over, "hour", one.rate.price_over, minor, terms, ()))
    for part, name, minor in (
        (Part.DAMAGE_WAIVER, "Damage waiver", cost.damage_waiver_minor),
        (Part.DELIVERY, "Delivery", cost.delivery_minor),
        (Part.PICK_UP, "Pick-up", cost.pick_up_minor),
        (Part.FUEL, "Fuel", cost.fuel_minor),
    ):
        if minor:
            amount = from_minor(minor, terms.currency)
            own = tuple(step for step in cost.steps if step.name == name.lower())
            lines.append(_line(part, name, _ONE, "each", amount, minor, terms, own))
    return tuple(lines)


def _over_minor(rate: PeriodRate, used_h: Decimal, terms: RentalTerms) -> int:
    return to_minor(rate.hours_over(used_h) * rate.price_over, terms.currency)


def _line(
    part: Part,
    words: str,
    quantity: Decimal,
    unit: str,
    price: Decimal,
    minor: int,
    terms: RentalTerms,
    steps: Derivation,
) -> Charge:
    """A printed line; where the printed price would not give the amount, it is one at the amount."""
    amount = from_minor(minor, terms.currency)
    printed = price.quantize(_MICRO)
    if to_minor(quantity * printed, terms.currency) != minor:
        quantity, unit, printed = _ONE, "each", amount
    step = Step(
        "amount", float(amount), terms.currency, "quantity x price, rounded half up to the minor unit",
        (
            Input("quantity", float(quantity), unit),
            Input("price", float(printed), f"{terms.currency} per {unit}"),
        ),
        "the rental terms",
    )  # fmt: skip
    return Charge(part, words, quantity, unit, "by the rental terms", printed, minor, (*steps, step))


def _number(value: Decimal | int) -> str:
    return f"{Decimal(value).normalize():f}"


def _rental_terms(terms: Terms, currency: str) -> RentalTerms:
    rates: list[Rate] = [
        PeriodRate(one.name, one.days, one.price, one.included_hours, one.over_hour_price)
        for one in terms.periods
    ]
    if terms.hourly is not None:
        rates.append(HourRate(terms.hourly.price, terms.hourly.least_hours_a_day))
    fuel = terms.fuel
    return RentalTerms(
        currency, tuple(rates), terms.delivery, terms.pick_up, terms.damage_waiver_percent,
        Fuel(fuel.use_per_hour, fuel.unit, fuel.price) if fuel is not None else None,
    )  # fmt: skip
