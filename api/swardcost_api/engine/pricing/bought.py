"""How much is bought: what is measured, with waste, in whole increments, and not below the minimum order."""

from dataclasses import dataclass, field
from decimal import ROUND_CEILING, Decimal

from swardcost_model.price_terms import PurchaseTerms

from swardcost_api.engine.derivation import Derivation, Input, Step
from swardcost_api.engine.pricing.lines import BEYOND, purchase_quantity

TERMS = "the terms of purchase"
"""Source of a figure that the vendor's terms decide."""

_DUST = Decimal("0.000001")
"""A need this small a part of an increment above whole increments is binary dust and buys no further one."""


@dataclass(frozen=True, slots=True)
class Bought:
    """A purchase quantity in the item's unit, the rule by which it is rounded, and the steps to it."""

    quantity: Decimal
    unit: str
    rounding: str
    steps: Derivation = field(repr=False, compare=False)

    @property
    def figure(self) -> Input:
        """The quantity as an input of later steps."""
        return Input("purchase quantity", float(self.quantity), self.unit)


def quantity_bought(
    *, measured: float, unit: str, counted: bool, waste_percent: Decimal, terms: PurchaseTerms
) -> Bought:
    """What is bought of a measured need.

    ::

        needed = measured x (1 + waste / 100)
        without increment: max(needed, rounded as a line is, minimum order)
        with increment:    whole increments that hold max(needed, minimum order)

    An increment takes the place of the rounding of the unit. A minimum order that is no multiple of the
    increment is met by the next multiple. Where nothing is needed, nothing is bought, whatever the minimum.

    Raises `ValueError` for a need that is too large to be meant.
    """
    if not 0 <= measured < 1e12:
        raise ValueError("expected a quantity of zero or more and below 1,000,000,000,000")
    inputs = [Input("measured", measured, unit)]
    formula = "measured"
    if waste_percent:
        inputs.append(Input("waste", float(waste_percent), "percent"))
        formula = "measured x (1 + waste / 100)"
    if terms.increment is not None and measured:
        needed = Decimal(f"{measured:.12g}") * (1 + waste_percent / 100)
        steps = (Step("quantity needed", float(needed), unit, formula, tuple(inputs), "arithmetic"),)
        bought = _in_increments(needed, terms.increment, unit, terms, steps)
    else:
        quantity, rounding = purchase_quantity(measured, waste_percent, counted, unit)
        formula = f"{formula}, rounded {rounding}"
        if terms.minimum_order is None or not measured:
            steps = (Step("purchase quantity", float(quantity), unit, formula, tuple(inputs), "arithmetic"),)
            bought = Bought(quantity, unit, rounding, steps)
        else:
            steps = (Step("quantity needed", float(quantity), unit, formula, tuple(inputs), "arithmetic"),)
            bought = _at_the_minimum(quantity, rounding, unit, counted, terms.minimum_order, steps)
    if bought.quantity >= BEYOND:
        raise ValueError("expected a purchase quantity below 1,000,000,000,000")
    return bought


def least_bought_from(start: Decimal, *, unit: str, counted: bool, terms: PurchaseTerms) -> Bought:
    """The least that can be bought of `start` or more: whole increments, whole units, or `start` itself."""
    needed = Input("quantity needed", float(start), unit)
    if terms.increment is not None:
        return _in_increments(start, terms.increment, unit, terms, ())
    quantity = start.quantize(Decimal(1), ROUND_CEILING) if counted else start
    formula, rounding = (
        ("quantity needed, rounded up", "up to the next whole") if counted else (needed.name, "")
    )
    return Bought(
        quantity, unit, rounding,
        (Step("purchase quantity", float(quantity), unit, formula, (needed,), "arithmetic"),),
    )  # fmt: skip


def in_words(figure: Decimal) -> str:
    """A figure as it stands in words: no exponent, no trailing zeros, thousands apart."""
    return f"{figure.normalize():,f}"


def plural(name: str) -> str:
    """The plural of a unit or of a trade's word for a package: loads, boxes, feet."""
    if name == "foot":
        return "feet"
    return f"{name}es" if name.endswith(("s", "x", "z", "ch", "sh")) else f"{name}s"


def whole_up(figure: Decimal) -> Decimal:
    """The least whole number that is enough."""
    return figure.quantize(Decimal(1), ROUND_CEILING)


def _in_increments(
    needed: Decimal, increment: Decimal, unit: str, terms: PurchaseTerms, steps: Derivation
) -> Bought:
    least, inputs, formula = needed, [Input("quantity needed", float(needed), unit)], "quantity needed"
    name = terms.increment_name
    rounding = f"up to whole {plural(name) if name else 'multiples'} of {in_words(increment)}"
    if terms.minimum_order is not None:
        inputs.append(Input("minimum order", float(terms.minimum_order), unit))
        formula = "max(quantity needed, minimum order)"
        if terms.minimum_order > needed:
            least, rounding = terms.minimum_order, f"{rounding}, at least {in_words(terms.minimum_order)}"
    count = max(whole_up(least / increment - _DUST), Decimal(1))
    size = Input("increment", float(increment), unit)
    increments = Step(
        "increments",
        float(count),
        name or "each",
        f"{formula} / increment, rounded up",
        (*inputs, size),
        TERMS,
    )
    quantity = count * increment
    bought = Step(
        "purchase quantity", float(quantity), unit, "increments x increment",
        (Input("increments", float(count), increments.unit), size), "arithmetic",
    )  # fmt: skip
    return Bought(quantity, unit, rounding, (*steps, increments, bought))


def _at_the_minimum(
    needed: Decimal, rounding: str, unit: str, counted: bool, minimum: Decimal, steps: Derivation
) -> Bought:
    quantity, formula = max(needed, minimum), "max(quantity needed, minimum order)"
    if counted:
        quantity, formula = whole_up(quantity), f"{formula}, rounded up to the next whole"
    if minimum > needed:
        rounding = f"up to the minimum order of {in_words(minimum)}"
    inputs = (Input("quantity needed", float(needed), unit), Input("minimum order", float(minimum), unit))
    step = Step("purchase quantity", float(quantity), unit, formula, inputs, TERMS)
    return Bought(quantity, unit, rounding, (*steps, step))
