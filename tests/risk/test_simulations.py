"""Simulations of an estimate through the API: its own arithmetic in every trial, the same bytes for the same seed."""

import csv
import io
import json
import threading
from decimal import Decimal
from itertools import pairwise
from typing import Any

import pytest
from conftest import Api
from estimate_factories import (
    LUMP,
    Document,
    a_project,
    a_scope_item,
    an_edition,
    an_item,
    money,
    priced,
    stated,
)
from risk_factories import (
    MARKUPS,
    UNKNOWN,
    a_price,
    an_estimate,
    an_event,
    ended,
    on_scope,
    percent_range,
    simulated,
    started,
    uncertain,
)
from swardcost_api.engine.risk.simulated_lines import simulate
from swardcost_api.risk import running

CERTAIN = percent_range("100", "100", "100")


def everything(scope: dict[str, Document], range_: Document) -> list[Document]:
    """A range on every price, quantity and pace of the estimate."""
    return [
        a_price("SAND", name="Price of sand", range=range_, causes=[{"cause": "Fuel", "load": "0.5"}]),
        a_price("CREW", "CON-CORE", name="Wages", range=range_),
        a_price("LOADER", name="Rent", range=range_, causes=[{"cause": "Fuel", "load": "0.5"}]),
        on_scope("quantity", scope["Dress"], items=["SAND"], name="Sand needed", range=range_),
        on_scope("production", scope["Dress"], name="Pace of dressing", range=range_),
        on_scope("production", scope["Core"], scope["Haul"], name="Pace of the rest", range=range_),
    ]


def contingency_of(estimate: Document) -> Decimal:
    return sum(
        (money(one["amount"]) for one in estimate["markups"] if one["kind"] == "contingency"), Decimal(0)
    )


def without_what_names_it(simulation: Document) -> Document:
    return {name: value for name, value in simulation.items() if name not in ("id", "created_at")}


def test_ranges_without_width_give_the_estimate_to_the_cent(api: Api) -> None:
    estimate, scope = an_estimate(api)
    uncertain(api, estimate, figures=everything(scope, CERTAIN))
    figures = simulated(api, estimate, trials=200)["figures"]
    base = money(estimate["total"]) - contingency_of(estimate)
    assert contingency_of(estimate) > 0
    assert money(figures["base"]) == base
    assert {money(one["amount"]) for one in figures["curve"]} == {base}
    assert {money(one["amount"]) for one in figures["percentiles"]} == {base}
    assert (money(figures["mean"]), money(figures["deviation"])) == (base, 0)
    assert figures["estimate_total"] == estimate["total"]
    assert money(figures["contingency"]["needed"]) == 0
    assert figures["contingency"]["parts"] == []
    assert all(one["rank_correlation"] is None for one in figures["influences"])


def test_one_seed_gives_the_same_figures_and_another_gives_others(api: Api) -> None:
    estimate, scope = an_estimate(api)
    uncertain(
        api, estimate, figures=everything(scope, percent_range("80", "100", "135", "pert")), events=[an_event()]
    )  # fmt: skip
    first, again, other = (simulated(api, estimate, seed=seed, trials=2_000) for seed in (7, 7, 8))
    assert json.dumps(without_what_names_it(first)) == json.dumps(without_what_names_it(again))
    assert first["figures"]["mean"] != other["figures"]["mean"]
    listed = api.get(f"/estimates/{estimate['id']}/simulations").json()["items"]
    assert [one["seed"] for one in listed] == [8, 7, 7]
    for one, simulation in zip(listed, (other, again, first), strict=True):
        assert one["mean"] == simulation["figures"]["mean"]
        assert one["p80"] == simulation["figures"]["percentiles"][2]["amount"]


def test_the_figures_of_a_simulation_agree_with_one_another(api: Api) -> None:
    estimate, scope = an_estimate(api)
    uncertain(
        api, estimate, figures=everything(scope, percent_range("80", "100", "150")), events=[an_event()]
    )
    simulation = simulated(api, estimate, seed=3, trials=4_000, confidence_percent="90")
    figures = simulation["figures"]
    amounts = [money(one["amount"]) for one in figures["percentiles"]]
    assert [one["percent"] for one in figures["percentiles"]] == ["10", "50", "80", "90"]
    assert amounts == sorted(amounts)
    for one in figures["percentiles"]:
        assert money(one["low"]) <= money(one["amount"]) <= money(one["high"])
    curve = [(Decimal(one["percent"]), money(one["amount"])) for one in figures["curve"]]
    assert len(curve) == 101
    assert all(first[0] < second[0] and first[1] <= second[1] for first, second in pairwise(curve))
    assert dict(curve)[Decimal(80)] == amounts[2]
    contingency = figures["contingency"]
    assert money(contingency["needed"]) == amounts[3] - money(figures["base"])
    assert money(contingency["carried"]) == contingency_of(estimate)
    assert money(contingency["short"]) == money(contingency["needed"]) - money(contingency["carried"])
    assert sum(money(one["amount"]) for one in contingency["parts"]) == money(contingency["needed"])
    assert any(one["item"] == "Pump fails" for one in contingency["parts"])
    shares = [Decimal(one["variance_percent"]) for one in figures["influences"]]
    assert abs(sum(shares) - 100) < Decimal("0.01")
    names = {one["name"] for one in figures["influences"]}
    assert names == {one["name"] for one in everything(scope, CERTAIN)} | {"Pump fails"}
    assert {one["name"]: one["kind"] for one in figures["influences"]}["Pump fails"] == "event"
    for one in figures["influences"]:
        assert [step["unit"] for step in one["derivation"]] == ["ratio", "percent"]
    assert simulation["request"] == {"seed": 3, "trials": 4000, "confidence_percent": "90"}
    assert [one["name"] for one in simulation["uncertainty"]["events"]] == ["Pump fails"]


