"""Bunker rebuilding: old sand out, drains and liner in, new sand on floor and faces, edges cut."""

from dataclasses import replace
from decimal import Decimal

from pydantic import Field, ValidationInfo, field_validator
from pydantic_core import PydanticCustomError
from swardcost_model.values import Percent

from swardcost_api.engine.quantities.bunkers import Basin, floor_and_faces, sand_out
from swardcost_api.engine.quantities.working import Steps
from swardcost_api.methods.area_work import AREA, CREW_TIME, MACHINE_TIME, AreaWork, share_of
from swardcost_api.methods.cautions import (
    BURIED_UTILITIES,
    DEFER,
    LIFTING,
    SILICA_DUST,
    SLOPES,
    TRAFFIC,
    TRENCH_WALLS,
)  # fmt: skip
from swardcost_api.methods.feature_work import (
    DRAIN_LENGTH,
    LOOSE_SPOIL,
    SOD_TO_ORDER,
    SPOIL_LOADS,
    STRIP_AREA,
    TRENCH,
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
    steps_of_spoil,
    steps_of_strip,
    together,
)  # fmt: skip
from swardcost_api.methods.frame import (
    Density,
    Example,
    Measure,
    MeasureNote,
    Method,
    Parameters,
    ShortLength,
    Surface,
    measures_of,
)  # fmt: skip
from swardcost_api.units import to_si


class OldSand(Parameters):
    """Old sand that is taken out."""

    depth: ShortLength = Field(
        description="Mean depth of the old sand, probed.", examples=[{"value": "5", "unit": "inch"}]
    )
    bulk_density: Density | None = Field(
        default=None, description="Bulk density as it is weighed, wet; gives the mass.",
        examples=[{"value": "110", "unit": "pound_per_cubic_foot"}],
    )  # fmt: skip


class Faces(Parameters):
    """The part of the bunkers that slopes."""

    percent: Percent = Field(
        gt=0, lt=Decimal(100), description="Faces in percent of the bunkers' size in plan.", examples=["30"]
    )
    slope_percent: Percent = Field(
        gt=0, description="Mean slope of the faces, rise over run in percent.", examples=["75"]
    )
    sand_depth: ShortLength = Field(
        description="Depth of sand on the faces.", examples=[{"value": "2", "unit": "inch"}]
    )


class BunkerEdge(EdgeStrip):
    """Edge that is cut, and the strip of sod along it."""

    sod_waste_percent: Percent = Field(
        default=Decimal(0), validate_default=True,
        description="Sod for cutting and rejects, in percent of the strip.", examples=["5"],
    )  # fmt: skip


class BunkerRebuilding(AreaWork):
    """Parameters of rebuilding bunkers."""

    area: Surface | None = Field(
        default=None, description="Size of the bunkers in plan; left out, the sizes of the scope item's areas.",
        examples=[{"value": "2000", "unit": "square_foot"}],
    )  # fmt: skip
    old_sand: OldSand | None = Field(default=None, description="Old sand that is taken out.")
    floor_sand_depth: ShortLength = Field(
        description="Depth of new sand on the floor.", examples=[{"value": "4", "unit": "inch"}]
    )
    faces: Faces | None = Field(default=None, description="Sloping faces; left out for flat bunkers.")
    sand: Material = Field(default=Material(), description="The new sand that is brought in.")
    liner_waste_percent: Percent | None = Field(
        default=None, description="Liner for laps, cuts and the edge, in percent of floor and faces; gives the liner.",
        examples=["15"],
    )  # fmt: skip
    drain: DrainRun | None = Field(
        default=None, description="Drains below the floor; what covers their gravel is of the new sand."
    )
    spoil: Spoil | None = Field(
        default=None,
        description="The old sand and the soil of the drain trench, hauled off together; left out where they stay.",
    )
    edge: BunkerEdge | None = Field(default=None, description="Edge that is cut, and sod along it.")

    @field_validator("spoil")
    @classmethod
    def _something_is_dug(cls, spoil: Spoil | None, info: ValidationInfo) -> Spoil | None:
        dug = ("old_sand", "drain")
        if spoil is not None and all(part in info.data and info.data[part] is None for part in dug):
            raise PydanticCustomError(
                "nothing_dug", "old_sand or a drain beside it, since those are what is hauled"
            )
        return spoil


