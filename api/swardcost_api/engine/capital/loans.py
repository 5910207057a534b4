"""Loans: what is paid in each period, interest and principal apart, to the minor unit.

References
----------
Level payment: the annuity formula of engineering economy (capital recovery, A/P). The last payment takes what rounding
left, as lenders' schedules do (common practice).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from swardcost_api.engine.capital.growth import half_up
from swardcost_api.engine.pricing.allocation import split_exactly
from swardcost_api.engine.pricing.percentage import checked_percent

Method = Literal["level_payment", "level_principal", "interest_only"]
PERIODS = (1, 2, 4, 12)
MOST_YEARS = 40


@dataclass(frozen=True, slots=True)
class Loan:
    """A principal in minor units at a yearly rate in percent, paid back over whole years in 1, 2, 4 or 12 periods each.

    The rate of a period is the yearly one divided by the number of periods, not compounded.

    Raises `ValueError` for a principal of zero or less, a rate below zero, other periods, or years outside 1 to 40.
    """

    principal_minor: int
    annual_percent: Decimal
    years: int
    payments_a_year: int = 12
    method: Method = "level_payment"

    def __post_init__(self) -> None:
        checked_percent("loan", self.annual_percent)
        if self.principal_minor <= 0:
            raise ValueError(f"principal: expected more than zero; got {self.principal_minor} in minor units")
        if self.payments_a_year not in PERIODS or not 1 <= self.years <= MOST_YEARS:
            raise ValueError(
                f"expected 1, 2, 4 or 12 payments a year over 1 to {MOST_YEARS} years; got {self.payments_a_year} over "
                f"{self.years}"
            )

    @property
    def payments(self) -> int:
        """How many payments there are."""
        return self.years * self.payments_a_year

    @property
    def period_rate(self) -> Fraction:
        """Interest of a period, as a ratio."""
        return Fraction(self.annual_percent) / 100 / self.payments_a_year

    @property
    def level_minor(self) -> int:
        """The level payment: principal x rate / (1 - (1 + rate) ^ -payments), rounded half up."""
        rate = self.period_rate
        if not rate:
            return half_up(Fraction(self.principal_minor, self.payments))
        return half_up(self.principal_minor * rate / (1 - (1 + rate) ** -self.payments))

    def schedule(self) -> tuple["Payment", ...]:
        """Every payment in its order; the principal parts sum to the principal, and the last balance is zero."""
        balance, found = self.principal_minor, []
        parts = split_exactly(self.principal_minor, [1] * self.payments)
        rate = self.period_rate
        level = self.level_minor if self.method == "level_payment" else 0
        for number in range(1, self.payments + 1):
            interest = half_up(balance * rate)
            if number == self.payments:
                principal = balance
            elif self.method == "level_payment":
                principal = min(max(level - interest, 0), balance)
            else:
                principal = parts[number - 1] if self.method == "level_principal" else 0
            balance -= principal
            found.append(Payment(number, interest, principal, balance))
        return tuple(found)

    def by_year(self) -> tuple["LoanYear", ...]:
        """The payments of each year of the loan, added up."""
        every = self.schedule()
        return tuple(
            LoanYear.of(every[first : first + self.payments_a_year])
            for first in range(0, self.payments, self.payments_a_year)
        )


@dataclass(frozen=True, slots=True)
class Payment:
    """A payment, in minor units; `balance_minor` is what is owed after it."""

    number: int
    interest_minor: int
    principal_minor: int
    balance_minor: int

    @property
    def amount_minor(self) -> int:
        """What is paid."""
        return self.interest_minor + self.principal_minor


@dataclass(frozen=True, slots=True)
class LoanYear:
    """A year of a loan, in minor units; `balance_minor` is what is owed at its end."""

    interest_minor: int
    principal_minor: int
    balance_minor: int

    @classmethod
    def of(cls, payments: Sequence[Payment]) -> "LoanYear":
        """The year of these payments, which are at least one."""
        return cls(
            sum(one.interest_minor for one in payments), sum(one.principal_minor for one in payments),
            payments[-1].balance_minor,
        )  # fmt: skip

    @property
    def amount_minor(self) -> int:
        """What is paid in the year."""
        return self.interest_minor + self.principal_minor
