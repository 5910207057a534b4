"""The futures of a plan through the API: what differs, what decides, what would be enough, faces, and refusals."""

import csv
import io
import json
from decimal import Decimal
from typing import Any

import pytest
from asset_factories import an_asset
from big_capital_plan import FLOOR_MINOR, big_plan, big_plan_bodies
from conftest import Api
from plan_by_hand import amount_of
from plan_factories import (
    MONEY,
    NOBODY,
    PLANS,
    Document,
    a_plan,
    a_plan_project,
    a_whole_plan,
    faults,
    figures_of,
    got,
    usd,
)
from swardcost_api.engine.capital.fan import ever_below, fan_of
from swardcost_api.engine.capital.futures import draw_futures
from swardcost_api.engine.capital.futures_funding import enough_more
from swardcost_api.engine.capital.uncertain_plans import Drawing

FAN = ("mean", "p5", "p10", "p25", "p50", "p75", "p90", "p95")
SURELY_THREE = {"low": "2.1", "likely": "2.5", "high": "2.9"}


def futures_of(api: Api, plan: Document, **asked: Any) -> Document:
    answer = api.post(f"{PLANS}/{plan['id']}/futures", json={"futures": 200} | asked)
    assert answer.status_code == 200, answer.text
    found: Document = answer.json()
    return found


def refused(api: Api, plan: Document, status: int = 422, **asked: Any) -> list[str]:
    return faults(api.post(f"{PLANS}/{plan['id']}/futures", json=asked), status)


def short_lived(api: Api, code: str = "PUMP-1", **more: Any) -> Document:
    """A pump of the year before the plan, of 800.00, that fails in its third year for sure."""
    cost = {"by": "stated", "cost": usd("800.00")}
    return an_asset(api, code, **({"in_use_since": 2026, "life": SURELY_THREE, "replacement": cost} | more))


def spent(found: Document, name: str = "p50") -> list[Decimal]:
    """What is spent in each year, whole units, where the fan has no width or at one of its percentiles."""
    return [amount_of(year["spending"][name]) for year in found["years"]]


@pytest.mark.parametrize("interest_on", ["opening_balance", "average_balance"])
def test_without_any_range_every_future_is_the_plan_and_that_is_said(api: Api, interest_on: str) -> None:
    plan, _ = a_whole_plan(api, interest_on)
    found, figures = futures_of(api, plan, at_most_percent="5"), figures_of(api, plan)
    assert found["all_alike"]
    assert (found["below_floor"], found["below_zero"]) == (None, None)
    assert "nothing can be said of how probable" in found["conclusions"][0]
    for year, in_plan in zip(found["years"], figures["years"], strict=True):
        assert {year["closing"][name]["amount"] for name in FAN} == {in_plan["closing"]["amount"]}
        assert {year["spending"][name]["amount"] for name in FAN} == {in_plan["spending"]["amount"]}
        assert year["closing_in_plan"] == in_plan["closing"]
        assert (year["below_floor"], year["below_floor_by_then"], year["unplanned"]) == (
            None,
            None,
            usd("0.00"),
        )
    assert (found["drivers"], found["unplanned"]) == ([], [])
    assert [one["early"] for one in found["projects"]] == [None] * 3
    short = max(
        [Decimal(0), *(amount_of(one["floor"]) - amount_of(one["closing"]) for one in figures["years"])]
    )
    assert (amount_of(found["enough"]["more_a_year"]) > 0) == (short > 0)


@pytest.mark.parametrize(
    ("opening", "floor", "told"),
    [
        ("500000.00", "0.00", [
            "In that future the reserve never falls below zero; it is lowest at the end of 2028, with 160,000.00 USD.",
        ]),
        ("500000.00", "160000.00", [
            "In that future the reserve never falls below its floor of 160,000.00 USD; it is lowest at the end of "
            "2028, with 160,000.00 USD.",
        ]),
        ("300000.00", "100000.00", [
            "In that future the reserve falls below its floor of 100,000.00 USD, first in 2028, by 140,000.00 USD; it "
            "is lowest at the end of 2028, with -40,000.00 USD.",
            "70,000.00 USD more in every year would keep it from that.",
        ]),
    ],
)  # fmt: skip
def test_one_future_only_is_told_with_what_it_shows(
    api: Api, opening: str, floor: str, told: list[str]
) -> None:
    money = {"opening_reserve": usd(opening), "least_balance": usd(floor)}
    plan = a_plan(api, money, years=3, growth_percent="0")
    a_plan_project(api, plan, "340000.00", year=2028)
    first, *shown = futures_of(api, plan, at_most_percent="5")["conclusions"]
    assert "there is one future only" in first
    assert shown == told
    assert futures_of(api, plan)["conclusions"] == [first, told[0]]


