"""The calendar of the work: when it can be done, how long each scope item takes, and when the course reopens."""

from datetime import date
from decimal import Decimal
from enum import StrEnum
from typing import Annotated, Any, Literal, Self
from uuid import UUID

from pydantic import Field, StringConstraints, model_validator
from pydantic_core import PydanticCustomError

from swardcost_model.estimates import DerivationStep
from swardcost_model.values import Answer, Day, Money, Name, Positive, Quantity, Request, Text, Value

Weekday = Literal["monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"]
WEEKDAYS: tuple[Weekday, ...] = (
    "monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday",
)  # fmt: skip
MOST_REVENUE = 200_000_000
"""Revenue of a day, so that ten closed years are still a sum of twelve digits."""
People = Annotated[int, Field(ge=1, le=1000)]
Days = Annotated[int, Field(ge=0, le=365)]


class Holidays(Value):
    """Public holidays that are days off."""

    country: Annotated[str, StringConstraints(pattern=r"^[A-Z]{2}$")] = Field(
        description="Country by its two letters (ISO 3166-1).", examples=["US"]
    )
    subdivision: Annotated[str, StringConstraints(pattern=r"^[A-Z0-9]{1,3}$")] | None = Field(
        default=None, description="State or province by its code within the country.", examples=["MA"]
    )
    moved: bool = Field(
        default=True,
        description="Whether a holiday on a weekend is also taken on the day to which the law moves it.",
    )


class ClosedDay(Value):
    """A day without work."""

    day: Day
    reason: Name = Field(examples=["Member-guest tournament"])


class CrewLimit(Value):
    """People of a crew there are on a working day."""

    name: Name = Field(examples=["Greens crew"])
    people: People


class MachineLimit(Value):
    """Machines of a kind there are on a working day."""

    name: Name = Field(examples=["Aerator"])
    machines: People


class RevenueLost(Value):
    """Revenue lost on each day that the course is closed."""

    per_day: Money
    by_weekday: dict[Weekday, Money] = Field(
        default_factory=dict, description="Weekdays on which it differs.",
    )  # fmt: skip

    @model_validator(mode="after")
    def _one_currency(self) -> Self:
        amounts = [self.per_day, *self.by_weekday.values()]
        if len({money.currency for money in amounts}) > 1:
            raise PydanticCustomError("currencies", "amounts in one currency")
        if any(not 0 <= money.amount <= MOST_REVENUE for money in amounts):
            raise PydanticCustomError("revenue", "amounts from zero to {most}", {"most": MOST_REVENUE})
        return self


class CalendarFields(Request):
    """When work can be done, with whom, and what a closed day costs."""

    working_weekdays: list[Weekday] = Field(min_length=1, max_length=7, examples=[["monday", "tuesday"]])
    shift_hours: Positive = Field(
        le=Decimal(24), description="Hours worked on a working day.", examples=["8"]
    )
    holidays: Holidays | None = Field(
        default=None, description="Public holidays that are not worked; none where left out."
    )
    closed_days: list[ClosedDay] = Field(default_factory=list, max_length=400)
    worked_days: list[Day] = Field(
        default_factory=list, max_length=400, description="Days worked although a weekday off or a holiday."
    )
    closure_first_day: Day | None = Field(
        default=None,
        description="First day on which the course is closed; the project's first day if left out.",
    )
    closure_last_day: Day | None = Field(
        default=None, description="Last day on which it may be closed; the project's last day if left out."
    )
    revenue_lost: RevenueLost | None = None
    weather_days: Days | None = Field(
        default=None,
        description="Working days allowed for weather after all work. It is stated, never guessed.",
    )
    crews: list[CrewLimit] = Field(default_factory=list, max_length=50)
    machines: list[MachineLimit] = Field(default_factory=list, max_length=50)
    note: Text = ""

    @model_validator(mode="after")
    def _in_order_and_once(self) -> Self:
        first, last = self.closure_first_day, self.closure_last_day
        if first is not None and last is not None and last < first:
            raise PydanticCustomError("dates_reversed", "closure_last_day on or after closure_first_day")
        closed = [one.day for one in self.closed_days]
        lists: dict[str, list[Any]] = {
            "working_weekdays": list(self.working_weekdays),
            "closed_days": closed,
            "worked_days": self.worked_days,
            "crews": [one.name for one in self.crews],
            "machines": [one.name for one in self.machines],
        }
        for field, values in lists.items():
            if len(set(values)) != len(values):
                raise PydanticCustomError("twice", "each of {field} once", {"field": field})
        both = sorted(set(closed) & set(self.worked_days))
        if both:
            raise PydanticCustomError(
                "closed_and_worked", "{day} either closed or worked", {"day": both[0].isoformat()}
            )
        return self


