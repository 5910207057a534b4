"""Which units a quantity among the parameters takes: those that its JSON Schema lists, and no other."""

from typing import Any

import pytest
from pydantic import TypeAdapter, ValidationError
from swardcost_api.faults import faults_of
from swardcost_api.methods import frame
from swardcost_api.units import UNITS

QUANTITIES = [
    "AreaPace", "BoxVolume", "Coverage", "Density", "Duration", "Flow", "Length", "LengthOrZero", "Mass", "MassRate",
    "ShortLength", "ShortLengthOrZero", "Speed", "SprigRate", "Surface", "SurfaceOrZero", "Volume", "VolumeOrZero",
    "VolumeRate",
]  # fmt: skip


def adapter(name: str) -> TypeAdapter[Any]:
    return TypeAdapter(getattr(frame, name))


def offered(name: str) -> list[str]:
    units: list[str] = adapter(name).json_schema()["properties"]["unit"]["enum"]
    return units


@pytest.mark.parametrize("name", QUANTITIES)
def test_a_quantity_takes_the_units_it_offers_and_no_other(name: str) -> None:
    units = offered(name)
    assert len({UNITS[unit].dimension for unit in units}) == 1
    assert UNITS[units[0]].si_unit in units
    for unit in UNITS:
        if unit in units:
            adapter(name).validate_python({"value": "2", "unit": unit})
            continue
        with pytest.raises(ValidationError) as refused:
            adapter(name).validate_python({"value": "2", "unit": unit})
        (fault,) = faults_of(refused.value)
        assert fault.expected.endswith("in one of: " + ", ".join(units))


@pytest.mark.parametrize(
    ("name", "unit"),
    [
        ("ShortLength", "mile"), ("VolumeRate", "sprig_bushel_0_4_cubic_foot_per_acre"),
        ("Volume", "sprig_bushel_0_32_cubic_foot"), ("BoxVolume", "acre_foot"), ("Coverage", "acre"),
        ("Surface", "square_inch"),
    ],
)  # fmt: skip
def test_units_that_make_no_sense_are_not_offered(name: str, unit: str) -> None:
    assert unit in UNITS
    assert unit not in offered(name)
