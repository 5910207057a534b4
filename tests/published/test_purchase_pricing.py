"""Breaks, bands, hauls and shares as published; the source stands beside each check."""

from decimal import Decimal
from typing import Any

import pytest
from swardcost_api.engine.pricing.buying_more import cheaper_to_buy_more
from swardcost_api.engine.pricing.mobilization import share_mobilization
from swardcost_api.engine.pricing.purchase import Purchase, price_purchase
from swardcost_model.price_terms import PurchaseTerms


def bought(measured: float, unit: str, price: str, **terms: Any) -> Purchase:
    return price_purchase(
        measured=measured, unit=unit, counted=False, waste_percent=Decimal(0), unit_price=Decimal(price),
        terms=PurchaseTerms.model_validate(terms), currency="USD",
    )  # fmt: skip


def tiers(apply: str, **prices: str) -> dict[str, Any]:
    """Breaks from `from_100="36"` and the like."""
    listed = [{"from_quantity": name.removeprefix("from_"), "unit_price": p} for name, p in prices.items()]
    return {"apply": apply, "tiers": listed}


@pytest.mark.parametrize(
    ("kwh", "rates", "amounts"),
    [
        (1200, {"from_250": ".049", "from_700": ".0446"}, [1_600, 2_205, 2_230]),
        (2000, {"from_250": ".049", "from_700": ".0475", "from_1250": ".0446"}, [1_600, 2_205, 2_613, 3_345]),
    ],
)
def test_block_rates_of_a_public_electric_utility(
    kwh: int, rates: dict[str, str], amounts: list[int]
) -> None:
    """City of Seymour, residential bill comparison: winter and summer examples. 550 kWh at .0475 are 26.125,
    printed there as 26.13."""
    breaks = tiers("each_tier", **{name: f"0{rate}" for name, rate in rates.items()})
    found = bought(kwh, "kilowatt_hour", "0.064", breaks=breaks)
    assert [charge.amount_minor for charge in found.charges] == amounts


def test_block_rates_of_a_public_water_utility() -> None:
    """City of Nampa, how to calculate the average bill of 2017: 700 cubic feet at 0.0053 are 3.71, the next 700 at
    0.0092 are 6.44, together 10.15."""
    breaks = tiers("each_tier", from_700="0.0092", from_1400="0.0119")
    found = bought(1400, "cubic_foot", "0.0053", breaks=breaks)
    assert [charge.amount_minor for charge in found.charges] == [371, 644]
    assert found.total_minor == 1_015


def test_block_rates_with_a_first_block_that_is_free() -> None:
    """A city's published water bill of 50,000 gallons in 2013: 10,000 at 0.00, 25,000 at 3.51 a thousand are 87.75,
    15,000 at 6.15 are 92.25; usage in all 180.00."""
    found = bought(50, "thousand_gallon", "0", breaks=tiers("each_tier", from_10="3.51", from_35="6.15"))
    assert [(charge.quantity, charge.amount_minor) for charge in found.charges] == [
        (10, 0), (25, 8_775), (15, 9_225)
    ]  # fmt: skip
    assert found.total_minor == 18_000


@pytest.mark.parametrize(
    ("apply", "quantity", "cost"),
    [
        ("whole_quantity", 49, 68_600), ("whole_quantity", 50, 55_000), ("whole_quantity", 89, 97_900),
        ("whole_quantity", 90, 81_000), ("each_tier", 50, 70_000), ("each_tier", 90, 114_000),
        ("each_tier", 100, 33_000 + 900 * 100),
    ],
)  # fmt: skip
def test_all_units_and_incremental_discounts_of_a_textbook(apply: str, quantity: int, cost: int) -> None:
    """Nahmias, Production and Operations Analysis (2009), as worked in published lecture notes (4QA3, week 7): 1,400
    below 50, 1,100 from 50 and 900 from 90; C(Q) at the ends of the pieces, all units and incremental."""
    found = bought(quantity, "each", "1400", breaks=tiers(apply, from_50="1100", from_90="900"))
    assert found.total_minor == cost * 100


