"""Money and quantities as a request states them and a table keeps them."""

from decimal import ROUND_HALF_UP, Decimal

from swardcost_model.problems import Fault
from swardcost_model.values import MAX_DIGITS, Money, from_minor, minor_unit, plain, to_micros, to_minor

BEYOND = Decimal(10) ** MAX_DIGITS
"""No amount of a budget reaches this, in the major unit of its currency."""


def stated_minor(money: Money, currency: str, pointer: str, faults: list[Fault]) -> int:
    """An amount that a request states, in minor units; a fault, and zero, where it is not in the club's currency or
    finer than its smallest unit."""
    if money.currency != currency:
        faults.append(
            Fault(
                pointer=f"{pointer}/currency", expected=f"the club's currency, {currency}", got=money.currency
            )
        )
        return 0
    minor = to_minor(money.amount, currency)
    if from_minor(minor, currency) != money.amount:
        expected = f"a whole number of times {minor_unit(currency)} {currency}"
        faults.append(Fault(pointer=f"{pointer}/amount", expected=expected, got=plain(money.amount)))
    return minor


def unit_price_micros(amount_minor: int, quantity: Decimal | None, currency: str) -> int | None:
    """amount / quantity in millionths, rounded half up; `None` without a quantity or where it is beyond printing."""
    if not quantity:
        return None
    price = from_minor(amount_minor, currency) / quantity
    if abs(price) >= BEYOND - 1:
        return None
    return to_micros(price.quantize(Decimal("0.000001"), ROUND_HALF_UP))
