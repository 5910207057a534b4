"""Redoing a printed step of money from its printed inputs."""

from decimal import ROUND_HALF_UP, Decimal

from printed_formula import redo
from swardcost_api.engine.derivation import Derivation, Step

CENTS, HUNDREDTHS = ", rounded half up to the minor unit", ", rounded half up to 0.01"


def assert_redone(steps: Derivation, minor_unit: str = "0.01") -> None:
    """Every step has a source, and its formula gives its value from its inputs, rounded where it says so."""
    assert steps
    for step in steps:
        assert step.source, step.name
        assert _by_hand(step, Decimal(minor_unit)), step


def _by_hand(step: Step, minor_unit: Decimal) -> bool:
    formula = step.formula.removesuffix(CENTS).removesuffix(HUNDREDTHS)
    found = redo(formula, {figure.name: figure.value for figure in step.inputs})
    if formula == step.formula:
        return abs(found - step.value) <= 1e-9 * max(abs(found), 1)
    unit = minor_unit if step.formula.endswith(CENTS) else Decimal("0.01")
    # Floats blur an exact half; either neighbour of one will do.
    near = {
        (Decimal(found + dust) / unit).quantize(Decimal(1), ROUND_HALF_UP) * unit for dust in (-1e-7, 0, 1e-7)
    }
    return any(abs(float(one) - step.value) < 1e-6 for one in near)
