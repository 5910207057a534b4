"""Prices carried forward: every price of any terms moves, and nothing else does."""

import typing
from collections.abc import Iterator
from decimal import Decimal
from typing import Any

import pytest
from buying import any_terms
from hypothesis import given
from hypothesis import strategies as st
from printed_charge import assert_steps
from pydantic import BaseModel
from swardcost_api.engine.pricing.carry_forward import PRICE_FIELDS, carried_price, carried_terms, places_of
from swardcost_model.price_terms import LaborBuildUp, MachineBuildUp, PurchaseTerms, RentalTerms, Terms
from swardcost_model.values import minor_unit

UNMOVED = {
    ("PriceTier", "from_quantity"), ("PriceTier", "below"), ("ByLoad", "load_size"), ("ByZone", "load_size"),
    ("Quantity", "value"), ("Surcharge", "percent"), ("QuantityBands", "contract_quantity"),
    ("QuantityBands", "over_percent"), ("QuantityBands", "under_percent"), ("PurchaseTerms", "increment"),
    ("PurchaseTerms", "minimum_order"), ("RentalPeriod", "included_hours"), ("HourlyRate", "least_hours_a_day"),
    ("RentalFuel", "use_per_hour"), ("RentalTerms", "damage_waiver_percent"), ("RentalTerms", "hours_a_day"),
    ("WageBase", "wages"), ("PercentOfWages", "percent"), ("PremiumHours", "hours"), ("PremiumHours", "multiplier"),
    ("Grade", "hours_a_week"), ("Tires", "wear_factor"), ("Tires", "life_hours"), ("Tires", "price_index"),
    ("MachineBuildUp", "salvage_percent"), ("MachineBuildUp", "life_hours"), ("MachineBuildUp", "hours_a_year"),
    ("MachineBuildUp", "money_percent_a_year"), ("MachineBuildUp", "power_hp"), ("MachineBuildUp", "load"),
    ("MachineBuildUp", "service_share"), ("MachineBuildUp", "repair_factor"),
}  # fmt: skip
"""Decimals of terms that are no prices: quantities, hours, percentages, factors, and wage bases set by law."""

LABOR = LaborBuildUp.model_validate(
    {
        "grades": [
            {
                "name": "Operator", "people": 2, "wage": "24.00", "hours_a_week": "46", "fringe_per_hour": "3.15",
                "earned_before": "41000", "premium": [{"hours": "6", "multiplier": "2", "rule": "Sundays"}],
            }
        ],
        "burden": [
            {
                "name": "Social security", "percent": "6.2", "source": "payroll",
                "bases": [{"year": 2024, "wages": "168600"}],
            },
            {"name": "Insurance", "per_hour": "1.25", "source": "policy"},
        ],
        "year": 2024,
        "own_staff": True,
    }
)  # fmt: skip
MACHINE = MachineBuildUp.model_validate(
    {
        "value": "64000", "salvage_percent": "20", "life_hours": "8000", "hours_a_year": "600",
        "money_percent_a_year": "5", "power_hp": "55", "fuel_price_per_gallon": "4.199", "repair_factor": "0.7",
        "tires": {"cost": "2400", "wear_factor": "1", "life_hours": "3000"},
    }
)  # fmt: skip
RENTAL = RentalTerms.model_validate(
    {
        "periods": [{"name": "week", "days": 7, "price": "1450", "included_hours": "40", "over_hour_price": "36.25"}],
        "hourly": {"price": "75", "least_hours_a_day": "4"}, "delivery": "180", "pick_up": "165",
        "damage_waiver_percent": "12.5", "fuel": {"use_per_hour": "2.4", "unit": "us_gallon", "price": "4.19"},
    }
)  # fmt: skip


