"""Pricing a scope with an edition: from measures to lines, markups, subtotals and warnings.

Reads nothing and writes nothing: the caller brings the scope and the prices, and stores the outcome.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Context
from uuid import UUID

from swardcost_model import problems
from swardcost_model.estimates import WarningKind
from swardcost_model.problems import Fault, ProblemError
from swardcost_model.values import from_minor, to_minor

from swardcost_api.catalog.service import CatalogItem, VendorTermsFacts
from swardcost_api.engine.pricing.allocation import split_exactly
from swardcost_api.engine.pricing.charge import Charge, Part
from swardcost_api.engine.pricing.costed import CostedLine
from swardcost_api.engine.pricing.escalation import midpoint
from swardcost_api.engine.pricing.lines import BEYOND
from swardcost_api.engine.pricing.markups import MarkupChain, MarkupRate, markup_chain
from swardcost_api.engine.pricing.tax import TaxGap
from swardcost_api.estimates.buying import Bought, buy, exchange, hire, mobilize, pay_lump_sums
from swardcost_api.estimates.choices import Offers
from swardcost_api.estimates.doubts import warn, warn_of_accounts, warn_of_entry, warn_of_item, warn_of_offers
from swardcost_api.estimates.priced import Line, PricedScope
from swardcost_api.estimates.scopes import ScopeEntry
from swardcost_api.methods.frame import Measure

_EXACT = Context(prec=80)
"""Wide enough for a quantity times two prices, so that halves are halves."""


@dataclass(frozen=True, slots=True)
class Prices:
    """What a scope is priced with: an edition's items by code with the offers chosen for the project, its vendors'
    terms, its date and currency, and the rates that its markups name."""

    offers: Offers
    vendors: Mapping[UUID, VendorTermsFacts]
    currency: str
    price_date: date
    markups: Sequence[MarkupRate]


def price_scope(
    scope: Sequence[ScopeEntry],
    prices: Prices,
    as_of: date,
    starts_on: date,
    ends_on: date,
) -> PricedScope:
    """Price every resource of every scope item, then apply the markups.

    Raises `invalid-values` where a measure cannot be bought in an item's unit; gaps become warnings.
    """
    priced = PricedScope(
        choices=[prices.offers.used[code] for code in sorted(codes_in(scope) & prices.offers.used.keys())]
    )
    faults: list[Fault] = []
    purchases = priced.purchases
    for entry in scope:
        warn_of_entry(priced, entry)
        measures = _measures(faults, entry)
        if measures is not None:
            priced.taken_off.append((entry, measures))
            _buy_for(purchases, faults, entry, measures, prices)
        priced.cautions += [caution for caution in entry.method.cautions if caution not in priced.cautions]
    for step in (
        lambda: hire(purchases),
        lambda: pay_lump_sums(purchases, prices.currency),
        lambda: exchange(purchases, prices.vendors, prices.currency),
        lambda: mobilize(purchases, prices.vendors, prices.currency),
    ):
        _try(faults, step)
    if faults:
        raise _unusable(faults)
    if not scope:
        warn(priced, WarningKind.NOTHING_PRICED, "The project has no scope, so there is nothing to price.")
    for bought in purchases:
        first = len(priced.lines) + 1
        priced.lines += _lines(first, bought, prices.currency)
        warn_of_item(priced, bought, first, as_of)
    warn_of_offers(priced, purchases, prices.offers)
    _mark_up(priced, prices, starts_on, ends_on)
    warn_of_accounts(priced)
    return priced


def _try(faults: list[Fault], step: Callable[[], None]) -> None:
    try:
        step()
    except ValueError as error:
        faults.append(Fault(pointer="", expected=str(error)))


def _buy_for(
    purchases: list[Bought],
    faults: list[Fault],
    entry: ScopeEntry,
    measures: Mapping[str, Measure],
    prices: Prices,
) -> None:
    for index, resource in enumerate(entry.resources):
        item = prices.offers.items.get(resource["item"])
        try:
            bought = buy(
                len(purchases) + 1,
                entry,
                resource,
                item,
                measures,
                prices.currency,
                prices.offers.used.get(resource["item"]),
            )
        except ValueError as error:
            place = f"scope item {entry.number}, /resources/{index}"
            faults.append(Fault(pointer=place, expected=str(error), got=resource["item"]))
            continue
        purchases.append(bought)


def _measures(faults: list[Fault], entry: ScopeEntry) -> Mapping[str, Measure] | None:
    """The entry's take-off; `None`, and a fault, where its parameters make no sense over these areas."""
    try:
        return entry.take_off()
    except ValueError as error:
        faults.append(Fault(pointer=f"scope item {entry.number}, /parameters", expected=str(error)))
        return None


