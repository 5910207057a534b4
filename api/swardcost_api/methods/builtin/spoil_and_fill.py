"""Spoil to haul away or fill to bring in: one body of soil in its three states, its mass and its loads."""

from typing import Literal, Self

from pydantic import Field, model_validator

from swardcost_api.engine.quantities.soil import soil_volumes
from swardcost_api.methods.cautions import BURIED_UTILITIES, DEFER, DUMPING, SLOPES, TRAFFIC
from swardcost_api.methods.frame import (
    Example,
    Measure,
    MeasureNote,
    Method,
    Parameters,
    Volume,
    measures_of,
)  # fmt: skip
from swardcost_api.methods.loose_material import (
    LOADS,
    Material,
    SoilStates,
    Truck,
    payload_needs_material,
    weighed_and_loaded,
)
from swardcost_api.units import to_si


class SpoilAndFill(Parameters):
    """Parameters of soil that is hauled."""

    volume: Volume = Field(
        description="Volume in the state named beside it.", examples=[{"value": "300", "unit": "cubic_yard"}]
    )
    state: Literal["in_place", "loose", "compacted"] = Field(
        description="State in which it was measured: spoil in place before it is dug, fill compacted where it lies.",
        examples=["compacted"],
    )
    factors: SoilStates = Field(description="How the soil swells and packs.")
    material: Material | None = Field(
        default=None, description="Density and moisture of the loose soil; gives the mass."
    )
    truck: Truck | None = Field(
        default=None, description="What hauls it; gives the loads. A payload needs `material` beside it."
    )

    @model_validator(mode="after")
    def _payload_is_a_mass(self) -> Self:
        payload_needs_material(self.material, self.truck)
        return self


def _take_off(parameters: SpoilAndFill, area_m2: float) -> tuple[Measure, ...]:
    factors = parameters.factors.factors()
    soil = soil_volumes(
        volume_m3=to_si(parameters.volume, "volume"),
        state=parameters.state,
        loose_factor=factors.loose,
        compacted_factor=factors.compacted,
        source=factors.source,
    )
    return measures_of(
        MEASURES,
        soil.steps
        | weighed_and_loaded(
            parameters.material,
            parameters.truck,
            volume_m3=soil.loose_volume_m3,
            volume_name="loose volume",
            name="soil",
        ),
    )


MEASURES = (
    MeasureNote("in_place_volume", "cubic_meter", "Volume in undisturbed ground."),
    MeasureNote(
        "loose_volume", "cubic_meter", "Volume in the truck or pile: what is hauled, bought or dumped."
    ),
    MeasureNote("compacted_volume", "cubic_meter", "Volume placed and rolled."),
    MeasureNote("soil_mass", "kilogram", "Mass of the loose soil, moist; given with `material`."),
    LOADS,
)

METHOD = Method(
    name="spoil_and_fill",
    title="Spoil disposal and imported fill",
    summary="Soil measured in place, loose or compacted, in all three states, with its mass and whole loads.",
    parameters=SpoilAndFill,
    take_off=_take_off,
    measures=MEASURES,
    sources=(
        "US Army FM 5-434, Earthmoving Operations (2000), table 1-1, and its reprint (typical factors)",
        "Definition of bulk density",
    ),
    example=Example(
        parameters={
            "volume": {"value": "1000", "unit": "cubic_yard"},
            "state": "in_place",
            "factors": {"loose_factor": "1.3", "compacted_factor": "0.9"},
            "material": {
                "dry_bulk_density": {"value": "80", "unit": "pound_per_cubic_foot"},
                "moisture_percent": "15",
            },
            "truck": {
                "payload": {"value": "15", "unit": "short_ton"},
                "box_volume": {"value": "7", "unit": "cubic_yard"},
            },
        },
        area=None,
        expected={
            "in_place_volume": 764.554857984,
            "loose_volume": 993.9213153792,
            "compacted_volume": 688.0993721856,
            "soil_mass": 1464740.481204,
            "loads": 186,
        },
        source="Construction estimating textbook, example 9-2: swell of 30 %, boxes of 7 cubic yards, 186 loads",
    ),
    needs_areas=False,
    cautions=(BURIED_UTILITIES, TRAFFIC, SLOPES, DUMPING, DEFER),
)
