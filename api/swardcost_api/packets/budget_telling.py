"""What every part of a budget packet is told with: its facts, its language, and the steps behind its figures."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Protocol

from swardcost_model.values import Money

from swardcost_api.packets.budget_facts import BudgetFacts
from swardcost_api.packets.composing import Writing
from swardcost_api.packets.derived import Derived
from swardcost_api.packets.document import Cell, Column, Given, Kind, Row, Step, Weight
from swardcost_api.packets.relations import Rows
from swardcost_api.packets.values import MonthOf, Value

LINES, WHY, AT_END, CONTINGENCY, TOTAL = "lines", "why-different", "at-completion", "contingency-log", "total"
"""Tables, and a row, that others repeat figures of."""
MOST_NAMED = 5


class Numbered(Protocol):
    """A budget line as the reports name it."""

    @property
    def number(self) -> int: ...

    @property
    def label(self) -> str: ...

    @property
    def account(self) -> str | None: ...


@dataclass(frozen=True)
class Telling:
    """A packet while it is composed."""

    facts: BudgetFacts
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
        return self.shown(-money if money.amount < 0 else money)

    def minor(self, minor: int) -> str:
        """So many minor units within a sentence."""
        return self.shown(self.facts.money(minor))

    def day(self, day: date) -> str:
        """A day within a sentence."""
        return self.writing.format.day(day)

    @property
    def month(self) -> str:
        """The month of the packet within a sentence."""
        return self.shown(MonthOf.named(self.facts.gathered.through))

    def label(self, line: Numbered) -> str:
        """How a line is named: its number and what it pays for, with its account where others are called the same."""
        if line.account is None or line.label not in self.facts.repeated_labels:
            return self.say("%(number)s. %(name)s", number=line.number, name=line.label)
        return self.say(
            "%(number)s. %(name)s (%(account)s)", number=line.number, name=line.label, account=line.account
        )

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

    def money(self, key: str, title: str) -> Column:
        """A column of money."""
        return Column(key, title, Kind.MONEY)

    def why(self, name: str, title: str, steps: Sequence[Step]) -> str | None:
        """The id of a derivation of these steps, to refer to it."""
        return self.derived.why(name, title, (), steps)

    def step(self, name: str, value: Value, formula: str, source: str, *inputs: tuple[str, Value]) -> Step:
        """A step whose inputs have the names that the formula uses."""
        return Step(name, value, formula, tuple(Given(called, put_in) for called, put_in in inputs), source)


def line_key(line: Numbered) -> str:
    """The key of a line's row, and of its derivation."""
    return f"line-{line.number}"


def sentence(text: str) -> str:
    """What somebody typed, so that a sentence can follow it."""
    typed = text.rstrip()
    return typed if typed.endswith((".", "!", "?", "…", "。")) else f"{typed}."


def total_row(
    telling: Telling, columns: Sequence[Column], totals: dict[str, Cell], rows: Sequence[Row]
) -> Row:
    """The last row: `totals` by column, each the sum of the items unless it says otherwise."""
    items = tuple(row.key for row in rows if row.weight is Weight.ITEM)

    def cell(place: int, column: Column) -> Cell:
        if place == 0:
            return Cell(telling.say("Total"))
        found = totals.get(column.key, Cell())
        if found.value is None or found.computed is not None:
            return found
        return Cell(found.value, found.why, Rows(items), found.note)

    return Row(TOTAL, tuple(cell(place, one) for place, one in enumerate(columns)), Weight.TOTAL)


def money_sum(telling: Telling, amounts: Iterable[Money]) -> Money:
    """The sum of some amounts."""
    return sum(amounts, telling.facts.money(0))
