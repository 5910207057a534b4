"""The units the service understands, each with its dimension and its factor to the SI unit of that dimension.

pint does the defining; the factors are computed once at import, so that arithmetic elsewhere is a
multiplication. Unit names are a closed list: a free text expression from a caller is never evaluated.

References
----------
NIST Handbook 44, Appendix C, for the customary units (through pint's definitions, which follow it).
"""

import math
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

import pint
from pydantic_core import PydanticCustomError
from swardcost_model.values import CURRENCY_DIGITS, MAX_PLACES, Quantity

_EXPRESSIONS: dict[str, tuple[str, dict[str, str]]] = {
    # dimension: (SI unit name, {unit name: pint expression})
    "length": ("meter", {
        "meter": "meter", "millimeter": "millimeter", "centimeter": "centimeter", "kilometer": "kilometer",
        "inch": "inch", "foot": "foot", "yard": "yard", "mile": "mile",
    }),
    "area": ("square_meter", {
        "square_meter": "meter**2", "hectare": "hectare", "square_foot": "foot**2", "square_yard": "yard**2",
        "thousand_square_feet": "1000 * foot**2", "acre": "43560 * foot**2", "square_inch": "inch**2",
    }),
    "volume": ("cubic_meter", {
        "cubic_meter": "meter**3", "liter": "liter", "cubic_foot": "foot**3", "cubic_yard": "yard**3",
        "us_gallon": "gallon", "us_bushel": "bushel", "acre_inch": "43560 * foot**2 * inch",
        "acre_foot": "43560 * foot**3",
        "sprig_bushel_0_4_cubic_foot": "0.4 * foot**3", "sprig_bushel_0_32_cubic_foot": "0.32 * foot**3",
    }),
    "mass": ("kilogram", {
        "kilogram": "kilogram", "gram": "gram", "metric_ton": "1000 * kilogram", "pound": "pound",
        "ounce": "ounce", "short_ton": "2000 * pound", "long_ton": "2240 * pound",
    }),
    "time": ("hour", {"hour": "hour", "minute": "minute"}),
    "density": ("kilogram_per_cubic_meter", {
        "kilogram_per_cubic_meter": "kilogram/meter**3", "pound_per_cubic_foot": "pound/foot**3",
        "short_ton_per_cubic_yard": "2000*pound/yard**3", "metric_ton_per_cubic_meter": "1000*kilogram/meter**3",
    }),
    "depth_rate": ("cubic_meter_per_square_meter", {
        "cubic_meter_per_square_meter": "meter",
        "cubic_foot_per_thousand_square_feet": "foot**3/(1000*foot**2)",
        "cubic_yard_per_thousand_square_feet": "yard**3/(1000*foot**2)",
        "liter_per_square_meter": "liter/meter**2",
        "us_bushel_per_acre": "bushel/(43560*foot**2)",
        "us_bushel_per_thousand_square_feet": "bushel/(1000*foot**2)",
        "sprig_bushel_0_4_cubic_foot_per_acre": "0.4*foot**3/(43560*foot**2)",
        "sprig_bushel_0_32_cubic_foot_per_acre": "0.32*foot**3/(43560*foot**2)",
    }),
    "mass_rate": ("kilogram_per_square_meter", {
        "kilogram_per_square_meter": "kilogram/meter**2", "pound_per_thousand_square_feet": "pound/(1000*foot**2)",
        "short_ton_per_acre": "2000*pound/(43560*foot**2)", "metric_ton_per_hectare": "1000*kilogram/hectare",
        "pound_per_acre": "pound/(43560*foot**2)", "kilogram_per_hectare": "kilogram/hectare",
        "gram_per_square_meter": "gram/meter**2",
    }),
    "speed": ("meter_per_hour", {
        "meter_per_hour": "meter/hour", "kilometer_per_hour": "kilometer/hour", "mile_per_hour": "mile/hour",
        "foot_per_hour": "foot/hour",
    }),
    "area_pace": ("square_meter_per_hour", {
        "square_meter_per_hour": "meter**2/hour", "square_foot_per_hour": "foot**2/hour",
        "acre_per_hour": "43560*foot**2/hour", "hectare_per_hour": "hectare/hour",
        "thousand_square_feet_per_hour": "1000*foot**2/hour",
    }),
    "mass_pace": ("kilogram_per_hour", {
        "kilogram_per_hour": "kilogram/hour", "short_ton_per_hour": "2000*pound/hour",
        "metric_ton_per_hour": "1000*kilogram/hour",
    }),
    "flow": ("cubic_meter_per_hour", {
        "cubic_meter_per_hour": "meter**3/hour", "liter_per_hour": "liter/hour", "liter_per_minute": "liter/minute",
        "us_gallon_per_hour": "gallon/hour", "us_gallon_per_minute": "gallon/minute",
    }),
    "ratio": ("ratio", {"ratio": "dimensionless", "percent": "percent"}),
}  # fmt: skip

