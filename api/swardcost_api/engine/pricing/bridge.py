"""The bridge between two priced estimates: what of their difference is price, quantity, scope and markups.

::

    price effect    = (new price - old price) x new quantity
    quantity effect = (new quantity - old quantity) x old price
    base effect     = (new base - old base) x old rate / 100
    rate effect     = (new rate - old rate) x new base / 100

Each is rounded half up to the minor unit. Both of a pair sum exactly to the difference of the printed amounts: what
rounding leaves, at most two minor units, goes into the effect that is larger in size (into price or rate where they
are equal). Scope is what only one estimate has, and what cannot be compared: another unit, a quantity or price that
is missing, an amount that is not quantity x price. A markup that only one estimate has is an effect of its own.

A line that one of the estimates could not price is in no sum of it. A missing price is not zero, so that there is no
price to move from or to: what the other estimate has for it is scope, and every such line is named, also where neither
has a price and nothing differs.

References
----------
Price and usage variances of the accounting texts: the price variance is taken on the actual quantity, the usage
variance at the standard price.
"""

from collections.abc import Callable, Hashable, Iterable, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from typing import TypeVar

from swardcost_model.estimate_bridge import NotPriced
from swardcost_model.values import CURRENCY_DIGITS

from swardcost_api.engine.pricing.bridge_words import (
    EXACT,
    each,
    measured,
    money,
    percents_in_words,
    price_in_words,
    told,
    worth,
)
from swardcost_api.engine.pricing.lines import BEYOND
from swardcost_api.engine.pricing.percentage import percent_of
from swardcost_api.engine.unit_words import one_of

_One = TypeVar("_One")
Pair = tuple[_One | None, _One | None]
"""What an entry was and what it is; never both absent."""


@dataclass(frozen=True, slots=True)
class BridgeLine:
    """A priced line: what it is matched by, and quantity (in `unit`), price per unit, amount in minor units.

    `key` is scope item (its id, or its name), item code, part and ordinal. A line that is not priced has no amount and
    is in no sum.
    """

    key: tuple[str, ...]
    scope_item: str
    words: str
    unit: str
    quantity: Decimal | None
    price: Decimal | None
    amount_minor: int | None


@dataclass(frozen=True, slots=True)
class BridgeMarkup:
    """A printed markup: base (minor units) x percent / 100 is the amount (minor units)."""

    kind: str
    label: str
    base_minor: int
    percent: Decimal
    amount_minor: int


@dataclass(frozen=True, slots=True)
class LineEffect:
    """A line that differs, with its effects in minor units; `line` is the new one, or the old one where it is gone.

    `mainly` is its largest effect: price, quantity or scope. `not_priced` says which estimate has it without a price.
    """

    line: BridgeLine
    mainly: str
    words: str
    price_minor: int = 0
    quantity_minor: int = 0
    scope_minor: int = 0
    not_priced: NotPriced | None = None

    @property
    def effects(self) -> tuple[int, ...]:
        return self.price_minor, self.quantity_minor, self.scope_minor, 0, 0, 0

    @property
    def amount_minor(self) -> int:
        """New amount less old."""
        return sum(self.effects)


@dataclass(frozen=True, slots=True)
class MarkupEffect:
    """A markup that differs, with its effects in minor units; `markup` is the new one, or the old where it is gone.

    `mainly` is its largest effect: markup_base, markup_rate or markup_added_or_removed.
    """

    markup: BridgeMarkup
    mainly: str
    words: str
    base_minor: int = 0
    rate_minor: int = 0
    added_or_removed_minor: int = 0

    @property
    def effects(self) -> tuple[int, ...]:
        return 0, 0, 0, self.base_minor, self.rate_minor, self.added_or_removed_minor

    @property
    def amount_minor(self) -> int:
        """New amount less old."""
        return sum(self.effects)


