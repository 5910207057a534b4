"""Redoing printed steps, those that are rates or prices in six places among them."""

from printed_amount import assert_redone
from printed_formula import redo
from swardcost_api.engine.derivation import Derivation, Step

MILLIONTHS = ", rounded half up to 0.000001"


def assert_all_redone(steps: Derivation, minor_unit: str = "0.01") -> None:
    """Every step has a source, and its formula gives its value from its inputs, rounded where it says so."""
    others = tuple(step for step in steps if not step.formula.endswith(MILLIONTHS))
    for step in steps:
        if step not in others:
            _assert_redone_in_millionths(step)
    if others:
        assert_redone(others, minor_unit)


def _assert_redone_in_millionths(step: Step) -> None:
    assert step.source, step.name
    found = redo(step.formula.removesuffix(MILLIONTHS), {figure.name: figure.value for figure in step.inputs})
    assert abs(found - step.value) <= 0.5e-6 + 1e-12 * abs(found), step
    assert abs(step.value * 1e6 - round(step.value * 1e6)) < 1e-3 + 1e-9 * abs(step.value * 1e6), step
