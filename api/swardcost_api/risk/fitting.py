"""Holding what somebody wrote down as uncertain against an estimate: what it moves, and what does not fit."""

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from decimal import Decimal
from uuid import UUID

from swardcost_model import problems
from swardcost_model.price_terms import RentalTerms
from swardcost_model.problems import Fault, ProblemError, ProblemKind
from swardcost_model.uncertainty import UncertainFigure, UncertainKind, UncertaintyFields

from swardcost_api.engine.pricing.markups import ORDER
from swardcost_api.engine.risk.ranges import Range
from swardcost_api.engine.risk.sampling import Event, Uncertain
from swardcost_api.estimates.service import Bought, Repriceable
from swardcost_api.risk.ranges import HUNDRED, LEAST_PERCENT, engine_range, factor_range, loads_of
from swardcost_api.risk.simulating import InTrials, drives, held_because, in_trials, once_name, resource_name
from swardcost_api.units import UNITS

PERCENT = "percent"
PRICE = "price"
_ABOVE_ZERO = frozenset({UncertainKind.PRODUCTION, UncertainKind.DURATION})


@dataclass(frozen=True, slots=True)
class Fitted:
    """An estimate with its uncertainty as the engine takes both: factors that move the cost, factors that move the
    days of tasks, events, and by how many working days an event moves the reopening."""

    repriced: Repriceable
    stated: UncertaintyFields
    trials: InTrials
    costs: tuple[Uncertain, ...]
    durations: tuple[Uncertain, ...]
    events: tuple[Event, ...]
    delays: Mapping[str, Range]

    @property
    def currency(self) -> str:
        return self.repriced.currency