def test_the_figures_are_those_of_the_engine(api: Api) -> None:
    plan = big_plan(1, 135)
    bodies = big_plan_bodies(plan)
    assets = {one["code"]: api.created("/assets", one)["id"] for one in bodies.assets}
    posted = api.created(PLANS, bodies.plan)
    projects: dict[int, str] = {}
    for one in bodies.projects:
        body = bodies.project_body(one, assets, projects)
        projects[one.number] = api.created(f"{PLANS}/{posted['id']}/projects", body)["id"]
    found = futures_of(api, posted, futures=300, seed=5, at_most_percent="12.5")
    drawn = draw_futures(plan.uncertain_plan(), Drawing(300, 5))
    for place, year in enumerate(found["years"]):
        for name, amounts in (("closing", drawn.closing), ("spending", drawn.spending)):
            fan = fan_of(amounts[place])
            expected = [fan.mean_minor, *fan.percentiles_minor]
            assert [amount_of(year[name][one]) * 100 for one in FAN] == expected
    ever = ever_below(drawn.closing, FLOOR_MINOR)
    assert found["below_floor"]["futures"] == ever.count
    more = enough_more(plan.uncertain_plan(), drawn, Decimal("12.5"))
    assert amount_of(found["enough"]["more_a_year"]) * 100 == more.more_minor
    assert found["enough"]["below_floor"]["futures"] == more.with_it.count
    by_then = [year["below_floor_by_then"]["futures"] for year in found["years"]]
    assert by_then == sorted(by_then)
    assert by_then[-1] == ever.count == sum(year["first_below_floor"]["futures"] for year in found["years"])
    assert (found["drawn"]["lives"], found["drawn"]["project_costs"]) == (120, 40)


def test_a_project_is_done_in_the_year_in_which_its_asset_fails(api: Api) -> None:
    pump, plan = short_lived(api), a_plan(api, growth_percent="0")
    a_plan_project(api, plan, "1000.00", asset_ids=[pump["id"]], year=2034)
    found = futures_of(api, plan)
    # Failing at the end of 2026 + 3, and what replaces it three years later each time.
    assert spent(found) == [0, 0, 1000, 0, 0, 800, 0, 0, 800, 0]
    (project,) = found["projects"]
    assert (project["year"], project["early"]["percent"], project["late"]["percent"]) == (
        2034,
        "100.00",
        "0.00",
    )
    (asset,) = found["unplanned"]
    assert (asset["code"], asset["replacements"], asset["cost"]) == ("PUMP-1", "2.00", usd("800.00"))


def test_a_project_waits_for_the_failure_where_that_is_asked_for(api: Api) -> None:
    pump, plan = short_lived(api), a_plan(api, growth_percent="0")
    a_plan_project(api, plan, "1000.00", asset_ids=[pump["id"]], year=2027)
    assert spent(futures_of(api, plan))[:3] == [1000, 0, 0]
    found = futures_of(api, plan, when="failed")
    assert spent(found)[:3] == [0, 0, 1000]
    assert found["projects"][0]["late"]["percent"] == "100.00"


@pytest.mark.parametrize(
    ("several", "expected"), [("each_asset", [0, 0, 250, 0, 750]), ("whole_project", [0, 0, 1000, 0, 0])]
)
def test_of_a_project_of_several_assets_a_part_or_all_is_done_early(
    api: Api, several: str, expected: list[int]
) -> None:
    lasting = {"low": "40", "likely": "50", "high": "60"}
    pump = short_lived(api, condition={"grade": 1, "on": "2026-05-01", "years_left": "2.5"}, life=lasting)
    rest = short_lived(api, "PIPE-1", replacement={"by": "stated", "cost": usd("2400.00")}, life=lasting)
    plan = a_plan(api, growth_percent="0", years=5)
    a_plan_project(api, plan, "1000.00", asset_ids=[rest["id"], pump["id"]], year=2031)
    assert spent(futures_of(api, plan, several=several)) == expected


