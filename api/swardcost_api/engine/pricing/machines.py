"""Owned machines: what an hour of owning and operating one costs, element by element.

The method and its constants are those of a published agency schedule, worked in customary units of horsepower,
pounds of fuel, gallons and hundredweight of 100 lb, because its factors are.
"""

from dataclasses import dataclass, field
from decimal import Context, Decimal, localcontext
from typing import Literal

from swardcost_api.engine.derivation import Derivation
from swardcost_api.engine.pricing.money_working import MoneyWorking

METHOD = "USACE EP 1110-1-8, 2003, chapter 2"
POUNDS_PER_HP_HOUR = {"gasoline": Decimal("0.60"), "diesel": Decimal("0.36")}
POUNDS_PER_GALLON = {"gasoline": Decimal(6), "diesel": Decimal(7)}
Engine = Literal["gasoline", "diesel", "none"]
"""`none` is a machine without an engine of its own, such as one that is drawn."""
TIRE_COST_FACTOR = Decimal("1.5")
TIRE_LIFE_FACTOR = Decimal("1.8")
TIRE_REPAIR_SHARE = Decimal("0.15")
STANDBY_SHARE = Decimal("0.5")
SHIFT_HOURS_PER_WEEK = Decimal(40)

_EXACT = Context(prec=80)
"""Wide enough for the products here, which are divided once and last, so that halves are halves."""
_ZERO = Decimal(0)
_ONE = Decimal(1)


@dataclass(frozen=True, slots=True)
class MachineValue:
    """What a machine is worth at delivery, in minor units: list - discount + tax + freight."""

    discount_minor: int
    tax_minor: int
    freight_minor: int
    value_minor: int
    currency: str
    steps: Derivation = field(repr=False, compare=False)


def machine_value(
    *,
    list_price: Decimal,
    discount_percent: Decimal,
    tax_percent: Decimal,
    shipping_weight_cwt: Decimal,
    freight_per_cwt: Decimal,
    currency: str,
) -> MachineValue:
    """Value of a machine with its discount, tax on the discounted price, and freight by weight.

    ::

        value = list price - discount + tax + freight
        discount = list price x percent;  tax = (list price - discount) x percent;  freight = weight x rate

    Weight in hundredweight of 100 lb. Each amount is rounded half up to the minor unit (the source rounds to
    whole dollars). Limits: new machines; accessories belong into the list price.

    Raises `ValueError` for figures below zero or a discount above 100 %.

    References
    ----------
    USACE EP 1110-1-8, Construction Equipment Ownership and Operating Expense Schedule, July 2003, 2.10 to 2.14.
    """
    work = MoneyWorking(currency)
    work.price("list price", list_price)
    work.given("discount rate", discount_percent, "percent", zero=True)
    if discount_percent > 100:
        raise ValueError(f"discount rate: expected at most 100 percent; got {discount_percent}")
    work.given("tax rate", tax_percent, "percent", zero=True)
    work.given("shipping weight", shipping_weight_cwt, "hundredweight", zero=True)
    work.price("freight rate", freight_per_cwt, "hundredweight")
    discount = work.amount(
        "discount", list_price * discount_percent / 100, "list price x discount rate / 100",
        "list price", "discount rate", source=METHOD,
    )  # fmt: skip
    discounted = list_price - work.major(discount)
    tax = work.amount(
        "tax", discounted * tax_percent / 100, "(list price - discount) x tax rate / 100",
        "list price", "discount", "tax rate", source=METHOD,
    )  # fmt: skip
    freight = work.amount(
        "freight", shipping_weight_cwt * freight_per_cwt, "shipping weight x freight rate",
        "shipping weight", "freight rate", source=METHOD,
    )  # fmt: skip
    value = work.amount(
        "value", discounted + work.major(tax + freight), "list price - discount + tax + freight",
        "list price", "discount", "tax", "freight", source=METHOD,
    )  # fmt: skip
    return MachineValue(discount, tax, freight, value, currency, work.steps)


