"""Escalation, contingency, tax and exchange against published rules and tables; the source stands beside each check."""

from datetime import date, timedelta
from decimal import ROUND_HALF_UP, Decimal

import numpy_financial
import pytest
from swardcost_api.engine.pricing.charge import Charge, Part
from swardcost_api.engine.pricing.costed import CostedLine
from swardcost_api.engine.pricing.escalation import (
    EscalationRate,
    IndexSeries,
    YearlyRate,
    escalation_percent,
    escalation_period,
    escalation_rate,
    midpoint,
)
from swardcost_api.engine.pricing.exchange import Exchange, exchanged
from swardcost_api.engine.pricing.markups import AppliedMarkup, MarkupRate, markup_chain
from swardcost_api.engine.pricing.tax import Tax, TaxRate, tax_lines, tax_on_all

PRICED = date(2026, 1, 1)
MILLION = CostedLine(100_000_000, "1510", taxable=False)


def escalated(basis: YearlyRate | IndexSeries, priced_on: date, work: date) -> Decimal:
    found = escalation_rate(basis, escalation_period(basis, priced_on, work))
    assert isinstance(found, EscalationRate)
    return found.percent


def on_a_million(rate: MarkupRate, work: date) -> AppliedMarkup:
    """The markup on 1,000,000 dollars, priced on 1 January 2026."""
    (found,) = markup_chain([MILLION], [rate], currency="USD", priced_on=PRICED, work_midpoint=work).markups
    return found


@pytest.mark.parametrize("years", [1, 2, 3])
@pytest.mark.parametrize("yearly", ["2.2", "4", "9.5"])
def test_escalation_compounds_yearly_to_the_middle_of_construction(years: int, yearly: str) -> None:
    """US GSA P-120, January 2007, escalation: an annual compounding rate; numpy_financial.fv."""
    found = on_a_million(MarkupRate("escalation", Decimal(yearly)), PRICED + timedelta(365 * years))
    expected = float(numpy_financial.fv(float(yearly) / 100, years, 0, -1_000_000)) - 1_000_000
    assert found.amount_minor / 100 == pytest.approx(expected, abs=0.01)


def test_half_of_the_work_is_taken_before_the_midpoint_and_half_after() -> None:
    """US GSA P-120, January 2007, escalation: "half of the work will occur before the midpoint ... and half after"."""
    starts_on, ends_on = date(2026, 3, 1), date(2027, 2, 28)
    middle = midpoint(starts_on, ends_on)
    assert (ends_on - middle).days - (middle - starts_on).days in (0, 1)


@pytest.mark.parametrize(("percent", "amount"), [("7", "70000"), ("10", "100000")])
def test_construction_contingency(percent: str, amount: str) -> None:
    """US GSA P-120, January 2007: 7 percent for new construction, 10 for renovation; amounts on 1,000,000 ours."""
    found = on_a_million(MarkupRate("contingency", Decimal(percent)), PRICED)
    assert found.amount_minor == Decimal(amount) * 100


def test_markups_apply_one_after_another_each_on_the_sum_of_those_before() -> None:
    """FEMA Public Assistance Guide (322), cost estimating format, as summarized: parts A to H, one on another."""
    rates = [MarkupRate(kind, Decimal(10)) for kind in ("contingency", "escalation", "overhead")]
    work = PRICED + timedelta(365)
    found = markup_chain([MILLION], rates, currency="USD", priced_on=PRICED, work_midpoint=work)
    assert [m.kind for m in found.markups] == ["overhead", "escalation", "contingency"]
    assert [m.base_minor for m in found.markups] == [100_000_000, 110_000_000, 121_000_000]
    assert found.total_minor == 133_100_000


MONTHS = [f"{2026 + n // 12}-{n % 12 + 1:02}" for n in range(19)]


