"""What is amiss with an estimate: gaps that make it incomplete, and doubts that a reader should know of."""

from collections.abc import Sequence
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from swardcost_model.estimates import EstimateWarning, MarkupKind, WarningKind
from swardcost_model.price_terms import PurchaseTerms, RentalTerms
from swardcost_model.values import from_minor

from swardcost_api.catalog.service import CatalogItem
from swardcost_api.estimates.buying import Bought
from swardcost_api.estimates.choices import Choice, Offers
from swardcost_api.estimates.priced import PricedScope
from swardcost_api.estimates.scopes import ScopeEntry

STALE_AFTER = timedelta(days=365)
"""A price got longer ago than this is doubted."""

_GAPS = frozenset(
    {
        WarningKind.UNPRICED, WarningKind.MISSING_ITEM, WarningKind.MISSING_SIZE, WarningKind.NOTHING_PRICED,
        WarningKind.NO_TAX_RATE, WarningKind.NO_INDEX, WarningKind.OFFER_UNIT,
    }
)  # fmt: skip


def warn(priced: PricedScope, kind: WarningKind, message: str, **about: Any) -> None:
    """Add a warning; its kind says whether it is a gap."""
    priced.warnings.append(EstimateWarning(kind=kind, message=message, gap=kind in _GAPS, **about))


def warn_of_entry(priced: PricedScope, entry: ScopeEntry) -> None:
    """A scope item that names nothing, or works on areas of unknown size."""
    if not entry.resources:
        warn(
            priced, WarningKind.NOTHING_PRICED, f"{entry.name} names no items, so nothing of it is priced.",
            scope_item_id=entry.id,
        )  # fmt: skip
    for area in entry.areas:
        if not area.size_m2:
            warn(
                priced, WarningKind.MISSING_SIZE, f"{area.name} has no size and is not in the figures of {entry.name}.",
                scope_item_id=entry.id,
            )  # fmt: skip


def warn_of_item(priced: PricedScope, bought: Bought, line: int, as_of: date) -> None:
    """What is amiss with the item behind a line: no such item, no price, an old price, no account, a late order."""
    item, code = bought.item, bought.code
    about: dict[str, Any] = {"line": line, "scope_item_id": bought.entry.id}
    if item is None:
        warn(priced, WarningKind.MISSING_ITEM, f"The edition has no item {code}.", **about)
        return
    if item.price_micros is None and bought.lump is None and not isinstance(item.terms, RentalTerms):
        warn(priced, WarningKind.UNPRICED, f"{code} has no price in this edition.", **about)
    elif (aged := _age(item, as_of, bought.entry.starts_on)) is not None:
        warn(priced, *aged, **about)
    if item.account is None:
        warn(priced, WarningKind.NO_ACCOUNT, f"{code} has no account, so its budget line has none.", **about)
    if bought.overrun_days:
        warn(
            priced, WarningKind.OVERRUN,
            f"{bought.quantity} hours of {code} do not fit between {bought.entry.starts_on} and "
            f"{bought.entry.ends_on}; it is hired for {bought.overrun_days} working days more.",
            **about,
        )  # fmt: skip
    if isinstance(item.terms, PurchaseTerms):
        _warn_of_terms(priced, bought, item, item.terms, as_of, about)


def _age(item: CatalogItem, as_of: date, starts_on: date) -> tuple[WarningKind, str] | None:
    """Whether a price no longer holds, not yet, or not when the work is done."""
    if item.valid_until is not None and item.valid_until < as_of:
        return WarningKind.STALE, f"The price of {item.code} was valid until {item.valid_until}."
    if item.priced_on is not None and as_of - item.priced_on > STALE_AFTER:
        return WarningKind.STALE, f"The price of {item.code} dates from {item.priced_on}."
    if item.valid_from is not None and item.valid_from > starts_on:
        return (
            WarningKind.NOT_VALID_AT_WORK,
            f"The price of {item.code} holds from {item.valid_from}; the work begins on {starts_on}.",
        )
    if item.valid_until is not None and item.valid_until < starts_on:
        return (
            WarningKind.NOT_VALID_AT_WORK,
            f"The price of {item.code} holds until {item.valid_until}; the work begins on {starts_on}.",
        )
    return None


