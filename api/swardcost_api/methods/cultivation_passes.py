"""Passes of a cultivation program: what kind they are, where they open the surface, what they take and place."""

from decimal import Decimal
from typing import Literal

from pydantic import Field, ValidationInfo, field_validator
from pydantic_core import PydanticCustomError
from swardcost_model.values import Percent, Quantity

from swardcost_api.engine.derivation import Step
from swardcost_api.engine.quantities.program import ProgramPass, of_pass
from swardcost_api.engine.quantities.surface import Opening, hole_opening, knife_opening, slit_opening
from swardcost_api.engine.quantities.working import fits
from swardcost_api.methods.area_work import share_of
from swardcost_api.methods.frame import Parameters, ShortLength
from swardcost_api.methods.hole_work import within_spacing
from swardcost_api.units import to_si

Kind = Literal["hollow_tine", "solid_tine", "drill", "sand_injection", "vertical_mowing", "slicing"]

_SHAPE: dict[str, str] = {
    "hollow_tine": "holes",
    "solid_tine": "holes",
    "drill": "holes",
    "sand_injection": "holes",
    "vertical_mowing": "slits",
    "slicing": "knives",
}
_REMOVES = {"hollow_tine", "drill", "vertical_mowing"}


class Holes(Parameters):
    """Holes on a regular pattern."""

    spacing_along: ShortLength = Field(
        description="Distance of holes in the direction of travel, centre to centre.",
        examples=[{"value": "2", "unit": "inch"}],
    )
    spacing_across: ShortLength | None = Field(
        default=None,
        description="Distance of holes across the direction of travel; leave out for a triangular pattern.",
        examples=[{"value": "2", "unit": "inch"}],
    )  # fmt: skip
    diameter: ShortLength = Field(
        description="What is opened: inside diameter of hollow tines, outside diameter of solid ones, the hole of "
        "drills and jets.",
        examples=[{"value": "0.5", "unit": "inch"}],
    )  # fmt: skip

    _stay_apart = field_validator("diameter")(within_spacing)

    def opening(self) -> Opening:
        """The share of the surface that one run opens."""
        across = None if self.spacing_across is None else to_si(self.spacing_across, "length")
        return hole_opening(
            diameter_m=to_si(self.diameter, "length"),
            spacing_along_m=to_si(self.spacing_along, "length"),
            spacing_across_m=across,
        )


class Slits(Parameters):
    """Unbroken slits of blades."""

    spacing: ShortLength = Field(
        description="Distance of blades, centre to centre.", examples=[{"value": "2", "unit": "inch"}]
    )
    width: ShortLength = Field(
        description="Width of the slit that a blade opens.", examples=[{"value": "2", "unit": "millimeter"}]
    )
    directions: Literal[1, 2] = Field(
        default=1, description="1, or 2 for runs in two directions that cross.", examples=[2]
    )

    @field_validator("width")
    @classmethod
    def _stay_apart(cls, width: Quantity, info: ValidationInfo) -> Quantity:
        return _at_most(width, "spacing", info)

    def opening(self) -> Opening:
        """The share of the surface that one run in one direction opens."""
        return slit_opening(width_m=to_si(self.width, "length"), spacing_m=to_si(self.spacing, "length"))


class Knives(Parameters):
    """Separate slits of knives on a turning shaft."""

    spacing_along: ShortLength = Field(
        description="Distance of slits in the direction of travel, middle to middle.",
        examples=[{"value": "6", "unit": "inch"}],
    )
    spacing_across: ShortLength = Field(
        description="Distance of slits across the direction of travel, middle to middle.",
        examples=[{"value": "4", "unit": "inch"}],
    )
    slit_length: ShortLength = Field(
        description="Length of one slit at the surface.", examples=[{"value": "3", "unit": "inch"}]
    )
    thickness: ShortLength = Field(
        description="Thickness of the knife, which is the width of the slit.",
        examples=[{"value": "5", "unit": "millimeter"}],
    )

    @field_validator("slit_length", "thickness")
    @classmethod
    def _stay_apart(cls, size: Quantity, info: ValidationInfo) -> Quantity:
        return _at_most(size, "spacing_along" if info.field_name == "slit_length" else "spacing_across", info)

    def opening(self) -> Opening:
        """The share of the surface that one run opens."""
        return knife_opening(
            knife_thickness_m=to_si(self.thickness, "length"),
            slit_length_m=to_si(self.slit_length, "length"),
            spacing_along_m=to_si(self.spacing_along, "length"),
            spacing_across_m=to_si(self.spacing_across, "length"),
        )


