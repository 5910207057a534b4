"""The part of the story in which the next years are planned: a capital plan, its projects and its reserve."""

from decimal import Decimal
from typing import Any

from story_of_futures import the_futures_of_the_plan
from story_of_scenarios import the_plan_as_decided, the_scenarios_of_the_plan
from swardcost_model.capital_plans import (
    Criterion,
    Decided,
    GrowthGroup,
    MoneyTerms,
    NewDecision,
    NewPlan,
    NewPlanProject,
    Phase,
    PlanChange,
    PlanLoan,
    PlanProjectChange,
    PlanStatus,
    Prerequisite,
    Score,
    YearlyIncome,
)
from swardcost_model.values import Money


def usd(amount: str) -> Money:
    return Money(amount=Decimal(amount), currency="USD")


def the_plan(client: Any, estimate: Any) -> Any:
    """Begin a plan, put it right, and delete a spare one."""
    money = MoneyTerms(
        opening_reserve=usd("640000.00"),
        incomes=[
            YearlyIncome(name="Yearly contribution", amount=usd("180000.00"), percent_a_year=Decimal("2.5")),
            YearlyIncome(name="Dues", kind="dues", units=Decimal(340), amount=usd("150.00")),
        ],
        loans=[
            PlanLoan(
                name="Irrigation loan", principal=usd("700000.00"), annual_percent=Decimal("5.5"), years=8,
                drawn_in=2030,
            )
        ],
        interest_percent=Decimal("2.75"), least_balance=usd("150000.00"), spending_limit=usd("900000.00"),
    )  # fmt: skip
    fields: dict[str, Any] = {
        "first_year": 2027, "years": 15, "growth_percent": Decimal("3.5"),
        "growth_groups": [GrowthGroup(name="Pipe and pumps", percent=Decimal("4.5"))],
        "criteria": [Criterion(name="Safety", weight=Decimal(3)), Criterion(name="Play", weight=Decimal(2))],
        "capital_threshold": usd("5000.00"), "closure_days_a_year": 30, "money": money,
    }  # fmt: skip
    plan = client.capital_plans.create(NewPlan(name="Capital plan 2027 to 2041", **fields))
    plan = client.capital_plans.change(
        plan.id, PlanChange(name=plan.name, note="Prices of spring 2027", **fields), plan.version
    )
    spare = client.capital_plans.create(NewPlan(name="Spare", **fields))
    client.capital_plans.delete(spare.id, spare.version)
    assert client.capital_plans.read(plan.id) == plan
    the_projects_of_the_plan(client, plan, estimate)
    the_figures_of_the_plan(client, plan)
    the_futures_of_the_plan(client, plan)
    the_scenarios_of_the_plan(client, plan)
    (summary,) = client.capital_plans.list(status=PlanStatus.DRAFT)
    assert (summary.id, summary.projects) == (plan.id, len(list(client.plan_projects.list(plan.id))))
    the_decisions(client, plan)
    the_plan_as_decided(client, plan)
    return plan


def the_decisions(client: Any, plan: Any) -> None:
    """Issue the plan, decide on each project, and lock it."""
    assert client.capital_plans.issue(plan.id).status is PlanStatus.ISSUED
    for project in client.plan_projects.list(plan.id):
        later = project.year is not None and project.year > 2035
        new = (
            NewDecision(decided=Decided.DEFERRED, deferred_to=project.year + 1)
            if later
            else NewDecision(decided=Decided.APPROVED, conditions="Within the yearly limit")
        )
        assert client.plan_projects.decide(project.id, new).decision.decided is new.decided
    assert client.capital_plans.lock(plan.id).status is PlanStatus.LOCKED


def the_projects_of_the_plan(client: Any, plan: Any, estimate: Any) -> None:
    """Add projects by hand, from an estimate and from assets; put one right, and take a spare one out."""
    scores = [Score(criterion="Safety", score=Decimal(7)), Score(criterion="Play", score=Decimal(9))]
    pumps = client.plan_projects.create(
        plan.id,
        NewPlanProject(
            name="Replace the pump station", cost=usd("210000.00"), growth_group="Pipe and pumps", year=2029,
            upkeep_a_year=usd("6500.00"), scores=scores,
        ),
    )  # fmt: skip
    fields: dict[str, Any] = {
        "cost": usd("1150000.00"), "growth_group": "Pipe and pumps",
        "phases": [
            Phase(percent=Decimal(55), closure_days=21), Phase(percent=Decimal(45), closure_days=14)
        ],
        "prerequisites": [Prerequisite(project_id=pumps.id)], "scores": scores,
    }  # fmt: skip
    irrigation = client.plan_projects.create(plan.id, NewPlanProject(name="Irrigation", year=2029, **fields))
    irrigation = client.plan_projects.change(
        irrigation.id,
        PlanProjectChange(name="Irrigation", year=2030, latest=2033, **fields),
        irrigation.version,
    )
    client.plan_projects.create(
        plan.id,
        NewPlanProject(name="Autumn programme again", estimate_id=estimate.id, year=2028, scores=scores),
    )
    spare = client.plan_projects.create(plan.id, NewPlanProject(name="Spare", cost=usd("1.00")))
    client.plan_projects.delete(spare.id, spare.version)
    found = client.plan_projects.add_from_assets(plan.id)
    assert {one.name for one in found.added} <= {one.name for one in client.plan_projects.list(plan.id)}
    assert client.plan_projects.read(irrigation.id) == irrigation


def the_figures_of_the_plan(client: Any, plan: Any) -> None:
    """Read the plan as it is dated in every form, the least contribution, and what deferring costs."""
    figures = client.capital_plans.figures(plan.id)
    first, last = figures.years[0], figures.years[-1]
    assert (first.year, last.year) == (2027, 2041)
    came = sum(
        year.contributions.amount + year.dues.amount + year.loans_drawn.amount + year.interest.amount
        for year in figures.years
    )
    went = sum(year.spending.amount + year.loan_payments.amount for year in figures.years)
    assert first.opening.amount + came - went == last.closing.amount
    assert client.capital_plans.figures_csv(plan.id).startswith("year,opening,contributions,")
    assert client.capital_plans.figures_workbook(plan.id).startswith(b"PK")
    assert client.capital_plans.chart_svg(plan.id).startswith("<svg")
    assert "vega-lite" in client.capital_plans.chart_vega_lite(plan.id)
    least = client.capital_plans.least_contribution(plan.id, percent_a_year=Decimal("2.5"))
    assert min(year.closing.amount for year in least.years) >= least.floor.amount
    best = client.capital_plans.best_timing(plan.id)
    assert best.possible
    assert all(year.closing.amount >= year.floor.amount for year in best.years)
    deferrals = client.capital_plans.deferrals(plan.id, years=2)
    pumps = deferrals.items[0]
    assert pumps.net.amount == pumps.growth.amount + pumps.upkeep.amount - pumps.interest_kept.amount
    assert client.capital_plans.deferrals_csv(plan.id).startswith("number,name,year,later_year,")
