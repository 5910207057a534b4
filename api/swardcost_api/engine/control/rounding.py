"""Exact ratios of money, rounded once: half away from zero, as on paper."""

from decimal import Decimal
from fractions import Fraction


def whole(value: Fraction) -> int:
    """The nearest whole number; a half goes away from zero: 2.5 -> 3, -2.5 -> -3."""
    sign = -1 if value < 0 else 1
    return sign * ((2 * abs(value.numerator) + value.denominator) // (2 * value.denominator))


def places(value: Fraction, digits: int) -> Decimal:
    """The value as a decimal with this many places, rounded half away from zero."""
    return Decimal(whole(value * 10**digits)).scaleb(-digits)


def share_done(done: Decimal, planned: Decimal) -> Fraction:
    """Done of planned, from 0 to 1: more than planned counts as all of it. `planned` is above zero."""
    if planned <= 0:
        raise ValueError("expected a planned quantity above zero")
    return min(max(Fraction(done) / Fraction(planned), Fraction(0)), Fraction(1))
