"""From a priced scope to one that can be priced in many trials: the same purchases, with factors on their figures.

Every resource of the scope is a line here, priced by the arithmetic of the estimate itself, so that with every factor
at one the lines come to the estimate's amounts to the cent; that is checked each time.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from swardcost_model.price_terms import PurchaseTerms, RentalTerms
from swardcost_model.uncertainty import UncertainFigure, UncertainKind

from swardcost_api.engine.pricing.charge import Charge, Part
from swardcost_api.engine.pricing.escalation import midpoint
from swardcost_api.engine.risk.simulated_hire import HireShare, HoursNeeded, SimulatedHire
from swardcost_api.engine.risk.simulated_lines import (
    Cost,
    SimulatedEstimate,
    SimulatedLine,
    SimulatedLump,
)
from swardcost_api.engine.risk.simulated_markups import MarkedLine, MarkupTerms
from swardcost_api.engine.risk.simulated_purchase import SimulatedPurchase
from swardcost_api.engine.risk.whole_figures import Ints
from swardcost_api.estimates.service import Bought, Repriceable, mass_of_one
from swardcost_api.units import UNITS

CONTINGENCY = "contingency"
_TIMED = frozenset({"time"})
_ONCE = frozenset({Part.MOBILIZATION})
"""Parts of a resource's charges that are agreed once and shared: they stay as they are in every trial."""


@dataclass(frozen=True, slots=True)
class Driven:
    """Names of the uncertain figures on a resource; `None` where there is none of that kind."""

    price: str | None = None
    quantity: str | None = None
    production: str | None = None


@dataclass(frozen=True, slots=True)
class HeldPart:
    """What is taken as estimated in every trial, in minor units, and why."""

    name: str
    amount_minor: int
    why: str


@dataclass(frozen=True, slots=True)
class InTrials:
    """An estimate as it can be simulated, without its contingency, and what of it cannot vary or has no price."""

    estimate: SimulatedEstimate
    base_minor: int
    total_minor: int
    contingency_minor: int
    currency: str
    held: tuple[HeldPart, ...] = ()
    not_priced: tuple[str, ...] = ()
    driven: Mapping[int, Driven] = field(default_factory=dict)
    """By the number of the resource."""


def in_trials(repriced: Repriceable, figures: Sequence[UncertainFigure] = ()) -> InTrials:
    """The estimate over trials, with these figures on its resources.

    Raises `ValueError` where a resource is driven by two figures of one kind.
    """
    priced, question = repriced.priced, repriced.question
    driven = {one.number: driven_by(one, figures) for one in priced.purchases}
    lines: list[SimulatedLine] = []
    held: list[HeldPart] = []
    not_priced: list[str] = []
    expected: dict[str, int] = {}
    hires = _hires(priced.purchases, driven, repriced.currency)
    for one in priced.purchases:
        name = resource_name(one)
        if not one.charges:
            not_priced.append(name)
            continue
        marked = _marked(one, repriced)
        varying = [charge for charge in one.charges if charge.part not in _ONCE]
        amount = _amount(varying)
        cost = hires.get(one.number)
        if cost is None:
            cost = _cost(one, amount, driven[one.number], repriced.currency)
        if (why := held_because(one, repriced.currency)) is not None:
            held.append(HeldPart(name, amount, why))
        lines.append(SimulatedLine(name, cost, marked))
        expected[name] = amount
        if once := _amount(one.charges) - amount:
            lines.append(SimulatedLine(once_name(one), SimulatedLump(once, repriced.currency), marked))
            expected[once_name(one)] = once
    rates = [rate for rate in question.prices.markups if rate.kind != CONTINGENCY]
    terms = MarkupTerms(
        rates, repriced.currency, question.prices.price_date, midpoint(question.starts_on, question.ends_on)
    )
    contingency = sum(one.amount_minor for one in priced.markups if one.kind == CONTINGENCY)
    estimate = SimulatedEstimate(lines, terms)
    _refuse_other_base(estimate, expected, priced.total_minor - contingency)
    return InTrials(
        estimate, priced.total_minor - contingency, priced.total_minor, contingency, repriced.currency, tuple(held),
        tuple(not_priced), driven,
    )  # fmt: skip


def resource_name(one: Bought) -> str:
    """A resource as a reader knows it: ``3. Core the greens: SAND-TD``."""
    return f"{one.number}. {one.entry.name}: {one.code}"


def once_name(one: Bought) -> str:
    """What of a resource is agreed once, as a reader knows it."""
    return f"{resource_name(one)}, mobilization"


