"""Derivations unfolded for a reader, in the club's own units."""

from collections.abc import Iterable
from decimal import Decimal

from swardcost_model.access import Club
from swardcost_model.figures import DerivationStep, Figure

from swardcost_api.engine.derivation import Step
from swardcost_api.units import in_trade_units


def figure(name: str, value: float, unit: str, club: Club) -> Figure:
    """A figure in the unit in which its formula holds, and as the club reads it."""
    return Figure(
        name=name,
        value=digits(value),
        unit=unit,
        shown=in_trade_units(value, unit, club.unit_system, club.ton),
    )


def steps_for(derivation: Iterable[Step], club: Club) -> list[DerivationStep]:
    """The steps of a derivation for a reader of this club."""
    return [
        DerivationStep(
            **figure(step.name, step.value, step.unit, club).model_dump(),
            formula=step.formula,
            inputs=[figure(i.name, i.value, i.unit, club) for i in step.inputs],
            source=step.source,
        )
        for step in derivation
    ]


def digits(value: float) -> str:
    """Twelve significant digits, in plain notation."""
    text = f"{value:.12g}"
    return format(Decimal(text), "f") if "e" in text else text
