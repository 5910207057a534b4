"""How the service describes its methods of work and its units."""

from typing import Any

from swardcost_model.values import Answer


class MeasureDescription(Answer):
    """A quantity that a method yields."""

    name: str
    unit: str
    meaning: str


class MethodSummary(Answer):
    """A method in a line."""

    name: str
    title: str
    summary: str


class MethodList(Answer):
    """All methods."""

    items: list[MethodSummary]


class WorkedExample(Answer):
    """Parameters and area as typed, and the measures they give in SI units."""

    parameters: dict[str, Any]
    area: dict[str, str] | None
    measures: dict[str, float]
    source: str


class MethodDescription(MethodSummary):
    """A method: its parameters (JSON Schema), measures, sources, a worked example and cautions."""

    needs_areas: bool
    parameters: dict[str, Any]
    measures: list[MeasureDescription]
    sources: list[str]
    example: WorkedExample
    cautions: list[str]


class UnitDescription(Answer):
    """A unit: its dimension, and how many SI units of that dimension it is."""

    name: str
    dimension: str
    si_unit: str
    si_factor: float


class UnitList(Answer):
    """All units."""

    items: list[UnitDescription]
