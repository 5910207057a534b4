"""Why the money is different: each line's difference from its plan, by cause, in words and to the cent."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import ROUND_HALF_UP
from typing import Any
from uuid import UUID

from babel.numbers import format_decimal
from swardcost_model.control import CauseTotal, ExplainedCause, ExplainedLine, Explanation
from swardcost_model.values import CURRENCY_DIGITS, Money, from_minor, minor_unit

from swardcost_api.access.service import read_club
from swardcost_api.budgets.service import LineState
from swardcost_api.engine.control.explanation import FORMULAS, REASONS, Cause, LineFacts, explain
from swardcost_api.engine.pricing.bought import in_words
from swardcost_api.engine.unit_words import one_of, to_hundredths, units_of
from swardcost_api.reports.gathering import Gathered, LineFigures, gather, up_to
from swardcost_api.reports.standing import naming
from swardcost_api.storage.work import UnitOfWork

COLUMNS = (
    "line", "label", "account", "unplanned", "planned", "cost", "difference", *REASONS, "words", "currency",
)  # fmt: skip
MONEY = frozenset(COLUMNS[4:13])


@dataclass(frozen=True, slots=True)
class _Words:
    """How amounts are written for this club."""

    currency: str
    locale: str

    def amount(self, minor: int) -> str:
        """An amount without its sign, such as 3,321.00."""
        digits = CURRENCY_DIGITS[self.currency]
        pattern = "#,##0" + ("." + "0" * digits if digits else "")
        value = from_minor(abs(minor), self.currency)
        return format_decimal(value, pattern, locale=self.locale.replace("-", "_"))

    def of(self, cause: Cause, line: LineState) -> str:
        """A cause as a committee reads it: ``82 more short tons than planned: 3,321.00``."""
        more, amount = cause.amount_minor > 0, self.amount(cause.amount_minor)
        if cause.reason == "spending" and line.markup == "contingency" and not more:
            return f"contingency that was not drawn: {amount}"
        unit = line.unit or ""
        if cause.reason == "quantity" and cause.units is not None:
            count, things = to_hundredths(cause.units), units_of(cause.units, unit)
            return f"{count} {'more' if more else 'fewer'} {things} than planned: {amount}"
        if cause.reason == "price" and cause.unit_price is not None:
            step = minor_unit(self.currency)
            each = abs(cause.unit_price)
            rounded = each.quantize(step, ROUND_HALF_UP)
            dearer = in_words(each) if rounded == 0 else f"{rounded:,f}"
            return f"{dearer} a {one_of(unit)} {'dearer' if more else 'cheaper'}: {amount}"
        return f"{_SENTENCES[cause.reason][0 if more else 1]}: {amount}"


_SENTENCES = {
    "scope": ("approved changes of the budget added", "approved changes of the budget took away"),
    "timing": ("work was done earlier than planned", "work planned by now is still to be done"),
    "quantity": ("more was used than planned", "less was used than planned"),
    "price": ("dearer than planned", "cheaper than planned"),
    "spending": ("more was spent that no quantity explains", "less was spent, which no quantity explains"),
    "coding": ("charged from other accounts than the line's own", "credited from other accounts than the line's own"),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class LineCauses:
    """A line, what is known of it at the day, and why its cost differs; the causes sum to the difference."""

    line: LineFigures
    facts: LineFacts
    causes: Sequence[Cause]


def causes_of(gathered: Gathered) -> list[LineCauses]:
    """Why each line's cost differs from its original plan up to the month, in the order of the lines."""
    found = []
    for line in gathered.lines:
        facts = _facts(line, gathered.through)
        found.append(LineCauses(line, facts, explain(facts, CURRENCY_DIGITS[gathered.currency])))
    return found


def explanation(work: UnitOfWork, budget_id: UUID, through: str | None) -> Explanation:
    """Why each line's cost differs from its original plan up to a month: this month where none is given."""
    return explanation_of(gather(work, budget_id, through), read_club(work).locale, work.now)


def explanation_of(gathered: Gathered, locale: str, now: datetime) -> Explanation:
    """Why the money of a gathered budget is different, with numbers in words as the locale writes them."""
    currency = gathered.currency
    words = _Words(currency, locale)

    def money(minor: int) -> Money:
        return Money.of_minor(minor, currency)

    lines, totals, planned, cost = [], dict.fromkeys(REASONS, 0), 0, 0
    for one in causes_of(gathered):
        line, facts, causes = one.line, one.facts, one.causes
        for cause in causes:
            totals[cause.reason] += cause.amount_minor
        planned += facts.original_minor
        cost += facts.cost_minor
        told = [
            ExplainedCause(
                cause=cause.reason, amount=money(cause.amount_minor), words=words.of(cause, line.state)
            )
            for cause in causes
        ]
        lines.append(
            ExplainedLine(
                **naming(line), planned=money(facts.original_minor), cost=money(facts.cost_minor),
                difference=money(facts.cost_minor - facts.original_minor), causes=told,
                words="; ".join(one.words for one in told) or "as planned",
            )
        )  # fmt: skip
    lines.sort(key=lambda line: (-abs(line.difference.amount), line.number))
    return Explanation(
        budget=gathered.budget, through=gathered.through, on=gathered.on, created_at=now, lines=lines,
        causes=[CauseTotal(cause=one, amount=money(totals[one]), formula=FORMULAS[one]) for one in REASONS],
        planned=money(planned), cost=money(cost), difference=money(cost - planned),
    )  # fmt: skip


def _facts(line: LineFigures, through: str) -> LineFacts:
    state = line.state
    used, priced = line.used()
    return LineFacts(
        up_to(state.original_by_month, through), up_to(state.adjusted_by_month, through), state.adjusted_minor,
        line.cost_minor, state.adjusted_quantity, line.done_as_counted, used, line.other_accounts_minor, priced,
    )  # fmt: skip


def explanation_cells(report: Explanation) -> Iterable[Sequence[Any]]:
    """The report as rows of a table with `COLUMNS`; the total comes last."""
    nothing = minor_unit(report.cost.currency) * 0
    for line in report.lines:
        amounts = {one.cause: one.amount.amount for one in line.causes}
        yield (
            line.number, line.label, line.account, line.unplanned, line.planned.amount, line.cost.amount,
            line.difference.amount, *(amounts.get(reason, nothing) for reason in REASONS), line.words,
            line.cost.currency,
        )  # fmt: skip
    yield (None, "Total", None, None, report.planned.amount, report.cost.amount, report.difference.amount,
           *(one.amount.amount for one in report.causes), None, report.cost.currency)  # fmt: skip
