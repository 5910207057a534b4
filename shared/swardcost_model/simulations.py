"""Simulations of an estimate, and what its total would be with figures set by hand."""

from datetime import date
from decimal import Decimal
from typing import Literal
from uuid import UUID

from pydantic import Field

from swardcost_model.figures import DerivationStep
from swardcost_model.uncertainty import UncertaintyFields
from swardcost_model.values import Amount, Answer, Money, Name, Percent, Request, Timestamp


class SimulationRequest(Request):
    """How the uncertainty of an estimate is simulated. The same request gives the same figures."""

    seed: int = Field(
        default=1, ge=0, le=2**63 - 1, strict=True, description="Where the random numbers begin; an input."
    )
    trials: int = Field(default=20_000, ge=100, le=1_000_000, strict=True)
    confidence_percent: Percent = Field(
        default=Decimal(80), ge=Decimal(1), le=Decimal(99),
        description="For which the contingency is computed: of 100 trials so many cost no more.",
    )  # fmt: skip


class CostPercentile(Answer):
    """An amount that so many percent of the trials do not exceed, with its interval for sampling error."""

    percent: Amount
    amount: Money
    low: Money | None = Field(
        description="Lower end of the 95 % interval for sampling error; null: too few trials."
    )
    high: Money | None


class CurvePoint(Answer):
    """A point of the cumulative curve of cost."""

    percent: Amount
    amount: Money


class Influence(Answer):
    """How an uncertain figure or event goes with the total."""

    name: str
    kind: Literal["figure", "event"]
    rank_correlation: Amount | None = Field(
        description="Spearman's, from -1 to 1; null where it never changes."
    )
    variance_percent: Amount | None = Field(
        description="Its share of the total's variance, by squared rank correlations; all sum to 100 but for rounding."
    )
    derivation: list[DerivationStep]


class ContingencyPart(Answer):
    """An item's part of the contingency."""

    item: str
    amount: Money
    variance_percent: Amount = Field(
        description="Covariance of the item with the total, in percent of the variance."
    )
    lowers: bool = Field(description="Whether it makes the total less uncertain; it then has no part.")
    derivation: list[DerivationStep]


class ContingencyNeeded(Answer):
    """What a confidence takes beyond the estimate without its contingency, against what the estimate carries."""

    confidence_percent: Amount
    needed: Money
    low: Money | None = Field(description="Lower end of the 95 % interval for sampling error.")
    high: Money | None
    percent_of_base: Amount | None
    carried: Money = Field(description="The contingency in the estimate.")
    short: Money = Field(description="Needed less carried; below zero where the estimate carries more.")
    parts: list[ContingencyPart] = Field(
        description="The needed contingency over the items, by what each adds to the uncertainty; they sum to it. "
        "Empty where nothing is needed, or nothing is uncertain."
    )
    derivation: list[DerivationStep]


class ReopeningPercentile(Answer):
    """A day by which the course is open again in so many percent of the trials."""

    percent: Amount
    day: date
    low: date | None
    high: date | None


class ReopeningPoint(Answer):
    """How many percent of the trials have reopened by a day."""

    day: date
    percent: Amount


class Reopening(Answer):
    """When the course reopens over the trials, the order of the work kept as planned."""

    planned: date
    closure_last_day: date
    in_time_percent: Amount = Field(
        description="Percent of the trials that reopen by the day after the closure."
    )
    percentiles: list[ReopeningPercentile]
    curve: list[ReopeningPoint] = Field(description="Every day on which some trial reopens.")
    unscheduled: list[str] = Field(description="Scope items that the schedule leaves out.")
    derivation: list[DerivationStep]


class Held(Answer):
    """A part of the estimate that is taken as it was estimated in every trial, and why."""

    item: str
    amount: Money
    why: str


class SimulatedFigures(Answer):
    """What the trials of a simulation say. Costs of the trials are without the estimate's contingency."""

    base: Money = Field(description="The estimate without its contingency: every figure as estimated.")
    estimate_total: Money
    estimate_confidence_percent: Amount = Field(
        description="Percent of the trials for which the estimate's total, its contingency in it, is enough."
    )
    mean: Money
    standard_error: Money = Field(description="Sampling error of the mean: the deviation / sqrt(trials).")
    deviation: Money
    percentiles: list[CostPercentile]
    curve: list[CurvePoint]
    contingency: ContingencyNeeded
    influences: list[Influence]
    reopening: Reopening | None
    no_reopening_because: str | None = Field(
        description="Why there is no distribution of the reopening; null where there is."
    )
    held: list[Held]
    not_priced: list[str] = Field(
        description="What of the scope has no amount and is in no trial; not the same as costing nothing."
    )
    derivation: list[DerivationStep]


