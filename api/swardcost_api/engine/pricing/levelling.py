"""Levelling: vendors' offers on the same quantities, with what each leaves out priced from the catalog."""

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from decimal import Decimal
from types import MappingProxyType

from swardcost_model.values import CURRENCY_DIGITS, from_micros, from_minor, plain, to_micros, to_minor

from swardcost_api.engine.derivation import Derivation, Input, Step
from swardcost_api.engine.pricing.lines import BEYOND
from swardcost_api.engine.pricing.money_working import ROUNDED
from swardcost_api.engine.pricing.quoted_hire import QuotedHire
from swardcost_api.engine.pricing.split_award import MOST_VENDORS, Column, Split, cheapest_split

LEVELLED = (
    "common practice: offers are compared on the same scope, what one leaves out added at the buyer's price"
)
_NO_HIRES: Mapping[str, QuotedHire] = MappingProxyType({})
_LIMIT = BEYOND * 100
"""Amounts in minor units and quantities from here on are a mistake in the input."""


@dataclass(frozen=True, slots=True)
class Asked:
    """An item with the quantity, in its unit, that every vendor was asked for."""

    code: str
    description: str
    quantity: Decimal
    unit: str


@dataclass(frozen=True, slots=True)
class Offer:
    """What a vendor offers, in one currency: unit prices, lump sums for the whole quantity asked for, what the days of
    hire asked for come to at its rates, and a fixed charge.

    Items asked for that have no price are left out; `left_out` may say why, in the vendor's words.
    `valid_until` is its last day; `None` where it names none.
    """

    key: str
    vendor: str
    unit_prices: Mapping[str, Decimal]
    lump_sums_minor: Mapping[str, int] = field(default_factory=dict)
    left_out: Mapping[str, str] = field(default_factory=dict)
    fixed_minor: int = 0
    valid_until: date | None = None
    hires: Mapping[str, QuotedHire] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class LevelledItem:
    """An item in a vendor's column. `amount_minor` is `None` where neither the vendor nor the catalog has a price,
    `unit_price` there and with a lump sum."""

    code: str
    quantity: Decimal
    unit: str
    unit_price: Decimal | None
    amount_minor: int | None
    from_catalog: bool
    words: str


@dataclass(frozen=True, slots=True)
class LevelledOffer:
    """An offer on the same footing as the others.

    `quoted_minor` are its items and fixed charge, `added_minor` what it leaves out at the catalog's prices as far
    as there are any, `levelled_minor` both; `None`, and without rank, where something has no price at all.
    """

    key: str
    vendor: str
    quoted_minor: int
    added_minor: int
    levelled_minor: int | None
    rank: int | None
    expired: bool
    items: tuple[LevelledItem, ...]
    notes: tuple[str, ...]
    steps: Derivation = field(repr=False, compare=False)


@dataclass(frozen=True, slots=True)
class Levelling:
    """Offers compared, the cheapest first and those that cannot be compared last; each named by its key.

    What is recommended (`lowest_by_item`, `best_single_key`, `best_split`) comes from offers that still hold;
    ranks and `spread_minor`, from the lowest to the highest levelled total, from all that can be compared.
    `saved_minor` is what the split saves against the best single vendor; `None` where no single one has everything,
    below zero where the catalog's lower price for what it leaves out makes a single vendor the cheaper one on paper.
    """

    offers: tuple[LevelledOffer, ...]
    lowest_by_item: Mapping[str, str]
    best_single_key: str | None
    spread_minor: int | None
    best_split: Split | None
    saved_minor: int | None
    notes: tuple[str, ...]


