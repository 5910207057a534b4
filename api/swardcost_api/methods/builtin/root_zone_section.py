"""Putting-green section: the cavity, and root zone, intermediate layer and gravel, settled and delivered."""

from decimal import Decimal

from pydantic import Field, ValidationInfo, field_validator
from pydantic_core import PydanticCustomError
from swardcost_model.values import Percent, Quantity

from swardcost_api.engine.quantities.rootzone import cavity, section_layer
from swardcost_api.methods.area_work import (
    AREA,
    CREW_TIME,
    MACHINE_TIME,
    AreaWork,
    share_of,
    steps_of_time,
)  # fmt: skip
from swardcost_api.methods.cautions import BURIED_UTILITIES, DEFER, DUMPING, SILICA_DUST
from swardcost_api.methods.frame import (
    Example,
    Measure,
    MeasureNote,
    Method,
    Parameters,
    ShortLength,
    ShortLengthOrZero,
    measures_of,
)  # fmt: skip
from swardcost_api.methods.loose_material import Material, PartPercent
from swardcost_api.units import to_si


class Layer(Parameters):
    """One layer of the section."""

    depth: ShortLength = Field(
        description="Depth when it has settled.", examples=[{"value": "12", "unit": "inch"}]
    )
    settlement_percent: PartPercent = Field(
        default=Decimal(0), validate_default=True,
        description="What the loose depth loses by settling and compaction, in percent of the loose depth.",
        examples=["15"],
    )  # fmt: skip
    material: Material | None = Field(default=None, description="Density and moisture; gives the mass.")


class RootZoneSection(AreaWork):
    """Parameters of a section, from the top down."""

    root_zone: Layer = Field(description="The root-zone mix; usually 12 in, give or take 1 in.")
    intermediate_layer: Layer | None = Field(
        default=None,
        description="Coarse sand or fine gravel between, 2 to 4 in, where the gravel calls for it.",
    )
    gravel: Layer = Field(description="The gravel blanket; usually at least 4 in.")
    freeboard: ShortLengthOrZero | None = Field(
        default=None,
        description="How far the finished surface is to stand above the present ground.",
        examples=[{"value": "4", "unit": "inch"}],
    )
    waste_percent: Percent = Field(
        default=Decimal(0), validate_default=True,
        description="What is lost in piles and handling, in percent of the loose volume.", examples=["5"],
    )  # fmt: skip

    @field_validator("freeboard")
    @classmethod
    def _dug_into_the_ground(cls, freeboard: Quantity | None, info: ValidationInfo) -> Quantity | None:
        names = ("root_zone", "intermediate_layer", "gravel")
        if freeboard is None or any(name not in info.data for name in names):
            return freeboard
        layers = [info.data[name] for name in names if info.data[name] is not None]
        if to_si(freeboard, "length") >= sum(to_si(layer.depth, "length") for layer in layers):
            raise PydanticCustomError("freeboard", "less than the layers together")
        return freeboard


def _take_off(parameters: RootZoneSection, area_m2: float) -> tuple[Measure, ...]:
    layers = {
        "root zone": parameters.root_zone,
        "intermediate layer": parameters.intermediate_layer,
        "gravel": parameters.gravel,
    }
    depths = {name: 0.0 if layer is None else to_si(layer.depth, "length") for name, layer in layers.items()}
    dug = cavity(
        area_m2=area_m2,
        root_zone_depth_m=depths["root zone"],
        intermediate_layer_depth_m=depths["intermediate layer"],
        gravel_depth_m=depths["gravel"],
        freeboard_m=0.0 if parameters.freeboard is None else to_si(parameters.freeboard, "length"),
    )
    steps = steps_of_time(parameters, area_m2, 1) | dug.steps
    for name, layer in layers.items():
        if layer is None:
            continue
        built = section_layer(
            name=name,
            area_m2=area_m2,
            depth_m=depths[name],
            settlement_share=share_of(layer.settlement_percent),
            waste_share=share_of(parameters.waste_percent),
        )
        steps |= built.steps
        if layer.material is not None:
            steps |= layer.material.mass(
                volume_m3=built.delivered_volume_m3, volume_name=f"{name} delivered volume", material=name
            ).steps
    return measures_of(MEASURES, steps)


def _notes(name: str, words: str) -> tuple[MeasureNote, ...]:
    return (
        MeasureNote(f"{name}_volume", "cubic_meter", f"{words} as built, settled."),
        MeasureNote(f"{name}_delivered_volume", "cubic_meter", f"{words} to bring in, loose."),
        MeasureNote(f"{name}_mass", "kilogram", f"{words} to bring in, by weight; given with its material."),
    )


MEASURES = (
    AREA,
    MeasureNote("section_depth", "meter", "Depth to dig below the present ground.", shared_by_area=False),
    MeasureNote(
        "cavity_volume",
        "cubic_meter",
        "Ground to dig out, in place; hauling it off, and drains below, are methods of their own.",
    ),
    *_notes("root_zone", "Root-zone mix"),
    *_notes("intermediate_layer", "Intermediate layer"),
    *_notes("gravel", "Gravel"),
    MACHINE_TIME,
    CREW_TIME,
)

METHOD = Method(
    name="root_zone_section",
    title="Putting-green section",
    summary="Cavity, and root zone, intermediate layer and gravel by volume settled and delivered, and by mass.",
    parameters=RootZoneSection,
    take_off=_take_off,
    scales_with_area=True,
    measures=MEASURES,
    sources=(
        "USGA, Recommendations for a Method of Putting Green Construction (usual depths of the layers)",
        "Geometry; definitions of settlement and of bulk density",
    ),
    example=Example(
        parameters={
            "root_zone": {
                "depth": {"value": "12", "unit": "inch"},
                "settlement_percent": "20",
                "material": {
                    "dry_bulk_density": {"value": "90", "unit": "pound_per_cubic_foot"},
                    "moisture_percent": "10",
                },
            },
            "intermediate_layer": {
                "depth": {"value": "3", "unit": "inch"},
                "material": {"dry_bulk_density": {"value": "100", "unit": "pound_per_cubic_foot"}},
            },
            "gravel": {
                "depth": {"value": "4", "unit": "inch"},
                "material": {"dry_bulk_density": {"value": "96", "unit": "pound_per_cubic_foot"}},
            },
            "production_rate": {"value": "250", "unit": "square_foot_per_hour"},
            "crew_size": 3,
        },
        area={"value": "1000", "unit": "square_foot"},
        expected={
            "area": 92.90304,
            "section_depth": 0.4826,
            "cavity_volume": 44.835007104,
            "root_zone_volume": 28.316846592,
            "root_zone_delivered_volume": 35.39605824,
            "root_zone_mass": 56132.0557875,
            "intermediate_layer_volume": 7.079211648,
            "intermediate_layer_delivered_volume": 7.079211648,
            "intermediate_layer_mass": 11339.80925,
            "gravel_volume": 9.438948864,
            "gravel_delivered_volume": 9.438948864,
            "gravel_mass": 14514.95584,
            "machine_time": 4.0,
            "crew_time": 12.0,
        },
        source="USGA depths of 12, 3 and 4 in: 37.04 cubic yards of root zone and 12.35 of gravel, settled",
    ),
    cautions=(BURIED_UTILITIES, DUMPING, SILICA_DUST, DEFER),
)
