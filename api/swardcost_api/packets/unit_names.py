"""The names of units in a packet, and the units that its reader prefers.

A ton is always named: short, metric or long.
"""

from collections.abc import Iterable
from decimal import ROUND_HALF_UP, Decimal, localcontext
from fractions import Fraction

from swardcost_model.access import Ton, UnitSystem

from swardcost_api.packets.values import Measured
from swardcost_api.packets.wording import Words, named
from swardcost_api.units import TRADE_DIMENSIONS, UNITS, exact_ratio, trade_unit

NAMES: dict[str, tuple[str, str]] = {
    "meter": named("meter", "meters"),
    "millimeter": named("millimeter", "millimeters"),
    "centimeter": named("centimeter", "centimeters"),
    "kilometer": named("kilometer", "kilometers"),
    "inch": named("inch", "inches"),
    "foot": named("foot", "feet"),
    "yard": named("yard", "yards"),
    "mile": named("mile", "miles"),
    "square_meter": named("square meter", "square meters"),
    "hectare": named("hectare", "hectares"),
    "square_foot": named("square foot", "square feet"),
    "square_yard": named("square yard", "square yards"),
    "thousand_square_feet": named("thousand square feet", "thousand square feet"),
    "acre": named("acre", "acres"),
    "square_inch": named("square inch", "square inches"),
    "cubic_meter": named("cubic meter", "cubic meters"),
    "liter": named("liter", "liters"),
    "cubic_foot": named("cubic foot", "cubic feet"),
    "cubic_yard": named("cubic yard", "cubic yards"),
    "us_gallon": named("US gallon", "US gallons"),
    "us_bushel": named("US bushel", "US bushels"),
    "acre_inch": named("acre-inch", "acre-inches"),
    "acre_foot": named("acre-foot", "acre-feet"),
    "sprig_bushel_0_4_cubic_foot": named("sprig bushel of 0.4 cubic foot", "sprig bushels of 0.4 cubic foot"),
    "sprig_bushel_0_32_cubic_foot": named(
        "sprig bushel of 0.32 cubic foot", "sprig bushels of 0.32 cubic foot"
    ),
    "kilogram": named("kilogram", "kilograms"),
    "gram": named("gram", "grams"),
    "metric_ton": named("metric ton", "metric tons"),
    "pound": named("pound", "pounds"),
    "ounce": named("ounce", "ounces"),
    "short_ton": named("short ton", "short tons"),
    "long_ton": named("long ton", "long tons"),
    "hundredweight": named("hundredweight of 100 pounds", "hundredweights of 100 pounds"),
    "horsepower": named("horsepower", "horsepower"),
    "horsepower-hour": named("horsepower-hour", "horsepower-hours"),
    "hour": named("hour", "hours"),
    "minute": named("minute", "minutes"),
    "day": named("day", "days"),
    "week": named("week", "weeks"),
    "month": named("month", "months"),
    "year": named("year", "years"),
    "percent": named("percent", "percent"),
    "hole": named("hole", "holes"),
    "load": named("load", "loads"),
    "trip": named("trip", "trips"),
    "roll": named("roll", "rolls"),
    "big_roll": named("big roll", "big rolls"),
    "slab": named("slab", "slabs"),
    "pallet": named("pallet", "pallets"),
    "bag": named("bag", "bags"),
    "tree": named("tree", "trees"),
    "head": named("head", "heads"),
    "visit": named("visit", "visits"),
    "work_day": named("working day", "working days"),
    "rental_day": named("rental day", "rental days"),
    "rental_week": named("rental week", "rental weeks"),
    "rental_month": named("rental month", "rental months"),
    "lump_sum": named("lump sum", "lump sums"),
}
"""Names of simple units; a rate is made of two of them."""

NAMELESS = {"each", "ratio", ""}
"""What is only counted."""

_OF_METRIC = ("meter", "hectare", "liter", "gram", "metric_ton")
_TONS = ("short_ton", "metric_ton", "long_ton")
_MOST_PLACES, _DIGITS = 3, 4


def unit_name(words: Words, unit: str, number: Decimal | int) -> str:
    """The name of a unit as it goes with a number: ``short tons``, ``US gallons per minute``; empty for a bare count.

    A unit without a name of its own, such as one of a club's method, is printed as it is called.
    """
    first, _, second = unit.replace(" per ", "_per_").partition("_per_")
    if second:
        return words.say(
            "%(many)s per %(one)s", many=_simple(words, first, number), one=_simple(words, second, 1)
        )
    return _simple(words, unit, number)


def _simple(words: Words, unit: str, number: Decimal | int) -> str:
    if unit in NAMELESS:
        return ""
    if unit not in NAMES:
        return unit.replace("_", " ")
    return words.counted(*NAMES[unit], number)


def reader_unit(measured: Iterable[Measured], system: UnitSystem, ton: Ton) -> str | None:
    """The unit for quantities that stand in one column; `None` where they stay as they are.

    They stay where they are bought so, do not compare with each other, are of no known unit, or where all are in
    units of the reader's system already; but a computed quantity in an SI unit may be too large for it, as tons of
    sand are for kilograms.
    """
    found = list(measured)
    dimensions = {UNITS[one.unit].dimension if one.unit in UNITS else "" for one in found}
    if len(dimensions) != 1 or any(one.as_bought for one in found):
        return None
    dimension = dimensions.pop()
    if dimension not in TRADE_DIMENSIONS:
        return None
    si_unit = UNITS[found[0].unit].si_unit
    if all(_fits(one.unit, system, ton) for one in found) and any(one.unit != si_unit for one in found):
        return None
    largest = max(abs(Fraction(one.value) * UNITS[one.unit].si_exact) for one in found)
    unit = trade_unit(float(largest), si_unit, system, ton)
    return None if all(one.unit == unit for one in found) else unit


def _fits(unit: str, system: UnitSystem, ton: Ton) -> bool:
    for one in _TONS:
        if one in unit:
            return one == ton
    metric = any(name in unit for name in _OF_METRIC)
    return metric == (system == "metric")


def converted(one: Measured, unit: str) -> Fraction:
    """The quantity in another unit, exactly. Raises `ValueError` where they measure different things."""
    ratio = exact_ratio(UNITS[one.unit], UNITS[unit])
    if ratio is None:
        raise ValueError(f"{one.unit} cannot be expressed in {unit}")
    return Fraction(one.value) * ratio


def in_unit(measured: Iterable[Measured], unit: str) -> list[Measured]:
    """The quantities in another unit, rounded half up to as many places as leave the largest four digits or more."""
    exactly = [converted(one, unit) for one in measured]
    largest = max((abs(one) for one in exactly), default=Fraction())
    places = min(max(_DIGITS - len(str(int(largest))), 0), _MOST_PLACES)
    return [Measured(_rounded(one, places), unit) for one in exactly]


def _rounded(number: Fraction, places: int) -> Decimal:
    with localcontext() as context:
        context.prec = 60
        exact = Decimal(number.numerator) / Decimal(number.denominator)
        return exact.quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP)
