"""Whole figures of many trials at once: exact arithmetic of quantities and money in scaled whole numbers.

Each holds a bound of what it can be. As long as the bound fits into 64 bits the figures are numpy's `int64`; beyond,
they are Python's own whole numbers, slower and as exact. Nothing overflows or passes through binary fractions.
"""

from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Self

import numpy as np
from numpy.typing import NDArray

Ints = NDArray[np.int64]
FITS = 2**63 - 1


@dataclass(frozen=True, slots=True)
class Whole:
    """Whole numbers of zero or more, one a trial, or a single one for all; none is above `most` or below `least`."""

    values: NDArray[Any]
    most: int
    least: int = 0

    @classmethod
    def constant(cls, value: int) -> Self:
        """One number for all trials. Raises `ValueError` below zero."""
        if value < 0:
            raise ValueError(f"expected a whole number of zero or more; got {value}")
        return cls(np.array([value], dtype=np.int64 if value <= FITS else object), value, value)

    @classmethod
    def of(cls, values: Ints) -> Self:
        """Numbers of zero or more, one for each trial. Raises `ValueError` for none or one below zero."""
        if not values.size or (least := int(values.min())) < 0:
            raise ValueError("expected whole numbers of zero or more, one for each trial")
        return cls(values, int(values.max()), least)

    def times(self, other: "int | Whole") -> "Whole":
        if other == 1:
            return self
        by, least, most = _operand(other)
        return Whole(
            _fit(self.values, self.most * most) * _fit(by, self.most * most),
            self.most * most,
            self.least * least,
        )

    def plus(self, other: "int | Whole") -> "Whole":
        by, least, most = _operand(other)
        return Whole(
            _fit(self.values, self.most + most) + _fit(by, self.most + most),
            self.most + most,
            self.least + least,
        )

    def less(self, other: int) -> "Whole":
        """What is above `other`; zero where nothing is."""
        if other >= self.most:
            return Whole.constant(0)
        above = self.values - other
        if other > self.least:
            np.maximum(above, 0, out=above)
        return Whole(above, self.most - other, max(self.least - other, 0))

    def at_least(self, least: int) -> "Whole":
        if least <= self.least:
            return self
        most = max(self.most, least)
        return Whole(np.maximum(_fit(self.values, most), least), most, least)

    def at_most(self, most: int) -> "Whole":
        if most >= self.most:
            return self
        return Whole(_narrow(np.minimum(self.values, most), most), most, min(self.least, most))

    def down(self, by: "int | Ints") -> "Whole":
        """Divided by numbers above zero, rounded down."""
        smallest, greatest = _ends(by)
        return self._divided(0, by, self.most // smallest, self.least // greatest)

    def half_up(self, by: "int | Ints") -> "Whole":
        """Divided by numbers above zero, rounded half up: (n + d // 2) // d for whole n and d."""
        smallest, greatest = _ends(by)
        if greatest == 1:
            return self
        return self._divided(by // 2, by, self.most // smallest + 1, self.least // greatest)

    def up(self, by: int) -> "Whole":
        """Divided by a number above zero, rounded up."""
        return self._divided(by - 1, by, -(-self.most // by), self.least // by)

    def where(self, condition: NDArray[np.bool_], other: "Whole") -> "Whole":
        """These where the condition holds, the others elsewhere."""
        most = max(self.most, other.most)
        chosen = np.where(condition, _fit(self.values, most), _fit(other.values, most))
        return Whole(chosen, most, min(self.least, other.least))

    def tightened(self) -> "Whole":
        """The same with its bounds at what is really there."""
        most = int(self.values.max())
        return Whole(_narrow(self.values, most), most, int(self.values.min()))

    def int64(self, trials: int) -> Ints:
        """One number for each trial. Raises `ValueError` for one that does not fit into 64 bits."""
        values = self.values
        if values.dtype == object:
            if self.tightened().most > FITS:
                raise ValueError("expected figures that fit into 64 bits")
            values = values.astype(np.int64)
        return values if len(values) == trials else np.repeat(values, trials)

    def _divided(self, before: "int | Ints", by: "int | Ints", most: int, least: int) -> "Whole":
        """(these + before) / by, rounded down; `before` is less than `by`."""
        quotient = _fit(self.values, self.most + _ends(by)[1]) + before
        if isinstance(by, int) or len(by) == len(quotient):
            quotient //= by
        else:  # one number for all trials, divided by one of each
            quotient = quotient // by
        return Whole(_narrow(quotient, most), most, least)


def scaled(figure: Decimal, places: int) -> int:
    """A decimal as a whole number of its smallest place. Raises `ValueError` where it has more places than that."""
    sign, digits, exponent = figure.as_tuple()
    if not isinstance(exponent, int):
        raise ValueError(f"expected a number; got {figure}")
    number, power = int("".join(map(str, digits))), exponent + places
    if power < 0:
        number, rest = divmod(number, 10**-power)
        if rest:
            raise ValueError(f"expected at most {places} decimal places; got {figure}")
        power = 0
    whole: int = (-number if sign else number) * 10**power
    return whole


def places_of(figure: Decimal) -> int:
    """How many decimal places a decimal needs."""
    exponent = figure.normalize().as_tuple().exponent
    if not isinstance(exponent, int):
        raise ValueError(f"expected a number; got {figure}")
    return max(-exponent, 0)


def _operand(other: "int | Whole") -> tuple[Any, int, int]:
    return (other, other, other) if isinstance(other, int) else (other.values, other.least, other.most)


def _ends(by: "int | Ints") -> tuple[int, int]:
    """The smallest and the greatest of the divisors."""
    return (by, by) if isinstance(by, int) else (int(by.min()), int(by.max()))


def _fit(values: Any, most: int) -> Any:
    """The values as the type that holds numbers up to `most`."""
    if most > FITS and isinstance(values, np.ndarray) and values.dtype != object:
        return values.astype(object)
    return values


def _narrow(values: NDArray[Any], most: int) -> NDArray[Any]:
    return values.astype(np.int64) if values.dtype == object and most <= FITS else values