_DIMENSION_WORDS = {
    "length": "a length", "area": "an area", "volume": "a volume", "mass": "a mass", "time": "a time",
    "density": "a density", "depth_rate": "a volume to an area", "mass_rate": "a mass to an area",
    "speed": "a speed", "area_pace": "an area to a time", "mass_pace": "a mass to a time", "ratio": "a share",
    "flow": "a volume to a time",
}  # fmt: skip
_COUNTED = ("each", "hole", "load", "trip", "roll", "big_roll", "slab", "pallet", "bag", "tree", "head", "visit",
            "work_day", "rental_day", "rental_week", "rental_month", "lump_sum")  # fmt: skip


@dataclass(frozen=True)
class Unit:
    """A unit: its name, dimension and how many SI units of that dimension it is, as a figure and exactly."""

    name: str
    dimension: str
    si_unit: str
    si_factor: float
    si_exact: Fraction

    @property
    def counted(self) -> bool:
        """Whether it is only ever bought whole: loads, rolls, pallets; not converted into anything else."""
        return self.si_unit == self.name and self.name in _COUNTED


def _define() -> dict[str, Unit]:
    registry: pint.UnitRegistry[Fraction] = pint.UnitRegistry(non_int_type=Fraction)
    units = {}
    for dimension, (si_unit, members) in _EXPRESSIONS.items():
        base = registry(members[si_unit])
        for name, expression in members.items():
            exact_factor = Fraction((registry(expression) / base).to("").magnitude)
            units[name] = Unit(name, dimension, si_unit, float(exact_factor), exact_factor)
    for name in _COUNTED:
        units[name] = Unit(name, f"count of {name}", name, 1.0, Fraction(1))
    return units


UNITS: dict[str, Unit] = _define()


def unit_named(name: str) -> Unit:
    """The unit of that name. Raises a validation error naming near matches when there is none."""
    try:
        return UNITS[name]
    except KeyError:
        raise PydanticCustomError(
            "unknown_unit",
            'a unit listed at /v1/units (a bare "ton" is never guessed: short_ton, metric_ton or long_ton)',
        ) from None


def to_si(quantity: Quantity, dimension: str) -> float:
    """The quantity in the SI unit of `dimension`.

    Raises a validation error (`unknown_unit`, `wrong_dimension`) that names the units that would do.
    """
    unit = unit_named(quantity.unit)
    if unit.dimension != dimension:
        raise PydanticCustomError(
            "wrong_dimension",
            "{dimension}, in one of: {units}",
            {
                "dimension": _DIMENSION_WORDS.get(dimension, f"a {dimension}"),
                "units": ", ".join(units_of(dimension)),
            },
        )
    return float(quantity.value) * unit.si_factor


def convert_si(value: float, si_unit: str, unit: Unit) -> float:
    """A figure in an SI unit, in `unit`. Raises `ValueError` where the two measure different things."""
    if unit.si_unit != si_unit:
        raise ValueError(f"{si_unit} cannot be expressed in {unit.name}")
    return value / unit.si_factor


def exact_ratio(unit: Unit, other: Unit) -> Fraction | None:
    """How many of `other` one of `unit` is, exactly: 1/2000 short tons a pound. `None` where they do not compare."""
    return unit.si_exact / other.si_exact if unit.dimension == other.dimension else None


