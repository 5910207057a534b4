"""Sensitivity, grids and scenarios through the API, against estimates that are really priced that way."""

import csv
import io
from decimal import Decimal
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
    BY_LOAD,
    MARKUPS,
    a_price,
    an_estimate,
    an_event,
    on_scope,
    percent_range,
    uncertain,
)


def plainly(api: Api, tons: str = "30", price: str = "38.50", hours: str = "40") -> tuple[Document, Document]:
    """An estimate of stated tons at a price with breaks by the load, and of hours; with its one scope item."""
    project = a_project(api)
    item = a_scope_item(
        api, project, LUMP, [], stated("SAND", tons, "short_ton"), stated("CREW", hours, "hour"), name="Work"
    )
    breaks = BY_LOAD["breaks"]
    factor = Decimal(price) / Decimal("38.50")
    tiers = [one | {"unit_price": str(Decimal(one["unit_price"]) * factor)} for one in breaks["tiers"]]
    terms = BY_LOAD | {"breaks": breaks | {"tiers": tiers}}
    items = [
        an_item("SAND", price, terms=terms),
        an_item("CREW", "27.40", kind="labor", unit="hour", taxable=False),
    ]
    return priced(api, project, an_edition(api, items), *MARKUPS[:2]), item


def sensitivity_of(api: Api, estimate: Document) -> Document:
    response = api.get(f"/estimates/{estimate['id']}/sensitivity")
    assert response.status_code == 200, response.text
    found: Document = response.json()
    return found


def test_a_swing_is_what_the_estimate_comes_to_at_the_ends(api: Api) -> None:
    estimate, item = plainly(api)
    sand = on_scope(
        "quantity", item, name="Sand needed", items=["SAND"], range=percent_range("60", "100", "150")
    )
    pace = on_scope("production", item, name="Pace", range=percent_range("80", "100", "125"))
    uncertain(api, estimate, figures=[sand, pace])
    found = sensitivity_of(api, estimate)
    assert found["base"] == found["likely"] == estimate["total"]
    ends = {one["name"]: (one["at_low"], one["at_high"]) for one in found["swings"]}
    assert ends["Sand needed"] == tuple(plainly(api, tons=tons)[0]["total"] for tons in ("18", "45"))
    assert ends["Pace"] == tuple(plainly(api, hours=hours)[0]["total"] for hours in ("50", "32"))
    widths = [money(one["width"]) for one in found["swings"]]
    assert widths == sorted(widths, reverse=True)
    assert [one["low"] for one in found["swings"] if one["name"] == "Pace"] == ["80 %"]


def test_a_slower_pace_may_take_hours_past_a_power_of_ten(api: Api) -> None:
    estimate, item = plainly(api, hours="90")
    uncertain(
        api, estimate,
        figures=[on_scope("production", item, name="Pace", range=percent_range("80", "100", "125"))],
    )  # fmt: skip
    (swing,) = sensitivity_of(api, estimate)["swings"]
    ends = tuple(plainly(api, hours=hours)[0]["total"] for hours in ("112.5", "72"))
    assert (swing["at_low"], swing["at_high"]) == ends


def test_events_that_cost_more_than_can_be_meant_are_refused_where_they_are_added_up(api: Api) -> None:
    estimate, _ = plainly(api)
    most = {"shape": "uniform", "low": "999999999998", "high": "999999999999"}
    flood = {"name": "Flood", "events": ["Pump fails"]}
    uncertain(api, estimate, events=[an_event(cost=most)], scenarios=[flood])
    for name in ("sensitivity", "scenarios"):
        refused = api.get(f"/estimates/{estimate['id']}/{name}")
        assert refused.status_code == 422
        assert "below 1,000,000,000,000" in refused.json()["detail"]


def test_a_price_moves_its_breaks_and_an_event_is_added_as_it_is(api: Api) -> None:
    estimate, _ = plainly(api)
    price = a_price(range=percent_range("90", "100", "120"))
    uncertain(api, estimate, figures=[price], events=[an_event()])
    found = sensitivity_of(api, estimate)
    by_name = {one["name"]: one for one in found["swings"]}
    assert by_name["Price of sand"]["at_high"] == plainly(api, price="46.20")[0]["total"]
    assert money(by_name["Pump fails"]["at_high"]) == money(found["likely"]) + 3000
    assert by_name["Pump fails"]["at_low"] == found["likely"]


def test_swings_as_csv_and_as_a_chart(api: Api) -> None:
    estimate, _ = plainly(api)
    uncertain(api, estimate, figures=[a_price()], events=[an_event()])
    place = f"/estimates/{estimate['id']}/sensitivity"
    rows = list(csv.DictReader(io.StringIO(api.get(place, headers={"Accept": "text/csv"}).text)))
    assert [row["name"] for row in rows] == [one["name"] for one in sensitivity_of(api, estimate)["swings"]]
    assert "Pump fails" in api.get(place, headers={"Accept": "image/svg+xml"}).text


