"""Simulated futures of a capital plan: how probable it is that the reserve runs short, and what would be enough."""

from decimal import Decimal
from typing import Literal
from uuid import UUID

from pydantic import Field

from swardcost_model.figures import DerivationStep
from swardcost_model.plan_figures import FiguresBasis
from swardcost_model.values import Amount, Answer, Money, NonNegative, Percent, Request, Value

LEAST_FUTURES, MOST_FUTURES = 100, 20_000
FuturesWhen = Literal["dated_or_failed", "failed"]
FuturesSeveral = Literal["each_asset", "whole_project"]
FuturesChart = Literal["balance", "spending", "shortfall"]
DriverKind = Literal["life", "asset_cost", "project_cost", "growth", "interest"]


class PointsRange(Value):
    """By how many points a percentage may turn out lower or higher, throughout a future."""

    lower: NonNegative = Field(default=Decimal(0), le=Decimal(50), examples=["1"])
    upper: NonNegative = Field(default=Decimal(0), le=Decimal(50), examples=["2"])


class FuturesQuestion(Request):
    """How the futures of a plan are drawn."""

    futures: int = Field(default=1000, ge=LEAST_FUTURES, le=MOST_FUTURES, strict=True)
    seed: int = Field(
        default=1, ge=0, le=2**63 - 1, strict=True, description="Where the random numbers begin; an input."
    )
    basis: FiguresBasis = Field(
        default="as_dated", description="The plan as dated, or as decided: see its figures."
    )
    when: FuturesWhen = Field(
        default="dated_or_failed",
        description="`dated_or_failed`: a project is done as dated, or in the year in which an asset that it replaces "
        "fails, if that is before. `failed`: it waits for the failure, at most until its latest year.",
    )
    several: FuturesSeveral = Field(
        default="each_asset",
        description="Of a project of several assets the part of what fails is done early, by its share of their costs; "
        "or all of the project.",
    )
    growth_points: PointsRange | None = Field(
        default=None, description="What every growth of costs may differ by."
    )
    interest_points: PointsRange | None = Field(default=None, description="What the interest may differ by.")
    at_most_percent: Percent | None = Field(
        default=None, lt=Decimal(100), examples=["10"],
        description="In how many percent of the futures the reserve may fall below its floor; asks what more must come "
        "in every year for that.",
    )  # fmt: skip
    chart: FuturesChart = Field(
        default="balance",
        description="Which chart, where one is asked for: the fan of the balance, the fan of the spending, or how "
        "probable a shortfall is.",
    )


class FuturesShare(Answer):
    """In how many of the futures something happens."""

    futures: int = Field(description="In so many of them.")
    percent: Amount
    low: Amount = Field(description="Lower end of the 95 % interval for sampling error, in percent.")
    high: Amount


class Fan(Answer):
    """A figure over all futures: its mean, and what so many percent of the futures do not exceed."""

    mean: Money
    p5: Money
    p10: Money
    p25: Money
    p50: Money
    p75: Money
    p90: Money
    p95: Money


class FuturesYear(Answer):
    """A year over all futures; shares are null where every future is the plan."""

    year: int
    closing_in_plan: Money = Field(description="What is left at its end by the plan, without chance.")
    closing: Fan
    spending_in_plan: Money
    spending: Fan = Field(description="On projects and unplanned replacements.")
    unplanned: Money = Field(description="Of it on replacements that no project of the plan does, the mean.")
    below_zero: FuturesShare | None
    below_floor: FuturesShare | None
    first_below_floor: FuturesShare | None = Field(
        description="It is the first year that closes below the floor."
    )
    below_floor_by_then: FuturesShare | None = Field(
        description="It or a year before closes below the floor."
    )
    derivation: list[DerivationStep]


class LowestYear(Answer):
    """The year in which a percentile of the closing balance is least."""

    percent: int
    year: int
    closing: Money


class FuturesDriver(Answer):
    """A life, cost or rate that decides how low the reserve falls."""

    kind: DriverKind
    about: UUID | None = Field(description="The asset or project; null for growth and interest.")
    name: str
    rank_correlation: Amount = Field(
        description="Spearman's, with the least closing balance; above zero where more of it leaves more."
    )
    words: str
    derivation: list[DerivationStep]


class ProjectInFutures(Answer):
    """A project of the plan over all futures; shares are null where every future is the plan."""

    project_id: UUID
    number: int
    name: str
    year: int
    early: FuturesShare | None = Field(description="Some of it is done before it is dated.")
    late: FuturesShare | None = Field(
        description="Some of it is done after it is dated, or not within the plan."
    )


class AssetInFutures(Answer):
    """An asset that fails in some future when no project of the plan replaces it any more."""

    asset_id: UUID
    code: str
    name: str
    replacements: Amount = Field(description="How often in a future, the mean.")
    cost: Money | None = Field(description="At the prices of the price year; null where nobody knows.")


class EnoughMore(Answer):
    """The least level amount that, coming in every year besides, keeps the reserve from falling below its floor in all
    but so many percent of the futures."""

    at_most_percent: Amount
    more_a_year: Money
    below_floor: FuturesShare | None = Field(
        description="With it, in any year; null where every future is the plan."
    )
    derivation: list[DerivationStep]


class DrawnFigures(Answer):
    """What differs from future to future."""

    lives: int = Field(description="Assets with a range of life.")
    asset_costs: int
    project_costs: int
    growth: bool
    interest: bool


class PlanFutures(Answer):
    """The futures of a plan: how probable it is that its reserve runs short, when, why, and what would be enough."""

    plan_id: UUID
    name: str
    basis: FiguresBasis
    first_year: int
    last_year: int
    futures: int
    seed: int
    when: FuturesWhen
    several: FuturesSeveral
    drawn: DrawnFigures
    all_alike: bool = Field(
        description="True where nothing has a range: every future is the plan, and there are no probabilities."
    )
    floor: Money
    below_zero: FuturesShare | None = Field(description="In any year; null where every future is the plan.")
    below_floor: FuturesShare | None
    years: list[FuturesYear]
    least_closing: Fan = Field(description="Of the year in which each future closes lowest.")
    lowest_years: list[LowestYear]
    drivers: list[FuturesDriver] = Field(
        description="The strongest first, at most ten; only what chance would hardly show."
    )
    projects: list[ProjectInFutures] = Field(description="Of the plan as dated or decided.")
    unplanned: list[AssetInFutures] = Field(description="The most often replaced first.")
    enough: EnoughMore | None = Field(description="Null where `at_most_percent` does not ask for it.")
    left_out: list[str] = Field(description="Projects that are not dated or not done.")
    conclusions: list[str]
    cautions: list[str]
    method: list[str]
    derivation: list[DerivationStep]
