"""Classes of estimates by how far the scope is defined, and how far final costs usually lie from them."""

from dataclasses import dataclass, field
from decimal import Decimal

from swardcost_api.engine.derivation import Derivation
from swardcost_api.engine.pricing.money_working import MoneyWorking

SOURCE = "AACE International 56R-08, building and general construction; class 5 as read, classes 4 to 1 from memory"

_WIDEST = {5: (-30, 50), 4: (-20, 30), 3: (-15, 20), 2: (-10, 15), 1: (-5, 10)}
"""The wide end of each class's usual accuracy, in percent of the estimate: low, high."""


@dataclass(frozen=True, slots=True)
class AccuracyBand:
    """Where the final cost usually lies: from the estimate, in percent of it, and as amounts in minor units."""

    estimate_class: int
    low_percent: Decimal
    high_percent: Decimal
    low_minor: int
    high_minor: int
    steps: Derivation = field(repr=False, compare=False)


def accuracy_band(*, estimate_class: int, total: Decimal, currency: str) -> AccuracyBand:
    """The usual accuracy of a class about an estimate's total, contingency included.

    ::

        low = total x (1 + low percent / 100);    high = total x (1 + high percent / 100)

    Limits: practice, not statistics of the club's own work; the wide end of each class is taken.

    `total` is in the major unit of the currency. Amounts are rounded half up to the minor unit.

    Raises `ValueError` for a class other than 1 to 5, a total below zero or too large to be meant, or a
    currency that is not known.

    References
    ----------
    AACE International Recommended Practice 56R-08, Cost Estimate Classification System, building and general
    construction industries (class 5 at its widest -30 / +50; the other classes from memory).
    """
    if estimate_class not in _WIDEST:
        raise ValueError(f"estimate class: expected 1 to 5; got {estimate_class}")
    work = MoneyWorking(currency)
    work.price("total", total)
    low, high = (Decimal(percent) for percent in _WIDEST[estimate_class])
    amounts = []
    for name, percent in (("low", low), ("high", high)):
        work.figure(
            f"{name} percent", percent, "percent", f"{percent}", source=f"{SOURCE}; class {estimate_class}"
        )
        amounts.append(
            work.amount(
                name, total * (1 + percent / 100), f"total x (1 + {name} percent / 100)", "total",
                f"{name} percent", source=SOURCE,
            )
        )  # fmt: skip
    return AccuracyBand(estimate_class, low, high, amounts[0], amounts[1], work.steps)
