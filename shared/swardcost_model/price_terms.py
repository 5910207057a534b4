"""What a price list says beside the unit price: breaks, minimums, delivery, surcharges, rental, and rate build-ups.

All amounts of money here are in the currency of the item's price, and plain decimals.
"""

from decimal import Decimal
from typing import Annotated, Literal, Self

from pydantic import Field, StringConstraints, model_validator
from pydantic_core import PydanticCustomError

from swardcost_model.values import (
    Currency,
    Day,
    Name,
    NonNegative,
    Percent,
    Positive,
    Quantity,
    Text,
    UnitName,
    Value,
)


class PriceTier(Value):
    """A price that holds from a quantity on, in the item's unit."""

    from_quantity: Positive = Field(
        description="Where the tier begins. With `each_tier` its price is for what is beyond this quantity; with "
        "`whole_quantity` it is for everything once this quantity is reached.",
        examples=["100"],
    )
    below: Positive | None = Field(
        default=None,
        description="Where the tier ends. May be left out: it ends where the next begins, the last one never.",
    )
    unit_price: NonNegative = Field(examples=["36.00"])


class Breaks(Value):
    """Quantity breaks. Below the first tier the item's unit price holds."""

    apply: Literal["each_tier", "whole_quantity"] = Field(
        description="Each tier's price for the part of the quantity in it, or the price of the tier reached for the "
        "whole quantity. With the latter a little more can cost less in all.",
    )
    tiers: list[PriceTier] = Field(min_length=1, max_length=50, description="In any order.")

    @model_validator(mode="after")
    def _without_gap_or_overlap(self) -> Self:
        tiers = sorted(self.tiers, key=lambda tier: tier.from_quantity)
        for tier, following in zip(tiers, [*tiers[1:], None], strict=True):
            end = following.from_quantity if following else None
            if end == tier.from_quantity:
                raise PydanticCustomError(
                    "tiers_overlap", "tiers that do not overlap; two begin at {at}", {"at": str(end)}
                )
            if tier.below is not None and tier.below != end:
                begins = "no tier" if end is None else str(end)
                word = "overlap" if end is not None and tier.below > end else "leave a gap"
                raise PydanticCustomError(
                    "tiers_apart",
                    "tiers without gap or overlap: the one from {start} ends below {below}, the next begins at "
                    "{begins}, so they {word}",
                    {"start": str(tier.from_quantity), "below": str(tier.below), "begins": begins, "word": word},
                )  # fmt: skip
        return self


class ByLoad(Value):
    """Delivery charged by whole loads."""

    by: Literal["load"] = "load"
    load_size: Positive = Field(description="What a load holds, in the item's unit.", examples=["22"])
    charge: NonNegative = Field(description="For each load.", examples=["145.00"])


class ByMassAndDistance(Value):
    """Delivery charged by mass times distance."""

    by: Literal["mass_distance"] = "mass_distance"
    rate: NonNegative = Field(description="For each mass unit carried one distance unit.", examples=["0.28"])
    mass_unit: UnitName = Field(examples=["short_ton"])
    distance: Quantity = Field(description="One way.", examples=[{"value": "34", "unit": "mile"}])
    mass_of_one: Quantity | None = Field(
        default=None, description="Mass of one of the item's unit, where that is not a unit of mass itself."
    )
    least: NonNegative = Field(default=Decimal(0), description="Least charge of a delivery.")


class Zone(Value):
    """A delivery zone and its charge."""

    name: Name = Field(examples=["Zone 2, 10 to 25 miles"])
    charge: NonNegative


class ByZone(Value):
    """Delivery charged by the zone in which the club lies."""

    by: Literal["zone"] = "zone"
    zones: list[Zone] = Field(min_length=1, max_length=50)
    zone: Name = Field(description="The zone of the club: one of the names in `zones`.")
    load_size: Positive | None = Field(
        default=None,
        description="What a load holds, where the charge is for each load; else it is for the order.",
    )

    @model_validator(mode="after")
    def _zone_is_listed(self) -> Self:
        names = [zone.name for zone in self.zones]
        if len(set(names)) < len(names):
            raise PydanticCustomError("zone_twice", "each zone once")
        if self.zone not in names:
            raise PydanticCustomError("zone_unknown", "a `zone` that is one of `zones`")
        return self


