"""The words of a bridge: money, prices, quantities and percentages as a reader of the two estimates has them."""

from decimal import ROUND_HALF_UP, Context, Decimal

from swardcost_model.values import from_minor, minor_unit

from swardcost_api.engine.unit_words import one_of

EXACT = Context(prec=120)
"""Wide enough for any product of two differences below `BEYOND`, so that halves are halves."""
_PERCENT_PLACES = 3


def told(words: str, minor: int, currency: str) -> str:
    """An effect in words, and what it comes to."""
    return f"{words}: {money(minor, currency)}"


def worth(quantity: Decimal | None, unit: str, price: Decimal | None, currency: str) -> str:
    """What a line is, as far as it is known."""
    known = "no quantity" if quantity is None else measured(quantity, unit)
    return f"{known}, no price" if price is None else f"{known} at {price_in_words(price, currency)}"


def money(minor: int, currency: str) -> str:
    """Minor units as an amount, thousands apart."""
    return f"{from_minor(minor, currency):,f}"


def price_in_words(price: Decimal, currency: str) -> str:
    """The size of a price, with the places of its currency or more where it has more."""
    size = price.copy_abs().normalize(EXACT)
    unit = minor_unit(currency)
    rounded = size.quantize(unit, ROUND_HALF_UP, EXACT)
    return f"{rounded if rounded == size else size:,f}"


def percents_in_words(*percents: Decimal) -> list[str]:
    """Percentages to three places, or to as many as tell them apart; ``about`` where there are more."""
    places = _PERCENT_PLACES
    while True:
        rounded = [one.quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP, EXACT) for one in percents]
        if len(set(rounded)) == len(set(percents)):
            break
        places += 1
    return [
        f"{'' if short == one else 'about '}{short.normalize(EXACT):f} %"
        for short, one in zip(rounded, percents, strict=True)
    ]


def measured(quantity: Decimal, unit: str) -> str:
    """A quantity with its unit: ``1,500.00 short ton``."""
    return f"{quantity:,f} {one_of(unit)}"


def each(unit: str) -> str:
    """What one of a unit is: ``a short ton``, ``an hour``, ``each``."""
    if unit == "each":
        return unit
    return f"{'an' if unit.startswith(('a', 'e', 'i', 'o', 'hour')) else 'a'} {one_of(unit)}"