def test_what_somebody_judged_to_be_left_varies_as_the_life_does(api: Api) -> None:
    # Likely 4 years left of a life of 10 to 20 to 30, so from 2 to 6, counted up from 2026.
    judged = {"grade": 2, "on": "2026-05-01", "years_left": "4"}
    life = {"low": "10", "likely": "20", "high": "30"}
    short_lived(api, condition=judged, life=life)
    found = futures_of(api, a_plan(api, growth_percent="0", years=8), futures=2000)
    shares = [amount_of(year["spending"]["mean"]) / 800 for year in found["years"]]
    # (x - 2)^2 / 8 up to 4 years and 1 - (6 - x)^2 / 8 from there: 1/8, 3/8, 3/8, 1/8 for 2029 to 2032.
    for share, expected in zip(shares, [0, 0, 0.125, 0.375, 0.375, 0.125, 0, 0], strict=True):
        assert float(share) == pytest.approx(expected, abs=0.05)


def test_costs_by_the_assets_take_their_ranges(api: Api) -> None:
    asset = short_lived(api, life={"low": "40", "likely": "50", "high": "60"}, cost_range=["50", "200"])
    plan = a_plan(api, growth_percent="0", years=1)
    a_plan_project(api, plan, None, asset_ids=[asset["id"]], year=2027)
    fan = futures_of(api, plan, futures=2000)["years"][0]["spending"]
    # P50 of a triangle of 50, 100 and 200 percent: 200 - sqrt(0.5 x 150 x 100) = 113.4 percent.
    assert float(fan["p50"]["amount"]) == pytest.approx(8 * 113.4, rel=0.03)
    assert 400 < float(fan["p5"]["amount"]) < float(fan["p95"]["amount"]) < 1600


def test_the_same_seed_gives_the_same_and_another_asset_leaves_the_rest(api: Api) -> None:
    plan = a_plan(api, MONEY)
    a_plan_project(api, plan, year=2028, cost_range=["70", "160"])
    first = futures_of(api, plan, seed=9)
    assert first == futures_of(api, plan, seed=9)
    assert first["years"] != futures_of(api, plan, seed=10)["years"]
    short_lived(api, life={"low": "40", "likely": "50", "high": "60"})
    assert futures_of(api, plan, seed=9)["years"] == first["years"]


def test_growth_and_interest_may_differ_and_are_told_among_what_decides(api: Api) -> None:
    plan = a_plan(api, {"opening_reserve": usd("900000.00"), "interest_percent": "3"})
    a_plan_project(api, plan, "800000.00", year=2034)
    found = futures_of(
        api, plan, futures=1000, growth_points={"lower": "1", "upper": "3"}, interest_points={"lower": "1"}
    )
    assert (found["drawn"]["growth"], found["drawn"]["interest"], found["all_alike"]) == (True, True, False)
    told = {one["kind"]: Decimal(one["rank_correlation"]) for one in found["drivers"]}
    assert told["growth"] < 0 < told["interest"]
    words = {one["kind"]: (one["about"], one["words"]) for one in found["drivers"]}
    assert words == {
        "growth": (None, "The more costs grow, the less is left where the reserve is lowest."),
        "interest": (None, "The more the reserve earns, the more is left where the reserve is lowest."),
    }


def test_what_decides_names_its_asset_or_project(api: Api) -> None:
    life = {"low": "2", "likely": "6", "high": "14"}
    pump = short_lived(api, life=life, replacement={"by": "stated", "cost": usd("90000.00")})
    plan = a_plan(api, {"opening_reserve": usd("500000.00")}, years=8)
    project = a_plan_project(api, plan, "200000.00", year=2029, cost_range=["60", "180"])
    found = futures_of(api, plan, futures=1000)
    told = {one["kind"]: one for one in found["drivers"]}
    assert told["life"]["about"] == pump["id"]
    assert Decimal(told["life"]["rank_correlation"]) > 0 > Decimal(told["project_cost"]["rank_correlation"])
    assert told["project_cost"]["about"] == project["id"]
    assert told["project_cost"]["derivation"][0]["inputs"][0]["value"] == "1000"


