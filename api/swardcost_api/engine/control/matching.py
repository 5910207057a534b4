"""Three-way matching of an ordered line: what was ordered, what was received, what was billed.

Values are quantities at the order's price, rounded half up to the minor unit; differences are taken between values,
so that they add up to the cent:

    ordered + over-delivered + price difference = billed + received and not billed + still to come
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from decimal import Context, Decimal
from fractions import Fraction
from math import ceil

from swardcost_model.commitments import GapKind
from swardcost_model.values import from_minor, to_minor

_ALL_DIGITS = Context(prec=60)


@dataclass(frozen=True, slots=True)
class Tolerances:
    """How far apart is still a match: a quantity or a price by so many percent, or any difference up to an amount.

    What is billed beside the ordered lines may be as much as a tax of so many percent on them.
    """

    quantity_percent: Decimal = Decimal(0)
    price_percent: Decimal = Decimal(0)
    amount_minor: int = 0
    tax_percent: Decimal = Decimal(0)

    def tax_on(self, billed_minor: Iterable[int]) -> int:
        """The most tax on what each invoice bills of the ordered lines, each rounded up to the minor unit.

        >>> Tolerances(tax_percent=Decimal("6.5")).tax_on([100_01, 50_00])
        976
        """
        return sum(ceil(Fraction(self.tax_percent) * max(amount, 0) / 100) for amount in billed_minor)


@dataclass(frozen=True, slots=True)
class Ordered:
    """An ordered line. A lump sum is matched by money alone, since parts of it are billed as amounts."""

    quantity: Decimal
    unit_price: Decimal
    lump_sum: bool = False


@dataclass(frozen=True, slots=True)
class Billed:
    """A line of an invoice on an ordered line, negative on a credit note.

    Without a quantity it is an amount alone: part of a lump sum, or a price put right.
    """

    quantity: Decimal | None
    unit_price: Decimal | None
    amount_minor: int


@dataclass(frozen=True, slots=True)
class Difference:
    """One named difference, above zero: its quantity where it has one, its money, and whether it is tolerated."""

    gap: GapKind
    quantity: Decimal | None
    amount_minor: int
    within: bool


@dataclass(frozen=True, slots=True)
class Match:
    """A line three ways, in the order's unit and in minor units."""

    received: Decimal
    billed: Decimal
    ordered_minor: int
    received_minor: int
    billed_minor: int
    received_not_billed_minor: int
    to_come_minor: int
    over_minor: int
    price_difference_minor: int
    differences: tuple[Difference, ...]

    @property
    def agrees(self) -> bool:
        """Whether nothing is outside the tolerances; goods that no invoice names yet are no disagreement."""
        return all(one.within or one.gap is GapKind.RECEIVED_NOT_BILLED for one in self.differences)


def in_order_unit(quantity: Decimal, ratio: Fraction) -> Decimal:
    """A quantity in the order's unit: exact where a millionth can hold it, else rounded half up to a millionth.

    `ratio` is how many of the order's unit one of the quantity's unit is.

    Examples
    --------
    >>> in_order_unit(Decimal("44120"), Fraction(1, 2000))
    Decimal('22.060000')
    """
    exact = Fraction(quantity) * ratio * 10**6
    doubled = 2 * abs(exact.numerator) + exact.denominator
    millionths = doubled // (2 * exact.denominator)
    return Decimal(-millionths if exact < 0 else millionths).scaleb(-6, _ALL_DIGITS)


def value_of(quantity: Decimal, unit_price: Decimal, currency: str) -> int:
    """Quantity x unit price in minor units, rounded half up (away from zero below it)."""
    return to_minor(_ALL_DIGITS.multiply(quantity, unit_price), currency)


