"""What the markups need to know of a priced line."""

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True)
class CostedLine:
    """A line of direct cost: material, labor, rental, freight or anything else that is bought.

    `cash_minor` is the part of the amount that costs new money, all of it where nothing else is said; what the
    operating budget pays already is not in it. `tax_class` matters to taxable lines alone. `priced_on` is the
    day of the line's own price, and `work_midpoint` the middle day of the work it is for; without them the
    estimate's days hold.
    """

    amount_minor: int
    account: str | None
    taxable: bool
    tax_class: str = "standard"
    cash_minor: int | None = None
    priced_on: date | None = None
    work_midpoint: date | None = None

    @property
    def paid_minor(self) -> int:
        """The part that costs new money."""
        return self.amount_minor if self.cash_minor is None else self.cash_minor