def models_in(annotation: Any) -> Iterator[type[BaseModel]]:
    """The models that an annotation names, and those that their fields name in turn."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
        for field in annotation.model_fields.values():
            yield from models_in(field.annotation)
    for inner in typing.get_args(annotation):
        yield from models_in(inner)


def decimals_of(model: type[BaseModel]) -> set[str]:
    """Names of the fields that hold a decimal, or may."""
    return {
        name
        for name, field in model.model_fields.items()
        if Decimal in (field.annotation, *_parts(field.annotation))
    }


def _parts(annotation: Any) -> Iterator[Any]:
    for inner in typing.get_args(annotation):
        yield inner
        yield from _parts(inner)


MODELS = set(models_in(Terms))


def decimals_in(value: Any, owner: str = "", name: str = "") -> Iterator[tuple[tuple[str, str], Decimal]]:
    """Every decimal in a value, with its model and field."""
    if isinstance(value, Decimal):
        yield (owner, name), value
    elif isinstance(value, list):
        for one in value:
            yield from decimals_in(one, owner, name)
    elif isinstance(value, BaseModel):
        for field in type(value).model_fields:
            yield from decimals_in(getattr(value, field), type(value).__name__, field)


def test_every_model_that_terms_are_made_of_is_listed() -> None:
    assert {LaborBuildUp, MachineBuildUp, PurchaseTerms, RentalTerms} < MODELS
    assert set(PRICE_FIELDS) == MODELS


@pytest.mark.parametrize("model", sorted(MODELS, key=lambda model: model.__name__))
def test_every_decimal_of_terms_is_a_price_or_known_to_be_none(model: type[BaseModel]) -> None:
    unmoved = {name for owner, name in UNMOVED if owner == model.__name__}
    assert not unmoved & PRICE_FIELDS[model]
    assert unmoved | PRICE_FIELDS[model] == decimals_of(model)


@pytest.mark.parametrize(
    ("terms", "moved"), [(LABOR, 4), (MACHINE, 3), (RENTAL, 6)], ids=["labor", "machine", "rental"]
)
def test_prices_move_and_nothing_else_does(
    terms: LaborBuildUp | MachineBuildUp | RentalTerms, moved: int
) -> None:
    found = carried_terms(terms, Decimal(10), "USD")
    pairs = list(zip(decimals_in(terms), decimals_in(found), strict=True))
    for (place, before), (same_place, after) in pairs:
        assert place == same_place
        if place in UNMOVED:
            assert after == before, place
        else:
            assert after == carried_price(price=before, percent=Decimal(10), currency="USD").price, place
    assert sum(after != before for (_, before), (_, after) in pairs) == moved
    assert type(found).model_validate_json(found.model_dump_json()) == found


@given(any_terms(), st.decimals("-99.9", 300, places=1))
def test_carried_terms_are_terms_again(terms: PurchaseTerms, percent: Decimal) -> None:
    found = carried_terms(terms, percent, "USD")
    assert PurchaseTerms.model_validate_json(found.model_dump_json()) == found
    for (place, before), (_, after) in zip(decimals_in(terms), decimals_in(found), strict=True):
        assert bool(after) == bool(before), place
        assert place not in UNMOVED or after == before


@given(any_terms())
def test_terms_that_do_not_rise_stay_equal(terms: PurchaseTerms) -> None:
    assert carried_terms(terms, Decimal(0), "USD") == terms


def test_terms_given_are_left_as_they_were() -> None:
    before = LABOR.model_dump_json()
    assert carried_terms(LABOR, Decimal(5), "USD") != LABOR
    assert LABOR.model_dump_json() == before


@pytest.mark.parametrize(
    ("price", "percent", "currency", "carried"),
    [
        ("38.50", "3.2", "USD", "39.73"), ("38.50", "-3.2", "USD", "37.27"), ("10.10", "2.5", "USD", "10.35"),
        ("10.06", "2.5", "USD", "10.31"), ("0.0425", "3", "USD", "0.0438"), ("1000", "0.05", "USD", "1000.50"),
        ("1000", "3.25", "JPY", "1033"), ("10", "3.33", "KWD", "10.333"), ("0", "50", "USD", "0"),
        ("0.01", "-60", "USD", "0.01"), ("0.000001", "-99", "USD", "0.000001"),
        ("999999999999.99", "0", "USD", "999999999999.99"),
    ],
)  # fmt: skip
def test_a_price_keeps_its_places(price: str, percent: str, currency: str, carried: str) -> None:
    found = carried_price(price=Decimal(price), percent=Decimal(percent), currency=currency)
    assert found.price == Decimal(carried)
    assert_steps(found.steps, minor_unit(currency))


PRICES = st.decimals(0, 1_000_000, places=4)


@given(PRICES, st.decimals("-99.99", 1_000, places=2), st.sampled_from(["USD", "JPY", "KWD"]))
def test_a_price_moves_by_the_percentage_and_can_be_redone(
    price: Decimal, percent: Decimal, currency: str
) -> None:
    found = carried_price(price=price, percent=percent, currency=currency)
    exact, least = price * (100 + percent) / 100, Decimal(1).scaleb(-places_of(price, currency))
    assert abs(found.price - exact) <= least / 2 or found.price == least
    assert found.price % least == 0
    assert bool(found.price) == bool(price)
    assert_steps(found.steps)


@given(PRICES, PRICES, st.decimals("-99.99", 1_000, places=2))
def test_the_dearer_of_two_prices_of_one_kind_stays_no_cheaper(
    one: Decimal, other: Decimal, percent: Decimal
) -> None:
    low, high = sorted((one.quantize(Decimal("0.01")), other.quantize(Decimal("0.01"))))
    carried = [carried_price(price=price, percent=percent, currency="USD").price for price in (low, high)]
    assert carried == sorted(carried)


@given(PRICES)
def test_a_price_that_does_not_rise_stays_equal(price: Decimal) -> None:
    assert carried_price(price=price, percent=Decimal(0), currency="USD").price == price


@pytest.mark.parametrize(
    ("price", "percent", "currency", "named"),
    [
        ("10", "-100", "USD", "percent"), ("10", "-250", "USD", "percent"), ("-1", "3", "USD", "price"),
        ("999999999999", "1", "USD", "price"), ("999999999999.999999", "1000", "USD", "price"),
        ("10", "3", "XXX", "currency"),
    ],
)  # fmt: skip
def test_what_cannot_be_carried_is_refused(price: str, percent: str, currency: str, named: str) -> None:
    with pytest.raises(ValueError, match=f"{named}: expected .*; got"):
        carried_price(price=Decimal(price), percent=Decimal(percent), currency=currency)
