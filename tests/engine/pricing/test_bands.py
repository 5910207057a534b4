"""Unit-price contracts with a band about the contract quantity."""

from decimal import Decimal

from buying import BANDS, MEASURED, buy, decimals, printed
from hypothesis import given
from hypothesis import strategies as st
from printed_charge import assert_purchase

CONTRACT = {"contract_quantity": "1000", "price_over": "35", "price_under": "42"}


def test_within_the_band_the_unit_price_holds() -> None:
    for measured in (850, 1000, 1150):
        found = buy(measured, bands=CONTRACT)
        assert printed(found) == [("", f"{measured} short_ton", "38.5", measured * 3_850)]
        assert_purchase(found)


def test_beyond_the_over_run_the_rest_is_a_charge_of_its_own() -> None:
    found = buy(1200, bands=CONTRACT)
    assert printed(found) == [
        ("up to 115 % of the contract quantity", "1150 short_ton", "38.5", 4_427_500),
        ("beyond 115 % of the contract quantity", "50 short_ton", "35", 175_000),
    ]
    assert_purchase(found)


def test_an_under_run_prices_the_whole_quantity_anew() -> None:
    found = buy(849.99, bands=CONTRACT)
    assert printed(found) == [("below 85 % of the contract quantity", "849.99 short_ton", "42", 3_569_958)]
    assert_purchase(found)


def test_a_side_without_a_price_keeps_the_unit_price() -> None:
    over_alone = {"contract_quantity": "1000", "price_over": "35"}
    under_alone = {"contract_quantity": "1000", "price_under": "42"}
    assert buy(100, bands=over_alone).total_minor == 385_000
    assert buy(2000, bands=under_alone).total_minor == 7_700_000


def test_the_band_is_as_wide_as_the_contract_says() -> None:
    bands = CONTRACT | {"over_percent": "25", "under_percent": "10"}
    assert len(buy(1250, bands=bands).charges) == 1
    assert len(buy(1250.01, bands=bands).charges) == 2
    assert buy(899.99, bands=bands).charges[0].price == 42
    assert buy(900, bands=bands).charges[0].price == Decimal("38.5")


@given(MEASURED, BANDS)
def test_the_parts_hold_the_whole_quantity_and_can_be_redone(measured: float, bands: dict[str, str]) -> None:
    found = buy(measured, bands=bands)
    assert sum(one.quantity for one in found.charges) == found.quantity
    assert_purchase(found)


@given(MEASURED, BANDS, decimals("0", "500"))
def test_an_over_run_at_the_unit_price_costs_what_it_costs_without_a_band(
    measured: float, bands: dict[str, str | None], price: str
) -> None:
    same = bands | {"price_over": price, "price_under": None}
    assert abs(buy(measured, price, bands=same).total_minor - buy(measured, price).total_minor) <= 1


@given(st.integers(10, 1500), st.integers(0, 50), decimals("0", "500"), decimals("0", "500"))
def test_the_whole_does_not_jump_at_the_over_run(
    contract: int, over: int, price: str, price_over: str
) -> None:
    bands = {"contract_quantity": str(contract), "over_percent": str(over), "price_over": price_over}
    edge = contract * (100 + over) / 100
    step = buy(edge + 0.01, price, bands=bands).total_minor - buy(edge, price, bands=bands).total_minor
    assert 0 <= step <= Decimal(price_over) + 1
