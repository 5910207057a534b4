"""Cart paths: pavement, base and edges, and the old path out."""

from dataclasses import replace

from pydantic import Field

from swardcost_api.engine.quantities.paths import cart_path, path_removal
from swardcost_api.methods.area_work import CREW_TIME, MACHINE_TIME
from swardcost_api.methods.cautions import (
    BURIED_UTILITIES,
    DEFER,
    HOT_AND_CAUSTIC,
    SLOPES,
    STONE_DUST,
    TRAFFIC,
)  # fmt: skip
from swardcost_api.methods.feature_work import (
    LOOSE_SPOIL,
    SPOIL_LOADS,
    LineWork,
    Material,
    Spoil,
    steps_of_line_time,
    steps_of_material,
    steps_of_spoil,
)  # fmt: skip
from swardcost_api.methods.frame import (
    Density,
    Example,
    Length,
    Measure,
    MeasureNote,
    Method,
    Parameters,
    ShortLength,
    measures_of,
)  # fmt: skip
from swardcost_api.units import to_si


class PathBase(Material):
    """Gravel base below the pavement."""

    depth: ShortLength = Field(
        description="Depth of the base, compacted.", examples=[{"value": "4", "unit": "inch"}]
    )
    beyond_edge: ShortLength | None = Field(
        default=None, description="How far the base reaches beyond the pavement on each side.",
        examples=[{"value": "6", "unit": "inch"}],
    )  # fmt: skip


class OldPath(Parameters):
    """Old path that is broken out and hauled off."""

    length: Length = Field(description="Length.", examples=[{"value": "500", "unit": "foot"}])
    width: ShortLength = Field(description="Width.", examples=[{"value": "6", "unit": "foot"}])
    thickness: ShortLength = Field(
        description="Thickness of the pavement.", examples=[{"value": "3", "unit": "inch"}]
    )
    density: Density | None = Field(
        default=None, description="Density of the old pavement; gives the mass for disposal.",
        examples=[{"value": "145", "unit": "pound_per_cubic_foot"}],
    )  # fmt: skip
    spoil: Spoil | None = Field(default=None, description="Hauling off; broken pavement is bulkier.")


class CartPath(LineWork):
    """Parameters of a cart path, of concrete, asphalt or any other layer."""

    length: Length = Field(
        description="Length along the middle of the path.", examples=[{"value": "500", "unit": "foot"}]
    )
    width: ShortLength = Field(
        description="Width of the pavement.", examples=[{"value": "8", "unit": "foot"}]
    )
    thickness: ShortLength = Field(
        description="Thickness of the pavement, compacted.", examples=[{"value": "4", "unit": "inch"}]
    )
    pavement: Material = Field(
        default=Material(), description="Concrete or asphalt; asphalt is bought by mass, so give its density."
    )
    base: PathBase | None = Field(default=None, description="Gravel base.")
    edges: int = Field(
        default=0, strict=True, ge=0, le=2, description="Sides that have a curb or edging.", examples=[1]
    )
    removal: OldPath | None = Field(default=None, description="Old path that is taken out.")


def _take_off(parameters: CartPath, area_m2: float) -> tuple[Measure, ...]:
    base = parameters.base
    beyond = None if base is None else base.beyond_edge
    length = to_si(parameters.length, "length")
    path = cart_path(
        length_m=length,
        width_m=to_si(parameters.width, "length"),
        thickness_m=to_si(parameters.thickness, "length"),
        base_depth_m=None if base is None else to_si(base.depth, "length"),
        base_beyond_m=0.0 if beyond is None else to_si(beyond, "length"),
        edges=parameters.edges,
    )
    steps = path.steps | steps_of_material(
        "pavement", parameters.pavement, path.pavement_volume_m3, "pavement volume"
    )
    if base is not None and path.base_volume_m3 is not None:
        steps |= steps_of_material("base gravel", base, path.base_volume_m3, "base volume")
    old = parameters.removal
    if old is not None:
        rubble = path_removal(
            length_m=to_si(old.length, "length"),
            width_m=to_si(old.width, "length"),
            thickness_m=to_si(old.thickness, "length"),
            density_kg_per_m3=None if old.density is None else to_si(old.density, "density"),
        )
        steps |= rubble.steps | steps_of_spoil(old.spoil, rubble.volume_m3, "rubble volume")
    return measures_of(MEASURES, steps | steps_of_line_time(parameters, length, "path length"))


