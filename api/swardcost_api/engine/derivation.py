"""How a figure came about: the steps a reader can redo by hand."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Input:
    """A figure that went into a step: its trade name, value and SI unit (a name from the unit table)."""

    name: str
    value: float
    unit: str


@dataclass(frozen=True, slots=True)
class Step:
    """One computed figure: what it is, its value and unit, the formula in words, its inputs and its source."""

    name: str
    value: float
    unit: str
    formula: str
    inputs: tuple[Input, ...] = ()
    source: str = ""


Derivation = tuple[Step, ...]
