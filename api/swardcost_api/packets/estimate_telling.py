"""What every part of an estimate packet or a work report is told with: its facts, its language, and the steps behind
its figures."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import ROUND_HALF_UP, Decimal
from typing import Generic, TypeVar

from swardcost_model.figures import DerivationStep
from swardcost_model.values import Money, plain, to_minor

from swardcost_api.packets.composing import Writing
from swardcost_api.packets.derived import Derived
from swardcost_api.packets.document import Column, Given, Kind, Step
from swardcost_api.packets.estimate_facts import EstimateFacts
from swardcost_api.packets.values import Share, Value

MOST_NAMED = 10
MOST_LISTED = 60
FactsT = TypeVar("FactsT")


@dataclass(frozen=True)
class Told(Generic[FactsT]):
    """A packet while it is composed."""

    facts: FactsT
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

    def named(self, names: Iterable[str]) -> str:
        """Names after each other, of many the first and how many more."""
        found = list(names)
        more = len(found) - MOST_NAMED
        words = "; ".join(found[:MOST_NAMED])
        if more <= 0:
            return words
        return self.counted(
            "%(names)s; and %(number)s more", "%(names)s; and %(number)s more", more, names=words
        )

    def listed(self, items: Sequence[str]) -> tuple[str, ...]:
        """The items of a list, of very many the first and how many more."""
        more = len(items) - MOST_LISTED
        if more <= 0:
            return tuple(items)
        rest = self.counted("And %(number)s more.", "And %(number)s more.", more)
        return (*items[:MOST_LISTED], rest)

    def yes_or_no(self, yes: bool) -> str:
        """One of two words for a column."""
        return self.say("Yes") if yes else self.say("No")

    def by(self, name: str | None, on: date | None) -> str:
        """Who did something and when, as far as it is known."""
        if name is None:
            return self.say("Nobody is named.")
        return name if on is None else self.say("%(name)s, %(day)s", name=name, day=self.shown(on))

    def money(self, key: str, title: str) -> Column:
        """A column of money."""
        return Column(key, title, Kind.MONEY)

    def why(self, name: str, title: str, steps: Sequence[DerivationStep]) -> str | None:
        """The id of a derivation of these steps, to refer to it; none where there are no steps."""
        return self.derived.why(name, title, steps)

    def why_typed(self, name: str, title: str, *steps: Step) -> str | None:
        """The id of a derivation of steps that are taken in this packet itself."""
        return self.derived.why(name, title, (), steps)


Telling = Told[EstimateFacts]


def share(percent: Decimal) -> Share:
    """A share in percent, with no more decimals than it needs."""
    normal = percent.normalize()
    return Share(Decimal(plain(normal)))


def one_place(number: Decimal) -> Decimal:
    """A number rounded half up to a tenth."""
    return number.quantize(Decimal("0.1"), ROUND_HALF_UP)


def given(name: str, value: Value) -> Given:
    """An input of a step."""
    return Given(name, value)


def money_sum(amounts: Iterable[Money | None], currency: str) -> Money:
    """The sum of the amounts that are known."""
    known = (to_minor(one.amount, one.currency) for one in amounts if one is not None)
    return Money.of_minor(sum(known), currency)


def nothing(money: Money | None) -> bool:
    """Whether an amount is not known, or zero."""
    return money is None or money.amount == 0


def as_sentence(text: str) -> str:
    """What somebody typed, so that a sentence can follow it."""
    typed = text.rstrip()
    return typed if typed.endswith((".", "!", "?", "…", "。")) else f"{typed}."