class SimulationStarted(Answer):
    """Where the simulation of a job is found once it is done: the job's result."""

    simulation_id: UUID


class SimulationSummary(Answer):
    """A simulation in a line."""

    id: UUID
    estimate_id: UUID
    seed: int
    trials: int
    confidence_percent: Amount
    created_at: Timestamp
    created_by: str
    mean: Money
    p80: Money


class Simulation(Answer):
    """A simulation of an estimate: what was asked, the uncertainty as it was then, and what came of it."""

    id: UUID
    estimate_id: UUID
    request: SimulationRequest
    uncertainty: UncertaintyFields
    created_at: Timestamp
    created_by: str
    figures: SimulatedFigures


class SimulationCurve(Answer):
    """The cumulative curve of cost of a simulation, without the estimate's contingency."""

    simulation_id: UUID
    seed: int
    trials: int
    estimate_total: Money = Field(description="The estimate's own total, its contingency in it.")
    percentiles: list[CostPercentile]
    curve: list[CurvePoint]


class SimulationReopening(Reopening):
    """When the course reopens over the trials of a simulation."""

    simulation_id: UUID
    seed: int
    trials: int


class SimulationContingency(ContingencyNeeded):
    """The contingency that a simulation speaks for, shared over the items."""

    simulation_id: UUID
    base: Money


class Swing(Answer):
    """The total with one figure at its low and its high end, everything else likely; of an event: without and with it.

    The ends are the least and the greatest figure of the range; of one without an upper end, those that nine and one in
    ten exceed.
    """

    name: str
    kind: Literal["figure", "event"]
    low: str = Field(description="The low end in words: `90 %`, or that the event does not happen.")
    high: str
    at_low: Money
    at_high: Money
    width: Money


class Sensitivity(Answer):
    """One figure at a time, the widest swing first. Totals are without the estimate's contingency."""

    base: Money = Field(description="The estimate without its contingency.")
    likely: Money = Field(description="The total with every figure likely and no event.")
    swings: list[Swing]
    held: list[Held]
    not_priced: list[str]


class GridQuestion(Request):
    """Two uncertain figures whose values are looked at together, in percent of what was estimated."""

    first: Name
    second: Name
    first_percents: list[Percent] = Field(default_factory=list, max_length=11)
    second_percents: list[Percent] = Field(
        default_factory=list,
        max_length=11,
        description="Empty for low, likely and high of the range, as above.",
    )


class SensitivityGrid(Answer):
    """Totals over two figures, without the estimate's contingency: a row for each value of the first."""

    first: str
    second: str
    first_percents: list[Amount]
    second_percents: list[Amount]
    totals: list[list[Money]]
    base: Money = Field(description="The estimate without its contingency.")


class ScenarioPart(Answer):
    """What one setting of a scenario, or one event, would move the total by alone."""

    name: str
    kind: Literal["figure", "event"]
    difference: Money


class MovedItem(Answer):
    """An item that costs something else in the scenario: a resource, a markup, or an event."""

    item: str
    as_estimated: Money
    in_scenario: Money
    difference: Money


class ScenarioOutcome(Answer):
    """What a scenario comes to, and by what it moved: alone and by item, each summing to the difference."""

    name: str
    note: str
    total: Money
    difference: Money = Field(description="From the estimate without its contingency.")
    parts: list[ScenarioPart] = Field(
        description="Each setting and event alone, in the order of the scenario."
    )
    together: Money = Field(
        description="What is left: settings that act on the same resource do more, or less, than the sum of each alone."
    )
    moved: list[MovedItem] = Field(description="Items that cost something else, the most moved first.")
    reopens_on: date | None = Field(description="Null where the reopening cannot be computed.")
    days_later: int | None
    derivation: list[DerivationStep]


class ScenarioOutcomes(Answer):
    """The scenarios of an estimate, all else as estimated. Totals are without its contingency."""

    base: Money
    planned_reopening: date | None
    no_reopening_because: str | None
    scenarios: list[ScenarioOutcome]
    held: list[Held]
    not_priced: list[str]
