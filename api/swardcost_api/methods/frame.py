"""What a method of work is: typed parameters in, measures with their derivation out.

A built-in method is one module in `methods/builtin/` that defines `METHOD`; it is found there by itself.
"""

import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Annotated, Any

from pydantic import (
    AfterValidator,
    BaseModel,
    ConfigDict,
    GetCoreSchemaHandler,
    GetJsonSchemaHandler,
    ValidationError,
)
from pydantic_core import CoreSchema, PydanticCustomError, core_schema
from swardcost_model.values import Quantity

from swardcost_api.engine.derivation import Derivation, Step
from swardcost_api.units import to_si, unit_named, units_of


class Parameters(BaseModel):
    """Base of a method's parameters: frozen, unknown names refused."""

    model_config = ConfigDict(extra="forbid", frozen=True)


@dataclass(frozen=True, slots=True)
class Dimension:
    """Says of an annotated quantity what it measures; refuses another unit, and zero unless it is allowed.

    Of the units of the dimension, those in `besides` are no units of such a quantity. The JSON Schema of the
    quantity names the dimension and lists the units that are left.
    """

    name: str
    zero: bool = False
    besides: tuple[str, ...] = ()

    @property
    def units(self) -> list[str]:
        """Names of the units that such a quantity is given in."""
        return [name for name in units_of(self.name) if name not in self.besides]

    def _check(self, quantity: Quantity) -> Quantity:
        unit = unit_named(quantity.unit)
        if unit.dimension != self.name or unit.name in self.besides:
            words = self.name.replace("_", " ")
            raise PydanticCustomError(
                "wrong_dimension",
                "{article} {dimension}, in one of: {units}",
                {
                    "article": "an" if words[0] in "aeiou" else "a",
                    "dimension": words,
                    "units": ", ".join(self.units),
                },
            )
        if to_si(quantity, self.name) <= 0 and not self.zero:
            raise PydanticCustomError("not_positive", "more than zero")
        return quantity

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.no_info_after_validator_function(self._check, handler(source))

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        return {
            **handler(schema),
            "dimension": self.name,
            "properties": {"unit": {"enum": self.units}},
        }


_FAR = ("kilometer", "mile")
_OF_GROUND = ("thousand_square_feet", "acre", "hectare")
_OF_WATER_OR_EARTH = ("acre_inch", "acre_foot")
_OF_SPRIGS = ("sprig_bushel_0_4_cubic_foot", "sprig_bushel_0_32_cubic_foot")

Length = Annotated[Quantity, Dimension("length")]
ShortLength = Annotated[Quantity, Dimension("length", besides=_FAR)]
"""A depth, a diameter, a spacing: nothing that is counted in miles."""
Surface = Annotated[Quantity, Dimension("area", besides=("square_inch",))]
"""A piece of ground."""
Coverage = Annotated[Quantity, Dimension("area", besides=_OF_GROUND)]
"""What one piece or container covers."""
Volume = Annotated[Quantity, Dimension("volume", besides=_OF_SPRIGS)]
BoxVolume = Annotated[Quantity, Dimension("volume", besides=_OF_SPRIGS + _OF_WATER_OR_EARTH)]
"""What one box, bag or tank holds."""
Mass = Annotated[Quantity, Dimension("mass")]
Density = Annotated[Quantity, Dimension("density")]
AreaPace = Annotated[Quantity, Dimension("area_pace")]
Speed = Annotated[Quantity, Dimension("speed")]
Duration = Annotated[Quantity, Dimension("time")]
VolumeRate = Annotated[
    Quantity, Dimension("depth_rate", besides=tuple(f"{bushel}_per_acre" for bushel in _OF_SPRIGS))
]
SprigRate = Annotated[Quantity, Dimension("depth_rate")]
"""Sprigs to the area, which are also sold by trade bushels of their own."""
MassRate = Annotated[Quantity, Dimension("mass_rate")]
Flow = Annotated[Quantity, Dimension("flow")]
LengthOrZero = Annotated[Quantity, Dimension("length", zero=True)]
ShortLengthOrZero = Annotated[Quantity, Dimension("length", zero=True, besides=_FAR)]
SurfaceOrZero = Annotated[Quantity, Dimension("area", zero=True)]
VolumeOrZero = Annotated[Quantity, Dimension("volume", zero=True, besides=_OF_SPRIGS)]


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
    `explained_by` is its derivation, or all steps among which that is found when somebody asks.
    """

    name: str
    value: float
    unit: str
    explained_by: Derivation | Mapping[str, Step]
    shared_by_area: bool = True

    @classmethod
    def of(cls, steps: Mapping[str, Step], name: str, *, shared_by_area: bool = True) -> "Measure":
        """The measure that the step of the same words computes.

        Steps are named in words and measures by identifiers: `sand_mass` is the step "sand mass".
        """
        last = steps[name.replace("_", " ")]
        return cls(name, last.value, last.unit, steps, shared_by_area)

    @property
    def derivation(self) -> Derivation:
        """The steps that lead to it, in order, itself last."""
        steps = self.explained_by
        if not isinstance(steps, Mapping):
            return steps
        kept: dict[str, Step] = {}

        def visit(step: Step) -> None:
            for figure in step.inputs:
                if figure.name in steps and figure.name not in kept and figure.name != step.name:
                    visit(steps[figure.name])
            kept[step.name] = step

        visit(steps[self.name.replace("_", " ")])
        return tuple(kept.values())


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


@dataclass(frozen=True, kw_only=True)
class AnyMethod:
    """A way of doing work. `take_off(parameters, area_m2)` yields its measures for that total area.

    A club's own method may set `presets` among the parameters, brings the `resources` that a scope item uses
    unless it names its own (in the form in which they are stored there), and has a `revision`.
    """

    name: str
    title: str
    summary: str
    parameters: type[Parameters]
    take_off: Callable[[Any, float], tuple[Measure, ...]]
    measures: tuple[MeasureNote, ...]
    sources: tuple[str, ...]
    needs_areas: bool = True
    scales_with_area: bool = False
    """That each measure shared by area is proportional to it and the others do not depend on it: nothing is
    rounded to whole loads or bags. Such a method need not be taken off anew for every size."""
    cautions: tuple[str, ...] = ()
    presets: Mapping[str, Any] = field(default_factory=dict)
    presets_may_change: bool = False
    resources: tuple[Mapping[str, Any], ...] = ()
    revision: int | None = None

    def parameters_as_typed(self, given: Mapping[str, Any]) -> Parameters:
        """The parameters that a caller gives, and those set. Raises a validation error with each fault's place."""
        fixed = [] if self.presets_may_change else [name for name in given if name in self.presets]
        if fixed:
            set_already = PydanticCustomError("preset", "nothing here, since the club's method sets it")
            raise ValidationError.from_exception_data(
                self.name, [{"type": set_already, "loc": (name,), "input": given[name]} for name in fixed]
            )
        return self.parameters.model_validate_json(json.dumps({**self.presets, **given}), strict=True)

    def parameters_as_stored(self, given: Mapping[str, Any]) -> Parameters:
        """The parameters of a scope item that was checked when it was stored, and those set."""
        return self.parameters.model_validate({**self.presets, **given} if self.presets else given)


@dataclass(frozen=True, kw_only=True)
class Method(AnyMethod):
    """A built-in method, with its worked example."""

    example: Example
