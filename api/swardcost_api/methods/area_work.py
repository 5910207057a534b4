"""Work that is done over areas at a pace: the parameters and steps of its hours."""

from pydantic import Field, ValidationInfo, field_validator
from pydantic_core import PydanticCustomError
from swardcost_model.values import Percent

from swardcost_api.engine.derivation import Step
from swardcost_api.engine.quantities.production import crew_time, ground_covered, time_at_pace
from swardcost_api.methods.frame import AreaPace, MeasureNote, Parameters
from swardcost_api.units import to_si

AREA = MeasureNote("area", "square_meter", "Total size of the areas.")
AREA_WORKED = MeasureNote(
    "area_worked",
    "square_meter",
    "Area times passes: what the machine runs over and work by the pass is charged for.",
)
MACHINE_TIME = MeasureNote(
    "machine_time", "hour", "Hours of one machine for all passes; given with a production rate."
)
CREW_TIME = MeasureNote(
    "crew_time", "hour", "Hours of all people together; given with a production rate and a crew size."
)


class AreaWork(Parameters):
    """Parameters of work over areas: how fast it goes and with how many people."""

    production_rate: AreaPace | None = Field(
        default=None,
        description="Area that one machine or crew does in an hour and pass, with turning and filling inside it.",
        examples=[{"value": "12000", "unit": "square_foot_per_hour"}],
    )
    crew_size: int | None = Field(
        default=None, strict=True, ge=1, le=500,
        description="People on the work as long as it runs; needs a production rate.", examples=[2],
    )  # fmt: skip

    @field_validator("crew_size")
    @classmethod
    def _crew_works_at_a_pace(cls, crew_size: int | None, info: ValidationInfo) -> int | None:
        paced = info.data.get("production_rate") is not None
        if crew_size is not None and not paced and "production_rate" in info.data:
            raise PydanticCustomError(
                "no_pace", "a production_rate beside it, since crew time is machine time x crew size"
            )
        return crew_size


def steps_of_time(parameters: AreaWork, area_m2: float, passes: int) -> dict[str, Step]:
    """Steps of the area, the area worked and, where a pace is given, the hours."""
    area = Step("area", area_m2, "square_meter", "sizes of the areas added up", source="sizes of the areas")
    covered = ground_covered(area_m2=area_m2, passes=passes)
    steps = {area.name: area, **covered.steps}
    if parameters.production_rate is not None:
        machine = time_at_pace(
            area_worked_m2=covered.area_worked_m2,
            pace_m2_per_h=to_si(parameters.production_rate, "area_pace"),
        )
        steps |= machine.steps
        if parameters.crew_size is not None:
            steps |= crew_time(machine_time_h=machine.machine_time_h, crew_size=parameters.crew_size).steps
    return steps


def share_of(percent: Percent) -> float:
    """A percentage as a share: 5 % is 0.05."""
    return float(percent / 100)
