"""Sodding: area of sod with waste and edges, in whole slabs, rolls, big rolls and pallets."""

from decimal import Decimal

from pydantic import Field
from swardcost_model.values import Percent

from swardcost_api.engine.quantities.turf import sod_to_order, sod_units
from swardcost_api.methods.area_work import (
    AREA,
    CREW_TIME,
    MACHINE_TIME,
    AreaWork,
    share_of,
    steps_of_time,
)  # fmt: skip
from swardcost_api.methods.cautions import BURIED_UTILITIES, DEFER, LIFTING, SLOPES
from swardcost_api.methods.frame import (
    Coverage,
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


class Edges(Parameters):
    """The strip that is laid over the edge of the areas and cut off."""

    perimeter: Length = Field(
        description="Length of the edges of all the areas together.",
        examples=[{"value": "600", "unit": "foot"}],
    )
    strip_width: ShortLength = Field(
        description="Width lost along them, on average half a slab or roll.",
        examples=[{"value": "8", "unit": "inch"}],
    )


class Sodding(AreaWork):
    """Parameters of sodding: give the coverage of whatever the sod is bought in."""

    waste_percent: Percent = Field(
        default=Decimal(0), validate_default=True,
        description="Sod for cutting and rejects, in percent of the area to be covered.", examples=["5"],
    )  # fmt: skip
    edges: Edges | None = Field(default=None, description="Sod cut off along the edges, besides the waste.")
    slab_coverage: Coverage | None = Field(
        default=None, description="Area that one slab covers.",
        examples=[{"value": "384", "unit": "square_inch"}],
    )  # fmt: skip
    roll_coverage: Coverage | None = Field(
        default=None, description="Area that one roll covers.",
        examples=[{"value": "10", "unit": "square_foot"}],
    )  # fmt: skip
    big_roll_coverage: Coverage | None = Field(
        default=None, description="Area that one big roll, laid by machine, covers.",
        examples=[{"value": "300", "unit": "square_foot"}],
    )  # fmt: skip
    pallet_coverage: Coverage | None = Field(
        default=None, description="Area that one pallet covers.",
        examples=[{"value": "450", "unit": "square_foot"}],
    )  # fmt: skip


def _take_off(parameters: Sodding, area_m2: float) -> tuple[Measure, ...]:
    edges = parameters.edges
    sod = sod_to_order(
        area_m2=area_m2,
        waste_share=share_of(parameters.waste_percent),
        perimeter_m=0.0 if edges is None else to_si(edges.perimeter, "length"),
        edge_strip_m=0.0 if edges is None else to_si(edges.strip_width, "length"),
    )
    steps = steps_of_time(parameters, area_m2, 1) | sod.steps
    for unit, coverage in (
        ("slab", parameters.slab_coverage),
        ("roll", parameters.roll_coverage),
        ("big_roll", parameters.big_roll_coverage),
        ("pallet", parameters.pallet_coverage),
    ):
        if coverage is not None:
            steps |= sod_units(
                sod_area_m2=sod.sod_area_m2, coverage_m2=to_si(coverage, "area"), unit=unit
            ).steps
    return measures_of(MEASURES, steps)


MEASURES = (
    AREA,
    MeasureNote("sod_area", "square_meter", "Sod to order, with waste and edges."),
    MeasureNote("slabs", "slab", "Whole slabs; given with `slab_coverage`."),
    MeasureNote("rolls", "roll", "Whole rolls; given with `roll_coverage`."),
    MeasureNote("big_rolls", "big_roll", "Whole big rolls; given with `big_roll_coverage`."),
    MeasureNote("pallets", "pallet", "Whole pallets; given with `pallet_coverage`."),
    MACHINE_TIME,
    CREW_TIME,
)

METHOD = Method(
    name="sodding",
    title="Sodding",
    summary="Area of sod with waste and edges, in whole slabs, rolls, big rolls and pallets, and hours of laying.",
    parameters=Sodding,
    take_off=_take_off,
    measures=MEASURES,
    sources=("Geometry", "Growers' tables of slabs, rolls and pallets (400 to 500 square feet to a pallet)"),
    example=Example(
        parameters={
            "waste_percent": "5",
            "slab_coverage": {"value": "384", "unit": "square_inch"},
            "roll_coverage": {"value": "10", "unit": "square_foot"},
            "big_roll_coverage": {"value": "300", "unit": "square_foot"},
            "pallet_coverage": {"value": "450", "unit": "square_foot"},
            "production_rate": {"value": "500", "unit": "square_foot_per_hour"},
            "crew_size": 4,
        },
        area={"value": "6000", "unit": "square_foot"},
        expected={
            "area": 557.41824,
            "sod_area": 585.289152,
            "slabs": 2363,
            "rolls": 630,
            "big_rolls": 21,
            "pallets": 14,
            "machine_time": 12.0,
            "crew_time": 48.0,
        },
        source="Geometry: 6,300 square feet in slabs of 16 x 24 in, rolls of 2 x 5 ft, pallets of 450 square feet",
    ),
    cautions=(LIFTING, BURIED_UTILITIES, SLOPES, DEFER),
)
