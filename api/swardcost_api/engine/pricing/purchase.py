"""A purchase: from a measured need to the quantity bought, its price, delivery and surcharges, and what all costs."""

from dataclasses import dataclass, field
from decimal import Decimal

from swardcost_model.price_terms import PurchaseTerms
from swardcost_model.values import CURRENCY_DIGITS, from_minor, to_minor

from swardcost_api.engine.derivation import Derivation, Input, Step
from swardcost_api.engine.pricing.bands import price_with_bands
from swardcost_api.engine.pricing.bought import TERMS, Bought, quantity_bought
from swardcost_api.engine.pricing.breaks import price_with_breaks
from swardcost_api.engine.pricing.charge import Charge, Part
from swardcost_api.engine.pricing.charging import (
    amount_figure,
    charge_of_all,
    charge_of_amount,
    minor_units,
)
from swardcost_api.engine.pricing.delivery import delivery_charge
from swardcost_api.engine.pricing.surcharges import surcharge_charges

_NONE = Decimal(0)


@dataclass(frozen=True, slots=True)
class Purchase:
    """What is bought and what it costs: quantity in `unit`, its rounding in words, charges, and their sum.

    `steps` lead from the measured need to the quantity, and last to the total. Each charge has steps of its
    own that explain it without these.
    """

    quantity: Decimal
    unit: str
    rounding: str
    charges: tuple[Charge, ...]
    total_minor: int
    currency: str
    steps: Derivation = field(repr=False, compare=False)


def price_purchase(
    *,
    measured: float,
    unit: str,
    counted: bool,
    waste_percent: Decimal,
    unit_price: Decimal,
    terms: PurchaseTerms,
    currency: str,
    price_source: str = "",
    weekend_percent: Decimal = _NONE,
    mass_of_one: Decimal | None = None,
) -> Purchase:
    """Price a measured need, in the item's `unit`, by the terms on which the item is sold.

    ::

        quantity: measured, with waste, in whole increments, not below the minimum order
        price:    by breaks, by bands, or quantity x unit price
        minimum:  what the price falls short of the minimum charge
        delivery: by load, by mass and distance, or by zone
        surcharges: on the price with its minimum, on delivery, by unit, by order
        total = sum of the charges, each of them rounded half up to the minor unit

    `counted` tells units that are bought whole (loads, pallets). `weekend_percent` is the share of the quantity
    that is delivered or done at the weekend. `mass_of_one` is the mass of one `unit` in the mass unit by which
    delivery is charged; needed where the unit is another one. `price_source` says in words where the unit price
    comes from.

    Nothing bought costs nothing: then the minimum, delivery and surcharges are left out.

    Raises `ValueError` for figures that make no sense, a missing mass, or amounts too large to be meant.

    References
    ----------
    Common practice; breaks, bands and delivery name their own sources.
    """
    _refuse("waste percent", waste_percent)
    bought = quantity_bought(
        measured=measured, unit=unit, counted=counted, waste_percent=waste_percent, terms=terms
    )
    return price_bought(
        bought, unit_price=unit_price, terms=terms, currency=currency, price_source=price_source,
        weekend_percent=weekend_percent, mass_of_one=mass_of_one,
    )  # fmt: skip


def price_bought(
    bought: Bought,
    *,
    unit_price: Decimal,
    terms: PurchaseTerms,
    currency: str,
    price_source: str = "",
    weekend_percent: Decimal = _NONE,
    mass_of_one: Decimal | None = None,
) -> Purchase:
    """Price a quantity that is settled; the figures mean what they mean in `price_purchase`."""
    if currency not in CURRENCY_DIGITS:
        raise ValueError(f"currency: expected one of {', '.join(sorted(CURRENCY_DIGITS))}; got {currency!r}")
    _refuse("unit price", unit_price)
    _refuse("weekend percent", weekend_percent, 100)
    charges = _price(bought, unit_price, terms, currency, price_source)
    if bought.quantity:
        charges = (*charges, *_on_top(bought, charges, terms, currency, weekend_percent, mass_of_one))
    total, step = _total(charges, currency)
    return Purchase(
        bought.quantity, bought.unit, bought.rounding, charges, total, currency, (*bought.steps, step)
    )


def _refuse(name: str, value: Decimal, most: int | None = None) -> None:
    if not value.is_finite() or value < 0 or (most is not None and value > most):
        raise ValueError(f"{name}: expected zero or more{f', at most {most}' if most else ''}; got {value}")


def _price(
    bought: Bought, unit_price: Decimal, terms: PurchaseTerms, currency: str, source: str
) -> tuple[Charge, ...]:
    if terms.breaks is not None:
        return price_with_breaks(
            bought, unit_price=unit_price, breaks=terms.breaks, currency=currency, source=source
        )
    if terms.bands is not None:
        return price_with_bands(
            bought, unit_price=unit_price, bands=terms.bands, currency=currency, source=source
        )
    return (charge_of_all(bought, unit_price, currency, source),)


def _on_top(
    bought: Bought,
    price: tuple[Charge, ...],
    terms: PurchaseTerms,
    currency: str,
    weekend_percent: Decimal,
    mass_of_one: Decimal | None,
) -> tuple[Charge, ...]:
    """What is charged beside the price of the quantity."""
    charges: list[Charge] = []
    price_minor = sum(charge.amount_minor for charge in price)
    if terms.minimum_charge is not None:
        missing = to_minor(terms.minimum_charge, currency) - price_minor
        if missing > 0:
            charges.append(_up_to_the_minimum(price, price_minor, terms.minimum_charge, currency))
            price_minor += missing
    delivery_minor = 0
    if terms.delivery is not None:
        delivery = delivery_charge(
            bought, delivery=terms.delivery, currency=currency, mass_of_one=mass_of_one
        )
        charges.append(delivery)
        delivery_minor = delivery.amount_minor
    surcharges = surcharge_charges(
        bought, surcharges=terms.surcharges, price_minor=price_minor, delivery_minor=delivery_minor,
        weekend_percent=weekend_percent, currency=currency,
    )  # fmt: skip
    return (*charges, *surcharges)


def _up_to_the_minimum(
    price: tuple[Charge, ...], price_minor: int, minimum: Decimal, currency: str
) -> Charge:
    sums = _sum("price", price, price_minor, currency)
    return charge_of_amount(
        Part.MINIMUM_CHARGE, "Up to the minimum charge", minimum - from_minor(price_minor, currency), currency,
        formula="minimum charge - price", source=TERMS, before=(sums,),
        inputs=(
            Input("minimum charge", float(minimum), currency), amount_figure("price", price_minor, currency)
        ),
    )  # fmt: skip


def _total(charges: tuple[Charge, ...], currency: str) -> tuple[int, Step]:
    total = sum(charge.amount_minor for charge in charges)
    minor_units(from_minor(total, currency), currency)
    return total, _sum("total", charges, total, currency)


def _sum(name: str, charges: tuple[Charge, ...], minor: int, currency: str) -> Step:
    """The step of a sum of charges, each called by its part, and numbered where the part has several."""
    parts = [charge.part.value.replace("_", " ") for charge in charges]
    counts: dict[str, int] = {}
    inputs = []
    for part, charge in zip(parts, charges, strict=True):
        counts[part] = counts.get(part, 0) + 1
        called = f"{part} {counts[part]}" if parts.count(part) > 1 else part
        inputs.append(amount_figure(called, charge.amount_minor, currency))
    formula = " + ".join(figure.name for figure in inputs)
    return Step(name, float(from_minor(minor, currency)), currency, formula, tuple(inputs), "arithmetic")