def driven_by(one: Bought, figures: Iterable[UncertainFigure]) -> Driven:
    """The figures on a resource. Raises `ValueError` for two of one kind."""
    found: dict[UncertainKind, str] = {}
    for figure in figures:
        if not drives(figure, one):
            continue
        if figure.kind in found:
            raise ValueError(
                f"{resource_name(one)} on one {figure.kind} figure; it is on {found[figure.kind]!r} and {figure.name!r}"
            )
        found[figure.kind] = figure.name
    return Driven(
        found.get(UncertainKind.PRICE), found.get(UncertainKind.QUANTITY), found.get(UncertainKind.PRODUCTION)
    )


def drives(figure: UncertainFigure, one: Bought) -> bool:
    """Whether a figure is on a resource, whatever that costs."""
    if figure.kind is UncertainKind.PRICE:
        return one.code in figure.items
    if one.entry.id not in figure.scope_item_ids or figure.kind is UncertainKind.DURATION:
        return False
    if figure.kind is UncertainKind.PRODUCTION:
        return UNITS[one.unit].dimension in _TIMED if one.unit else False
    return not figure.items or one.code in figure.items


def held_because(one: Bought, currency: str) -> str | None:
    """Why a resource is taken as estimated in every trial; `None` where it is not."""
    if one.item is not None and one.charges and one.item.currency != currency:
        return f"It is priced in {one.item.currency} and exchanged once, at the rate of its vendor's terms."
    return None


def _cost(one: Bought, amount_minor: int, driven: Driven, currency: str) -> Cost:
    item = one.item
    assert item is not None
    if held_because(one, currency) is not None:
        return SimulatedLump(amount_minor, currency)
    if one.lump is not None or one.measured is None or item.price_micros is None:
        return SimulatedLump(amount_minor, currency, driven.price)
    unit = UNITS[one.unit]
    terms = item.terms if isinstance(item.terms, PurchaseTerms) else PurchaseTerms()
    return SimulatedPurchase(
        one.measured, one.unit, unit.counted, Decimal(item.price_micros).scaleb(-6), currency,
        Decimal(one.resource["waste_percent"]), terms, Decimal(one.resource.get("weekend_percent", 0)),
        mass_of_one(terms, unit), driven.quantity, driven.production, driven.price,
    )  # fmt: skip


def _hires(purchases: Iterable[Bought], driven: Mapping[int, Driven], currency: str) -> dict[int, Cost]:
    """What hired machines cost, by the number of the resource; those of one item are hired together."""
    by_code: dict[str, list[Bought]] = {}
    for one in purchases:
        if one.item is not None and isinstance(one.item.terms, RentalTerms) and one.quantity is not None:
            by_code.setdefault(one.code, []).append(one)
    found: dict[int, Cost] = {}
    for together in by_code.values():
        item = together[0].item
        assert item is not None
        assert isinstance(item.terms, RentalTerms)
        if item.currency == currency:
            hire = SimulatedHire(
                [_hours(one, driven[one.number]) for one in together], item.terms, currency,
                driven[together[0].number].price,
            )  # fmt: skip
            for place, one in enumerate(together):
                found[one.number] = hire if len(together) == 1 else HireShare(hire, place)
    return found


def _hours(one: Bought, driven: Driven) -> HoursNeeded:
    assert one.measured is not None
    return HoursNeeded(
        one.measured, one.entry.starts_on, one.entry.ends_on, Decimal(one.resource["waste_percent"]), driven.quantity,
        driven.production,
    )  # fmt: skip


def _marked(one: Bought, repriced: Repriceable) -> MarkedLine:
    item = one.item
    assert item is not None
    return MarkedLine(
        account=item.account, taxable=item.taxable, tax_class=item.tax_class,
        priced_on=item.priced_on or repriced.question.prices.price_date,
        work_midpoint=midpoint(one.entry.starts_on, one.entry.ends_on),
    )  # fmt: skip


def _amount(charges: Iterable[Charge]) -> int:
    return sum(charge.amount_minor for charge in charges)


def _refuse_other_base(estimate: SimulatedEstimate, expected: Mapping[str, int], total_minor: int) -> None:
    """Hold the trials to the estimate: a difference is a defect of the arithmetic, and no figure of it is told."""
    base = estimate.base()
    other = list(_other(base.items, expected))
    if other or int(base.total[0]) != total_minor:
        raise AssertionError(
            f"simulated base {int(base.total[0])} for an estimate of {total_minor}; "
            f"lines: {'; '.join(other) or 'alike'}"
        )


def _other(items: Mapping[str, Ints], expected: Mapping[str, int]) -> Iterator[str]:
    for name, amount in expected.items():
        if int(items[name][0]) != amount:
            yield f"{name} {int(items[name][0])} for {amount}"
