"""Studies of life-cycle cost: what ways of having something cost to buy, keep and replace over the years."""

from decimal import Decimal
from typing import Annotated, Literal, Self
from uuid import UUID

from pydantic import ConfigDict, Field, PlainSerializer, model_validator
from pydantic_core import PydanticCustomError

from swardcost_model.figures import DerivationStep
from swardcost_model.values import Amount, Answer, Money, Name, Request, Text, Value, plain

YearlyPercent = Annotated[
    Amount, Field(ge=Decimal(-50), le=Decimal(100), description="Percent a year, of either sign.")
]
Factor = Annotated[Decimal, PlainSerializer(plain, return_type=str, when_used="json")]
"""A factor to ten places, as it is printed."""
StudyYear = Annotated[int, Field(ge=1, le=100, strict=True)]


class PriceGrowth(Value):
    """How a price changes each year, compounded from the base date on."""

    percent: YearlyPercent = Field(examples=["1.5"])
    kind: Literal["above_inflation", "of_its_own"] = Field(
        default="above_inflation",
        description="`above_inflation`: on top of inflation, zero for a price that rises as all others do; "
        "`of_its_own`: all of its rise, inflation included.",
    )


class LifeCyclePart(Value):
    """Something that is bought at the base date, lasts for years and is replaced; money at today's prices.

    It is replaced whenever its life has ended, or at the ends of the years `replaced_in`; never at the end of the
    study, since nobody would use it. Without either it is not replaced.
    """

    name: Name = Field(examples=["Pump station"])
    cost: Money | None = None
    estimate_id: UUID | None = Field(
        default=None, description="An estimate whose total is the cost, in place of `cost`."
    )
    life_years: StudyYear | None = Field(default=None, examples=[15])
    replaced_in: list[StudyYear] | None = Field(
        default=None,
        max_length=99,
        description="The years at whose ends it is replaced, ascending and before the last of the study; in place of "
        "the life.",
    )
    replacement_cost: Money | None = Field(
        default=None, description="What another one costs; null for what the first one costs."
    )
    residual: Literal["straight_line", "none", "stated"] = Field(
        default="none",
        description="What it is worth when the study ends. `straight_line`: the unused share of the life of what is "
        "there then, of what that cost; `stated`: `residual_value`.",
    )
    residual_value: Money | None = Field(
        default=None,
        description="At today's prices, below zero where taking it away costs; for `stated` alone.",
    )
    growth: PriceGrowth | None = Field(
        default=None, description="How its price changes; null for a price that rises as all others do."
    )

    @model_validator(mode="after")
    def _said_once(self) -> Self:
        if (self.cost is None) == (self.estimate_id is None):
            raise PydanticCustomError("one_cost", "either cost or estimate_id")
        if (self.residual == "stated") != (self.residual_value is not None):
            raise PydanticCustomError(
                "residual_value", "residual_value where residual is stated, and nowhere else"
            )
        if self.residual == "straight_line" and self.life_years is None:
            raise PydanticCustomError("no_life", "life_years, which a straight line is drawn over")
        return self


class YearlyCost(Value):
    """What is paid every year, at today's prices: upkeep, energy, water, wages; below zero where it is received."""

    name: Name = Field(examples=["Electricity"])
    yearly: Money
    first_year: StudyYear = 1
    last_year: StudyYear | None = Field(default=None, description="Null for the last year of the study.")
    growth: PriceGrowth | None = Field(
        default=None, description="How its price changes; null for a price that rises as all others do."
    )

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if self.last_year is not None and self.last_year < self.first_year:
            raise PydanticCustomError("years_reversed", "last_year not before first_year")
        return self


class LifeCycleAlternative(Value):
    """One way to go: what is bought, and what is paid every year."""

    label: Name = Field(examples=["Own fairway aerator"])
    parts: list[LifeCyclePart] = Field(default_factory=list, max_length=20)
    yearly_costs: list[YearlyCost] = Field(default_factory=list, max_length=20)
    note: Text = ""