Delivery = Annotated[ByLoad | ByMassAndDistance | ByZone, Field(discriminator="by")]


class Surcharge(Value):
    """Something charged on top, such as fuel, or for work at the weekend."""

    name: Name = Field(examples=["Fuel"])
    percent: Percent | None = Field(default=None, description="Of the amount it is charged on.")
    per_unit: NonNegative | None = Field(default=None, description="For each of the item's unit.")
    per_order: NonNegative | None = Field(
        default=None,
        description="Once for each line bought; one of the weekend, once if any of the line falls there.",
    )
    on: Literal["price", "delivery", "both"] = Field(
        default="price",
        description="Which amounts a percentage is charged on; the price with its minimum charge, never another "
        "surcharge.",
    )
    when: Literal["always", "weekend"] = Field(
        default="always",
        description="A weekend surcharge is charged for the share of the quantity that the scope item states as "
        "delivered or done at the weekend.",
    )

    @model_validator(mode="after")
    def _one_way(self) -> Self:
        if sum(one is not None for one in (self.percent, self.per_unit, self.per_order)) != 1:
            raise PydanticCustomError("one_way", "exactly one of percent, per_unit and per_order")
        if self.percent is None and self.on != "price":
            raise PydanticCustomError("on_needs_percent", "`on` together with `percent` alone")
        return self


class QuantityBands(Value):
    """A unit-price contract whose price changes where the quantity leaves a band about the contract quantity."""

    contract_quantity: Positive = Field(description="The quantity of the contract, in the item's unit.")
    over_percent: Percent = Field(default=Decimal(15), description="How far above it the unit price holds.")
    under_percent: Percent = Field(default=Decimal(15), description="How far below it the unit price holds.")
    price_over: NonNegative | None = Field(
        default=None, description="Unit price of the part beyond the over-run; null where it stays."
    )
    price_under: NonNegative | None = Field(
        default=None, description="Unit price of the whole quantity after an under-run; null where it stays."
    )

    @model_validator(mode="after")
    def _says_something(self) -> Self:
        if self.price_over is None and self.price_under is None:
            raise PydanticCustomError("no_band_price", "price_over or price_under")
        if self.under_percent > 100:
            raise PydanticCustomError("under_percent", "an under_percent of at most 100")
        return self


IncrementName = Annotated[
    str,
    StringConstraints(strip_whitespace=True, pattern=r"^[A-Za-z0-9][A-Za-z0-9 ._/-]*$", max_length=30),
]
"""A short word for a package, since it is printed in the rounding of every line: load, pallet, roll, super sack."""


class PurchaseTerms(Value):
    """How something is bought: in which amounts, with which breaks and charges."""

    form: Literal["purchase"] = "purchase"
    increment: Positive | None = Field(
        default=None,
        description="It is bought in whole multiples of this, in the item's unit, instead of in whole units or "
        "hundredths of them.",
        examples=["22"],
    )
    increment_name: IncrementName | None = Field(
        default=None, description="What the trade calls one: load, pallet, roll, bag.", examples=["load"]
    )
    minimum_order: Positive | None = Field(
        default=None,
        description="Least quantity sold, in the item's unit; met by the next whole increment where there is one.",
    )
    minimum_charge: Positive | None = Field(
        default=None, description="Least amount charged for a line, before delivery and surcharges."
    )
    breaks: Breaks | None = None
    bands: QuantityBands | None = None
    delivery: Delivery | None = None
    surcharges: list[Surcharge] = Field(default_factory=list, max_length=20)
    lead_time_days: Annotated[int, Field(ge=0, le=1000, strict=True)] | None = Field(
        default=None, description="Calendar days from order to delivery."
    )

    @model_validator(mode="after")
    def _fits_together(self) -> Self:
        names = [surcharge.name for surcharge in self.surcharges]
        if len(set(names)) < len(names):
            raise PydanticCustomError("surcharge_twice", "each surcharge name once")
        if self.breaks is not None and self.bands is not None:
            raise PydanticCustomError("breaks_and_bands", "breaks or bands, not both")
        if self.increment_name is not None and self.increment is None:
            raise PydanticCustomError("increment_name", "an increment beside its name")
        if self.delivery is None and any(one.on == "delivery" for one in self.surcharges):
            raise PydanticCustomError(
                "surcharge_on_nothing", "a delivery, since a surcharge is charged on it"
            )
        return self


