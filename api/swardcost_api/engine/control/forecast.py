"""The estimate at completion: what was spent, and what the rest will take, by stated methods.

Formulas are the usual ones of earned value management (ISO 21508:2018; U.S. Department of Energy,
Earned Value Management tutorials, module on estimates at completion).
"""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from swardcost_api.engine.control.earned_value import EarnedValue
from swardcost_api.engine.control.rounding import places, whole

Method = Literal["as_budgeted", "current_rate", "cost_and_schedule_rate", "own_figure"]

FORMULAS: dict[Method, str] = {
    "as_budgeted": "actual + (budget - earned)",
    "current_rate": "actual + (budget - earned) x actual / earned",
    "cost_and_schedule_rate": "actual + (budget - earned) x (actual / earned) x (planned / earned)",
    "own_figure": "actual + the superintendent's own figure to complete",
}
"""How each method gets its estimate at completion."""


@dataclass(frozen=True, slots=True)
class Forecast:
    """What a line will cost in the end, in minor units."""

    to_complete_minor: int
    at_completion_minor: int

    def variance_minor(self, budget_minor: int) -> int:
        """Budget less estimate at completion: below zero is dearer than budgeted."""
        return budget_minor - self.at_completion_minor

    def percent_spent(self, actual_minor: int) -> Decimal | None:
        """Actual in percent of the estimate at completion, to 0.001; absent where that is not above zero."""
        if self.at_completion_minor <= 0:
            return None
        return places(Fraction(actual_minor * 100, self.at_completion_minor), 3)


def forecast(value: EarnedValue, method: Method, own_to_complete_minor: int | None = None) -> Forecast | None:
    """The estimate at completion by a method; `None` where it has no answer.

    A rate needs something earned and something spent, and `own_figure` needs the figure. Nothing is put in
    their place: the reader chooses another method and sees which.
    """
    left = value.budget_minor - value.earned_minor
    if method == "own_figure":
        if own_to_complete_minor is None:
            return None
        to_complete = own_to_complete_minor
    elif method == "as_budgeted":
        to_complete = left
    else:
        if value.earned_minor <= 0 or value.actual_minor < 0:
            return None
        rate = Fraction(value.actual_minor, value.earned_minor)
        if method == "cost_and_schedule_rate":
            rate *= Fraction(value.planned_minor, value.earned_minor)
        to_complete = whole(left * rate)
    return Forecast(to_complete, value.actual_minor + to_complete)
