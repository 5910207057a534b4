"""Derivations packed small for storage."""

from typing import Any

from swardcost_api.engine.derivation import Derivation, Input, Step

Packed = list[Any]


def pack(derivation: Derivation) -> Packed:
    """A derivation as nested sequences, for storage."""
    return [
        (
            step.name,
            step.value,
            step.unit,
            step.formula,
            step.source,
            [(i.name, i.value, i.unit) for i in step.inputs],
        )
        for step in derivation
    ]


def unpack(packed: Packed) -> Derivation:
    """The derivation that was packed."""
    return tuple(
        Step(name, value, unit, formula, tuple(Input(*figure) for figure in inputs), source)
        for name, value, unit, formula, source, inputs in packed
    )
