"""Tee building and levelling: cut and fill, root zone, drains, and sod with the strip around."""

from dataclasses import replace
from decimal import Decimal
from typing import Self

from pydantic import Field, ValidationInfo, field_validator, model_validator
from pydantic_core import PydanticCustomError
from swardcost_model.values import Percent

from swardcost_api.engine.quantities.surrounds import turf_with_strip
from swardcost_api.engine.quantities.tees import level_ground, mean_cut_and_fill, root_zone_layer
from swardcost_api.engine.quantities.working import Steps
from swardcost_api.methods.area_work import AREA, CREW_TIME, MACHINE_TIME, AreaWork, share_of
from swardcost_api.methods.cautions import (
    BURIED_UTILITIES,
    DEFER,
    LIFTING,
    SILICA_DUST,
    SLOPES,
    STRUCTURES,
    TRENCH_WALLS,
)  # fmt: skip
from swardcost_api.methods.feature_work import (
    DRAIN_LENGTH,
    LOOSE_SPOIL,
    SOD_TO_ORDER,
    SPOIL_LOADS,
    STRIP_AREA,
    TRENCH,
    TURF_AREA,
    DrainRun,
    EdgeStrip,
    Material,
    Spoil,
    area_of,
    stated,
    steps_of_area_time,
    steps_of_drain,
    steps_of_goods,
    steps_of_material,
    steps_of_strip,
    steps_of_trench_spoil,
    together,
)  # fmt: skip
from swardcost_api.methods.frame import (
    Example,
    Measure,
    MeasureNote,
    Method,
    Parameters,
    ShortLength,
    ShortLengthOrZero,
    Surface,
    measures_of,
)  # fmt: skip
from swardcost_api.units import to_si


class SurveyPoint(Parameters):
    """Heights at one point of an even grid."""

    existing: ShortLengthOrZero = Field(
        description="Height of the ground above the datum.", examples=[{"value": "3.2", "unit": "foot"}]
    )
    finished: ShortLengthOrZero = Field(
        description="Height that it shall have below the root zone and the sod, above the same datum.",
        examples=[{"value": "3", "unit": "foot"}],
    )


class RootZone(Material):
    """Root zone over the tee."""

    depth: ShortLength = Field(description="Depth after settling.", examples=[{"value": "6", "unit": "inch"}])


class TeeBuilding(AreaWork):
    """Parameters of tee building: give `points`, or `mean_cut` and `mean_fill`."""

    area: Surface | None = Field(
        default=None, description="Size of the tees; left out, the sizes of the scope item's areas.",
        examples=[{"value": "4000", "unit": "square_foot"}],
    )  # fmt: skip
    points: list[SurveyPoint] | None = Field(
        default=None, min_length=1, max_length=500,
        description="Heights on an even grid, each point standing for an equal part of the area.",
    )  # fmt: skip
    mean_cut: ShortLengthOrZero | None = Field(
        default=None,
        description="Mean depth of cut down to the ground below the root zone, over the whole area, where no points "
        "are given.",
    )
    mean_fill: ShortLengthOrZero | None = Field(
        default=None,
        description="Mean depth of fill up to the ground below the root zone, over the whole area, where no points "
        "are given.",
    )
    compacted_percent: Percent = Field(
        default=Decimal(100), gt=0, le=Decimal(150),
        description="What a volume of cut fills after compaction, in percent: about 90 for common earth.",
        examples=["90"],
    )  # fmt: skip
    root_zone: RootZone | None = Field(default=None, description="Root zone that is brought in.")
    drain: DrainRun | None = Field(
        default=None, description="Drains below the tee; what covers their gravel is of the root zone, if there is one."
    )  # fmt: skip
    spoil: Spoil | None = Field(
        default=None,
        description="The soil of the drain trench, hauled off; left out where it stays. Without a root zone, what "
        "covers the gravel is put back.",
    )
    surround: EdgeStrip | None = Field(
        default=None, description="Strip around the tees that is sodded with them."
    )
    sod_waste_percent: Percent = Field(
        default=Decimal(0), validate_default=True,
        description="Sod for cutting and rejects, in percent of the area to be covered.", examples=["5"],
    )  # fmt: skip

    @field_validator("spoil")
    @classmethod
    def _something_is_dug(cls, spoil: Spoil | None, info: ValidationInfo) -> Spoil | None:
        if spoil is not None and "drain" in info.data and info.data["drain"] is None:
            raise PydanticCustomError("no_drain", "a drain beside it, since its trench is what is hauled")
        return spoil

    @model_validator(mode="after")
    def _one_way_of_saying_how_deep(self) -> Self:
        means = (self.mean_cut, self.mean_fill)
        if (self.points is None) == (means == (None, None)):
            raise PydanticCustomError("points_or_means", "points, or mean_cut and mean_fill")
        if self.points is not None:
            some = any(to_si(one.existing, "length") != to_si(one.finished, "length") for one in self.points)
        else:
            some = any(mean is not None and mean.value > 0 for mean in means)
        if not some:
            raise PydanticCustomError("no_cut", "some cut or some fill")
        return self