class LifeCycleStudyFields(Request):
    """What is studied and by which terms. The first alternative is the base case that the others are held against."""

    name: Name = Field(examples=["Buy or hire the aerator"])
    question: Text = Field(default="", examples=["Does a machine of our own pay over ten seasons?"])
    study_years: StudyYear = Field(description="Years that are looked at.", examples=[10])
    first_year: int = Field(
        ge=1990, le=2200, strict=True, examples=[2027],
        description="Calendar year of year 1. Year 0 is the base date, at its beginning.",
    )  # fmt: skip
    discount_percent: YearlyPercent = Field(examples=["3"])
    discount_kind: Literal["real", "nominal"] = Field(
        description="`real`: without inflation; `nominal`: with inflation in it."
    )
    money: Literal["base_year", "current"] = Field(
        default="base_year",
        description="The money that amounts are shown in: at prices of the base date, or as they are paid.",
    )
    inflation_percent: YearlyPercent | None = Field(
        default=None,
        description="Needed where a nominal rate discounts money of the base year or a real one current money, in "
        "current money, and for growth of its own in money of the base year. It is never taken to be zero.",
    )
    timing: Literal["end_of_year", "mid_year"] = Field(
        default="end_of_year", description="When the yearly costs of a year fall due."
    )
    alternatives: list[LifeCycleAlternative] = Field(min_length=2, max_length=6)
    note: Text = ""

    @model_validator(mode="after")
    def _each_once(self) -> Self:
        if len({one.label for one in self.alternatives}) < len(self.alternatives):
            raise PydanticCustomError("label_twice", "each label once")
        return self


class NewLifeCycleStudy(LifeCycleStudyFields):
    """A study to be kept."""


class LifeCycleStudyChange(LifeCycleStudyFields):
    """The study as it should be from now on."""


class LifeCycleStudy(LifeCycleStudyFields):
    """A study as it was put together; its figures are read apart."""

    model_config = ConfigDict(extra="ignore")

    id: UUID
    version: int


PaymentKind = Literal["initial", "upkeep", "replacement", "residual"]


class PresentOfKind(Answer):
    """The present value of the payments of one kind."""

    kind: PaymentKind
    words: str
    present_value: Money


class LifeCyclePayment(Answer):
    """One payment: amount today x price factor is the amount, that x discount factor the present value; each rounded
    half up to the minor unit. Below zero is received."""

    kind: PaymentKind
    name: str
    year: int
    calendar_year: int
    due: Amount = Field(description="Years from the base date to when it falls due.")
    amount_today: Money
    price_factor: Factor
    amount: Money
    discount_factor: Factor
    present_value: Money


class LifeCycleYear(Answer):
    """What is paid in a year, all together."""

    year: int = Field(description="0 is the base date.")
    calendar_year: int
    amount: Money
    present_value: Money
    present_value_so_far: Money


class PaybackFigures(Answer):
    """When what was paid more has come back, residual values left out."""

    years: Amount | None = Field(description="Null where that does not happen within the study.")
    lost_again_in: int | None = Field(
        description="First later year at whose end the savings so far are below zero again, as after a replacement."
    )
    saved_so_far: list[Money] = Field(description="At the end of each year, from year 0 on.")
    words: str


class AgainstFirst(Answer):
    """An alternative against the first one: savings are what the first costs more, above zero in favor of this one."""

    net_savings: Money
    operation_savings: Money = Field(description="Present value of yearly costs saved.")
    further_investment: Money = Field(
        description="Present value of initial cost, replacements and residual value beyond those of the first."
    )
    annual_savings: Money = Field(description="The difference of the annual equivalents.")
    savings_to_investment_ratio: Amount | None = Field(description="Null where nothing further is invested.")
    adjusted_rate_of_return_percent: Amount | None = Field(
        description="Savings reinvested at the discount rate; null where nothing further is invested or saved."
    )
    rates_of_return_percent: list[Amount] = Field(
        description="Every internal rate of return; none or several are possible."
    )
    rate_of_return_words: str
    simple_payback: PaybackFigures
    discounted_payback: PaybackFigures
    derivation: list[DerivationStep]


class AlternativeLifeCycle(Answer):
    """What an alternative costs over the study."""

    label: str
    note: str
    life_cycle_cost: Money = Field(description="The present value of all that is paid.")
    by_kind: list[PresentOfKind]
    annual_equivalent: Money = Field(
        description="The even amount at the end of each year that has the same present value."
    )
    more_than_first: Money
    years: list[LifeCycleYear]
    payments: list[LifeCyclePayment]
    against_first: AgainstFirst | None = Field(description="Null for the first itself.")
    derivation: list[DerivationStep]


class LifeCycleFigures(Answer):
    """The alternatives of a study in figures."""

    study_id: UUID
    name: str
    question: str
    method: str
    study_years: int
    first_year: int
    money: Literal["base_year", "current"]
    rate_percent: Amount = Field(description="The rate that discounts the amounts shown.")
    rate_kind: Literal["real", "nominal"]
    alternatives: list[AlternativeLifeCycle]
    conclusions: list[str]
    cautions: list[str]
