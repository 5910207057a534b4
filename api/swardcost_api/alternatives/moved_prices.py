"""An estimate's question with another unit price of an item."""

from collections.abc import Callable, Mapping
from dataclasses import replace
from decimal import Decimal
from typing import Any

from swardcost_model import problems
from swardcost_model.choosing import PriceVariable, SearchFields
from swardcost_model.price_terms import PurchaseTerms, RentalTerms
from swardcost_model.problems import Fault, ProblemError
from swardcost_model.values import MAX_PLACES, plain, to_micros

from swardcost_api.catalog.service import CatalogItem
from swardcost_api.estimates.service import PricingQuestion

_PLACES = Decimal(1).scaleb(-MAX_PLACES)


def with_price(
    question: PricingQuestion, variable: PriceVariable, search: SearchFields, pointer: str
) -> tuple[str, str, Callable[[Decimal], PricingQuestion]]:
    """What is moved and its unit in words, and the question at a price: in the item's currency for its unit.

    The prices of breaks and of quantities beyond a contract move in proportion, and so does what of an hourly rate is
    cash; a stated price has no range. Raises `invalid-values` for an item that has no unit price to move.
    """
    item = question.prices.offers.items.get(variable.item)
    fault = _fault(question, item, variable, search, pointer)
    if fault is not None:
        raise ProblemError(problems.INVALID_VALUES, "The price cannot be moved.", [fault])
    assert item is not None
    offers = question.prices.offers

    def put(value: Decimal) -> PricingQuestion:
        items = {**offers.items, item.code: at_price(item, value)}
        return replace(question, prices=replace(question.prices, offers=replace(offers, items=items)))

    return f"price of {item.code}", f"{item.currency} per {item.unit.replace('_', ' ')}", put


def _fault(
    question: PricingQuestion,
    item: CatalogItem | None,
    variable: PriceVariable,
    search: SearchFields,
    pointer: str,
) -> Fault | None:
    place = f"{pointer}/item"
    if item is None:
        return Fault(
            pointer=place, expected="an item that this estimate needs and its edition has", got=variable.item
        )
    choice = question.prices.offers.used.get(item.code)
    if choice is not None and choice.lump_minor is not None:
        return Fault(
            pointer=place, expected="an item bought by quantity; a lump sum is agreed for it", got=item.code
        )
    if isinstance(item.terms, RentalTerms):
        return Fault(
            pointer=place, expected="an item with a unit price, not one with rental rates", got=item.code
        )
    if not item.price_micros and _priced_apart(item):
        return Fault(
            pointer=place,
            expected="an item with a unit price that its other prices can follow",
            got=item.code,
        )
    if search.unit != item.unit:
        return Fault(
            pointer="/unit", expected=f"the unit that {item.code} is sold by: {item.unit}", got=search.unit
        )
    return None


def _priced_apart(item: CatalogItem) -> bool:
    terms = item.terms
    return isinstance(terms, PurchaseTerms) and (terms.breaks is not None or terms.bands is not None)


def at_price(item: CatalogItem, price: Decimal) -> CatalogItem:
    """The item at another unit price, in its currency."""
    before, micros = item.price_micros, to_micros(price)
    cash = item.cash_micros
    if cash is not None and before:
        cash = round(Decimal(cash) * micros / before)
    terms = item.stored_terms
    if before and terms is not None and _priced_apart(item):
        terms = _in_proportion(terms, Decimal(micros) / before)
    return replace(
        item, price_micros=micros, cash_micros=cash, low_micros=None, high_micros=None, stored_terms=terms
    )


def _in_proportion(terms: Mapping[str, Any], factor: Decimal) -> dict[str, Any]:
    def moved(price: str | None) -> str | None:
        return None if price is None else plain((Decimal(price) * factor).quantize(_PLACES))

    changed = dict(terms)
    if terms.get("breaks"):
        tiers = [{**tier, "unit_price": moved(tier["unit_price"])} for tier in terms["breaks"]["tiers"]]
        changed["breaks"] = {**terms["breaks"], "tiers": tiers}
    if terms.get("bands"):
        bands = terms["bands"]
        changed["bands"] = {
            **bands,
            **{name: moved(bands.get(name)) for name in ("price_over", "price_under")},
        }
    return changed
