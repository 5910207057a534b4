"""What is chosen from the quotes: for each item its price in the club's currency, with the reason."""

from collections.abc import Mapping, Sequence
from datetime import date
from decimal import ROUND_HALF_UP, Decimal
from typing import Any
from uuid import UUID

from swardcost_model import problems
from swardcost_model.problems import Fault, ProblemError
from swardcost_model.quotes import AskedItem, Quote, QuoteChoice, QuotedItem, QuoteFields, QuoteRequest
from swardcost_model.values import plain, to_micros, to_minor

from swardcost_api.engine.pricing.lines import BEYOND
from swardcost_api.estimates.service import Choice
from swardcost_api.quotes.asking import AskedLines, scope_items_of
from swardcost_api.quotes.rentals import amount_or_faults, terms_quoted

_MICRO = Decimal("0.000001")


def unit_price_of(line: QuotedItem, quote: Quote) -> Decimal | None:
    """A quoted unit price after discount, in the club's currency, rounded half up to a millionth."""
    return None if line.unit_price is None else _in_club_currency(line.unit_price, quote)


def lump_sum_of(line: QuotedItem, quote: Quote, currency: str) -> int | None:
    """A quoted lump sum after discount, in minor units of the club's currency."""
    return None if line.lump_sum is None else to_minor(_in_club_currency(line.lump_sum, quote), currency)


def fixed_charge_of(quote: Quote, currency: str) -> int:
    """What the vendor charges once, in minor units of the club's currency; the discount is not on it."""
    return to_minor(quote.fixed_charge * (quote.exchange_rate or 1), currency)


def _in_club_currency(price: Decimal, quote: Quote) -> Decimal:
    exact = price * (1 - quote.discount_percent / 100) * (quote.exchange_rate or 1)
    return exact.quantize(_MICRO, ROUND_HALF_UP)


def faults_of_size(asked: Sequence[AskedItem], fields: QuoteFields, currency: str) -> list[Fault]:
    """Prices too small to be printed in the club's currency, and amounts too large to be meant; `asked` are the lines
    that the items of the quote are for, one for each."""
    rate = fields.exchange_rate or Decimal(1)
    faults: list[Fault] = []
    total = fields.fixed_charge * rate
    for index, (line, asked_line) in enumerate(zip(fields.items, asked, strict=True)):
        if line.rental is not None:
            amount, unusable = amount_or_faults(index, line.rental, asked_line, fields, currency)
            faults += unusable
            total += amount
            continue
        stated = line.lump_sum if line.unit_price is None else line.unit_price
        if stated is None:
            continue
        price = stated * (1 - fields.discount_percent / 100) * rate
        total += price if line.unit_price is None else price * asked_line.quantity
        if price and price < _MICRO / 2:
            expected = f"a price of {_MICRO} or more in the club's currency"
            faults.append(Fault(pointer=f"/items/{index}", expected=expected, got=plain(stated)))
        elif price >= BEYOND:
            expected = "a price below 1,000,000,000,000 in the club's currency"
            faults.append(Fault(pointer=f"/items/{index}", expected=expected, got=plain(stated)))
    if not faults and total >= BEYOND - 1:
        expected = "amounts that sum to less than 1,000,000,000,000 in the club's currency"
        faults.append(Fault(pointer="/items", expected=expected, got=f"{total:.2f}"))
    return faults


def choices_for(
    request: QuoteRequest,
    quotes: Mapping[UUID, Quote],
    choice: QuoteChoice,
    currency: str,
    chosen_by: str,
    chosen_on: date,
) -> list[Choice]:
    """The awards as choices by item.

    Raises `wrong-state` for an expired quote, `invalid-values` for what cannot be awarded.
    """
    faults: list[Fault] = []
    lines = AskedLines(request.items)
    chosen: dict[str, Choice] = {}
    for index, award in enumerate(choice.awards):
        quote = quotes.get(award.quote_id)
        if quote is None:
            expected = "a quote received for this request"
            faults.append(
                Fault(pointer=f"/awards/{index}/quote_id", expected=expected, got=str(award.quote_id))
            )
            continue
        if quote.valid_until is not None and quote.valid_until < chosen_on:
            raise ProblemError(
                problems.WRONG_STATE,
                f"The quote of {quote.vendor_name} expired on {quote.valid_until}; have it confirmed and enter its new "
                "last day first.",
            )
        offered = {line.item: line for line in quote.items if not line.left_out}
        for code in award.items or offered:
            asked = lines.of_item(code)
            if len(asked) > 1:
                units = ", ".join(one.unit for one in asked)
                expected = "an item asked for by one unit, since it has one price in a project; give each unit its item"
                place = f"/awards/{index}/items"
                faults.append(Fault(pointer=place, expected=expected, got=f"{code}: {units}"))
                continue
            if code not in offered or code in chosen:
                expected = "an item that the quote offers and that is awarded once"
                faults.append(Fault(pointer=f"/awards/{index}/items", expected=expected, got=code))
                continue
            compared = sum(
                any(line.item == code and not line.left_out for line in other.items)
                for other in quotes.values()
            )
            chosen[code] = _choice(
                request,
                asked[0],
                quote,
                offered[code],
                currency,
                compared,
                choice.reason,
                chosen_by,
                chosen_on,
            )
    if faults:
        raise ProblemError(problems.INVALID_VALUES, "Nothing was chosen.", faults)
    return list(chosen.values())


def _choice(
    request: QuoteRequest,
    asked: AskedItem,
    quote: Quote,
    line: QuotedItem,
    currency: str,
    compared: int,
    reason: str,
    chosen_by: str,
    chosen_on: date,
) -> Choice:
    price = unit_price_of(line, quote)
    # A machine is needed by the hour, whatever it was asked for by.
    unit, quantity = ("hour", asked.hire.hours) if asked.hire is not None else (asked.unit, asked.quantity)
    return Choice(
        item=asked.item, quote_id=quote.id, quote_request=request.name, vendor_id=quote.vendor_id,
        vendor_name=quote.vendor_name, unit=unit, quantity=plain(quantity),
        price_micros=None if price is None else to_micros(price), lump_minor=lump_sum_of(line, quote, currency),
        fixed_minor=fixed_charge_of(quote, currency), rental=_rental(line, asked, quote),
        lump_holds_percent=plain(quote.lump_sum_holds_percent), scope_item_ids=scope_items_of(asked),
        received_on=quote.received_on, valid_until=quote.valid_until,
        reference=quote.reference, offers_compared=compared, reason=reason, chosen_by=chosen_by,
        chosen_on=chosen_on,
    )  # fmt: skip


def _rental(line: QuotedItem, asked: AskedItem, quote: Quote) -> dict[str, Any] | None:
    """The rental terms of an offer as an item has them."""
    if line.rental is None or asked.hire is None:
        return None
    return terms_quoted(line.rental, asked.hire, quote).model_dump(mode="json")