def fit(repriced: Repriceable, stated: UncertaintyFields, kind: ProblemKind, detail: str) -> Fitted:
    """The uncertainty on the estimate. Refuses with a problem of this kind, naming each place that does not fit."""
    check = _Check(repriced, stated)
    faults = list(check.faults())
    if faults:
        raise ProblemError(kind, detail, faults)
    trials = in_trials(repriced, stated.figures)
    return Fitted(
        repriced, stated, trials, check.factors(cost=True), check.factors(cost=False), check.events(),
        {
            one.name: engine_range(one.delay_days, 1.0)
            for one in stated.events
            if one.delay_days is not None
        },
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Check:
    repriced: Repriceable
    stated: UncertaintyFields
    ranges: dict[str, Range] = field(default_factory=dict)

    def faults(self) -> Iterator[Fault]:
        on: dict[tuple[int, UncertainKind], str] = {}
        days_of: dict[UUID, str] = {}
        for place, figure in enumerate(self.stated.figures):
            pointer = f"/figures/{place}"
            found = [*self._unknown(pointer, figure), *self._unmoved(pointer, figure)]
            for one in self._driven(figure):
                earlier = on.setdefault((one.number, figure.kind), figure.name)
                if earlier != figure.name:
                    expected = f"no other {figure.kind} than {earlier!r} on {resource_name(one)}"
                    found.append(Fault(pointer=pointer, expected=expected, got=figure.name))
            if figure.kind is UncertainKind.DURATION:
                for number, scope_item_id in enumerate(figure.scope_item_ids):
                    earlier = days_of.setdefault(scope_item_id, figure.name)
                    if earlier != figure.name:
                        expected = f"a scope item whose duration is not on {earlier!r} already"
                        found.append(_at(f"{pointer}/scope_item_ids/{number}", expected, scope_item_id))
            yield from found or self._range_faults(pointer, figure)
        yield from self._event_faults()
        yield from self._scenario_faults()

    def factors(self, *, cost: bool) -> tuple[Uncertain, ...]:
        """The figures as factors: those that move the cost, or those that move the days alone."""
        return tuple(
            Uncertain(one.name, self.ranges[one.name], loads_of(one.causes))
            for one in self.stated.figures
            if (one.kind is not UncertainKind.DURATION) == cost
        )

    def events(self) -> tuple[Event, ...]:
        return tuple(
            Event(
                one.name, float(one.probability_percent) / HUNDRED, engine_range(one.cost, 1.0),
                loads_of(one.causes),
            )
            for one in self.stated.events
        )  # fmt: skip

    def _driven(self, figure: UncertainFigure) -> list[Bought]:
        return [one for one in self.repriced.priced.purchases if drives(figure, one)]

    def _unknown(self, pointer: str, figure: UncertainFigure) -> Iterator[Fault]:
        """Items and scope items that the estimate does not have, or that cannot vary."""
        scope = {entry.id for entry in self.repriced.question.scope}
        for number, scope_item_id in enumerate(figure.scope_item_ids):
            if scope_item_id not in scope:
                yield _at(
                    f"{pointer}/scope_item_ids/{number}", "a scope item of this estimate", scope_item_id
                )
        for number, code in enumerate(figure.items):
            there = [one for one in self._driven(figure) if one.code == code]
            where = f"{pointer}/items/{number}"
            if not there:
                yield _at(where, "an item that the estimate needs there", code)
            elif not any(one.charges for one in there):
                yield _at(where, "an item that the estimate has a price for", code)
            elif why := next(
                (why for one in there if (why := held_because(one, self.repriced.currency))), None
            ):
                yield _at(where, f"an item that can vary. {why}", code)
            elif figure.kind is UncertainKind.QUANTITY and all(one.lump is not None for one in there):
                yield _at(
                    where, "an item that is bought by quantity; a lump sum is agreed for this one", code
                )

    def _unmoved(self, pointer: str, figure: UncertainFigure) -> Iterator[Fault]:
        """A figure that would move nothing, though all that it names is there."""
        if figure.kind is UncertainKind.PRICE or figure.items or figure.kind is UncertainKind.DURATION:
            return
        moved = [
            one
            for one in self._driven(figure)
            if one.charges and one.lump is None and held_because(one, self.repriced.currency) is None
        ]
        if not moved:
            what = (
                "bought or hired by time" if figure.kind is UncertainKind.PRODUCTION else "bought by quantity"
            )
            yield _at(pointer, f"scope items with something that is {what} and has a price", figure.name)

    def _range_faults(self, pointer: str, figure: UncertainFigure) -> Iterator[Fault]:
        """Keep the range as factors, or say why it cannot be."""
        try:
            one = self._one(figure)
        except ValueError as error:
            yield _at(f"{pointer}/stated_in", str(error), figure.stated_in)
            return
        try:
            self.ranges[figure.name] = factor_range(figure.range, one, above_zero=figure.kind in _ABOVE_ZERO)
        except ValueError as error:
            yield _at(f"{pointer}/range", str(error), figure.range.shape)

    def _one(self, figure: UncertainFigure) -> float:
        """What was estimated, in what the range is stated in. Raises `ValueError` with what was expected instead."""
        if figure.stated_in == PERCENT:
            return HUNDRED
        driven = self._driven(figure)
        if figure.stated_in == PRICE:
            if figure.kind is not UncertainKind.PRICE or len(figure.items) != 1:
                raise ValueError(f"{PERCENT!r}, since only the range of one item's price is stated as prices")
            item = driven[0].item
            if item is None or not item.price_micros or isinstance(item.terms, RentalTerms):
                raise ValueError(f"{PERCENT!r}, since this item has no unit price above zero")
            return float(Decimal(item.price_micros).scaleb(-6))
        if figure.kind is not UncertainKind.QUANTITY or len(driven) != 1 or not figure.items:
            raise ValueError(
                f"{PERCENT!r}, since only the quantity of one item, needed once in one scope item, is stated in a unit"
            )
        bought, unit = driven[0], UNITS.get(figure.stated_in)
        own = UNITS[bought.unit]
        if unit is None or unit.dimension != own.dimension:
            raise ValueError(f"{PERCENT!r}, or a unit that fits {own.name.replace('_', ' ')}")
        if not bought.measured:
            raise ValueError(f"{PERCENT!r}, since none of it is needed")
        return bought.measured * own.si_factor / unit.si_factor

    def _event_faults(self) -> Iterator[Fault]:
        taken = {*ORDER}.union(
            *((resource_name(one), once_name(one)) for one in self.repriced.priced.purchases)
        )
        for place, event in enumerate(self.stated.events):
            if event.name in taken:
                yield _at(f"/events/{place}/name", "a name that no line and no markup has", event.name)

    def _scenario_faults(self) -> Iterator[Fault]:
        kinds = {one.name: one.kind for one in self.stated.figures}
        events = {one.name for one in self.stated.events}
        for place, scenario in enumerate(self.stated.scenarios):
            for number, setting in enumerate(scenario.settings):
                where = f"/scenarios/{place}/settings/{number}"
                if setting.figure not in kinds:
                    yield _at(f"{where}/figure", "the name of an uncertain figure", setting.figure)
                elif kinds[setting.figure] in _ABOVE_ZERO and setting.percent < LEAST_PERCENT:
                    yield _at(f"{where}/percent", f"{LEAST_PERCENT} or more", setting.percent)
            for number, name in enumerate(scenario.events):
                if name not in events:
                    yield _at(f"/scenarios/{place}/events/{number}", "the name of an event", name)


def _at(pointer: str, expected: str, got: object) -> Fault:
    return Fault(pointer=pointer, expected=expected, got=str(got))


def kinds_of(stated: UncertaintyFields) -> Mapping[str, UncertainKind]:
    """The kind of each uncertain figure by its name."""
    return {one.name: one.kind for one in stated.figures}


@contextmanager
def refusing_what_cannot_be() -> Iterator[None]:
    """Refuse with `invalid-values` where the estimate comes to what none can be, or hours that no hire takes."""
    try:
        yield
    except ValueError as error:
        raise ProblemError(
            problems.INVALID_VALUES, f"The estimate cannot be priced with this uncertainty: {error}"
        ) from None
