"""What wages cost on top: payroll taxes, insurance and the like; and what own staff costs in new money."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from swardcost_api.engine.derivation import Derivation
from swardcost_api.engine.pricing.labor import WeekPay
from swardcost_api.engine.pricing.money_working import MoneyWorking

_ZERO = Decimal(0)


@dataclass(frozen=True, slots=True)
class PercentItem:
    """A percentage of wages, such as a payroll tax.

    `base_by_year` holds the most that is charged of one person's wages in a calendar year, for each year
    that is known; `None` means all wages. Bases change yearly, so they are data with their year.
    """

    name: str
    percent: Decimal
    base_by_year: Mapping[int, Decimal] | None = None
    source: str = "the club's payroll"

    def charged_wages(self, wages: Decimal, earned_before: Decimal, year: int) -> Decimal:
        """The part of wages that is below the base of the year. Raises `ValueError` for a year not given."""
        if self.base_by_year is None:
            return wages
        if year not in self.base_by_year:
            known = ", ".join(map(str, sorted(self.base_by_year))) or "none"
            raise ValueError(f"{self.name}: expected a wage base for {year}; given are {known}")
        return min(wages, max(self.base_by_year[year] - earned_before, _ZERO))


@dataclass(frozen=True, slots=True)
class HourItem:
    """An amount for each hour paid, such as an insurance by the hour."""

    name: str
    per_h: Decimal
    source: str = "the club's payroll"


BurdenItem = PercentItem | HourItem


@dataclass(frozen=True, slots=True)
class BurdenLine:
    """One item of burden: what it is charged on (wages, or hours) and its amount in minor units."""

    name: str
    charged_on: Decimal
    amount_minor: int


@dataclass(frozen=True, slots=True)
class Burden:
    """The burden on wages, by item; `total_minor` sums the lines."""

    lines: tuple[BurdenLine, ...]
    total_minor: int
    currency: str
    steps: Derivation = field(repr=False, compare=False)


def burden_on_wages(
    *,
    wages: Decimal,
    hours: Decimal,
    earned_before: Decimal,
    year: int,
    items: Sequence[BurdenItem],
    currency: str,
) -> Burden:
    """Burden on one person's wages: each item on its own line.

    ::

        percentage: min(wages, max(base of the year - earned before, 0)) x percent / 100
        by the hour: hours x price

    `earned_before` is what the person has earned earlier in the calendar year. Amounts are rounded half up
    to the minor unit.

    Limits: the employer's part alone. Wages and bases are one person's; a crew is the sum of its people.

    Raises `ValueError` for a wage base that is not known for the year, a name used twice, or figures below
    zero.

    References
    ----------
    IRS Publication 15 (social security 6.2 % up to the year's wage base, 168,600 in 2024; Medicare 1.45 % of
    all wages; federal unemployment tax 6.0 % of the first 7,000 before credits).
    """
    work = MoneyWorking(currency)
    if len({item.name for item in items}) < len(items):
        raise ValueError("items: expected each with a name of its own")
    work.price("wages", wages)
    work.given("hours", hours, "hour", zero=True)
    work.price("earned before", earned_before)
    lines = tuple(_line(work, item, wages, hours, earned_before, year) for item in items)
    total = sum(line.amount_minor for line in lines)
    # Names of items are a club's own words; with a word before them, none of them is taken for another figure.
    names = [_step_of(line.name) for line in lines]
    work.amount("burden", work.major(total), " + ".join(names) or "0", *names)
    return Burden(lines, total, currency, work.steps)


def _step_of(name: str) -> str:
    return f"burden of {name}"


def _line(
    work: MoneyWorking, item: BurdenItem, wages: Decimal, hours: Decimal, earned_before: Decimal, year: int
) -> BurdenLine:
    if isinstance(item, HourItem):
        price = f"price of {item.name}"
        work.price(price, item.per_h, "hour")
        amount = work.amount(
            _step_of(item.name), hours * item.per_h, f"hours x {price}", "hours", price, source=item.source
        )
        return BurdenLine(item.name, hours, amount)
    rate = f"rate of {item.name}"
    work.given(rate, item.percent, "percent", zero=True)
    charged, on = item.charged_wages(wages, earned_before, year), "wages"
    if item.base_by_year is not None:
        base, on = f"{year} base of {item.name}", f"wages under the base of {item.name}"
        work.price(base, item.base_by_year[year])
        work.figure(
            on, charged, work.currency, f"min(wages, max({base} - earned before, 0))", "wages", base,
            "earned before", source=item.source,
        )  # fmt: skip
    amount = work.amount(
        _step_of(item.name), charged * item.percent / 100, f"{on} x {rate} / 100", on, rate,
        source=item.source,
    )  # fmt: skip
    return BurdenLine(item.name, charged, amount)


@dataclass(frozen=True, slots=True)
class StaffCost:
    """What own staff costs in a workweek, in minor units: in full, and in money beyond the operating budget.

    What is in the budget is straight time, fringe benefits and the burden on both.
    """

    full_minor: int
    in_budget_minor: int
    cash_minor: int
    straight_in_budget_minor: int
    fringe_in_budget_minor: int
    burden: Burden
    burden_in_budget: Burden
    currency: str
    steps: Derivation = field(repr=False, compare=False)


def own_staff_cost(
    *, pay: WeekPay, hours_in_budget: Decimal, earned_before: Decimal, year: int, items: Sequence[BurdenItem]
) -> StaffCost:
    """Full cost of own staff, and the part that the operating budget does not hold already.

    ::

        full cost = pay + burden on all wages
        in the budget = share of straight time and fringe benefits + burden on that share of the wages
        cash cost = full cost - in the budget;    share = min(hours in the budget / hours, 1)

    `hours_in_budget` are the hours of this workweek that the operating budget pays in any case. Premium and
    overtime pay are new money.

    Limits: hours in the budget are taken at the average of the week's rates. What the crew leaves undone
    meanwhile is not priced.

    Raises `ValueError` as `burden_on_wages` does, or for hours below zero.

    References
    ----------
    Relevant (avoidable) cost, cost accounting texts; common practice.
    """
    work = MoneyWorking(pay.currency)
    work.given("hours", pay.hours, "hour")
    work.given("hours in the budget", hours_in_budget, "hour", zero=True)
    share = work.figure(
        "share in the budget", min(hours_in_budget / pay.hours, Decimal(1)), "ratio",
        "min(hours in the budget / hours, 1)", "hours in the budget", "hours",
    )  # fmt: skip

    def burden(wages_minor: int, hours: Decimal) -> Burden:
        return burden_on_wages(
            wages=work.major(wages_minor), hours=hours, earned_before=earned_before, year=year, items=items,
            currency=pay.currency,
        )  # fmt: skip

    work.price("pay", work.major(pay.total_minor))
    burden_in_full = burden(pay.wages_minor, pay.hours)
    work.price("burden", work.major(burden_in_full.total_minor))
    full = pay.total_minor + burden_in_full.total_minor
    work.amount("full cost", work.major(full), "pay + burden", "pay", "burden")

    kept = {"straight time": pay.straight_minor, "fringe benefits": pay.fringe_minor}
    budgeted = {}
    for name, minor in kept.items():
        exact = work.price(name, work.major(minor)) * share
        budgeted[name] = work.amount(
            f"{name} in the budget", exact, f"{name} x share in the budget", name, "share in the budget"
        )
    burden_kept = burden(budgeted["straight time"], pay.hours * share)
    work.price("burden in the budget", work.major(burden_kept.total_minor))
    in_budget = sum(budgeted.values()) + burden_kept.total_minor
    parts = ("straight time in the budget", "fringe benefits in the budget", "burden in the budget")
    work.amount("cost in the budget", work.major(in_budget), " + ".join(parts), *parts)
    cash = full - in_budget
    work.amount(
        "cash cost", work.major(cash), "full cost - cost in the budget", "full cost", "cost in the budget"
    )
    return StaffCost(
        full, in_budget, cash, budgeted["straight time"], budgeted["fringe benefits"], burden_in_full, burden_kept,
        pay.currency, work.steps,
    )  # fmt: skip
