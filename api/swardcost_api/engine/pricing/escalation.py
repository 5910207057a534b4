"""Escalation: from the day of a price to the middle of the work, by a yearly rate or by a price index."""

import re
from bisect import bisect_left
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from decimal import ROUND_HALF_UP, Decimal

from swardcost_api.engine.derivation import Derivation, Input, Step
from swardcost_api.engine.pricing.percentage import checked_percent

DAYS_A_YEAR = 365
PERCENT_PLACES = Decimal("0.000001")
LARGEST_PERCENT = Decimal(10**8)
ROUNDED_RATE = ", rounded half up to 0.000001"
NOT_ESCALATED = "not escalated, since the work does not come after the price"

_MONTH = re.compile(r"[0-9]{4}-(0[1-9]|1[0-2])")

Period = tuple[date, date]
"""From the price to the middle of the work, as far apart as the basis tells: days, or first days of months."""


@dataclass(frozen=True, slots=True)
class YearlyRate:
    """Escalation in percent a year, compounded yearly or simple."""

    percent: Decimal
    compound: bool = True


@dataclass(frozen=True, slots=True)
class IndexSeries:
    """A price index by month, ``"2026-03"`` to its value, as its publisher gives it or as the club expects it.

    Raises `ValueError` for a series without values, a month that is none, or a value that is not above zero.
    """

    name: str
    source: str
    values: Mapping[str, Decimal]
    months: tuple[str, ...] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        if not self.values:
            raise ValueError(f"{self.name}: expected an index with the value of at least one month")
        for month, value in self.values.items():
            _month_count(month)
            if not (value.is_finite() and value > 0):
                raise ValueError(f"{self.name}, {month}: expected an index above zero; got {value}")
        object.__setattr__(self, "months", tuple(sorted(self.values)))


Basis = YearlyRate | IndexSeries


@dataclass(frozen=True, slots=True)
class EscalationRate:
    """The percentage by which prices rise over a period, as it is printed; below zero where an index falls."""

    percent: Decimal
    words: str
    steps: Derivation = field(repr=False, compare=False)


@dataclass(frozen=True, slots=True)
class IndexGap:
    """A month that lies beyond an index: lines (by index) that need it are not escalated, and not taken as level."""

    series: str
    month: str
    first: str
    last: str
    lines: tuple[int, ...] = ()

    @property
    def words(self) -> str:
        return f"{self.series} has no index for {self.month}; it runs from {self.first} to {self.last}."