def _at_most(size: Quantity, name: str, info: ValidationInfo) -> Quantity:
    whole = info.data.get(name)
    if whole is not None and not fits(to_si(size, "length"), to_si(whole, "length")):
        raise PydanticCustomError(
            "beyond_spacing",
            "a length of at most the {name}, {value} {unit}",
            {"name": name, "value": str(whole.value), "unit": whole.unit},
        )
    return size


class CultivationPass(Parameters):
    """One kind of pass over all the areas, run once or several times; `holes`, `slits` or `knives` as it needs."""

    kind: Kind = Field(
        description="Hollow tines, drills and vertical mowing take ground out; solid tines, injection, slicing do not.",
        examples=["hollow_tine"],
    )  # fmt: skip
    week: int | None = Field(
        default=None, strict=True, ge=1, le=60,
        description="Week of the program, for the reader; order changes nothing in the figures.", examples=[3],
    )  # fmt: skip
    holes: Holes | None = Field(
        default=None,
        validate_default=True,
        description="Holes of tines, drills and injection. Exactly one of `holes`, `slits` and `knives` is given, as "
        "the kind needs.",
    )
    slits: Slits | None = Field(
        default=None, validate_default=True, description="Slits of vertical mowing, in place of `holes`."
    )
    knives: Knives | None = Field(
        default=None, validate_default=True, description="Slits of slicing, in place of `holes`."
    )
    depth: ShortLength = Field(
        description="Depth that the pass reaches.", examples=[{"value": "4", "unit": "inch"}]
    )
    passes: int = Field(
        default=1, strict=True, ge=1, le=100, description="How often it is run (slits: each direction).",
        examples=[2],
    )  # fmt: skip
    filled_percent: Percent = Field(
        default=Decimal(0), validate_default=True,
        description="Sand placed in percent of the volume opened: 100 for holes filled to the top, more where a jet "
        "opens a cavity, 0 where they are left open.",
        examples=["100"],
    )  # fmt: skip

    @field_validator("holes", "slits", "knives")
    @classmethod
    def _shape_fits_the_kind(
        cls, shape: Holes | Slits | Knives | None, info: ValidationInfo
    ) -> Holes | Slits | Knives | None:
        kind = info.data.get("kind")
        if kind is None:
            return shape
        needed = _SHAPE[kind] == info.field_name
        if needed and shape is None:
            raise PydanticCustomError(
                "shape_missing", "the {shape} of {kind}", {"shape": info.field_name, "kind": kind}
            )
        if not needed and shape is not None:
            raise PydanticCustomError(
                "other_shape", "no {shape} beside {kind}, which takes {needed}",
                {"shape": info.field_name, "kind": kind, "needed": _SHAPE[kind]},
            )  # fmt: skip
        return shape

    @field_validator("filled_percent")
    @classmethod
    def _sand_has_room(cls, percent: Percent, info: ValidationInfo) -> Percent:
        shape = next((found for name in ("holes", "slits", "knives") if (found := info.data.get(name))), None)
        if shape is not None:
            share = shape.opening().share
            if not fits(share * share_of(percent), 1.0):
                raise PydanticCustomError(
                    "overfilled", "at most {most} percent: more sand than ground otherwise",
                    {"most": f"{100 / share:.6g}"},
                )  # fmt: skip
        return percent

    @property
    def runs(self) -> int:
        """Runs over the areas, in all directions."""
        return self.passes * (1 if self.slits is None else self.slits.directions)

    def worked(self, number: int) -> tuple[ProgramPass, dict[str, Step]]:
        """The pass as the engine takes it, and the steps to its share and runs, named for its number."""
        shape = self.holes or self.slits or self.knives
        assert shape is not None
        opening = shape.opening()
        when = "" if self.week is None else f", week {self.week}"
        crossing = "" if self.runs == self.passes else ", each in two directions"
        kind = self.kind.replace("_", " ")
        runs = Step(
            f"pass {number} runs", float(self.runs), "each",
            f"{self.passes} x {kind}{crossing}{when}, as stated", source="the scope item",
        )  # fmt: skip
        one = ProgramPass(
            share=opening.share,
            depth_m=to_si(self.depth, "length"),
            runs=self.runs,
            removed_share=1.0 if self.kind in _REMOVES else 0.0,
            filled_share=share_of(self.filled_percent),
        )
        return one, of_pass(opening.steps, number) | {runs.name: runs}
