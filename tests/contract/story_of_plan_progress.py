"""The part of the story in which a locked plan is worked off: projects opened and finished, and the next plan begun."""

from typing import Any

from story_of_plans import usd
from swardcost_model.capital_plans import Decided, MoneyTerms, NewDecision, NewPlan, NewPlanProject
from swardcost_model.plan_progress import NewCompletion, ProjectOpening
from swardcost_model.plan_succession import NextPlan


def the_progress_of_the_plan(client: Any, plan: Any) -> None:
    """Open what was approved, finish a project, look where the money stands, and go on with the next plan."""
    pumps, irrigation, autumn, *_ = client.plan_projects.list(plan.id)
    opened = client.plan_progress.open(autumn.id)
    assert (opened.plan_project.opened_project_id, opened.to_do) == (opened.project.id, [])
    assert client.budgets.read(opened.budget_id).project_id == opened.project.id
    books = client.depreciation.of_plan(plan.id)
    assert (books.first_year, len(books.totals)) == (plan.first_year, plan.years)
    assert client.depreciation.of_plan_csv(plan.id).startswith(
        "name,in_service_on,life_years,cost,salvage,year,"
    )
    assert client.depreciation.of_plan_workbook(plan.id).startswith(b"PK")
    assert len(client.depreciation.of_assets(2026, years=5).totals) == 5
    assert client.depreciation.of_plan(plan.id, convention="full_year").convention == "full_year"
    assert client.depreciation.of_assets_csv(2026).startswith("name,")
    assert client.depreciation.of_assets_workbook(2026).startswith(b"PK")
    new = client.plan_progress.open(pumps.id, ProjectOpening(name="Pump station at the fourth pond"))
    assert (new.budget_id, new.project.starts_on.year) == (None, 2029)
    assert client.plan_progress.withdraw_opening(pumps.id).opened_project_id is None
    client.plan_progress.open(pumps.id, ProjectOpening(project_id=new.project.id))
    standing = client.plan_progress.standing(plan.id, through="2027-06")
    assert [one.stage for one in standing.projects[:3]] == ["opened", "not_opened", "budgeted"]
    assert standing.planned.amount == sum(one.planned.amount for one in standing.projects if one.planned)
    assert client.plan_progress.standing_csv(plan.id).startswith("number,name,year,decided,stage,planned,")
    assert client.plan_progress.standing_workbook(plan.id).startswith(b"PK")
    assert client.plan_progress.standing_svg(plan.id).startswith("<svg")
    assert "vega-lite" in client.plan_progress.standing_vega_lite(plan.id)
    following = NextPlan(name="Capital plan 2028 to 2042", opening_reserve=usd("655000.00"))
    after = client.plan_progress.continue_plan(plan.id, following)
    assert (after.plan.follows, after.plan.first_year) == (plan.id, 2028)
    assert [one.how for one in after.carried[:3]] == ["as_dated", "as_dated", "under_way"]
    assert after.carried[1].carried_from == irrigation.id
    moves = client.plan_progress.moves(after.plan.id)
    assert moves.spent.amount - moves.spent_before.amount == sum(
        one.amount
        for one in (moves.by_timing, moves.by_cost, moves.by_new, moves.by_finished, moves.by_left_out)
    )
    assert client.plan_progress.moves_csv(after.plan.id).startswith("number_before,number,name,kind,")
    assert client.plan_progress.moves_workbook(after.plan.id).startswith(b"PK")
    assert client.plan_progress.moves_svg(after.plan.id).startswith("<svg")
    assert "vega-lite" in client.plan_progress.moves_vega_lite(after.plan.id)


def a_project_is_finished(client: Any) -> None:
    """A short plan of one project, which is opened and finished in its first year."""
    money = MoneyTerms(opening_reserve=usd("30000.00"))
    plan = client.capital_plans.create(NewPlan(name="Benches of 2026", first_year=2026, years=2, money=money))
    benches = client.plan_projects.create(
        plan.id, NewPlanProject(name="Benches", cost=usd("9600.00"), year=2026)
    )
    client.capital_plans.issue(plan.id)
    client.plan_projects.decide(benches.id, NewDecision(decided=Decided.APPROVED))
    client.capital_plans.lock(plan.id)
    client.plan_progress.open(benches.id)
    done = client.plan_progress.complete(benches.id, NewCompletion(year=2026, note="All set"))
    assert (done.completion.year, done.completion.cost) == (2026, None)
