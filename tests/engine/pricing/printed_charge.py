"""Redoing a printed charge: its amount from its quantity and price, and each of its steps."""

import re
from decimal import ROUND_HALF_UP, Decimal

from printed_formula import redo
from swardcost_api.engine.derivation import Derivation, Step
from swardcost_api.engine.pricing.charge import Charge
from swardcost_api.engine.pricing.purchase import Purchase
from swardcost_model.values import from_minor, minor_unit

_ROUNDED = re.compile(r", rounded (half up to|up to the least of) (the minor unit|[0-9.]+)$")


def assert_charge(charge: Charge, currency: str = "USD") -> None:
    """Quantity x price, rounded half up to the minor unit, is the amount; its steps end with it and can be redone."""
    unit = minor_unit(currency)
    amount = from_minor(charge.amount_minor, currency)
    assert charge.quantity >= 0
    assert charge.price >= 0
    assert (charge.quantity * charge.price / unit).quantize(Decimal(1), ROUND_HALF_UP) * unit == amount
    last = charge.steps[-1]
    assert (last.name, last.value, last.unit) == ("amount", float(amount), currency)
    assert_steps(charge.steps, unit)


def assert_steps(steps: Derivation, unit: Decimal = Decimal("0.01")) -> None:
    """Every step has a source, and its formula gives its value from its inputs, rounded where it says so."""
    assert steps
    for step in steps:
        assert step.source, step.name
        assert _by_hand(step, unit), step


def assert_purchase(purchase: Purchase) -> None:
    """The total is the sum of the charges, and everything printed can be redone."""
    assert purchase.total_minor == sum(charge.amount_minor for charge in purchase.charges)
    for charge in purchase.charges:
        assert_charge(charge, purchase.currency)
    assert_steps(purchase.steps, minor_unit(purchase.currency))
    assert purchase.steps[-1].value == float(from_minor(purchase.total_minor, purchase.currency))


def _by_hand(step: Step, unit: Decimal) -> bool:
    rounded = _ROUNDED.search(step.formula)
    found = redo(_ROUNDED.sub("", step.formula), {figure.name: figure.value for figure in step.inputs})
    if rounded is None:
        return abs(found - step.value) <= 1e-9 * max(abs(found), 1)
    to = unit if rounded[2] == "the minor unit" else Decimal(rounded[2])
    if rounded[1] == "up to the least of":
        return 0 < found < to and step.value == float(to)
    # Floats blur an exact half; either neighbour of one will do.
    near = {
        (Decimal(found + dust) / to).quantize(Decimal(1), ROUND_HALF_UP) * to for dust in (-1e-7, 0, 1e-7)
    }
    return any(abs(float(one) - step.value) < 1e-7 for one in near)
