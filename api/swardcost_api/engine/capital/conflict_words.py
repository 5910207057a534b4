"""A conflict of a plan's limits in words: which years, which projects, and what cannot be."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from swardcost_api.engine.capital.candidates import Question
from swardcost_api.engine.capital.kept_limits import Family
from swardcost_api.engine.capital.year_runs import runs_of

MOST_RUNS = 3
"""Stretches of years that are listed; more are counted."""
_OF_YEARS: dict[Family, tuple[str, str]] = {
    "spending": ("the spending limit of", "the spending limits of"),
    "closure_days": ("the closure days of", "the closure days of"),
    "floor": ("the least balance at the end of", "the least balances at the ends of"),
}


@dataclass(frozen=True, slots=True)
class Part:
    """A limit of a year (`spending`, `closure_days`, `floor`), a `required` project, or one `after` another."""

    family: Family
    year: int | None = None
    key: str = ""
    other: str = ""


def in_words(question: Question, parts: Sequence[Part], fixed: str | None = None) -> str:
    """A sentence on parts that cannot be kept together; `fixed` is a project that is held in one year."""
    required = [part.key for part in parts if part.family == "required" and part.key != fixed]
    given = [*limits_in_words(question, parts), *_links_in_words(question, parts)]
    if fixed is None and not required:
        return f"Even without projects the balance is below {listed(given)}."
    if fixed is not None:
        what = (
            f"{quoted(question, fixed)} cannot start in {question.year(question.candidates[fixed].earliest)}"
        )
        if required:
            what += f" beside the required {_projects(question, required)}"
    else:
        what = f"the required {_projects(question, required)} {_cannot(question, required)}"
    if given:
        return f"With {listed(given)}, {what}."
    return what[0].upper() + what[1:] + "."


def limits_in_words(question: Question, parts: Iterable[Part]) -> list[str]:
    """The limits of years among some parts, family by family: ``the spending limits of 2027 and 2028``."""
    years: dict[Family, list[int]] = {}
    for part in parts:
        if part.family in _OF_YEARS and part.year is not None:
            years.setdefault(part.family, []).append(question.year(part.year))
    return [
        f"{words[len(years[family]) > 1]} {_years(sorted(years[family]))}"
        for family, words in _OF_YEARS.items()
        if family in years
    ]


def listed(words: Sequence[str]) -> str:
    """Words one after the other, ``and`` before the last."""
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def quoted(question: Question, key: str) -> str:
    """A project by its name."""
    return f"'{question.candidates[key].name}'"


def _projects(question: Question, keys: Sequence[str]) -> str:
    named = []
    for key in keys:
        partners = [one.key for one in question.bundle_of[key].members if one.key not in keys]
        beside = f" (together with {listed([quoted(question, one) for one in partners])})" if partners else ""
        named.append(quoted(question, key) + beside)
    return f"project{'s' if len(keys) > 1 else ''} {listed(named)}"


def _cannot(question: Question, keys: Sequence[str]) -> str:
    never = next((key for key in keys if not question.bundle_of[key].starts), None)
    if never is not None:
        return f"cannot be done: {_why_never(question, never)}"
    how = {1: "cannot start", 2: "cannot both start"}.get(len(keys), "cannot all start")
    last = max(start for key in keys for start in question.bundle_of[key].starts)
    return f"{how} by {question.year(last)}"


def _why_never(question: Question, key: str) -> str:
    """Why a project has no year to start in: its last phase, or its partners."""
    short = [one.key for one in question.bundle_of[key].members if not question.starts(one)]
    if short:
        return f"the plan ends before the last phase of {listed([quoted(question, one) for one in short])}"
    partners = [quoted(question, one.key) for one in question.bundle_of[key].members if one.key != key]
    return f"no such year is within the {'window' if len(partners) == 1 else 'windows'} of {listed(partners)}"


def _links_in_words(question: Question, parts: Iterable[Part]) -> list[str]:
    found = []
    for part in parts:
        if part.family == "after":
            years = next(link.years for link in question.candidates[part.key].after if link.key == part.other)
            apart = f" by {years} year{'s' if years > 1 else ''}" if years else ""
            found.append(f"{quoted(question, part.key)} after {quoted(question, part.other)}{apart}")
    return found


def _years(years: Sequence[int]) -> str:
    """Years, three or more in a row as ``2027 to 2030``, and many as how many of which."""
    runs = runs_of(years)
    if len(runs) > MOST_RUNS:
        return f"{len(years)} of the years {years[0]} to {years[-1]}"
    words = [
        word
        for run in runs
        for word in ([f"{run[0]} to {run[-1]}"] if len(run) > 2 else [str(year) for year in run])
    ]
    return listed(words)
