"""How long the parts of a course last, and how much of that is used up.

References
----------
American Society of Golf Course Architects, life-cycle chart, as reprinted by the National Club Association: years from
least to most. The likely life is taken to be the middle of them, which the chart does not say.
"""

from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal

CHART = (
    "American Society of Golf Course Architects, life-cycle chart, reprinted by the National Club Association"
)
MIDDLE = "the likely life is the middle of the chart's range, which the chart does not say"
STARTING_LIVES: dict[str, tuple[int, int]] = {
    "green": (15, 30),
    "bunker_sand": (5, 7),
    "irrigation": (10, 30),
    "irrigation_control": (10, 15),
    "pressure_pipe": (10, 30),
    "pump_station": (15, 20),
    "asphalt_path": (5, 10),
    "concrete_path": (15, 30),
    "range_tee": (5, 10),
    "tee": (15, 20),
    "metal_pipe": (15, 30),
    "bunker_drain": (5, 10),
    "mulch": (1, 3),
}
"""Least and most years of each kind that the chart knows."""


@dataclass(frozen=True, slots=True)
class YearsOfLife:
    """The least, likely and most years that something lasts.

    Raises `ValueError` unless they are above zero and in order.
    """

    low: Decimal
    likely: Decimal
    high: Decimal

    def __post_init__(self) -> None:
        if not 0 < self.low <= self.likely <= self.high:
            raise ValueError(
                f"expected years above zero in order; got {self.low}, {self.likely}, {self.high}"
            )


def starting_life(kind: str) -> YearsOfLife | None:
    """The life of a kind from the chart; `None` for a kind that it does not have."""
    if kind not in STARTING_LIVES:
        return None
    low, high = STARTING_LIVES[kind]
    return YearsOfLife(Decimal(low), Decimal(low + high) / 2, Decimal(high))


def due_year(since: int, years: Decimal) -> int:
    """The year in which something in use since a year is due after so many years, part years counted up.

    Examples
    --------
    >>> due_year(2010, Decimal("17.5"))
    2028
    """
    return since + int(years.to_integral_value(ROUND_CEILING))


def age_used(since: int, year: int, life: Decimal) -> Decimal:
    """Years of its life that are used up at the end of a year: its age, at most its life, and never below zero."""
    return min(max(Decimal(year - since), Decimal(0)), life)


def age_used_by_judgement(years_left: Decimal, judged_in: int, year: int, life: Decimal) -> Decimal:
    """The same where somebody judged in a year how many more years it has: what of its life those do not cover."""
    left = max(years_left - (year - judged_in), Decimal(0))
    return max(life - left, Decimal(0))
