"""What a method of work is: typed parameters in, measures with their derivation out.

A built-in method is one module in `methods/builtin/` that defines `METHOD`; it is found there by itself.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import AfterValidator, BaseModel, ConfigDict
from pydantic_core import PydanticCustomError
from swardcost_model.values import Quantity

from swardcost_api.engine.derivation import Derivation, Step
from swardcost_api.units import to_si, unit_named


class Parameters(BaseModel):
    """Base of a method's parameters: frozen, unknown names refused."""

    model_config = ConfigDict(extra="forbid", frozen=True)


def _of(dimension: str, *, zero: bool = False) -> AfterValidator:
    def check(quantity: Quantity) -> Quantity:
        if to_si(quantity, dimension) <= 0 and not zero:
            raise PydanticCustomError("not_positive", "more than zero")
        return quantity

    return AfterValidator(check)


Length = Annotated[Quantity, _of("length")]
Surface = Annotated[Quantity, _of("area")]
Mass = Annotated[Quantity, _of("mass")]
Density = Annotated[Quantity, _of("density")]
AreaPace = Annotated[Quantity, _of("area_pace")]
MassPace = Annotated[Quantity, _of("mass_pace")]
Speed = Annotated[Quantity, _of("speed")]
Duration = Annotated[Quantity, _of("time")]
VolumeRate = Annotated[Quantity, _of("depth_rate")]


def _in_any_unit(quantity: Quantity) -> Quantity:
    if to_si(quantity, unit_named(quantity.unit).dimension) <= 0:
        raise PydanticCustomError("not_positive", "more than zero")
    return quantity


AnyQuantity = Annotated[Quantity, AfterValidator(_in_any_unit)]
"""A quantity above zero in whatever listed unit."""


@dataclass(frozen=True, slots=True)
class Measure:
    """A named quantity that a method yields over all the areas of a scope item, in an SI or counted unit.

    `shared_by_area` tells whether it is a sum that can be split over the areas (a share of surface is not).
    """

    name: str
    value: float
    unit: str
    derivation: Derivation
    shared_by_area: bool = True

    @classmethod
    def of(cls, steps: Mapping[str, Step], name: str, *, shared_by_area: bool = True) -> "Measure":
        """The measure that the step of the same words computes, with the steps that lead to it.

        Steps are named in words and measures by identifiers: `sand_mass` is the step "sand mass".
        """
        kept: dict[str, Step] = {}

        def visit(step: Step) -> None:
            for figure in step.inputs:
                if figure.name in steps and figure.name not in kept and figure.name != step.name:
                    visit(steps[figure.name])
            kept[step.name] = step

        last = steps[name.replace("_", " ")]
        visit(last)
        return cls(name, last.value, last.unit, tuple(kept.values()), shared_by_area)


@dataclass(frozen=True, slots=True)
class MeasureNote:
    """What a measure means, and whether it can be split over the areas (see `Measure`).

    A unit of "any" stands for the SI or counted unit of whatever the caller states.
    """

    name: str
    unit: str
    meaning: str
    shared_by_area: bool = True


def measures_of(notes: Sequence[MeasureNote], steps: Mapping[str, Step]) -> tuple[Measure, ...]:
    """The noted measures that the steps hold; those that need a parameter left out are absent, not zero."""
    return tuple(
        Measure.of(steps, note.name, shared_by_area=note.shared_by_area)
        for note in notes
        if note.name.replace("_", " ") in steps
    )


@dataclass(frozen=True, slots=True)
class Example:
    """A worked example: parameters and area as a user types them, and the measures expected (SI units)."""

    parameters: dict[str, Any]
    area: dict[str, str] | None
    expected: dict[str, float]
    source: str


@dataclass(frozen=True)
class Method:
    """A way of doing work. `take_off(parameters, area_m2)` yields its measures for that total area."""

    name: str
    title: str
    summary: str
    parameters: type[Parameters]
    take_off: Callable[[Any, float], tuple[Measure, ...]]
    measures: tuple[MeasureNote, ...]
    sources: tuple[str, ...]
    example: Example
    needs_areas: bool = True
    cautions: tuple[str, ...] = ()
