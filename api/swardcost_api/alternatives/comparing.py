"""Alternatives in figures: what each costs, takes and leaves out, and where it differs from the first.

Nothing is computed anew: the figures are those of the estimates as they were priced and simulated, so that a comparison
can be held against each of them.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import timedelta
from decimal import Decimal
from operator import itemgetter
from uuid import UUID

from swardcost_model.comparisons import (
    Alternative,
    AlternativeFigures,
    ComparisonFigures,
    DaysClosed,
    LeftOut,
    LeftOutKind,
    SimulatedCost,
)
from swardcost_model.estimate_bridge import EstimateBridge
from swardcost_model.estimates import Estimate
from swardcost_model.figures import Figure
from swardcost_model.values import Money

from swardcost_api.alternatives.comparisons import read_comparison
from swardcost_api.estimates.service import WorkedItem, bridge, read_basis, read_estimate, worked_items
from swardcost_api.risk.service import simulated_cost
from swardcost_api.storage.work import UnitOfWork

_WORK = ("area_worked", "area_touched", "sand", "trips", "labor_hours", "machine_hours")
_AREAS_NAMED = 12
_STATED = "Stated with the comparison."
_COUNTED = "Days from the first to the last day of each scope item, each day once."


@dataclass(frozen=True, slots=True)
class _Compared:
    """An alternative with all that is known of its estimate."""

    alternative: Alternative
    estimate: Estimate
    items: Mapping[UUID, WorkedItem]
    exclusions: Sequence[str]
    risk: SimulatedCost | None

    @property
    def names(self) -> set[str]:
        """Names of its scope items."""
        return {item.name for item in self.items.values()}

    @property
    def areas(self) -> dict[str, str]:
        """The areas that it works on, by id."""
        return {key: name for item in self.items.values() for key, name in item.areas.items()}


def compare(work: UnitOfWork, comparison_id: UUID) -> ComparisonFigures:
    """The alternatives of a comparison side by side. Raises `not-found`."""
    comparison = read_comparison(work, comparison_id)
    compared = [_compared(work, one) for one in comparison.alternatives]
    first = compared[0]
    figures = [
        _figures(
            one, first.estimate, compared,
            None if one is first else bridge(work, first.estimate.id, one.estimate.id),
        )
        for one in compared
    ]  # fmt: skip
    return ComparisonFigures(
        comparison_id=comparison.id, name=comparison.name, question=comparison.question, alternatives=figures,
        conclusions=list(_conclusions(figures)), cautions=list(_cautions(compared)),
    )  # fmt: skip


def _compared(work: UnitOfWork, alternative: Alternative) -> _Compared:
    estimate = read_estimate(work, alternative.estimate_id)
    return _Compared(
        alternative, estimate, worked_items(work, estimate.id), read_basis(work, estimate.id).exclusions,
        simulated_cost(work, estimate.id),
    )  # fmt: skip


def _figures(
    one: _Compared, first: Estimate, all_of_them: Sequence[_Compared], differences: EstimateBridge | None
) -> AlternativeFigures:
    estimate = one.estimate
    measured = {name: getattr(estimate.work, name) if estimate.work else None for name in _WORK}
    return AlternativeFigures(
        label=one.alternative.label, note=one.alternative.note, estimate_id=estimate.id, number=estimate.number,
        revision=estimate.revision, estimate=estimate.name, project_id=estimate.project_id, status=estimate.status,
        superseded=estimate.superseded_by is not None, complete=estimate.complete, total=estimate.total,
        cash_total=estimate.cash_total, low_total=estimate.low_total, high_total=estimate.high_total,
        more_than_first=estimate.total - first.total, more_cash_than_first=estimate.cash_total - first.cash_total,
        days_closed=_days_closed(one), risk=one.risk, leaves_out=list(_left_out(one, all_of_them)),
        differences=differences, **measured,
    )  # fmt: skip


def _days_closed(one: _Compared) -> DaysClosed:
    """The stated days, or those on which some scope item is under way."""
    if one.alternative.days_closed is not None:
        return DaysClosed(days=one.alternative.days_closed, first_day=None, last_day=None, words=_STATED)
    spans = sorted((item.starts_on, item.ends_on) for item in one.items.values())
    if not spans:
        return DaysClosed(
            days=0, first_day=None, last_day=None, words="It has no scope, so there is no work."
        )
    days, until = 0, spans[0][0] - timedelta(days=1)
    for starts_on, ends_on in spans:
        if ends_on > until:
            days += (ends_on - max(starts_on - timedelta(days=1), until)).days
            until = ends_on
    return DaysClosed(days=days, first_day=spans[0][0], last_day=until, words=_COUNTED)


def _left_out(one: _Compared, all_of_them: Iterable[_Compared]) -> Iterator[LeftOut]:
    """What others do and this does not, what its estimate does not count, and what was stated."""
    told, areas = set(one.names), set(one.areas)
    for other in all_of_them:
        for item in other.items.values():
            if item.name not in told:
                told.add(item.name)
                words = f"{item.name}, which is in {other.alternative.label}"
                cost = (
                    Money.of_minor(item.amount_minor, other.estimate.total.currency) if item.priced else None
                )
                yield LeftOut(kind=LeftOutKind.SCOPE, words=words, cost_elsewhere=cost)
        missing = {key: name for key, name in other.areas.items() if key not in areas}
        if missing:
            areas |= missing.keys()
            words = f"{_areas_in_words(missing.values())}, worked on in {other.alternative.label}"
            yield LeftOut(kind=LeftOutKind.AREA, words=words, cost_elsewhere=None)
    for warning in one.estimate.warnings:
        if warning.gap:
            yield LeftOut(kind=LeftOutKind.GAP, words=warning.message, cost_elsewhere=None)
    for kind, stated in (
        (LeftOutKind.EXCLUSION, one.exclusions),
        (LeftOutKind.STATED, one.alternative.leaves_out),
    ):
        yield from (LeftOut(kind=kind, words=words, cost_elsewhere=None) for words in stated)


def _areas_in_words(names: Iterable[str]) -> str:
    ordered = sorted(names)
    if len(ordered) <= _AREAS_NAMED:
        return ", ".join(ordered)
    return f"{', '.join(ordered[:_AREAS_NAMED])} and {len(ordered) - _AREAS_NAMED} more areas"


def _conclusions(figures: Sequence[AlternativeFigures]) -> Iterator[str]:
    """The least in each respect, by how much before the next."""
    yield from _least(figures, "the least cost", [one.total for one in figures])
    yield from _least(figures, "the least cash", [one.cash_total for one in figures])
    yield from _least(
        figures, "the least cost at eight chances in ten",
        [None if one.risk is None else one.risk.p80 for one in figures],
    )  # fmt: skip
    days = [Figure(name="", value=str(one.days_closed.days), unit="day", shown=_days(one)) for one in figures]
    yield from _least(figures, "the fewest days closed", days)
    for words, of in (
        ("the least sand", [one.sand for one in figures]),
        ("the fewest trips", [one.trips for one in figures]),
        ("the fewest labor hours", [one.labor_hours for one in figures]),
    ):
        yield from _least(figures, words, of)


def _least(
    figures: Sequence[AlternativeFigures], words: str, values: Sequence[Money | Figure | None]
) -> Iterator[str]:
    """Which alternative has the least of something; silent where it is not known of all."""
    known = [
        (_number(value), _shown(value), one.label)
        for value, one in zip(values, figures, strict=True)
        if value
    ]
    if len(known) < len(figures):
        return
    ordered = sorted(known, key=itemgetter(0))
    (least, shown, _), most = ordered[0], ordered[-1][0]
    alike = [label for number, _, label in ordered if number == least]
    if least == most:
        yield f"All have the same {words.split(' ', 2)[2]}: {shown}."
    elif len(alike) > 1:
        yield f"{' and '.join(alike)} share {words}: {shown}."
    else:
        yield f"{alike[0]} has {words}: {shown}; next is {ordered[1][2]} with {ordered[1][1]}."


def _number(value: Money | Figure) -> Decimal:
    return value.amount if isinstance(value, Money) else Decimal(value.value)


def _shown(value: Money | Figure) -> str:
    return f"{value.amount:,f} {value.currency}" if isinstance(value, Money) else value.shown


def _days(one: AlternativeFigures) -> str:
    days = one.days_closed.days
    return f"{days} day" if days == 1 else f"{days} days"


def _cautions(compared: Sequence[_Compared]) -> Iterator[str]:
    """What speaks against holding these estimates against each other as they are."""
    for one in compared:
        label, estimate = one.alternative.label, one.estimate
        if not estimate.complete:
            yield f"{label} is incomplete: its total leaves out what has no price or no size."
        if estimate.superseded_by is not None:
            yield f"{label} shows revision {estimate.revision}; a later one was issued."
        if estimate.work is None:
            yield f"{label} was priced before sand, trips and hours were kept; price it again to compare those."
    if len({one.estimate.edition_id for one in compared}) > 1:
        editions = ", ".join(dict.fromkeys(one.estimate.edition for one in compared))
        yield f"They are priced with different editions of the catalog ({editions}), so prices differ by date too."
    if len({tuple((m.kind, m.percent) for m in one.estimate.markups) for one in compared}) > 1:
        yield "Their markups are not the same; the differences show what that makes."
    simulated = [one.risk is not None for one in compared]
    if any(simulated) and not all(simulated):
        missing = ", ".join(one.alternative.label for one in compared if one.risk is None)
        yield f"Not simulated: {missing}. Its risk is not known, which is not the same as none."
