"""Owned machines: seven elements that sum, and never cost less for more of anything."""

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from printed_amount import assert_redone
from swardcost_api.engine.pricing.machines import (
    HourlyElements,
    Operating,
    Owning,
    Tires,
    hour_in_other_shifts,
    hourly_elements,
    machine_value,
    standby_hour,
)

OWNING = Owning(
    value=Decimal(60_000), life_h=Decimal(8_000), hours_per_year=Decimal(800), salvage_percent=Decimal(25),
    money_percent_per_year=Decimal(6), tire_cost=Decimal(2_400),
)  # fmt: skip
OPERATING = Operating(
    engine="diesel", power_hp=Decimal(50), load=Decimal("0.6"), fuel_price_per_gallon=Decimal("4.20"),
    service_share=Decimal("0.3"), repair_factor=Decimal("0.7"), tires=Tires(Decimal(1), Decimal(4_000)),
)  # fmt: skip


def elements(owning: Owning = OWNING, operating: Operating = OPERATING) -> HourlyElements:
    return hourly_elements(owning=owning, operating=operating, currency="USD")


def test_each_element_by_hand() -> None:
    found = elements()
    assert found.depreciation_minor == 533  # (60,000 x 0.75 - 2,400) / 8,000 = 5.325
    assert found.cost_of_money_minor == 298  # average value (9 x 1.25 + 2) / 20 = 0.6625; 39,750 x 6 % / 800
    assert found.fuel_minor == 648  # 50 hp x 0.6 x 0.36 / 7 = 1.543 gal at 4.20
    assert found.filters_oil_grease_minor == 194
    assert found.tire_wear_minor == 50  # 1.5 x 2,400 / (1.8 x 4,000)
    assert found.tire_repair_minor == 8
    assert found.repair_minor == 504
    assert (
        found.hour_minor == found.owning_minor + found.operating_minor == 533 + 298 + 648 + 194 + 50 + 8 + 504
    )
    assert_redone(found.steps)


def test_an_exact_half_is_rounded_up_whatever_is_divided_on_the_way() -> None:
    """50 hp x 0.5 x 0.36 x 4.235 / 7 = 5.445, though 0.5 x 0.36 / 7 does not end. Cost of money: the average value
    factor of 7 years at 20 % is (6 x 1.2 + 2) / 14; 12,250 x 9.2 / 14 x 6 % / 600 = 0.805."""
    half = replace(OPERATING, load=Decimal("0.5"), fuel_price_per_gallon=Decimal("4.235"))
    assert elements(operating=half).fuel_minor == 545
    owning = replace(
        OWNING,
        value=Decimal(12_250),
        life_h=Decimal(4_200),
        hours_per_year=Decimal(600),
        salvage_percent=Decimal(20),
    )
    assert elements(owning).cost_of_money_minor == 81


@pytest.mark.parametrize("years", [1, 2, 5, 13])
@pytest.mark.parametrize("salvage", [0, 20, 45])
def test_the_average_value_is_the_mean_of_book_values_at_the_start_of_each_year(
    years: int, salvage: int
) -> None:
    """Straight-line book values, summed one by one."""
    owning = replace(OWNING, life_h=Decimal(800 * years), salvage_percent=Decimal(salvage))
    books = [1 - year * (1 - salvage / 100) / years for year in range(years)]
    step = next(step for step in elements(owning).steps if step.name == "average value factor")
    assert step.value == pytest.approx(sum(books) / years, rel=1e-12)


SHARES = st.decimals(0, 1, places=2)


@st.composite
def machines(draw: st.DrawFn) -> tuple[Owning, Operating]:
    """Any machine that makes sense, with tires or without."""
    year = draw(st.decimals(100, 2_000, places=0))
    on_tires = draw(st.booleans())
    owning = Owning(
        draw(st.decimals(1_000, 500_000, places=2)), year * draw(st.integers(1, 20)), year,
        draw(st.decimals(0, 60, places=1)), draw(st.decimals(0, 20, places=2)),
        draw(st.decimals(0, 300, places=2)) if on_tires else Decimal(0), draw(st.decimals("0.5", 1, places=3)),
    )  # fmt: skip
    operating = Operating(
        draw(st.sampled_from(["gasoline", "diesel"])), draw(st.decimals(0, 400, places=1)), draw(SHARES),
        draw(st.decimals(0, 20, places=3)), draw(SHARES), draw(SHARES),
        Tires(draw(st.decimals("0.2", 3, places=2)), draw(st.decimals(500, 6_000, places=0))) if on_tires else None,
        draw(st.decimals("0.5", 2, places=3)), draw(st.decimals("0.5", 2, places=2)),
    )  # fmt: skip
    return owning, operating


