"""Quantity breaks: the price of each tier for the part in it, or of the tier reached for the whole quantity."""

from decimal import Decimal

from swardcost_model.price_terms import Breaks, PriceTier

from swardcost_api.engine.derivation import Input
from swardcost_api.engine.pricing.bought import Bought, in_words
from swardcost_api.engine.pricing.charge import Charge
from swardcost_api.engine.pricing.charging import charge_of_all, charge_of_part


def price_with_breaks(
    bought: Bought, *, unit_price: Decimal, breaks: Breaks, currency: str, source: str
) -> tuple[Charge, ...]:
    """The price charges of a quantity with breaks; the order in which tiers are given does not matter.

    ::

        each tier:      (min(quantity, end of tier) - start of tier) x price of tier, for each tier touched
        whole quantity: quantity x price of the last tier that begins at or below it

    Below the first tier the unit price holds. With `each_tier` the quantity at which a tier begins still has
    the price before it, so the whole grows without a jump; with `whole_quantity` it has the price of the tier,
    and the whole may fall where a tier begins.

    References
    ----------
    Nahmias, Production and Operations Analysis, all-units and incremental discounts; block rates of public
    utilities for each tier.
    """
    tiers = tiers_in_order(breaks)
    if breaks.apply == "whole_quantity":
        reached = [tier for tier in tiers if tier.from_quantity <= bought.quantity]
        if not reached:
            return (charge_of_all(bought, unit_price, currency, source),)
        words = f"price from {in_words(reached[-1].from_quantity)}"
        return (
            charge_of_all(
                bought,
                reached[-1].unit_price,
                currency,
                f"{source}; {words}" if source else words,
                words=words,
            ),
        )
    if bought.quantity <= tiers[0].from_quantity:
        return (charge_of_all(bought, unit_price, currency, source),)
    return _each_tier(bought, unit_price, tiers, currency, source)


def tiers_in_order(breaks: Breaks) -> list[PriceTier]:
    """The tiers by where they begin."""
    return sorted(breaks.tiers, key=lambda tier: tier.from_quantity)


def _each_tier(
    bought: Bought, unit_price: Decimal, tiers: list[PriceTier], currency: str, source: str
) -> tuple[Charge, ...]:
    starts = [Decimal(0), *(tier.from_quantity for tier in tiers)]
    prices = [unit_price, *(tier.unit_price for tier in tiers)]
    charges = []
    for start, end, price in zip(starts, [*starts[1:], None], prices, strict=True):
        if bought.quantity <= start:
            break
        words, upper, formula, inputs = (
            f"beyond {in_words(start)}",
            bought.quantity,
            "purchase quantity",
            [bought.figure],
        )
        if end is not None:
            words = f"{in_words(start)} to {in_words(end)}" if start else f"first {in_words(end)}"
            upper, formula = min(upper, end), "min(purchase quantity, end of the tier)"
            inputs.append(Input("end of the tier", float(end), bought.unit))
        if start:
            formula = f"{formula} - start of the tier"
            inputs.append(Input("start of the tier", float(start), bought.unit))
        charges.append(
            charge_of_part(
                bought, words, upper - start, price, currency, source, formula=formula, inputs=tuple(inputs)
            )
        )
    return tuple(charges)