def test_mean_and_deviation_of_one_price_are_those_of_its_shape(api: Api) -> None:
    """A triangular price on hours without breaks is linear: mean (a + b + c) / 3, variance as in the closed form."""
    estimate, _ = an_estimate(api, {"kind": "tax", "percent": "0"})
    uncertain(api, estimate, figures=[a_price("CREW", name="Wages", range=percent_range("90", "100", "140"))])
    trials = 20_000
    figures = simulated(api, estimate, trials=trials)["figures"]
    hours, price = 64, 27.40
    mean = float(money(figures["base"])) + hours * price * (0.9 + 1 + 1.4 - 3) / 3
    spread = hours * price * ((0.9**2 + 1 + 1.4**2 - 0.9 - 0.9 * 1.4 - 1.4) / 18) ** 0.5
    error = spread / trials**0.5
    assert abs(float(money(figures["mean"])) - mean) < 4 * error
    assert abs(float(money(figures["deviation"])) / spread - 1) < 0.03
    assert abs(float(money(figures["standard_error"])) - error) < 0.02


def test_whole_loads_and_breaks_are_in_every_trial(api: Api) -> None:
    """Uniform sand of 14.06 to 28.13 tons before waste: every total is one of a line by loads and a price break."""
    estimate, scope = an_estimate(api, {"kind": "tax", "percent": "0"})
    sand = on_scope(
        "quantity", scope["Dress"], items=["SAND"],
        range={"shape": "uniform", "low": "90", "high": "180"},
    )  # fmt: skip
    uncertain(api, estimate, figures=[sand])
    figures = simulated(api, estimate, trials=5_000)["figures"]
    amounts = [money(one["amount"]) for one in figures["curve"]]
    gaps = [second - first for first, second in pairwise(amounts)]
    assert max(gaps) > 100  # a second load is 145.00 more at once
    assert max(gaps) > 5 * sorted(gaps)[len(gaps) // 2]


def test_what_has_no_price_is_named_and_in_no_trial(api: Api) -> None:
    project = a_project(api)
    a_scope_item(api, project, LUMP, [], stated("UNPRICED", "3", "short_ton"), name="Haul off")
    estimate, _ = an_estimate(api, project=project)
    uncertain(api, estimate, figures=[a_price("CREW", name="Wages")])
    figures = simulated(api, estimate, trials=100)["figures"]
    assert figures["not_priced"] == ["1. Haul off: UNPRICED"]


def test_faces_hold_the_figures(api: Api) -> None:
    estimate, scope = an_estimate(api)
    uncertain(api, estimate, figures=everything(scope, percent_range("80", "100", "150")))
    simulation = simulated(api, estimate, trials=500, seed=11)
    place, figures = f"/simulations/{simulation['id']}", simulation["figures"]
    curve = api.get(f"{place}/curve")
    assert curve.json()["curve"] == figures["curve"]
    rows = list(csv.DictReader(io.StringIO(api.get(f"{place}/curve", headers={"Accept": "text/csv"}).text)))
    assert [row["amount"] for row in rows] == [one["amount"]["amount"] for one in figures["curve"]]
    drawn = api.get(f"{place}/curve", headers={"Accept": "image/svg+xml"}).text
    assert "P80" in drawn
    assert "500 trials, seed 11" in drawn
    contingency = api.get(f"{place}/contingency").json()
    assert contingency["needed"] == figures["contingency"]["needed"]
    parts = list(
        csv.DictReader(io.StringIO(api.get(f"{place}/contingency", headers={"Accept": "text/csv"}).text))
    )
    assert sum(Decimal(row["amount"]) for row in parts) == money(contingency["needed"])
    reopening = api.get(f"{place}/reopening")
    assert (reopening.status_code, reopening.json()["type"]) == (409, "/problems/wrong-state")
    assert "no calendar" in reopening.json()["detail"]
    assert figures["reopening"] is None


def test_nothing_uncertain_is_not_simulated(api: Api) -> None:
    estimate, _ = an_estimate(api)
    response = api.post(f"/estimates/{estimate['id']}/simulations", json={})
    assert (response.status_code, response.json()["type"]) == (409, "/problems/wrong-state")
    assert api.get("/jobs").json()["items"] == []


@pytest.mark.parametrize("body", [{"trials": 99}, {"trials": 1_000_001}, {"seed": -1}, {"seed": "7"}])
def test_a_request_out_of_bounds_starts_nothing(api: Api, body: dict[str, Any]) -> None:
    estimate, _ = an_estimate(api)
    uncertain(api, estimate, figures=[a_price()])
    assert api.post(f"/estimates/{estimate['id']}/simulations", json=body).status_code == 400
    assert api.get("/jobs").json()["items"] == []


def test_a_cancelled_simulation_ends_and_keeps_nothing(api: Api, monkeypatch: pytest.MonkeyPatch) -> None:
    estimate, _ = an_estimate(api)
    uncertain(api, estimate, figures=[a_price("CREW", name="Wages")])
    reached, go_on = threading.Event(), threading.Event()

    def held(*arguments: Any, **more: Any) -> Any:
        reached.set()
        assert go_on.wait(30)
        return simulate(*arguments, **more)

    monkeypatch.setattr(running, "simulate", held)
    try:
        job = started(api, estimate, trials=1_000)
        assert reached.wait(30)
        cancelled = api.post(f"/jobs/{job['id']}/cancel")
        assert (cancelled.status_code, cancelled.json()["status"]) == (200, "cancelled")
    finally:
        go_on.set()
    monkeypatch.undo()
    following = ended(api, started(api, estimate, trials=100))
    assert following["status"] == "done"
    assert len(api.get(f"/estimates/{estimate['id']}/simulations").json()["items"]) == 1


def test_progress_is_told_in_trials(api: Api) -> None:
    estimate, _ = an_estimate(api)
    uncertain(api, estimate, figures=[a_price()])
    job = ended(api, started(api, estimate, trials=300))
    assert (job["kind"], job["progress"]["unit"], job["progress"]["total"]) == ("simulation", "trial", 300)
    assert job["progress"]["done"] == 300


def test_simulations_of_another_club_are_not_there(api: Api) -> None:
    estimate, _ = an_estimate(api, *MARKUPS)
    uncertain(api, estimate, figures=[a_price()])
    simulation = simulated(api, estimate, trials=100)
    other, committee = api.of_new_club("stone-weir"), api.as_role("committee")
    for path in ("", "/curve", "/contingency", "/reopening"):
        assert other.get(f"/simulations/{simulation['id']}{path}").status_code == 404
    assert committee.get(f"/simulations/{simulation['id']}/curve").status_code == 200
    assert other.get(f"/estimates/{estimate['id']}/simulations").status_code == 404
    assert api.get(f"/simulations/{UNKNOWN}/curve").status_code == 404


def test_hours_past_a_power_of_ten_are_simulated(api: Api) -> None:
    project = a_project(api)
    work = a_scope_item(api, project, LUMP, [], stated("CREW", "90", "hour"), name="Work")
    estimate, _ = an_estimate(api, project=project)
    pace = on_scope("production", work, name="Pace", range=percent_range("50", "100", "100"))
    uncertain(api, estimate, figures=[pace])
    figures = simulated(api, estimate, trials=200)["figures"]
    most = max(money(one["amount"]) for one in figures["curve"])
    # Twice the hours at most: 90 more at 27.40, with overhead.
    assert 0 < most - money(figures["base"]) <= Decimal("90") * Decimal("27.40") * Decimal("1.02")


def test_trials_that_cost_more_than_can_be_meant_are_refused_and_nothing_is_kept(api: Api) -> None:
    estimate, _ = an_estimate(api)
    cost = {"shape": "uniform", "low": "600000000000", "high": "700000000000"}
    events = [an_event(name, cost=cost, probability_percent="100") for name in ("Flood", "Drought")]
    uncertain(api, estimate, events=events)
    job = ended(api, started(api, estimate, trials=200))
    assert job["status"] == "failed"
    assert "below 1,000,000,000,000 in every trial" in job["problem"]["detail"]
    assert api.get(f"/estimates/{estimate['id']}/simulations").json()["items"] == []


def test_a_contingency_of_more_percent_than_can_be_told_is_told_without_them(api: Api) -> None:
    project = a_project(api)
    a_scope_item(api, project, LUMP, [], stated("PENNY", "1", "short_ton"))
    estimate = priced(api, project, an_edition(api, [an_item("PENNY", "0.01")]))
    cost = {"shape": "uniform", "low": "200000000", "high": "300000000"}
    uncertain(api, estimate, events=[an_event(cost=cost, probability_percent="100")])
    contingency = simulated(api, estimate, trials=200)["figures"]["contingency"]
    assert money(contingency["needed"]) > 200_000_000
    assert contingency["percent_of_base"] is None


def test_an_estimate_without_scope_is_simulated_with_its_events_alone(api: Api) -> None:
    project = a_project(api)
    estimate = priced(api, project, an_edition(api), *MARKUPS)
    uncertain(api, estimate, events=[an_event(probability_percent="50")])
    figures = simulated(api, estimate, trials=200)["figures"]
    assert money(figures["base"]) == 0
    assert 0 < money(figures["mean"]) < 3000
    (part,) = figures["contingency"]["parts"]
    assert (part["item"], part["amount"]) == ("Pump fails", figures["contingency"]["needed"])