@dataclass(frozen=True, slots=True)
class Owning:
    """What is owned: value, life and use, and the cost of the money in it.

    Tires wear out before the machine and are paid for as wear, so depreciation leaves them out, at the price
    level of the year in which the machine was made (`tire_index`).
    """

    value: Decimal
    life_h: Decimal
    hours_per_year: Decimal
    salvage_percent: Decimal
    money_percent_per_year: Decimal
    tire_cost: Decimal = _ZERO
    tire_index: Decimal = _ONE


@dataclass(frozen=True, slots=True)
class Tires:
    """Tires: their wear factor and longest life; what they cost is with the machine."""

    wear_factor: Decimal
    life_h: Decimal


@dataclass(frozen=True, slots=True)
class Operating:
    """What runs: the engine with its load, and the factors for servicing, tires and repair.

    `load` is the average share of the rated power; `service_share` is filters, oil and grease as a share of
    fuel cost; `repair_factor` is repair over the life as a share of the value without tires.
    """

    engine: Engine
    power_hp: Decimal
    load: Decimal
    fuel_price_per_gallon: Decimal
    service_share: Decimal
    repair_factor: Decimal
    tires: Tires | None = None
    price_index: Decimal = _ONE
    labor_factor: Decimal = _ONE


@dataclass(frozen=True, slots=True)
class HourlyElements:
    """The seven elements of an hourly rate, in minor units; the rate is their sum."""

    depreciation_minor: int
    cost_of_money_minor: int
    fuel_minor: int
    filters_oil_grease_minor: int
    tire_wear_minor: int
    tire_repair_minor: int
    repair_minor: int
    currency: str
    steps: Derivation = field(default=(), repr=False, compare=False)

    @property
    def owning_minor(self) -> int:
        """Depreciation and cost of money."""
        return self.depreciation_minor + self.cost_of_money_minor

    @property
    def operating_minor(self) -> int:
        """What only a running machine costs."""
        return (
            self.fuel_minor + self.filters_oil_grease_minor + self.tire_wear_minor + self.tire_repair_minor
            + self.repair_minor
        )  # fmt: skip

    @property
    def hour_minor(self) -> int:
        """An hour at work, without the operator."""
        return self.owning_minor + self.operating_minor


def hourly_elements(*, owning: Owning, operating: Operating, currency: str) -> HourlyElements:
    """Owning and operating cost of a machine for an hour at work.

    ::

        depreciation  = (value x (1 - salvage) - tire index x tires) / life
        cost of money = value x average value factor x yearly rate / hours a year
        average value factor = ((years - 1) x (1 + salvage) + 2) / (2 x years);   years = life / hours a year
        fuel          = power x load x lb per hp-hour / lb per gallon x price
        filters, oil and grease = fuel x share x labor factor
        tire wear     = 1.5 x tires / (1.8 x wear factor x tire life);   tire repair = 0.15 x it x labor factor
        repair        = (value - tire index x tires) x repair factor x price index x labor factor / life

    Lives in hours; power in horsepower; fuel in US gallons. Each element is rounded half up to the minor unit
    before the sum. Limits: one shift of 40 hours a week, average conditions; the operator is not in it; a life
    of a year or more.

    Raises `ValueError` for figures that make no sense: salvage of 100 % or more, load above 1, tires worth
    more than what is depreciated, a life of less than a year, power without an engine.

    References
    ----------
    USACE EP 1110-1-8, Construction Equipment Ownership and Operating Expense Schedule, July 2003, chapter 2 and
    its rate computation worksheet. The average value factor is the mean of straight-line book values at the
    start of each year.
    """
    with localcontext(_EXACT):
        return _elements(MoneyWorking(currency), owning, operating)


def _elements(work: MoneyWorking, owning: Owning, operating: Operating) -> HourlyElements:
    depreciation, money = _owning(work, owning)
    fuel, service = _fuel(work, operating)
    wear, tire_repair = _tires(work, owning.tire_cost, operating)
    work.given("repair factor", operating.repair_factor, "ratio", zero=True)
    work.given("price index", operating.price_index, "ratio")
    repair = work.amount(
        "repair",
        (owning.value - owning.tire_index * owning.tire_cost)
        * operating.repair_factor * operating.price_index * operating.labor_factor / owning.life_h,
        "(value - tire index x tires) x repair factor x price index x labor factor / life",
        "value", "tire index", "tires", "repair factor", "price index", "labor factor", "life",
        per="hour", source=METHOD,
    )  # fmt: skip
    parts = (
        "depreciation", "cost of money", "fuel", "filters, oil and grease", "tire wear", "tire repair", "repair",
    )  # fmt: skip
    minors = (depreciation, money, fuel, service, wear, tire_repair, repair)
    work.amount("hourly rate", work.major(sum(minors)), " + ".join(parts), *parts, per="hour", source=METHOD)
    return HourlyElements(*minors, work.currency, work.steps)


