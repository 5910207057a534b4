"""How much turf a golf course usually has: bounds to doubt figures by, never to refuse them.

References
----------
Common practice, from memory: on 18 holes greens take 2.5 to 3.5 acres, tees 2.5 to 3.5, fairways 25 to 35,
bunkers 1.5 to 3; single greens mostly lie between 2,000 and 15,000 square feet.
"""

from dataclasses import dataclass

ACRE_M2 = 4046.8564224
SQUARE_FOOT_M2 = 0.09290304
FULL_COURSE_HOLES = 18
SOURCE = "common practice, from memory"


@dataclass(frozen=True, slots=True)
class Range:
    """The least and the most that is usual, in square metres."""

    least_m2: float
    most_m2: float

    def holds(self, size_m2: float) -> bool:
        return self.least_m2 <= size_m2 <= self.most_m2


_COURSE_ACRES = {"green": (2.5, 3.5), "tee": (2.5, 3.5), "fairway": (25.0, 35.0), "bunker": (1.5, 3.0)}
_SINGLE_SQUARE_FEET = {
    "green": (2_000.0, 15_000.0), "tee": (200.0, 20_000.0), "fairway": (8_000.0, 250_000.0),
    "bunker": (50.0, 20_000.0),
}  # fmt: skip
ONCE_A_HOLE = frozenset({"green", "fairway"})
"""Kinds of area of which a hole usually has one."""


def usual_total(*, kind: str, holes: int) -> Range | None:
    """What all areas of a kind usually take together on a course of so many holes.

    ::

        usual total = usual total of 18 holes x holes / 18

    Limits: none is known for kinds other than greens, tees, fairways and bunkers; courses of par-3 holes lie
    below. Raises `ValueError` for less than one hole.

    >>> bound = usual_total(kind="green", holes=9)
    >>> round(bound.least_m2 / ACRE_M2, 9), round(bound.most_m2 / ACRE_M2, 9)
    (1.25, 1.75)
    """
    if holes < 1:
        raise ValueError(f"holes: expected one or more; got {holes!r}")
    if kind not in _COURSE_ACRES:
        return None
    least, most = _COURSE_ACRES[kind]
    share = holes / FULL_COURSE_HOLES
    return Range(least * ACRE_M2 * share, most * ACRE_M2 * share)


def usual_size(*, kind: str) -> Range | None:
    """What a single area of a kind usually measures; none is known for kinds other than those of `usual_total`."""
    if kind not in _SINGLE_SQUARE_FEET:
        return None
    least, most = _SINGLE_SQUARE_FEET[kind]
    return Range(least * SQUARE_FOOT_M2, most * SQUARE_FOOT_M2)