def level_offers(
    *,
    asked: Sequence[Asked],
    offers: Collection[Offer],
    catalog_prices: Mapping[str, Decimal | None],
    currency: str,
    as_of: date,
    catalog_hires: Mapping[str, QuotedHire] = _NO_HIRES,
) -> Levelling:
    """Compare offers on the quantities asked for, as they stand on the day `as_of`.

    ::

        amount of an item = quantity x unit price, rounded half up to the minor unit; or the lump sum; or the hire
        quoted            = amounts of the items offered + fixed charge
        levelled total    = quoted + amounts of the items left out, at the catalog's prices

    `catalog_prices` are per unit in `currency`, by code, and `catalog_hires` what the days asked for come to at the
    catalog's rates; a missing or `None` price is not known and never zero.
    Equal totals share a rank, and the next rank is as far on as there are of them; of equals the first by name
    is named best. The order of `asked` is kept within each offer; the order of `offers` has no effect.

    Limits: fixed charges count once a vendor, whatever is bought. More than eight offers that hold are ranked,
    but not searched for the best split. Quality, and the time that a vendor needs, are not in the figures.

    Raises `ValueError` for an item or an offer named twice, prices of items not asked for, two prices for one item,
    negative or absurdly large figures, or a currency that is not known.

    References
    ----------
    Levelling of bids: common practice.
    """
    if currency not in CURRENCY_DIGITS:
        raise ValueError(f"currency: expected one of {', '.join(sorted(CURRENCY_DIGITS))}; got {currency!r}")
    _check(asked, offers, catalog_prices)
    catalog = _Catalog(catalog_prices, catalog_hires, currency)
    in_order = sorted(offers, key=lambda offer: (offer.vendor, offer.key))
    levelled = [_levelled(asked, offer, catalog, as_of) for offer in in_order]
    totals = sorted(one.levelled_minor for one in levelled if one.levelled_minor is not None)
    ranked = [
        replace(one, rank=None if one.levelled_minor is None else totals.index(one.levelled_minor) + 1)
        for one in levelled
    ]
    ranked.sort(key=lambda one: (one.rank is None, one.rank or 0))
    holding = [one for one in ranked if not one.expired and not all(item.from_catalog for item in one.items)]
    best = next((one for one in holding if one.levelled_minor is not None), None)
    split = _best_split(asked, holding, in_order, catalog)
    return Levelling(
        offers=tuple(ranked),
        lowest_by_item=_lowest_by_item(asked, holding),
        best_single_key=best.key if best else None,
        spread_minor=totals[-1] - totals[0] if totals else None,
        best_split=split,
        saved_minor=best.levelled_minor - split.total_minor
        if best and best.levelled_minor is not None and split
        else None,
        notes=tuple(_notes(holding, in_order)),
    )


def _check(
    asked: Sequence[Asked], offers: Collection[Offer], catalog_prices: Mapping[str, Decimal | None]
) -> None:
    quantities = {one.code: one.quantity for one in asked}
    if len(quantities) < len(asked) or not asked:
        raise ValueError("asked: expected one item or more, each once")
    if len({offer.key for offer in offers}) < len(offers):
        raise ValueError("offers: expected each once")
    for code, quantity in quantities.items():
        _check_figure(f"quantity of {code}", quantity)
        price = catalog_prices.get(code)
        if price is not None:
            _check_price(f"catalog price of {code}", quantity, price)
    for offer in offers:
        _check_offer(offer, quantities)


def _check_offer(offer: Offer, quantities: Mapping[str, Decimal]) -> None:
    named = [*offer.unit_prices, *offer.lump_sums_minor, *offer.hires, *offer.left_out]
    if len(set(named)) < len(named):
        raise ValueError(f"{offer.vendor}: expected each item with one price or left out")
    for code in named:
        if code not in quantities:
            raise ValueError(f"{offer.vendor}: expected items asked for; got {code}")
    for code, price in offer.unit_prices.items():
        _check_price(f"{offer.vendor}, price of {code}", quantities[code], price)
    hires = ((code, hire.amount_minor) for code, hire in offer.hires.items())
    for name, minor in (*offer.lump_sums_minor.items(), *hires, ("fixed charge", offer.fixed_minor)):
        _check_figure(f"{offer.vendor}, {name}", Decimal(minor))