def match_line(
    ordered: Ordered, received: Decimal, billings: Sequence[Billed], tolerances: Tolerances, currency: str
) -> Match:
    """What is different between order, receipts and invoices of a line.

    `received` is net of returns, `billings` are what its invoices and credit notes say. Of one difference either the
    percentage or the amount must cover it; exactly at the tolerance is within.
    """
    billed = sum((one.quantity for one in billings if one.quantity is not None), Decimal("0.00"))
    billed_minor = sum(one.amount_minor for one in billings)
    money = _Money(ordered, received, billed, billed_minor, currency)
    if ordered.lump_sum:
        found = _excesses(money.ordered, money.received, billed_minor, tolerances)
    else:
        found = _excesses(
            ordered.quantity,
            received,
            billed,
            tolerances,
            lambda q: value_of(q, ordered.unit_price, currency),
        )
        found += _of_price(ordered, billed, billings, money.price_difference, tolerances, currency)
    return Match(
        received, billed, money.ordered, money.received, money.billed, money.received_not_billed, money.to_come,
        money.over, money.price_difference, tuple(found),
    )  # fmt: skip


def not_ordered(amounts_minor: Sequence[int], tolerances: Tolerances, tax_minor: int) -> list[Difference]:
    """What was billed without an ordered line, in parts: each is tolerated up to the amount, and all up to the tax."""
    as_tax = sum(amounts_minor) <= tax_minor
    return [
        Difference(GapKind.NOT_ORDERED, None, amount, as_tax or amount <= tolerances.amount_minor)
        for amount in amounts_minor
        if amount > 0
    ]


class _Money:
    """The sums of a line; each is a difference of values, so that the identity above holds to the cent."""

    def __init__(
        self, ordered: Ordered, received: Decimal, billed: Decimal, billed_minor: int, currency: str
    ) -> None:
        def value(quantity: Decimal) -> int:
            return value_of(quantity, ordered.unit_price, currency)

        self.ordered, self.received, self.billed = value(ordered.quantity), value(received), billed_minor
        if ordered.lump_sum:
            at_order_price, covered = billed_minor, max(self.received, billed_minor)
        else:
            at_order_price, covered = value(billed), value(max(received, billed))
        whole = max(self.ordered, covered)
        self.received_not_billed = covered - at_order_price
        self.to_come = whole - covered
        self.over = whole - self.ordered
        self.price_difference = billed_minor - at_order_price


def _excesses(
    ordered: Decimal | int, received: Decimal | int, billed: Decimal | int, tolerances: Tolerances,
    value: Callable[[Decimal], int] | None = None,
) -> list[Difference]:  # fmt: skip
    """Where one of the three is more than another, as quantities that have a value, or without one as money."""
    found = []
    for gap, more, less in (
        (GapKind.BILLED_MORE_THAN_RECEIVED, billed, received),
        (GapKind.BILLED_MORE_THAN_ORDERED, billed, ordered),
        (GapKind.RECEIVED_MORE_THAN_ORDERED, received, ordered),
        (GapKind.RECEIVED_NOT_BILLED, received, billed),
    ):
        if more <= less:
            continue
        quantity, amount = None, int(more - less)
        if value is not None:
            quantity, amount = Decimal(more - less), value(Decimal(more)) - value(Decimal(less))
        excess = Fraction(more) - Fraction(less)
        within = _within(excess, abs(Fraction(less)), tolerances.quantity_percent, amount, tolerances)
        found.append(Difference(gap, quantity, amount, within))
    return found


def _of_price(
    ordered: Ordered, billed: Decimal, billings: Sequence[Billed], difference_minor: int, tolerances: Tolerances,
    currency: str,
) -> list[Difference]:  # fmt: skip
    """Compares exact products, so that cents of rounding are no difference in price.

    An amount without a quantity puts a price right, and counts whole.
    """
    price = Fraction(ordered.unit_price)
    exact = sum(
        (
            Fraction(from_minor(one.amount_minor, currency))
            if one.quantity is None or one.unit_price is None
            else Fraction(one.quantity) * (Fraction(one.unit_price) - price)
            for one in billings
        ),
        Fraction(0),
    )
    if exact * difference_minor <= 0:
        return []
    gap = GapKind.PRICE_ABOVE_ORDER if difference_minor > 0 else GapKind.PRICE_BELOW_ORDER
    amount = abs(difference_minor)
    within = _within(abs(exact), abs(Fraction(billed)) * price, tolerances.price_percent, amount, tolerances)
    return [Difference(gap, billed, amount, within)]


def _within(
    difference: Fraction, base: Fraction, percent: Decimal, amount_minor: int, tolerances: Tolerances
) -> bool:
    return difference <= base * Fraction(percent) / 100 or amount_minor <= tolerances.amount_minor
