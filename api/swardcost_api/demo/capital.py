"""The years to come: what the course is made of, and a capital plan that is weighed, decided on and followed."""

from decimal import Decimal
from importlib.resources import files
from typing import Any
from uuid import UUID

from swardcost import Client
from swardcost_model.assets import AssetRegister
from swardcost_model.capital_plans import (
    Criterion,
    Decided,
    GrowthGroup,
    MoneyTerms,
    NewDecision,
    NewPlan,
    NewPlanProject,
    Phase,
    Plan,
    PlanLoan,
    PlanProject,
    PlanProjectChange,
    PlanProjectFields,
    Prerequisite,
    Score,
    YearlyIncome,
)
from swardcost_model.estimates import Estimate
from swardcost_model.plan_futures import FuturesQuestion, PlanFutures, PointsRange
from swardcost_model.plan_progress import OpenedProject
from swardcost_model.plan_scenarios import (
    LeastContribution,
    MoneyChanges,
    ProjectChanges,
    Scenario,
    ScenarioQuestion,
)
from swardcost_model.plan_succession import ContinuedPlan, NextPlan
from swardcost_model.scenario_figures import ScenariosSideBySide
from swardcost_model.values import Money

FIRST_YEAR, YEARS, REGISTER_YEAR = 2026, 15, 2026
CRITERIA = ("Safety", "Playing quality", "Water")


def usd(amount: str) -> Money:
    return Money(amount=Decimal(amount), currency="USD")


def register_assets(client: Client) -> AssetRegister:
    """Take in what the course is made of; gives it with its figures."""
    client.assets.upload((files("swardcost_api.demo") / "assets.csv").read_text(encoding="utf-8"))
    return client.assets.register(year=REGISTER_YEAR)


def begin_plan(client: Client, estimate: Estimate) -> Plan:
    """A plan of fifteen years: its money, the closure's programme, and a project for whatever falls due."""
    money = MoneyTerms(
        opening_reserve=usd("910000.00"),
        incomes=[
            YearlyIncome(name="Yearly contribution", amount=usd("165000.00"), percent_a_year=Decimal(3)),
            YearlyIncome(
                name="Share of dues", kind="dues", units=Decimal(380), amount=usd("240.00"), percent_a_year=Decimal(3)
            ),
            YearlyIncome(name="New members", kind="initiation", units=Decimal(14), amount=usd("2500.00")),
        ],
        loans=[
            PlanLoan(
                name="Irrigation loan", principal=usd("1200000.00"), annual_percent=Decimal("5.75"), years=12,
                drawn_in=2029,
            )
        ],
        interest_percent=Decimal("2.5"), least_balance=usd("150000.00"), spending_limit=usd("1000000.00"),
        spending_limit_percent_a_year=Decimal(3),
    )  # fmt: skip
    plan = client.capital_plans.create(
        NewPlan(
            name=f"Capital plan {FIRST_YEAR} to {FIRST_YEAR + YEARS - 1}", first_year=FIRST_YEAR, years=YEARS,
            growth_percent=Decimal(3),
            growth_groups=[
                GrowthGroup(name="Pipe and pumps", percent=Decimal("4.5")),
                GrowthGroup(name="Paving", percent=Decimal(4)), GrowthGroup(name="Machines", percent=Decimal("3.5")),
            ],
            criteria=[Criterion(name=name, weight=Decimal(3 - place)) for place, name in enumerate(CRITERIA)],
            closure_days_a_year=45, capital_threshold=usd("10000.00"), money=money,
        )
    )  # fmt: skip
    client.plan_projects.create(
        plan.id,
        NewPlanProject(
            name="Autumn programme 2026", estimate_id=estimate.id, year=FIRST_YEAR, scores=scores(4, 9, 5),
            phases=[Phase(percent=Decimal(100), closure_days=35)], spending="capital",
        ),
    )  # fmt: skip
    client.plan_projects.add_from_assets(plan.id)
    _put_together(client, plan)
    return plan


def scores(*points: int) -> list[Score]:
    """Points by the plan's criteria, in their order."""
    return [Score(criterion=name, score=Decimal(point)) for name, point in zip(CRITERIA, points, strict=True)]