@dataclass(frozen=True, slots=True)
class Bridge:
    """Lines and markups that differ, each the largest first, and the effects over all of them, in minor units."""

    lines: tuple[LineEffect, ...]
    markups: tuple[MarkupEffect, ...]

    @property
    def price_minor(self) -> int:
        return sum(one.price_minor for one in self.lines)

    @property
    def quantity_minor(self) -> int:
        return sum(one.quantity_minor for one in self.lines)

    @property
    def scope_minor(self) -> int:
        return sum(one.scope_minor for one in self.lines)

    @property
    def markup_base_minor(self) -> int:
        return sum(one.base_minor for one in self.markups)

    @property
    def markup_rate_minor(self) -> int:
        return sum(one.rate_minor for one in self.markups)

    @property
    def markup_added_or_removed_minor(self) -> int:
        return sum(one.added_or_removed_minor for one in self.markups)

    @property
    def totals(self) -> dict[str, int]:
        """The six effects by name; they sum to `difference_minor`."""
        return {
            "price": self.price_minor, "quantity": self.quantity_minor, "scope": self.scope_minor,
            "markup_base": self.markup_base_minor, "markup_rate": self.markup_rate_minor,
            "markup_added_or_removed": self.markup_added_or_removed_minor,
        }  # fmt: skip

    @property
    def difference_minor(self) -> int:
        """Total of the new estimate less that of the old."""
        return sum(self.totals.values())


def bridge(
    old_lines: Sequence[BridgeLine],
    new_lines: Sequence[BridgeLine],
    old_markups: Sequence[BridgeMarkup],
    new_markups: Sequence[BridgeMarkup],
    currency: str,
) -> Bridge:
    """Explain the difference of two estimates in the same currency.

    Lines are matched by key, markups by kind and label; what has the same ones several times is matched in order.
    Where of a kind of markup one is then left over on each side, those two are matched, whatever their labels: the
    label of an escalation has its days, which another edition moves. Others without a match are added or removed.

    Raises `ValueError` for a currency that is not known, or quantities, prices and percentages that cannot be meant.
    """
    if currency not in CURRENCY_DIGITS:
        raise ValueError(f"currency: expected one of {', '.join(sorted(CURRENCY_DIGITS))}; got {currency!r}")
    for line in (*old_lines, *new_lines):
        _check("quantity", line.quantity)
        _check("price", line.price)
    for markup in (*old_markups, *new_markups):
        _check("percent", markup.percent)
    lines = [
        _line_effect(old, new, currency)
        for old, new in _matched(old_lines, new_lines, lambda line: line.key)
        if _differ(old, new)
    ]
    markups = [
        _markup_effect(old, new, currency)
        for old, new in _matched_markups(old_markups, new_markups)
        if old is None or new is None or _rest_of(old) != _rest_of(new)
    ]
    return Bridge(
        tuple(sorted(lines, key=lambda one: (*_size(one), one.line.key))),
        tuple(sorted(markups, key=lambda one: (*_size(one), one.markup.kind, one.markup.label))),
    )


def _check(name: str, value: Decimal | None) -> None:
    if value is not None and not (value.is_finite() and value.copy_abs() < BEYOND):
        raise ValueError(f"{name}: expected a number below 1,000,000,000,000 in size; got {value}")


def _size(effect: LineEffect | MarkupEffect) -> tuple[int, int]:
    return -abs(effect.amount_minor), -sum(map(abs, effect.effects))


def _matched(
    old: Iterable[_One], new: Iterable[_One], key_of: Callable[[_One], Hashable]
) -> Iterable[Pair[_One]]:
    waiting: dict[Hashable, list[_One]] = {}
    for one in old:
        waiting.setdefault(key_of(one), []).append(one)
    for other in new:
        of_key = waiting.get(key_of(other))
        yield (of_key.pop(0) if of_key else None), other
    for left in waiting.values():
        yield from ((one, None) for one in left)


