"""The part of the story in which the futures of a capital plan are simulated."""

from decimal import Decimal
from typing import Any

from swardcost_model.plan_futures import FuturesQuestion, PointsRange


def the_futures_of_the_plan(client: Any, plan: Any) -> None:
    """Simulate a plan in every form, by either rule, and ask what more would be enough."""
    points = PointsRange(lower=Decimal("0.5"), upper=Decimal("1.5"))
    question = FuturesQuestion(
        futures=400, seed=7, growth_points=points, interest_points=points, at_most_percent=Decimal(5)
    )
    found = client.capital_plans.futures(plan.id, question)
    assert (found.futures, found.all_alike, found.drawn.growth) == (400, False, True)
    figures = client.capital_plans.figures(plan.id)
    assert [one.closing_in_plan for one in found.years] == [one.closing for one in figures.years]
    assert found.enough.below_floor.percent <= 5
    for year in found.years:
        fan = year.closing
        amounts = [one.amount for one in (fan.p5, fan.p10, fan.p25, fan.p50, fan.p75, fan.p90, fan.p95)]
        assert amounts == sorted(amounts)
    assert client.capital_plans.futures(plan.id, question) == found
    waiting = question.model_copy(update={"when": "failed", "several": "whole_project"})
    assert client.capital_plans.futures(plan.id, waiting).when == "failed"
    assert client.capital_plans.futures(plan.id).futures == 1000
    assert client.capital_plans.futures_csv(plan.id, question).startswith("year,closing_in_plan,")
    assert client.capital_plans.futures_svg(plan.id, question).startswith("<svg")
    assert client.capital_plans.futures_svg(plan.id, question, chart="spending").startswith("<svg")
    assert "vega-lite" in client.capital_plans.futures_vega_lite(plan.id, question, chart="shortfall")