def _owning(work: MoneyWorking, owning: Owning) -> tuple[int, int]:
    value, life, salvage = owning.value, owning.life_h, owning.salvage_percent
    work.given("value", value, work.currency)
    work.given("life", life, "hour")
    work.given("hours a year", owning.hours_per_year, "hour")
    work.given("salvage", salvage, "percent", zero=True)
    work.given("yearly rate", owning.money_percent_per_year, "percent", zero=True)
    work.price("tires", owning.tire_cost)
    work.given("tire index", owning.tire_index, "ratio")
    depreciable = value * (1 - salvage / 100) - owning.tire_index * owning.tire_cost
    if salvage >= 100 or depreciable < 0:
        raise ValueError("salvage and tires: expected less than the value together")
    if life < owning.hours_per_year:
        raise ValueError(f"life: expected at least the {owning.hours_per_year} hours of a year; got {life}")
    depreciation = work.amount(
        "depreciation", depreciable / life, "(value x (1 - salvage / 100) - tire index x tires) / life",
        "value", "salvage", "tire index", "tires", "life", per="hour", source=METHOD,
    )  # fmt: skip
    year = owning.hours_per_year
    work.figure(
        "years of life", life / year, "each", "life / hours a year", "life", "hours a year", source=METHOD
    )
    # The factor is average / (2 x life), in hours and without a division.
    average = (life - year) * (1 + salvage / 100) + 2 * year
    work.figure(
        "average value factor", average / (2 * life), "ratio",
        "((years of life - 1) x (1 + salvage / 100) + 2) / (2 x years of life)", "years of life", "salvage",
        source=METHOD,
    )  # fmt: skip
    money = work.amount(
        "cost of money", value * average * owning.money_percent_per_year / (2 * life * 100 * year),
        "value x average value factor x yearly rate / 100 / hours a year",
        "value", "average value factor", "yearly rate", "hours a year", per="hour", source=METHOD,
    )  # fmt: skip
    return depreciation, money


def _fuel(work: MoneyWorking, operating: Operating) -> tuple[int, int]:
    if operating.engine == "none":
        return _no_fuel(work, operating)
    if operating.engine not in POUNDS_PER_HP_HOUR:
        raise ValueError(
            f"engine: expected one of {', '.join(POUNDS_PER_HP_HOUR)}, none; got {operating.engine!r}"
        )
    pounds, weight = POUNDS_PER_HP_HOUR[operating.engine], POUNDS_PER_GALLON[operating.engine]
    work.given("power", operating.power_hp, "horsepower", zero=True)
    work.given("load", operating.load, "ratio", zero=True)
    if operating.load > 1:
        raise ValueError(f"load: expected a share of at most 1; got {operating.load}")
    work.price("price of fuel", operating.fuel_price_per_gallon, "us_gallon")
    work.figure(
        "fuel factor", operating.load * pounds / weight, "us_gallon per horsepower-hour",
        f"load x {pounds} / {weight}", "load", source=METHOD,
    )  # fmt: skip
    fuel = work.amount(
        "fuel", operating.power_hp * operating.load * pounds * operating.fuel_price_per_gallon / weight,
        "power x fuel factor x price of fuel", "power", "fuel factor", "price of fuel", per="hour", source=METHOD,
    )  # fmt: skip
    work.given("service share", operating.service_share, "ratio", zero=True)
    work.given("labor factor", operating.labor_factor, "ratio")
    service = work.amount(
        "filters, oil and grease", work.major(fuel) * operating.service_share * operating.labor_factor,
        "fuel x service share x labor factor", "fuel", "service share", "labor factor", per="hour", source=METHOD,
    )  # fmt: skip
    return fuel, service