def _basin(parameters: BunkerRebuilding, size: float) -> Basin:
    depth, faces = to_si(parameters.floor_sand_depth, "length"), parameters.faces
    if faces is None:
        return floor_and_faces(area_m2=size, floor_sand_depth_m=depth)
    return floor_and_faces(
        area_m2=size,
        floor_sand_depth_m=depth,
        face_share=share_of(faces.percent),
        face_slope=share_of(faces.slope_percent),
        face_sand_depth_m=to_si(faces.sand_depth, "length"),
    )


def _take_off(parameters: BunkerRebuilding, area_m2: float) -> tuple[Measure, ...]:
    area = area_of(parameters.area, area_m2)
    if not area:
        return ()
    size = area["area"].value
    basin = _basin(parameters, size)
    steps = steps_of_area_time(parameters, area) | basin.steps
    steps |= steps_of_drain(parameters.drain)
    if parameters.old_sand is not None:
        density = parameters.old_sand.bulk_density
        out = sand_out(
            area_m2=size,
            depth_m=to_si(parameters.old_sand.depth, "length"),
            bulk_density_kg_per_m3=None if density is None else to_si(density, "density"),
        )
        steps |= out.steps
    steps |= _hauled(parameters, steps)
    if parameters.liner_waste_percent is not None:
        steps |= steps_of_goods(
            "liner", basin.surface_m2, "bunker surface", "square_meter", parameters.liner_waste_percent
        )
    if parameters.edge is not None:
        strip = steps_of_strip(parameters.edge)
        steps |= strip | stated("edge length", to_si(parameters.edge.perimeter, "length"), "meter")
        steps |= steps_of_goods(
            "sod", strip["strip area"].value, "strip area", "square_meter", parameters.edge.sod_waste_percent
        )
    return measures_of(MEASURES, steps)


def _hauled(parameters: BunkerRebuilding, steps: Steps) -> Steps:
    """Steps of the sand that comes in, with what covers the drains, and of what is dug out and goes."""
    sand = together("sand in place", ("new sand volume", "cover volume"), steps)
    found = sand.steps | steps_of_material("sand", parameters.sand, sand.volume_m3, "sand in place")
    if parameters.spoil is None:
        return found
    dug = together("spoil volume", ("sand out volume", "trench volume"), steps)
    return found | dug.steps | steps_of_spoil(parameters.spoil, dug.volume_m3, "spoil volume")


MEASURES = (
    AREA,
    MeasureNote("sand_out_volume", "cubic_meter", "Old sand taken out, in place; given with `old_sand`."),
    MeasureNote("sand_out_mass", "kilogram", "Mass of the old sand; given with its bulk density."),
    MeasureNote(
        "spoil_volume",
        "cubic_meter",
        "Old sand and soil of the drain trench, in place; given with `spoil`. What is cut off the edge is not in it.",
    ),
    replace(LOOSE_SPOIL, meaning="That spoil, loose; given with `spoil`."),
    SPOIL_LOADS,
    MeasureNote("floor_area", "square_meter", "Floor."),
    MeasureNote("face_area", "square_meter", "Faces, along the slope; given with `faces`."),
    MeasureNote("bunker_surface", "square_meter", "Floor and faces."),
    MeasureNote("liner_to_order", "square_meter", "Liner with waste; given with `liner_waste_percent`."),
    MeasureNote("new_sand_volume", "cubic_meter", "New sand on floor and faces, in place."),
    MeasureNote("sand_in_place", "cubic_meter", "New sand with what covers the drains (`cover_volume`)."),
    MeasureNote("sand_to_bring_in", "cubic_meter", "That sand to bring in, with allowance."),
    MeasureNote("sand_mass", "kilogram", "Mass of that sand; given with its bulk density."),
    DRAIN_LENGTH,
    *TRENCH,
    MeasureNote("edge_length", "meter", "Edge to cut; given with `edge`."),
    STRIP_AREA,
    SOD_TO_ORDER,
    MACHINE_TIME,
    CREW_TIME,
)

