"""What is uncertain of an estimate, as it is written down: kept, carried over, checked against the estimate."""

from decimal import Decimal

import pytest
from conftest import Api
from estimate_factories import LUMP, Document, a_scope_item, accepted, issued, stated
from risk_factories import (
    UNKNOWN,
    a_price,
    an_estimate,
    an_event,
    on_scope,
    percent_range,
    refused_uncertainty,
    uncertain,
)


def test_nothing_is_uncertain_until_somebody_says_and_then_it_is_kept(api: Api) -> None:
    estimate, scope = an_estimate(api)
    place = f"/estimates/{estimate['id']}/uncertainty"
    before = api.get(place)
    assert (before.json()["figures"], before.json()["version"]) == ([], 1)
    figures = [a_price(causes=[{"cause": "Fuel", "load": "0.6"}]), on_scope("quantity", scope["Dress"])]
    scenario = {
        "name": "Dry year",
        "settings": [{"figure": "Price of sand", "percent": "115"}],
        "events": ["Pump fails"],
    }
    after = uncertain(api, estimate, figures=figures, events=[an_event()], scenarios=[scenario])
    assert after["version"] == 2
    assert after == api.get(place).json()
    assert [one["name"] for one in after["figures"]] == ["Price of sand", "Sand needed"]
    assert after["figures"][0]["causes"] == [{"cause": "Fuel", "load": "0.6"}]
    stale = api.put(place, json={"figures": []}, headers={"If-Match": '"1"'})
    assert (stale.status_code, api.get(place).json()) == (412, after)
    assert api.put(place, json={"figures": []}).status_code == 428
    entries = api.get(f"/audit?subject=estimate_uncertainty&subject_id={estimate['id']}").json()["items"]
    assert [one["action"] for one in entries] == ["change"]
    assert estimate == api.get(f"/estimates/{estimate['id']}").json()


def test_a_revision_begins_with_the_uncertainty_of_the_estimate_before(api: Api) -> None:
    estimate, _ = an_estimate(api)
    kept = uncertain(api, estimate, figures=[a_price()])
    issued(api, estimate["id"])
    terms = {"edition_id": estimate["edition_id"], "markups": []}
    revision = api.created(f"/estimates/{estimate['id']}/revisions", terms)
    carried = api.get(f"/estimates/{revision['id']}/uncertainty").json()
    assert (carried["figures"], carried["version"]) == (kept["figures"], 1)
    other, _ = an_estimate(api)
    assert api.get(f"/estimates/{other['id']}/uncertainty").json()["figures"] == []


def test_it_is_open_after_a_decision_and_closed_when_nothing_rests_on_the_estimate_any_more(api: Api) -> None:
    estimate, _ = an_estimate(api)
    accepted(api, estimate["id"])
    assert uncertain(api, estimate, figures=[a_price()])["version"] == 2
    declined, _ = an_estimate(api)
    issued(api, declined["id"])
    assert api.post(f"/estimates/{declined['id']}/decline", json={}).status_code == 200
    response = api.put(
        f"/estimates/{declined['id']}/uncertainty", json={"figures": []}, headers={"If-Match": '"1"'}
    )
    assert (response.status_code, response.json()["type"]) == (409, "/problems/wrong-state")


def test_what_does_not_fit_the_estimate_is_refused_with_its_place(api: Api) -> None:
    estimate, scope = an_estimate(api)
    _, foreign = an_estimate(api)
    cases: list[tuple[Document, str, str]] = [
        (a_price("NOT-THERE"), "/figures/0/items/0", "NOT-THERE"),
        (
            on_scope("quantity", foreign["Dress"]),
            "/figures/0/scope_item_ids/0",
            foreign["Dress"]["id"],
        ),
        (on_scope("quantity", scope["Core"], items=["SAND"]), "/figures/0/items/0", "SAND"),
        (a_price(stated_in="short_ton"), "/figures/0/stated_in", "short_ton"),
        (a_price("LOADER", stated_in="price"), "/figures/0/stated_in", "price"),
        (
            on_scope("quantity", scope["Dress"], stated_in="short_ton"),
            "/figures/0/stated_in",
            "short_ton",
        ),
        (
            on_scope("quantity", scope["Dress"], items=["SAND"], stated_in="hour"),
            "/figures/0/stated_in",
            "hour",
        ),
        (
            on_scope("production", scope["Core"], range=percent_range("0", "100", "120")),
            "/figures/0/range",
            "triangular",
        ),
    ]
    for figure, pointer, got in cases:
        assert (pointer, got) in refused_uncertainty(api, estimate, figures=[figure]), figure


def test_two_figures_of_a_kind_on_one_resource_are_refused(api: Api) -> None:
    estimate, scope = an_estimate(api)
    twice = [
        a_price("SAND", "CREW", name="Wages and sand"),
        a_price("CREW", name="Wages"),
        on_scope("quantity", scope["Dress"], name="All of it"),
        on_scope("quantity", scope["Dress"], items=["SAND"], name="Sand alone"),
    ]
    faults = refused_uncertainty(api, estimate, figures=twice)
    assert faults == [("/figures/1", "Wages"), ("/figures/3", "Sand alone")]


