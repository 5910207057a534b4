"""A study of life-cycle cost as the engine takes it: its terms, and its alternatives with what they cost today."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import ParamSpec, TypeVar
from uuid import UUID

from swardcost_model import problems
from swardcost_model.estimates import Estimate
from swardcost_model.life_cycle import (
    LifeCycleAlternative,
    LifeCyclePart,
    LifeCycleStudyFields,
    PriceGrowth,
    YearlyCost,
)
from swardcost_model.problems import Fault, ProblemError
from swardcost_model.values import Money, plain, to_minor

from swardcost_api.engine.pricing.lines import BEYOND
from swardcost_api.engine.risk.discounting import DiscountTerms, Growth
from swardcost_api.engine.risk.life_cycle import Alternative, LifeCycleCost, Part, Upkeep, life_cycle_cost
from swardcost_api.estimates.service import read_estimate
from swardcost_api.storage.work import UnitOfWork

P = ParamSpec("P")
T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class StudyToCount:
    """A study as the engine takes it, and what speaks against taking its figures as they are."""

    terms: DiscountTerms
    alternatives: tuple[Alternative, ...]
    cautions: tuple[str, ...]

    def costs(self) -> tuple[LifeCycleCost, ...]:
        """The life-cycle cost of each alternative.

        Raises `invalid-values` for years outside the study, an inflation that is needed and not stated, and amounts
        that grow past what can be meant.
        """
        check = _Check()
        costs = [
            check.tried(f"/alternatives/{place}", life_cycle_cost, one, self.terms)
            for place, one in enumerate(self.alternatives)
        ]
        check.refuse()
        found = tuple(one for one in costs if one is not None)
        if sum(map(_largest, found)) >= to_minor(BEYOND, self.terms.currency):
            expected = f"payments that come to less than {BEYOND:,f} {self.terms.currency}, all together"
            check.faults.append(Fault(pointer="/alternatives", expected=expected))
        check.refuse()
        return found


def _largest(cost: LifeCycleCost) -> int:
    """What no sum or difference of an alternative's payments is above, in minor units."""
    paid = sum(abs(row.amount_minor) for row in cost.rows)
    return max(paid, sum(abs(row.present_minor) for row in cost.rows), abs(cost.annual_minor))


def study_to_count(work: UnitOfWork, stated: LifeCycleStudyFields) -> StudyToCount:
    """A study with the totals of the estimates that it names.

    Raises `invalid-values` for an estimate that the club does not have, amounts in several currencies, an inflation
    that the rate needs, and parts that make no sense.
    """
    check = _Check()
    estimates = dict(_estimates(work, stated, check))
    currency = _currency(stated, estimates, check)
    check.faults.extend(_below_zero(stated))
    check.refuse()
    terms = check.tried(
        "", DiscountTerms, stated.study_years, stated.discount_percent, currency, stated.discount_kind,
        stated.money, stated.inflation_percent, stated.timing,
    )  # fmt: skip
    alternatives = [
        _alternative(check, f"/alternatives/{place}", one, estimates)
        for place, one in enumerate(stated.alternatives)
    ]
    check.refuse()
    assert terms is not None
    return StudyToCount(terms, tuple(alternatives), tuple(_cautions(estimates)))


@dataclass(frozen=True, slots=True)
class _Check:
    """Gathers what cannot be used, each with its place, so that all of it is refused at once."""

    faults: list[Fault] = field(default_factory=list)

    def refuse(self) -> None:
        """Raise `invalid-values` where there are faults."""
        if self.faults:
            raise ProblemError(
                problems.INVALID_VALUES, "The study cannot be counted; nothing was changed.", self.faults
            )

    def tried(self, pointer: str, make: Callable[P, T], *given: P.args, **named: P.kwargs) -> T | None:
        """What comes of it; `None`, and a fault, where the engine refuses it."""
        try:
            return make(*given, **named)
        except ValueError as error:
            said = str(error)
            if said.startswith("inflation"):
                pointer = "/inflation_percent"
            fault = Fault(pointer=pointer, expected=said)
            if fault not in self.faults:
                self.faults.append(fault)
            return None


def _estimates(
    work: UnitOfWork, stated: LifeCycleStudyFields, check: _Check
) -> Iterator[tuple[UUID, Estimate]]:
    """The estimates that are named, by id; a fault for each that the club does not have."""
    for pointer, part in _parts(stated):
        if part.estimate_id is None:
            continue
        try:
            yield part.estimate_id, read_estimate(work, part.estimate_id)
        except ProblemError as error:
            if error.kind is not problems.NOT_FOUND:
                raise
            place, got = f"{pointer}/estimate_id", str(part.estimate_id)
            check.faults.append(Fault(pointer=place, expected="an estimate of this club", got=got))


