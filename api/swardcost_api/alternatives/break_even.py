"""Where one of two alternatives becomes cheaper than the other, by whole pricings at values next to one another."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal

from swardcost_model import choosing as answers
from swardcost_model.access import Club
from swardcost_model.choosing import BreakEvenQuestion, Cheaper
from swardcost_model.problems import Fault
from swardcost_model.values import Money

from swardcost_api.access.service import read_club
from swardcost_api.alternatives.choosing_sides import read_side, refuse_unsearchable
from swardcost_api.alternatives.moved_costs import (
    Pricings,
    SideCost,
    cautions_of,
    in_words,
    refuse_unmoved,
    samples_for,
    shown,
)
from swardcost_api.alternatives.variables import refuse
from swardcost_api.derivations import steps_for
from swardcost_api.engine.derivation import Step
from swardcost_api.engine.risk.goal_seek import Compared, Crossing, Searched, Span
from swardcost_api.engine.risk.goal_seek import break_even as search_break_even
from swardcost_api.storage.work import UnitOfWork


@dataclass(frozen=True, slots=True)
class BreakEvenSides:
    """A question with both of its alternatives, read."""

    question: BreakEvenQuestion
    first: SideCost
    second: SideCost
    club: Club

    @property
    def unit(self) -> str:
        """The unit of the values, in words."""
        return self.first.unit if self.first.unit is not None else self.second.unit or ""

    def label(self, cheaper: Cheaper) -> str:
        """The alternative that is cheaper, by its name."""
        return {"first": self.first.label, "second": self.second.label, "same": "Neither"}[cheaper]

    def value(self, value: Decimal) -> str:
        """A value with its unit, in words."""
        return in_words(value, self.unit)


def read_break_even(work: UnitOfWork, data: BreakEvenQuestion) -> BreakEvenSides:
    """Both alternatives with what they are priced from.

    Raises `invalid-values` for bounds, units and variables that do not fit, and alternatives in two currencies; and
    as `read_side`.
    """
    refuse_unsearchable(data)
    first, second = data.first, data.second
    if first.variable is None and second.variable is None:
        refuse(
            [Fault(pointer="/first/variable", expected="a variable of one alternative at least", got="none")]
        )
    if first.variable is not None and second.variable is not None:
        kind, other = first.variable.kind, second.variable.kind
        if kind != other:
            refuse([Fault(pointer="/second/variable/kind", expected=f"{kind}, as of the first", got=other)])
    sides = [
        read_side(work, side, data, pointer) for side, pointer in ((first, "/first"), (second, "/second"))
    ]
    if sides[0].currency != sides[1].currency:
        place = "/second/cost" if second.estimate_id is None else "/second/estimate_id"
        expected = f"a cost in {sides[0].currency}, as of the first"
        refuse([Fault(pointer=place, expected=expected, got=sides[1].currency)])
    units = {side.unit for side in sides if side.unit is not None}
    if len(units) > 1:
        refuse([Fault(pointer="/second/variable", expected=f"values in {sides[0].unit}", got=sides[1].unit)])
    if sides[0].label == sides[1].label:
        sides[0].label, sides[1].label = f"{sides[0].label} (first)", f"{sides[1].label} (second)"
    return BreakEvenSides(data, sides[0], sides[1], read_club(work))


def find_break_even(sides: BreakEvenSides) -> answers.BreakEven:
    """Where which alternative is cheaper, at values that were all computed.

    Raises `invalid-values` for a variable that moves nothing, a value at which an alternative cannot be priced, and a
    search that would take too many pricings.
    """
    question, first, second = sides.question, sides.first, sides.second
    first.pricings = second.pricings = Pricings()
    for side in (first, second):
        refuse_unmoved(side, question)
    found = search_break_even(
        first.minor_at, second.minor_at, question.low, question.high, question.resolution,
        samples=samples_for(first, second),
    )  # fmt: skip
    return answers.BreakEven(
        low=question.low, high=question.high, resolution=question.resolution, unit=sides.unit,
        counts=question.counts, first=_side(sides, first), second=_side(sides, second),
        crossings=[_crossing(sides, one) for one in found.crossings],
        spans=[_span(sides, one) for one in found.spans],
        cheaper_throughout=found.cheaper_throughout,
        words=list(_conclusions(sides, found.spans, found.searched)),
        searched=told_search(found.searched, first.pricings),
        cautions=[*cautions_of(first), *cautions_of(second)],
    )  # fmt: skip


def told_search(searched: Searched, pricings: Pricings) -> answers.Searched:
    """What an answer rests on, in an answer's form."""
    return answers.Searched(
        values=searched.values, every_value=searched.every_value, widest_gap=searched.widest_cell,
        pricings=pricings.made, words=searched.words,
    )  # fmt: skip


