"""Figures as they are explained: a value with its unit, and the steps that lead to it."""

from swardcost_model.values import Answer


class Figure(Answer):
    """A figure of a derivation: in the unit in which the formula holds, and as the club reads it."""

    name: str
    value: str
    unit: str
    shown: str


class DerivationStep(Figure):
    """One step: the formula, what went in, and where the formula comes from."""

    formula: str
    inputs: list[Figure]
    source: str
