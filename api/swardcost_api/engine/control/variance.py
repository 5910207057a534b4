"""Budget against actual."""

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

TENTH = Decimal("0.1")
_BEYOND = Decimal(10) ** 12


@dataclass(frozen=True, slots=True)
class Comparison:
    """Budget against actual in minor units; `percent` is actual of budget, absent without a budget."""

    budget_minor: int
    actual_minor: int

    @property
    def remaining_minor(self) -> int:
        """Budget less actual."""
        return self.budget_minor - self.actual_minor

    @property
    def variance_minor(self) -> int:
        """Actual less budget: above zero is unfavourable, as in the accounting texts."""
        return self.actual_minor - self.budget_minor

    @property
    def percent(self) -> Decimal | None:
        """Actual in percent of the budget, rounded half up to a tenth."""
        if self.budget_minor == 0:
            return None
        return (Decimal(self.actual_minor) * 100 / self.budget_minor).quantize(TENTH, ROUND_HALF_UP)

    @property
    def percent_to_print(self) -> Decimal | None:
        """The percentage, absent where it has more than twelve digits before the point."""
        percent = self.percent
        return percent if percent is not None and abs(percent) < _BEYOND else None

    def __add__(self, other: "Comparison") -> "Comparison":
        return Comparison(self.budget_minor + other.budget_minor, self.actual_minor + other.actual_minor)