def test_average_monthly_increase_times_the_months_to_the_midpoint() -> None:
    """FEMA IS-1013, part E: the average monthly increase applied to the months remaining to the mid-point. 0.25
    percent x 18 months on 1,000,000 is 45,000 (rule read, numbers ours); 18 months lie between 547 and 548 days.
    """
    level = IndexSeries("Level", "0.25 a month", {m: 100 + Decimal(n) / 4 for n, m in enumerate(MONTHS)})
    assert on_a_million(MarkupRate("escalation", level), date(2027, 7, 1)).amount_minor == 45_000_00
    by_days = [
        escalation_percent(Decimal(3), PRICED, PRICED + timedelta(d), compound=False) for d in (547, 548)
    ]
    assert sum(by_days) / 2 * 10_000 == pytest.approx(Decimal(45_000), abs=Decimal("1e-9"))


def test_compounded_the_same_increase_gives_45_969() -> None:
    """The same case, compounded monthly (recomputed), so that the way must be stated."""
    growing = {m: 100 * Decimal("1.0025") ** n for n, m in enumerate(MONTHS)}
    found = on_a_million(
        MarkupRate("escalation", IndexSeries("Growing", "1.0025 a month", growing)), date(2027, 7, 1)
    )
    assert found.amount_minor / 100 == pytest.approx(45_969, abs=0.5)


# Fiscal year: mid-point of construction, raw building index, multiplier on 2008.
DOD = {
    2006: (4359, "0.958"),
    2007: (4455, "0.979"),
    2008: (4549, "1.000"),
    2009: (4645, "1.021"),
    2010: (4743, "1.043"),
    2011: (4847, "1.066"),
}
RAW = IndexSeries(
    "Building index", "UFC 3-701-06", {f"{year}-10": Decimal(raw) for year, (raw, _) in DOD.items()}
)
BASE = date(2008, 10, 1)


@pytest.mark.parametrize("year", DOD)
def test_ratios_of_the_raw_index_are_the_published_multipliers(year: int) -> None:
    """UFC 3-701-06, 30 March 2006, table 4B: mid-points in October; multipliers of unit costs of 2008."""
    there = date(year, 10, 1)
    rise = 1 + escalated(RAW, min(BASE, there), max(BASE, there)) / 100
    multiplier = rise if there >= BASE else 1 / rise
    assert multiplier.quantize(Decimal("0.001"), ROUND_HALF_UP) == Decimal(DOD[year][1])


def test_the_published_multipliers_escalate_as_they_are_printed() -> None:
    """UFC 3-701-06, table 4B; 4,743 / 4,549 = 1.0426 exact, printed 1.043: an index is never rounded before use."""
    printed = IndexSeries("Multipliers", "table 4B", {f"{y}-10": Decimal(m) for y, (_, m) in DOD.items()})
    assert escalated(printed, BASE, date(2010, 10, 1)) == Decimal("4.3")
    assert escalated(RAW, BASE, date(2010, 10, 1)) == Decimal("4.264674")


def test_a_month_between_yearly_indices_lies_on_the_straight_line() -> None:
    """UFC 3-701-06, table 4B: October 2008 and 2009; the straight line is common practice. April 2009 is 4,597."""
    assert escalated(RAW, BASE, date(2009, 4, 15)) == Decimal("1.055177")  # 4597 / 4549


@pytest.mark.parametrize(
    ("before", "after", "printed"),
    [("113.8", "118.5", "4.1"), ("129.9", "136.0", "4.7"), ("215.805", "216.909", "0.5")],
)
def test_percent_change_of_a_published_index(before: str, after: str, printed: str) -> None:
    """US Bureau of Labor Statistics, Using the Consumer Price Index for Escalation, January 1989, p. 5, and its later
    printings; Alaska Department of Labor, how the percent change is calculated (Anchorage, 2014 to 2015)."""
    series = IndexSeries(
        "Consumer prices", "as printed", {"2014-07": Decimal(before), "2015-07": Decimal(after)}
    )
    found = escalated(series, date(2014, 7, 1), date(2015, 7, 1))
    assert found.quantize(Decimal("0.1"), ROUND_HALF_UP) == Decimal(printed)


