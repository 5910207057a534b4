"""Discounting: the worth today of money that is spent or saved in later years.

Two ways of counting are kept apart and give one present value. In money of the base year, prices stay as they
are today, but for what they rise above inflation, and the real rate discounts them; in current money prices rise
with inflation and the nominal rate discounts them::

    1 + nominal = (1 + real) x (1 + inflation)

Factors are decimals, computed to 40 digits and rounded half up to 10 places, as they are printed.

References
----------
NIST Handbook 135, Life-Cycle Costing Manual (formulas from memory): single present value, uniform present value
with and without escalation, uniform capital recovery. The calendar of a study has year 0 as its base date.
"""

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Context, Decimal, localcontext
from typing import Literal

from swardcost_model.values import CURRENCY_DIGITS

from swardcost_api.engine.derivation import Derivation, Input, Step

RateKind = Literal["real", "nominal"]
MoneyKind = Literal["base_year", "current"]
GrowthKind = Literal["above_inflation", "of_its_own"]
"""`above_inflation`: on top of inflation, zero for prices that rise as all others; `of_its_own`: all of the rise."""
Timing = Literal["end_of_year", "mid_year"]
"""When the yearly amounts of a year fall due; what happens at a stated year always falls at its end."""

LONGEST_STUDY = 100
FACTOR_PLACES = Decimal("0.0000000001")
SOURCE = "NIST Handbook 135, from memory"
_LARGEST_PERCENT = Decimal(100)
_LEAST_PERCENT = Decimal(-50)
_WIDE = Context(prec=40, rounding=ROUND_HALF_UP)
_HALF = Decimal("0.5")


@dataclass(frozen=True, slots=True)
class Growth:
    """A yearly change of price in percent, zero or not, compounded; above inflation or of its own."""

    percent: Decimal = Decimal(0)
    kind: GrowthKind = "above_inflation"

    def __post_init__(self) -> None:
        _checked_percent("growth", self.percent)


@dataclass(frozen=True, slots=True)
class DiscountTerms:
    """How a study counts: years, rate in percent a year, money, inflation, timing and currency.

    `rate_kind` says what the stated rate is, `money` in which money amounts are printed and discounted. Inflation may
    be left out (`None`) where nothing has to be converted; it is never taken to be zero.

    Raises `ValueError` for a study of other than 1 to 100 years, percentages outside -50 to 100, an unknown
    currency, or a rate that must be converted without an inflation to do it by.
    """

    years: int
    rate_percent: Decimal
    currency: str
    rate_kind: RateKind = "real"
    money: MoneyKind = "base_year"
    inflation_percent: Decimal | None = None
    timing: Timing = "end_of_year"

    def __post_init__(self) -> None:
        if isinstance(self.years, bool) or not 1 <= self.years <= LONGEST_STUDY:
            raise ValueError(f"years: expected a study of 1 to {LONGEST_STUDY} years; got {self.years!r}")
        if self.currency not in CURRENCY_DIGITS:
            raise ValueError(f"currency: expected one of {', '.join(sorted(CURRENCY_DIGITS))}")
        _checked_percent("discount rate", self.rate_percent)
        if self.inflation_percent is not None:
            _checked_percent("inflation", self.inflation_percent)
        if self.converts:
            self._inflation("a nominal rate in money of the base year, or a real one in current money")

    @property
    def converts(self) -> bool:
        """Whether the stated rate is of the other kind than the money that it discounts."""
        return (self.rate_kind == "nominal") != (self.money == "current")

    @property
    def money_rate_kind(self) -> RateKind:
        """The kind of rate that belongs to the money: real for money of the base year."""
        return "nominal" if self.money == "current" else "real"

    @property
    def money_rate(self) -> Decimal:
        """The rate that discounts the amounts printed, as a share (0.03 for 3 percent)."""
        with localcontext(_WIDE):
            stated = 1 + self.rate_percent / 100
            if not self.converts:
                return stated - 1
            inflation = self._inflation("the rate")
            return (stated / inflation if self.rate_kind == "nominal" else stated * inflation) - 1

    def due(self, year: int) -> Decimal:
        """When the yearly amounts of a year fall due, in years from the base date."""
        return Decimal(year) - _HALF if self.timing == "mid_year" else Decimal(year)

    def price_factor(self, growth: Growth, time: Decimal) -> Decimal:
        """What a price of today has become at `time` (years), in the money of the study, to 10 places.

        Raises `ValueError` where inflation is needed and not known.
        """
        with localcontext(_WIDE):
            rise = 1 + growth.percent / 100
            if growth.kind == "above_inflation" and self.money == "current":
                rise *= self._inflation("prices above inflation in current money")
            elif growth.kind == "of_its_own" and self.money == "base_year":
                rise /= self._inflation("growth of its own in money of the base year")
            return _printed(rise**time)

    def present_factor(self, time: Decimal) -> Decimal:
        """What one unit of money at `time` (years) is worth at the base date, to 10 places."""
        return single_present_value(self.money_rate, time)

    def recovery_factor(self) -> Decimal:
        """The even payment at each year's end that is worth one unit at the base date, to 10 places."""
        return uniform_capital_recovery(self.money_rate, self.years)

    @property
    def steps(self) -> Derivation:
        """The rate used, where it is not the one stated."""
        if not self.converts or self.inflation_percent is None:
            return ()
        wanted, had = self.money_rate_kind, f"{self.rate_kind} rate"
        turned = (
            f"(1 + {had}) / (1 + inflation) - 1" if wanted == "real" else f"(1 + {had}) x (1 + inflation) - 1"
        )
        return (
            Step(
                f"{wanted} rate", float(self.money_rate * 100), "percent", turned,
                (
                    Input(had, float(self.rate_percent), "percent"),
                    Input("inflation", float(self.inflation_percent), "percent"),
                ),
                SOURCE,
            ),
        )  # fmt: skip

    def _inflation(self, needed_for: str) -> Decimal:
        if self.inflation_percent is None:
            raise ValueError(f"inflation: expected a percentage, which is needed for {needed_for}; got none")
        return 1 + self.inflation_percent / 100