def _currency(stated: LifeCycleStudyFields, estimates: Mapping[UUID, Estimate], check: _Check) -> str:
    """The one currency of all amounts; a fault for each in another one, or where there is no amount at all."""
    found: str | None = None
    for pointer, money in _amounts(stated, estimates):
        found = found or money.currency
        if money.currency != found:
            check.faults.append(Fault(pointer=pointer, expected=f"an amount in {found}", got=money.currency))
    if found is None and not check.faults:
        check.faults.append(
            Fault(pointer="/alternatives", expected="something that costs money", got="nothing")
        )
    return found or ""


def _parts(stated: LifeCycleStudyFields) -> Iterator[tuple[str, LifeCyclePart]]:
    for place, one in enumerate(stated.alternatives):
        for number, part in enumerate(one.parts):
            yield f"/alternatives/{place}/parts/{number}", part


def _amounts(stated: LifeCycleStudyFields, estimates: Mapping[UUID, Estimate]) -> Iterator[tuple[str, Money]]:
    for pointer, part in _parts(stated):
        for name in ("cost", "replacement_cost", "residual_value"):
            if (money := getattr(part, name)) is not None:
                yield f"{pointer}/{name}", money
        if part.estimate_id is not None and part.estimate_id in estimates:
            yield f"{pointer}/estimate_id", estimates[part.estimate_id].total
    for place, one in enumerate(stated.alternatives):
        for number, paid in enumerate(one.yearly_costs):
            yield f"/alternatives/{place}/yearly_costs/{number}/yearly", paid.yearly


def _below_zero(stated: LifeCycleStudyFields) -> Iterator[Fault]:
    """What is bought costs zero or more; what it is worth at the end, and what comes every year, may be either."""
    for pointer, part in _parts(stated):
        for name, money in (("cost", part.cost), ("replacement_cost", part.replacement_cost)):
            if money is not None and money.amount < 0:
                yield Fault(pointer=f"{pointer}/{name}", expected="zero or more", got=plain(money.amount))


def _alternative(
    check: _Check, pointer: str, stated: LifeCycleAlternative, estimates: Mapping[UUID, Estimate]
) -> Alternative:
    parts = [
        check.tried(f"{pointer}/parts/{number}", _part, part, _cost(part, estimates))
        for number, part in enumerate(stated.parts)
    ]
    upkeep = [
        check.tried(f"{pointer}/yearly_costs/{number}", _upkeep, paid)
        for number, paid in enumerate(stated.yearly_costs)
    ]
    return Alternative(
        stated.label,
        tuple(one for one in parts if one is not None),
        tuple(one for one in upkeep if one is not None),
    )


def _cost(part: LifeCyclePart, estimates: Mapping[UUID, Estimate]) -> Money:
    if part.cost is not None:
        return part.cost
    assert part.estimate_id is not None
    return estimates[part.estimate_id].total


def _part(part: LifeCyclePart, cost: Money) -> Part:
    residual = _minor(part.residual_value) if part.residual == "stated" else part.residual
    assert residual is not None
    return Part(
        part.name, to_minor(cost.amount, cost.currency), part.life_years,
        None if part.replaced_in is None else tuple(part.replaced_in), _minor(part.replacement_cost), residual,
        _growth(part.growth),
    )  # fmt: skip


def _upkeep(paid: YearlyCost) -> Upkeep:
    yearly = to_minor(paid.yearly.amount, paid.yearly.currency)
    return Upkeep(paid.name, yearly, _growth(paid.growth), paid.first_year, paid.last_year)


def _growth(stated: PriceGrowth | None) -> Growth:
    return Growth() if stated is None else Growth(stated.percent, stated.kind)


def _minor(money: Money | None) -> int | None:
    return None if money is None else to_minor(money.amount, money.currency)


def _cautions(estimates: Mapping[UUID, Estimate]) -> Iterator[str]:
    for one in estimates.values():
        named = f"Estimate {one.number} revision {one.revision} ({one.name})"
        if not one.complete:
            yield f"{named} is incomplete: its total leaves out what has no price or no size."
        if one.superseded_by is not None:
            yield f"{named} was superseded by a later revision."
