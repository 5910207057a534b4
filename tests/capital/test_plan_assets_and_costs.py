"""What a plan makes of its assets and projects: how well they are funded, what they cost, and what is missing."""

from decimal import ROUND_HALF_UP, Decimal

from asset_factories import an_asset
from conftest import Api
from estimate_factories import a_dressed_green, money
from plan_by_hand import CENT, grown
from plan_factories import (
    Document,
    a_plan,
    a_plan_project,
    by_number,
    figures_of,
    usd,
    years_of,
)
from sqlalchemy import delete, update
from swardcost_api.capital.plan_assets import assets_as_they_stand
from swardcost_api.capital.tables import AssetRow, CapitalPlanRow
from swardcost_api.storage.work import OPERATOR, UnitOfWork


def a_life(years: str) -> Document:
    return {"low": years, "likely": years, "high": years}


def test_the_fully_funded_balance_is_redone_asset_by_asset(api: Api) -> None:
    plan = a_plan(api, {"opening_reserve": usd("100000.00")}, price_year=2026, growth_percent="3")
    pumps = an_asset(api, "PUMP", in_use_since=2010, life=a_life("20"), growth_group="Pipe and pumps")
    bridge = an_asset(
        api, "BRIDGE", kind="bridge", life=a_life("50"), in_use_since=1970,
        condition={"grade": 3, "on": "2026-06-01", "years_left": "8"},
        replacement={"by": "stated", "cost": usd("64000.00")},
    )  # fmt: skip
    an_asset(api, "POND", in_use_since=1990, life=a_life("40"), replaced=False)
    a_plan_project(
        api,
        plan,
        None,
        name="Pumps",
        asset_ids=[pumps["id"]],
        year=2029,
        phases=[{"percent": "50"}, {"percent": "50"}],
    )
    found = figures_of(api, plan)
    for year in found["years"]:
        at = year["year"]
        since = 2030 if at >= 2030 else 2010
        pump_age, bridge_age = min(at - since, 20), min(50 - 8 + at - 2026, 50)
        pump = (grown(Decimal("180000.00"), "5.5", at - 2026) * pump_age / 20).quantize(CENT, ROUND_HALF_UP)
        held = (grown(Decimal("64000.00"), "3", at - 2026) * bridge_age / 50).quantize(CENT, ROUND_HALF_UP)
        assert money(year["fully_funded"]) == pump + held
        percent = (money(year["closing"]) * 100 / (pump + held)).quantize(CENT, ROUND_HALF_UP)
        assert Decimal(year["percent_funded"]) == percent
    # At the end of 2026 sixteen of twenty years of the pumps are used, and 42 of 50 of the bridge.
    assert money(found["fully_funded_at_start"]) == 144_000 + Decimal("53760.00")
    assert found["percent_funded_at_start"] == "50.57"
    assert found["missing"] == []
    (due,) = found["cautions"][-1:]
    assert due == "Due within the plan, and no dated project replaces them: BRIDGE (Asset BRIDGE) in 2034."
    assert bridge["code"] in due


def test_an_asset_that_falls_due_again_after_its_project_is_told(api: Api) -> None:
    plan = a_plan(api, years=15)
    sand = an_asset(api, "SAND-3", kind="bunker_sand", in_use_since=2022, life=a_life("6"))
    a_plan_project(api, plan, None, asset_ids=[sand["id"]], year=2028)
    (caution,) = [one for one in figures_of(api, plan)["cautions"] if one.startswith("Due")]
    assert caution.endswith("SAND-3 (Asset SAND-3) again in 2034.")


def test_what_is_not_known_of_assets_is_named_and_in_no_sum(api: Api) -> None:
    plan = a_plan(api)
    dear = an_asset(api, "A-1", replacement=None, in_use_since=2010)
    ageless = an_asset(api, "A-2", in_use_since=None)
    lifeless = an_asset(api, "A-3", kind="other")
    a_plan_project(api, plan, None, name="Pumps", asset_ids=[dear["id"], ageless["id"]], year=2030)
    found = figures_of(api, plan)
    gaps = [(one["kind"], one["about"]) for one in found["missing"]]
    project = found["projects"][0]["project_id"]
    assert gaps == [
        ("project_cost", project), ("asset_cost", dear["id"]), ("asset_age", ageless["id"]),
        ("asset_life", lifeless["id"]),
    ]  # fmt: skip
    assert found["complete"] is False
    assert (found["projects"][0]["cost"], found["projects"][0]["cost_at_price_year"]) == (None, None)
    assert years_of(found, "fully_funded") == [None] * 10
    assert money(found["spent_over_plan"]) == 0
    assert found["missing"][0]["words"] == (
        "Project 1 (Pumps) has no cost: nobody knows what asset A-1 (Asset A-1) costs."
    )


def test_assets_of_growth_groups_that_the_plan_does_not_have_are_told(api: Api) -> None:
    plan = a_plan(api)
    for code, group in (("A-1", "Turf"), ("A-2", "Paving"), ("A-3", "Pipe and pumps")):
        an_asset(api, code, growth_group=group, in_use_since=2026, life=a_life("20"))
    assert figures_of(api, plan)["cautions"] == [
        "Assets of growth groups that the plan does not have take its general rate: Paving, Turf."
    ]