@given(machines())
def test_elements_sum_and_every_step_can_be_redone(machine: tuple[Owning, Operating]) -> None:
    found = elements(*machine)
    assert found.hour_minor / 100 == pytest.approx(found.steps[-1].value, abs=1e-9)
    assert_redone(found.steps)


@given(machines(), st.decimals(0, 100_000, places=2), st.decimals(0, 100, places=1))
def test_more_value_power_or_dearer_fuel_never_cost_less(
    machine: tuple[Owning, Operating], value: Decimal, more: Decimal
) -> None:
    owning, operating = machine
    dearer = replace(owning, value=owning.value + value)
    stronger = replace(
        operating, power_hp=operating.power_hp + more,
        fuel_price_per_gallon=operating.fuel_price_per_gallon + more,
    )  # fmt: skip
    assert elements(owning, operating).hour_minor <= elements(dearer, operating).hour_minor
    assert elements(owning, operating).hour_minor <= elements(owning, stronger).hour_minor


@given(machines(), st.decimals(1, 168, places=1), st.decimals(1, 168, places=1))
def test_longer_weeks_never_make_an_hour_dearer(
    machine: tuple[Owning, Operating], one: Decimal, other: Decimal
) -> None:
    found = elements(*machine)
    short, long = (hour_in_other_shifts(elements=found, hours_per_week=h) for h in sorted((one, other)))
    assert long.hour_minor <= short.hour_minor
    assert hour_in_other_shifts(elements=found, hours_per_week=Decimal(40)).hour_minor == found.hour_minor
    assert_redone(short.steps)


@given(st.decimals(0, 500, places=2), st.decimals(0, 500, places=2))
def test_waiting_costs_no_more_than_owning(depreciation: Decimal, money: Decimal) -> None:
    found = standby_hour(depreciation=depreciation, cost_of_money=money, currency="USD")
    assert found.hour_minor <= (depreciation + money) * 100
    assert_redone(found.steps)


@pytest.mark.parametrize(
    "change",
    [
        {"value": Decimal(0)}, {"life_h": Decimal(700)}, {"hours_per_year": Decimal(0)},
        {"salvage_percent": Decimal(100)}, {"tire_cost": Decimal(50_000)}, {"tire_index": Decimal("nan")},
        {"money_percent_per_year": Decimal(-1)},
    ],
)  # fmt: skip
def test_owning_that_makes_no_sense_is_refused(change: dict[str, Decimal]) -> None:
    with pytest.raises(ValueError, match="expected"):
        elements(replace(OWNING, **change))


@pytest.mark.parametrize(
    "change",
    [
        {"engine": "steam"}, {"load": Decimal("1.1")}, {"power_hp": Decimal(-1)}, {"tires": None},
        {"tires": Tires(Decimal(0), Decimal(1))}, {"repair_factor": Decimal(-1)}, {"labor_factor": Decimal(0)},
        {"price_index": Decimal(0)},
    ],
)  # fmt: skip
def test_operating_that_makes_no_sense_is_refused(change: dict[str, object]) -> None:
    with pytest.raises(ValueError, match="expected"):
        elements(operating=replace(OPERATING, **change))  # type: ignore[arg-type]


@pytest.mark.parametrize(("power", "price"), [(50, 0), (0, 4)])
def test_power_and_fuel_without_an_engine_are_refused(power: int, price: int) -> None:
    drawn = replace(OPERATING, engine="none", power_hp=Decimal(power), fuel_price_per_gallon=Decimal(price))
    with pytest.raises(ValueError, match="expected 0 for a machine without an engine"):
        elements(operating=drawn)


def test_a_discount_above_the_price_and_a_week_of_too_many_hours_are_refused() -> None:
    with pytest.raises(ValueError, match="expected at most 100 percent"):
        machine_value(
            list_price=Decimal(1), discount_percent=Decimal(101), tax_percent=Decimal(0),
            shipping_weight_cwt=Decimal(0), freight_per_cwt=Decimal(0), currency="USD",
        )  # fmt: skip
    with pytest.raises(ValueError, match="expected at most 168"):
        hour_in_other_shifts(elements=elements(), hours_per_week=Decimal(169))