def _no_fuel(work: MoneyWorking, operating: Operating) -> tuple[int, int]:
    """No fuel, and no filters, oil and grease, which are a share of it; what repair needs is taken in."""
    for name, value in (
        ("power", operating.power_hp),
        ("price of fuel", operating.fuel_price_per_gallon),
    ):
        if value:
            raise ValueError(f"{name}: expected 0 for a machine without an engine; got {value}")
    work.given("labor factor", operating.labor_factor, "ratio")
    work.price("fuel", _ZERO, "hour")
    work.price("filters, oil and grease", _ZERO, "hour")
    return 0, 0


def _tires(work: MoneyWorking, tire_cost: Decimal, operating: Operating) -> tuple[int, int]:
    if operating.tires is None:
        if tire_cost:
            raise ValueError("tires: expected their wear factor and life, for tires that have a cost")
        work.price("tire wear", _ZERO, "hour")
        work.price("tire repair", _ZERO, "hour")
        return 0, 0
    tires = operating.tires
    work.given("tire wear factor", tires.wear_factor, "ratio")
    work.given("tire life", tires.life_h, "hour")
    wear = work.amount(
        "tire wear", TIRE_COST_FACTOR * tire_cost / (TIRE_LIFE_FACTOR * tires.wear_factor * tires.life_h),
        f"{TIRE_COST_FACTOR} x tires / ({TIRE_LIFE_FACTOR} x tire wear factor x tire life)",
        "tires", "tire wear factor", "tire life", per="hour", source=METHOD,
    )  # fmt: skip
    repair = work.amount(
        "tire repair", TIRE_REPAIR_SHARE * work.major(wear) * operating.labor_factor,
        f"{TIRE_REPAIR_SHARE} x tire wear x labor factor", "tire wear", "labor factor", per="hour", source=METHOD,
    )  # fmt: skip
    return wear, repair


@dataclass(frozen=True, slots=True)
class HourCost:
    """What an hour costs, in minor units."""

    hour_minor: int
    currency: str
    steps: Derivation = field(repr=False, compare=False)


def standby_hour(*, depreciation: Decimal, cost_of_money: Decimal, currency: str) -> HourCost:
    """An hour in which a machine waits on the site: half the depreciation and all of the cost of money.

    Hourly figures in `currency`. Raises `ValueError` for figures below zero.

    References
    ----------
    USACE EP 1110-1-8, July 2003, rate computation worksheet, 6.c.
    """
    work = MoneyWorking(currency)
    work.price("depreciation", depreciation, "hour")
    work.price("cost of money", cost_of_money, "hour")
    hour = work.amount(
        "standby", STANDBY_SHARE * depreciation + cost_of_money,
        f"{STANDBY_SHARE} x depreciation + cost of money", "depreciation", "cost of money", per="hour",
        source=METHOD,
    )  # fmt: skip
    return HourCost(hour, currency, work.steps)


def hour_in_other_shifts(*, elements: HourlyElements, hours_per_week: Decimal) -> HourCost:
    """An hour at work where the week has other than 40 hours: the cost of money spreads over more of them.

    ::

        depreciation + cost of money x 40 / hours a week + operating cost

    Raises `ValueError` unless the week has more than 0 and at most 168 hours.

    References
    ----------
    USACE EP 1110-1-8, July 2003, rate computation worksheet, 6.b.
    """
    work = MoneyWorking(elements.currency)
    work.given("hours a week", hours_per_week, "hour")
    if hours_per_week > 168:
        raise ValueError(f"hours a week: expected at most 168; got {hours_per_week}")
    depreciation = work.price("depreciation", work.major(elements.depreciation_minor), "hour")
    money = work.price("cost of money", work.major(elements.cost_of_money_minor), "hour")
    running = work.price("operating cost", work.major(elements.operating_minor), "hour")
    hour = work.amount(
        "hourly rate", depreciation + money * SHIFT_HOURS_PER_WEEK / hours_per_week + running,
        f"depreciation + cost of money x {SHIFT_HOURS_PER_WEEK} / hours a week + operating cost",
        "depreciation", "cost of money", "hours a week", "operating cost", per="hour", source=METHOD,
    )  # fmt: skip
    return HourCost(hour, elements.currency, work.steps)