def _side(sides: BreakEvenSides, side: SideCost) -> answers.ChoosingSideCost:
    return answers.ChoosingSideCost(
        label=side.label, estimate_id=side.estimate_id, moves=side.moves, moved=side.words,
        as_estimated=Money.of_minor(side.base_minor, side.currency),
        at_low=side.money_at(sides.question.low), at_high=side.money_at(sides.question.high),
    )  # fmt: skip


def _crossing(sides: BreakEvenSides, crossing: Crossing) -> answers.BreakEvenCrossing:
    before, after = crossing.before, crossing.after
    same_from, same_to = crossing.equal or (None, None)
    return answers.BreakEvenCrossing(
        before=_costs(sides, before), after=_costs(sides, after), same_from=_costs(sides, same_from),
        same_to=_costs(sides, same_to), changes_order=crossing.changes_order,
        words=_crossing_words(sides, crossing),
        derivation=steps_for(_crossing_steps(sides, crossing), sides.club),
    )  # fmt: skip


def _crossing_steps(sides: BreakEvenSides, crossing: Crossing) -> Iterator[Step]:
    """How both costs come about at each value named, and their differences there."""
    same_from, same_to = crossing.equal or (None, None)
    values = [one.value for one in (crossing.before, same_from, same_to, crossing.after) if one is not None]
    for value in dict.fromkeys(values):
        yield from (side.at(value).step for side in (sides.first, sides.second))
    name = sides.first.words or sides.second.words
    yield from crossing.steps(variable=name, unit=sides.unit, currency=sides.first.currency)


def _costs(sides: BreakEvenSides, at: Compared | None) -> answers.CostsAt | None:
    if at is None:
        return None
    currency = sides.first.currency
    return answers.CostsAt(
        value=at.value, first=Money.of_minor(at.first_minor, currency),
        second=Money.of_minor(at.second_minor, currency), cheaper=_cheaper(at),
    )  # fmt: skip


def _cheaper(at: Compared) -> Cheaper:
    if at.first_minor == at.second_minor:
        return "same"
    return "first" if at.first_minor < at.second_minor else "second"


def _crossing_words(sides: BreakEvenSides, crossing: Crossing) -> str:
    before, after = crossing.before, crossing.after
    said = []
    if before is not None:
        said.append(f"up to {sides.value(before.value)} {sides.label(_cheaper(before))} costs less")
    if crossing.equal is not None:
        start, end = (one.value for one in crossing.equal)
        where = f"at {sides.value(start)}" if start == end else f"from {shown(start)} to {sides.value(end)}"
        said.append(f"{where} both cost the same")
    if after is not None:
        said.append(f"from {sides.value(after.value)} on {sides.label(_cheaper(after))} costs less")
    sentence = "; ".join(said)
    return f"{sentence[0].upper()}{sentence[1:]}."


def _span(sides: BreakEvenSides, span: Span) -> answers.BreakEvenSpan:
    return answers.BreakEvenSpan(
        first_value=span.first, last_value=span.last, cheaper=span.cheaper,
        words=f"{_range(sides, span)}: {_costs_less(sides, span.cheaper)}.",
    )  # fmt: skip


def _costs_less(sides: BreakEvenSides, cheaper: Cheaper) -> str:
    return "both cost the same" if cheaper == "same" else f"{sides.label(cheaper)} costs less"


def _range(sides: BreakEvenSides, span: Span) -> str:
    if span.first == span.last:
        return f"at {sides.value(span.first)}"
    return f"from {shown(span.first)} to {sides.value(span.last)}"


def _conclusions(sides: BreakEvenSides, spans: Sequence[Span], searched: Searched) -> Iterator[str]:
    """What was found, in sentences; and what a search by samples may have missed."""
    if len(spans) == 1:
        (span,) = spans
        if span.cheaper == "same":
            yield f"Both cost the same throughout, {_range(sides, span)}."
        else:
            label = sides.label(span.cheaper)
            yield f"{label} costs less throughout, {_range(sides, span)}: there is no break-even."
    elif len(spans) == 2 and "same" not in (spans[0].cheaper, spans[1].cheaper):
        before, after = spans
        yield (
            f"{sides.label(before.cheaper)} costs less up to {sides.value(before.last)}; "
            f"from {sides.value(after.first)} on {sides.label(after.cheaper)} does."
        )
    else:
        said = "; ".join(f"{_range(sides, span)} {_costs_less(sides, span.cheaper)}" for span in spans)
        yield f"{said[0].upper()}{said[1:]}."
    if len(spans) > 2:
        yield (
            "The costs change order more than once, as where whole loads, rental weeks or price breaks make them jump."
        )
    if not searched.every_value:
        yield f"{searched.words[0].upper()}{searched.words[1:]}."
