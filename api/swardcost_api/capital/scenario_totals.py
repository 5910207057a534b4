"""What a scenario comes to, and how each of its figures came about."""

from collections.abc import Iterator
from decimal import Decimal

from swardcost_model.scenario_figures import ProjectOutcome, ScenarioProject, ScenarioTotals
from swardcost_model.values import Money

from swardcost_api.capital.counted_plans import CountedProject
from swardcost_api.capital.plan_steps import TERMS, funding_steps
from swardcost_api.capital.plan_years import first_year_below, lowest_year
from swardcost_api.capital.scenarios import CountedScenario
from swardcost_api.capital.timings import worth_begun_in
from swardcost_api.engine.derivation import Input, Step

_ARITHMETIC = "arithmetic"


def projects_of(found: CountedScenario) -> list[ScenarioProject]:
    """Every project of a scenario, by number."""
    return [
        ScenarioProject(
            project_id=one.stated.id, number=one.stated.number, name=one.stated.name,
            year_as_dated=was.stated.year, year=one.stated.year, outcome=_outcome(found, one),
            cost=_cost(found, one), why=found.why.get(one.stated.id, ""),
        )
        for was, one in found.pairs()
    ]  # fmt: skip


def _outcome(found: CountedScenario, one: CountedProject) -> ProjectOutcome:
    year, ends, last = one.stated.year, one.last_year, found.counted.years[-1]
    if year is None or ends is None:
        return "left_out" if one.stated.id in found.why else "not_dated"
    if year > last:
        return "after_plan"
    return "in_part" if ends > last else "done"


def _cost(found: CountedScenario, one: CountedProject) -> Money | None:
    year = one.stated.year
    if year is None or year not in found.counted.years or one.cost_minor is None:
        return None
    within = found.counted.years[-1] + 1 - year
    return found.counted.money(sum(one.costs_from(year)[:within]))


def worths(found: CountedScenario) -> Iterator[tuple[CountedProject, Decimal]]:
    """What each project is worth that is done within the plan and scored, by number."""
    for one in found.counted.projects:
        year = one.stated.year
        if year is not None and _outcome(found, one) == "done":
            worth = worth_begun_in(found.counted, one, found.late_percent, year)
            if worth is not None:
                yield one, worth


def totals_of(found: CountedScenario, projects: list[ScenarioProject]) -> ScenarioTotals:
    """What a scenario that is possible comes to."""
    counted, years = found.counted, found.years
    money, last = counted.money, years[-1]
    reserve = [year.reserve for year in years]
    lowest = lowest_year(years)
    below_floor, below_zero = first_year_below(years, counted.floor_minor), first_year_below(years, 0)
    begun = ("done", "in_part")
    return ScenarioTotals(
        contribution_first_year=money(years[0].income_of("contribution")),
        contributions=money(sum(year.income_of("contribution") for year in years)),
        spending=money(sum(year.spending.all_minor for year in years)),
        interest_earned=money(sum(one.interest_minor for one in reserve)),
        interest_paid=money(sum(year.loans.interest_minor for year in years)),
        least_balance=money(lowest.reserve.closing_minor), least_balance_year=lowest.year,
        closing=money(last.reserve.closing_minor), owed_on_loans=money(last.loans.owed_minor),
        first_year_below_floor=None if below_floor is None else below_floor.year,
        first_year_below_zero=None if below_zero is None else below_zero.year, percent_funded=last.percent_funded,
        cost_of_moving=money(found.moving.net_minor),
        worth=sum((worth for _, worth in worths(found)), Decimal(0)),
        projects_done=sum(one.outcome == "done" for one in projects),
        projects_moved=sum(
            one.outcome in begun and one.year_as_dated not in (None, one.year) for one in projects
        ),
        projects_left_out=sum(
            one.outcome not in begun and one.year_as_dated is not None for one in projects
        ),
    )  # fmt: skip


def total_steps(found: CountedScenario) -> Iterator[Step]:
    """How the figures of a scenario came about, from those of its years and projects."""
    counted, years = found.counted, found.years

    def money(name: str, minor: int) -> Input:
        return Input(name, counted.figure(minor), counted.currency)

    for what, by_year in (
        ("contributions", [year.income_of("contribution") for year in years]),
        ("spending", [year.spending.all_minor for year in years]),
        ("interest earned", [year.reserve.interest_minor for year in years]),
        ("interest paid on loans", [year.loans.interest_minor for year in years]),
    ):
        inputs = [
            money(f"{what} of {year.year}", minor)
            for year, minor in zip(years, by_year, strict=True)
            if minor
        ]
        yield Step(
            what, counted.figure(sum(by_year)), counted.currency, "sum over the years of the plan", tuple(inputs),
            _ARITHMETIC,
        )  # fmt: skip
    yield Step(
        "least balance", counted.figure(lowest_year(years).reserve.closing_minor), counted.currency,
        "the least of what is left at the end of each year",
        tuple(money(f"reserve at the end of {year.year}", year.reserve.closing_minor) for year in years),
        "the projection of the reserve",
    )  # fmt: skip
    yield from funding_steps(counted, years[-1])
    yield from _moving_steps(found)
    yield from _worth_steps(found)


def _moving_steps(found: CountedScenario) -> Iterator[Step]:
    counted, moving = found.counted, found.moving

    def money(name: str, minor: int) -> Input:
        return Input(name, counted.figure(minor), counted.currency)

    if not moving.moved:
        return
    growth, upkeep = money("growth", moving.growth_minor), money("upkeep", moving.upkeep_minor)
    yield Step(
        growth.name, growth.value, counted.currency,
        "sum over the projects moved of cost in the years of the scenario - cost in the years as dated",
        tuple(
            money(f"{one.project.label} in {one.begins} instead of {one.dated}", one.growth_minor)
            for one in moving.moved
        ),
        TERMS,
    )  # fmt: skip
    yield Step(
        upkeep.name, upkeep.value, counted.currency,
        "sum over the projects moved of yearly upkeep x (1 + growth / 100)^(year - price year), each year between "
        "rounded half up to the minor unit; below zero where it begins earlier",
        tuple(money(f"upkeep of {one.project.label}", one.upkeep_minor) for one in moving.moved if one.upkeep_minor),
        TERMS,
    )  # fmt: skip
    interest = money("interest kept", moving.interest.kept_minor)
    moved = money("interest with the projects moved", moving.interest.moved_minor)
    as_dated = money("interest as dated", moving.interest.as_dated_minor)
    yield Step(
        interest.name, interest.value, counted.currency,
        f"{moved.name} - {as_dated.name}, each of all years of the plan, under the money of the scenario and with all "
        "other projects as dated", (moved, as_dated), "the projection of the reserve",
    )  # fmt: skip
    yield Step(
        "cost of moving", counted.figure(moving.net_minor), counted.currency, "growth + upkeep - interest kept",
        (growth, upkeep, interest), _ARITHMETIC,
    )  # fmt: skip


def _worth_steps(found: CountedScenario) -> Iterator[Step]:
    first = found.counted.years[0]
    each = [
        Input(f"worth of {one.label} begun in {one.stated.year}", float(worth), "each")
        for one, worth in worths(found)
    ]
    yield Step(
        "worth", float(sum((worth for _, worth in worths(found)), Decimal(0))), "each",
        f"sum over the projects done of score x (1 - {found.late_percent:f} / 100)^(year - {first}), each rounded half "
        "up to 0.0001", tuple(each), TERMS,
    )  # fmt: skip
