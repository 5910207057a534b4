"""How a charge is made: quantity x price, rounded half up to the minor unit, and the step that says so."""

from decimal import Decimal

from swardcost_model.values import CURRENCY_DIGITS, from_minor, to_minor

from swardcost_api.engine.derivation import Derivation, Input, Step
from swardcost_api.engine.pricing.bought import TERMS, Bought, in_words
from swardcost_api.engine.pricing.charge import Charge, Part
from swardcost_api.engine.pricing.lines import BEYOND
from swardcost_api.engine.pricing.money_working import ROUNDED

_ONE = Decimal(1)


def charge_by_quantity(
    part: Part,
    words: str,
    quantity: Decimal,
    unit: str,
    price: Decimal,
    currency: str,
    *,
    names: tuple[str, str],
    source: str,
    rounding: str = "",
    before: Derivation = (),
) -> Charge:
    """A charge of a quantity at a price; `names` are what the two are called in its step.

    Raises `ValueError` for an amount that is too large to be meant.
    """
    minor = minor_units(quantity * price, currency)
    inputs = (
        Input(names[0], float(quantity), unit),
        Input(names[1], float(price), f"{currency} per {unit}"),
    )
    step = Step(
        "amount", float(from_minor(minor, currency)), currency, f"{names[0]} x {names[1]}{ROUNDED}", inputs,
        source,
    )  # fmt: skip
    return Charge(part, words, quantity, unit, rounding, price, minor, (*before, step))


def charge_of_amount(
    part: Part,
    words: str,
    exact: Decimal,
    currency: str,
    *,
    formula: str,
    inputs: tuple[Input, ...],
    source: str,
    before: Derivation = (),
) -> Charge:
    """A charge of one amount, so of quantity one; `formula` gives the amount before it is rounded.

    Raises `ValueError` for an amount that is too large to be meant.
    """
    minor = minor_units(exact, currency)
    price = from_minor(minor, currency)
    step = Step("amount", float(price), currency, formula + ROUNDED, inputs, source)
    return Charge(part, words, _ONE, "each", "", price, minor, (*before, step))


def charge_of_all(
    bought: Bought, price: Decimal, currency: str, source: str, *, words: str = "", before: Derivation = ()
) -> Charge:
    """The price of everything bought, at one unit price; `before` are steps that say which."""
    return charge_by_quantity(
        Part.PRICE, words, bought.quantity, bought.unit, price, currency,
        names=("purchase quantity", "unit price"), source=source, rounding=bought.rounding,
        before=(*bought.steps, *before),
    )  # fmt: skip


def charge_of_part(
    bought: Bought,
    words: str,
    quantity: Decimal,
    price: Decimal,
    currency: str,
    source: str,
    *,
    formula: str,
    inputs: tuple[Input, ...],
    before: Derivation = (),
) -> Charge:
    """The price of a part of what is bought; `formula` gives the part."""
    step = Step("quantity at this price", float(quantity), bought.unit, formula, inputs, TERMS)
    return charge_by_quantity(
        Part.PRICE, words, quantity, bought.unit, price, currency,
        names=("quantity at this price", "unit price"), source=source, rounding=f"part of {in_words(bought.quantity)}",
        before=(*bought.steps, *before, step),
    )  # fmt: skip


def charge_of_share(
    part: Part,
    words: str,
    share_minor: int,
    down_minor: int,
    currency: str,
    *,
    formula: str,
    inputs: tuple[Input, ...],
    source: str,
    before: Derivation = (),
) -> Charge:
    """A share of an amount split by largest remainder: `formula` gives it, `down_minor` is it rounded down."""
    price = from_minor(share_minor, currency)
    per_major = Input("minor units in one", float(10 ** CURRENCY_DIGITS[currency]), "each")
    steps = (
        Step("whole minor units", float(down_minor), "each", formula, (*inputs, per_major), source),
        Step(
            "amount", float(price), currency,
            "(whole minor units + unit by largest remainder) / minor units in one",
            (
                Input("whole minor units", float(down_minor), "each"),
                Input("unit by largest remainder", float(share_minor - down_minor), "each"),
                per_major,
            ),
            f"{source}; the units left over go to the largest remainders, so that all shares sum to the whole",
        ),
    )  # fmt: skip
    return Charge(part, words, _ONE, "each", "", price, share_minor, (*before, *steps))


def amount_figure(name: str, minor: int, currency: str) -> Input:
    """An amount as the input of a step."""
    return Input(name, float(from_minor(minor, currency)), currency)


def minor_units(exact: Decimal, currency: str) -> int:
    """An amount in minor units. Raises `ValueError` for one too large to be meant."""
    if exact >= BEYOND - 1:
        raise ValueError("expected an amount that a club could pay, below 1,000,000,000,000")
    return to_minor(exact, currency)