class NewCalendar(CalendarFields):
    """The calendar of a project that has none."""


class CalendarChange(CalendarFields):
    """The calendar as it should be from now on."""


class Calendar(Answer):
    """The calendar of a project."""

    project_id: UUID
    working_weekdays: list[Weekday]
    shift_hours: Positive
    holidays: Holidays | None
    closed_days: list[ClosedDay]
    worked_days: list[date]
    closure_first_day: date | None
    closure_last_day: date | None
    revenue_lost: RevenueLost | None
    weather_days: int | None
    crews: list[CrewLimit]
    machines: list[MachineLimit]
    note: str
    version: int


class TaskDuration(Value):
    """How long the work takes: from a measure in hours, or as stated."""

    measure: str | None = Field(
        default=None, max_length=60, description="Measure of the method, in hours.", examples=["machine_time"]
    )
    stated: Quantity | None = Field(default=None, description="Hours, minutes or working days (`work_day`).")
    side_by_side: People = Field(
        default=1,
        description="Machines that share machine hours, or people that share hours of all people together.",
    )

    @model_validator(mode="after")
    def _one_source(self) -> Self:
        if (self.measure is None) == (self.stated is None):
            raise PydanticCustomError("one_duration", "either a measure or a stated duration, not both")
        if self.stated is not None and self.stated.value <= 0:
            raise PydanticCustomError("not_positive", "a stated duration of more than zero")
        if self.stated is not None and self.stated.unit == "work_day" and self.side_by_side != 1:
            raise PydanticCustomError("days_are_shared", "side_by_side 1 where working days are stated")
        return self


class LinkKind(StrEnum):
    """What of the earlier task holds what of the later one."""

    FINISH_TO_START = "finish_to_start"
    START_TO_START = "start_to_start"
    FINISH_TO_FINISH = "finish_to_finish"


class Predecessor(Value):
    """A scope item whose task holds this one."""

    scope_item_id: UUID
    kind: LinkKind = LinkKind.FINISH_TO_START
    lag_days: Days = 0
    lag_in: Literal["working_days", "calendar_days"] = "working_days"


class TaskFields(Request):
    """How and when the work of a scope item is done."""

    duration: TaskDuration
    crew: Name | None = Field(default=None, description="Crew that does it.", examples=["Greens crew"])
    people: People | None = Field(default=None, description="People of the crew it takes all day.")
    machine: Name | None = Field(default=None, description="Kind of machine it takes.", examples=["Aerator"])
    machines: People | None = Field(default=None, description="How many of them it takes all day.")
    invasive: bool = Field(
        default=False,
        description="Whether the turf needs to recover before more such work on the same area. Other work waits for "
        "neither; a caution names it where it falls on an area that is worked so or recovers.",
    )
    recovery_days: Days = Field(
        default=0,
        description="Calendar days after the finish until the next invasive work on the same area, and until "
        "the course can reopen.",
    )
    earliest_start: Day | None = Field(
        default=None, description="Not before this day; the first day of the closure if left out."
    )
    latest_finish: Day | None = Field(default=None, description="Should be finished by this day.")
    predecessors: list[Predecessor] = Field(default_factory=list, max_length=50)
    note: Text = ""

    @model_validator(mode="after")
    def _make_sense_together(self) -> Self:
        for name, count in (("crew", "people"), ("machine", "machines")):
            if (getattr(self, name) is None) != (getattr(self, count) is None):
                raise PydanticCustomError(
                    "both_or_none", "{name} and {count} together", {"name": name, "count": count}
                )
        first, last = self.earliest_start, self.latest_finish
        if first is not None and last is not None and last < first:
            raise PydanticCustomError("dates_reversed", "latest_finish on or after earliest_start")
        links = [(one.scope_item_id, one.kind) for one in self.predecessors]
        if len(set(links)) != len(links):
            raise PydanticCustomError("twice", "each predecessor once for each kind of link")
        return self


class NewTask(TaskFields):
    """The task of a scope item that has none."""