def test_an_issued_plan_counts_the_assets_as_they_stood_then(api: Api) -> None:
    plan = a_plan(api)
    pumps = an_asset(api, "PUMP", in_use_since=2010, life=a_life("20"))
    a_plan_project(api, plan, None, asset_ids=[pumps["id"]], year=2029)
    as_issued = figures_of(api, plan)
    with api.database.writing() as session:
        kept = assets_as_they_stand(UnitOfWork(session, api.club, OPERATOR))
        documents = [one.model_dump(mode="json") for one in kept]
        session.execute(update(CapitalPlanRow).values(status="issued", assets=documents))
    dearer = {"by": "stated", "cost": usd("999000.00")}
    body = {name: value for name, value in pumps.items() if name not in ("id", "version")}
    api.put(f"/assets/{pumps['id']}", json=body | {"replacement": dearer}, headers={"If-Match": '"1"'})
    assert api.get(f"/assets/{pumps['id']}").json()["version"] == 2
    assert figures_of(api, plan) == as_issued | {"status": "issued"}


def test_an_asset_that_is_no_longer_there_leaves_its_project_without_a_cost(api: Api) -> None:
    plan = a_plan(api)
    pumps = an_asset(api)
    a_plan_project(api, plan, None, name="Pumps", asset_ids=[pumps["id"]], year=2029)
    with api.database.writing() as session:
        session.execute(delete(AssetRow))
    found = figures_of(api, plan)
    assert [(one["kind"], one["about"]) for one in found["missing"]] == [("asset_gone", pumps["id"])]
    assert found["projects"][0]["cost"] is None
    assert found["spent_over_plan"] == usd("0.00")


def test_a_project_costs_what_its_assets_or_its_estimate_cost(api: Api) -> None:
    plan = a_plan(api, growth_percent="0")
    first, second = (
        an_asset(api, "A-1"),
        an_asset(api, "A-2", replacement={"by": "stated", "cost": usd("20000.00")}),
    )
    estimate = a_dressed_green(api)
    a_plan_project(api, plan, None, asset_ids=[first["id"], second["id"]], year=2028)
    a_plan_project(api, plan, None, estimate_id=estimate["id"], year=2028)
    told = by_number(figures_of(api, plan))
    assert (told[1]["cost"], told[1]["cost_basis"]) == (usd("200000.00"), "The sum of its 2 assets.")
    assert (told[2]["cost"], told[2]["cost_basis"]) == (estimate["total"], "The total of its estimate.")


def test_capital_and_operating_are_told_apart_with_the_reason(api: Api) -> None:
    plan = a_plan(api, growth_percent="0", capital_threshold=usd("5000.00"))
    a_plan_project(api, plan, "5000.00", year=2028)
    a_plan_project(api, plan, "4999.99", year=2028)
    a_plan_project(api, plan, "90000.00", year=2028, spending="operating")
    found = figures_of(api, plan)
    assert [(one["spending"], one["spending_because"]) for one in found["projects"]] == [
        ("capital", "It costs at least the plan's threshold of 5,000.00 USD."),
        ("operating", "It costs less than the plan's threshold of 5,000.00 USD."),
        ("operating", "Stated with the project."),
    ]
    year = found["years"][1]
    assert (year["capital_spending"], year["operating_spending"]) == (usd("5000.00"), usd("94999.99"))
    assert found["cautions"] == []


def test_without_a_threshold_capital_is_taken_and_said(api: Api) -> None:
    plan = a_plan(api)
    a_plan_project(api, plan, name="Paths", year=2028)
    found = figures_of(api, plan)
    assert found["projects"][0]["spending"] == "capital"
    assert found["cautions"] == ["Taken as capital, though nothing says so: 1 (Paths)."]


def test_scores_are_weighed_and_a_missing_one_is_not_zero(api: Api) -> None:
    criteria = [{"name": "Safety", "weight": "3"}, {"name": "Play", "weight": "1.5"}]
    plan = a_plan(api, criteria=criteria)
    both = [{"criterion": "Play", "score": "4"}, {"criterion": "Safety", "score": "9"}]
    a_plan_project(api, plan, name="Both", scores=both)
    a_plan_project(api, plan, name="One", scores=both[:1])
    found = figures_of(api, plan)
    both_told, one_told = found["projects"]
    # (3 x 9 + 1.5 x 4) / 4.5 is 7.333...
    assert (both_told["score"], one_told["score"]) == ("7.33", None)
    (step,) = [one for one in both_told["derivation"] if one["name"] == "score"]
    assert {one["name"]: one["value"] for one in step["inputs"]} == {
        "weight of Safety": "3", "score of Safety": "9", "weight of Play": "1.5", "score of Play": "4",
    }  # fmt: skip
    assert [one["words"] for one in found["missing"]] == ["Project 2 (One) is not scored by Safety."]
    assert found["not_dated"] == ["1 (Both)", "2 (One)"]


def test_dates_that_go_against_what_is_stated_are_cautioned_against(api: Api) -> None:
    plan = a_plan(api, capital_threshold=usd("0.00"))
    first = a_plan_project(api, plan, name="Pumps", year=2030, together_with="Water")
    a_plan_project(
        api, plan, name="Mains", year=2031, prerequisites=[{"project_id": first["id"], "years_before": 2}]
    )
    a_plan_project(api, plan, name="Pond", year=2033, together_with="Water", prerequisites=[])
    last = a_plan_project(api, plan, name="Study", required=True)
    a_plan_project(api, plan, name="Work", year=2028, prerequisites=[{"project_id": last["id"]}])
    assert figures_of(api, plan)["cautions"] == [
        "Project 2 (Mains) begins in 2031; project 1 (Pumps), which it needs first, lets it begin in 2032 at the "
        "soonest.",
        "Project 5 (Work) is dated, but project 4 (Study), which it needs first, is not.",
        "Projects of 'Water' belong together but begin apart: 1 (Pumps) in 2030; 3 (Pond) in 2033.",
        "Project 4 (Study) is required and not dated.",
    ]
