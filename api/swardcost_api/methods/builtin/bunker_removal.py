"""Bunker removal: sand and drains out, fill and topsoil in, sod over."""

from dataclasses import replace
from decimal import Decimal

from pydantic import Field, ValidationInfo, field_validator
from pydantic_core import PydanticCustomError
from swardcost_model.values import Percent, Quantity

from swardcost_api.engine.quantities.bunkers import fill_hollow, sand_out
from swardcost_api.engine.quantities.surrounds import turf_with_strip
from swardcost_api.engine.quantities.working import fits
from swardcost_api.methods.area_work import AREA, CREW_TIME, MACHINE_TIME, AreaWork
from swardcost_api.methods.cautions import BURIED_UTILITIES, DEFER, LIFTING, SILICA_DUST, SLOPES, TRAFFIC
from swardcost_api.methods.feature_work import (
    LOOSE_SPOIL,
    SOD_TO_ORDER,
    SPOIL_LOADS,
    STRIP_AREA,
    TURF_AREA,
    EdgeStrip,
    Material,
    Spoil,
    area_of,
    stated,
    steps_of_area_time,
    steps_of_goods,
    steps_of_material,
    steps_of_spoil,
    steps_of_strip,
)  # fmt: skip
from swardcost_api.methods.frame import (
    Density,
    Example,
    Length,
    Measure,
    MeasureNote,
    Method,
    ShortLength,
    Surface,
    measures_of,
)  # fmt: skip
from swardcost_api.units import to_si


class BunkerRemoval(AreaWork):
    """Parameters of taking bunkers out."""

    area: Surface | None = Field(
        default=None, description="Size of the bunkers in plan; left out, the sizes of the scope item's areas.",
        examples=[{"value": "2000", "unit": "square_foot"}],
    )  # fmt: skip
    old_sand_depth: ShortLength = Field(
        description="Mean depth of the old sand, probed.", examples=[{"value": "6", "unit": "inch"}]
    )
    old_sand_density: Density | None = Field(
        default=None, description="Bulk density of the old sand as it is weighed, wet; gives the mass.",
        examples=[{"value": "110", "unit": "pound_per_cubic_foot"}],
    )  # fmt: skip
    hollow_depth: ShortLength = Field(
        description="Mean depth of the emptied bunker below the new grade.",
        examples=[{"value": "2", "unit": "foot"}],
    )
    topsoil_depth: ShortLength | None = Field(
        default=None, description="Depth of topsoil on top, within the hollow.",
        examples=[{"value": "6", "unit": "inch"}],
    )  # fmt: skip
    fill: Material = Field(default=Material(), description="The fill that is brought in.")
    topsoil: Material = Field(default=Material(), description="The topsoil that is brought in.")
    drain_out_length: Length | None = Field(
        default=None,
        description="Length of old drains taken out.",
        examples=[{"value": "100", "unit": "foot"}],
    )
    spoil: Spoil | None = Field(
        default=None, description="The old sand, hauled off; left out where it stays on the site."
    )
    edge: EdgeStrip | None = Field(
        default=None, description="Strip along the old edge that is stripped and sodded with the bunker."
    )
    sod_waste_percent: Percent = Field(
        default=Decimal(0), validate_default=True,
        description="Sod for cutting and rejects, in percent of the area to be covered.", examples=["5"],
    )  # fmt: skip

    @field_validator("topsoil_depth")
    @classmethod
    def _topsoil_lies_on_fill(cls, depth: Quantity | None, info: ValidationInfo) -> Quantity | None:
        hollow = info.data.get("hollow_depth")
        if depth is not None and hollow is not None and fits(to_si(hollow, "length"), to_si(depth, "length")):
            raise PydanticCustomError(
                "topsoil_depth", "less than the depth of the hollow, {value} {unit}",
                {"value": str(hollow.value), "unit": hollow.unit},
            )  # fmt: skip
        return depth


def _take_off(parameters: BunkerRemoval, area_m2: float) -> tuple[Measure, ...]:
    area = area_of(parameters.area, area_m2)
    if not area:
        return ()
    size, density, topsoil = area["area"].value, parameters.old_sand_density, parameters.topsoil_depth
    sand = sand_out(
        area_m2=size,
        depth_m=to_si(parameters.old_sand_depth, "length"),
        bulk_density_kg_per_m3=None if density is None else to_si(density, "density"),
    )
    hollow = fill_hollow(
        area_m2=size,
        depth_m=to_si(parameters.hollow_depth, "length"),
        topsoil_depth_m=None if topsoil is None else to_si(topsoil, "length"),
    )
    steps = steps_of_area_time(parameters, area) | sand.steps | hollow.steps
    steps |= steps_of_spoil(parameters.spoil, sand.volume_m3, "sand out volume")
    steps |= steps_of_material("fill", parameters.fill, hollow.fill_volume_m3, "fill volume")
    if hollow.topsoil_volume_m3 is not None:
        steps |= steps_of_material("topsoil", parameters.topsoil, hollow.topsoil_volume_m3, "topsoil volume")
    if parameters.drain_out_length is not None:
        steps |= stated("drain out length", to_si(parameters.drain_out_length, "length"), "meter")
    strip = steps_of_strip(parameters.edge)
    turf = turf_with_strip(area_m2=size, strip_area_m2=strip["strip area"].value if strip else None)
    steps |= strip | turf.steps
    steps |= steps_of_goods("sod", turf.area_m2, "turf area", "square_meter", parameters.sod_waste_percent)
    return measures_of(MEASURES, steps)