def _lines(first: int, bought: Bought, currency: str) -> Iterable[Line]:
    """The printed lines of what was bought; one without an amount where something is missing."""
    ground = bought.entry.ground
    sized = ground.sized
    if not bought.charges:
        yield Line(
            first, bought.entry, bought.number, bought.code, bought.item, Part.PRICE, "", bought.quantity, bought.unit,
            bought.rounding, None, None, None, None, None, sized, (), bought.driven_by, bought.quantity, bought.unit,
        )  # fmt: skip
        return
    item, driven_by, needed = bought.item, bought.driven_by, bought.quantity
    assert item is not None
    for number, charge in enumerate(bought.charges, first):
        low, high = _range(charge, item, currency)
        yield Line(
            number, bought.entry, bought.number, bought.code, item, charge.part, charge.words, charge.quantity,
            charge.unit, charge.rounding, charge.price, charge.amount_minor, _cash(charge, item, currency), low, high,
            sized, split_exactly(charge.amount_minor, ground.weights) if sized else (), (*driven_by, *charge.steps),
            needed, bought.unit,
        )  # fmt: skip
        driven_by, needed = (), None


def _cash(charge: Charge, item: CatalogItem, currency: str) -> int:
    """What of a charge the operating budget does not hold already; of a built-up rate, the price alone is in it."""
    if item.in_operating_budget:
        return 0
    if item.cash_micros is None or charge.part is not Part.PRICE or not item.price_micros:
        return charge.amount_minor
    return _at(charge, item.cash_micros, item.price_micros, currency)


def _range(charge: Charge, item: CatalogItem, currency: str) -> tuple[int, int]:
    """A charge at the item's lowest and highest price; breaks move with the price, other charges stay."""
    likely = item.price_micros
    if charge.part is not Part.PRICE or not likely:
        return charge.amount_minor, charge.amount_minor
    low, high = (
        charge.amount_minor if micros is None else _at(charge, micros, likely, currency)
        for micros in (item.low_micros, item.high_micros)
    )
    return low, high


def _at(charge: Charge, micros: int, likely_micros: int, currency: str) -> int:
    """A charge at another price of its item, both as the edition has them: in the item's own currency."""
    product = _EXACT.multiply(charge.quantity, _EXACT.multiply(charge.price, micros))
    return to_minor(_EXACT.divide(product, likely_micros), currency)


def _mark_up(priced: PricedScope, prices: Prices, starts_on: date, ends_on: date) -> None:
    """Apply the markups to the lines, and to what they would be at the lowest and the highest prices."""
    lines = [line for line in priced.lines if line.amount_minor is not None and line.item is not None]
    costed = [_costed(line, prices.price_date) for line in lines]

    def chain(of: Sequence[CostedLine]) -> MarkupChain:
        return markup_chain(
            of, prices.markups, currency=prices.currency, priced_on=prices.price_date,
            work_midpoint=midpoint(starts_on, ends_on),
        )  # fmt: skip

    def total_at(amounts: Sequence[int]) -> int:
        """The total at other amounts, which are mostly the same: few prices have a range."""
        if amounts == [one.amount_minor for one in costed]:
            return marked.total_minor
        ranged = zip(costed, amounts, strict=True)
        return chain(
            [replace(one, amount_minor=amount, cash_minor=None) for one, amount in ranged]
        ).total_minor

    try:
        marked = chain(costed)
        low, high = (
            total_at([line.low_minor or 0 for line in lines]),
            total_at([line.high_minor or 0 for line in lines]),
        )
    except ValueError as error:
        raise _unusable([Fault(pointer="/markups", expected=str(error))]) from None
    total = from_minor(marked.total_minor, prices.currency)
    if total >= BEYOND:
        expected = "a scope and markups whose total is below 1,000,000,000,000"
        raise _unusable([Fault(pointer="", expected=expected, got=str(total))])
    priced.markups, priced.cash_total_minor = marked.markups, marked.cash_minor
    priced.low_total_minor, priced.high_total_minor = low, high
    for gap in marked.gaps:
        kind = WarningKind.NO_TAX_RATE if isinstance(gap, TaxGap) else WarningKind.NO_INDEX
        warn(priced, kind, gap.words)


def _costed(line: Line, price_date: date) -> CostedLine:
    assert line.item is not None
    assert line.amount_minor is not None
    return CostedLine(
        line.amount_minor, line.item.account, line.item.taxable, line.item.tax_class, line.cash_minor,
        line.item.priced_on or price_date, midpoint(line.entry.starts_on, line.entry.ends_on),
    )  # fmt: skip


def _unusable(faults: list[Fault]) -> ProblemError:
    return ProblemError(problems.INVALID_VALUES, "The scope cannot be priced; nothing was stored.", faults)


def codes_in(scope: Iterable[ScopeEntry]) -> set[str]:
    """Codes of all items that a scope names."""
    return {resource["item"] for entry in scope for resource in entry.resources}
