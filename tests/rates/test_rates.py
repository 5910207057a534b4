"""Tax rates, exemption certificates and price indices through the API: kept, edited, refused."""

from typing import Any
from uuid import uuid4

import pytest
from conftest import Api

Document = dict[str, Any]
FIRST, SECOND = {"If-Match": '"1"'}, {"If-Match": '"2"'}


def a_rate(**more: Any) -> Document:
    return {
        "place": "Harrow County", "percent": "7.25", "valid_from": "2026-01-01", "source": "State rate table, 2026",
    } | more  # fmt: skip


def a_certificate(**more: Any) -> Document:
    return {"number": "EX-20-4471", "valid_from": "2026-01-01", "tax_classes": ["seed"]} | more


def an_index(*values: tuple[str, str], **more: Any) -> Document:
    months = [{"month": month, "value": value} for month, value in values or [("2026-03", "238.4")]]
    return {"name": "Construction inputs", "source": "Statistics office, table 12", "values": months} | more


KINDS = [
    ("/tax-rates", a_rate(), a_rate(percent="7.5"), "tax_rate"),
    ("/exemptions", a_certificate(), a_certificate(number="EX-21-0001"), "exemption"),
    ("/index-series", an_index(), an_index(("2026-04", "240")), "index_series"),
]
each_kind = pytest.mark.parametrize(("path", "body", "other", "subject"), KINDS)


def problem(response: Any) -> tuple[int, str]:
    return response.status_code, response.json()["type"].removeprefix("/problems/")


def listed(api: Api, path: str) -> list[Document]:
    items: list[Document] = api.get(path).json()["items"]
    return items


@each_kind
def test_each_can_be_added_read_listed_edited_and_deleted(
    api: Api, path: str, body: Document, other: Document, subject: str
) -> None:
    added = api.created(path, body)
    one = f"{path}/{added['id']}"
    assert added == body | {name: added[name] for name in added.keys() - body.keys()}
    read = api.get(one)
    assert (read.json(), listed(api, path)) == (added, [added])
    assert read.headers["etag"].startswith('"1')
    assert api.put(one, json=other).status_code == 428
    edited = api.put(one, json=other, headers=FIRST)
    assert (edited.status_code, edited.json()) == (200, added | other | {"version": 2})
    assert api.get(one).json() == edited.json()
    assert problem(api.put(one, json=body, headers=FIRST)) == (412, "stale-version")
    assert problem(api.delete(one, headers=FIRST)) == (412, "stale-version")
    assert listed(api, path) == [edited.json()]
    assert api.delete(one, headers=SECOND).status_code == 204
    assert (api.get(one).status_code, listed(api, path)) == (404, [])
    trail = api.get(f"/audit?subject={subject}&subject_id={added['id']}").json()["items"]
    assert [entry["action"] for entry in trail] == ["delete", "change", "create"]


@each_kind
def test_another_club_neither_sees_nor_changes_them(
    api: Api, path: str, body: Document, other: Document, subject: str
) -> None:
    one, stranger = f"{path}/{api.created(path, body)['id']}", api.of_new_club("stone-weir")
    assert api.get(f"{path}/{uuid4()}").status_code == 404
    assert (stranger.get(one).status_code, listed(stranger, path)) == (404, [])
    assert stranger.put(one, json=other, headers=FIRST).status_code == 404
    assert stranger.delete(one, headers=FIRST).status_code == 404
    # What is taken in one club is free in another.
    assert stranger.created(path, body)["version"] == 1
    assert api.get(one).json()["version"] == 1


@each_kind
def test_the_committee_reads_and_the_controller_keeps_them(
    api: Api, path: str, body: Document, other: Document, subject: str
) -> None:
    one = f"{path}/{api.as_role('controller').created(path, body)['id']}"
    committee = api.as_role("committee")
    assert (committee.get(one).status_code, len(listed(committee, path))) == (200, 1)
    for refused in [
        committee.post(path, json=body),
        committee.put(one, json=other, headers=FIRST),
        committee.delete(one, headers=FIRST),
    ]:
        assert refused.status_code == 403
    assert api.get(one).json()["version"] == 1
    assert api.as_role("superintendent").delete(one, headers=FIRST).status_code == 204


@pytest.mark.parametrize(
    ("days", "refused"),
    [
        ({"valid_from": "2026-06-30"}, True),
        ({"valid_from": "2026-07-01"}, False),
        ({"valid_from": "2025-01-01", "valid_until": "2026-01-01"}, True),
        ({"valid_from": "2025-01-01", "valid_until": "2025-12-31"}, False),
        ({"valid_from": "2026-03-01", "valid_until": "2026-03-01"}, True),
        ({"valid_from": "2025-01-01"}, True),
        ({"place": "Loxley County"}, False),
        ({"tax_class": "seed"}, False),
    ],
)
def test_a_place_has_one_rate_for_a_class_on_a_day(api: Api, days: Document, refused: bool) -> None:
    present = api.created("/tax-rates", a_rate(valid_until="2026-06-30"))
    response = api.post("/tax-rates", json=a_rate(**days))
    if not refused:
        assert response.status_code == 201
        return
    assert problem(response) == (409, "duplicate")
    assert "from 2026-01-01 until 2026-06-30" in response.json()["detail"]
    assert listed(api, "/tax-rates") == [present]