def midpoint(starts_on: date, ends_on: date) -> date:
    """The middle day of the work: half of it is taken to come before, half after.

    References
    ----------
    US GSA P-120 (January 2007), escalation.
    """
    return starts_on + timedelta(days=(ends_on - starts_on).days // 2)


def escalation_percent(
    yearly_percent: Decimal, priced_on: date, work_midpoint: date, compound: bool
) -> Decimal:
    """Escalation from the price date to the mid-point of the work, in percent, unrounded.

    Compound: ``((1 + r) ** years - 1) x 100``; simple: ``r x years x 100``; years are days / 365. Work
    whose mid-point lies before the price date is not escalated.

    References
    ----------
    US GSA P-120 cost guide: from the date of the estimate to the middle of construction, compounding
    yearly. The simple form follows the average-monthly-rate lesson of FEMA IS-1013.
    """
    days = max((work_midpoint - priced_on).days, 0)
    years = Decimal(days) / DAYS_A_YEAR
    rate = yearly_percent / 100
    return ((1 + rate) ** years - 1 if compound else rate * years) * 100


def escalation_period(basis: Basis, priced_on: date, work_midpoint: date) -> Period | None:
    """What an escalation depends on; `None` for work that does not come after its price and is not escalated.

    A yearly rate counts days, an index months: by an index, work in the month of its price has its price.
    """
    if isinstance(basis, IndexSeries):
        priced_on, work_midpoint = priced_on.replace(day=1), work_midpoint.replace(day=1)
    return (priced_on, work_midpoint) if work_midpoint > priced_on else None


def escalation_rate(basis: Basis, period: Period | None) -> EscalationRate | IndexGap:
    """The printed percentage of a period, or the gap where the index does not reach.

    ::

        by a yearly rate: see `escalation_percent`
        by an index:      (index of the month of the mid-point / index of the month of the price - 1) x 100

    The result is rounded half up to 0.000001 percent, and indices are never rounded before. The index of a month
    between two given ones lies on the straight line between them; beyond the first and the last there is none.

    Raises `ValueError` for a rate below zero, or an escalation that cannot be meant.

    References
    ----------
    UFC 3-701-06 (30 March 2006), table 4B: multipliers are ratios of an index. Straight lines between quarters
    or years are common practice.
    """
    if isinstance(basis, YearlyRate):
        checked_percent("escalation", basis.percent)
    if period is None:
        step = Step("escalation rate", 0.0, "percent", "0", (), NOT_ESCALATED)
        return EscalationRate(Decimal(0), NOT_ESCALATED, (step,))
    if isinstance(basis, YearlyRate):
        return _by_yearly_rate(basis, *period)
    return _by_index(basis, *(month_of(day) for day in period))


def month_of(day: date) -> str:
    """The month of a day, as ``"2026-03"``."""
    return day.isoformat()[:7]


def _by_yearly_rate(basis: YearlyRate, priced_on: date, work_midpoint: date) -> EscalationRate:
    percent = _printed(escalation_percent(basis.percent, priced_on, work_midpoint, basis.compound))
    years = "days to the mid-point / 365"
    rise = f"((1 + yearly rate / 100) ^ ({years}) - 1) x 100" if basis.compound else f"yearly rate x {years}"
    step = Step(
        "escalation rate", float(percent), "percent", rise + ROUNDED_RATE,
        (
            Input("yearly rate", float(basis.percent), "percent"),
            Input("days to the mid-point", float((work_midpoint - priced_on).days), "day"),
        ),
        "US GSA P-120 cost guide: to the middle of construction, compounding yearly" if basis.compound
        else "FEMA IS-1013, average rate times time, not compounded",
    )  # fmt: skip
    return EscalationRate(percent, f"{priced_on} to {work_midpoint}", (step,))


def _by_index(series: IndexSeries, priced: str, work: str) -> EscalationRate | IndexGap:
    figures = [_index_of(series, month) for month in (priced, work)]
    for month, figure in zip((priced, work), figures, strict=True):
        if figure is None:
            return IndexGap(series.name, month, series.months[0], series.months[-1])
    (before, steps_before), (then, steps_then) = (one for one in figures if one is not None)
    percent = _printed((then / before - 1) * 100)
    now, later = f"index of {priced}", f"index of {work}"
    step = Step(
        "escalation rate", float(percent), "percent", f"({later} / {now} - 1) x 100{ROUNDED_RATE}",
        (Input(later, float(then), "each"), Input(now, float(before), "each")),
        f"{series.name}, {series.source}",
    )  # fmt: skip
    return EscalationRate(percent, f"{priced} to {work}, {series.name}", (*steps_before, *steps_then, step))


def _index_of(series: IndexSeries, month: str) -> tuple[Decimal, Derivation] | None:
    """The index of a month and the step to it, if it is not given itself; `None` beyond the series."""
    if month in series.values:
        return series.values[month], ()
    place = bisect_left(series.months, month)
    if place in (0, len(series.months)):
        return None
    earlier, later = series.months[place - 1], series.months[place]
    low, high = series.values[earlier], series.values[later]
    after = _month_count(month) - _month_count(earlier)
    between = _month_count(later) - _month_count(earlier)
    value = low + (high - low) * after / between
    first, last = f"index of {earlier}", f"index of {later}"
    step = Step(
        f"index of {month}", float(value), "each", f"{first} + ({last} - {first}) x months after / months between",
        (
            Input(first, float(low), "each"), Input(last, float(high), "each"),
            Input("months after", float(after), "each"), Input("months between", float(between), "each"),
        ),
        f"on the straight line between the months given in {series.name}, {series.source}",
    )  # fmt: skip
    return value, (step,)


def _month_count(month: str) -> int:
    """Months since the year zero. Raises `ValueError` for what is no month."""
    if not _MONTH.fullmatch(month):
        raise ValueError(f"expected a month such as 2026-03; got {month!r}")
    return int(month[:4]) * 12 + int(month[5:]) - 1


def _printed(percent: Decimal) -> Decimal:
    """A computed rate to the places in which it is printed, so that base x rate can be redone by hand."""
    if percent >= LARGEST_PERCENT:
        raise ValueError("expected an escalation that does not multiply the cost a million times over")
    return percent.quantize(PERCENT_PLACES, ROUND_HALF_UP)