class RentalPeriod(Value):
    """A rate for a period of so many calendar days, with the running hours that it includes."""

    name: Name = Field(examples=["week"])
    days: int = Field(ge=1, le=366, strict=True, examples=[7])
    price: NonNegative = Field(examples=["1450.00"])
    included_hours: Positive | None = Field(
        default=None, description="Running hours that the price includes; null where they are not metered."
    )
    over_hour_price: NonNegative | None = Field(
        default=None, description="Each hour beyond them; null for the price divided by the included hours."
    )


class HourlyRate(Value):
    """A rate by the running hour, with the least hours charged on each day that the machine is kept."""

    price: NonNegative
    least_hours_a_day: Positive


class RentalFuel(Value):
    """Fuel that the hirer buys."""

    use_per_hour: Positive = Field(description="In `unit` for each running hour.")
    unit: UnitName = Field(examples=["us_gallon"])
    price: NonNegative = Field(description="Of one `unit`.")


class RentalRates(Value):
    """What is asked for a hired machine: rates to choose from, and what comes on top."""

    periods: list[RentalPeriod] = Field(default_factory=list, max_length=10)
    hourly: HourlyRate | None = None
    delivery: NonNegative = Decimal(0)
    pick_up: NonNegative = Decimal(0)
    damage_waiver_percent: Percent = Field(default=Decimal(0), description="Of the time charge.")
    fuel: RentalFuel | None = None

    @model_validator(mode="after")
    def _has_rates(self) -> Self:
        names = [period.name for period in self.periods] + (["hour"] if self.hourly else [])
        if not names:
            raise PydanticCustomError("no_rates", "at least one period or an hourly rate")
        if len(set(names)) < len(names):
            raise PydanticCustomError("period_twice", "each period name once, and none named hour")
        return self


class RentalTerms(RentalRates):
    """A hired machine, its item's unit being the hour. The cheapest cover of the days needed is found."""

    form: Literal["rental"] = "rental"
    hours_a_day: Positive = Field(
        default=Decimal(8),
        description="Most running hours on a working day, by which the days needed are found.",
    )
    works_weekends: bool = Field(default=False, description="Whether Saturdays and Sundays are working days.")

    @model_validator(mode="after")
    def _a_day_holds_them(self) -> Self:
        if self.hours_a_day > 24:
            raise PydanticCustomError("hours_a_day", "at most 24 hours a day")
        return self


class WageBase(Value):
    """The most of one person's wages in a calendar year on which something is charged."""

    year: int = Field(ge=1990, le=2100, strict=True)
    wages: Positive


class PercentOfWages(Value):
    """A percentage of wages, such as a payroll tax."""

    name: Name = Field(examples=["Social security, employer's part"])
    percent: Percent = Field(examples=["6.2"])
    bases: list[WageBase] = Field(
        default_factory=list, max_length=30, description="Wage bases by year; none where all wages count."
    )
    source: Name = Field(examples=["IRS Publication 15"])

    @model_validator(mode="after")
    def _a_base_a_year(self) -> Self:
        if len({base.year for base in self.bases}) < len(self.bases):
            raise PydanticCustomError("year_twice", "each year once in `bases`")
        return self


class AmountByHour(Value):
    """An amount for each hour paid, such as health insurance by the hour."""

    name: Name
    per_hour: NonNegative
    source: Name


class PremiumHours(Value):
    """Hours of the week paid at a multiple: Sundays, holidays, nights."""

    hours: Positive
    multiplier: Positive = Field(description="Above 1.", examples=["2"])
    rule: Name = Field(description="The rule, in words.", examples=["Sundays at double time, house rule"])


class Grade(Value):
    """People of one grade in a crew, with their wage and the hours of their usual week during the work."""

    name: Name = Field(examples=["Equipment operator"])
    people: int = Field(ge=1, le=500, strict=True)
    wage: NonNegative = Field(description="Base wage an hour.", examples=["24.00"])
    hours_a_week: Positive = Field(
        description="All hours of the week, premium hours among them.", examples=["46"]
    )
    premium: list[PremiumHours] = Field(default_factory=list, max_length=10)
    fringe_per_hour: NonNegative = Field(
        default=Decimal(0), description="Paid for every hour, outside overtime."
    )
    earned_before: NonNegative = Field(
        default=Decimal(0), description="Wages of one person in the year before this work, for wage bases."
    )

    @model_validator(mode="after")
    def _a_week_holds_it(self) -> Self:
        if self.hours_a_week > 168:
            raise PydanticCustomError("hours_a_week", "at most 168 hours a week")
        if sum(one.hours for one in self.premium) > self.hours_a_week:
            raise PydanticCustomError("premium_hours", "no more premium hours than hours a week")
        if any(one.multiplier <= 1 for one in self.premium):
            raise PydanticCustomError("multiplier", "multipliers above 1")
        return self


