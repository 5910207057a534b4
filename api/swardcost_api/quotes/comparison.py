"""Quotes of a request compared like with like, on the quantities that were asked for."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from uuid import UUID

from swardcost_model.access import Club
from swardcost_model.price_terms import RentalTerms
from swardcost_model.quotes import (
    AskedHire,
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
from swardcost_api.engine.pricing.quoted_hire import QuotedHire
from swardcost_api.engine.pricing.split_award import Split
from swardcost_api.estimates.service import read_estimate
from swardcost_api.quotes.asking import AskedLines
from swardcost_api.quotes.awards import fixed_charge_of, lump_sum_of, unit_price_of
from swardcost_api.quotes.rentals import hire_at, on_days_asked, terms_quoted
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
    lines = AskedLines(request.items)
    catalog = _catalog_prices(work, request, lines, club.currency)
    quotes = {str(quote.id): quote for quote in quotes_of(work, request_id)}
    levelling = level_offers(
        asked=[Asked(key, one.description, one.quantity, one.unit) for key, one in lines.by_key.items()],
        offers=[_offer(quote, lines, club.currency) for quote in quotes.values()],
        catalog_prices=catalog.prices, currency=club.currency, as_of=day, catalog_hires=catalog.hires,
    )  # fmt: skip
    left_out = {item.code for offer in levelling.offers for item in offer.items if item.from_catalog}
    names = {key: quote.vendor_name for key, quote in quotes.items()}
    return QuoteComparison(
        request_id=request_id, as_of=day, quotes=[_column(offer, lines, club) for offer in levelling.offers],
        lowest_by_item={code: names[key] for code, key in levelling.lowest_by_item.items()},
        best_single=names.get(levelling.best_single_key or ""), spread=_money(levelling.spread_minor, club),
        best_split=_split(levelling, names, club),
        warnings=[*levelling.notes, *(words for code, words in catalog.warnings.items() if code in left_out)],
    )  # fmt: skip


def _offer(quote: Quote, lines: AskedLines, currency: str) -> Offer:
    unit_prices: dict[str, Decimal] = {}
    lump_sums: dict[str, int] = {}
    hires: dict[str, QuotedHire] = {}
    quoted = lines.keyed(quote.items)
    for key, line in quoted.items():
        price, lump = unit_price_of(line, quote), lump_sum_of(line, quote, currency)
        hire = lines.by_key[key].hire
        if price is not None:
            unit_prices[key] = price
        elif lump is not None:
            lump_sums[key] = lump
        elif line.rental is not None and hire is not None:
            hires[key] = hire_at(key, hire, terms_quoted(line.rental, hire, quote), currency)
    return Offer(
        str(quote.id), quote.vendor_name, unit_prices, lump_sums,
        {key: line.left_out for key, line in quoted.items() if line.left_out},
        fixed_charge_of(quote, currency), quote.valid_until, hires,
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class _CatalogPrices:
    """By key: the catalog's unit prices, what its rental rates come to, and what a reader should know of them."""

    prices: dict[str, Decimal | None] = field(default_factory=dict)
    hires: dict[str, QuotedHire] = field(default_factory=dict)
    warnings: dict[str, str] = field(default_factory=dict)


def _catalog_prices(
    work: UnitOfWork, request: QuoteRequest, lines: AskedLines, currency: str
) -> _CatalogPrices:
    edition_id = read_estimate(work, request.estimate_id).edition_id
    items = items_with_codes(work, edition_id, [one.item for one in request.items])
    found = _CatalogPrices()
    for key, one in lines.by_key.items():
        item = items.get(one.item)
        if item is None:
            continue
        if one.hire is not None:
            _price_hire(found, key, item, one.hire, currency)
        elif item.price_micros is not None:
            _price_units(found, key, item, one, currency)
    return found


def _price_hire(found: _CatalogPrices, key: str, item: CatalogItem, hire: AskedHire, currency: str) -> None:
    if not isinstance(item.terms, RentalTerms):
        return
    if item.currency != currency:
        found.warnings[key] = _without_price(key, f"its rates there are in {item.currency}")
        return
    try:
        found.hires[key] = hire_at(key, hire, on_days_asked(item.terms, hire), currency)
    except ValueError as error:
        found.warnings[key] = _without_price(key, f"it cannot be hired by its terms there ({error})")


def _price_units(found: _CatalogPrices, key: str, item: CatalogItem, asked: AskedItem, currency: str) -> None:
    assert item.price_micros is not None
    price = from_micros(item.price_micros)
    doubt = _doubt(item, price, asked, currency)
    if doubt is not None:
        found.warnings[key] = _without_price(key, doubt)
        return
    found.prices[key] = price
    if item.stored_terms is not None:
        found.warnings[key] = (
            f"{key} counts at its unit price in the catalog, without its breaks, delivery and other terms."
        )


def _without_price(key: str, why: str) -> str:
    return f"{key} counts as without a price in the catalog: {why}."


def _doubt(item: CatalogItem, price: Decimal, asked: AskedItem, currency: str) -> str | None:
    """Why the catalog's price cannot stand beside the quotes."""
    if item.currency != currency:
        return f"its price there is in {item.currency}"
    if item.unit != asked.unit:
        return f"it is sold there by {item.unit}, and asked for by {asked.unit}"
    if price * asked.quantity >= BEYOND:
        return "what the quantity would cost is too large to be meant"
    return None


def _column(offer: LevelledOffer, lines: AskedLines, club: Club) -> LevelledQuote:
    return LevelledQuote(
        quote_id=UUID(offer.key), vendor=offer.vendor, quoted=Money.of_minor(offer.quoted_minor, club.currency),
        added=Money.of_minor(offer.added_minor, club.currency), levelled=_money(offer.levelled_minor, club),
        rank=offer.rank, expired=offer.expired, notes=list(offer.notes), derivation=steps_for(offer.steps, club),
        items=[
            LevelledItem(
                item=lines.by_key[one.code].item, quantity=one.quantity, unit=one.unit,
                amount=_money(one.amount_minor, club),
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
        from_catalog=list(split.from_catalog), words=_split_in_words(levelling, split, names),
    )  # fmt: skip


def _split_in_words(levelling: Levelling, split: Split, names: Mapping[str, str]) -> str:
    left = split.from_catalog
    if left:
        words = f"No quote that holds offers {', '.join(left)}; "
        words += f"{'it counts' if len(left) == 1 else 'they count'} at the catalog's price."
    else:
        words = "Every item is bought from a vendor whose quote holds, none at the catalog's price."
    if levelling.best_single_key is not None and (levelling.saved_minor or 0) < 0:
        words += (
            f" The total of {names[levelling.best_single_key]} alone is lower only because what it leaves out counts "
            "there at the catalog's price, which no vendor offers."
        )
    return words


def _money(minor: int | None, club: Club) -> Money | None:
    return None if minor is None else Money.of_minor(minor, club.currency)
