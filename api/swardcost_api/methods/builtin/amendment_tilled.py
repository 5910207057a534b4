"""Amendment tilled into the soil to a depth, by its share of the tilled volume."""

from pydantic import Field

from swardcost_api.engine.quantities.soil import amendment_tilled
from swardcost_api.methods.area_work import (
    AREA,
    CREW_TIME,
    MACHINE_TIME,
    AreaWork,
    share_of,
    steps_of_time,
)  # fmt: skip
from swardcost_api.methods.cautions import BURIED_UTILITIES, DEFER, DUMPING, GUARDS, SILICA_DUST
from swardcost_api.methods.frame import Example, Measure, MeasureNote, Method, ShortLength, measures_of
from swardcost_api.methods.loose_material import (
    LOADS,
    Material,
    PositivePartPercent,
    Truck,
    weighed_and_loaded,
)
from swardcost_api.units import to_si


class AmendmentTilled(AreaWork):
    """Parameters of an amendment."""

    tilled_depth: ShortLength = Field(
        description="Depth of the tilled layer, amendment included.",
        examples=[{"value": "6", "unit": "inch"}],
    )
    amendment_percent: PositivePartPercent = Field(
        description="Amendment in percent of the volume of the tilled layer.", examples=["20"]
    )
    material: Material = Field(description="Density and moisture of the amendment as it is hauled.")
    truck: Truck | None = Field(default=None, description="What brings it; gives the loads.")


def _take_off(parameters: AmendmentTilled, area_m2: float) -> tuple[Measure, ...]:
    amendment = amendment_tilled(
        area_m2=area_m2,
        tilled_depth_m=to_si(parameters.tilled_depth, "length"),
        amendment_share=share_of(parameters.amendment_percent),
    )
    hauled = weighed_and_loaded(
        parameters.material,
        parameters.truck,
        volume_m3=amendment.amendment_volume_m3,
        volume_name="amendment volume",
        name="amendment",
    )
    return measures_of(MEASURES, steps_of_time(parameters, area_m2, 1) | amendment.steps | hauled)


MEASURES = (
    AREA,
    MeasureNote("spread_depth", "meter", "Depth to spread before tilling.", shared_by_area=False),
    MeasureNote("amendment_volume", "cubic_meter", "Amendment to bring in."),
    MeasureNote("amendment_mass", "kilogram", "Mass of that amendment, moist."),
    LOADS,
    MACHINE_TIME,
    CREW_TIME,
)

METHOD = Method(
    name="amendment_tilled",
    title="Amendment tilled in",
    summary="Depth to spread, volume, mass and loads of sand, compost or the like tilled in by a share of volume.",
    parameters=AmendmentTilled,
    take_off=_take_off,
    measures=MEASURES,
    sources=(
        "Geometry",
        "University of Maine Cooperative Extension (table of mulch, soil and compost by depth)",
    ),
    example=Example(
        parameters={
            "tilled_depth": {"value": "8", "unit": "inch"},
            "amendment_percent": "25",
            "material": {"dry_bulk_density": {"value": "40", "unit": "pound_per_cubic_foot"}},
            "truck": {"box_volume": {"value": "5", "unit": "cubic_yard"}},
            "production_rate": {"value": "2000", "unit": "square_foot_per_hour"},
            "crew_size": 1,
        },
        area={"value": "1000", "unit": "square_foot"},
        expected={
            "area": 92.90304,
            "spread_depth": 0.0508,
            "amendment_volume": 4.719474432,
            "amendment_mass": 3023.949133,
            "loads": 2,
            "machine_time": 0.5,
            "crew_time": 0.5,
        },
        source=(
            "University of Maine Cooperative Extension: 6 cubic yards (exact 6.173) at 2 in over 1,000 square feet, "
            "a quarter of 8 in"
        ),
    ),
    cautions=(BURIED_UTILITIES, GUARDS, SILICA_DUST, DUMPING, DEFER),
)