MEASURES = (
    MeasureNote("path_surface", "square_meter", "Surface of the pavement."),
    MeasureNote("pavement_volume", "cubic_meter", "Concrete or asphalt in place."),
    MeasureNote("pavement_to_bring_in", "cubic_meter", "Concrete or asphalt to order, with allowance."),
    MeasureNote("pavement_mass", "kilogram", "Mass of that; given with its bulk density."),
    MeasureNote(
        "base_area",
        "square_meter",
        "Ground below the base; given with `base`. Digging the bed is not in this method.",
    ),
    MeasureNote("base_volume", "cubic_meter", "Base in place, compacted."),
    MeasureNote("base_gravel_to_bring_in", "cubic_meter", "Gravel for the base, with allowance."),
    MeasureNote("base_gravel_mass", "kilogram", "Mass of that gravel; given with its bulk density."),
    MeasureNote("edge_length", "meter", "Curb or edging; given with `edges`."),
    MeasureNote(
        "rubble_volume", "cubic_meter", "Old pavement in place, without its base; given with `removal`."
    ),
    MeasureNote("rubble_mass", "kilogram", "Mass of the old pavement; given with its density."),
    replace(LOOSE_SPOIL, meaning="The old pavement, broken and loose; given with the `spoil` of `removal`."),
    SPOIL_LOADS,
    MACHINE_TIME,
    CREW_TIME,
)

METHOD = Method(
    name="cart_path",
    title="Cart path",
    summary=(
        "Pavement, base and edges of a path by its length, width and thickness, the old path out, and hours along it."
    ),
    parameters=CartPath,
    take_off=_take_off,
    measures=MEASURES,
    sources=(
        "Geometry of a strip",
        "Common practice: compacted asphalt weighs about 145 lb to the cubic foot, 110 lb to the square yard and inch",
    ),
    example=Example(
        parameters={
            "length": {"value": "100", "unit": "foot"},
            "width": {"value": "8", "unit": "foot"},
            "thickness": {"value": "4", "unit": "inch"},
            "pavement": {
                "allowance_percent": "5",
                "bulk_density": {"value": "150", "unit": "pound_per_cubic_foot"},
            },
            "base": {
                "depth": {"value": "4", "unit": "inch"},
                "beyond_edge": {"value": "6", "unit": "inch"},
                "allowance_percent": "15",
                "bulk_density": {"value": "110", "unit": "pound_per_cubic_foot"},
            },
            "edges": 1,
            "removal": {
                "length": {"value": "100", "unit": "foot"},
                "width": {"value": "6", "unit": "foot"},
                "thickness": {"value": "3", "unit": "inch"},
                "density": {"value": "145", "unit": "pound_per_cubic_foot"},
                "spoil": {"swell_percent": "40", "box_volume": {"value": "5", "unit": "cubic_yard"}},
            },
            "production_rate": {"value": "40", "unit": "foot_per_hour"},
            "crew_size": 4,
        },
        area=None,
        expected={
            "path_surface": 74.322432,
            "pavement_volume": 7.551159091,
            "pavement_to_bring_in": 7.928717046,
            "pavement_mass": 19050.87954,
            "base_area": 83.612736,
            "base_volume": 8.495053978,
            "base_gravel_to_bring_in": 9.769312074,
            "base_gravel_mass": 17213.83044,
            "edge_length": 30.48,
            "rubble_volume": 4.247526989,
            "rubble_mass": 9865.634047,
            "loose_spoil": 5.946537784,
            "spoil_loads": 2,
            "machine_time": 2.5,
            "crew_time": 10.0,
        },
        source="Geometry: 100 ft of 8 ft path, 4 in thick, is 266.7 cubic feet or 9.877 cubic yards",
    ),
    needs_areas=False,
    cautions=(BURIED_UTILITIES, STONE_DUST, HOT_AND_CAUSTIC, SLOPES, TRAFFIC, DEFER),
)
