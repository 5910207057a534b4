"""Figures as a club reads them: in its own units, and prices to the places they are kept in."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from swardcost_api.units import in_trade_units
from swardcost_model.values import from_micros


@pytest.mark.parametrize(
    ("value", "unit", "shown"),
    [
        (0.004125, "USD per square_foot", "0.004125 USD per square foot"),
        (1234.5678901, "KWD per short_ton", "1,234.56789 KWD per short ton"),
        (38.5, "USD per short_ton", "38.5 USD per short ton"),
        (0.1 + 0.2, "USD per hour", "0.3 USD per hour"),
        (1e-06, "USD per each", "0.000001 USD per each"),
        (100.0, "USD per hour", "100 USD per hour"),
        (0.0, "USD per hour", "0 USD per hour"),
        (1234.56, "USD", "1,234.56 USD"),
        (0.0257142857, "us_gallon per horsepower-hour", "0.026 us gallon per horsepower-hour"),
        (3.6576, "meter", "12 foot"),
        (907.18474, "kilogram", "1 short ton"),
    ],
)
def test_figures_as_they_are_shown(value: float, unit: str, shown: str) -> None:
    assert in_trade_units(value, unit, "us_customary", "short_ton") == shown


@given(st.integers(0, 10**14))
def test_a_unit_price_is_shown_in_full(micros: int) -> None:
    price = from_micros(micros)
    shown = in_trade_units(float(price), "USD per short_ton", "metric", "metric_ton")
    assert shown == f"{price.normalize():,f} USD per short ton"
