"""A quantity that is stated, not computed: a lump sum, a count, a tonnage out of a contract."""

from pydantic import Field

from swardcost_api.engine.derivation import Step
from swardcost_api.methods.cautions import DEFER
from swardcost_api.methods.frame import (
    AnyQuantity,
    Example,
    Measure,
    MeasureNote,
    Method,
    Parameters,
    measures_of,
)  # fmt: skip
from swardcost_api.units import to_si, unit_named


class PlainQuantity(Parameters):
    """Parameters of a stated quantity."""

    quantity: AnyQuantity = Field(
        description="The quantity, in any listed unit.", examples=[{"value": "1", "unit": "lump_sum"}]
    )


def _take_off(parameters: PlainQuantity, area_m2: float) -> tuple[Measure, ...]:
    unit = unit_named(parameters.quantity.unit)
    stated = Step(
        "quantity",
        to_si(parameters.quantity, unit.dimension),
        unit.si_unit,
        f"{parameters.quantity.value:f} {unit.name.replace('_', ' ')}, as stated",
        source="the scope item",
    )
    return measures_of(MEASURES, {stated.name: stated})


MEASURES = (MeasureNote("quantity", "any", "The stated quantity, in the SI or counted unit of its kind."),)

METHOD = Method(
    name="plain_quantity",
    title="Stated quantity",
    summary="A quantity in any unit, for what is counted, quoted or agreed rather than measured on areas.",
    parameters=PlainQuantity,
    take_off=_take_off,
    measures=MEASURES,
    sources=("The caller's own figure",),
    example=Example(
        parameters={"quantity": {"value": "1500", "unit": "short_ton"}},
        area=None,
        expected={"quantity": 1_360_777.11},
        source="NIST Handbook 44, Appendix C: a short ton is 2,000 lb",
    ),
    needs_areas=False,
    cautions=(DEFER,),
)
