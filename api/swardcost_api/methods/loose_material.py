"""Loose material that is weighed and hauled: its density and moisture, the truck that takes it, states of soil."""

from decimal import Decimal
from typing import Annotated, Literal, NamedTuple, Self

from pydantic import AfterValidator, Field, model_validator
from pydantic_core import PydanticCustomError
from swardcost_model.values import Percent, Positive

from swardcost_api.engine.derivation import Step
from swardcost_api.engine.quantities.hauling import loads_of_either, loads_of_mass, loads_of_volume
from swardcost_api.engine.quantities.sand import VolumeMass, mass_of_volume, moist_density
from swardcost_api.engine.quantities.soil import FACTORS, SOIL_FACTORS
from swardcost_api.methods.area_work import share_of
from swardcost_api.methods.frame import BoxVolume, Density, Mass, MeasureNote, Parameters
from swardcost_api.units import to_si

LOADS = MeasureNote(
    "loads", "load", "Whole loads, by payload or box, whichever is full first; given with `truck`."
)


def _below_all(percent: Decimal) -> Decimal:
    if percent >= 100:
        raise PydanticCustomError("not_a_part", "below 100")
    return percent


PartPercent = Annotated[Percent, AfterValidator(_below_all)]
"""A percentage of a whole that leaves something of it."""


def _of_something(percent: Decimal) -> Decimal:
    if percent <= 0:
        raise PydanticCustomError("not_positive", "more than zero")
    return percent


PositivePartPercent = Annotated[PartPercent, AfterValidator(_of_something)]
"""A percentage of a whole that is more than nothing and leaves something of it."""


def _at_most_all(percent: Decimal) -> Decimal:
    if not 0 < percent <= 100:
        raise PydanticCustomError("label_percent", "more than zero and at most 100")
    return percent


LabelPercent = Annotated[Percent, AfterValidator(_at_most_all)]
"""A percentage as a label states it: something, and at most all."""


def _digging_loosens(factor: Decimal) -> Decimal:
    if factor < 1:
        raise PydanticCustomError("loose_factor", "1 or more, since nothing packs by digging")
    return factor


LooseFactor = Annotated[Positive, AfterValidator(_digging_loosens)]
"""Loose volume to one volume in place."""


class Material(Parameters):
    """How heavy the loose material is."""

    dry_bulk_density: Density = Field(
        description="Dry bulk density, loose as it is hauled; ask the supplier.",
        examples=[{"value": "95", "unit": "pound_per_cubic_foot"}],
    )
    moisture_percent: Percent = Field(
        default=Decimal(0), validate_default=True,
        description="Water in percent of the dry mass: what is weighed is dry mass x (1 + moisture).",
        examples=["6"],
    )  # fmt: skip

    def mass(self, *, volume_m3: float, volume_name: str, material: str) -> VolumeMass:
        """Mass of a loose volume, which is the step of that name, at the moisture given."""
        density = moist_density(
            dry_bulk_density_kg_per_m3=to_si(self.dry_bulk_density, "density"),
            moisture_share=share_of(self.moisture_percent),
            material=material,
        )
        weighed = mass_of_volume(
            volume_m3=volume_m3,
            volume_name=volume_name,
            bulk_density_kg_per_m3=density.bulk_density_kg_per_m3,
            material=material,
        )
        return VolumeMass(weighed.mass_kg, density.steps | weighed.steps)


class Truck(Parameters):
    """What takes the material; at least one of `payload` and `box_volume` is given."""

    payload: Mass | None = Field(
        default=None,
        description="Mass that one load may weigh. At least one of `payload` and `box_volume` is given.",
        examples=[{"value": "20", "unit": "short_ton"}],
    )  # fmt: skip
    box_volume: BoxVolume | None = Field(
        default=None,
        description="Loose volume that the box holds. At least one of `payload` and `box_volume` is given.",
        examples=[{"value": "16", "unit": "cubic_yard"}],
    )  # fmt: skip

    @model_validator(mode="after")
    def _limited_by_something(self) -> Self:
        if self.payload is None and self.box_volume is None:
            raise PydanticCustomError("truck_limit", "at least one of payload and box_volume")
        return self