def _heights(parameters: TeeBuilding) -> Steps:
    if parameters.points is not None:
        return mean_cut_and_fill(
            existing_m=[to_si(one.existing, "length") for one in parameters.points],
            finished_m=[to_si(one.finished, "length") for one in parameters.points],
        ).steps
    cut, fill = (
        0.0 if mean is None else to_si(mean, "length") for mean in (parameters.mean_cut, parameters.mean_fill)
    )
    return stated("mean cut", cut, "meter") | stated("mean fill", fill, "meter")


def _take_off(parameters: TeeBuilding, area_m2: float) -> tuple[Measure, ...]:
    area = area_of(parameters.area, area_m2)
    if not area:
        return ()
    size = area["area"].value
    steps = steps_of_area_time(parameters, area) | _heights(parameters)
    steps |= level_ground(
        area_m2=size,
        mean_cut_m=steps["mean cut"].value,
        mean_fill_m=steps["mean fill"].value,
        compacted_factor=share_of(parameters.compacted_percent),
    ).steps
    steps |= steps_of_drain(parameters.drain)
    if parameters.drain is not None:
        steps |= steps_of_trench_spoil(parameters.spoil, steps, soil_covers=parameters.root_zone is None)
    if parameters.root_zone is not None:
        layer = root_zone_layer(area_m2=size, depth_m=to_si(parameters.root_zone.depth, "length"))
        steps |= layer.steps
        placed = together("root zone in place", ("root zone volume", "cover volume"), steps)
        steps |= placed.steps
        steps |= steps_of_material("root zone", parameters.root_zone, placed.volume_m3, "root zone in place")
    strip = steps_of_strip(parameters.surround)
    turf = turf_with_strip(area_m2=size, strip_area_m2=strip["strip area"].value if strip else None)
    steps |= strip | turf.steps
    steps |= steps_of_goods("sod", turf.area_m2, "turf area", "square_meter", parameters.sod_waste_percent)
    return measures_of(MEASURES, steps)


MEASURES = (
    AREA,
    MeasureNote("mean_cut", "meter", "Mean depth of cut over the whole area.", shared_by_area=False),
    MeasureNote("mean_fill", "meter", "Mean depth of fill over the whole area.", shared_by_area=False),
    MeasureNote("cut_volume", "cubic_meter", "Volume of cut, in place."),
    MeasureNote("fill_volume", "cubic_meter", "Volume of fill below the root zone, compacted."),
    MeasureNote("cut_as_fill", "cubic_meter", "What the cut fills after compaction."),
    MeasureNote("fill_to_bring_in", "cubic_meter", "Fill that the cut does not give, compacted; or zero."),
    MeasureNote("cut_to_spare", "cubic_meter", "Cut that the fill does not take, compacted; or zero."),
    MeasureNote(
        "root_zone_volume", "cubic_meter", "Root zone over the tee, in place; given with `root_zone`."
    ),
    MeasureNote(
        "root_zone_in_place", "cubic_meter", "Root zone with what covers the drains (`cover_volume`)."
    ),
    MeasureNote("root_zone_to_bring_in", "cubic_meter", "That root zone to bring in, with allowance."),
    MeasureNote("root_zone_mass", "kilogram", "Mass of that root zone; given with its bulk density."),
    STRIP_AREA,
    replace(TURF_AREA, meaning=f"{TURF_AREA.meaning} Old turf is not taken off here: see sod stripping."),
    SOD_TO_ORDER,
    DRAIN_LENGTH,
    *TRENCH,
    MeasureNote(
        "spoil_volume",
        "cubic_meter",
        "Soil of the drain trench that is not put back, in place; given with `spoil`. What the cut spares is in "
        "`cut_to_spare` alone.",
    ),
    replace(LOOSE_SPOIL, meaning="That soil, loose; given with `spoil`."),
    SPOIL_LOADS,
    MACHINE_TIME,
    CREW_TIME,
)