class TaskChange(TaskFields):
    """The task as it should be from now on."""


class Task(Answer):
    """The task of a scope item."""

    scope_item_id: UUID
    project_id: UUID
    duration: TaskDuration
    crew: str | None
    people: int | None
    machine: str | None
    machines: int | None
    invasive: bool
    recovery_days: int
    earliest_start: date | None
    latest_finish: date | None
    predecessors: list[Predecessor]
    note: str
    version: int


class StartReason(Answer):
    """What keeps a task from starting a working day earlier."""

    kind: Literal["closure", "earliest_start", "link", "recovery", "limit"]
    scope_item_ids: list[UUID] = Field(description="Scope items it waits for.")
    text: str


class PerDay(Answer):
    """Loads or trips on each working day of a task, on average."""

    measure: str
    unit: str
    total: str
    per_working_day: str


class ScheduledTask(Answer):
    """A task with its days. Floats count working days."""

    scope_item_id: UUID
    number: int
    name: str
    working_days: int
    starts_on: date
    finishes_on: date
    opens_on: date = Field(description="First day after its finish and its recovery.")
    earliest_starts_on: date = Field(description="Start that its links alone would allow.")
    latest_starts_on: date = Field(
        description="Last start with which the course reopens no later, other tasks giving way."
    )
    total_float: int
    free_float: int = Field(description="Days it alone may slip while every other task stays.")
    critical: bool = Field(description="Whether a day lost here is a day lost to the reopening.")
    days_late: int = Field(description="Calendar days past the latest finish that was asked for.")
    why: StartReason
    crew: str | None
    people: int | None
    machine: str | None
    machines: int | None
    invasive: bool
    recovery_days: int
    per_day: list[PerDay]
    derivation: list[DerivationStep] = Field(description="How the working days follow from the hours.")


class UnscheduledItem(Answer):
    """A scope item without days, and why; the schedule says nothing about when it is done."""

    scope_item_id: UUID
    number: int
    name: str
    reason: Literal["no_task", "no_duration", "over_limit", "waits_for_unscheduled"]
    text: str


class InUse(Answer):
    """People of a crew or machines of a kind at work on a day; `available` is null where no limit is stated."""

    kind: Literal["crew", "machine"]
    name: str
    at_work: int
    available: int | None


class DayOfWork(Answer):
    """A working day with work."""

    day: date
    in_use: list[InUse]


class LaterReopening(Answer):
    """What a reopening some days later costs."""

    days_later: int
    opens_on: date
    revenue_of_the_day: Money = Field(description="Revenue of the last of these days.")
    revenue_lost: Money = Field(description="Of all closed days.")


class Solution(Answer):
    """How the days were found, and what is proven about them."""

    rule: Literal["no_limit_in_the_way", "proven_earliest", "best_found", "priority_rule"]
    not_before: date = Field(description="No schedule of these tasks reopens the course before this day.")
    gap_days: int = Field(description="Calendar days between that day and the reopening.")
    starts_proven: bool = Field(
        description="Whether it is also proven that no schedule with this reopening keeps latest finishes better "
        "and starts earlier."
    )
    seconds_at_most: Positive = Field(description="Time allowed for each question put to the solver.")
    text: str


class Schedule(Answer):
    """When each task runs, when the course reopens, and what the closure costs in revenue."""

    project_id: UUID
    project: str
    complete: bool = Field(description="Whether every scope item is scheduled.")
    closure_first_day: date
    closure_last_day: date
    starts_on: date | None
    finishes_on: date | None = Field(description="Last day of work, without the days allowed for weather.")
    weather_days: int | None
    reopens_on: date | None = Field(
        description="First day after all work, the days allowed for weather and recovery; null without tasks."
    )
    fits: bool | None = Field(
        description="Whether it reopens on the day after the closure's last at the latest."
    )
    days_over: int | None = Field(
        description="Calendar days by which it misses that day; below zero are days to spare."
    )
    days_closed: int | None
    revenue_lost: Money | None = Field(description="From the closure's first day to the reopening.")
    later: list[LaterReopening] = Field(description="What each further lost day costs, for a week.")
    tasks: list[ScheduledTask]
    work: list[DayOfWork]
    off: list[ClosedDay] = Field(description="Holidays and closed days between first and last day of work.")
    unscheduled: list[UnscheduledItem]
    solution: Solution | None
    cautions: list[str]