def _matched_markups(
    old: Iterable[BridgeMarkup], new: Iterable[BridgeMarkup]
) -> Iterable[Pair[BridgeMarkup]]:
    gone: dict[str, list[BridgeMarkup]] = {}
    added: dict[str, list[BridgeMarkup]] = {}
    for before, after in _matched(old, new, _heading):
        if after is None and before is not None:
            gone.setdefault(before.kind, []).append(before)
        elif before is None and after is not None:
            added.setdefault(after.kind, []).append(after)
        else:
            yield before, after
    for kind in gone.keys() | added.keys():
        of_old, of_new = gone.get(kind, []), added.get(kind, [])
        if len(of_old) == len(of_new) == 1:
            yield of_old[0], of_new[0]
        else:
            yield from ((one, None) for one in of_old)
            yield from ((None, one) for one in of_new)


def _heading(markup: BridgeMarkup) -> tuple[str, str]:
    return markup.kind, markup.label


def _differ(old: BridgeLine | None, new: BridgeLine | None) -> bool:
    """Whether anything that is counted differs, or could not be; other words for the same line do not."""
    return old is None or new is None or new.amount_minor is None or _figures(old) != _figures(new)


def _figures(line: BridgeLine) -> tuple[object, ...]:
    return line.unit, line.quantity, line.price, line.amount_minor


def _rest_of(markup: BridgeMarkup) -> tuple[object, ...]:
    return markup.base_minor, markup.percent, markup.amount_minor


def _line_effect(old: BridgeLine | None, new: BridgeLine | None, currency: str) -> LineEffect:
    if old is None or new is None:
        shown = new or old
        assert shown is not None
        if shown.amount_minor is None:
            return _not_priced(old, new, currency)
        difference = shown.amount_minor if old is None else -shown.amount_minor
        words = f"{'added' if old is None else 'gone'}, {_worth(shown, currency)}"
        return LineEffect(shown, "scope", told(words, difference, currency), scope_minor=difference)
    if old.amount_minor is None or new.amount_minor is None:
        return _not_priced(old, new, currency)
    difference = new.amount_minor - old.amount_minor
    before, now = _priced(old, "before", currency), _priced(new, "now", currency)
    if isinstance(before, str) or isinstance(now, str) or old.unit != new.unit:
        reasons = [one for one in (before, now) if isinstance(one, str)]
        if old.unit != new.unit:
            reasons.append(f"by the {one_of(old.unit)} before, by the {one_of(new.unit)} now")
        return LineEffect(
            new, "scope", told(", ".join(reasons), difference, currency), scope_minor=difference
        )
    (old_quantity, old_price), (quantity, price) = before, now
    dearer, more = EXACT.subtract(price, old_price), EXACT.subtract(quantity, old_quantity)
    by_price, by_quantity = _summing_to(
        difference, _in_minor(dearer, quantity, currency), _in_minor(more, old_price, currency)
    )
    parts = []
    if dearer:
        words = f"{price_in_words(dearer, currency)} {each(new.unit)} {'dearer' if dearer > 0 else 'cheaper'}"
        parts.append(told(f"{words} on {measured(quantity, new.unit)}", by_price, currency))
    if more:
        words = f"{measured(more.copy_abs(), new.unit)} {'more' if more > 0 else 'less'}"
        parts.append(told(words, by_quantity, currency))
    sizes = abs(by_price), abs(by_quantity)
    mainly = "price" if (sizes[0], bool(dearer)) > (sizes[1], not dearer) else "quantity"
    return LineEffect(new, mainly, "; ".join(parts), by_price, by_quantity)


