"""Earned value: what the work done is worth at budget prices, against what it was to be and what it cost.

Terms as in ISO 21508:2018 (earned value management in project and programme management): planned value,
earned value, actual cost, budget at completion; variances above zero are favourable here, as that standard
has them, and unlike the budget report, where above zero is dearer.
"""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from swardcost_api.engine.control.rounding import places, whole

INDEX_PLACES = 3


@dataclass(frozen=True, slots=True)
class EarnedValue:
    """Planned, earned and actual, in minor units, at one day; `budget_minor` is the budget at completion."""

    planned_minor: int
    earned_minor: int
    actual_minor: int
    budget_minor: int

    @property
    def schedule_variance_minor(self) -> int:
        """Earned less planned: below zero is behind the plan."""
        return self.earned_minor - self.planned_minor

    @property
    def cost_variance_minor(self) -> int:
        """Earned less actual: below zero costs more than budgeted."""
        return self.earned_minor - self.actual_minor

    @property
    def schedule_index(self) -> Decimal | None:
        """Earned over planned, to 0.001; absent where nothing was planned yet."""
        return _index(self.earned_minor, self.planned_minor)

    @property
    def cost_index(self) -> Decimal | None:
        """Earned over actual, to 0.001; absent where nothing was spent."""
        return _index(self.earned_minor, self.actual_minor)

    @property
    def index_to_complete(self) -> Decimal | None:
        """The cost index that what is left must reach to end at the budget; absent where no money is left."""
        return _index(self.budget_minor - self.earned_minor, self.budget_minor - self.actual_minor)

    def __add__(self, other: "EarnedValue") -> "EarnedValue":
        return EarnedValue(
            self.planned_minor + other.planned_minor, self.earned_minor + other.earned_minor,
            self.actual_minor + other.actual_minor, self.budget_minor + other.budget_minor,
        )  # fmt: skip


def earned(budget_minor: int, done: Fraction) -> int:
    """Budget at completion x share done, rounded half up to the minor unit; the share is from 0 to 1."""
    if not 0 <= done <= 1:
        raise ValueError("expected a share from 0 to 1")
    return whole(budget_minor * done)


def done_since(budget_minor: int, done: Fraction, cost_minor: int, cost_since_minor: int) -> Fraction:
    """The share done where the cost grew since it was measured, for work that may have been done.

    As on work that was never measured, what it cost is taken for what it is worth: but for no more than the cost grew
    by, for no less than was measured, and at most for the whole. So nothing is saved by it, and what is to come does
    not hold that work once more.

    Examples
    --------
    >>> done_since(100_00, Fraction(1, 2), 80_00, 30_00)
    Fraction(4, 5)
    >>> done_since(100_00, Fraction(1, 2), 50_00, 30_00)
    Fraction(1, 2)
    """
    if budget_minor <= 0 or cost_since_minor <= 0:
        return done
    measured = earned(budget_minor, done)
    worth = min(cost_minor, measured + cost_since_minor, budget_minor)
    return done if worth <= measured else Fraction(worth, budget_minor)


def _index(above: int, below: int) -> Decimal | None:
    return places(Fraction(above, below), INDEX_PLACES) if below > 0 else None
