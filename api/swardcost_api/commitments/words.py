"""Differences between order, receipts and invoices in the words of a controller."""

from collections.abc import Sequence
from decimal import ROUND_HALF_UP, Decimal

from swardcost_model.commitments import GapKind
from swardcost_model.values import from_minor

from swardcost_api.engine.control.matching import Billed, Difference
from swardcost_api.engine.unit_words import one_of, units_of

_AVERAGED_TO = Decimal("0.0001")
_SENTENCES = {
    GapKind.BILLED_MORE_THAN_RECEIVED: "billed {more}more than received: {money}",
    GapKind.BILLED_MORE_THAN_ORDERED: "billed {more}more than ordered: {money}",
    GapKind.RECEIVED_MORE_THAN_ORDERED: "received {more}more than ordered: {money}",
    GapKind.RECEIVED_NOT_BILLED: "received {more}and not billed yet: {money}",
    GapKind.NOT_ORDERED: "billed without an order: {money}",
}


def words_for(
    difference: Difference, unit: str, price: Decimal, billings: Sequence[Billed], currency: str
) -> str:
    """A difference in words; `price` is the order's and `billings` are what the line's invoices say.

    Examples
    --------
    >>> tons = Difference(GapKind.BILLED_MORE_THAN_RECEIVED, Decimal("4"), 16200, False)
    >>> words_for(tons, "short_ton", Decimal("40.50"), [], "USD")
    'billed 4.00 short tons more than received: 162.00'
    """
    money = _money(difference.amount_minor, currency)
    if difference.gap in (GapKind.PRICE_ABOVE_ORDER, GapKind.PRICE_BELOW_ORDER):
        sentence = _of_price(difference, unit, price, billings, money, currency)
    else:
        more = (
            ""
            if difference.quantity is None
            else f"{figure(difference.quantity)} {units_of(difference.quantity, unit)} "
        )
        sentence = _SENTENCES[difference.gap].format(more=more, money=money)
    return sentence + (" (within tolerance)" if difference.within else "")


def _of_price(
    difference: Difference, unit: str, price: Decimal, billings: Sequence[Billed], money: str, currency: str
) -> str:
    direction = "more" if difference.gap is GapKind.PRICE_ABOVE_ORDER else "less"
    if not difference.quantity or difference.quantity < 0:
        return f"billed {direction} than the order's price by {money}"
    prices = {one.unit_price for one in billings if one.quantity is not None}
    alone = all(one.quantity is not None or not one.amount_minor for one in billings)
    billed = next(iter(prices)) if len(prices) == 1 and alone else None
    average = ""
    if billed is None:
        total = from_minor(sum(one.amount_minor for one in billings), currency)
        billed, average = (total / difference.quantity).quantize(_AVERAGED_TO, ROUND_HALF_UP), " on average"
    return (
        f"billed at {figure(billed)}{average} instead of {figure(price)} a {one_of(unit)}, "
        f"{figure(difference.quantity)} {units_of(difference.quantity, unit)}: {money} {direction}"
    )


def figure(value: Decimal) -> str:
    """A quantity or price as a reader expects it: ``1,240.50``; at least two decimals, and none too many."""
    digits = f"{value:,.6f}".rstrip("0")
    places = len(digits) - digits.index(".") - 1
    return digits + "0" * max(0, 2 - places)


def _money(minor: int, currency: str) -> str:
    return f"{from_minor(minor, currency):,f}"
