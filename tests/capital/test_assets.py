"""Assets as they are stated, and in figures redone by hand; what is not known is named and in no sum."""

from decimal import Decimal
from typing import Any

import pytest
from asset_factories import an_asset, figures_of, refused, register_of, usd
from conftest import Api
from estimate_factories import a_course, a_dressed_green, an_area, money

NOBODY = "00000000-0000-7000-8000-000000000000"


def test_an_asset_is_entered_changed_and_deleted_by_its_version(api: Api) -> None:
    green = an_area(api, a_course(api), "6000")
    asset = an_asset(api, area_ids=[green], note="Two pumps")
    place = f"/assets/{asset['id']}"
    assert api.get(place).json() == asset
    assert api.get("/assets?kind=pump_station").json()["items"] == [asset]
    assert api.get(f"/assets?area_id={green}").json()["items"] == [asset]
    assert api.get("/assets?kind=green").json()["items"] == []
    fields = {name: value for name, value in asset.items() if name not in ("id", "version")}
    changed = api.put(
        place, json=fields | {"area_ids": [], "name": "Pump house"}, headers={"If-Match": '"1"'}
    )
    assert (changed.status_code, changed.json()["name"], changed.json()["version"]) == (200, "Pump house", 2)
    assert api.get(f"/assets?area_id={green}").json()["items"] == []
    assert api.put(place, json=fields, headers={"If-Match": '"1"'}).status_code == 412
    again = api.post("/assets", json=fields)
    assert (again.status_code, again.json()["type"]) == (409, "/problems/duplicate")
    assert api.delete(place, headers={"If-Match": '"2"'}).status_code == 204
    assert api.get(place).status_code == 404
    entries = api.get(f"/audit?subject=asset&subject_id={asset['id']}").json()["items"]
    assert [one["action"] for one in entries] == ["delete", "change", "create"]


def test_an_area_that_an_asset_lies_on_is_not_deleted(api: Api) -> None:
    green = an_area(api, a_course(api), "6000")
    an_asset(api, area_ids=[green])
    response = api.delete(f"/areas/{green}", headers={"If-Match": '"1"'})
    assert (response.status_code, response.json()["type"]) == (409, "/problems/in-use")


@pytest.mark.parametrize(
    ("fields", "pointer", "got"),
    [
        ({"area_ids": [NOBODY]}, "/area_ids/0", NOBODY),
        ({"size": {"value": "3", "unit": "furlong_mile"}}, "/size/unit", "furlong_mile"),
        (
            {
                "size": {"value": "3", "unit": "acre"},
                "replacement": {"by": "rate", "rate": usd("9"), "per": "foot"},
            },
            "/replacement/per",
            "foot",
        ),
        ({"replacement": {"by": "estimate", "estimate_id": NOBODY}}, "/replacement/estimate_id", NOBODY),
        (
            {"replacement": {"by": "stated", "cost": {"amount": "9", "currency": "CAD"}}},
            "/replacement/cost/currency",
            "CAD",
        ),
        ({"replacement": {"by": "stated", "cost": usd("-9.00")}}, "/replacement/cost/amount", "-9.00"),
        ({"life": {"low": "9", "likely": "8", "high": "10"}}, "/life", None),
        ({"kind": "moon"}, "/kind", "moon"),
        ({"in_use_since": 1700}, "/in_use_since", "1700"),
        ({"condition": {"grade": 6, "on": "2026-05-01"}}, "/condition/grade", "6"),
        ({"cost_range": ["110", "120"]}, "", None),
        ({"size": {"value": "0.000", "unit": "acre"}}, "/size/value", "0.000"),
        ({"life": {"low": "0", "likely": "8", "high": "10"}}, "/life/low", "0"),
        ({"life": {"low": "0", "likely": "0", "high": "0"}}, "/life/likely", "0"),
    ],
)
def test_what_cannot_be_an_asset_is_refused_with_its_place(
    api: Api, fields: dict[str, Any], pointer: str, got: str | None
) -> None:
    found = refused(api, **fields)
    assert pointer in [where for where, _ in found]
    if got is not None:
        assert (pointer, got) in found


def test_the_chart_gives_a_life_and_says_that_the_likely_one_is_its_middle(api: Api) -> None:
    """Pump stations last 15 to 20 years (life-cycle chart of the American Society of Golf Course Architects)."""
    lives = {one["kind"]: one for one in api.get("/v1/asset-lives").json()["items"]}
    assert lives["pump_station"]["life"] == {"low": "15", "likely": "17.5", "high": "20"}
    assert "American Society of Golf Course Architects" in lives["pump_station"]["source"]
    assert lives["bridge"]["life"] is None
    figures = figures_of(api, an_asset(api))
    assert (figures["age"], figures["life_basis"]) == (18, "starting_life")
    assert (figures["due_early"], figures["due_in"], figures["due_late"]) == (2023, 2026, 2028)
    assert Decimal(figures["years_left"]) == 0
    # 18 years are the whole of 17.5.
    assert money(figures["fully_funded"]) == Decimal("180000.00")
    assert [step["name"] for step in figures["derivation"]] == ["likely life", "fully funded"]