def _check_figure(name: str, figure: Decimal) -> None:
    if not figure.is_finite() or not 0 <= figure < _LIMIT:
        raise ValueError(f"{name}: expected zero or more, and a figure that can be meant; got {figure}")


def _check_price(name: str, quantity: Decimal, price: Decimal) -> None:
    _check_figure(name, price)
    _check_figure(f"{name} x quantity", quantity * price)


def _levelled(asked: Sequence[Asked], offer: Offer, catalog: "_Catalog", as_of: date) -> LevelledOffer:
    items = tuple(_item(one, offer, catalog) for one in asked)
    offered = sum(one.amount_minor or 0 for one in items if not one.from_catalog)
    added = sum(one.amount_minor or 0 for one in items if one.from_catalog)
    quoted = offered + offer.fixed_minor
    unpriced = [one.code for one in items if one.amount_minor is None]
    expired = offer.valid_until is not None and offer.valid_until < as_of
    notes = [f"{one.code} {one.words}" for one in items if one.from_catalog]
    if unpriced:
        notes.append(f"Not comparable: nothing says what {', '.join(unpriced)} would cost.")
    if expired:
        notes.append(f"Expired on {offer.valid_until}; to be confirmed before it is chosen.")
    levelled = None if unpriced else quoted + added
    steps = _steps(items, offer, catalog, offered, added, levelled)
    return LevelledOffer(
        offer.key, offer.vendor, quoted, added, levelled, None, expired, items, tuple(notes), steps
    )


@dataclass(frozen=True, slots=True)
class _Catalog:
    """What the catalog says of the items asked for."""

    prices: Mapping[str, Decimal | None]
    hires: Mapping[str, QuotedHire]
    currency: str

    def amounts_minor(self, asked: Sequence[Asked]) -> dict[str, int]:
        """What the items cost by the catalog, those that it has a price for."""
        amounts = {
            one.code: to_minor(one.quantity * price, self.currency)
            for one in asked
            if (price := self.prices.get(one.code)) is not None
        }
        return amounts | {
            one.code: self.hires[one.code].amount_minor for one in asked if one.code in self.hires
        }


def _item(one: Asked, offer: Offer, catalog: _Catalog) -> LevelledItem:
    """An item of the vendor's column; `from_catalog` says that the vendor leaves it out."""
    shared = (one.code, one.quantity, one.unit)
    if one.code in offer.lump_sums_minor:
        return LevelledItem(*shared, None, offer.lump_sums_minor[one.code], False, "lump sum")
    if (hire := offer.hires.get(one.code)) is not None:
        return LevelledItem(*shared, None, hire.amount_minor, False, f"hired for {hire.cover}")
    price = offer.unit_prices.get(one.code)
    if price is not None:
        words = f"quoted at {_printed(price)} {_per(one.unit)}"
        return LevelledItem(*shared, price, to_minor(one.quantity * price, catalog.currency), False, words)
    reason = offer.left_out.get(one.code)
    left_out = f"left out ({reason})" if reason else "left out"
    if (hire := catalog.hires.get(one.code)) is not None:
        words = f"{left_out}: hired at the catalog's rates for {hire.cover}"
        return LevelledItem(*shared, None, hire.amount_minor, True, words)
    catalog_price = catalog.prices.get(one.code)
    if catalog_price is None:
        return LevelledItem(*shared, None, None, True, f"{left_out}: the catalog has no price for it")
    amount = to_minor(one.quantity * catalog_price, catalog.currency)
    words = f"{left_out}: priced from the catalog at {_printed(catalog_price)} {_per(one.unit)}"
    return LevelledItem(*shared, catalog_price, amount, True, words)


def _printed(price: Decimal) -> str:
    return plain(from_micros(to_micros(price)))