def _not_priced(old: BridgeLine | None, new: BridgeLine | None, currency: str) -> LineEffect:
    """A line that one of the estimates, or both, could not price: what the other has for it is scope."""
    shown = new or old
    assert shown is not None
    before = 0 if old is None else old.amount_minor
    now = 0 if new is None else new.amount_minor
    difference = (now or 0) - (before or 0)
    if before is None and now is None:
        side, words = NotPriced.BOTH, "priced in neither estimate"
    elif before is None:
        then = "gone from the later" if new is None else f"{_worth(new, currency)} in the later"
        side, words = NotPriced.EARLIER, f"not priced in the earlier estimate, {then}"
    else:
        first = "not in the earlier" if old is None else f"{_worth(old, currency)} in the earlier"
        side, words = NotPriced.LATER, f"{first} estimate, not priced in the later"
    return LineEffect(
        shown, "scope", told(words, difference, currency), scope_minor=difference, not_priced=side
    )


def _priced(line: BridgeLine, when: str, currency: str) -> tuple[Decimal, Decimal] | str:
    """Quantity and price of a line; or in words why it cannot be compared."""
    if line.quantity is None:
        return f"no quantity {when}"
    if line.price is None:
        return f"no price {when}"
    if line.amount_minor != _rounded(_in_minor(line.quantity, line.price, currency)):
        return f"an amount {when} that is not quantity times price"
    return line.quantity, line.price


def _markup_effect(old: BridgeMarkup | None, new: BridgeMarkup | None, currency: str) -> MarkupEffect:
    if old is None or new is None:
        shown = new or old
        assert shown is not None
        difference = shown.amount_minor if old is None else -shown.amount_minor
        (percent,) = percents_in_words(shown.percent)
        words = f"markup {'added' if old is None else 'removed'}, {percent} on {money(shown.base_minor, currency)}"
        return MarkupEffect(
            shown,
            "markup_added_or_removed",
            told(words, difference, currency),
            added_or_removed_minor=difference,
        )
    difference = new.amount_minor - old.amount_minor
    for markup, when in ((old, "before"), (new, "now")):
        if markup.amount_minor != percent_of(markup.base_minor, markup.percent):
            words = told(f"an amount {when} that is not base times rate", difference, currency)
            return MarkupEffect(new, "markup_rate", words, rate_minor=difference)
    rate_change = EXACT.subtract(new.percent, old.percent)
    base_change = new.base_minor - old.base_minor
    rate, base = _summing_to(
        difference, EXACT.multiply(rate_change, Decimal(new.base_minor)).scaleb(-2, EXACT),
        EXACT.multiply(Decimal(base_change), old.percent).scaleb(-2, EXACT),
    )  # fmt: skip
    parts = []
    old_percent, percent = percents_in_words(old.percent, new.percent)
    if base_change:
        more = "larger" if base_change > 0 else "smaller"
        at = f"base {money(abs(base_change), currency)} {more}, at {old_percent}"
        parts.append(told(at, base, currency))
    if rate_change:
        to = f"{percent} instead of {old_percent} on {money(new.base_minor, currency)}"
        parts.append(told(to, rate, currency))
    sizes = abs(rate), abs(base)
    mainly = "markup_rate" if (sizes[0], bool(rate_change)) > (sizes[1], not rate_change) else "markup_base"
    return MarkupEffect(new, mainly, "; ".join(parts), base, rate)


def _summing_to(difference: int, first: Decimal, second: Decimal) -> tuple[int, int]:
    """Both effects rounded half up; the larger in size, the first where they are equal, takes what rounding leaves."""
    rounded_first, rounded_second = _rounded(first), _rounded(second)
    if first.copy_abs() >= second.copy_abs():
        return difference - rounded_second, rounded_second
    return rounded_first, difference - rounded_first


def _in_minor(one: Decimal, other: Decimal, currency: str) -> Decimal:
    return EXACT.multiply(one, other).scaleb(CURRENCY_DIGITS[currency], EXACT)


def _rounded(exact: Decimal) -> int:
    return int(exact.quantize(Decimal(1), ROUND_HALF_UP, EXACT))


def _worth(line: BridgeLine, currency: str) -> str:
    return worth(line.quantity, line.unit, line.price, currency)
