"""Delivery of what is bought: by whole loads, by mass and distance, or by the zone in which the club lies."""

from decimal import Decimal

from swardcost_model.price_terms import ByLoad, ByMassAndDistance, ByZone, Delivery
from swardcost_model.values import from_minor

from swardcost_api.engine.derivation import Derivation, Input, Step
from swardcost_api.engine.pricing.bought import TERMS, Bought, in_words, plural, whole_up
from swardcost_api.engine.pricing.charge import Charge, Part
from swardcost_api.engine.pricing.charging import charge_by_quantity, charge_of_amount
from swardcost_api.engine.pricing.lines import purchase_quantity


def delivery_charge(
    bought: Bought, *, delivery: Delivery, currency: str, mass_of_one: Decimal | None = None
) -> Charge:
    """The charge for delivering what is bought.

    ::

        by load:              whole loads x charge of a load
        by mass and distance: quantity x mass of one x distance x rate, or the least charge
        by zone:              charge of the zone, once or for each whole load

    `mass_of_one` is the mass of one of the item's unit in the mass unit of the rate. It may be left out where
    the two units are the same. Mass times distance is rounded half up to 0.01 and printed in a unit named
    after both, such as `short_ton_mile`; the distance is one way.

    Raises `ValueError` where the mass is needed and not known.

    References
    ----------
    Common practice of suppliers and haulers. A ton-mile is a ton carried a mile (USACE, Waterborne Commerce of
    the United States).
    """
    if isinstance(delivery, ByLoad):
        return _by_load(bought, "Delivery", delivery.load_size, delivery.charge, currency)
    if isinstance(delivery, ByMassAndDistance):
        return _by_mass_and_distance(bought, delivery, currency, mass_of_one)
    return _by_zone(bought, delivery, currency)


def _by_load(bought: Bought, words: str, load_size: Decimal, charge: Decimal, currency: str) -> Charge:
    loads = whole_up(bought.quantity / load_size)
    step = Step(
        "loads", float(loads), "load", "purchase quantity / load size, rounded up",
        (bought.figure, Input("load size", float(load_size), bought.unit)), TERMS,
    )  # fmt: skip
    return charge_by_quantity(
        Part.DELIVERY, f"{words}, {in_words(loads)} load{'' if loads == 1 else 's'}", loads, "load", charge,
        currency, names=("loads", "charge of one"), source=TERMS, rounding="up to whole loads",
        before=(*bought.steps, step),
    )  # fmt: skip


def _by_zone(bought: Bought, delivery: ByZone, currency: str) -> Charge:
    charge = next(zone.charge for zone in delivery.zones if zone.name == delivery.zone)
    words = f"Delivery, {delivery.zone}"
    if delivery.load_size is not None:
        return _by_load(bought, words, delivery.load_size, charge, currency)
    return charge_by_quantity(
        Part.DELIVERY, words, Decimal(1), "each", charge, currency,
        names=("orders", "charge of the zone"), source=TERMS,
    )  # fmt: skip


def _by_mass_and_distance(
    bought: Bought, delivery: ByMassAndDistance, currency: str, mass_of_one: Decimal | None
) -> Charge:
    mass_each, mass_steps = _mass_of_one(bought, delivery.mass_unit, mass_of_one)
    distance = delivery.distance
    unit = f"{delivery.mass_unit}_{distance.unit}"
    carried, rounding = purchase_quantity(
        float(bought.quantity * mass_each * distance.value), Decimal(0), False, unit
    )
    step = Step(
        "mass times distance", float(carried), unit, f"mass x distance, rounded {rounding}",
        (
            Input("mass", float(bought.quantity * mass_each), delivery.mass_unit),
            Input("distance", float(distance.value), distance.unit),
        ),
        TERMS,
    )  # fmt: skip
    steps = (*bought.steps, *mass_steps, step)
    words = f"Delivery over {in_words(distance.value)} {plural(distance.unit)}"
    charge = charge_by_quantity(
        Part.DELIVERY, words, carried, unit, delivery.rate, currency, names=("mass times distance", "rate"),
        source=TERMS, rounding=rounding, before=steps,
    )  # fmt: skip
    if from_minor(charge.amount_minor, currency) >= delivery.least:
        return charge
    return charge_of_amount(
        Part.DELIVERY, f"{words}, least charge", delivery.least, currency,
        formula="max(mass times distance x rate, least charge)", source=TERMS, before=steps,
        inputs=(
            *charge.steps[-1].inputs, Input("least charge", float(delivery.least), currency),
        ),
    )  # fmt: skip


def _mass_of_one(bought: Bought, mass_unit: str, mass_of_one: Decimal | None) -> tuple[Decimal, Derivation]:
    """Mass of one of the item's unit, and the step of the mass of all."""
    if mass_of_one is None:
        if bought.unit != mass_unit:
            raise ValueError(
                f"mass of one: expected the mass of one {bought.unit} in {mass_unit}, by which delivery is charged"
            )
        mass = Step(
            "mass", float(bought.quantity), mass_unit, bought.figure.name, (bought.figure,), "arithmetic"
        )
        return Decimal(1), (mass,)
    if not (mass_of_one.is_finite() and mass_of_one > 0):
        raise ValueError(f"mass of one: expected more than zero, in {mass_unit}; got {mass_of_one}")
    mass = Step(
        "mass", float(bought.quantity * mass_of_one), mass_unit, "purchase quantity x mass of one",
        (bought.figure, Input("mass of one", float(mass_of_one), mass_unit)), "arithmetic",
    )  # fmt: skip
    return mass_of_one, (mass,)
