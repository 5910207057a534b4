"""What it costs to do a project later: dearer work and further upkeep, less the interest that the money earns."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from swardcost_api.engine.capital.growth import grown


@dataclass(frozen=True, slots=True)
class Deferral:
    """A project later by so many years, in minor units, each in the money of its year.

    `interest_minor` is what the reserve earns more until the end of the plan; `net_minor` is what deferring costs in
    all, below zero where it pays.
    """

    years: int
    now_minor: int
    later_minor: int
    upkeep_minor: int
    interest_minor: int

    @property
    def growth_minor(self) -> int:
        """By how much the work itself gets dearer."""
        return self.later_minor - self.now_minor

    @property
    def net_minor(self) -> int:
        """Growth and upkeep less interest."""
        return self.growth_minor + self.upkeep_minor - self.interest_minor


def phased_cost(phases_minor: Sequence[int], percent: Decimal, years_on: int) -> list[int]:
    """The cost of each phase in the money of its year, the first so many years after that of the prices."""
    return [grown(minor, percent, years_on + place) for place, minor in enumerate(phases_minor)]


def upkeep_by_year(yearly_minor: int, percent: Decimal, years_on: int, years: int) -> list[int]:
    """What each of so many years without a project costs more in upkeep, in the money of the year and minor units.

    `yearly_minor` is at the prices of a year that is `years_on` years before the first of them.
    """
    return [grown(yearly_minor, percent, years_on + place) for place in range(years)]


def deferral(
    phases_minor: Sequence[int],
    percent: Decimal,
    years_on: int,
    years: int,
    upkeep_minor: int,
    upkeep_percent: Decimal,
    interest_minor: int,
) -> Deferral:
    """What it costs to begin a project `years` later than `years_on` years after the year of its prices.

    ::

        growth = sum of phases x (1 + percent / 100) ^ years of each, later less now
        upkeep = yearly upkeep x (1 + upkeep percent / 100) ^ years, of each year that it is put off

    `phases_minor` and `upkeep_minor` are at the prices of that year; `interest_minor` is what the reserve earns more.
    Raises `ValueError` for no phases, or a delay of less than a year.
    """
    if not phases_minor or years < 1:
        raise ValueError(
            f"expected a phase and a delay of a year or more; got {len(phases_minor)} and {years}"
        )
    now, later = (sum(phased_cost(phases_minor, percent, begun)) for begun in (years_on, years_on + years))
    upkeep = sum(upkeep_by_year(upkeep_minor, upkeep_percent, years_on, years))
    return Deferral(years, now, later, upkeep, interest_minor)