@pytest.mark.parametrize("pace", ["0", "0.00009"])
def test_scenarios_name_what_is_there_and_a_pace_that_ends(api: Api, pace: str) -> None:
    estimate, scope = an_estimate(api)
    scenario = {
        "name": "Half the crew",
        "settings": [{"figure": "Nobody", "percent": "50"}, {"figure": "Pace", "percent": pace}],
        "events": ["Flood"],
    }
    figure = on_scope(
        "production", scope["Core"], name="Pace", range=percent_range("80", "100", "110", "pert")
    )
    assert refused_uncertainty(api, estimate, figures=[figure], scenarios=[scenario]) == [
        ("/scenarios/0/settings/0/figure", "Nobody"),
        ("/scenarios/0/settings/1/percent", pace),
        ("/scenarios/0/events/0", "Flood"),
    ]


@pytest.mark.parametrize(
    ("range_", "words"),
    [
        (percent_range("100", "90", "120"), "ascending"),
        ({"shape": "uniform", "low": "5", "high": "4"}, "ascending"),
        ({"shape": "lognormal", "p10": "0", "p90": "4"}, "more than zero"),
        ({"shape": "history", "figures": ["4"]}, "2"),
        ({"shape": "bell", "low": "1"}, "shape"),
    ],
)
def test_a_range_that_is_none_is_refused(api: Api, range_: Document, words: str) -> None:
    estimate, _ = an_estimate(api)
    response = api.put(
        f"/estimates/{estimate['id']}/uncertainty",
        json={"figures": [a_price(range=range_)]},
        headers={"If-Match": '"1"'},
    )
    assert response.status_code in (400, 422)
    assert any("/figures/0/range" in fault["pointer"] for fault in response.json()["faults"])
    assert words in response.text


def test_loads_of_common_causes_hold_together(api: Api) -> None:
    estimate, _ = an_estimate(api)
    figure = a_price(causes=[{"cause": "Fuel", "load": "0.8"}, {"cause": "Wages", "load": "0.8"}])
    response = api.put(
        f"/estimates/{estimate['id']}/uncertainty", json={"figures": [figure]}, headers={"If-Match": '"1"'}
    )
    assert response.status_code in (400, 422)
    assert "squares sum to at most 1" in response.text


def test_the_edition_proposes_ranges_of_its_own_prices_and_they_fit(api: Api) -> None:
    estimate, _ = an_estimate(api)
    proposal = api.get(f"/estimates/{estimate['id']}/uncertainty/proposal").json()
    (figure,) = proposal["figures"]
    assert (figure["items"], figure["stated_in"]) == (["SAND"], "price")
    assert [Decimal(figure["range"][end]) for end in ("low", "likely", "high")] == [
        Decimal(36), Decimal("38.5"), Decimal(44),
    ]  # fmt: skip
    assert proposal["without_range"] == ["CON-CORE", "CREW", "LOADER"]
    assert api.get(f"/estimates/{estimate['id']}/uncertainty").json()["figures"] == []
    kept = uncertain(api, estimate, figures=proposal["figures"])
    assert kept["figures"] == proposal["figures"]


@pytest.mark.parametrize(
    "more", [stated("CREW", "1", "hour"), stated("CREW", "1", "short_ton")], ids=["other", "not priced"]
)
def test_a_scope_that_changed_since_must_be_priced_again_first(api: Api, more: Document) -> None:
    estimate, _ = an_estimate(api)
    uncertain(api, estimate, figures=[a_price()])
    a_scope_item(api, estimate["project_id"], LUMP, [], more, name="More")
    place = f"/estimates/{estimate['id']}"
    for response in (
        api.put(f"{place}/uncertainty", json={"figures": [a_price()]}, headers={"If-Match": '"2"'}),
        api.post(f"{place}/simulations", json={}),
        api.get(f"{place}/sensitivity"),
        api.get(f"{place}/uncertainty/proposal"),
    ):
        assert (response.status_code, response.json()["type"]) == (409, "/problems/wrong-state"), (
            response.text
        )
        assert "has changed since" in response.json()["detail"]


def test_another_club_and_readers(api: Api) -> None:
    estimate, _ = an_estimate(api)
    place = f"/estimates/{estimate['id']}/uncertainty"
    committee, other = api.as_role("committee"), api.of_new_club("stone-weir")
    assert committee.get(place).status_code == 200
    assert committee.put(place, json={"figures": []}, headers={"If-Match": '"1"'}).status_code == 403
    assert committee.post(f"/estimates/{estimate['id']}/simulations", json={}).status_code == 403
    for path in (place, f"{place}/proposal", f"/estimates/{estimate['id']}/sensitivity"):
        assert other.get(path).status_code == 404
    assert other.put(place, json={"figures": []}, headers={"If-Match": '"1"'}).status_code == 404
    assert api.get(f"/simulations/{UNKNOWN}").status_code == 404


def test_an_event_has_a_name_that_no_line_of_a_simulation_has(api: Api) -> None:
    estimate, _ = an_estimate(api)
    names = ["1. Dress: SAND", "1. Dress: SAND, mobilization", "tax"]
    events = [an_event(name) for name in names]
    faults = refused_uncertainty(api, estimate, events=events)
    assert faults == [(f"/events/{place}/name", name) for place, name in enumerate(names)]
    assert uncertain(api, estimate, events=[an_event("Dress: SAND")])["version"] == 2
