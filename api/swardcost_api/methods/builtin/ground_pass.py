"""Ground passes: sweeping, blowing, rolling, dragging mats, mowing, by swath, speed, overlap and turns."""

from decimal import Decimal
from typing import Literal, Self

from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError
from swardcost_model.values import Percent

from swardcost_api.engine.derivation import Step
from swardcost_api.engine.quantities.ground import efficiency_of_runs, swath_pace, travel_distance
from swardcost_api.engine.quantities.production import crew_time, ground_covered, time_at_pace
from swardcost_api.methods.area_work import AREA, AREA_WORKED, share_of
from swardcost_api.methods.cautions import DEFER, GUARDS, SILICA_DUST, SLOPES
from swardcost_api.methods.frame import (
    Duration,
    Example,
    Length,
    Measure,
    MeasureNote,
    Method,
    Parameters,
    ShortLength,
    Speed,
    measures_of,
)  # fmt: skip
from swardcost_api.units import to_si


class Turning(Parameters):
    """Time spent on turns: either `efficiency_percent`, or both `run_length` and `time_to_turn`."""

    efficiency_percent: Percent | None = Field(
        default=None, gt=0, le=100,
        description="Time at work in percent of all time; a published field efficiency also takes in overlap, filling "
        "and stops. Either it is given, or both `run_length` and `time_to_turn`.",
        examples=["80"],
    )  # fmt: skip
    run_length: Length | None = Field(
        default=None, description="Length of a run from turn to turn; goes with `time_to_turn`.",
        examples=[{"value": "80", "unit": "foot"}]
    )  # fmt: skip
    time_to_turn: Duration | None = Field(
        default=None,
        description="Time of one turn; goes with `run_length`.",
        examples=[{"value": "0.1", "unit": "minute"}],
    )

    @model_validator(mode="after")
    def _one_way_of_saying_it(self) -> Self:
        by_runs = (self.run_length is not None, self.time_to_turn is not None)
        if self.efficiency_percent is None and not all(by_runs):
            raise PydanticCustomError("turning", "either efficiency_percent, or run_length and time_to_turn")
        if self.efficiency_percent is not None and any(by_runs):
            raise PydanticCustomError(
                "turning", "efficiency_percent alone, or run_length and time_to_turn alone"
            )
        return self


class GroundPass(Parameters):
    """Parameters of a ground pass."""

    work: Literal["sweeping", "blowing", "rolling", "drag_matting", "mowing"] = Field(
        description="What is done.", examples=["sweeping"]
    )
    swath_width: ShortLength = Field(
        description="Width that one run works.", examples=[{"value": "5", "unit": "foot"}]
    )
    speed: Speed = Field(description="Speed at work.", examples=[{"value": "3", "unit": "mile_per_hour"}])
    overlap_percent: Percent = Field(
        default=Decimal(0), validate_default=True, lt=100,
        description="Overlap of neighbouring runs in percent of the swath.", examples=["10"],
    )  # fmt: skip
    turning: Turning = Field(
        description="What turns cost: either an efficiency, or the length of a run and the time of a turn.",
        examples=[{"efficiency_percent": "80"}],
    )
    passes: int = Field(
        default=1, strict=True, ge=1, le=500, description="How often the areas are run over.", examples=[2]
    )
    crew_size: int | None = Field(
        default=None, strict=True, ge=1, le=500, description="People on the work as long as it runs.", examples=[1]
    )  # fmt: skip


def _turning(parameters: GroundPass) -> tuple[float, dict[str, Step]]:
    turning = parameters.turning
    if turning.efficiency_percent is not None:
        stated = share_of(turning.efficiency_percent)
        return stated, {
            "turning efficiency": Step(
                "turning efficiency", stated, "ratio", "turning efficiency as stated", source="the scope item"
            )
        }
    assert turning.run_length is not None
    assert turning.time_to_turn is not None
    found = efficiency_of_runs(
        run_length_m=to_si(turning.run_length, "length"),
        speed_m_per_h=to_si(parameters.speed, "speed"),
        turning_time_h=to_si(turning.time_to_turn, "time"),
    )
    return found.turning_efficiency, found.steps


def _take_off(parameters: GroundPass, area_m2: float) -> tuple[Measure, ...]:
    words = f"sizes of the areas added up, for {parameters.work.replace('_', ' ')}"
    area = Step("area", area_m2, "square_meter", words, source="sizes of the areas")
    covered = ground_covered(area_m2=area_m2, passes=parameters.passes)
    efficiency, turning = _turning(parameters)
    swath = swath_pace(
        swath_width_m=to_si(parameters.swath_width, "length"),
        speed_m_per_h=to_si(parameters.speed, "speed"),
        overlap_share=share_of(parameters.overlap_percent),
        turning_efficiency=efficiency,
    )
    travel = travel_distance(area_worked_m2=covered.area_worked_m2, effective_width_m=swath.effective_width_m)
    machine = time_at_pace(area_worked_m2=covered.area_worked_m2, pace_m2_per_h=swath.pace_m2_per_h)
    steps = {area.name: area, **covered.steps, **turning, **swath.steps, **travel.steps, **machine.steps}
    if parameters.crew_size is not None:
        steps |= crew_time(machine_time_h=machine.machine_time_h, crew_size=parameters.crew_size).steps
    return measures_of(MEASURES, steps)


MEASURES = (
    AREA,
    AREA_WORKED,
    MeasureNote("effective_width", "meter", "Swath less overlap.", shared_by_area=False),
    MeasureNote("turning_efficiency", "ratio", "Time at work as a share of all time.", shared_by_area=False),
    MeasureNote(
        "production_rate", "square_meter_per_hour", "Area covered in an hour and pass.", shared_by_area=False
    ),
    MeasureNote("travel_distance", "meter", "Distance driven at work, all passes together."),
    MeasureNote("machine_time", "hour", "Hours of one machine for all passes."),
    MeasureNote("crew_time", "hour", "Hours of all people together; given with a crew size."),
)

METHOD = Method(
    name="ground_pass",
    title="Sweeping, blowing, rolling, dragging or mowing",
    summary="Pace from swath, speed, overlap and turns; distance driven, and hours.",
    parameters=GroundPass,
    take_off=_take_off,
    scales_with_area=True,
    measures=MEASURES,
    sources=(
        "Effective field capacity: Iowa State University Extension, PM 696 / Ag Decision Maker A3-24",
        "Theoretical field capacity: University of Kentucky, AEN-73, 1991",
    ),
    example=Example(
        parameters={
            "work": "sweeping",
            "swath_width": {"value": "5", "unit": "foot"},
            "speed": {"value": "3", "unit": "mile_per_hour"},
            "overlap_percent": "10",
            "turning": {"efficiency_percent": "80"},
            "passes": 2,
            "crew_size": 1,
        },
        area={"value": "1", "unit": "acre"},
        expected={
            "area": 4046.85642,
            "area_worked": 8093.71284,
            "effective_width": 1.3716,
            "turning_efficiency": 0.8,
            "production_rate": 5297.70295,
            "travel_distance": 5900.928,
            "machine_time": 1.52777778,
            "crew_time": 1.52777778,
        },
        source="Effective field capacity: 4.5 ft x 3 mile/h x 0.80 / 8.25 = 1.309 acres an hour",
    ),
    cautions=(GUARDS, SILICA_DUST, SLOPES, DEFER),
)