def taxed(amounts: dict[str, str], rates: list[TaxRate], on: date) -> Tax:
    """Tax on one line of each class."""
    lines = [CostedLine(int(Decimal(amount) * 100), None, True, name) for name, amount in amounts.items()]
    return tax_lines(lines, rates, [], "Here", on, "USD")


def a_rate(percent: str, tax_class: str, valid_from: date, valid_until: date | None = None) -> TaxRate:
    return TaxRate("Here", tax_class, Decimal(percent), valid_from, valid_until, "as published")


def test_tax_by_item_and_by_invoice() -> None:
    """Minnesota Revenue, Revenue Notice 05-08: 19.65 and 3.56 at 7.5 percent, state and local together. By item 1.47
    (1.47375) and 0.27 (0.267), together 1.74; on the invoice of 23.21 1.74 (1.74075)."""
    amounts, rates = (
        {"item": "19.65", "part": "3.56"},
        [a_rate("7.5", name, PRICED) for name in ("item", "part")],
    )
    assert [line.amount_minor for line in taxed(amounts, rates, PRICED).lines] == [147, 27]
    invoice = [CostedLine(1_965, None, True), CostedLine(356, None, True)]
    (line,) = tax_on_all(invoice, Decimal("7.5"), "USD").lines
    assert (line.base_minor, line.amount_minor) == (2_321, 174)


@pytest.mark.parametrize(
    ("taxable", "percent", "tax"),
    [("325.00", "7", "22.75"), ("65.00", "7", "4.55"), ("25.00", "7", "1.75"), ("35.00", "7", "2.45")],
)
def test_tax_of_published_invoices(taxable: str, percent: str, tax: str) -> None:
    """Rhode Island Division of Taxation, 280-RICR-20-70-6, invoices: tax on the taxable amount at 7 percent."""
    (line,) = tax_on_all([CostedLine(int(Decimal(taxable) * 100), None, True)], Decimal(percent), "USD").lines
    assert line.amount_minor == Decimal(tax) * 100


@pytest.mark.parametrize(
    ("on", "tax_minor"),
    [
        (date(2015, 9, 30), 55_00),
        (date(2015, 10, 1), 50_00),
        (date(2017, 12, 31), 50_00),
        (date(2018, 1, 1), 55_00),
    ],
)
def test_the_rate_of_the_day_on_which_goods_are_received(on: date, tax_minor: int) -> None:
    """Wisconsin Department of Revenue, Publications 201 and 210: 5 percent state tax; in Brown County 0.5 percent
    for the stadium until 30 September 2015 and 0.5 percent for the county from 1 January 2018. On 1,000.00 (ours)."""
    rates = [
        a_rate("5.5", "standard", date(2009, 9, 30), date(2015, 9, 30)),
        a_rate("5", "standard", date(2015, 10, 1), date(2017, 12, 31)),
        a_rate("5.5", "standard", date(2018, 1, 1)),
    ]
    assert taxed({"standard": "1000.00"}, rates, on).lines[0].amount_minor == tax_minor


@pytest.mark.parametrize(
    ("currency", "amount", "rate", "result"),
    [("CAD", "100", "0.68", "68.00"), ("EUR", "500", "1.27246", "636.23"), ("EUR", "24.785", "1", "24.79"),
     ("EUR", "24.784", "1", "24.78")],
)  # fmt: skip
def test_exchanged_amounts(currency: str, amount: str, rate: str, result: str) -> None:
    """Kansas Department of Administration, 2201; Michigan State University Controller's Office, travel (1 March
    2018); Council Regulation (EC) No 1103/97, article 5, halves up, by the examples of evro.si."""
    price = Decimal(amount)
    charge = Charge(Part.PRICE, "", Decimal(1), "each", "", price, int(price * 100), ())
    found = exchanged(charge, Exchange(currency, "USD", Decimal(rate), None, "as published"))
    assert found.amount_minor == Decimal(result) * 100
