"""The reserve through the years of a plan: what comes in, what goes out, what is left, and how well that is funded.

References
----------
National Reserve Study Standards of the Community Associations Institute, as quoted by reserve analysts: the fully
funded balance is current cost x effective age / useful life, summed; percent funded is the balance in percent of it.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from typing import Literal, TypeVar

from swardcost_api.engine.capital.growth import LARGEST_PERCENT, LEAST_PERCENT, half_up

Amount = TypeVar("Amount", int, Decimal)
InterestOn = Literal["opening_balance", "average_balance"]
FUNDING = (
    "National Reserve Study Standards of the Community Associations Institute, quoted by reserve analysts"
)
_PLACES = Decimal("0.01")


@dataclass(frozen=True, slots=True)
class Flows:
    """What comes and goes in a year, each zero or more, in minor units."""

    income_minor: int = 0
    drawn_minor: int = 0
    spending_minor: int = 0
    payments_minor: int = 0

    @property
    def net_minor(self) -> int:
        """What comes less what goes."""
        return self.income_minor + self.drawn_minor - self.spending_minor - self.payments_minor


@dataclass(frozen=True, slots=True)
class ReserveYear:
    """A year of the reserve, in minor units: opening + income + drawn + interest - spending - payments = closing."""

    opening_minor: int
    flows: Flows
    interest_minor: int

    @property
    def closing_minor(self) -> int:
        """What is left at its end."""
        return self.opening_minor + self.flows.net_minor + self.interest_minor


@dataclass(frozen=True, slots=True)
class InterestTerms:
    """What the reserve earns: percent a year, and on which balance.

    ::

        opening_balance: opening x percent / 100
        average_balance: (opening + half of the year's flows) x percent / 100

    Rounded half up; nothing is earned on, and nothing is charged for, a balance below zero. Raises `ValueError` for a
    percentage outside -50 to 100.
    """

    percent: Decimal = Decimal(0)
    on: InterestOn = "opening_balance"

    def __post_init__(self) -> None:
        if not (self.percent.is_finite() and LEAST_PERCENT <= self.percent <= LARGEST_PERCENT):
            raise ValueError(
                f"interest: expected from {LEAST_PERCENT} to {LARGEST_PERCENT} percent; got {self.percent}"
            )

    def of_year(self, opening_minor: int, flows: Flows) -> int:
        """The interest of a year, in minor units."""
        base = Fraction(opening_minor)
        if self.on == "average_balance":
            base += Fraction(flows.net_minor, 2)
        return half_up(max(base, Fraction(0)) * Fraction(self.percent) / 100)


def projected(opening_minor: int, flows: Iterable[Flows], interest: InterestTerms) -> tuple[ReserveYear, ...]:
    """The reserve year by year, each opening with what the one before left."""
    found, opening = [], opening_minor
    for one in flows:
        year = ReserveYear(opening, one, interest.of_year(opening, one))
        found.append(year)
        opening = year.closing_minor
    return tuple(found)


def first_below(closings: Sequence[Amount], floor: Amount) -> int | None:
    """The place of the first year that closes below a floor; `None` where none does."""
    return next((place for place, closing in enumerate(closings) if closing < floor), None)


def lowest(closings: Sequence[Amount]) -> int:
    """The place of the year that closes with the least; the first of several."""
    return min(range(len(closings)), key=lambda place: (closings[place], place))


def fully_funded(cost_minor: int, age_used: Decimal, life: Decimal) -> int:
    """What a reserve would hold for an asset: cost x age used / life, rounded half up, in minor units.

    Raises `ValueError` for a life of zero or less, or an age below zero or beyond the life.

    Examples
    --------
    >>> fully_funded(10_000_000, Decimal(12), Decimal(20))
    6000000
    """
    if not life > 0 or not 0 <= age_used <= life:
        raise ValueError(f"expected an age within a life above zero; got {age_used} of {life} years")
    return half_up(cost_minor * Fraction(age_used) / Fraction(life))


def percent_funded(balance_minor: int, fully_funded_minor: int) -> Decimal | None:
    """The balance in percent of the fully funded one, rounded half up to 0.01; `None` where nothing is to be funded."""
    if not fully_funded_minor:
        return None
    return (Decimal(balance_minor) * 100 / fully_funded_minor).quantize(_PLACES, ROUND_HALF_UP)
