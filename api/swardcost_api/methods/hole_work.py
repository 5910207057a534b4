"""Work that makes holes: where they stand, what they meet of the surface, and the sand that fills them."""

from decimal import Decimal

from pydantic import Field, ValidationInfo
from pydantic_core import PydanticCustomError
from swardcost_model.values import Percent, Quantity

from swardcost_api.engine.derivation import Step
from swardcost_api.engine.quantities.sand import supply
from swardcost_api.engine.quantities.working import fits
from swardcost_api.methods.area_work import AreaWork, share_of
from swardcost_api.methods.frame import Density, MeasureNote, Parameters, ShortLength
from swardcost_api.units import to_si

COVERAGE = (
    MeasureNote("share_per_pass", "ratio", "Share of the surface that one pass opens.", shared_by_area=False),
    MeasureNote(
        "share_sum_of_passes", "ratio", "Shares of all passes added up: the trade's convention.",
        shared_by_area=False,
    ),
    MeasureNote(
        "share_touched_once", "ratio",
        "Share of the surface that at least one pass has met, passes falling at random.", shared_by_area=False,
    ),
    MeasureNote("area_sum_of_passes", "square_meter", "Surface opened, passes added up."),
    MeasureNote("area_touched_once", "square_meter", "Surface that at least one pass has met."),
)  # fmt: skip
HOLES = MeasureNote("holes", "hole", "Holes of all passes.")
SAND_VOLUME = MeasureNote("sand_volume", "cubic_meter", "Sand to bring in, with allowance; given with sand.")
SAND_MASS = MeasureNote(
    "sand_mass", "kilogram", "Mass of that sand at the bulk density given; given with sand."
)


class HoleFill(Parameters):
    """Sand that fills the holes."""

    bulk_density: Density = Field(
        description="Bulk density of the sand as it is weighed; ask the supplier, it differs with moisture.",
        examples=[{"value": "100", "unit": "pound_per_cubic_foot"}],
    )
    allowance_percent: Percent = Field(
        default=Decimal(0), validate_default=True,
        description="Extra sand for waste and settlement, in percent of the volume of the holes.",
    )  # fmt: skip


class SpacedHoles(AreaWork):
    """Parameters of holes on a regular pattern."""

    spacing_along: ShortLength = Field(
        description="Distance of holes in the direction of travel, centre to centre.",
        examples=[{"value": "2", "unit": "inch"}],
    )
    spacing_across: ShortLength | None = Field(
        default=None,
        description="Distance of holes across the direction of travel, centre to centre, whether rows are offset or "
        "not; leave out for a triangular pattern, each hole at spacing_along from its neighbours.",
        examples=[{"value": "2.5", "unit": "inch"}],
    )  # fmt: skip
    depth: ShortLength = Field(description="Depth of the holes.", examples=[{"value": "4", "unit": "inch"}])
    passes: int = Field(
        default=1, strict=True, ge=1, le=100, description="How often the areas are run over.", examples=[2]
    )


def within_spacing(diameter: Quantity, info: ValidationInfo) -> Quantity:
    """Refuse a diameter wider than the closest spacing given beside it; for use as a field validator."""
    for name in ("spacing_along", "spacing_across"):
        spacing = info.data.get(name)
        if spacing is not None and not fits(to_si(diameter, "length"), to_si(spacing, "length")):
            raise PydanticCustomError(
                "wider_than_spacing",
                "a diameter of at most the {name}, {value} {unit}",
                {"name": name, "value": str(spacing.value), "unit": spacing.unit},
            )
    return diameter


def across(parameters: SpacedHoles) -> float | None:
    """The spacing across in metres, or none for a triangular pattern."""
    return None if parameters.spacing_across is None else to_si(parameters.spacing_across, "length")


def steps_of_fill(fill: HoleFill, volume_m3: float, volume_name: str) -> dict[str, Step]:
    """Steps from a volume of holes to the sand that fills it."""
    return supply(
        volume_m3=volume_m3,
        bulk_density_kg_per_m3=to_si(fill.bulk_density, "density"),
        allowance_share=share_of(fill.allowance_percent),
        volume_name=volume_name,
    ).steps
