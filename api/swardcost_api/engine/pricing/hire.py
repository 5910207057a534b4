"""Machines hired for several scope items: how many, in which stays, and what each item has to bear of the hire."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from decimal import ROUND_CEILING, Decimal

from swardcost_model import price_terms
from swardcost_model.values import CURRENCY_DIGITS, from_minor

from swardcost_api.engine.derivation import Derivation, Input, Step
from swardcost_api.engine.pricing.bought import in_words
from swardcost_api.engine.pricing.charge import Charge
from swardcost_api.engine.pricing.hire_charges import charges_of_stay, shares_of_stay
from swardcost_api.engine.pricing.rental import MAX_DAYS, RentalCost, cheapest_rental, least_time_charges
from swardcost_api.engine.pricing.rental_terms import RentalTerms

LAST_START = date(9000, 1, 1)
"""Needs that start later are a mistake, and the calendar ends soon after."""

_ZERO = Decimal(0)
_SATURDAY = 5


@dataclass(frozen=True, slots=True)
class Need:
    """Running hours of a machine for one scope item, and the dates between which it is worked on.

    Hours of zero need no machine.
    """

    key: str
    hours: Decimal
    starts_on: date
    ends_on: date


@dataclass(frozen=True, slots=True)
class Hired:
    """What is hired for one need: machine (0 for none), dates at work, working days past its end, its charges."""

    key: str
    machine: int
    dates: tuple[date, ...]
    overrun: int
    charges: tuple[Charge, ...]

    @property
    def amount_minor(self) -> int:
        """What the need bears, in minor units."""
        return sum(charge.amount_minor for charge in self.charges)


@dataclass(frozen=True, slots=True)
class Stay:
    """A machine from its delivery to its pick-up: the needs it serves, in the order of their dates, and its cost."""

    machine: int
    keys: tuple[str, ...]
    cost: RentalCost


@dataclass(frozen=True, slots=True)
class Hire:
    """The hire of as many machines as the needs take at once.

    `needs` are in the order given. Days are machine-days: rented days are paid for, working days are those on
    which a need has hours, idle days the rest. The amounts of the needs sum to `total_minor`, and so do the stays.
    """

    needs: tuple[Hired, ...]
    stays: tuple[Stay, ...]
    machines: int
    rented_days: int
    working_days: int
    idle_days: int
    cover: str
    total_minor: int
    currency: str
    steps: Derivation = field(repr=False, compare=False)

    @property
    def overrun(self) -> dict[str, int]:
        """Working days past its end, for each need that does not fit between its dates."""
        return {one.key: one.overrun for one in self.needs if one.overrun}


@dataclass(frozen=True, slots=True)
class _Dated:
    """A need with its hours on each date, and the steps to its days."""

    need: Need
    hours: Mapping[date, Decimal]
    overrun: int
    steps: Derivation

    @property
    def first(self) -> date:
        return min(self.hours)

    @property
    def last(self) -> date:
        return max(self.hours)


@dataclass(frozen=True, slots=True)
class DaysAtWork:
    """The dates on which a need is at work, as early as can be; none where it has no hours."""

    key: str
    dates: tuple[date, ...]


def days_at_work(needs: Sequence[Need], terms: price_terms.RentalTerms) -> tuple[tuple[DaysAtWork, ...], int]:
    """The days of each need as `price_hire` takes them, whatever the rates, and how many machines are at work at once.

    Raises `ValueError` for figures that make no sense.
    """
    dated = [_dated(need, terms) for need in needs]
    machines = len(_machines([one for one in dated if one.hours]))
    return tuple(DaysAtWork(one.need.key, tuple(one.hours)) for one in dated), machines


def price_hire(needs: Sequence[Need], terms: price_terms.RentalTerms, currency: str) -> Hire:
    """Hire machines for these needs at the least cost, and say what each need bears of it.

    ::

        working days of a need = hours / hours a day, rounded up: from its start on, one after another
        machines = most needs at work on one date; each serves needs that share no date
        stays of a machine = the least sum over all ways to keep it, or send it away, between its needs

    Needs are taken by their first date; a need goes to the machine that was freed last. A stay that serves one
    need is charged to it in full, line by line. A stay that serves several is shared over them by running
    hours, in whole minor units by largest remainder.

    Working days are Monday to Friday, and the weekend where the terms say that it is worked. A need that does
    not fit between its dates goes on after its end, and `overrun` says for how many working days.

    Limits: those of `cheapest_rental`. A need works its hours as early as it can, and needs are not moved to
    spare a machine. Each machine is delivered and picked up once a stay. Stays are chosen exactly for the
    machines as they are; other ways to deal the needs out to as many machines are not compared.

    Raises `ValueError` for no needs, a key used twice, or figures that make no sense.

    References
    ----------
    Fewest machines: interval partitioning, greedy by start (Kleinberg and Tardos, Algorithm Design, 4.1). Stays:
    Bellman, Dynamic Programming, 1957. Largest remainder: Hamilton's apportionment. Terms: common practice.
    """
    if currency not in CURRENCY_DIGITS:
        raise ValueError(f"currency: expected one of {', '.join(sorted(CURRENCY_DIGITS))}; got {currency!r}")
    if not needs:
        raise ValueError("needs: expected at least one")
    if len({need.key for need in needs}) < len(needs):
        raise ValueError("needs: expected each with a key of its own")
    hired = RentalTerms.of_price_list(terms, currency)
    dated = [_dated(need, terms) for need in needs]
    stays: list[Stay] = []
    charges: dict[str, tuple[Charge, ...]] = {}
    machine_of: dict[str, int] = {}
    machines = _machines([one for one in dated if one.hours])
    for machine, served in enumerate(machines, 1):
        for group in _stays(served, hired):
            stay = _stay(machine, group, hired)
            stays.append(stay)
            charges |= _charges(stay, group, hired)
            machine_of |= dict.fromkeys(stay.keys, machine)
    return _hire(
        [
            Hired(
                one.need.key, machine_of.get(one.need.key, 0), tuple(one.hours), one.overrun,
                charges.get(one.need.key, ()),
            )
            for one in dated
        ],
        stays, [_in_one_stay(served, hired) for served in machines], currency,
    )  # fmt: skip


def _dated(need: Need, terms: price_terms.RentalTerms) -> _Dated:
    """The hours of a need on its working days, as early as they can be."""
    name, a_day = f"hours of {need.key}", terms.hours_a_day
    if not need.hours.is_finite() or need.hours < 0:
        raise ValueError(f"{name}: expected zero or more; got {need.hours}")
    if need.hours > a_day * MAX_DAYS:
        raise ValueError(f"{name}: expected at most {MAX_DAYS:,} days of {a_day}; got {need.hours}")
    if need.starts_on > need.ends_on:
        raise ValueError(
            f"dates of {need.key}: expected an end on or after {need.starts_on}; got {need.ends_on}"
        )
    if need.starts_on >= LAST_START:
        raise ValueError(f"dates of {need.key}: expected a start before {LAST_START}; got {need.starts_on}")
    count = int((need.hours / a_day).to_integral_value(ROUND_CEILING))
    hours: dict[date, Decimal] = {}
    left = need.hours
    for day in _working_days(need.starts_on, count, terms.works_weekends):
        hours[day] = min(left, a_day)
        left -= hours[day]
    if hours and (days := (max(hours) - min(hours)).days + 1) > MAX_DAYS:
        raise ValueError(f"{name}: expected at most {MAX_DAYS:,} days from first to last; got {days:,}")
    step = Step(
        "days at work", float(count), "work_day", "hours / hours a day, rounded up",
        (Input("hours", float(need.hours), "hour"), Input("hours a day", float(a_day), "hour")),
        f"the rental terms; working days from {need.starts_on} on",
    )  # fmt: skip
    return _Dated(need, hours, sum(day > need.ends_on for day in hours), (step,))


def _working_days(first: date, count: int, weekends: bool) -> Iterator[date]:
    day = first
    while count:
        if weekends or day.weekday() < _SATURDAY:
            yield day
            count -= 1
        day += timedelta(1)


def _machines(needs: Sequence[_Dated]) -> list[list[_Dated]]:
    """The needs of each machine: as few machines as there are needs at work at once."""
    machines: list[list[_Dated]] = []
    for one in sorted(needs, key=lambda one: (one.first, one.last, one.need.key)):
        free = [served for served in machines if served[-1].last < one.first]
        if free:
            max(free, key=lambda served: served[-1].last).append(one)
        else:
            machines.append([one])
    return machines


def _stays(served: Sequence[_Dated], terms: RentalTerms) -> list[Sequence[_Dated]]:
    """The stays of a machine with the least total, and the fewest of them where several cost the same."""
    best: list[tuple[int, int]] = [(0, 0)]
    starts: list[int] = []
    for end in range(1, len(served) + 1):
        options = [
            (best[start][0] + cost, best[start][1] + 1, start)
            for start, cost in _costs_of_stays_ending_with(served[:end], terms)
        ]
        cost, stays, start = min(options)
        best.append((cost, stays))
        starts.append(start)
    groups: list[Sequence[_Dated]] = []
    end = len(served)
    while end:
        groups.append(served[starts[end - 1] : end])
        end = starts[end - 1]
    return groups[::-1]


def _costs_of_stays_ending_with(served: Sequence[_Dated], terms: RentalTerms) -> Iterator[tuple[int, int]]:
    """For each stay that ends with the last of these needs: where it starts among them, and its total."""
    last = served[-1].last
    reached = [start for start, one in enumerate(served) if (last - one.first).days < MAX_DAYS]
    first = served[reached[0]].first
    hours = [_ZERO] * ((last - first).days + 1)
    for one in served[reached[0] :]:
        for day, used in one.hours.items():
            hours[(day - first).days] = used
    least = least_time_charges(hours, terms)
    for start in reached:
        running = sum((one.need.hours for one in served[start:]), _ZERO)
        yield start, terms.total_minor(least[(served[start].first - first).days], running)


def _in_one_stay(served: Sequence[_Dated], terms: RentalTerms) -> int | None:
    """What a machine costs that is delivered once for all its needs; `None` where that is too long to look at."""
    costs = dict(_costs_of_stays_ending_with(served, terms))
    return costs.get(0)


def _stay(machine: int, group: Sequence[_Dated], terms: RentalTerms) -> Stay:
    hours = {day: used for one in group for day, used in one.hours.items()}
    return Stay(
        machine, tuple(one.need.key for one in group), cheapest_rental(hours_by_date=hours, terms=terms)
    )


def _charges(stay: Stay, group: Sequence[_Dated], terms: RentalTerms) -> dict[str, tuple[Charge, ...]]:
    """The charges of a stay for each of its needs: all of them, or a share."""
    if len(group) == 1:
        return {group[0].need.key: charges_of_stay(stay.cost, terms, group[0].steps)}
    shares = shares_of_stay(
        stay.cost, stay.machine, [one.need.hours for one in group], [one.steps for one in group]
    )
    return {key: (share,) for key, share in zip(stay.keys, shares, strict=True)}


def _hire(
    needs: Sequence[Hired], stays: Sequence[Stay], throughout: Sequence[int | None], currency: str
) -> Hire:
    costs = [stay.cost for stay in stays]
    total = sum(cost.total_minor for cost in costs)
    words, names, steps = [], [], []
    for machine, alternative in enumerate(throughout, 1):
        own = [cost for stay, cost in zip(stays, costs, strict=True) if stay.machine == machine]
        cover = ", sent away, ".join(cost.cover for cost in own)
        words.append(cover if len(throughout) == 1 else f"machine {machine}: {cover}")
        names.append(
            Input(
                f"machine {machine}", float(from_minor(sum(c.total_minor for c in own), currency)), currency
            )
        )
        steps.append(_step_of_machine(names[-1], own, alternative, currency))
    steps.append(
        Step(
            "total", float(from_minor(total, currency)), currency, " + ".join(one.name for one in names) or "0",
            tuple(names), "arithmetic",
        )
    )  # fmt: skip
    return Hire(
        tuple(needs), tuple(stays), len(throughout), sum(cost.rented_days for cost in costs),
        sum(cost.working_days for cost in costs), sum(cost.idle_days for cost in costs), "; ".join(words), total,
        currency, tuple(steps),
    )  # fmt: skip


def _step_of_machine(
    machine: Input, own: Sequence[RentalCost], throughout: int | None, currency: str
) -> Step:
    source = "stays chosen for the least cost"
    if len(own) > 1 and throughout is not None:
        amount = in_words(from_minor(throughout, currency))
        source = f"{source}; kept from first to last it would cost {amount} {currency}"
    inputs = tuple(
        Input(f"stay [{number}]", float(from_minor(cost.total_minor, currency)), currency)
        for number, cost in enumerate(own, 1)
    )
    return Step(machine.name, machine.value, currency, " + ".join(one.name for one in inputs), inputs, source)
