"""Cut and fill between surveyed cross sections, by average end area or by the prismoidal formula."""

from itertools import pairwise
from typing import Literal

from pydantic import Field, ValidationInfo, field_validator
from pydantic_core import PydanticCustomError
from swardcost_model.values import Quantity

from swardcost_api.engine.derivation import Step
from swardcost_api.engine.quantities.earthwork import average_end_area, prismoidal_volume
from swardcost_api.methods.cautions import BURIED_UTILITIES, DEFER, SLOPES
from swardcost_api.methods.frame import (
    Example,
    LengthOrZero,
    Measure,
    MeasureNote,
    Method,
    Parameters,
    SurfaceOrZero,
    measures_of,
)  # fmt: skip
from swardcost_api.units import to_si


class Section(Parameters):
    """One cross section."""

    station: LengthOrZero = Field(
        description="Where it lies along the line.", examples=[{"value": "50", "unit": "foot"}]
    )
    cut_area: SurfaceOrZero = Field(
        default=Quantity.model_validate({"value": "0", "unit": "square_meter"}),
        description="Area to dig, zero where there is none.",
        examples=[{"value": "150", "unit": "square_foot"}],
    )
    fill_area: SurfaceOrZero = Field(
        default=Quantity.model_validate({"value": "0", "unit": "square_meter"}),
        description="Area to fill, zero where there is none.",
        examples=[{"value": "20", "unit": "square_foot"}],
    )


class CrossSections(Parameters):
    """Parameters of volumes between sections."""

    rule: Literal["average_end_area", "prismoidal"] = Field(
        default="average_end_area",
        description="Average end area, or the prismoidal formula, which needs every second section half way between.",
        examples=["average_end_area"],
    )
    sections: list[Section] = Field(
        min_length=2, max_length=200, description="The sections in the order of their stations."
    )

    @field_validator("sections")
    @classmethod
    def _sections_follow_one_another(cls, sections: list[Section], info: ValidationInfo) -> list[Section]:
        stations = [to_si(section.station, "length") for section in sections]
        if any(here <= before for before, here in pairwise(stations)):
            raise PydanticCustomError("stations_rise", "sections whose stations rise from one to the next")
        if not any(section.cut_area.value or section.fill_area.value for section in sections):
            raise PydanticCustomError("no_earth", "at least one section with a cut_area or fill_area")
        if info.data.get("rule") == "prismoidal":
            thirds = zip(stations[::2], stations[1::2], stations[2::2], strict=False)
            middles = all(abs(2 * b - a - c) <= 1e-3 * (c - a) for a, b, c in thirds)
            if len(stations) % 2 == 0 or not middles:
                raise PydanticCustomError(
                    "no_middles",
                    "an odd number of sections, every second one half way between its neighbours",
                )
        return sections


def _take_off(parameters: CrossSections, area_m2: float) -> tuple[Measure, ...]:
    volume_by = average_end_area if parameters.rule == "average_end_area" else prismoidal_volume
    stations = [to_si(section.station, "length") for section in parameters.sections]
    steps: dict[str, Step] = {}
    for kind in ("cut", "fill"):
        areas = [to_si(getattr(section, f"{kind}_area"), "area") for section in parameters.sections]
        if any(areas):
            steps |= volume_by(stations_m=stations, areas_m2=areas, kind=kind).steps
    return measures_of(MEASURES, steps)


MEASURES = (
    MeasureNote("cut_volume", "cubic_meter", "Volume to dig, in place; absent where no section has a cut."),
    MeasureNote(
        "fill_volume", "cubic_meter", "Volume to fill, compacted; absent where no section has a fill."
    ),
)

METHOD = Method(
    name="cross_sections",
    title="Earthwork between cross sections",
    summary="Volumes of cut and fill from the areas of cross sections along a line.",
    parameters=CrossSections,
    take_off=_take_off,
    measures=MEASURES,
    sources=(
        "Surveying texts (average end area, prismoidal formula)",
        "US Navy Equipment Operator training manual (NAVEDTRA 14080)",
    ),
    example=Example(
        parameters={
            "sections": [
                {
                    "station": {"value": "0", "unit": "foot"},
                    "cut_area": {"value": "50", "unit": "square_foot"},
                },
                {
                    "station": {"value": "50", "unit": "foot"},
                    "cut_area": {"value": "150", "unit": "square_foot"},
                    "fill_area": {"value": "27", "unit": "square_foot"},
                },
            ]
        },
        area=None,
        expected={"cut_volume": 141.58423296, "fill_volume": 19.1138714496},
        source="An engineers' forum example: 50 and 150 square feet, 50 ft apart, 5,000 cubic feet",
    ),
    needs_areas=False,
    cautions=(BURIED_UTILITIES, SLOPES, DEFER),
)
