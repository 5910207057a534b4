"""Choosing by a figure that is not settled: where one alternative becomes cheaper than another, and how far a budget
reaches."""

from enum import StrEnum
from typing import Annotated, Literal, Self
from uuid import UUID

from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError

from swardcost_model.catalog import ItemCode
from swardcost_model.figures import DerivationStep
from swardcost_model.values import (
    Amount,
    Answer,
    Money,
    Name,
    NonNegative,
    Positive,
    Request,
    UnitName,
    Value,
)

ScopeItems = Annotated[
    list[UUID],
    Field(
        max_length=500,
        description="The scope items in which it is moved; all that it fits where none are named.",
    ),
]


class AreaVariable(Value):
    """How large the areas of scope items are: as a share of what they are now, or together in a unit of area.

    In a unit of area, the areas come to the value together, each once, in proportion to their sizes; one area alone has
    that size. In `percent` or `ratio`, each is so many times what it is.
    """

    kind: Literal["area"]
    scope_item_ids: ScopeItems = Field(default_factory=list)
    area_ids: list[UUID] = Field(
        default_factory=list,
        max_length=2000,
        description="Which of their areas; all of them where none are named.",
    )


class HoursADay(Value):
    """How many hours of an item a day of the work takes, all together."""

    item: ItemCode = Field(examples=["SKID-STEER"])
    hours: Positive = Field(examples=["8"])


class DaysVariable(Value):
    """How many days scope items take, in `work_day`: they begin when they do, and their last day moves.

    What is named in `hours_a_day` is needed for so many hours on each of them, in place of what the scope item says;
    everything else is needed as before.
    """

    kind: Literal["days"]
    scope_item_ids: ScopeItems = Field(default_factory=list)
    works_weekends: bool = Field(default=False, description="Whether Saturdays and Sundays are days of work.")
    hours_a_day: list[HoursADay] = Field(default_factory=list, max_length=50)

    @model_validator(mode="after")
    def _each_item_once(self) -> Self:
        if len({one.item for one in self.hours_a_day}) < len(self.hours_a_day):
            raise PydanticCustomError("item_twice", "each item once")
        return self


class HoursVariable(Value):
    """How long an item is needed, in a unit of time, in each of the scope items that name it."""

    kind: Literal["hours"]
    item: ItemCode
    scope_item_ids: ScopeItems = Field(default_factory=list)


class PriceVariable(Value):
    """The unit price of an item, in its currency for the unit that it is sold by. Its breaks move in proportion."""

    kind: Literal["price"]
    item: ItemCode = Field(examples=["SAND-TD"])


class QuantityVariable(Value):
    """A parameter of the method of scope items, such as a depth or a rate, that they give."""

    kind: Literal["quantity"]
    parameter: str = Field(
        min_length=1,
        max_length=120,
        description="Name of the parameter; within another one as `fill/bulk_density`.",
        examples=["depth"],
    )
    scope_item_ids: ScopeItems = Field(default_factory=list)


class YearsVariable(Value):
    """For how many years it is used, in `year`: the cost of the alternative, once, and this for each year."""

    kind: Literal["years"]
    yearly: Money | None = None
    yearly_estimate_id: UUID | None = Field(
        default=None, description="An estimate whose cost comes again each year, in place of `yearly`."
    )

    @model_validator(mode="after")
    def _one_of_both(self) -> Self:
        if (self.yearly is None) == (self.yearly_estimate_id is None):
            raise PydanticCustomError("one_yearly_cost", "either yearly or yearly_estimate_id")
        return self


EstimateVariable = Annotated[
    AreaVariable | DaysVariable | HoursVariable | PriceVariable | QuantityVariable,
    Field(discriminator="kind"),
]
Variable = Annotated[
    AreaVariable | DaysVariable | HoursVariable | PriceVariable | QuantityVariable | YearsVariable,
    Field(discriminator="kind"),
]


class Counted(StrEnum):
    """Which cost of an estimate counts."""

    TOTAL = "total"
    CASH_TOTAL = "cash_total"


class SearchFields(Request):
    """The values that are looked at: the multiples of `resolution` from `low` to `high`, in `unit`."""

    low: NonNegative = Field(description="A multiple of the resolution.", examples=["1"])
    high: NonNegative = Field(description="A multiple of the resolution, above `low`.", examples=["40"])
    resolution: Positive = Field(description="The step between two values.", examples=["0.5"])
    unit: UnitName | None = Field(
        default=None,
        description="For an area, a unit of area, or `percent` or `ratio`; `work_day` for days; a unit of time for "
        "hours; for a price, the unit that the item is sold by; a unit that fits the parameter of a quantity, and null "
        "for a number without one; `year` for years.",
        examples=["acre"],
    )
    counts: Counted = Field(
        default=Counted.TOTAL,
        description="`total` is the full cost, `cash_total` what the operating budget does not hold already.",
    )


