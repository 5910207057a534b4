"""Internal rates of return: every rate at which a row of payments is worth nothing, counted exactly.

The present value of whole amounts at whole steps of time is a polynomial in ``1 / (1 + rate)``, so that its rates
are counted, not guessed: one change of sign has one rate (rule of Descartes); more are counted by Sturm's theorem
in whole numbers. Nothing is missed however close two rates lie, and no starting guess is needed.

References
----------
Sturm's theorem and the rule of signs of Descartes, any textbook of algebra.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Context, Decimal, localcontext
from fractions import Fraction
from itertools import pairwise
from math import gcd

RATE_PLACES = Decimal("0.0001")
"""Rates are printed in percent to this many places."""

Polynomial = list[int]
"""Coefficients from the constant upwards; the last is not zero."""

_BITS = 80


@dataclass(frozen=True, slots=True)
class Returns:
    """The rates, in percent a year rounded half up to 0.0001, at which the payments are worth nothing; ascending.

    `saves_first` where the first payment is received and not made: a rate of return is then one of borrowing, and
    the lower it is, the better.
    """

    percents: tuple[Decimal, ...]
    saves_first: bool

    @property
    def percent(self) -> Decimal | None:
        """The internal rate of return, where there is exactly one."""
        return self.percents[0] if len(self.percents) == 1 else None

    @property
    def words(self) -> str:
        if not self.percents:
            return "no rate makes the payments worth nothing"
        if len(self.percents) > 1:
            rates = ", ".join(str(percent) for percent in self.percents)
            return f"{len(self.percents)} rates make the payments worth nothing ({rates} percent), so none is the one"
        if self.saves_first:
            return "the one rate of money that is received first and paid back later: the lower, the better"
        return "the one rate at which the payments are worth nothing"


def internal_rates(payments: Mapping[Decimal, int]) -> Returns:
    """Every rate above -100 percent at which payments in minor units, by time in years, are worth nothing.

    Times are whole or half years from zero on; received is above zero, paid below. Payments that are all zero have
    no rate, since every rate would do.

    Raises `ValueError` for a time that is no whole number of half years.
    """
    amounts: dict[int, int] = {}
    for time, amount in payments.items():
        half_years = int(2 * time)
        if half_years != 2 * time or half_years < 0:
            raise ValueError(f"expected times in whole half years from zero on; got {time}")
        if amount:
            amounts[half_years] = amounts.get(half_years, 0) + amount
    amounts = {time: amount for time, amount in amounts.items() if amount}
    if not amounts:
        return Returns((), False)
    first = min(amounts)
    step = gcd(*(time - first for time in amounts)) or 1
    polynomial = [0] * ((max(amounts) - first) // step + 1)
    for half_years, amount in amounts.items():
        polynomial[(half_years - first) // step] = amount
    rates = [_percent(root, step) for root in _positive_roots(polynomial)]
    return Returns(tuple(sorted(rates)), amounts[first] > 0)


def _percent(discount: Fraction, half_years: int) -> Decimal:
    """The yearly rate in percent by which `half_years` discount to that share."""
    with localcontext(Context(prec=40)):
        share = Decimal(discount.numerator) / Decimal(discount.denominator)
        rate = (share ** (Decimal(-2) / half_years) - 1) * 100
        return rate.quantize(RATE_PLACES, ROUND_HALF_UP)


def _positive_roots(polynomial: Polynomial) -> list[Fraction]:
    """The distinct roots above zero."""
    changes = _sign_changes(polynomial)
    if changes == 0:
        return []
    bound = Fraction(1 + max(abs(c) for c in polynomial[:-1]) // abs(polynomial[-1]) + 1)
    if changes == 1:
        return [_bisected(polynomial, Fraction(0), bound)]
    chain = _sturm_chain(polynomial)
    simple = polynomial
    if len(chain[-1]) > 1:
        simple = _divided(polynomial, _primitive(chain[-1]))
        chain = _sturm_chain(simple)
    return [_bisected(simple, low, high) for low, high in _isolated(chain, Fraction(0), bound)]


def _isolated(chain: Sequence[Polynomial], low: Fraction, high: Fraction) -> list[tuple[Fraction, Fraction]]:
    """Intervals, open below and closed above, that hold one root each."""
    found = []
    open_ends = [(low, _changes_at(chain, low), high, _changes_at(chain, high))]
    while open_ends:
        left, before, right, after = open_ends.pop()
        if before - after == 1:
            found.append((left, right))
        elif before - after > 1:
            middle = (left + right) / 2
            between = _changes_at(chain, middle)
            open_ends += [(left, before, middle, between), (middle, between, right, after)]
    return found


def _bisected(polynomial: Polynomial, low: Fraction, high: Fraction) -> Fraction:
    """The one root in an interval, open below, by halving until it is known to 80 bits of its own size."""
    above = _sign_at(polynomial, high)
    if above == 0:
        return high
    while low == 0 or (high - low) * 2**_BITS > low:
        middle = (low + high) / 2
        sign = _sign_at(polynomial, middle)
        if sign == 0:
            return middle
        low, high = (low, middle) if sign == above else (middle, high)
    return (low + high) / 2


def _sign_at(polynomial: Polynomial, point: Fraction) -> int:
    """The sign of the polynomial, computed in whole numbers."""
    value, scale = 0, 1
    for coefficient in reversed(polynomial):
        value = value * point.numerator + coefficient * scale
        scale *= point.denominator
    return (value > 0) - (value < 0)


def _sign_changes(numbers: Sequence[int]) -> int:
    signs = [number > 0 for number in numbers if number]
    return sum(one != other for one, other in pairwise(signs))


def _changes_at(chain: Sequence[Polynomial], point: Fraction) -> int:
    return _sign_changes([_sign_at(polynomial, point) for polynomial in chain])


def _sturm_chain(polynomial: Polynomial) -> list[Polynomial]:
    """The polynomial, its derivative and the remainders with turned signs, each by a factor above zero.

    The remainders are the subresultants, whose common factor is known and is taken out by plain division.
    """
    chain = [polynomial, [i * c for i, c in enumerate(polynomial)][1:]]
    scale, drop = 1, 0
    while len(chain[-1]) > 1:
        dividend, divisor = chain[-2:]
        lead = abs(dividend[-1])
        if drop:
            scale = lead**drop // scale ** (drop - 1)
        common = 1 if len(chain) == 2 else lead * scale ** (len(dividend) - len(divisor))
        drop = len(dividend) - len(divisor)
        rest = _remainder(dividend, divisor)
        if not rest:
            break
        chain.append([-c // common for c in rest])
    return chain


def _remainder(dividend: Polynomial, divisor: Polynomial) -> Polynomial:
    """The remainder of ``|lead of divisor|^(steps of the division) x dividend``; empty where nothing is left."""
    rest, lead = list(dividend), divisor[-1]
    scale = abs(lead)
    for offset in reversed(range(len(dividend) - len(divisor) + 1)):
        factor = rest.pop()
        taken = factor if lead > 0 else -factor
        rest = [c * scale for c in rest]
        for i, coefficient in enumerate(divisor[:-1]):
            rest[offset + i] -= taken * coefficient
    while rest and rest[-1] == 0:
        rest.pop()
    return rest


def _divided(dividend: Polynomial, divisor: Polynomial) -> Polynomial:
    """The quotient of a division that leaves nothing, by a factor that keeps it whole."""
    rest = [Fraction(c) for c in dividend]
    quotient = [Fraction(0)] * (len(dividend) - len(divisor) + 1)
    for offset in reversed(range(len(quotient))):
        factor = rest[offset + len(divisor) - 1] / divisor[-1]
        quotient[offset] = factor
        for i, coefficient in enumerate(divisor):
            rest[offset + i] -= factor * coefficient
    common = 1
    for part in quotient:
        common = common * part.denominator // gcd(common, part.denominator)
    return _primitive([int(part * common) for part in quotient])


def _primitive(polynomial: Polynomial) -> Polynomial:
    common = gcd(*polynomial)
    return [c // common for c in polynomial]