@pytest.mark.parametrize(
    ("quantity", "larger"), [(39, None), (40, 50), (49, 50), (73, None), (74, 90), (89, 90), (90, None)]
)
def test_the_textbook_discount_makes_more_cost_less_just_below_a_break(
    quantity: int, larger: int | None
) -> None:
    """The same schedule: 1,400 Q passes the 55,000 of 50 beyond 39, and 1,100 Q the 81,000 of 90 beyond 73."""
    terms = {"breaks": tiers("whole_quantity", from_50="1100", from_90="900")}
    hint = cheaper_to_buy_more(
        bought(quantity, "each", "1400", **terms), counted=True, unit_price=Decimal(1400),
        terms=PurchaseTerms.model_validate(terms),
    )  # fmt: skip
    assert (hint.purchase.quantity if hint else None) == larger


@pytest.mark.parametrize(("pounds", "rated_as"), [(1696, None), (1697, 2000), (1999, 2000)])
def test_a_freight_weight_break(pounds: int, rated_as: int | None) -> None:
    """A published explanation of weight breaks: 58.21 a hundredweight from 1,000 lb, 49.39 from 2,000 lb; beyond
    2,000 x 49.39 / 58.21 = 1,696 lb the shipment is rated as 2,000 lb."""
    terms = {"breaks": tiers("whole_quantity", from_20="49.39")}
    hint = cheaper_to_buy_more(
        bought(pounds / 100, "hundredweight", "58.21", **terms), counted=False, unit_price=Decimal("58.21"),
        terms=PurchaseTerms.model_validate(terms),
    )  # fmt: skip
    assert (hint.purchase.quantity * 100 if hint else None) == rated_as


def test_a_rate_by_the_hundredweight() -> None:
    """A published dictionary of freight: 1,501 lb at 12.50 a hundredweight are 187.63 (187.625)."""
    assert bought(15.01, "hundredweight", "12.50").total_minor == 18_763


@pytest.mark.parametrize(
    ("quantity", "total"), [(850, 850_000), (1150, 1_150_000), (1160, 1_150_000 + 9_000), (849, 849 * 1_200)]
)
def test_a_variation_in_estimated_quantity_beyond_15_percent(quantity: int, total: int) -> None:
    """FAR 52.211-18 and 48 CFR 11.702: nothing changes until the quantity varies by more than 15 percent from the
    estimated one; the adjustment is for the variation above 115 percent. Prices made up."""
    bands = {"contract_quantity": "1000", "price_over": "9", "price_under": "12"}
    assert bought(quantity, "square_yard", "10", bands=bands).total_minor == total


def test_a_highway_contract_changes_beyond_125_and_below_75_percent() -> None:
    """23 CFR 635.109 (from memory), and a standard specification of airport construction (read): an over-run's price
    is for the portion above 125 percent, an under-run's for the quantity performed. Prices made up."""
    bands = {
        "contract_quantity": "400", "over_percent": "25", "under_percent": "25", "price_over": "9",
        "price_under": "12",
    }  # fmt: skip
    by_quantity = {
        quantity: bought(quantity, "square_yard", "10", bands=bands) for quantity in (299, 300, 500, 510)
    }
    assert [found.total_minor for found in by_quantity.values()] == [
        299 * 1_200, 300 * 1_000, 500 * 1_000, 500 * 1_000 + 10 * 900
    ]  # fmt: skip


def test_ton_miles() -> None:
    """USACE, Waterborne Commerce of the United States, definitions: 50 short tons moved 200 miles are 10,000
    ton-miles."""
    delivery = {
        "by": "mass_distance", "rate": "0.10", "mass_unit": "short_ton",
        "distance": {"value": "200", "unit": "mile"},
    }  # fmt: skip
    charge = bought(50, "short_ton", "0", delivery=delivery).charges[-1]
    assert (charge.quantity, charge.unit, charge.amount_minor) == (10_000, "short_ton_mile", 100_000)


def test_largest_remainders_of_the_census_of_1790() -> None:
    """Hamilton's method for 60 seats and the fifteen states of 1790, as worked on electowiki; here 60 yen shared by
    the populations."""
    populations = (
        630_560, 475_327, 432_879, 353_523, 331_589, 278_514, 236_841, 206_236, 179_570, 141_822, 85_533,
        70_835, 68_705, 68_446, 55_540,
    )  # fmt: skip
    shares = share_mobilization(
        visit="1", mobilization=Decimal(60), amounts_minor=populations, currency="JPY"
    )
    assert [share.amount_minor for share in shares] == [11, 8, 7, 6, 6, 5, 4, 3, 3, 2, 1, 1, 1, 1, 1]
