"""What work on single features has in common: material, spoil, drains, strips, and hours along a line."""

from collections.abc import Sequence
from decimal import Decimal

from pydantic import Field, ValidationInfo, field_validator
from pydantic_core import PydanticCustomError
from swardcost_model.values import Percent, Quantity

from swardcost_api.engine.derivation import Step
from swardcost_api.engine.quantities.drains import drain_trench, trench_spoil
from swardcost_api.engine.quantities.hauling import Together, volumes_together
from swardcost_api.engine.quantities.materials import goods_to_order, material_to_bring_in, spoil_to_haul
from swardcost_api.engine.quantities.paces import time_along, time_over
from swardcost_api.engine.quantities.production import crew_time
from swardcost_api.engine.quantities.surrounds import strip_around
from swardcost_api.engine.quantities.working import Steps, fits
from swardcost_api.methods.area_work import AreaWork, share_of, steps_of_time
from swardcost_api.methods.frame import (
    BoxVolume,
    Density,
    Length,
    MeasureNote,
    Parameters,
    ShortLength,
    Speed,
    Surface,
)  # fmt: skip
from swardcost_api.units import to_si

SOD_TO_ORDER = MeasureNote("sod_to_order", "square_meter", "Sod to order, with waste.")
STRIP_AREA = MeasureNote("strip_area", "square_meter", "Strip along the edge, from its length and width.")
TURF_AREA = MeasureNote("turf_area", "square_meter", "Ground to be turfed, with the strip along the edge.")
LOOSE_SPOIL = MeasureNote("loose_spoil", "cubic_meter", "What is dug up, loose; given with `spoil`.")
SPOIL_LOADS = MeasureNote(
    "spoil_loads", "load", "Whole loads of spoil; given with the `box_volume` of `spoil`."
)
DRAIN_LENGTH = MeasureNote("drain_length", "meter", "Length of all drain lines.")
TRENCH = (
    MeasureNote("trench_surface", "square_meter", "Surface that the trench takes up."),
    MeasureNote("trench_volume", "cubic_meter", "Volume dug, in place."),
    MeasureNote("pipe_volume", "cubic_meter", "Volume of the pipe, which takes no gravel."),
    MeasureNote("cover_volume", "cubic_meter", "Soil, sand or root zone above the gravel, in place."),
    MeasureNote("gravel_volume", "cubic_meter", "Gravel around the pipe, in place."),
    MeasureNote("gravel_to_bring_in", "cubic_meter", "Gravel to bring in, with allowance."),
    MeasureNote("gravel_mass", "kilogram", "Mass of that gravel; given with its bulk density."),
    MeasureNote("pipe_to_order", "meter", "Pipe to order, with waste; given with a pipe diameter."),
)


class Material(Parameters):
    """Loose material that is brought in."""

    allowance_percent: Percent = Field(
        default=Decimal(0), validate_default=True,
        description="Extra for waste, compaction and settlement, in percent of the volume in place.",
        examples=["10"],
    )  # fmt: skip
    bulk_density: Density | None = Field(
        default=None, description="Bulk density as it is weighed; gives the mass. Ask the supplier.",
        examples=[{"value": "105", "unit": "pound_per_cubic_foot"}],
    )  # fmt: skip


class Spoil(Parameters):
    """What is dug up and hauled off."""

    swell_percent: Percent = Field(
        default=Decimal(0), validate_default=True,
        description="What the volume in place gains when it is dug up, in percent: 25 for common earth.",
        examples=["25"],
    )  # fmt: skip
    box_volume: BoxVolume | None = Field(
        default=None, description="Volume that one load carries; gives the loads.",
        examples=[{"value": "7", "unit": "cubic_yard"}],
    )  # fmt: skip


class EdgeStrip(Parameters):
    """A strip of one width along the outside of edges."""

    perimeter: Length = Field(
        description="Length of the edge of all features together.",
        examples=[{"value": "320", "unit": "foot"}],
    )
    width: ShortLength = Field(description="Width of the strip.", examples=[{"value": "6", "unit": "foot"}])
    features: int = Field(
        default=1, strict=True, ge=1, le=1000, description="Number of closed edges that make up the perimeter.",
        examples=[1],
    )  # fmt: skip


