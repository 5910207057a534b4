"""What every part of a capital plan packet is told with: its facts, its language, and the steps behind its figures."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date

from swardcost_model.capital_plans import PlanProject
from swardcost_model.plan_figures import PlanYear, ProjectDeferral, ProjectInFigures
from swardcost_model.plan_progress import ProjectStanding
from swardcost_model.values import Money, to_minor

from swardcost_api.packets.capital_facts import CapitalFacts
from swardcost_api.packets.composing import Writing
from swardcost_api.packets.derived import Derived
from swardcost_api.packets.document import Column, Given, Kind, Step
from swardcost_api.packets.values import Measured, Value

MOST_NAMED = 10
YEARS, BALANCE, WORK = "plan-by-year", "reserve-and-floor", "work-by-year"
"""Tables that others repeat figures of."""


@dataclass(frozen=True)
class Telling:
    """A packet while it is composed."""

    facts: CapitalFacts
    writing: Writing
    derived: Derived = field(default_factory=Derived)

    def say(self, message: str, /, **values: object) -> str:
        """A message in the language of the packet."""
        return self.writing.words.say(message, **values)

    def counted(self, one: str, many: str, number: int, /, **values: object) -> str:
        """The form of a message that goes with a number, which it may name as ``number``."""
        return self.writing.words.counted(one, many, number, number=self.shown(number), **values)

    def shown(self, value: Value) -> str:
        """A value as it stands within a sentence."""
        return self.writing.format.text(value)

    def day(self, day: date) -> str:
        """A day within a sentence."""
        return self.writing.format.day(day)

    def label(self, project: PlanProject | ProjectInFigures | ProjectDeferral | ProjectStanding) -> str:
        """How a project is named in tables and sentences: its number and its name."""
        return self.numbered(project.number, project.name)

    def numbered(self, number: int, name: str) -> str:
        """A numbered name."""
        return self.say("%(number)s. %(name)s", number=number, name=name)

    def listed(self, names: Iterable[str]) -> str:
        """Names after each other, of many the first and how many more."""
        found = list(names)
        more = len(found) - MOST_NAMED
        words = "; ".join(found[:MOST_NAMED])
        if more <= 0:
            return words
        return self.counted(
            "%(names)s; and %(number)s more", "%(names)s; and %(number)s more", more, names=words
        )

    def span(self, first: int, last: int) -> str:
        """A year, or from one to another."""
        if first == last:
            return str(first)
        return self.say("%(first)s to %(last)s", first=first, last=last)

    def money(self, key: str, title: str) -> Column:
        """A column of money."""
        return Column(key, title, Kind.MONEY)


def year_key(year: int) -> str:
    """The key of a year's row, and of its derivation."""
    return f"y{year}"


def why_year(telling: Telling, year: PlanYear) -> str | None:
    """The derivation of a year of the reserve."""
    title = telling.say("The reserve in %(year)s", year=year.year)
    incomes = [
        Step(
            one.name, one.amount, "units x each, rounded half up",
            (Given("units", Measured(one.units, "each")), Given("each", one.each)), "the terms of the plan",
        )
        for one in year.incomes
    ]  # fmt: skip
    return telling.derived.why(year_key(year.year), title, year.derivation, incomes)


def as_sentence(text: str) -> str:
    """What somebody typed, so that a sentence can follow it."""
    typed = text.rstrip()
    return typed if typed.endswith((".", "!", "?", "…", "。")) else f"{typed}."


def no_money(money: Money | None) -> bool:
    """Whether an amount is not known, or nothing."""
    return money is None or money.amount == 0


def money_sum(amounts: Iterable[Money | None], currency: str) -> Money:
    """The sum of the amounts that are known."""
    known = (to_minor(one.amount, one.currency) for one in amounts if one is not None)
    return Money.of_minor(sum(known), currency)
