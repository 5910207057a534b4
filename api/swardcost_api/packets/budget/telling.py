"""What every part of a budget packet is told with: its facts, its language, and the steps behind its figures."""

from collections.abc import Sequence
from typing import Protocol
from uuid import UUID

from swardcost_model.estimates import MarkupKind

from swardcost_api.budgets.service import LineState
from swardcost_api.packets.budget.facts import BudgetFacts
from swardcost_api.packets.document import Cell, Column, Row, Weight
from swardcost_api.packets.relations import Rows
from swardcost_api.packets.telling import Told
from swardcost_api.packets.trade_words import markup_name
from swardcost_api.packets.values import MonthOf

LINES, WHY, AT_END, CONTINGENCY, TOTAL = "lines", "why-different", "at-completion", "contingency-log", "total"
"""Tables, and a row, that others repeat figures of."""


class Numbered(Protocol):
    """A budget line as the reports name it."""

    @property
    def id(self) -> UUID: ...

    @property
    def number(self) -> int: ...

    @property
    def label(self) -> str: ...

    @property
    def account(self) -> str | None: ...


class Telling(Told[BudgetFacts]):
    """A budget packet while it is composed."""

    most_named = 5

    def minor(self, minor: int) -> str:
        """So many minor units within a sentence."""
        return self.shown(self.facts.money(minor))

    @property
    def month(self) -> str:
        """The month of the packet within a sentence."""
        return self.shown(MonthOf.named(self.facts.gathered.through))

    @property
    def today(self) -> str:
        """The day of the packet within a sentence."""
        return self.day(self.facts.now.date())

    @property
    def by_then(self) -> str:
        """By when something was spent, at the head of a sentence."""
        if self.facts.month_is_over:
            return self.say("By the end of %(month)s", month=self.month)
        return self.say("By %(day)s", day=self.today)

    def label(self, line: Numbered) -> str:
        """How a line is named: its number and what it pays for, with its account where others are called the same."""
        name = self.name_of(self.facts.lines[line.id].state)
        if line.account is None or line.label not in self.facts.repeated_labels:
            return self.numbered(line.number, name)
        return self.say(
            "%(number)s. %(name)s (%(account)s)", number=line.number, name=name, account=line.account
        )

    def name_of(self, state: LineState) -> str:
        """What a line pays for; markups have names in each language."""
        return (
            state.label if state.markup is None else markup_name(self.writing.words, MarkupKind(state.markup))
        )


def line_key(line: Numbered) -> str:
    """The key of a line's row, and of its derivation."""
    return f"line-{line.number}"


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
