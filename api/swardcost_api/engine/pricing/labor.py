"""Pay of a workweek: straight time, premium days, overtime on the regular rate, fringe benefits outside it.

Written for the federal rules of the United States; where a state or an agreement is more generous, the hours
concerned are given as premium hours with its rule in words.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Literal

from swardcost_api.engine.derivation import Derivation
from swardcost_api.engine.pricing.money_working import MoneyWorking

HOURS_BEFORE_OVERTIME = Decimal(40)
OVERTIME_MULTIPLIER = Decimal("1.5")
HOURS_IN_A_WEEK = Decimal(168)
RULE = "29 CFR 778.107 to 778.115"
EXCLUDED = (
    "29 CFR 778.203: extra pay of at least one half is outside the regular rate and counts as overtime pay"
)

PERIODS_A_YEAR = {"week": 52, "two_weeks": 26, "half_month": 24, "month": 12, "year": 1}
PayPeriod = Literal["week", "two_weeks", "half_month", "month", "year"]

_ZERO = Decimal(0)
_ONE = Decimal(1)


@dataclass(frozen=True, slots=True)
class HoursWorked:
    """Hours of one person in one workweek at one hourly rate.

    `multiplier` above 1 marks premium hours (Sundays, holidays, nights) by the rule that `rule` states.
    `fringe_per_h` is paid for every hour and stays outside the overtime base. `base_at_least` is the lowest
    rate that overtime may rest on, as a wage determination sets it. Piece work has a rate of zero here.
    """

    rate_per_h: Decimal
    hours: Decimal
    fringe_per_h: Decimal = _ZERO
    multiplier: Decimal = _ONE
    base_at_least: Decimal = _ZERO
    rule: str = ""

    @property
    def extra_is_excluded(self) -> bool:
        """Whether the extra pay is large enough to stay out of the regular rate."""
        return self.multiplier >= OVERTIME_MULTIPLIER


@dataclass(frozen=True, slots=True)
class WeekPay:
    """The pay of a workweek, in minor units; `total_minor` sums the parts, `wages_minor` leaves out fringe."""

    hours: Decimal
    overtime_hours: Decimal
    regular_rate: Decimal
    straight_minor: int
    premium_minor: int
    overtime_minor: int
    fringe_minor: int
    currency: str
    steps: Derivation = field(repr=False, compare=False)

    @property
    def wages_minor(self) -> int:
        """Straight time, premium and overtime pay."""
        return self.straight_minor + self.premium_minor + self.overtime_minor

    @property
    def total_minor(self) -> int:
        """Wages and fringe benefits."""
        return self.wages_minor + self.fringe_minor


def week_pay(*, worked: Sequence[HoursWorked], currency: str, other_earnings: Decimal = _ZERO) -> WeekPay:
    """Pay of one person for one workweek.

    ::

        regular rate = (hours x rate, summed, + other earnings) / hours        weighted average
        overtime pay = 0.5 x regular rate x hours over 40, beside straight time for all hours
        premium pay  = (multiplier - 1) x rate x premium hours

    `other_earnings` are piece work, a bonus or a salary that covers all hours. Premium pay of at least one
    half is left out of the regular rate and credited against overtime pay; smaller extras are part of the
    rate and not credited. Each amount is rounded half up to the minor unit.

    Limits: every workweek stands alone, weeks are never averaged. No daily overtime: state it as premium
    hours. Not for exempt staff. At most 168 hours.

    Raises `ValueError` for no hours, more than a week holds, or figures that make no sense.

    References
    ----------
    29 CFR 778.110 (hourly rate), .111 (piece work), .114 (fluctuating week), .115 (two or more rates), .201
    to .203 (premium pay), 29 CFR 5.32 (fringe benefits and the basic rate); US DOL Fact Sheet 23.
    """
    if not worked:
        raise ValueError("hours worked: expected at least one entry")
    work = MoneyWorking(currency)
    for number, entry in enumerate(worked, 1):
        _take_in(work, number, entry)
    hours = _hours(work, worked)
    straight = _straight(work, worked, other_earnings)
    premium, credit = _premium(work, worked)
    regular = _regular_rate(work, worked, other_earnings, hours)
    over = max(hours - HOURS_BEFORE_OVERTIME, _ZERO)
    work.figure(
        "overtime hours", over, "hour", f"max(hours - {HOURS_BEFORE_OVERTIME}, 0)", "hours", source=RULE
    )
    overtime = work.amount(
        "overtime pay", max((OVERTIME_MULTIPLIER - 1) * regular * over - work.major(credit), _ZERO),
        f"max({OVERTIME_MULTIPLIER - 1} x overtime base x overtime hours - premium pay credited, 0)",
        "overtime base", "overtime hours", "premium pay credited", source=RULE,
    )  # fmt: skip
    fringe = _fringe(work, worked)
    parts = ("straight time", "premium pay", "overtime pay", "fringe benefits")
    work.amount(
        "pay of the week", work.major(straight + premium + overtime + fringe), " + ".join(parts), *parts
    )
    return WeekPay(hours, over, regular, straight, premium, overtime, fringe, currency, work.steps)


def _take_in(work: MoneyWorking, number: int, entry: HoursWorked) -> None:
    work.price(f"rate [{number}]", entry.rate_per_h, "hour")
    work.given(f"hours [{number}]", entry.hours, "hour", zero=True)
    work.price(f"fringe [{number}]", entry.fringe_per_h, "hour")
    work.price(f"least overtime base [{number}]", entry.base_at_least, "hour")
    work.given(f"multiplier [{number}]", entry.multiplier, "ratio")
    if entry.multiplier < 1:
        raise ValueError(f"multiplier [{number}]: expected 1 or more; got {entry.multiplier}")
    if entry.multiplier > 1 and not entry.rule.strip():
        raise ValueError(f"multiplier [{number}]: expected the rule for premium hours in words")


def _hours(work: MoneyWorking, worked: Sequence[HoursWorked]) -> Decimal:
    hours = sum((entry.hours for entry in worked), _ZERO)
    if not 0 < hours <= HOURS_IN_A_WEEK:
        raise ValueError(
            f"hours: expected more than 0 and at most {HOURS_IN_A_WEEK} in a workweek; got {hours}"
        )
    names = [f"hours [{number}]" for number in range(1, len(worked) + 1)]
    return work.figure("hours", hours, "hour", " + ".join(names), *names)


def _straight(work: MoneyWorking, worked: Sequence[HoursWorked], other_earnings: Decimal) -> int:
    """Straight time at each rate, on its own line, and the other earnings."""
    total, names = 0, []
    for number, entry in enumerate(worked, 1):
        names.append(f"straight time [{number}]")
        total += work.amount(
            names[-1], entry.hours * entry.rate_per_h, f"hours [{number}] x rate [{number}]",
            f"hours [{number}]", f"rate [{number}]",
        )  # fmt: skip
    work.price("earnings by the piece or period", other_earnings)
    total += work.amount(
        "other earnings", other_earnings, "earnings by the piece or period", "earnings by the piece or period"
    )
    names.append("other earnings")
    return work.amount("straight time", work.major(total), " + ".join(names), *names)


def _premium(work: MoneyWorking, worked: Sequence[HoursWorked]) -> tuple[int, int]:
    """Extra pay of premium hours, and the part of it that counts towards overtime pay."""
    names: list[str] = []
    credited: list[str] = []
    total = credit = 0
    for number, entry in enumerate(worked, 1):
        if entry.multiplier == 1:
            continue
        names.append(f"premium pay [{number}]")
        amount = work.amount(
            names[-1], (entry.multiplier - 1) * entry.rate_per_h * entry.hours,
            f"(multiplier [{number}] - 1) x rate [{number}] x hours [{number}]",
            f"multiplier [{number}]", f"rate [{number}]", f"hours [{number}]", source=entry.rule,
        )  # fmt: skip
        total += amount
        if entry.extra_is_excluded:
            credited.append(names[-1])
            credit += amount
    work.amount("premium pay", work.major(total), " + ".join(names) or "0", *names)
    work.amount(
        "premium pay credited", work.major(credit), " + ".join(credited) or "0", *credited, source=EXCLUDED
    )
    return total, credit


def _regular_rate(
    work: MoneyWorking, worked: Sequence[HoursWorked], other_earnings: Decimal, hours: Decimal
) -> Decimal:
    """The weighted average rate that overtime rests on, unrounded."""
    terms = ["earnings by the piece or period"]
    names = ["earnings by the piece or period"]
    earned = other_earnings
    for number, entry in enumerate(worked, 1):
        included = _ONE if entry.extra_is_excluded else entry.multiplier
        earned += entry.hours * max(entry.rate_per_h * included, entry.base_at_least)
        names += [f"hours [{number}]", f"rate [{number}]", f"least overtime base [{number}]"]
        rate = f"rate [{number}]"
        if included > 1:
            rate, names = f"{rate} x multiplier [{number}]", [*names, f"multiplier [{number}]"]
        terms.append(f"hours [{number}] x max({rate}, least overtime base [{number}])")
    return work.figure(
        "overtime base", earned / hours, f"{work.currency} per hour", f"({' + '.join(terms)}) / hours", *names,
        "hours", source="29 CFR 778.115, weighted average; 29 CFR 5.32, not below the basic rate",
    )  # fmt: skip


def _fringe(work: MoneyWorking, worked: Sequence[HoursWorked]) -> int:
    total, names = 0, []
    for number, entry in enumerate(worked, 1):
        names.append(f"fringe benefits [{number}]")
        total += work.amount(
            names[-1], entry.hours * entry.fringe_per_h, f"hours [{number}] x fringe [{number}]",
            f"hours [{number}]", f"fringe [{number}]", source="29 CFR 5.32: outside the overtime base",
        )  # fmt: skip
    return work.amount("fringe benefits", work.major(total), " + ".join(names), *names)


@dataclass(frozen=True, slots=True)
class SalaryRate:
    """The hourly rates that a salary stands for, unrounded."""

    weekly: Decimal
    regular_rate: Decimal
    overtime_rate: Decimal
    steps: Derivation = field(repr=False, compare=False)


def rate_of_salary(
    *, salary: Decimal, period: PayPeriod, hours_covered_per_week: Decimal, currency: str
) -> SalaryRate:
    """The hourly rate of a salary that is meant for a fixed number of hours a week.

    ::

        weekly pay = salary x periods a year / 52
        regular rate = weekly pay / hours it covers;    overtime rate = 1.5 x regular rate

    Limits: not for a salary meant for all hours, however many; give that to `week_pay` as other earnings.

    Raises `ValueError` for an unknown period, or hours that a week does not hold.

    Examples
    --------
    >>> paid = rate_of_salary(
    ...     salary=Decimal("182.70"), period="week", hours_covered_per_week=Decimal(35), currency="USD"
    ... )
    >>> print(paid.regular_rate, paid.overtime_rate)
    5.22 7.830

    References
    ----------
    29 CFR 778.113.
    """
    if period not in PERIODS_A_YEAR:
        raise ValueError(f"period: expected one of {', '.join(PERIODS_A_YEAR)}; got {period!r}")
    work = MoneyWorking(currency)
    work.price("salary", salary)
    work.given("hours covered", hours_covered_per_week, "hour")
    if hours_covered_per_week > HOURS_IN_A_WEEK:
        raise ValueError(
            f"hours covered: expected at most {HOURS_IN_A_WEEK} a week; got {hours_covered_per_week}"
        )
    weekly = work.figure(
        "weekly pay", salary * PERIODS_A_YEAR[period] / 52, currency,
        f"salary x {PERIODS_A_YEAR[period]} / 52", "salary", source="29 CFR 778.113",
    )  # fmt: skip
    regular = work.figure(
        "regular rate", weekly / hours_covered_per_week, f"{currency} per hour", "weekly pay / hours covered",
        "weekly pay", "hours covered", source="29 CFR 778.113",
    )  # fmt: skip
    overtime = work.figure(
        "overtime rate", regular * OVERTIME_MULTIPLIER, f"{currency} per hour",
        f"regular rate x {OVERTIME_MULTIPLIER}", "regular rate", source=RULE,
    )  # fmt: skip
    return SalaryRate(weekly, regular, overtime, work.steps)