def test_a_rate_without_end_overlaps_all_that_begin_later(api: Api) -> None:
    rate = api.created("/tax-rates", a_rate())
    assert problem(api.post("/tax-rates", json=a_rate(valid_from="2040-01-01"))) == (409, "duplicate")
    ended = api.put(f"/tax-rates/{rate['id']}", json=a_rate(valid_until="2039-12-31"), headers=FIRST)
    assert ended.status_code == 200
    later = api.created("/tax-rates", a_rate(valid_from="2040-01-01", percent="8"))
    # An edit may not overlap either, but for the rate with itself.
    assert problem(api.put(f"/tax-rates/{rate['id']}", json=a_rate(), headers=SECOND)) == (409, "duplicate")
    assert listed(api, "/tax-rates") == [ended.json(), later]


def test_tax_rates_are_listed_by_place_class_and_day(api: Api) -> None:
    for more in [
        {"place": "Loxley County"},
        {"valid_from": "2027-01-01"},
        {"valid_until": "2026-12-31"},
        {"tax_class": "seed"},
    ]:
        api.created("/tax-rates", a_rate(**more))
    seen = [(one["place"], one["tax_class"], one["valid_from"]) for one in listed(api, "/tax-rates")]
    assert seen == [
        ("Harrow County", "seed", "2026-01-01"),
        ("Harrow County", "standard", "2026-01-01"),
        ("Harrow County", "standard", "2027-01-01"),
        ("Loxley County", "standard", "2026-01-01"),
    ]
    assert [one["place"] for one in listed(api, "/tax-rates?place=Loxley County")] == ["Loxley County"]
    assert api.get("/tax-rates?place=Loxley%00").status_code == 400
    first = api.get("/tax-rates?limit=3")
    rest = api.get(first.links["next"]["url"]).json()
    assert ([one["place"] for one in rest["items"]], rest["next"]) == (["Loxley County"], None)


@pytest.mark.parametrize(
    ("path", "body"),
    [
        ("/tax-rates", a_rate(percent="-1")),
        ("/tax-rates", a_rate(percent=7.25)),
        ("/tax-rates", a_rate(percent="1000.01")),
        ("/tax-rates", a_rate(valid_until="2025-12-31")),
        ("/tax-rates", a_rate(source="")),
        ("/exemptions", a_certificate(valid_until="2025-12-31")),
        ("/exemptions", a_certificate(number="")),
        ("/index-series", an_index(values=[])),
        ("/index-series", an_index(("2026-13", "1"))),
        ("/index-series", an_index(("2026-03", "0"))),
        ("/index-series", an_index(("2026-03", "1"), ("2026-04", "2"), ("2026-03", "1"))),
    ],
)
def test_what_cannot_be_meant_is_refused_and_adds_nothing(api: Api, path: str, body: Document) -> None:
    response = api.post(path, json=body)
    assert response.status_code == 400, response.text
    assert response.json()["faults"]
    assert listed(api, path) == []


def test_a_month_that_comes_twice_is_named_and_leaves_the_series_as_it_was(api: Api) -> None:
    series = api.created("/index-series", an_index())
    twice = an_index(("2026-03", "238.4"), ("2026-03", "239"))
    response = api.put(f"/index-series/{series['id']}", json=twice, headers=FIRST)
    assert response.status_code == 400
    assert "2026-03 comes twice" in response.text
    assert api.get(f"/index-series/{series['id']}").json() == series


def test_the_months_of_a_series_are_kept_in_order_to_the_digit(api: Api) -> None:
    series = api.created("/index-series", an_index(("2027-01", "246.100"), ("2026-03", "238.4")))
    assert [(one["month"], one["value"]) for one in series["values"]] == [
        ("2026-03", "238.4"), ("2027-01", "246.100")
    ]  # fmt: skip
    assert api.get(f"/index-series/{series['id']}").json() == series


@pytest.mark.parametrize(
    ("path", "body", "other"),
    [
        ("/exemptions", a_certificate(), a_certificate(number="EX-21-0001")),
        ("/index-series", an_index(), an_index(name="Fuel")),
    ],
)
def test_numbers_of_certificates_and_names_of_indices_are_unique(
    api: Api, path: str, body: Document, other: Document
) -> None:
    api.created(path, body)
    second = api.created(path, other)
    assert problem(api.post(path, json=body)) == (409, "duplicate")
    assert problem(api.put(f"{path}/{second['id']}", json=body, headers=FIRST)) == (409, "duplicate")
    assert api.put(f"{path}/{second['id']}", json=other, headers=FIRST).status_code == 200
    assert len(listed(api, path)) == 2
