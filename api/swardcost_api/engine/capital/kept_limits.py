"""The exact figures of projects in their years, and which limits they break: whole minor units and days."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

from swardcost_api.engine.capital.candidates import Candidate, Question, Starts
from swardcost_api.engine.capital.reserve import ReserveYear, projected

Family = Literal["spending", "closure_days", "floor", "after", "together", "window", "required"]


@dataclass(frozen=True, slots=True)
class Broken:
    """A limit that is not kept: of a year, by so many minor units or days; or of a project (`key`) and another.

    `after` and `together` are orders and partners not kept; `window` is a year that a project cannot start in.
    """

    family: Family
    year: int | None = None
    by: int = 0
    key: str = ""
    other: str = ""


def spending(question: Question, starts: Starts) -> list[int]:
    """What the projects cost in each year, in minor units."""
    found = [0] * question.years
    for key, start in starts.items():
        for phase, minor in enumerate(question.candidates[key].costs_minor[start]):
            found[start + phase] += minor
    return found


def closure_days(question: Question, starts: Starts) -> list[int]:
    """On how many days the projects close the course in each year."""
    found = [0] * question.years
    for key, start in starts.items():
        for phase, days in enumerate(question.candidates[key].closure_days):
            found[start + phase] += days
    return found


def reserve_years(question: Question, spent_minor: list[int]) -> tuple[ReserveYear, ...]:
    """The reserve year by year with this spending on top of its own flows; none where no reserve is kept."""
    reserve = question.limits.reserve
    if reserve is None:
        return ()
    flows = (
        replace(one, spending_minor=one.spending_minor + minor)
        for one, minor in zip(reserve.flows, spent_minor, strict=True)
    )
    return projected(reserve.opening_minor, flows, reserve.interest)


def broken_limits(question: Question, starts: Starts) -> list[Broken]:
    """Every limit that is broken if these projects start in these years and no others are done.

    Each year has to be one that its project can start in.
    """
    return [
        *broken_of_years(question, starts),
        *(found for one in question.candidates.values() for found in _broken_of(one, question, starts)),
    ]


def broken_of_years(question: Question, starts: Starts) -> Iterator[Broken]:
    """The limits of spending, closure days and reserve that are broken, year by year."""
    limits = question.limits
    spent = spending(question, starts)
    for year, most in enumerate(limits.spending_minor):
        if most is not None and spent[year] > most:
            yield Broken("spending", year, spent[year] - most)
    for year, (days, most) in enumerate(
        zip(closure_days(question, starts), limits.closure_days, strict=True)
    ):
        if most is not None and days > most:
            yield Broken("closure_days", year, days - most)
    if limits.reserve is not None:
        floors = limits.reserve.floors_minor
        for year, (row, floor) in enumerate(zip(reserve_years(question, spent), floors, strict=True)):
            if floor is not None and row.closing_minor < floor:
                yield Broken("floor", year, floor - row.closing_minor)


def _broken_of(one: Candidate, question: Question, starts: Starts) -> Iterator[Broken]:
    start = starts.get(one.key)
    if start is None:
        if one.required:
            yield Broken("required", key=one.key)
        return
    for link in one.after:
        before = starts.get(link.key)
        if before is None or start - before < link.years:
            yield Broken("after", key=one.key, other=link.key)
    for other in question.bundle_of[one.key].members:
        if starts.get(other.key) != start:
            yield Broken("together", key=one.key, other=other.key)