def test_shares_come_with_intervals_and_steps_that_give_them(api: Api) -> None:
    plan = a_plan(api, {"opening_reserve": usd("500000.00"), "least_balance": usd("100000.00")}, years=3)
    a_plan_project(api, plan, "340000.00", year=2028, cost_range=["80", "160"])
    found = futures_of(api, plan, futures=500, at_most_percent="10")
    share = found["below_floor"]
    assert 0 < share["futures"] < 500
    assert Decimal(share["low"]) < Decimal(share["percent"]) < Decimal(share["high"])
    assert Decimal(share["percent"]) == Decimal(share["futures"]) / 5
    steps = {one["name"]: one for one in found["derivation"]}
    told = steps["closing below the floor in any year"]
    assert [one["value"] for one in told["inputs"]] == [str(share["futures"]), "500", "100000"]
    year = {one["name"]: one for one in found["years"][1]["derivation"]}
    assert Decimal(year["closing balance of 2028, P50"]["value"]) == amount_of(
        found["years"][1]["closing"]["p50"]
    )
    enough = {one["name"]: one["value"] for one in found["enough"]["derivation"]}
    assert enough["futures allowed below the floor"] == "50"
    assert Decimal(enough["more a year"]) == amount_of(found["enough"]["more_a_year"])
    assert (
        f"{amount_of(found['enough']['more_a_year']):,f} USD more in every year" in found["conclusions"][-1]
    )


def test_more_a_year_of_that_amount_leaves_that_share(api: Api) -> None:
    """Asked again of a plan that has the amount as a contribution, as many futures fall below the floor."""
    money = {"opening_reserve": usd("300000.00"), "interest_percent": "2.5"}
    plan = a_plan(api, money, years=6)
    project = {"year": 2029, "cost_range": ["75", "170"]}
    a_plan_project(api, plan, "290000.00", **project)
    enough = futures_of(api, plan, at_most_percent="7.5")["enough"]
    more = {"name": "More", "amount": enough["more_a_year"]}
    richer = a_plan(api, money | {"incomes": [more]}, years=6)
    a_plan_project(api, richer, "290000.00", **project)
    assert futures_of(api, richer)["below_floor"] == enough["below_floor"]


def test_the_cautions_name_what_is_not_drawn_or_not_known(api: Api) -> None:
    life = {"low": "10", "likely": "10", "high": "10"}
    an_asset(api, "FIXED-1", life=life)
    an_asset(api, "OLD-1", in_use_since=1990)
    an_asset(api, "AGELESS-1", in_use_since=None)
    an_asset(api, "COSTLESS-1", replacement=None)
    an_asset(api, "KEPT-1", replaced=False)
    plan = a_plan(api)
    a_plan_project(api, plan, year=2030, name="Fixed cost")
    a_plan_project(api, plan, name="Some day")
    words = " ".join(futures_of(api, plan)["cautions"])
    for code, told in (
        ("FIXED-1", "have no range; they are renewed as dated"), ("OLD-1", "Older than their longest life"),
        ("AGELESS-1", "Nobody knows when these assets are due"), ("COSTLESS-1", "Nobody knows what these assets cost"),
        ("Fixed cost", "have no range of cost"), ("Some day", "Not in the plan as it is counted"),
    ):  # fmt: skip
        assert f"{code}" in next(one for one in futures_of(api, plan)["cautions"] if told in one)
    assert "KEPT-1" not in words


def test_the_plan_as_decided_is_drawn_where_that_is_asked_for(api: Api) -> None:
    plan = a_plan(api, growth_percent="0", years=4)
    dropped = a_plan_project(api, plan, "1000.00", year=2028, cost_range=["90", "120"])
    later = a_plan_project(api, plan, "500.00", year=2027)
    api.post(f"{PLANS}/{plan['id']}/issue")
    api.post(f"/plan-projects/{dropped['id']}/decide", json={"decided": "declined"})
    api.post(f"/plan-projects/{later['id']}/decide", json={"decided": "deferred", "deferred_to": 2030})
    assert not futures_of(api, plan)["all_alike"]
    found = futures_of(api, plan, basis="as_decided")
    assert (found["all_alike"], spent(found)) == (True, [0, 0, 0, 500])
    assert "Declined" in found["left_out"][0]