class DrainTrench(Parameters):
    """Section of a drain trench, with its pipe and gravel."""

    trench_width: ShortLength = Field(
        description="Width of the trench.", examples=[{"value": "6", "unit": "inch"}]
    )
    trench_depth: ShortLength = Field(
        description="Depth of the trench, from the ground it is dug in.",
        examples=[{"value": "8", "unit": "inch"}],
    )
    cover_depth: ShortLength | None = Field(
        default=None, description="Depth of soil or sand above the gravel; left out, gravel fills the trench.",
        examples=[{"value": "2", "unit": "inch"}],
    )  # fmt: skip
    pipe_diameter: ShortLength | None = Field(
        default=None, description="Outside diameter of the pipe; left out for a drain of gravel alone.",
        examples=[{"value": "4", "unit": "inch"}],
    )  # fmt: skip
    pipe_waste_percent: Percent = Field(
        default=Decimal(0), validate_default=True, description="Pipe for cuts and joints, in percent of the length.",
        examples=["5"],
    )  # fmt: skip
    gravel: Material = Field(default=Material(), description="The gravel that is brought in.")

    @field_validator("cover_depth")
    @classmethod
    def _gravel_lies_below_the_cover(cls, cover: Quantity | None, info: ValidationInfo) -> Quantity | None:
        depth = info.data.get("trench_depth")
        if cover is not None and depth is not None and fits(to_si(depth, "length"), to_si(cover, "length")):
            raise PydanticCustomError(
                "cover_depth", "less than the trench depth, {value} {unit}",
                {"value": str(depth.value), "unit": depth.unit},
            )  # fmt: skip
        return cover

    @field_validator("pipe_diameter")
    @classmethod
    def _the_pipe_lies_in_the_gravel(cls, pipe: Quantity | None, info: ValidationInfo) -> Quantity | None:
        width, depth = info.data.get("trench_width"), info.data.get("trench_depth")
        if pipe is None or width is None or depth is None:
            return pipe
        cover = info.data.get("cover_depth")
        gravel = to_si(depth, "length") - (0.0 if cover is None else to_si(cover, "length"))
        if not fits(to_si(pipe, "length"), min(to_si(width, "length"), gravel)):
            raise PydanticCustomError(
                "pipe_diameter", "at most the width of the trench and the depth of its gravel"
            )
        return pipe


class DrainRun(DrainTrench):
    """Drain lines of a known length."""

    length: Length = Field(
        description="Length of all lines together.", examples=[{"value": "120", "unit": "foot"}]
    )


class LineWork(Parameters):
    """Parameters of work along a line: how fast it goes and with how many people."""

    production_rate: Speed | None = Field(
        default=None, description="Length that one machine or crew does in an hour, with moving and setting up.",
        examples=[{"value": "60", "unit": "foot_per_hour"}],
    )  # fmt: skip
    crew_size: int | None = Field(
        default=None, strict=True, ge=1, le=500,
        description="People on the work as long as it runs; needs a production rate.", examples=[2],
    )  # fmt: skip

    @field_validator("crew_size")
    @classmethod
    def _crew_works_at_a_pace(cls, crew_size: int | None, info: ValidationInfo) -> int | None:
        paced = info.data.get("production_rate") is not None
        if crew_size is not None and not paced and "production_rate" in info.data:
            raise PydanticCustomError(
                "no_pace", "a production_rate beside it, since crew time is machine time x crew size"
            )
        return crew_size


def stated(name: str, value: float, unit: str) -> Steps:
    """The step of a figure that the caller states and that is a measure by itself."""
    return {name: Step(name, value, unit, f"{name} as stated", source="the scope item")}


def area_of(area: Surface | None, area_m2: float) -> Steps:
    """The step of an area: as stated, else the sizes of the scope item's areas; empty where neither is known."""
    if area is not None:
        return stated("area", to_si(area, "area"), "square_meter")
    if area_m2 <= 0:
        return {}
    return {
        "area": Step("area", area_m2, "square_meter", "sizes of the areas added up", source="sizes of the areas")
    }  # fmt: skip


def steps_of_material(material: str, parameters: Material, volume_m3: float, volume_name: str) -> Steps:
    """Steps of a material to bring in for a volume in place."""
    density = parameters.bulk_density
    return material_to_bring_in(
        material=material,
        volume_m3=volume_m3,
        volume_name=volume_name,
        allowance_share=share_of(parameters.allowance_percent),
        bulk_density_kg_per_m3=None if density is None else to_si(density, "density"),
    ).steps