MEASURES = (
    AREA,
    MeasureNote("sand_out_volume", "cubic_meter", "Old sand taken out, in place."),
    MeasureNote("sand_out_mass", "kilogram", "Mass of the old sand; given with `old_sand_density`."),
    replace(
        LOOSE_SPOIL,
        meaning="The old sand, loose; given with `spoil`. Old drains and the turf of the strip are not in it.",
    ),
    SPOIL_LOADS,
    MeasureNote("drain_out_length", "meter", "Old drains taken out; given with `drain_out_length`."),
    MeasureNote(
        "fill_volume",
        "cubic_meter",
        "Fill below the topsoil, in place; trenches of old drains are not in it.",
    ),
    MeasureNote("fill_to_bring_in", "cubic_meter", "Fill to bring in, with allowance."),
    MeasureNote("fill_mass", "kilogram", "Mass of that fill; given with its bulk density."),
    MeasureNote("topsoil_volume", "cubic_meter", "Topsoil in place; given with `topsoil_depth`."),
    MeasureNote("topsoil_to_bring_in", "cubic_meter", "Topsoil to bring in, with allowance."),
    MeasureNote("topsoil_mass", "kilogram", "Mass of that topsoil; given with its bulk density."),
    replace(
        STRIP_AREA, meaning=f"{STRIP_AREA.meaning} Taking its old turf off and away is in sod stripping."
    ),
    TURF_AREA,
    SOD_TO_ORDER,
    MACHINE_TIME,
    CREW_TIME,
)

METHOD = Method(
    name="bunker_removal",
    title="Bunker removal",
    summary=(
        "Old sand and drains out, fill and topsoil in, sod over with a strip along the edge, and hours; the size is "
        "stated or that of the areas."
    ),
    parameters=BunkerRemoval,
    take_off=_take_off,
    measures=MEASURES,
    sources=("Geometry of layers", "Steiner's formula for the strip around a closed edge"),
    example=Example(
        parameters={
            "area": {"value": "2700", "unit": "square_foot"},
            "old_sand_depth": {"value": "6", "unit": "inch"},
            "old_sand_density": {"value": "100", "unit": "pound_per_cubic_foot"},
            "hollow_depth": {"value": "2", "unit": "foot"},
            "topsoil_depth": {"value": "6", "unit": "inch"},
            "fill": {
                "allowance_percent": "20",
                "bulk_density": {"value": "90", "unit": "pound_per_cubic_foot"},
            },
            "topsoil": {
                "allowance_percent": "10",
                "bulk_density": {"value": "80", "unit": "pound_per_cubic_foot"},
            },
            "drain_out_length": {"value": "100", "unit": "foot"},
            "spoil": {"swell_percent": "10", "box_volume": {"value": "10", "unit": "cubic_yard"}},
            "edge": {
                "perimeter": {"value": "240", "unit": "foot"},
                "width": {"value": "4", "unit": "foot"},
            },
            "sod_waste_percent": "5",
            "production_rate": {"value": "300", "unit": "square_foot_per_hour"},
            "crew_size": 3,
        },
        area=None,
        expected={
            "area": 250.838208,
            "sand_out_volume": 38.2277429,
            "sand_out_mass": 61234.96995,
            "loose_spoil": 42.05051719,
            "spoil_loads": 6,
            "drain_out_length": 30.48,
            "fill_volume": 114.6832287,
            "fill_to_bring_in": 137.6198744,
            "fill_mass": 198401.3026,
            "topsoil_volume": 38.2277429,
            "topsoil_to_bring_in": 42.05051719,
            "topsoil_mass": 53886.77356,
            "strip_area": 93.85673453,
            "turf_area": 344.6949425,
            "sod_to_order": 361.9296897,
            "machine_time": 9.0,
            "crew_time": 27.0,
        },
        source="Geometry: 6 in of sand over 2,700 square feet is 50 cubic yards",
    ),
    needs_areas=False,
    cautions=(BURIED_UTILITIES, SILICA_DUST, SLOPES, TRAFFIC, LIFTING, DEFER),
)