class LaborBuildUp(Value):
    """From wages to the cost of a person-hour: overtime by week, premium days and burden."""

    form: Literal["labor"] = "labor"
    grades: list[Grade] = Field(min_length=1, max_length=20)
    burden: list[PercentOfWages | AmountByHour] = Field(default_factory=list, max_length=30)
    year: int = Field(ge=1990, le=2100, strict=True, description="Calendar year of the wage bases.")
    own_staff: bool = Field(
        description="Whether their regular hours are in the operating budget already; then only overtime hours and "
        "premium pay, with their burden, are cash."
    )

    @model_validator(mode="after")
    def _names_once(self) -> Self:
        for what, names in (
            ("grade", [g.name for g in self.grades]),
            ("burden", [b.name for b in self.burden]),
        ):
            if len(set(names)) < len(names):
                raise PydanticCustomError("name_twice", "each {what} name once", {"what": what})
        return self


class Tires(Value):
    """Tires of a machine."""

    cost: Positive
    wear_factor: Positive
    life_hours: Positive
    price_index: Positive = Field(default=Decimal(1), description="Tire index of the agency's tables.")


class MachineBuildUp(Value):
    """From purchase to the cost of an hour of an owned machine, after USACE EP 1110-1-8."""

    form: Literal["owned_machine"] = "owned_machine"
    value: Positive = Field(description="What it cost, with tax and freight.", examples=["64000"])
    salvage_percent: Percent = Field(examples=["20"])
    life_hours: Positive = Field(examples=["8000"])
    hours_a_year: Positive = Field(examples=["600"])
    money_percent_a_year: Percent = Field(description="Cost of money.", examples=["5"])
    tires: Tires | None = None
    engine: Literal["diesel", "gasoline", "none"] = "diesel"
    power_hp: NonNegative = Field(default=Decimal(0), description="0 without an engine.", examples=["55"])
    load: NonNegative = Field(
        default=Decimal("0.5"), le=Decimal(1), description="Mean share of the engine's power."
    )
    fuel_price_per_gallon: NonNegative = Field(
        default=Decimal(0), description="Of a US gallon; 0 without an engine.", examples=["4.20"]
    )
    service_share: NonNegative = Field(
        default=Decimal("0.3"), description="Filters, oil and grease as a share of fuel."
    )
    repair_factor: NonNegative = Field(
        description="Repair over the life as a share of the value.", examples=["0.7"]
    )

    @model_validator(mode="after")
    def _an_engine_burns_fuel(self) -> Self:
        given = [one > 0 for one in (self.power_hp, self.fuel_price_per_gallon)]
        if self.engine == "none" and any(given):
            raise PydanticCustomError("no_engine", "no power_hp and no fuel price without an engine")
        if self.engine != "none" and not all(given):
            raise PydanticCustomError(
                "engine_without_fuel",
                "power_hp and fuel_price_per_gallon above zero, or the engine `none`",
            )
        return self


Terms = Annotated[PurchaseTerms | RentalTerms | LaborBuildUp | MachineBuildUp, Field(discriminator="form")]
"""How an item is priced beyond its unit price. With a build-up the unit price is computed, not stated."""


class VendorTermsFields(Value):
    """What holds for all of a vendor's items in an edition."""

    currency: Currency = Field(description="Currency of the vendor's prices.", examples=["CAD"])
    exchange_rate: Positive | None = Field(
        default=None,
        description="One unit of the vendor's currency in the edition's; needed where they differ.",
        examples=["0.7312"],
    )
    rate_date: Day | None = None
    rate_source: Name | None = Field(default=None, examples=["Central bank, noon rate"])
    mobilization: NonNegative = Field(
        default=Decimal(0),
        description="Charged once a visit, in the vendor's currency, shared over the lines of it.",
    )
    note: Text = ""
