"""Money and time against published rules and reference libraries; the source stands beside each check."""

from datetime import date, timedelta
from decimal import Decimal

import numpy_financial
import pytest
from babel.numbers import get_currency_precision
from swardcost_api.engine.control.variance import Comparison
from swardcost_api.engine.pricing.escalation import escalation_percent
from swardcost_api.engine.pricing.lines import purchase_quantity
from swardcost_model.values import CURRENCY_DIGITS, minor_unit

DAY = date(2026, 1, 1)


def test_currency_digits_are_those_of_iso_4217() -> None:
    """ISO 4217 through Babel's copy of the Unicode CLDR; USD 2, JPY 0, KWD 3 by the standard's table."""
    for currency, digits in CURRENCY_DIGITS.items():
        assert get_currency_precision(currency) == digits, currency
    assert (minor_unit("USD"), minor_unit("JPY"), minor_unit("KWD")) == (Decimal("0.01"), 1, Decimal("0.001"))


@pytest.mark.parametrize("years", [1, 2, 5, 10])
@pytest.mark.parametrize("yearly", [2, 4.5, 9])
def test_compound_escalation_is_a_future_value(years: int, yearly: float) -> None:
    """US GSA P-120 cost guide: to the middle of construction, compounding yearly; numpy_financial.fv."""
    found = escalation_percent(Decimal(str(yearly)), DAY, DAY + timedelta(days=365 * years), compound=True)
    expected = (float(numpy_financial.fv(yearly / 100, years, 0, -1)) - 1) * 100
    assert float(found) == pytest.approx(expected, rel=1e-12)


def test_simple_escalation_over_eighteen_months() -> None:
    """FEMA IS-1013 rule: average monthly 0.25 % x 18 months on 1,000,000 is 45,000, not compounded."""
    month = Decimal(365) / 12
    found = escalation_percent(Decimal(3), DAY, DAY + timedelta(days=int(18 * month)), compound=False)
    assert float(found) * 10_000 == pytest.approx(45_000, rel=0.002)
    exact = escalation_percent(Decimal(3), DAY, DAY + timedelta(days=365), compound=False)
    assert exact * 10_000 == 30_000


@pytest.mark.parametrize(
    ("standard", "standard_price", "actual", "actual_price", "total"),
    [(185_000, "6.00", 183_200, "5.80", -47_440), (430, "6.90", 450, "6.50", -42)],
)
def test_total_variance_of_published_accounting_exercises(
    standard: int, standard_price: str, actual: int, actual_price: str, total: int
) -> None:
    """Published accounting exercises on price and usage variance: favourable totals of -47,440 and -42."""
    budget = int(standard * Decimal(standard_price) * 100)
    spent = int(actual * Decimal(actual_price) * 100)
    assert Comparison(budget, spent).variance_minor == total * 100


def test_fertiliser_bags_round_up() -> None:
    """Certified turfgrass professional practice worksheet: 7,056.7 lb in 50 lb bags, 141.1, is 142 bags."""
    assert purchase_quantity(7_056.7 / 50, Decimal(0), counted=True)[0] == 142
