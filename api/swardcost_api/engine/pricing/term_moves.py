"""What differs between two states of an item's terms: each rate and figure with what it was and is."""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from pydantic import BaseModel
from swardcost_model.price_terms import PremiumHours, PriceTier, RentalPeriod, Terms, WageBase
from swardcost_model.values import Quantity

from swardcost_api.engine.pricing.carry_forward import PRICE_FIELDS
from swardcost_api.engine.pricing.rental_terms import PeriodRate

PERCENT_PLACES = Decimal("0.01")
_IN_THE_NAME: dict[type[BaseModel], tuple[str, ...]] = {PriceTier: ("from_quantity",), WageBase: ("year",)}
"""Figures that tell the entries of a list apart."""
_ITSELF = frozenset({"price", "charge", "unit_price", "wages"})
"""Fields that need no word beside that of what they belong to: the price of a week is the week's."""


@dataclass(frozen=True, slots=True)
class MovedTerm:
    """A figure of terms that moved: ``week``, ``week, hour over``, ``delivery``, ``Fuel, percent``.

    `before` or `after` is `None` where the terms do not have it. `is_money` says that it is in the currency of the
    item; else it is a quantity, hours, days or a percentage.
    """

    name: str
    is_money: bool
    before: Decimal | None
    after: Decimal | None

    @property
    def percent(self) -> Decimal | None:
        """Change of money in percent of what it was, rounded half up to 0.01; `None` without one of the two, from
        zero, and for other figures, where it would say little (a year) or mislead (a percentage)."""
        if not self.is_money or self.before is None or self.after is None:
            return None
        return percent_change(self.before, self.after)


def percent_change(before: Decimal, after: Decimal) -> Decimal | None:
    """Change in percent of what was, rounded half up to 0.01; `None` from zero."""
    return ((after - before) * 100 / before).quantize(PERCENT_PLACES, ROUND_HALF_UP) if before else None


def moved_terms(before: Terms | None, after: Terms | None) -> tuple[MovedTerm, ...]:
    """The figures that differ between two terms, in the order of the terms after, what is gone last.

    Entries of lists are told apart by their name, quantity or year, so that their order does not matter. The price
    of an hour over of a rental period is the one that is charged, stated or not.

    Examples
    --------
    >>> from swardcost_model.price_terms import RentalTerms
    >>> def week(price: str) -> RentalTerms:
    ...     return RentalTerms.model_validate({"periods": [{"name": "week", "days": 7, "price": price}]})
    >>> [(one.name, one.percent) for one in moved_terms(week("1450"), week("1508"))]
    [('week', Decimal('4.00'))]
    """
    old, new = _by_name(before), _by_name(after)
    moves = []
    for name in (*new, *(name for name in old if name not in new)):
        was, now = old.get(name), new.get(name)
        if was is None or now is None or was[1] != now[1]:
            is_money = (now or was or (False,))[0]
            moves.append(MovedTerm(name, is_money, was[1] if was else None, now[1] if now else None))
    return tuple(moves)


def _by_name(terms: Terms | None) -> dict[str, tuple[bool, Decimal]]:
    """The figures by name; of several with one name the later ones are numbered."""
    found: dict[str, tuple[bool, Decimal]] = {}
    for name, is_money, figure in _figures(terms, "") if terms is not None else ():
        number = 1
        while (numbered := name if number == 1 else f"{name} ({number})") in found:
            number += 1
        found[numbered] = is_money, figure
    return found


def _figures(value: BaseModel, about: str) -> Iterator[tuple[str, bool, Decimal]]:
    """Every figure of a model: its name in words, whether it is money, and the figure."""
    if isinstance(value, Quantity):
        yield f"{about} ({_words(value.unit)})", False, value.value
        return
    prices = PRICE_FIELDS[type(value)]
    for field in type(value).model_fields:
        found = getattr(value, field)
        if field in _IN_THE_NAME.get(type(value), ()):
            continue
        if isinstance(value, RentalPeriod) and field == "over_hour_price":
            if value.included_hours is not None:
                yield f"{about}, hour over", True, _price_over(value)
        elif isinstance(found, BaseModel):
            yield from _figures(found, _joined(about, _words(field)))
        elif isinstance(found, list):
            for one in found:
                yield from _figures(one, _joined(about, _told_apart(one)))
        elif isinstance(found, Decimal | int) and not isinstance(found, bool):
            name = about if field in _ITSELF and about else _joined(about, _words(field))
            yield name, field in prices, Decimal(found)


def _price_over(period: RentalPeriod) -> Decimal:
    return PeriodRate(
        period.name, period.days, period.price, period.included_hours, period.over_hour_price
    ).price_over


def _told_apart(one: Any) -> str:
    """What an entry of a list is called."""
    if isinstance(one, PriceTier):
        return f"from {one.from_quantity.normalize():f}"
    if isinstance(one, WageBase):
        return f"wage base of {one.year}"
    return one.rule if isinstance(one, PremiumHours) else str(one.name)


def _joined(about: str, words: str) -> str:
    return f"{about}, {words}" if about else words


def _words(name: str) -> str:
    return name.replace("_", " ")
