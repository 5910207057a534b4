"""What the methods of work are, and which one a scope item uses."""

from swardcost_model.methods import (
    MeasureDescription,
    MethodDescription,
    MethodList,
    MethodSummary,
    UnitDescription,
    UnitList,
    WorkedExample,
)

from swardcost_api.methods.own import method_to_use, pinned_methods
from swardcost_api.methods.registry import METHODS
from swardcost_api.storage.rows import missing
from swardcost_api.units import UNITS

__all__ = ["describe", "list_methods", "list_units", "method_to_use", "pinned_methods"]


def list_methods() -> MethodList:
    """All built-in methods."""
    return MethodList(
        items=[MethodSummary(name=m.name, title=m.title, summary=m.summary) for m in METHODS.values()]
    )


def describe(name: str) -> MethodDescription:
    """One method in full. Raises `not-found`."""
    method = METHODS.get(name)
    if method is None:
        raise missing("method")
    example = method.example
    return MethodDescription(
        name=method.name, title=method.title, summary=method.summary, needs_areas=method.needs_areas,
        parameters=method.parameters.model_json_schema(),
        measures=[MeasureDescription(name=m.name, unit=m.unit, meaning=m.meaning) for m in method.measures],
        sources=list(method.sources), cautions=list(method.cautions),
        example=WorkedExample(
            parameters=example.parameters, area=example.area, measures=example.expected, source=example.source
        ),
    )  # fmt: skip


def list_units() -> UnitList:
    """All units."""
    return UnitList(
        items=[
            UnitDescription(name=u.name, dimension=u.dimension, si_unit=u.si_unit, si_factor=u.si_factor)
            for u in UNITS.values()
        ]
    )