def test_a_grid_is_the_estimate_priced_at_both_values(api: Api) -> None:
    estimate, item = plainly(api)
    figures = [
        on_scope(
            "quantity", item, name="Sand needed", items=["SAND"], range=percent_range("60", "100", "150")
        ),
        on_scope("production", item, name="Pace", range=percent_range("80", "100", "125")),
    ]
    uncertain(api, estimate, figures=figures)
    place = f"/estimates/{estimate['id']}/sensitivity/grid"
    asked = {"first": "Sand needed", "second": "Pace", "second_percents": ["80", "125"]}
    response = api.post(place, json=asked)
    assert response.status_code == 200, response.text
    found = response.json()
    assert (found["first_percents"], found["second_percents"]) == (["60", "100", "150"], ["80", "125"])
    expected = [
        [plainly(api, tons=tons, hours=hours)[0]["total"] for hours in ("50", "32")]
        for tons in ("18", "30", "45")
    ]
    assert found["totals"] == expected


@pytest.mark.parametrize(
    ("asked", "pointer"),
    [
        ({"first": "Price of sand", "second": "Price of sand"}, "/second"),
        ({"first": "Nobody", "second": "Price of sand"}, "/first"),
        ({"first": "Pace", "second": "Price of sand", "first_percents": ["0"]}, "/first_percents/0"),
        (
            {"first": "Price of sand", "second": "Pace", "second_percents": ["100", "0.00009"]},
            "/second_percents/1",
        ),
        ({"first": "Days", "second": "Price of sand"}, "/first"),
    ],
)
def test_a_grid_of_what_the_cost_does_not_rest_on_is_refused(
    api: Api, asked: dict[str, Any], pointer: str
) -> None:
    estimate, item = plainly(api)
    figures = [a_price(), on_scope("production", item, name="Pace"), on_scope("duration", item, name="Days")]
    uncertain(api, estimate, figures=figures)
    response = api.post(f"/estimates/{estimate['id']}/sensitivity/grid", json=asked)
    assert response.status_code == 422, response.text
    assert pointer in [fault["pointer"] for fault in response.json()["faults"]]


def test_scenarios_are_priced_whole_and_their_parts_sum_to_the_difference(api: Api) -> None:
    estimate, item = plainly(api)
    figures = [
        on_scope("quantity", item, name="Sand needed", items=["SAND"]),
        a_price(),
        on_scope("production", item, name="Pace"),
    ]
    dry = {
        "name": "Dry year",
        "settings": [
            {"figure": "Sand needed", "percent": "150"},
            {"figure": "Price of sand", "percent": "120"},
        ],
        "events": ["Pump fails"],
    }
    half = {"name": "Half the crew", "settings": [{"figure": "Pace", "percent": "50"}]}
    uncertain(api, estimate, figures=figures, events=[an_event()], scenarios=[dry, half])
    response = api.get(f"/estimates/{estimate['id']}/scenarios")
    assert response.status_code == 200, response.text
    found = response.json()
    first, second = found["scenarios"]
    assert found["base"] == estimate["total"]
    assert money(first["total"]) == money(plainly(api, tons="45", price="46.20")[0]["total"]) + 2000
    assert second["total"] == plainly(api, hours="80")[0]["total"]
    for one in (first, second):
        difference = money(one["total"]) - money(found["base"])
        assert money(one["difference"]) == difference
        assert sum(money(part["difference"]) for part in one["parts"]) + money(one["together"]) == difference
        assert sum(money(moved["difference"]) for moved in one["moved"]) == difference
    assert money(first["together"]) != 0  # dearer sand and more of it is more than each alone
    assert found["no_reopening_because"] == "The project has no calendar of its working days."
    assert first["reopens_on"] is None


def test_everyone_of_the_club_asks_and_nobody_else(api: Api) -> None:
    estimate, _ = an_estimate(api)
    uncertain(api, estimate, figures=[a_price(), a_price("CREW", name="Wages")])
    place, asked = f"/estimates/{estimate['id']}", {"first": "Price of sand", "second": "Wages"}
    committee, other = api.as_role("committee"), api.of_new_club("stone-weir")
    assert committee.post(f"{place}/sensitivity/grid", json=asked).status_code == 200
    assert committee.get(f"{place}/scenarios").json()["scenarios"] == []
    assert other.post(f"{place}/sensitivity/grid", json=asked).status_code == 404
    assert other.get(f"{place}/scenarios").status_code == 404
