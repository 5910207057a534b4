"""The part of the story in which other ways of a capital plan are held against each other."""

from decimal import Decimal
from typing import Any

from swardcost_model.capital_plans import PlanLoan
from swardcost_model.plan_scenarios import (
    LeastContribution,
    MoneyChanges,
    MovedProject,
    PlanCopy,
    ProjectChanges,
    Scenario,
    ScenarioQuestion,
)
from swardcost_model.values import Money


def the_scenarios_of_the_plan(client: Any, plan: Any) -> None:
    """Hold a draft against other ways, one of them a copy that is dated by its best timing and deleted."""
    copy = client.plan_scenarios.copy(plan.id, PlanCopy(name=f"{plan.name}, another way"))
    pumps = next(one for one in client.plan_projects.list(plan.id) if one.name == "Replace the pump station")
    loan = PlanLoan(
        name="Pump loan", principal=Money(amount=Decimal("120000.00"), currency="USD"), annual_percent=Decimal("5"),
        years=6, drawn_in=2029,
    )  # fmt: skip
    later = ProjectChanges(moved=[MovedProject(project_id=pumps.id, year=2031)])
    question = ScenarioQuestion(
        scenarios=[
            Scenario(name="As dated"),
            Scenario(name="Least contribution", money=MoneyChanges(contribution=LeastContribution())),
            Scenario(name="Pumps later, with a loan", money=MoneyChanges(loans=[loan]), projects=later),
            Scenario(name="Best timing", start="best_timing"),
            Scenario(name="The copy", plan_id=copy.id),
        ]
    )
    found = client.plan_scenarios.ask(plan.id, question)
    assert [one.name for one in found.scenarios] == [one.name for one in question.scenarios]
    as_dated, least, *_, of_copy = found.scenarios
    assert as_dated.years == of_copy.years
    assert least.totals.least_balance.amount >= Decimal("150000.00")
    assert client.plan_scenarios.ask_csv(plan.id, question).startswith("year,scenario,opening,")
    assert client.plan_scenarios.ask_workbook(plan.id, question).startswith(b"PK")
    assert client.plan_scenarios.chart_svg(plan.id, question).startswith("<svg")
    assert "vega-lite" in client.plan_scenarios.chart_vega_lite(plan.id, question)
    best = client.capital_plans.best_timing(copy.id)
    taken = client.capital_plans.take_timing(copy.id)
    assert {one.number: one.after for one in taken.projects} == {
        one.number: one.year for one in best.projects
    }
    assert client.capital_plans.take_timing(copy.id).projects_changed == 0
    client.capital_plans.delete(copy.id, copy.version)


def the_plan_as_decided(client: Any, plan: Any) -> None:
    """Read a plan as it was decided, and what of it is not done as dated."""
    figures = client.capital_plans.figures(plan.id, basis="as_decided")
    assert figures.basis == "as_decided"
    assert client.capital_plans.figures_csv(plan.id, basis="as_decided").startswith("year,opening,")
    assert client.capital_plans.chart_svg(plan.id, chart="spending", basis="as_decided").startswith("<svg")
    assert "vega-lite" in client.capital_plans.chart_vega_lite(plan.id, chart="funded")
    deferred = client.plan_scenarios.deferred(plan.id)
    assert {one.why for one in deferred.items} <= {"deferred", "not_dated"}
    assert client.plan_scenarios.deferred_csv(plan.id).startswith("number,name,why,")