def test_own_life_and_judgement_come_before_the_chart(api: Api) -> None:
    own = an_asset(api, "OWN", life={"low": "20", "likely": "24", "high": "30"})
    found = figures_of(api, own)
    assert (found["due_in"], found["life_basis"]) == (2032, "own_life")
    assert money(found["fully_funded"]) == Decimal("135000.00")  # 18 of 24 years
    judged = an_asset(
        api, "JUDGED", life={"low": "20", "likely": "24", "high": "30"},
        condition={"grade": 2, "on": "2025-10-01", "years_left": "3", "by": "Superintendent"},
    )  # fmt: skip
    found = figures_of(api, judged)
    assert (found["due_early"], found["due_in"], found["due_late"]) == (2028, 2028, 2028)
    assert (found["life_basis"], Decimal(found["years_left"])) == ("judgement", 2)
    assert money(found["fully_funded"]) == Decimal("165000.00")  # all but 2 of 24 years


def test_a_rate_is_taken_on_the_size_or_on_the_areas(api: Api) -> None:
    course = a_course(api)
    greens = [an_area(api, course, size) for size in ("6000", "5000")]
    rate = {"by": "rate", "rate": usd("9.25"), "per": "square_foot"}
    found = figures_of(api, an_asset(api, "GREENS", kind="green", area_ids=greens, replacement=rate))
    assert money(found["replacement_cost"]) == Decimal("101750.00")
    stated = {"size": {"value": "0.5", "unit": "acre"}, "replacement": rate}
    assert money(figures_of(api, an_asset(api, "HALF", **stated))["replacement_cost"]) == Decimal("201465.00")
    unknown = [an_area(api, course, None, name=f"Nursery {number}") for number in range(5)]
    missing = figures_of(api, an_asset(api, "UNSIZED", area_ids=unknown[:1], replacement=rate))
    assert missing["replacement_cost"] is None
    assert missing["missing"] == ["the size of Nursery 0"]
    missing = figures_of(api, an_asset(api, "ALL-UNSIZED", area_ids=[*greens, *unknown], replacement=rate))
    assert missing["missing"] == ["the size of Nursery 0, Nursery 1, Nursery 2 and 2 more"]
    nowhere = figures_of(api, an_asset(api, "NOWHERE", replacement=rate))
    assert nowhere["missing"] == ["a size, of its own or of its areas"]


def test_an_estimate_gives_the_cost(api: Api) -> None:
    estimate = a_dressed_green(api)
    asset = an_asset(api, replacement={"by": "estimate", "estimate_id": estimate["id"]})
    assert figures_of(api, asset)["replacement_cost"] == estimate["total"]


def test_the_register_sums_what_is_known_and_counts_what_is_not(api: Api) -> None:
    an_asset(api, "A")
    an_asset(api, "B", life={"low": "20", "likely": "24", "high": "30"})
    an_asset(api, "C", replacement=None)
    an_asset(api, "D", in_use_since=None)
    an_asset(api, "E", kind="bridge")
    an_asset(api, "F", replaced=False)
    found = register_of(api)
    assert [one["asset"]["code"] for one in found["items"]] == list("ABCDEF")
    costs = [money(one["figures"]["replacement_cost"]) for one in found["items"]]
    held = [money(one["figures"]["fully_funded"]) for one in found["items"]]
    assert money(found["replacement_cost"]) == sum(costs) == 5 * Decimal("180000.00")
    assert money(found["fully_funded"]) == sum(held) == Decimal("315000.00")
    assert found["missing"] == 3
    missing = {one["asset"]["code"]: one["figures"]["missing"] for one in found["items"]}
    assert missing["C"] == ["what another one costs"]
    assert missing["D"] == ["the year since which it is in use"]
    assert missing["E"] == ["its life, which the chart does not give for this kind"]
    assert money(register_of(api, 2009)["fully_funded"]) < money(found["fully_funded"])


def test_readers_read_and_another_club_finds_nothing(api: Api) -> None:
    asset = an_asset(api)
    committee, other = api.as_role("committee"), api.of_new_club("stone-weir")
    place = f"/assets/{asset['id']}"
    for path in (place, f"{place}/figures", "/assets/register", "/assets/export"):
        assert committee.get(path).status_code == 200
    assert committee.post("/assets", json={"code": "Y", "name": "Y", "kind": "other"}).status_code == 403
    assert committee.delete(place, headers={"If-Match": '"1"'}).status_code == 403
    assert other.get(place).status_code == 404
    assert other.get(f"{place}/figures").status_code == 404
    assert other.get("/assets/register").json()["items"] == []
