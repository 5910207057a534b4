"""Exchange: a charge in another currency, at a rate that is told."""

from dataclasses import replace
from datetime import date
from decimal import ROUND_HALF_UP, Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from printed_rates import assert_all_redone
from swardcost_api.engine.derivation import Step
from swardcost_api.engine.pricing.charge import Charge, Part
from swardcost_api.engine.pricing.exchange import Exchange, exchange_between, exchanged
from swardcost_model.values import CURRENCY_DIGITS, minor_unit

EURO = Exchange("EUR", "USD", Decimal("1.0834"), date(2026, 2, 10), "a central bank's reference rate")
HALF = Decimal("0.0000005")


def a_charge(quantity: str | Decimal = "211.84", price: str | Decimal = "41.5") -> Charge:
    amount = Decimal(quantity) * Decimal(price)
    minor = int((amount * 100).quantize(Decimal(1), ROUND_HALF_UP))
    before = Step("amount", float(amount), "EUR", "", (), "the terms of purchase")
    return Charge(
        Part.PRICE, "Delivered", Decimal(quantity), "short_ton", "half up to 0.01", Decimal(price), minor, (before,)
    )  # fmt: skip


def test_the_price_is_exchanged_and_the_amount_computed_from_it() -> None:
    before = a_charge()
    found = exchanged(before, EURO)
    assert (found.price, found.amount_minor) == (Decimal("44.961100"), 9_524_56)
    assert (found.quantity, found.unit, found.words, found.rounding) == (
        before.quantity, "short_ton", "Delivered", "half up to 0.01"
    )  # fmt: skip
    assert found.steps[0] == before.steps[0]
    assert found.steps[1].source == "rate of exchange of 2026-02-10, a central bank's reference rate"
    assert [step.name for step in found.steps[1:]] == ["price in USD", "amount in USD"]
    assert_all_redone(found.steps[1:])


def test_a_rate_without_a_day_says_so() -> None:
    found = exchanged(a_charge(), replace(EURO, on=None))
    assert found.steps[1].source.startswith("rate of exchange of a day that is not stated")


@pytest.mark.parametrize(
    ("currency", "rate", "amount_minor"), [("JPY", "162.3", 1_426_838), ("KWD", "0.3349", 2_944_226)]
)
def test_minor_units_are_those_of_the_other_currency(currency: str, rate: str, amount_minor: int) -> None:
    found = exchanged(a_charge(), Exchange("EUR", currency, Decimal(rate), None, "a bank"))
    assert found.amount_minor == amount_minor
    assert_all_redone(found.steps[1:], str(minor_unit(currency)))


@pytest.mark.parametrize("rate", ["0", "-1", "NaN", "Infinity"])
def test_without_a_rate_there_is_no_amount(rate: str) -> None:
    with pytest.raises(ValueError, match=r"exchange from EUR to USD: expected a rate above zero; got"):
        exchanged(a_charge(), replace(EURO, rate=Decimal(rate)))


@pytest.mark.parametrize(
    ("exchange", "charge", "words"),
    [
        (replace(EURO, from_currency="XYZ"), a_charge(), "from XYZ to USD: expected currencies of"),
        (replace(EURO, to_currency="EUR"), a_charge(), "from EUR to EUR: expected two currencies"),
        (replace(EURO, rate=Decimal("1e-9")), a_charge(), r"expected a price of 0\.000001 or more"),
        (replace(EURO, rate=Decimal("1e11")), a_charge(), "expected a price below"),
        (replace(EURO, rate=Decimal("1e9")), a_charge(quantity="100000"), "expected an amount below"),
    ],
)
def test_an_exchange_that_makes_no_sense_is_refused(exchange: Exchange, charge: Charge, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        exchanged(charge, exchange)


def test_the_rate_between_two_currencies_is_found_or_missed_by_name() -> None:
    back = Exchange("USD", "EUR", Decimal("0.92"), None, "a bank")
    assert exchange_between([back, EURO], "EUR", "USD") == EURO
    with pytest.raises(ValueError, match="expected one rate of exchange from CAD to USD; got none"):
        exchange_between([back, EURO], "CAD", "USD")
    with pytest.raises(ValueError, match="from EUR to USD; got 2 of them"):
        exchange_between([EURO, back, EURO], "EUR", "USD")


PRICES = st.decimals("0.01", 10**5, places=6)
RATES = st.decimals("0.001", 1000, places=6)


@given(
    PRICES,
    st.decimals("0.01", 10**4, places=2),
    RATES,
    st.sampled_from(sorted(set(CURRENCY_DIGITS) - {"EUR"})),
)
def test_quantity_times_the_printed_price_is_the_printed_amount(
    price: Decimal, quantity: Decimal, rate: Decimal, currency: str
) -> None:
    found = exchanged(a_charge(quantity, price), Exchange("EUR", currency, rate, None, "a bank"))
    unit = minor_unit(currency)
    assert Decimal(found.amount_minor) * unit == (quantity * found.price).quantize(unit, ROUND_HALF_UP)
    assert found.price == found.price.quantize(Decimal("0.000001"))


@given(PRICES, RATES)
def test_a_price_comes_back_within_half_a_millionth_of_what_it_was_exchanged_to(
    price: Decimal, rate: Decimal
) -> None:
    found = exchanged(a_charge("1", price), replace(EURO, rate=rate))
    assert abs(found.price - price * rate) <= HALF
    assert abs(found.price / rate - price) <= HALF / rate + Decimal("1e-18")


@given(PRICES, RATES, RATES)
def test_a_higher_rate_never_gives_a_lower_amount(price: Decimal, one: Decimal, other: Decimal) -> None:
    low, high = (exchanged(a_charge("7", price), replace(EURO, rate=rate)) for rate in sorted((one, other)))
    assert low.amount_minor <= high.amount_minor
