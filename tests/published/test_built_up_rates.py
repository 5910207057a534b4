"""Built-up hourly rates against published rules and examples; the source stands beside each check."""

from decimal import Decimal
from typing import Any

import pytest
from swardcost_api.engine.pricing.build_ups import HourlyRate, labor_rate, machine_rate
from swardcost_model.price_terms import LaborBuildUp, MachineBuildUp

FICA = [
    {"name": "Social security", "percent": "6.2", "bases": [{"year": 2024, "wages": "168600"}], "source": "IRS"},
    {"name": "Medicare", "percent": "1.45", "source": "IRS"},
]  # fmt: skip


def person(wage: str, hours: str, *, burden: Any = (), own: bool = False, **more: Any) -> HourlyRate:
    """The rate of one person."""
    grade = {"name": "Operator", "people": 1, "wage": wage, "hours_a_week": hours} | more
    given = {"grades": [grade], "burden": list(burden), "year": 2024, "own_staff": own}
    return labor_rate(LaborBuildUp.model_validate(given), "USD")


def of_week(rate: Decimal, hours: str) -> Decimal:
    """What a rate, printed to 0.0001, comes to in the week it was built up from."""
    return round(rate * Decimal(hours), 2)


def test_one_hourly_rate() -> None:
    """29 CFR 778.110(a), text of 2011: 46 hours at 12.00 are 588.00. The 40 hours within are 480.00, so of own
    staff 108.00 are new money."""
    found = person("12", "46")
    assert of_week(found.full, "46") == Decimal("588.00")
    assert of_week(person("12", "46", own=True).cash, "46") == Decimal("108.00")


def test_two_rates_in_a_week() -> None:
    """29 CFR 778.115, example of a newspaper column on DOL Fact Sheet 23: 30 h at 10, 15 h at 12; straight 480,
    pay 506.67. The second rate is stated as premium hours of 1.2 times the first."""
    twelve = {"hours": "15", "multiplier": "1.2", "rule": "12.00 an hour"}
    found = person("10", "45", premium=[twelve])
    assert of_week(found.full, "45") == Decimal("506.67")
    amounts = {one.name: one.amount for one in found.elements}
    assert of_week(amounts["Straight time"] + amounts["Premium pay"], "45") == Decimal("480.00")


def test_fringe_benefits_are_outside_the_overtime_base() -> None:
    """US DOL Prevailing Wage Resource Book; 29 CFR 5.32: 22.00 and 5.00 fringe, 44 hours, 1,232.00: 28.00 an hour."""
    assert person("22", "44", fringe_per_hour="5").full == Decimal("28.00")


def test_overtime_as_a_percentage_of_the_week() -> None:
    """US Army Corps of Engineers, EI 01D010, 1997 (UFC 3-700-02A), example 5-1: 40 hours and 8 at time and one half are
    52 hours paid for 48 worked, 8.33 %."""
    found = person("48", "48")
    assert found.full == Decimal("52.00")
    assert round((found.full / 48 - 1) * 100, 2) == Decimal("8.33")


def test_the_employers_part_of_social_security_and_medicare() -> None:
    """IRS Publication 15, 2024: 6.2 % up to 168,600 and 1.45 %, together 7.65 % of all wages, overtime pay too."""
    found = person("20", "50", burden=FICA)
    assert found.full == Decimal("22.00") * Decimal("1.0765")
    above = person("20", "50", burden=FICA, earned_before="168600")
    assert above.full == Decimal("22.00") * Decimal("1.0145")


def machine(**fields: str | dict[str, str]) -> dict[str, Decimal]:
    """Elements of the machine of USACE EP 1110-1-8, Vol. 8, July 2003, figure 2-1."""
    given = {
        "value": "1181907", "salvage_percent": "20", "life_hours": "20000", "hours_a_year": "1540",
        "money_percent_a_year": "4", "repair_factor": "0.5", "power_hp": "1000", "load": "1",
        "fuel_price_per_gallon": "1",
        "tires": {"cost": "10560", "wear_factor": "1", "life_hours": "3000", "price_index": "0.944"},
    }  # fmt: skip
    rate = machine_rate(MachineBuildUp.model_validate(given | fields), "USD")
    return {one.name: one.amount for one in rate.elements} | {"cash": rate.cash, "full": rate.full}


def test_depreciation_of_an_hour() -> None:
    """Vol. 8, figure 2-1, parts 3 and 4: 46.78 an hour. Owning is paid already, so it is no cash."""
    found = machine()
    assert found["Depreciation"] == Decimal("46.78")
    assert found["full"] - found["cash"] == found["Depreciation"] + found["Cost of money"]


@pytest.mark.parametrize(("engine", "fuel"), [("gasoline", "100.00"), ("diesel", "51.43")])
def test_fuel_of_an_hour(engine: str, fuel: str) -> None:
    """Vol. 10, 2.23: gasoline 0.60 lb per hp-hour and 6 lb per gallon; diesel 0.36 and 7. Full load, 1,000 hp."""
    assert machine(engine=engine)["Fuel"] == Decimal(fuel)