def steps_of_spoil(parameters: Spoil | None, volume_m3: float, volume_name: str) -> Steps:
    """Steps of what is hauled off; none where nothing is."""
    if parameters is None:
        return {}
    box = parameters.box_volume
    return spoil_to_haul(
        volume_m3=volume_m3,
        volume_name=volume_name,
        swell_share=share_of(parameters.swell_percent),
        box_volume_m3=None if box is None else to_si(box, "volume"),
    ).steps


def together(name: str, parts: Sequence[str], steps: Steps) -> Together:
    """The sum of those volumes that are among the steps, as one more step of that name."""
    return volumes_together(
        name=name, volumes_m3={part: steps[part].value for part in parts if part in steps}
    )


def steps_of_goods(goods: str, amount: float, amount_name: str, unit: str, waste: Percent) -> Steps:
    """Steps of goods to order with waste."""
    return goods_to_order(
        goods=goods, amount=amount, amount_name=amount_name, unit=unit, waste_share=share_of(waste)
    ).steps


def steps_of_strip(strip: EdgeStrip | None) -> Steps:
    """Steps of a strip along edges; none where there is none."""
    if strip is None:
        return {}
    return strip_around(
        perimeter_m=to_si(strip.perimeter, "length"),
        width_m=to_si(strip.width, "length"),
        features=strip.features,
    ).steps


def steps_of_trench(parameters: DrainTrench, length_m: float) -> Steps:
    """Steps of a drain trench with its gravel and pipe; the length is that of the step "drain length"."""
    pipe, cover = parameters.pipe_diameter, parameters.cover_depth
    trench = drain_trench(
        length_m=length_m,
        width_m=to_si(parameters.trench_width, "length"),
        depth_m=to_si(parameters.trench_depth, "length"),
        pipe_diameter_m=None if pipe is None else to_si(pipe, "length"),
        cover_depth_m=None if cover is None else to_si(cover, "length"),
    )
    steps = trench.steps | steps_of_material(
        "gravel", parameters.gravel, trench.gravel_volume_m3, "gravel volume"
    )
    if pipe is not None:
        steps |= steps_of_goods("pipe", length_m, "drain length", "meter", parameters.pipe_waste_percent)
    return steps


def steps_of_drain(drain: DrainRun | None) -> Steps:
    """Steps of drain lines of a known length; none where there are none."""
    if drain is None:
        return {}
    length = to_si(drain.length, "length")
    return stated("drain length", length, "meter") | steps_of_trench(drain, length)


def steps_of_trench_spoil(spoil: Spoil | None, steps: Steps, *, soil_covers: bool) -> Steps:
    """Steps of the soil of a drain trench that is hauled off, without what is put back where soil covers the gravel."""
    if spoil is None:
        return {}
    cover = steps.get("cover volume") if soil_covers else None
    left = trench_spoil(
        trench_volume_m3=steps["trench volume"].value,
        soil_cover_volume_m3=None if cover is None else cover.value,
    )
    return left.steps | steps_of_spoil(spoil, left.volume_m3, "spoil volume")


def steps_of_line_time(parameters: LineWork, length_m: float, length_name: str) -> Steps:
    """Steps of the hours along a line; none where no pace is given."""
    if parameters.production_rate is None:
        return {}
    pace = to_si(parameters.production_rate, "speed")
    machine = time_along(length_m=length_m, pace_m_per_h=pace, length_name=length_name)
    return machine.steps | _steps_of_crew(machine.machine_time_h, parameters.crew_size)


def steps_of_surface_time(parameters: AreaWork, area_m2: float, area_name: str) -> Steps:
    """Steps of the hours over a computed area, such as a slope; none where no pace is given."""
    if parameters.production_rate is None:
        return {}
    pace = to_si(parameters.production_rate, "area_pace")
    machine = time_over(area_m2=area_m2, pace_m2_per_h=pace, area_name=area_name)
    return machine.steps | _steps_of_crew(machine.machine_time_h, parameters.crew_size)


def _steps_of_crew(machine_time_h: float, crew_size: int | None) -> Steps:
    if crew_size is None:
        return {}
    return crew_time(machine_time_h=machine_time_h, crew_size=crew_size).steps


def steps_of_area_time(parameters: AreaWork, area: Steps) -> Steps:
    """Steps of an area, stated or of the areas, and of the hours over it."""
    return steps_of_time(parameters, area["area"].value, 1) | area
