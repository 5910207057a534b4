"""Drainage: trench, pipe, gravel and spoil of mains, and of laterals at a spacing."""

from typing import Self

from pydantic import Field, ValidationInfo, field_validator, model_validator
from pydantic_core import PydanticCustomError

from swardcost_api.engine.quantities.drains import drain_lines
from swardcost_api.methods.area_work import CREW_TIME, MACHINE_TIME
from swardcost_api.methods.cautions import BURIED_UTILITIES, DEFER, GUARDS, TRENCH_WALLS, WATER_PERMITS
from swardcost_api.methods.feature_work import (
    DRAIN_LENGTH,
    LOOSE_SPOIL,
    SPOIL_LOADS,
    TRENCH,
    DrainTrench,
    LineWork,
    Material,
    Spoil,
    area_of,
    stated,
    steps_of_line_time,
    steps_of_material,
    steps_of_trench,
    steps_of_trench_spoil,
)  # fmt: skip
from swardcost_api.methods.frame import (
    Example,
    Length,
    Measure,
    MeasureNote,
    Method,
    Parameters,
    ShortLength,
    Surface,
    measures_of,
)  # fmt: skip
from swardcost_api.units import to_si


class Laterals(Parameters):
    """Laterals at one spacing over an area."""

    spacing: ShortLength = Field(
        description="Distance of laterals; at most 15 ft under a putting green.",
        examples=[{"value": "15", "unit": "foot"}],
    )
    area: Surface | None = Field(
        default=None, description="Area that is drained; left out, the sizes of the scope item's areas.",
        examples=[{"value": "6000", "unit": "square_foot"}],
    )  # fmt: skip


class Drainage(DrainTrench, LineWork):
    """Parameters of drainage, of which at least one of `main_length` and `laterals` is given."""

    main_length: Length | None = Field(
        default=None,
        description="Length of mains and single lines, as measured. At least one of `main_length` and `laterals` is "
        "given.",
        examples=[{"value": "100", "unit": "foot"}],
    )  # fmt: skip
    laterals: Laterals | None = Field(
        default=None,
        description="Laterals at a spacing over an area. At least one of `main_length` and `laterals` is given.",
    )
    outlets: int | None = Field(
        default=None,
        strict=True,
        ge=1,
        le=1000,
        description="Outlets, inlets and basins to set.",
        examples=[1],
    )
    cover: Material | None = Field(
        default=None, description="Sand or soil brought in to cover the gravel; left out where dug soil is put back."
    )  # fmt: skip
    spoil: Spoil | None = Field(
        default=None, description="What is dug and not put back, hauled off; left out where it stays."
    )

    @field_validator("cover")
    @classmethod
    def _something_is_covered(cls, cover: Material | None, info: ValidationInfo) -> Material | None:
        if cover is not None and "cover_depth" in info.data and info.data["cover_depth"] is None:
            raise PydanticCustomError(
                "no_cover_depth", "a cover_depth beside it, since gravel fills the trench else"
            )
        return cover

    @model_validator(mode="after")
    def _there_is_a_line(self) -> Self:
        if self.main_length is None and self.laterals is None:
            raise PydanticCustomError("no_line", "at least one of main_length and laterals")
        return self


def _take_off(parameters: Drainage, area_m2: float) -> tuple[Measure, ...]:
    main, laterals = parameters.main_length, parameters.laterals
    drained = None
    if laterals is not None:
        area = area_of(laterals.area, area_m2)
        if not area:
            return ()
        drained = area["area"].value
    lines = drain_lines(
        main_length_m=None if main is None else to_si(main, "length"),
        drained_area_m2=drained,
        lateral_spacing_m=None if laterals is None else to_si(laterals.spacing, "length"),
    )
    steps = lines.steps | steps_of_trench(parameters, lines.length_m)
    if parameters.cover is not None:
        steps |= steps_of_material("cover", parameters.cover, steps["cover volume"].value, "cover volume")
    steps |= steps_of_trench_spoil(parameters.spoil, steps, soil_covers=parameters.cover is None)
    if parameters.outlets is not None:
        steps |= stated("outlets", parameters.outlets, "each")
    steps |= steps_of_line_time(parameters, lines.length_m, "drain length")
    return measures_of(MEASURES, steps)


MEASURES = (
    MeasureNote("lateral_length", "meter", "Length of laterals; given with `laterals`."),
    DRAIN_LENGTH,
    *TRENCH,
    MeasureNote("outlets", "each", "Outlets, inlets and basins; given with `outlets`."),
    MeasureNote(
        "cover_to_bring_in", "cubic_meter", "That cover to bring in, with allowance; given with `cover`."
    ),
    MeasureNote("cover_mass", "kilogram", "Mass of that cover; given with its bulk density."),
    MeasureNote(
        "spoil_volume",
        "cubic_meter",
        "What is dug, in place, without soil that is put back as cover; given with `spoil`.",
    ),
    LOOSE_SPOIL,
    SPOIL_LOADS,
    MACHINE_TIME,
    CREW_TIME,
)

METHOD = Method(
    name="drainage",
    title="Drainage",
    summary=(
        "Trench, pipe, gravel and spoil of drains: mains by their length, laterals by their spacing over an area, "
        "which is stated or the size of the areas; and hours along the line."
    ),
    parameters=Drainage,
    take_off=_take_off,
    measures=MEASURES,
    sources=(
        "Geometry of the prism and the cylinder",
        "USGA, Recommendations for a Method of Putting Green Construction (4 in pipe, trench 6 in wide and 8 in deep, "
        "laterals at most 15 ft apart)",
    ),
    example=Example(
        parameters={
            "main_length": {"value": "40", "unit": "foot"},
            "laterals": {
                "spacing": {"value": "15", "unit": "foot"},
                "area": {"value": "900", "unit": "square_foot"},
            },
            "trench_width": {"value": "6", "unit": "inch"},
            "trench_depth": {"value": "8", "unit": "inch"},
            "cover_depth": {"value": "2", "unit": "inch"},
            "pipe_diameter": {"value": "4", "unit": "inch"},
            "pipe_waste_percent": "5",
            "gravel": {
                "allowance_percent": "10",
                "bulk_density": {"value": "100", "unit": "pound_per_cubic_foot"},
            },
            "outlets": 1,
            "cover": {
                "allowance_percent": "10",
                "bulk_density": {"value": "100", "unit": "pound_per_cubic_foot"},
            },
            "spoil": {"swell_percent": "25", "box_volume": {"value": "1", "unit": "cubic_yard"}},
            "production_rate": {"value": "50", "unit": "foot_per_hour"},
            "crew_size": 3,
        },
        area=None,
        expected={
            "lateral_length": 18.288,
            "drain_length": 30.48,
            "trench_surface": 4.645152,
            "trench_volume": 0.9438948864,
            "pipe_volume": 0.2471111034,
            "cover_volume": 0.2359737216,
            "gravel_volume": 0.4608100614,
            "gravel_to_bring_in": 0.5068910675,
            "gravel_mass": 811.9616,
            "pipe_to_order": 32.004,
            "outlets": 1,
            "cover_to_bring_in": 0.2595710938,
            "cover_mass": 415.7930058,
            "spoil_volume": 0.9438948864,
            "loose_spoil": 1.179868608,
            "spoil_loads": 2,
            "machine_time": 2.0,
            "crew_time": 6.0,
        },
        source="Geometry: 100 ft of trench 6 in wide and 8 in deep is 1.235 cubic yards",
    ),
    needs_areas=False,
    cautions=(BURIED_UTILITIES, TRENCH_WALLS, WATER_PERMITS, GUARDS, DEFER),
)
