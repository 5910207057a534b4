"""What every part of a packet is told with: its facts, its language, and the steps behind its figures."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import ClassVar, Generic, TypeVar

from swardcost_model.figures import DerivationStep
from swardcost_model.values import Money, to_minor

from swardcost_api.packets.composing import Writing
from swardcost_api.packets.derived import Derived
from swardcost_api.packets.document import Column, Given, Kind, Paragraph, Part, Section, Step
from swardcost_api.packets.step_words import step_words_for
from swardcost_api.packets.values import Value

MOST_ENTRIES = 60
FactsT = TypeVar("FactsT")


@dataclass(frozen=True)
class Told(Generic[FactsT]):
    """A packet while it is composed."""

    most_named: ClassVar[int] = 10
    """Names that a sentence holds before it says how many more."""

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

    def size(self, money: Money) -> str:
        """An amount without its sign, for a sentence that says which way it goes."""
        return self.shown(Money.model_construct(amount=abs(money.amount), currency=money.currency))

    def day(self, day: date) -> str:
        """A day within a sentence."""
        return self.writing.format.day(day)

    def numbered(self, number: int, name: str) -> str:
        """A numbered name."""
        return self.say("%(number)s. %(name)s", number=number, name=name)

    def listed(self, names: Iterable[str]) -> str:
        """Names after each other, of many the first and how many more."""
        found = list(names)
        more = len(found) - self.most_named
        words = self.joined(found[: self.most_named])
        if more <= 0:
            return words
        return self.counted(
            "%(names)s; and %(number)s more", "%(names)s; and %(number)s more", more, names=words
        )

    def joined(self, names: Iterable[str]) -> str:
        """Names after each other, all of them."""
        return self.say("; ").join(names)

    def entries(self, items: Sequence[str]) -> tuple[str, ...]:
        """The entries of a list, of very many the first and how many more."""
        more = len(items) - MOST_ENTRIES
        if more <= 0:
            return tuple(items)
        rest = self.counted("And %(number)s more.", "And %(number)s more.", more)
        return (*items[:MOST_ENTRIES], rest)

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

    def why(
        self, name: str, title: str, steps: Sequence[DerivationStep], before: Sequence[Step] = ()
    ) -> str | None:
        """The id of a derivation of these steps, to refer to it; none where there are no steps.

        Steps `before` them are typed already.
        """
        return self.derived.why(name, title, steps, before)

    def why_typed(self, name: str, title: str, *steps: Step) -> str | None:
        """The id of a derivation of steps that are taken in this packet itself."""
        return self.derived.why(name, title, (), steps)

    def appendix(self) -> Iterator[Part]:
        """The steps behind the figures told so far, where there are any."""
        if self.derived.any:
            yield Section("derivations", self.say("How each figure came about"))
            yield Paragraph(
                self.say("The steps behind the figures: the formula, what went in, and where it is from.")
            )
            yield self.derived.appendix(step_words_for(self.writing.words.locale))

    def step(self, name: str, value: Value, formula: str, source: str, *inputs: tuple[str, Value]) -> Step:
        """A step whose inputs have the names that the formula uses."""
        return Step(name, value, formula, tuple(Given(called, put_in) for called, put_in in inputs), source)


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