class ChoosingSide(Value):
    """One of two alternatives: an estimate or a stated cost, and what of it is moved; without that it stays."""

    label: Name | None = Field(
        default=None,
        description="What it is called; null for the name of its estimate.",
        examples=["Contractor"],
    )
    estimate_id: UUID | None = None
    cost: Money | None = Field(default=None, description="A stated cost, in place of an estimate.")
    variable: Variable | None = None

    @model_validator(mode="after")
    def _one_cost(self) -> Self:
        if (self.estimate_id is None) == (self.cost is None):
            raise PydanticCustomError("one_cost", "either estimate_id or cost")
        return self


class BreakEvenQuestion(SearchFields):
    """Two alternatives, and the figure by which one may become cheaper than the other."""

    first: ChoosingSide
    second: ChoosingSide


Cheaper = Literal["first", "second", "same"]


class CostsAt(Answer):
    """What both alternatives cost at a value, computed there."""

    value: Amount
    first: Money
    second: Money
    cheaper: Cheaper


class BreakEvenCrossing(Answer):
    """Where the costs change order, or meet."""

    before: CostsAt | None = Field(
        description="The last value before; null where they cost the same from the lower bound on."
    )
    after: CostsAt | None = Field(
        description="The first value after; null where they cost the same up to the upper bound."
    )
    same_from: CostsAt | None = Field(
        description="From where both cost the same; null where they nowhere do, as where a cost jumps."
    )
    same_to: CostsAt | None
    changes_order: bool = Field(
        description="Whether another one is cheaper after it than before it; not so where they only touch."
    )
    words: str
    derivation: list[DerivationStep]


class BreakEvenSpan(Answer):
    """Values over which one alternative is cheaper throughout; both ends were computed."""

    first_value: Amount
    last_value: Amount
    cheaper: Cheaper
    words: str


class Searched(Answer):
    """What an answer rests on."""

    values: int = Field(description="Values that were computed.")
    every_value: bool = Field(description="Whether these are all; then nothing is missed.")
    widest_gap: Amount = Field(
        description="Farthest that two neighbours of them lie apart, in the unit of the search."
    )
    pricings: int = Field(description="How often an estimate was priced for it.")
    words: str


class ChoosingSideCost(Answer):
    """An alternative as it was taken, and what it costs at the bounds."""

    label: str
    estimate_id: UUID | None
    moves: bool = Field(description="Whether the value moves it; otherwise it costs the same throughout.")
    moved: str = Field(description="What of it was moved, in words; empty where nothing was.")
    as_estimated: Money = Field(description="Its cost as it was estimated or stated.")
    at_low: Money
    at_high: Money


class BreakEven(Answer):
    """Where which of two alternatives is cheaper."""

    low: Amount
    high: Amount
    resolution: Amount
    unit: str = Field(description="Unit of all values, in words; empty for numbers without one.")
    counts: Counted
    first: ChoosingSideCost
    second: ChoosingSideCost
    crossings: list[BreakEvenCrossing]
    spans: list[BreakEvenSpan]
    cheaper_throughout: Cheaper | None = Field(
        description="Which is cheaper between the bounds where there is no crossing; null where there is one."
    )
    words: list[str] = Field(
        examples=[["Contractor costs less up to 12 acre; from 12.5 acre on Own crew does."]]
    )
    searched: Searched
    cautions: list[str]


class Want(StrEnum):
    """Which of the values that fit is asked for."""

    LARGEST = "largest"
    SMALLEST = "smallest"


class BudgetReachQuestion(SearchFields):
    """How far a budget reaches: the largest or smallest value at which an estimate costs no more."""

    estimate_id: UUID
    variable: EstimateVariable
    budget: Money
    want: Want = Want.LARGEST


class CostAt(Answer):
    """What the estimate costs at a value, computed there."""

    value: Amount
    cost: Money


class OverBudget(Answer):
    """Values short of the one found at which the budget is exceeded all the same; both ends were computed."""

    first: CostAt
    last: CostAt


class BudgetReach(Answer):
    """How far a budget reaches."""

    low: Amount
    high: Amount
    resolution: Amount
    unit: str = Field(description="Unit of all values, in words; empty for numbers without one.")
    counts: Counted
    want: Want
    budget: Money
    label: str
    estimate_id: UUID
    moved: str = Field(description="What of the estimate was moved, in words.")
    as_estimated: Money
    found: CostAt | None = Field(description="The value asked for; null where no value fits.")
    left_over: Money | None = Field(description="What of the budget is left there.")
    next_over: CostAt | None = Field(
        description="The next value, which is over the budget; null where the bound itself fits."
    )
    over_short_of_it: list[OverBudget]
    all_fit: bool = Field(description="Whether every value that was computed fits.")
    least: CostAt = Field(description="The value, of those computed, at which it costs least.")
    steady: bool = Field(description="Whether the costs computed only rise, or only fall.")
    words: list[str] = Field(
        examples=[["At most 11.5 acre: it costs 49,870.00 USD there; 12 acre would cost 51,960.00 USD."]]
    )
    derivation: list[DerivationStep]
    searched: Searched
    cautions: list[str]