def _warn_of_terms(
    priced: PricedScope,
    bought: Bought,
    item: CatalogItem,
    terms: PurchaseTerms,
    as_of: date,
    about: dict[str, Any],
) -> None:
    if terms.lead_time_days is not None:
        order_by = bought.entry.starts_on - timedelta(days=terms.lead_time_days)
        if order_by < as_of:
            warn(
                priced, WarningKind.LATE_ORDER,
                f"{item.code} takes {terms.lead_time_days} days from order to delivery; for work that begins on "
                f"{bought.entry.starts_on} it had to be ordered by {order_by}.",
                **about,
            )  # fmt: skip
    if bought.cheaper is not None:
        more, saved = bought.cheaper.purchase.quantity, from_minor(bought.cheaper.saved_minor, item.currency)
        warn(
            priced, WarningKind.CHEAPER_BREAK,
            f"{item.code}: {more} {_words(bought.unit)} would cost {saved} {item.currency} less in all than "
            f"{bought.quantity}, since the whole quantity is then priced at a further break.",
            **about,
        )  # fmt: skip


def warn_of_offers(priced: PricedScope, purchases: Sequence[Bought], offers: Offers) -> None:
    """Chosen offers that could not be used, and lump sums for quantities or a scope that are no longer those."""
    lines = {line.resource: line.number for line in reversed(priced.lines)}
    by_code: dict[str, list[Bought]] = {}
    for one in purchases:
        by_code.setdefault(one.code, []).append(one)
    for code, together in by_code.items():
        first = {"line": lines[together[0].number], "scope_item_id": together[0].entry.id}
        if (unfit := offers.unfit.get(code)) is not None:
            sold = offers.items[code].unit
            warn(
                priced, WarningKind.OFFER_UNIT,
                f"{code} was offered by {unfit.vendor_name} by {_words(unfit.unit)}, and the edition sells it by "
                f"{_words(sold)}, into which that cannot be converted; the offer chosen is not used.",
                **first,
            )  # fmt: skip
        if (lump := together[0].lump) is not None:
            _warn_of_lump_sum(priced, [one for one in together if one.quantity is not None], lump, lines)


def _warn_of_lump_sum(
    priced: PricedScope, together: Sequence[Bought], lump: Choice, lines: dict[int, int]
) -> None:
    if not together:
        return
    needed = sum((one.quantity or Decimal(0) for one in together), Decimal(0))
    offered, holds = Decimal(lump.quantity), Decimal(lump.lump_holds_percent)
    change, unit = needed - offered, _words(lump.unit)
    for_what = f"The lump sum of {lump.vendor_name} for {lump.item} was offered for {lump.quantity} {unit}"
    if abs(change) * 100 > holds * offered:
        moved = f"{abs(change)} {'more' if change > 0 else 'less'}"
        warn(
            priced, WarningKind.OFFER_QUANTITY,
            f"{for_what}; the scope now needs {needed}, {moved}, and it holds within {holds.normalize():f} %.",
            line=lines[together[0].number],
        )  # fmt: skip
    for one in together:
        if lump.scope_item_ids is not None and str(one.entry.id) not in lump.scope_item_ids:
            warn(
                priced, WarningKind.OFFER_SCOPE,
                f"{for_what}, without {one.entry.name}, which needs {one.quantity} of it.",
                line=lines[one.number], scope_item_id=one.entry.id,
            )  # fmt: skip


def _words(unit: str) -> str:
    return unit.replace("_", " ")


def warn_of_accounts(priced: PricedScope) -> None:
    """Contingency that would be spread over all accounts."""
    for markup in priced.markups:
        if markup.kind == MarkupKind.CONTINGENCY and markup.account is None and markup.amount_minor:
            warn(
                priced, WarningKind.NO_ACCOUNT,
                "Contingency names no account; it is spread over the lines' accounts, where it is hard to follow.",
            )  # fmt: skip