METHOD = Method(
    name="bunker_rebuilding",
    title="Bunker rebuilding",
    summary=(
        "Old sand out, drains in, liner and new sand on floor and faces, edge and sod along it, and hours; the size is "
        "stated or that of the areas, the edge is stated."
    ),
    parameters=BunkerRebuilding,
    take_off=_take_off,
    measures=MEASURES,
    sources=(
        "Geometry of inclined planes and layers",
        "Steiner's formula for the strip around a closed edge",
    ),
    example=Example(
        parameters={
            "area": {"value": "2000", "unit": "square_foot"},
            "old_sand": {
                "depth": {"value": "6", "unit": "inch"},
                "bulk_density": {"value": "110", "unit": "pound_per_cubic_foot"},
            },
            "floor_sand_depth": {"value": "4", "unit": "inch"},
            "faces": {
                "percent": "40",
                "slope_percent": "75",
                "sand_depth": {"value": "2", "unit": "inch"},
            },
            "sand": {
                "allowance_percent": "10",
                "bulk_density": {"value": "100", "unit": "pound_per_cubic_foot"},
            },
            "liner_waste_percent": "15",
            "drain": {
                "length": {"value": "100", "unit": "foot"},
                "trench_width": {"value": "6", "unit": "inch"},
                "trench_depth": {"value": "8", "unit": "inch"},
                "cover_depth": {"value": "2", "unit": "inch"},
                "pipe_diameter": {"value": "4", "unit": "inch"},
                "gravel": {"bulk_density": {"value": "100", "unit": "pound_per_cubic_foot"}},
            },
            "spoil": {"swell_percent": "10", "box_volume": {"value": "10", "unit": "cubic_yard"}},
            "edge": {
                "perimeter": {"value": "200", "unit": "foot"},
                "width": {"value": "3", "unit": "foot"},
                "sod_waste_percent": "5",
            },
            "production_rate": {"value": "200", "unit": "square_foot_per_hour"},
            "crew_size": 4,
        },
        area=None,
        expected={
            "area": 185.80608,
            "sand_out_volume": 28.31684659,
            "sand_out_mass": 49895.1607,
            "spoil_volume": 29.26074148,
            "loose_spoil": 32.18681563,
            "spoil_loads": 5,
            "floor_area": 111.483648,
            "face_area": 92.90304,
            "bunker_surface": 204.386688,
            "liner_to_order": 235.0446912,
            "new_sand_volume": 16.04621307,
            "sand_in_place": 16.28218679,
            "sand_to_bring_in": 17.91040547,
            "sand_mass": 28689.7174,
            "drain_length": 30.48,
            "trench_surface": 4.645152,
            "trench_volume": 0.9438948864,
            "pipe_volume": 0.2471111034,
            "cover_volume": 0.2359737216,
            "gravel_volume": 0.4608100614,
            "gravel_to_bring_in": 0.4608100614,
            "gravel_mass": 738.1469091,
            "pipe_to_order": 30.48,
            "edge_length": 60.96,
            "strip_area": 58.36859557,
            "sod_to_order": 61.28702535,
            "machine_time": 10.0,
            "crew_time": 40.0,
        },
        source="Geometry: 800 square feet of faces at 3 to 4 are 1,000 along the slope; with the floor 2,200",
    ),
    needs_areas=False,
    cautions=(BURIED_UTILITIES, SILICA_DUST, TRENCH_WALLS, SLOPES, TRAFFIC, LIFTING, DEFER),
)