METHOD = Method(
    name="tee_building",
    title="Tee building and levelling",
    summary=(
        "Cut and fill to a plane from surveyed points or mean depths, root zone, drains, sod with the strip around, "
        "and hours; the size is stated or that of the areas."
    ),
    parameters=TeeBuilding,
    take_off=_take_off,
    measures=MEASURES,
    sources=(
        "Grid method of earthwork, construction estimating textbooks",
        "US military soil conversion table (common earth 0.90 compacted)",
        "Steiner's formula for the strip around a closed edge",
    ),
    example=Example(
        parameters={
            "area": {"value": "4000", "unit": "square_foot"},
            "points": [
                {"existing": {"value": "3.6", "unit": "foot"}, "finished": {"value": "3", "unit": "foot"}},
                {"existing": {"value": "3.2", "unit": "foot"}, "finished": {"value": "3", "unit": "foot"}},
                {"existing": {"value": "2.6", "unit": "foot"}, "finished": {"value": "3", "unit": "foot"}},
                {"existing": {"value": "2.2", "unit": "foot"}, "finished": {"value": "3", "unit": "foot"}},
            ],
            "compacted_percent": "90",
            "root_zone": {
                "depth": {"value": "6", "unit": "inch"},
                "allowance_percent": "20",
                "bulk_density": {"value": "100", "unit": "pound_per_cubic_foot"},
            },
            "drain": {
                "length": {"value": "100", "unit": "foot"},
                "trench_width": {"value": "6", "unit": "inch"},
                "trench_depth": {"value": "8", "unit": "inch"},
                "cover_depth": {"value": "2", "unit": "inch"},
                "pipe_diameter": {"value": "4", "unit": "inch"},
                "gravel": {"bulk_density": {"value": "100", "unit": "pound_per_cubic_foot"}},
            },
            "spoil": {"swell_percent": "25", "box_volume": {"value": "1", "unit": "cubic_yard"}},
            "surround": {
                "perimeter": {"value": "280", "unit": "foot"},
                "width": {"value": "6", "unit": "foot"},
            },
            "sod_waste_percent": "5",
            "production_rate": {"value": "500", "unit": "square_foot_per_hour"},
            "crew_size": 3,
        },
        area=None,
        expected={
            "area": 371.61216,
            "mean_cut": 0.06096,
            "mean_fill": 0.09144,
            "cut_volume": 22.65347727,
            "fill_volume": 33.98021591,
            "cut_as_fill": 20.38812955,
            "fill_to_bring_in": 13.59208636,
            "cut_to_spare": 0.0,
            "root_zone_volume": 56.63369318,
            "root_zone_in_place": 56.86966691,
            "root_zone_to_bring_in": 68.24360029,
            "root_zone_mass": 109315.7612,
            "strip_area": 166.5841935,
            "turf_area": 538.1963535,
            "sod_to_order": 565.1061712,
            "drain_length": 30.48,
            "trench_surface": 4.645152,
            "trench_volume": 0.9438948864,
            "pipe_volume": 0.2471111034,
            "cover_volume": 0.2359737216,
            "gravel_volume": 0.4608100614,
            "gravel_to_bring_in": 0.4608100614,
            "gravel_mass": 738.1469091,
            "pipe_to_order": 30.48,
            "spoil_volume": 0.9438948864,
            "loose_spoil": 1.179868608,
            "spoil_loads": 2,
            "machine_time": 8.0,
            "crew_time": 24.0,
        },
        source="Geometry: cuts of 0.6 and 0.2 ft at two of four points are 0.2 ft over the area, 800 cubic feet",
    ),
    needs_areas=False,
    cautions=(BURIED_UTILITIES, SLOPES, TRENCH_WALLS, SILICA_DUST, LIFTING, STRUCTURES, DEFER),
)
