"""What an alternative costs at a value of what is moved: the estimate priced anew, or a cost once and one each year.

Each value is priced once, and all pricings of a request are counted, so that none takes without end.
"""

from dataclasses import dataclass, field
from decimal import Decimal
from uuid import UUID

from swardcost_model import problems
from swardcost_model.choosing import Counted, SearchFields
from swardcost_model.price_terms import RentalTerms
from swardcost_model.problems import Fault, ProblemError
from swardcost_model.values import Money, from_minor, to_minor

from swardcost_api.alternatives.variables import Moved, refuse
from swardcost_api.engine.derivation import Input, Step
from swardcost_api.engine.pricing.lines import BEYOND
from swardcost_api.estimates.service import Bought, Repriceable

MOST_PRICINGS = 2_000
MOST_SAMPLES = 500
FEWEST_SAMPLES = 5
MOST_RESOURCES = 1_000_000
"""Resources that are priced for a request, all pricings together: about a minute."""
_SAMPLED_RESOURCES = MOST_RESOURCES // 10
_HIRED_AS = 20


@dataclass(slots=True)
class Pricings:
    """How often estimates were priced for a request."""

    made: int = 0
    resources: int = 0

    def count(self, resources: int) -> None:
        """Count one more, of so many resources. Raises `invalid-values` beyond what a request may take."""
        self.made += 1
        self.resources += resources
        if self.made > MOST_PRICINGS or self.resources > MOST_RESOURCES:
            expected = (
                f"a search that takes at most {MOST_PRICINGS:,} pricings and {MOST_RESOURCES:,} resources in them: "
                "narrower bounds or a larger step"
            )
            raise ProblemError(
                problems.INVALID_VALUES, "It would take too long to find every place between the bounds.",
                [Fault(pointer="/resolution", expected=expected)],
            )  # fmt: skip


@dataclass(frozen=True, slots=True)
class PricedAt:
    """An alternative at a value: its cost in minor units, how it came about, and whether nothing of it is missing."""

    minor: int
    step: Step
    needs: tuple[float | None, ...]
    complete: bool