def units_of(dimension: str) -> list[str]:
    """Names of the units of one dimension."""
    return [unit.name for unit in UNITS.values() if unit.dimension == dimension]


def without_dust(value: float) -> float:
    """A converted figure to twelve significant digits: free of binary dust, and never coarser than a ruler."""
    return float(f"{value:.12g}")


def exact(value: float, places: int = 9) -> Decimal:
    """A computed figure as a decimal, free of binary dust, for rounding into a purchase quantity."""
    return Decimal(repr(round(value, places)))


_TRADE_UNITS: dict[str, dict[str, tuple[tuple[str, float], ...]]] = {
    # SI unit: for each unit system, units from small to large, each used below so many SI units
    "meter": {
        "us_customary": (("inch", 0.9144), ("foot", 1609.344), ("mile", math.inf)),
        "metric": (("millimeter", 1.0), ("meter", 1000.0), ("kilometer", math.inf)),
    },
    "square_meter": {
        "us_customary": (("square_inch", 0.09290304), ("square_foot", 4046.8564224), ("acre", math.inf)),
        "metric": (("square_meter", 10_000.0), ("hectare", math.inf)),
    },
    "cubic_meter": {
        "us_customary": (("cubic_foot", 0.764554857984), ("cubic_yard", math.inf)),
        "metric": (("cubic_meter", math.inf),),
    },
    "kilogram": {
        "us_customary": (("pound", 907.18474), ("short_ton", math.inf)),
        "metric": (("kilogram", 1000.0), ("metric_ton", math.inf)),
    },
    "kilogram_per_cubic_meter": {"us_customary": (("pound_per_cubic_foot", math.inf),)},
    "kilogram_per_square_meter": {"us_customary": (("pound_per_thousand_square_feet", math.inf),)},
    "cubic_meter_per_square_meter": {
        "us_customary": (("cubic_foot_per_thousand_square_feet", math.inf),),
        "metric": (("liter_per_square_meter", math.inf),),
    },
    "meter_per_hour": {
        "us_customary": (("foot_per_hour", 804.672), ("mile_per_hour", math.inf)),
        "metric": (("meter_per_hour", 1000.0), ("kilometer_per_hour", math.inf)),
    },
    "square_meter_per_hour": {"us_customary": (("square_foot_per_hour", math.inf),)},
    "kilogram_per_hour": {
        "us_customary": (("short_ton_per_hour", math.inf),), "metric": (("metric_ton_per_hour", math.inf),),
    },
    "cubic_meter_per_hour": {"us_customary": (("us_gallon_per_minute", math.inf),)},
    "ratio": {"us_customary": (("percent", math.inf),), "metric": (("percent", math.inf),)},
}  # fmt: skip
TRADE_DIMENSIONS = {UNITS[si_unit].dimension for si_unit in _TRADE_UNITS} - {"ratio"}
"""What is measured in other units in the one system than in the other."""


def trade_unit(value: float, unit: str, unit_system: str, ton: str) -> str:
    """The unit in which a club reads a figure that is given in an SI unit; large masses in the club's own ton."""
    for name, below in _TRADE_UNITS.get(unit, {}).get(unit_system, ()):
        if abs(value) < below:
            return ton if name in ("short_ton", "metric_ton") else name
    return unit


def in_trade_units(value: float, unit: str, unit_system: str, ton: str) -> str:
    """A figure as the club reads it: ``"4.784 cubic yard"``; large masses in the club's own ton.

    To three places, but prices per unit to all the places they are kept in: ``"0.004125 USD per square foot"``.
    """
    read = trade_unit(value, unit, unit_system, ton)
    if read != unit:
        value, unit = value / UNITS[read].si_factor, read
    if _is_unit_price(unit):
        digits = f"{exact(value, MAX_PLACES).normalize():,f}"
    else:
        digits = f"{value:,.3f}".rstrip("0").rstrip(".")
    return digits if unit == "each" else f"{digits} {unit.replace('_', ' ')}"


def _is_unit_price(unit: str) -> bool:
    currency, per, _ = unit.partition(" per ")
    return bool(per) and currency in CURRENCY_DIGITS