def payload_needs_material(material: Material | None, truck: Truck | None) -> None:
    """Refuse a truck with a payload where nothing tells the mass of what it carries."""
    if truck is not None and truck.payload is not None and material is None:
        raise PydanticCustomError(
            "no_mass", "a material beside the truck's payload, since a payload is a mass"
        )


def loads_of(
    truck: Truck, *, mass_kg: float | None, mass_name: str, volume_m3: float, volume_name: str
) -> dict[str, Step]:
    """Steps of the whole loads of a mass and a loose volume, which are the steps of those names."""
    box = None if truck.box_volume is None else to_si(truck.box_volume, "volume")
    if truck.payload is None or mass_kg is None:
        if box is None:
            raise ValueError("truck: expected a box volume where the mass is not known; got a payload alone")
        return loads_of_volume(volume_m3=volume_m3, box_volume_m3=box, volume_name=volume_name).steps
    payload = to_si(truck.payload, "mass")
    if box is None:
        return loads_of_mass(mass_kg=mass_kg, payload_kg=payload, mass_name=mass_name).steps
    return loads_of_either(
        mass_kg=mass_kg, payload_kg=payload, volume_m3=volume_m3, box_volume_m3=box,
        mass_name=mass_name, volume_name=volume_name,
    ).steps  # fmt: skip


def weighed_and_loaded(
    material: Material | None, truck: Truck | None, *, volume_m3: float, volume_name: str, name: str
) -> dict[str, Step]:
    """Steps of the mass of a loose volume, which is the step of that name, and of its whole loads."""
    steps: dict[str, Step] = {}
    mass_kg = None
    if material is not None:
        mass = material.mass(volume_m3=volume_m3, volume_name=volume_name, material=name)
        steps, mass_kg = mass.steps, mass.mass_kg
    if truck is not None:
        steps = steps | loads_of(
            truck, mass_kg=mass_kg, mass_name=f"{name} mass", volume_m3=volume_m3, volume_name=volume_name
        )
    return steps


class Factors(NamedTuple):
    """Volumes to one volume in place, and whose figures they are."""

    loose: float
    compacted: float
    source: str


class SoilStates(Parameters):
    """How soil swells and packs: a `soil` of the published table, or both factors of one's own, or a soil and one."""

    soil: Literal["sand", "common_earth", "clay", "blasted_rock", "coral"] | None = Field(
        default=None,
        description="A soil whose typical factors are taken from the published table. It, or both factors, must be "
        "given.",
        examples=["common_earth"],
    )  # fmt: skip
    loose_factor: LooseFactor | None = Field(
        default=None,
        description="Loose volume to one volume in place: 1.25 is a swell of 25 %. Goes before the table.",
        examples=["1.2"],
    )  # fmt: skip
    compacted_factor: Positive | None = Field(
        default=None, description="Compacted volume to one volume in place. Goes before the table.",
        examples=["0.9"],
    )  # fmt: skip

    @model_validator(mode="after")
    def _known_and_in_order(self) -> Self:
        if self.soil is None and (self.loose_factor is None or self.compacted_factor is None):
            raise PydanticCustomError(
                "soil_factors", "a soil of the table, or both loose_factor and compacted_factor"
            )
        factors = self.factors()
        if factors.compacted > factors.loose:
            raise PydanticCustomError(
                "factors_crossed",
                "a compacted_factor of at most the loose factor, {loose}",
                {"loose": factors.loose},
            )
        return self

    def factors(self) -> Factors:
        """The factors that hold: those given before those of the table."""
        table = None if self.soil is None else SOIL_FACTORS[self.soil]
        if self.loose_factor is not None and self.compacted_factor is not None:
            return Factors(float(self.loose_factor), float(self.compacted_factor), FACTORS)
        assert table is not None
        if self.loose_factor is None and self.compacted_factor is None:
            return Factors(table.loose, table.compacted, table.source)
        return Factors(
            table.loose if self.loose_factor is None else float(self.loose_factor),
            table.compacted if self.compacted_factor is None else float(self.compacted_factor),
            f"one factor as given, the other: {table.source}",
        )