@dataclass(slots=True)
class SideCost:
    """An alternative and what it costs at each value that was asked for.

    `base_minor` is its cost as estimated or stated, `yearly_minor` what comes each year where years are the variable.
    """

    label: str
    estimate_id: UUID | None
    currency: str
    counts: Counted
    base_minor: int
    complete: bool
    pointer: str
    repriced: Repriceable | None = None
    moved: Moved | None = None
    yearly_minor: int | None = None
    pricings: Pricings = field(default_factory=Pricings)
    found: dict[Decimal, PricedAt] = field(default_factory=dict)

    @property
    def moves(self) -> bool:
        """Whether a value moves anything of it."""
        return self.moved is not None or self.yearly_minor is not None

    @property
    def resources(self) -> int:
        """How many resources are priced for one value; a hired machine counts for several, since it takes longer."""
        if self.moved is None or self.repriced is None:
            return 0
        return sum(_HIRED_AS if _hired(one) else 1 for one in self.repriced.priced.purchases)

    @property
    def words(self) -> str:
        """What of it is moved; empty where nothing is."""
        if self.moved is not None:
            return self.moved.words
        return "" if self.yearly_minor is None else "years of use"

    @property
    def unit(self) -> str | None:
        """The unit of the values in words; `None` where it says nothing of them."""
        if self.moved is not None:
            return self.moved.unit
        return None if self.yearly_minor is None else "year"

    def minor_at(self, value: Decimal) -> int:
        """Its cost at a value, in minor units."""
        return self.at(value).minor

    def at(self, value: Decimal) -> PricedAt:
        """The alternative at a value, priced there once. Raises `invalid-values` where it cannot be priced."""
        if value not in self.found:
            self.found[value] = self._priced(value)
        return self.found[value]

    def money_at(self, value: Decimal) -> Money:
        """Its cost at a value."""
        return Money.of_minor(self.minor_at(value), self.currency)

    def _priced(self, value: Decimal) -> PricedAt:
        if self.moved is not None:
            return self._priced_anew(self.moved, value)
        if self.yearly_minor is None:
            step = self._step(
                value, self.base_minor, "as estimated or stated; the value does not move it", ()
            )
            return PricedAt(self.base_minor, step, (), self.complete)
        minor = self.base_minor + to_minor(
            from_minor(self.yearly_minor, self.currency) * value, self.currency
        )
        self._refuse_beyond(minor, value)
        inputs = (
            self._input("cost once", self.base_minor), self._input("cost each year", self.yearly_minor),
            Input("years", float(value), "year"),
        )  # fmt: skip
        return PricedAt(
            minor,
            self._step(value, minor, "cost once + cost each year x years", inputs),
            (float(value),),
            self.complete,
        )

    def _refuse_beyond(self, minor: int, value: Decimal) -> None:
        """Raise `invalid-values` for a cost that no estimate could have either."""
        if abs(minor) >= to_minor(BEYOND, self.currency):
            expected = f"bounds at which {self.label} costs less than {BEYOND:,f} {self.currency}"
            got = f"{from_minor(minor, self.currency):,f} at {in_words(value, self.unit or '')}"
            refuse([Fault(pointer=f"{self.pointer}/variable", expected=expected, got=got)])

    def _priced_anew(self, moved: Moved, value: Decimal) -> PricedAt:
        self.pricings.count(self.resources)
        try:
            priced = moved.put(value).priced()
        except ProblemError as error:
            where = in_words(value, moved.unit)
            faults = [
                Fault(
                    pointer=f"{self.pointer}/variable",
                    expected=f"bounds at which {self.label} can be priced; at {where} it is refused: "
                    + ", ".join(part for part in (one.pointer, one.expected) if part),
                    got=one.got,
                )
                for one in error.faults
            ]
            raise ProblemError(
                error.kind, f"{self.label} cannot be priced at {where}: {error.detail}", faults
            ) from None
        needs = tuple(one.measured for one in priced.purchases)
        if self.counts is Counted.CASH_TOTAL:
            minor = priced.cash_total_minor
            step = self._step(value, minor, f"cash part of lines and markups, {_ANEW}", ())
        else:
            minor = priced.total_minor
            inputs = (
                self._input("lines", priced.direct_minor),
                self._input("markups", priced.total_minor - priced.direct_minor),
            )
            step = self._step(value, minor, f"lines + markups, {_ANEW}", inputs)
        return PricedAt(minor, step, needs, priced.complete)

    def _step(self, value: Decimal, minor: int, formula: str, inputs: tuple[Input, ...]) -> Step:
        amount = self._input(f"cost of {self.label} at {shown(value)}", minor)
        return Step(
            amount.name, amount.value, amount.unit, formula, inputs, "the estimate's own terms of price"
        )

    def _input(self, name: str, minor: int) -> Input:
        return Input(name, float(from_minor(minor, self.currency)), self.currency)


def _hired(bought: Bought) -> bool:
    return bought.item is not None and isinstance(bought.item.terms, RentalTerms)


_ANEW = "the estimate priced anew at this value"


def refuse_unmoved(side: SideCost, search: SearchFields) -> None:
    """Raise `invalid-values` where the variable of an alternative moves neither what it needs nor what it costs."""
    if not side.moves:
        return
    low, high = side.at(search.low), side.at(search.high)
    if low.needs == high.needs and low.minor == high.minor:
        expected = "something that the cost follows; it moves neither what is needed nor what it costs"
        refuse([Fault(pointer=f"{side.pointer}/variable", expected=expected, got=side.words)])


def samples_for(*sides: SideCost) -> int:
    """How many values are looked at to begin with: fewer where an estimate takes long to price."""
    resources = sum(side.resources for side in sides)
    return max(FEWEST_SAMPLES, min(MOST_SAMPLES, _SAMPLED_RESOURCES // max(resources, 1)))


def cautions_of(side: SideCost) -> list[str]:
    """What speaks against taking the costs of an alternative as they are."""
    open_at = sorted(value for value, priced in side.found.items() if not priced.complete)
    if not open_at:
        return []
    where = (
        "at every value that was computed" if len(open_at) == len(side.found)
        else f"at {len(open_at)} of the {len(side.found)} values computed, first at {shown(open_at[0])}"
    )  # fmt: skip
    return [f"{side.label} is incomplete {where}: its cost leaves out what has no price or no size."]


def shown(value: Decimal) -> str:
    """A value as it is read: without zeros at its end, thousands apart."""
    return f"{value.normalize():,f}"


def in_words(value: Decimal, unit: str) -> str:
    """A value with its unit in words: ``12.5 acre``, ``1 year``, ``11 years``."""
    if unit in _PLURALS and value != 1:
        unit = _PLURALS[unit]
    return f"{shown(value)} {unit}".strip()


_PLURALS = {"work day": "work days", "year": "years", "hour": "hours", "minute": "minutes"}
