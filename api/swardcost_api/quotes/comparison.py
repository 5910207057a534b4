"""Quotes of a request compared like with like, on the quantities that were asked for."""

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from uuid import UUID

from swardcost_model.access import Club
from swardcost_model.quotes import (
    AskedItem,
    LevelledItem,
    LevelledQuote,
    Quote,
    QuoteComparison,
    QuoteRequest,
    SplitAward,
)
from swardcost_model.values import Money, from_micros

from swardcost_api.access.service import read_club
from swardcost_api.catalog.service import CatalogItem, items_with_codes
from swardcost_api.derivations import steps_for
from swardcost_api.engine.pricing.levelling import (
    Asked,
    LevelledOffer,
    Levelling,
    Offer,
    level_offers,
)
from swardcost_api.engine.pricing.lines import BEYOND
from swardcost_api.estimates.service import read_estimate
from swardcost_api.quotes.awards import fixed_charge_of, lump_sum_of, unit_price_of
from swardcost_api.quotes.service import quotes_of, read_request
from swardcost_api.storage.work import UnitOfWork


def compare(work: UnitOfWork, request_id: UUID, as_of: date | None) -> QuoteComparison:
    """The quotes of a request on the same quantities, as they stand on a day; today if none is given.

    What a vendor leaves out is priced from the edition that the request's estimate was priced with. Raises
    `not-found`.
    """
    request = read_request(work, request_id)
    club = read_club(work)
    day = as_of or work.now.date()
    prices, warnings = _catalog_prices(work, request, club.currency)
    quotes = {str(quote.id): quote for quote in quotes_of(work, request_id)}
    levelling = level_offers(
        asked=[Asked(one.item, one.description, one.quantity, one.unit) for one in request.items],
        offers=[_offer(quote, club.currency) for quote in quotes.values()],
        catalog_prices=prices, currency=club.currency, as_of=day,
    )  # fmt: skip
    left_out = {item.code for offer in levelling.offers for item in offer.items if item.from_catalog}
    names = {key: quote.vendor_name for key, quote in quotes.items()}
    return QuoteComparison(
        request_id=request_id, as_of=day, quotes=[_column(offer, club) for offer in levelling.offers],
        lowest_by_item={code: names[key] for code, key in levelling.lowest_by_item.items()},
        best_single=names.get(levelling.best_single_key or ""), spread=_money(levelling.spread_minor, club),
        best_split=_split(levelling, names, club),
        warnings=[*levelling.notes, *(words for code, words in warnings.items() if code in left_out)],
    )  # fmt: skip


def _offer(quote: Quote, currency: str) -> Offer:
    unit_prices: dict[str, Decimal] = {}
    lump_sums: dict[str, int] = {}
    for line in quote.items:
        price, lump = unit_price_of(line, quote), lump_sum_of(line, quote, currency)
        if price is not None:
            unit_prices[line.item] = price
        elif lump is not None:
            lump_sums[line.item] = lump
    return Offer(
        str(quote.id), quote.vendor_name, unit_prices, lump_sums,
        {line.item: line.left_out for line in quote.items if line.left_out},
        fixed_charge_of(quote, currency), quote.valid_until,
    )  # fmt: skip


def _catalog_prices(
    work: UnitOfWork, request: QuoteRequest, currency: str
) -> tuple[dict[str, Decimal | None], dict[str, str]]:
    """The catalog's unit prices by code, and what a reader should know of them, by code."""
    edition_id = read_estimate(work, request.estimate_id).edition_id
    items = items_with_codes(work, edition_id, [one.item for one in request.items])
    prices: dict[str, Decimal | None] = {}
    warnings: dict[str, str] = {}
    for one in request.items:
        item = items.get(one.item)
        if item is None or item.price_micros is None:
            continue
        price = from_micros(item.price_micros)
        doubt = _doubt(item, price, one, currency)
        if doubt is not None:
            warnings[one.item] = f"{one.item} counts as without a price in the catalog: {doubt}."
            continue
        prices[one.item] = price
        if item.stored_terms is not None:
            warnings[one.item] = (
                f"{one.item} counts at its unit price in the catalog, without its breaks, delivery and other terms."
            )
    return prices, warnings


def _doubt(item: CatalogItem, price: Decimal, asked: AskedItem, currency: str) -> str | None:
    """Why the catalog's price cannot stand beside the quotes."""
    if item.currency != currency:
        return f"its price there is in {item.currency}"
    if item.unit != asked.unit:
        return f"it is sold there by {item.unit}, and asked for by {asked.unit}"
    if price * asked.quantity >= BEYOND:
        return "what the quantity would cost is too large to be meant"
    return None


def _column(offer: LevelledOffer, club: Club) -> LevelledQuote:
    return LevelledQuote(
        quote_id=UUID(offer.key), vendor=offer.vendor, quoted=Money.of_minor(offer.quoted_minor, club.currency),
        added=Money.of_minor(offer.added_minor, club.currency), levelled=_money(offer.levelled_minor, club),
        rank=offer.rank, expired=offer.expired, notes=list(offer.notes), derivation=steps_for(offer.steps, club),
        items=[
            LevelledItem(
                item=one.code, quantity=one.quantity, unit=one.unit, amount=_money(one.amount_minor, club),
                unit_price=None if one.unit_price is None else Money(amount=one.unit_price, currency=club.currency),
                from_catalog=one.from_catalog, words=one.words,
            )
            for one in offer.items
        ],
    )  # fmt: skip


def _split(levelling: Levelling, names: Mapping[str, str], club: Club) -> SplitAward | None:
    split = levelling.best_split
    if split is None:
        return None
    return SplitAward(
        total=Money.of_minor(split.total_minor, club.currency), saved=_money(levelling.saved_minor, club),
        items_by_vendor={names[key]: list(codes) for key, codes in split.codes_by_key.items()},
        from_catalog=list(split.from_catalog),
    )  # fmt: skip


def _money(minor: int | None, club: Club) -> Money | None:
    return None if minor is None else Money.of_minor(minor, club.currency)
