"""Why a line cost more or less than planned: the difference in parts that sum to it, to the cent.

Price and quantity are told apart as the accounting texts do it: the quantity used beyond what the work done
should have taken, at the planned price; then the difference in price on the quantity really used.
"""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from swardcost_api.engine.control.earned_value import earned
from swardcost_api.engine.control.rounding import places, whole

Reason = Literal["scope", "timing", "quantity", "price", "spending", "coding"]

REASONS: tuple[Reason, ...] = ("scope", "timing", "quantity", "price", "spending", "coding")
"""In the order in which they are told."""

FORMULAS: dict[Reason, str] = {
    "scope": "adjusted plan to date - original plan to date",
    "timing": "adjusted budget x share done - adjusted plan to date",
    "quantity": "(quantity used - adjusted quantity x share done) x planned unit price",
    "price": "what the quantity used cost - quantity used x planned unit price",
    "spending": "cost on the line's own account that no quantity explains; where none was measured, all beyond "
    "adjusted budget x share done",
    "coding": "cost charged to the line from other accounts than its own",
}


@dataclass(frozen=True, slots=True)
class LineFacts:
    """What is known of a line at one day, in minor units and in the line's unit.

    `original_minor` and `adjusted_minor` are the plan up to that day; `budget_minor` and `quantity` are the
    whole adjusted line. `done` is the share of its work done, and `used` the quantity that was paid for, which cost
    `priced_minor` (all on the line's own account where that is not told); absent is unknown. `cost_minor` is all that
    is charged to the line, of which `other_accounts_minor` came from accounts that are not the line's.
    """

    original_minor: int
    adjusted_minor: int
    budget_minor: int
    cost_minor: int
    quantity: Decimal | None = None
    done: Fraction | None = None
    used: Decimal | None = None
    other_accounts_minor: int = 0
    priced_minor: int | None = None


@dataclass(frozen=True, slots=True)
class Cause:
    """One part of a difference: above zero is more money than planned.

    With `quantity`, `units` is how many more were used than planned, and `unit_price` what each was planned to
    cost; with `price`, `units` is how many were used and `unit_price` how much dearer each was, to 0.000001.
    """

    reason: Reason
    amount_minor: int
    units: Decimal | None = None
    unit_price: Decimal | None = None


def explain(facts: LineFacts, digits: int) -> list[Cause]:
    """The parts of `cost - original plan to date` that are not zero; they sum to it exactly.

    `digits` are those of the currency. Without a share done the plan to date is taken to be done, so that nothing
    is called timing.
    """
    due = facts.adjusted_minor if facts.done is None else earned(facts.budget_minor, facts.done)
    own = facts.cost_minor - facts.other_accounts_minor
    causes = [
        Cause("scope", facts.adjusted_minor - facts.original_minor),
        Cause("timing", due - facts.adjusted_minor),
        *_price_and_quantity(facts, due, own, digits),
        Cause("coding", facts.other_accounts_minor),
    ]
    return [cause for cause in causes if cause.amount_minor]


def _price_and_quantity(facts: LineFacts, due: int, own: int, digits: int) -> list[Cause]:
    """What was spent beyond `due`, told apart where the quantities are known."""
    if not facts.quantity or facts.used is None:
        return [Cause("spending", own - due)]
    planned_price = Fraction(facts.budget_minor) / Fraction(facts.quantity)
    at_planned_price = whole(Fraction(facts.used) * planned_price)
    share = Fraction(due, facts.budget_minor) if facts.budget_minor else Fraction(0)
    if facts.done is not None:
        share = facts.done
    more = Fraction(facts.used) - Fraction(facts.quantity) * share
    scale = 10**digits
    quantity = Cause(
        "quantity", at_planned_price - due, places(more, 6).normalize(), places(planned_price / scale, 6)
    )
    priced = own if facts.priced_minor is None else facts.priced_minor
    if not facts.used:
        return [quantity, Cause("spending", own)]
    dearer = (Fraction(priced) / Fraction(facts.used) - planned_price) / scale
    price = Cause("price", priced - at_planned_price, facts.used, places(dearer, 6))
    return [quantity, price, Cause("spending", own - priced)]