def _per(unit: str) -> str:
    """``a short ton``, ``an hour``, ``each``."""
    words = unit.replace("_", " ")
    if words == "each":
        return words
    return f"an {words}" if words[0] in "aeio" or words == "hour" else f"a {words}"


def _steps(
    items: Sequence[LevelledItem],
    offer: Offer,
    catalog: _Catalog,
    offered_minor: int,
    added_minor: int,
    levelled_minor: int | None,
) -> Derivation:
    currency = catalog.currency

    def amount(name: str, minor: int) -> Input:
        return Input(name, float(from_minor(minor, currency)), currency)

    quote = f"quote of {offer.vendor}"
    steps: list[Step] = []
    sums: dict[str, list[Input]] = {"items offered": [], "items left out": []}
    for one in items:
        if one.amount_minor is None:
            continue
        figure = amount(f"amount of {one.code}", one.amount_minor)
        sums["items left out" if one.from_catalog else "items offered"].append(figure)
        if (hire := (catalog.hires if one.from_catalog else offer.hires).get(one.code)) is not None:
            steps += hire.steps
        elif one.unit_price is not None:
            source = f"catalog; {one.words}" if one.from_catalog else quote
            inputs = (
                Input("quantity", float(one.quantity), one.unit),
                Input("unit price", float(one.unit_price), f"{currency} per {one.unit}"),
            )
            formula = f"quantity x unit price{ROUNDED}"
            steps.append(Step(figure.name, figure.value, currency, formula, inputs, source))
    for name, minor in (("items offered", offered_minor), ("items left out", added_minor)):
        if sums[name]:
            formula = " + ".join(figure.name for figure in sums[name])
            total = amount(name, minor)
            steps.append(Step(name, total.value, currency, formula, tuple(sums[name]), "arithmetic"))
    quoted_minor = offered_minor + offer.fixed_minor
    quoted = amount("quoted", quoted_minor)
    parts = (amount("items offered", offered_minor), amount("fixed charge", offer.fixed_minor))
    steps.append(Step("quoted", quoted.value, currency, "items offered + fixed charge", parts, quote))
    if levelled_minor is not None:
        total = amount("levelled total", levelled_minor)
        parts = (quoted, amount("items left out", added_minor))
        steps.append(Step(total.name, total.value, currency, "quoted + items left out", parts, LEVELLED))
    return tuple(steps)


def _lowest_by_item(asked: Sequence[Asked], holding: Sequence[LevelledOffer]) -> dict[str, str]:
    """Key of the offer with the lowest amount for an item, by code, the first by name where several have it."""
    lowest: dict[str, tuple[int, str, str]] = {}
    for offer in holding:
        for item in offer.items:
            if item.amount_minor is not None and not item.from_catalog:
                found = (item.amount_minor, offer.vendor, offer.key)
                lowest[item.code] = min(lowest.get(item.code, found), found)
    return {one.code: lowest[one.code][-1] for one in asked if one.code in lowest}


def _best_split(
    asked: Sequence[Asked],
    holding: Sequence[LevelledOffer],
    offers: Sequence[Offer],
    catalog: _Catalog,
) -> Split | None:
    if len(holding) > MOST_VENDORS:
        return None
    held = {one.key: one for one in holding}
    columns = [
        Column(
            offer.key,
            {
                item.code: item.amount_minor
                for item in held[offer.key].items
                if item.amount_minor is not None and not item.from_catalog
            },
            offer.fixed_minor,
        )
        for offer in offers
        if offer.key in held
    ]
    return cheapest_split([one.code for one in asked], columns, catalog.amounts_minor(asked))


def _notes(holding: Sequence[LevelledOffer], offers: Sequence[Offer]) -> Iterator[str]:
    if not offers:
        yield "No quote has been received."
    elif not holding:
        yield "No quote that offers something still holds."
    if len(holding) > MOST_VENDORS:
        yield (
            f"The best split over several vendors is searched for up to {MOST_VENDORS} quotes that hold; "
            f"there are {len(holding)}, so it was not."
        )
