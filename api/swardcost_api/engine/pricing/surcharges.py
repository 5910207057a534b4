"""Surcharges: a percentage of what is charged, so much for each unit, or once an order; always or at the weekend."""

from collections.abc import Sequence
from decimal import Decimal

from swardcost_model.price_terms import Surcharge
from swardcost_model.values import from_minor

from swardcost_api.engine.derivation import Derivation, Input, Step
from swardcost_api.engine.pricing.bought import TERMS, Bought, in_words
from swardcost_api.engine.pricing.charge import Charge, Part
from swardcost_api.engine.pricing.charging import amount_figure, charge_by_quantity, charge_of_amount
from swardcost_api.engine.pricing.lines import purchase_quantity

_ALL = Decimal(100)


def surcharge_charges(
    bought: Bought,
    *,
    surcharges: Sequence[Surcharge],
    price_minor: int,
    delivery_minor: int,
    weekend_percent: Decimal,
    currency: str,
) -> tuple[Charge, ...]:
    """A charge for each surcharge that applies, in the order of the terms.

    ::

        percent:   (price, delivery or both) x percent / 100 [x weekend share]
        per unit:  quantity [x weekend share] x price, the share of the quantity rounded as a quantity is
        per order: once; at the weekend, once if any of it falls there

    `price_minor` is the price with its breaks, bands and minimum charge. Surcharges do not rest on one another.
    Those of the weekend apply to `weekend_percent` of the quantity; with none of it there, they are left out.

    References
    ----------
    Common practice of suppliers and haulers.
    """
    bases = {"price": price_minor, "delivery": delivery_minor, "both": price_minor + delivery_minor}
    charges = []
    for surcharge in surcharges:
        share = weekend_percent if surcharge.when == "weekend" else _ALL
        if not share:
            continue
        if surcharge.percent is not None:
            base = bases[surcharge.on]
            steps = _both(price_minor, delivery_minor, currency) if surcharge.on == "both" else ()
            charges.append(_by_percent(surcharge, surcharge.percent, base, share, currency, steps))
        elif surcharge.per_unit is not None:
            charges.append(_by_unit(surcharge.name, bought, surcharge.per_unit, share, currency))
        elif surcharge.per_order is not None:
            charges.append(
                charge_by_quantity(
                    Part.SURCHARGE, surcharge.name, Decimal(1), "each", surcharge.per_order, currency,
                    names=("orders", "surcharge of an order"), source=TERMS,
                )
            )  # fmt: skip
    return tuple(charges)


def _both(price_minor: int, delivery_minor: int, currency: str) -> Derivation:
    both = from_minor(price_minor + delivery_minor, currency)
    inputs = (
        amount_figure("price", price_minor, currency),
        amount_figure("delivery", delivery_minor, currency),
    )
    return (Step("price and delivery", float(both), currency, "price + delivery", inputs, "arithmetic"),)


def _by_percent(
    surcharge: Surcharge, percent: Decimal, base_minor: int, share: Decimal, currency: str, steps: Derivation
) -> Charge:
    base = "price and delivery" if surcharge.on == "both" else surcharge.on
    formula, words = f"{base} x surcharge percent / 100", f"{surcharge.name}, {in_words(percent)} % of {base}"
    inputs = [
        amount_figure(base, base_minor, currency), Input("surcharge percent", float(percent), "percent")
    ]  # fmt: skip
    if share != _ALL:
        formula, words = (
            f"{formula} x weekend share / 100",
            f"{words}, for {in_words(share)} % of the quantity",
        )
        inputs.append(Input("weekend share", float(share), "percent"))
    return charge_of_amount(
        Part.SURCHARGE, words, from_minor(base_minor, currency) * percent / 100 * share / 100, currency,
        formula=formula, inputs=tuple(inputs), source=TERMS, before=steps,
    )  # fmt: skip


def _by_unit(name: str, bought: Bought, price: Decimal, share: Decimal, currency: str) -> Charge:
    quantity, rounding, quantity_name, steps = (
        bought.quantity,
        bought.rounding,
        "purchase quantity",
        bought.steps,
    )
    if share != _ALL:
        quantity_name = "quantity at the weekend"
        quantity, rounding = purchase_quantity(
            float(bought.quantity * share / 100), Decimal(0), False, bought.unit
        )
        step = Step(
            quantity_name, float(quantity), bought.unit,
            f"purchase quantity x weekend share / 100, rounded {rounding}",
            (bought.figure, Input("weekend share", float(share), "percent")), "arithmetic",
        )  # fmt: skip
        steps = (*steps, step)
    return charge_by_quantity(
        Part.SURCHARGE, name, quantity, bought.unit, price, currency,
        names=(quantity_name, "surcharge of one"), source=TERMS, rounding=rounding, before=steps,
    )  # fmt: skip
