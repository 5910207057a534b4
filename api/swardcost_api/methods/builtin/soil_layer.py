"""A layer of sand, soil, mulch or gravel, placed or tilled in: its volume in place, loose, and by weight."""

from decimal import Decimal

from pydantic import Field
from swardcost_model.values import Percent

from swardcost_api.engine.quantities.sand import layer_by_depth
from swardcost_api.engine.quantities.soil import loose_for_layer
from swardcost_api.methods.area_work import (
    AREA,
    CREW_TIME,
    MACHINE_TIME,
    AreaWork,
    share_of,
    steps_of_time,
)  # fmt: skip
from swardcost_api.methods.cautions import DEFER, DUMPING, SILICA_DUST, SLOPES
from swardcost_api.methods.frame import Example, Measure, MeasureNote, Method, ShortLength, measures_of
from swardcost_api.methods.loose_material import LOADS, Material, PartPercent, Truck, weighed_and_loaded
from swardcost_api.units import to_si


class SoilLayer(AreaWork):
    """Parameters of a layer."""

    depth: ShortLength = Field(
        description="Depth of the layer when it has settled.", examples=[{"value": "6", "unit": "inch"}]
    )
    settlement_percent: PartPercent = Field(
        default=Decimal(0), validate_default=True,
        description="What the loose depth loses by settling or compaction, in percent of the loose depth.",
        examples=["15"],
    )  # fmt: skip
    waste_percent: Percent = Field(
        default=Decimal(0), validate_default=True,
        description="What is lost in piles and handling, in percent of the loose volume that is needed.",
        examples=["5"],
    )  # fmt: skip
    material: Material = Field(description="Density and moisture of the loose material.")
    truck: Truck | None = Field(default=None, description="What brings it; gives the loads.")


def _take_off(parameters: SoilLayer, area_m2: float) -> tuple[Measure, ...]:
    layer = layer_by_depth(area_m2=area_m2, depth_m=to_si(parameters.depth, "length"))
    loose = loose_for_layer(
        layer_volume_m3=layer.volume_m3,
        settlement_share=share_of(parameters.settlement_percent),
        waste_share=share_of(parameters.waste_percent),
    )
    hauled = weighed_and_loaded(
        parameters.material,
        parameters.truck,
        volume_m3=loose.loose_volume_m3,
        volume_name="loose volume",
        name="material",
    )
    return measures_of(MEASURES, steps_of_time(parameters, area_m2, 1) | layer.steps | loose.steps | hauled)


MEASURES = (
    AREA,
    MeasureNote("layer_volume", "cubic_meter", "Volume of the settled layer."),
    MeasureNote("loose_volume", "cubic_meter", "Loose material to bring in, with settlement and waste."),
    MeasureNote("material_mass", "kilogram", "Mass of that material, moist."),
    LOADS,
    MACHINE_TIME,
    CREW_TIME,
)

METHOD = Method(
    name="soil_layer",
    title="Layer of sand, soil or mulch",
    summary="Volume of a layer in place and loose, its moist mass, whole loads, and hours of spreading.",
    parameters=SoilLayer,
    take_off=_take_off,
    measures=MEASURES,
    sources=(
        "Geometry of a layer",
        "Definition of settlement, of the gravimetric water content (ASTM D2216) and of bulk density",
        "University of Maine Cooperative Extension (table of mulch, soil and compost by depth)",
    ),
    example=Example(
        parameters={
            "depth": {"value": "6", "unit": "inch"},
            "settlement_percent": "20",
            "waste_percent": "4",
            "material": {
                "dry_bulk_density": {"value": "80", "unit": "pound_per_cubic_foot"},
                "moisture_percent": "10",
            },
            "truck": {
                "payload": {"value": "20", "unit": "short_ton"},
                "box_volume": {"value": "16", "unit": "cubic_yard"},
            },
            "production_rate": {"value": "1000", "unit": "square_foot_per_hour"},
            "crew_size": 2,
        },
        area={"value": "1000", "unit": "square_foot"},
        expected={
            "area": 92.90304,
            "layer_volume": 14.158423296,
            "loose_volume": 18.4059502848,
            "material_mass": 25945.483564,
            "loads": 2,
            "machine_time": 1.0,
            "crew_time": 2.0,
        },
        source=(
            "University of Maine Cooperative Extension: 18.5 cubic yards at 6 in over 1,000 square feet; "
            "650 cubic feet loose at 88 lb are 57,200 lb"
        ),
    ),
    cautions=(SILICA_DUST, DUMPING, SLOPES, DEFER),
)