def test_an_issued_plan_keeps_the_ranges_it_was_issued_with(api: Api) -> None:
    pump = short_lived(api)
    plan = a_plan(api, growth_percent="0")
    a_plan_project(api, plan, "1000.00", year=2030)
    before = futures_of(api, plan)["years"]
    assert api.post(f"{PLANS}/{plan['id']}/issue").status_code == 200
    body = {name: value for name, value in pump.items() if name not in ("id", "version")}
    lasting = body | {"life": {"low": "40", "likely": "50", "high": "60"}}
    answer = api.put(f"/assets/{pump['id']}", json=lasting, headers={"If-Match": f'"{pump["version"]}"'})
    assert answer.status_code == 200, answer.text
    assert futures_of(api, plan)["years"] == before


def asked_as(api: Api, plan: Document, media_type: str, **asked: Any) -> str:
    answer = api.post(f"{PLANS}/{plan['id']}/futures", json=asked, headers={"Accept": media_type})
    assert answer.status_code == 200, answer.text
    assert answer.headers["content-type"].startswith(media_type)
    return answer.text


def test_the_years_as_csv(api: Api) -> None:
    plan = a_plan(api, MONEY)
    a_plan_project(api, plan, year=2028, cost_range=["70", "160"])
    found = futures_of(api, plan)
    rows = list(csv.DictReader(io.StringIO(asked_as(api, plan, "text/csv", futures=200))))
    assert [row["closing_p10"] for row in rows] == [
        year["closing"]["p10"]["amount"] for year in found["years"]
    ]
    assert [row["below_floor_percent_high"] for row in rows] == [
        year["below_floor"]["high"] for year in found["years"]
    ]
    assert {row["currency"] for row in rows} == {"USD"}
    alike = a_plan(api, MONEY)
    assert "" in asked_as(api, alike, "text/csv").splitlines()[1].split(",")


@pytest.mark.parametrize("chart", ["balance", "spending", "shortfall"])
@pytest.mark.parametrize("years", [1, 30])
def test_charts_are_drawn_of_short_long_certain_and_uncertain_plans(api: Api, chart: str, years: int) -> None:
    plan = a_plan(api, MONEY | {"loans": [], "assessments": [], "incomes": []}, years=years)
    for _ in range(2):
        assert asked_as(api, plan, "image/svg+xml", chart=chart, futures=100).startswith("<svg")
        spec = json.loads(asked_as(api, plan, "application/vnd.vegalite.v6+json", chart=chart, futures=100))
        assert spec["description"].startswith(plan["name"])
        a_plan_project(api, plan, year=2027, cost_range=["70", "500"])
    values = json.dumps(spec)
    assert ("Floor" in values) == (chart == "balance")


def test_a_question_that_cannot_be_is_refused_with_its_place(api: Api) -> None:
    plan = a_plan(api, {"interest_percent": "99"}, growth_percent="-49")
    assert refused(api, plan, 400, futures=99) == ["/futures"]
    assert refused(api, plan, 400, futures=20_001) == ["/futures"]
    assert refused(api, plan, 400, seed=-1) == ["/seed"]
    assert refused(api, plan, 400, when="never") == ["/when"]
    assert refused(api, plan, 400, at_most_percent="100") == ["/at_most_percent"]
    assert refused(api, plan, 400, growth_points={"lower": "-1"}) == ["/growth_points/lower"]
    a_plan_project(api, plan, year=2028)
    points = {"growth_points": {"lower": "1.5"}, "interest_points": {"upper": "2"}}
    assert refused(api, plan, **points) == ["/growth_points/lower", "/interest_points/upper"]
    assert api.post(f"{PLANS}/{NOBODY}/futures", json={}).status_code == 404


def test_amounts_that_cannot_be_meant_are_told_as_that(api: Api) -> None:
    plan = a_plan(api, years=40, growth_percent="100")
    a_plan_project(api, plan, "900000000.00", year=2066, cost_range=["90", "120"])
    answer = api.post(f"{PLANS}/{plan['id']}/futures", json={})
    assert (answer.status_code, answer.json()["type"]) == (409, "/problems/wrong-state")


def test_asking_changes_nothing(api: Api) -> None:
    plan, _ = a_whole_plan(api)
    before = figures_of(api, plan)
    futures_of(api, plan, at_most_percent="10")
    assert (figures_of(api, plan), got(api, f"{PLANS}/{plan['id']}")) == (before, plan)