def single_present_value(rate: Decimal, time: Decimal) -> Decimal:
    """SPV, ``1 / (1 + rate)^time``, to 10 places; `rate` as a share a year, `time` in years."""
    with localcontext(_WIDE):
        return _printed((1 + rate) ** -time)


def uniform_present_value(rate: Decimal, years: int) -> Decimal:
    """UPV, ``((1 + rate)^years - 1) / (rate x (1 + rate)^years)``, to 10 places; `years` at a rate of zero."""
    return escalating_present_value(rate, Decimal(0), years)


def escalating_present_value(rate: Decimal, growth: Decimal, years: int) -> Decimal:
    """UPV*, the present value of an amount that grows from the base date on, to 10 places.

    ::

        (1 + growth) / (rate - growth) x (1 - ((1 + growth) / (1 + rate))^years)

    and `years` where growth and rate are equal. The first year's amount has grown by one year already.
    """
    with localcontext(_WIDE):
        if rate == growth:
            return _printed(Decimal(years))
        return _printed((1 + growth) / (rate - growth) * (1 - ((1 + growth) / (1 + rate)) ** years))


def uniform_capital_recovery(rate: Decimal, years: int) -> Decimal:
    """UCR, ``rate x (1 + rate)^years / ((1 + rate)^years - 1)``, to 10 places; ``1 / years`` at a rate of zero."""
    with localcontext(_WIDE):
        if rate == 0:
            return _printed(Decimal(1) / years)
        return _printed(rate / (1 - (1 + rate) ** -years))


def _printed(factor: Decimal) -> Decimal:
    return factor.quantize(FACTOR_PLACES, ROUND_HALF_UP)


def _checked_percent(name: str, percent: Decimal) -> None:
    if not (percent.is_finite() and _LEAST_PERCENT <= percent <= _LARGEST_PERCENT):
        raise ValueError(
            f"{name}: expected {_LEAST_PERCENT} to {_LARGEST_PERCENT} percent a year; got {percent}"
        )