def _put_together(client: Client, plan: Plan) -> None:
    """Say of what was added from assets what the register cannot know: what it takes, and what has to wait for what."""
    found = {one.name: one for one in client.plan_projects.list(plan.id)}
    pumps = found["Pump station at the sixth pond"]
    pipe = {"prerequisites": [Prerequisite(project_id=pumps.id, years_before=0)]}
    two_seasons = [Phase(percent=Decimal(60), closure_days=30), Phase(percent=Decimal(40), closure_days=20)]
    changes: dict[str, dict[str, Any]] = {
        pumps.name: {"scores": scores(5, 4, 10), "year": 2028, "upkeep_a_year": usd("9500.00")},
        "Irrigation pipe and heads front nine": {
            **pipe, "scores": scores(3, 7, 10), "year": 2029, "phases": two_seasons,
            "upkeep_a_year": usd("21000.00"),
        },
        "Irrigation pipe and heads back nine": {
            **pipe, "scores": scores(3, 7, 9), "year": 2031, "phases": two_seasons, "upkeep_a_year": usd("17000.00"),
        },
        "Bunker sand and drains front nine": {
            "scores": scores(2, 8, 3), "phases": [Phase(percent=Decimal(100), closure_days=12)],
        },
        "Footbridge on hole 8": {"scores": scores(9, 2, 0), "latest": 2033, "required": True},
    }  # fmt: skip
    for name, change in changes.items():
        edit(client, found[name], **change)
    for name, one in found.items():
        if name not in changes and not one.scores:
            edit(client, one, scores=scores(3, 4, 2))


def edit(client: Client, project: PlanProject, **changes: Any) -> PlanProject:
    """Change some of what is stated of a project."""
    fields = {name: getattr(project, name) for name in PlanProjectFields.model_fields} | changes
    return client.plan_projects.change(project.id, PlanProjectChange(**fields), project.version)


def other_ways(client: Client, plan: Plan) -> ScenariosSideBySide:
    """The plan as dated, with the least contribution that is enough, two years later, and at its best timing."""
    least = MoneyChanges(contribution=LeastContribution(percent_a_year=Decimal(3)))
    question = ScenarioQuestion(
        scenarios=[
            Scenario(name="As dated"),
            Scenario(name="Least contribution", money=least),
            Scenario(name="All two years later", projects=ProjectChanges(deferred_by=2)),
            Scenario(name="Best timing", start="best_timing"),
        ]
    )
    return client.plan_scenarios.ask(plan.id, question)


def futures(client: Client, plan: Plan) -> PlanFutures:
    """The plan with lives, costs and their growth as they may turn out."""
    points = PointsRange(lower=Decimal(1), upper=Decimal("1.5"))
    question = FuturesQuestion(futures=1000, seed=2026, growth_points=points, at_most_percent=Decimal(10))
    return client.capital_plans.futures(plan.id, question)


def decide(client: Client, committee: Client, plan: Plan) -> dict[str, int]:
    """Issue the plan and have the committee decide on it line by line; gives how often it decided what."""
    client.capital_plans.issue(plan.id)
    counts: dict[str, int] = {}
    for project in client.plan_projects.list(plan.id):
        decision = NewDecision(decided=Decided.APPROVED)
        if project.name == "Maintenance building":
            decision = NewDecision(decided=Decided.DECLINED, conditions="A survey of the frame comes first")
        elif project.name == "Cart path front nine" and project.year is not None:
            decision = NewDecision(
                decided=Decided.DEFERRED, deferred_to=project.year + 2, conditions="After the pipe is laid"
            )
        committee.plan_projects.decide(project.id, decision)
        counts[decision.decided.value] = counts.get(decision.decided.value, 0) + 1
    committee.capital_plans.lock(plan.id)
    return counts


def open_autumn(client: Client, plan: Plan) -> OpenedProject:
    """Open the programme of the closure, whose estimate was accepted in its season."""
    autumn = next(one for one in client.plan_projects.list(plan.id) if one.estimate_id is not None)
    return client.plan_progress.open(autumn.id)


def go_on(client: Client, plan_id: UUID) -> ContinuedPlan:
    """Begin the plan of the next year, and say why the bunkers are moved."""
    following = client.plan_progress.continue_plan(
        plan_id,
        NextPlan(
            name=f"Capital plan {FIRST_YEAR + 1} to {FIRST_YEAR + YEARS}", opening_reserve=usd("1086000.00")
        ),
    )
    bunkers = next(
        one.project
        for one in following.carried
        if one.name == "Bunker sand and drains front nine" and one.project
    )
    edit(client, bunkers, year=2029, moved_because="The drains were flushed and hold another season")
    return following
