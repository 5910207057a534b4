"""How the figures of a plan came about, step by step."""

from collections.abc import Iterator, Sequence
from decimal import ROUND_HALF_UP, Decimal

from swardcost_model.capital_plans import Criterion, Score

from swardcost_api.capital.counted_plans import CountedPlan, CountedProject
from swardcost_api.capital.plan_years import CountedYear
from swardcost_api.engine.capital.reserve import FUNDING
from swardcost_api.engine.derivation import Input, Step
from swardcost_api.engine.pricing.money_working import ROUNDED

TERMS = "the terms of the plan"
_ARITHMETIC = "arithmetic"
_PLACES = Decimal("0.01")


def year_steps(counted: CountedPlan, year: CountedYear) -> Iterator[Step]:
    """Interest, what is left at the end of the year, and how well that is funded."""

    def money(name: str, minor: int) -> Input:
        return Input(name, counted.figure(minor), counted.currency)

    reserve, flows = year.reserve, year.reserve.flows
    rate = Input("interest rate", float(counted.plan.money.interest_percent), "percent")
    on_average = counted.plan.money.interest_on == "average_balance"
    base = "(opening + (income + loans drawn - spending - loan payments) / 2)" if on_average else "opening"
    moving = [
        money("income", flows.income_minor), money("loans drawn", flows.drawn_minor),
        money("spending", flows.spending_minor), money("loan payments", flows.payments_minor),
    ]  # fmt: skip
    opening, interest = money("opening", reserve.opening_minor), money("interest", reserve.interest_minor)
    yield Step(
        "interest", interest.value, counted.currency,
        f"{base} x interest rate / 100, nothing on a balance below zero{ROUNDED}",
        (opening, *(moving if on_average else ()), rate), TERMS,
    )  # fmt: skip
    parts = [
        ("contributions", year.income_of("contribution")), ("dues", year.income_of("dues")),
        ("initiation fees", year.income_of("initiation")), ("assessments", year.assessments_minor),
    ]  # fmt: skip
    yield Step(
        "income", moving[0].value, counted.currency, "contributions + dues + initiation fees + assessments",
        tuple(money(*one) for one in parts), _ARITHMETIC,
    )  # fmt: skip
    yield Step(
        f"reserve at the end of {year.year}", counted.figure(reserve.closing_minor), counted.currency,
        "opening + income + loans drawn + interest - spending - loan payments", (opening, *moving, interest),
        _ARITHMETIC,
    )  # fmt: skip
    yield from funding_steps(counted, year)


def funding_steps(counted: CountedPlan, year: CountedYear) -> Iterator[Step]:
    """The fully funded balance at the end of a year, and the reserve in percent of it."""
    if year.fully_funded_minor is None:
        return
    known = sum(one.replaced and one.gap is None for one in counted.assets)
    whole = counted.figure(year.fully_funded_minor)
    yield Step(
        "fully funded balance", whole, counted.currency,
        f"sum over assets of cost in the prices of {year.year} x effective age / life, each rounded half up to the "
        "minor unit; effective age is at most the life",
        (Input("assets", float(known), "each"),), FUNDING,
    )  # fmt: skip
    if year.percent_funded is not None:
        name = f"reserve at the end of {year.year}"
        yield Step(
            "percent funded", float(year.percent_funded), "percent",
            f"{name} / fully funded balance x 100, rounded half up to 0.01",
            (
                Input(name, counted.figure(year.reserve.closing_minor), counted.currency),
                Input("fully funded balance", whole, counted.currency),
            ),
            FUNDING,
        )  # fmt: skip


def project_steps(counted: CountedPlan, project: CountedProject) -> Iterator[Step]:
    """The cost of each phase in the money of its year, their sum, and the score."""
    if project.stated.year is not None and project.costs_from(project.stated.year):
        yield from _cost_steps(counted, project, project.stated.year)
    found = score_of(counted.plan.criteria, project.stated.scores)
    if found is not None:
        given = {one.criterion: one.score for one in project.stated.scores}
        inputs = [
            Input(f"{what} of {one.name}", float(value), "each")
            for one in counted.plan.criteria
            for what, value in (("weight", one.weight), ("score", given[one.name]))
        ]
        formula = "sum of weight x score / sum of weights, rounded half up to 0.01"
        yield Step("score", float(found), "each", formula, tuple(inputs), TERMS)


def _cost_steps(counted: CountedPlan, project: CountedProject, begins: int) -> Iterator[Step]:
    costs = project.costs_from(begins)
    growth = Input("growth", float(project.growth_percent), "percent")
    phases = []
    for year, (at_price_year, minor) in enumerate(
        zip(project.phases_minor, costs, strict=True), start=begins
    ):
        value = counted.figure(minor)
        stated = Input(
            f"cost at the prices of {project.price_year}", counted.figure(at_price_year), counted.currency
        )
        years = Input("years", float(year - project.price_year), "year")
        yield Step(
            f"cost in {year}", value, counted.currency, f"{stated.name} x (1 + growth / 100)^years{ROUNDED}",
            (stated, growth, years), TERMS,
        )  # fmt: skip
        phases.append(Input(f"cost in {year}", value, counted.currency))
    total = counted.figure(sum(costs))
    formula = " + ".join(one.name for one in phases)
    yield Step("cost as dated", total, counted.currency, formula, tuple(phases), _ARITHMETIC)


def score_of(criteria: Sequence[Criterion], scores: Sequence[Score]) -> Decimal | None:
    """The weighted mean of the scores, rounded half up to 0.01; none where a criterion is not scored."""
    given = {one.criterion: one.score for one in scores}
    if not criteria or any(one.name not in given for one in criteria):
        return None
    weighted = sum((one.weight * given[one.name] for one in criteria), Decimal(0))
    weights = sum((one.weight for one in criteria), Decimal(0))
    return (weighted / weights).quantize(_PLACES, ROUND_HALF_UP)
