"""Owning and operating cost against USACE EP 1110-1-8, Construction Equipment Ownership and Operating Expense
Schedule, July 2003; the volume and figure stand beside each check (read in a reprint)."""

from dataclasses import replace
from decimal import Decimal

import pytest
from swardcost_api.engine.pricing.machines import (
    HourlyElements,
    MachineValue,
    Operating,
    Owning,
    Tires,
    hour_in_other_shifts,
    hourly_elements,
    machine_value,
    standby_hour,
)


def valued(currency: str) -> MachineValue:
    """Vol. 8, figure 2-1, part 2."""
    return machine_value(
        list_price=Decimal(1_197_389), discount_percent=Decimal("7.5"), tax_percent=Decimal("5.80"),
        shipping_weight_cwt=Decimal(1_913), freight_per_cwt=Decimal("5.27"), currency=currency,
    )  # fmt: skip


def test_value_in_whole_units_as_the_worksheet_prints_it() -> None:
    """Vol. 8, figure 2-1, rounds to whole dollars; a currency without minor units rounds in the same places."""
    found = valued("JPY")
    assert (found.discount_minor, found.tax_minor, found.freight_minor) == (89_804, 64_240, 10_082)
    assert found.value_minor == 1_181_907


def test_value_to_the_cent() -> None:
    """The same, recomputed: freight 10,081.51, value 1,181,906.25."""
    found = valued("USD")
    assert (found.freight_minor, found.value_minor) == (10_081_51, 1_181_906_25)


FIGURE = Owning(
    value=Decimal(1_181_907), life_h=Decimal(20_000), hours_per_year=Decimal(1_540), salvage_percent=Decimal(20),
    money_percent_per_year=Decimal(4), tire_cost=Decimal(10_560), tire_index=Decimal("0.944"),
)  # fmt: skip
RUNNING = Operating(
    engine="diesel", power_hp=Decimal(100), load=Decimal("0.5"), fuel_price_per_gallon=Decimal(1),
    service_share=Decimal(0), repair_factor=Decimal("0.5"), tires=Tires(Decimal(1), Decimal(3_000)),
    labor_factor=Decimal("0.9"),
)  # fmt: skip


@pytest.mark.parametrize("index", [Decimal("0.944"), Decimal(2_373) / Decimal(2_515)])
def test_depreciation_of_an_hour(index: Decimal) -> None:
    """Vol. 8, figure 2-1, parts 3 and 4: 12.99 years; 46.78 an hour by the printed index and the exact one."""
    assert round(index, 3) == Decimal("0.944")
    owning = replace(FIGURE, tire_index=index)
    found = hourly_elements(owning=owning, operating=RUNNING, currency="USD")
    assert found.depreciation_minor == 46_78
    years = next(step.value for step in found.steps if step.name == "years of life")
    assert round(years, 2) == 12.99


@pytest.mark.parametrize(("engine", "gallons"), [("gasoline", "0.1"), ("diesel", "0.0514286")])
def test_fuel_factors(engine: str, gallons: str) -> None:
    """Vol. 10, 2.23: gasoline 0.60 lb per hp-hour and 6 lb per gallon; diesel 0.36 and 7. Full load, 1,000 hp."""
    operating = Operating(
        engine=engine, power_hp=Decimal(1_000), load=Decimal(1), fuel_price_per_gallon=Decimal(1),  # type: ignore[arg-type]
        service_share=Decimal("0.2"), repair_factor=Decimal(0), tires=RUNNING.tires,
    )  # fmt: skip
    found = hourly_elements(owning=FIGURE, operating=operating, currency="USD")
    assert found.fuel_minor == round(Decimal(gallons) * 100_000)
    assert found.filters_oil_grease_minor == round(found.fuel_minor * 0.2)


def test_tires_and_repair() -> None:
    """Vols. 7 and 9, worksheet 5.d to 5.f: formulas read, figures recomputed."""
    found = hourly_elements(owning=FIGURE, operating=RUNNING, currency="USD")
    assert found.tire_wear_minor == 293  # 1.5 x 10,560 / (1.8 x 1 x 3,000) = 2.933
    assert found.tire_repair_minor == 40  # 2.93 x 0.15 x 0.9 = 0.396
    assert found.repair_minor == 26_37  # (1,181,907 - 0.944 x 10,560) x 0.5 x 0.9 / 20,000 = 26.369


# Vol. 1, table 2-2, average conditions: depreciation, cost of money, fuel, filters/oil/grease, tire wear, tire repair,
# repair; then the rate.
ROWS = {
    "R30CA010": ((683, 107, 410, 120, 47, 8, 684), 2059),
    "R30CA011": ((837, 130, 616, 180, 44, 8, 837), 2652),
    "R30CA012": ((2038, 493, 1290, 377, 0, 0, 2465), 6663),
    "R30CA014": ((1324, 212, 616, 180, 157, 27, 1329), 3845),
    "R30RS003": ((530, 83, 498, 146, 36, 6, 531), 1830),
}


@pytest.mark.parametrize("unit", ROWS)
def test_an_hourly_rate_is_the_sum_of_its_seven_elements(unit: str) -> None:
    """Vol. 1, table 2-2."""
    elements, rate = ROWS[unit]
    assert HourlyElements(*elements, "USD").hour_minor == rate


def test_hourly_rates_of_the_worksheet() -> None:
    """Vol. 10, figure 2-1, part 6: owning 46.39 + 16.96 = 63.35, operating 91.74, together 155.09; 149.44 in weeks
    of 60 hours; standby 40.16. Operating cost is put into one element here."""
    found = HourlyElements(46_39, 16_96, 91_74, 0, 0, 0, 0, "USD")
    assert (found.owning_minor, found.operating_minor, found.hour_minor) == (63_35, 91_74, 155_09)
    assert hour_in_other_shifts(elements=found, hours_per_week=Decimal(60)).hour_minor == 149_44
    waiting = standby_hour(depreciation=Decimal("46.39"), cost_of_money=Decimal("16.96"), currency="USD")
    assert waiting.hour_minor == 40_16
