"""A computation in the making: the figures it is given, refused if they make no sense, and the steps it takes.

Every family of quantities records its steps here, so that a result can be redone by hand. Steps are found
by their name, and a step's inputs by the names of earlier steps; results of several families that feed one
another can therefore be merged into one mapping.
"""

import math

from swardcost_api.engine.derivation import Input, Step

Steps = dict[str, Step]

_DUST = 1e-9
"""Relative difference below which two figures count as equal: far above float error, far below any ruler."""


class Working:
    """The figures and steps of one computation."""

    __slots__ = ("_figures", "steps")

    def __init__(self) -> None:
        self._figures: dict[str, Input] = {}
        self.steps: Steps = {}

    def given(self, name: str, value: float, unit: str, *, zero: bool = False) -> float:
        """Take in a figure from outside. Raises `ValueError` unless it is finite and above zero (or zero)."""
        if not (0 <= value < math.inf) or (value == 0 and not zero):
            least = "zero or more" if zero else "more than zero"
            raise ValueError(f"{name}: expected {least}, in {unit}; got {value!r}")
        self._figures[name] = Input(name, value, unit)
        return value

    def counted(self, name: str, value: int) -> int:
        """Take in a count of passes, directions and the like. Raises `ValueError` unless whole and above zero."""
        if isinstance(value, bool) or not isinstance(value, int) or value < 1:
            raise ValueError(f"{name}: expected a whole number of one or more; got {value!r}")
        self._figures[name] = Input(name, float(value), "each")
        return value

    def step(
        self, name: str, value: float, unit: str, formula: str, *inputs: str, source: str = "arithmetic"
    ) -> float:
        """Record a computed figure with the names of the figures it was computed from."""
        figures = self._figures
        self.steps[name] = Step(
            name, float(value), unit, formula, tuple([figures[key] for key in inputs]), source
        )
        figures[name] = Input(name, value, unit)
        return value


def fits(part: float, whole: float) -> bool:
    """Whether a part is no larger than the whole; half an inch fits 12.7 mm whatever the floats say."""
    return part <= whole * (1 + _DUST)


def whole_up(figure: float) -> int:
    """The least whole number that is enough, at least one.

    Dust from floats buys nothing: 75.00000000001 is 75. It is judged relative to the figure, so a real
    excess of a thousand-millionth part or less is dropped too.
    """
    nearest = round(figure)
    enough = nearest if fits(figure, nearest) else math.ceil(figure)
    return max(enough, 1)
