"""Comparing estimates through the API: figures of each, what each leaves out, and where they differ, to the cent."""

import csv
import io
import json
from decimal import Decimal
from typing import Any

import pytest
from conftest import Api
from estimate_factories import (
    LUMP,
    TOPDRESSING,
    Document,
    a_course,
    a_project,
    a_scope_item,
    an_area,
    an_edition,
    an_item,
    by_measure,
    lines_of,
    money,
    priced,
    stated,
)

CREW = an_item("CREW", "27.40", kind="labor", unit="hour", taxable=False)
HIRED = an_item("CON-CORE", "61.00", kind="contract", unit="hour", taxable=False)


@pytest.fixture
def two(api: Api) -> dict[str, Any]:
    """The same greens cored by the own crew, with brush cleared, and by a contractor, on one green less."""
    course = a_course(api)
    greens = [an_area(api, course, "6000", name="Green 4"), an_area(api, course, "5000", name="Green 9")]
    edition = an_edition(api, [an_item("SAND", "38.50"), CREW, HIRED, an_item("UNKNOWN", None)])
    own, hired = a_project(api), a_project(api)
    a_scope_item(
        api, own, TOPDRESSING, greens, by_measure("SAND", "sand_mass"), stated("CREW", "80", "hour"),
        name="Dress greens", starts_on="2026-09-01", ends_on="2026-09-10",
    )  # fmt: skip
    a_scope_item(
        api, own, LUMP, [], stated("CREW", "10", "hour"), name="Clear brush", starts_on="2026-09-08",
        ends_on="2026-09-12",
    )  # fmt: skip
    a_scope_item(
        api, hired, TOPDRESSING, greens[:1], by_measure("SAND", "sand_mass"), stated("CON-CORE", "12", "hour"),
        name="Dress greens", starts_on="2026-09-01", ends_on="2026-09-03",
    )  # fmt: skip
    a_scope_item(
        api, hired, LUMP, [], stated("UNKNOWN", "1", "short_ton"), name="Haul away", starts_on="2026-10-01",
        ends_on="2026-10-02",
    )  # fmt: skip
    return {"own": priced(api, own, edition), "hired": priced(api, hired, edition)}


def a_comparison(api: Api, *estimates: Document, name: str, **more: Any) -> Document:
    alternatives = [
        {"label": label, "estimate_id": one["id"]}
        for label, one in zip(("Own crew", "Contractor"), estimates, strict=True)
    ]
    return api.created("/comparisons", {"name": name, "alternatives": alternatives} | more)


def figures_of(api: Api, comparison: Document) -> Document:
    answer = api.get(f"/comparisons/{comparison['id']}/figures")
    assert answer.status_code == 200, answer.text
    found: Document = answer.json()
    return found


def test_totals_and_differences_are_those_of_the_estimates(api: Api, two: dict[str, Any]) -> None:
    found = figures_of(api, a_comparison(api, two["own"], two["hired"], name="Totals"))
    own, hired = found["alternatives"]
    for figures, estimate in ((own, two["own"]), (hired, two["hired"])):
        for name in ("total", "cash_total", "low_total", "high_total"):
            assert figures[name] == estimate[name]
    assert money(own["more_than_first"]) == 0
    assert own["differences"] is None
    difference = money(two["hired"]["total"]) - money(two["own"]["total"])
    assert difference != 0
    assert money(hired["more_than_first"]) == money(hired["differences"]["difference"]) == difference
    assert sum(money(row["amount"]) for row in hired["differences"]["rows"]) == difference
    by_item = {
        row["item"]: row for row in hired["differences"]["rows"] if row["scope_item"] == "Dress greens"
    }
    assert by_item["SAND"]["kind"] == "quantity"  # the same scope item of another project
    assert f"Contractor has the least cost: {money(hired['total']):,f} USD" in found["conclusions"][0]


def test_days_closed_count_each_day_of_work_once(api: Api, two: dict[str, Any]) -> None:
    """1 to 10 and 8 to 12 September are 12 days; 1 to 3 September and 1 to 2 October are 5, not the weeks between."""
    found = figures_of(api, a_comparison(api, two["own"], two["hired"], name="Days"))
    own, hired = (one["days_closed"] for one in found["alternatives"])
    assert (own["days"], own["first_day"], own["last_day"]) == (12, "2026-09-01", "2026-09-12")
    assert (hired["days"], hired["first_day"], hired["last_day"]) == (5, "2026-09-01", "2026-10-02")
    stated_days = [
        {"label": label, "estimate_id": one["id"], "days_closed": days}
        for label, one, days in (("Own crew", two["own"], 21), ("Contractor", two["hired"], 20))
    ]
    other = api.created("/comparisons", {"name": "Stated days", "alternatives": stated_days})
    told = figures_of(api, other)
    assert [one["days_closed"]["days"] for one in told["alternatives"]] == [21, 20]
    assert (
        "Contractor has the fewest days closed: 20 days; next is Own crew with 21 days."
        in told["conclusions"]
    )


def test_what_an_alternative_leaves_out_is_found_and_stated(api: Api, two: dict[str, Any]) -> None:
    alternatives = [
        {"label": "Own crew", "estimate_id": two["own"]["id"]},
        {
            "label": "Contractor",
            "estimate_id": two["hired"]["id"],
            "leaves_out": ["Collars stay as they are."],
        },
    ]
    comparison = api.created("/comparisons", {"name": "Left out", "alternatives": alternatives})
    found = figures_of(api, comparison)
    own, hired = ({(one["kind"], one["words"]) for one in one["leaves_out"]} for one in found["alternatives"])
    assert own == {("scope", "Haul away, which is in Contractor")}
    assert ("scope", "Clear brush, which is in Own crew") in hired
    assert ("area", "Green 9, worked on in Own crew") in hired
    assert ("stated", "Collars stay as they are.") in hired
    assert [kind for kind, _ in hired].count("gap") == 1
    costs = {one["words"]: one["cost_elsewhere"] for one in found["alternatives"][1]["leaves_out"]}
    brush = [line for line in lines_of(api, two["own"]["id"]) if line["scope_item"] == "Clear brush"]
    assert costs["Clear brush, which is in Own crew"]["amount"] == "274.00"
    assert sum(money(line["amount"]) for line in brush) == Decimal("274.00")
    (unpriced,) = found["alternatives"][0]["leaves_out"]
    assert unpriced["cost_elsewhere"] is None  # hauling away has no price, which is not a cost of nothing
    assert any(caution.startswith("Contractor is incomplete") for caution in found["cautions"])


def test_the_figures_of_the_work_stand_beside_the_money(api: Api, two: dict[str, Any]) -> None:
    found = figures_of(api, a_comparison(api, two["own"], two["hired"], name="Work"))
    own, hired = found["alternatives"]
    assert Decimal(own["labor_hours"]["value"]) == 90
    assert hired["labor_hours"] is None  # nobody of the club works there, which is not an hour count of zero
    # 0.25 in over 11,000 ft2 at 100 lb/ft3 is 11.46 short tons; over 6,000 ft2, 6.25 short tons.
    assert (own["sand"]["shown"], hired["sand"]["shown"]) == ("11.458 short ton", "6.25 short ton")
    assert [one["name"] for one in own["sand"]["inputs"]] == ["Dress greens"]
    assert own["risk"] is None


def test_faces_hold_the_same_figures(api: Api, two: dict[str, Any]) -> None:
    comparison = a_comparison(api, two["own"], two["hired"], name="Faces")
    place = f"/comparisons/{comparison['id']}/figures"
    rows = list(csv.reader(io.StringIO(api.get(place, headers={"Accept": "text/csv"}).text)))
    assert rows[0] == ["figure", "unit", "Own crew", "Contractor"]
    by_name = {row[0]: row for row in rows}
    assert by_name["total"][2:] == [two["own"]["total"]["amount"], two["hired"]["total"]["amount"]]
    assert by_name["days_closed"][2:] == ["12", "5"]
    assert {len(row) for row in rows} == {4}
    drawn = api.get(place, headers={"Accept": "image/svg+xml"})
    assert drawn.headers["content-type"].startswith("image/svg+xml")
    assert "Contractor" in drawn.text
    specified = json.loads(api.get(place, headers={"Accept": "application/vnd.vegalite.v6+json"}).text)
    assert "vega-lite/v6" in specified["$schema"]


def test_a_comparison_is_edited_and_deleted_by_its_version(api: Api, two: dict[str, Any]) -> None:
    comparison = a_comparison(api, two["own"], two["hired"], name="Edited")
    place = f"/comparisons/{comparison['id']}"
    body = {name: comparison[name] for name in ("name", "question", "alternatives")} | {"question": "Which?"}
    changed = api.put(place, json=body, headers={"If-Match": '"1"'})
    assert (changed.status_code, changed.json()["question"], changed.json()["version"]) == (200, "Which?", 2)
    assert api.put(place, json=body, headers={"If-Match": '"1"'}).status_code == 412
    assert api.delete(place, headers={"If-Match": '"2"'}).status_code == 204
    assert api.get(place).status_code == 404
    entries = api.get(f"/audit?subject=comparison&subject_id={comparison['id']}").json()["items"]
    assert [one["action"] for one in entries] == ["delete", "change", "create"]


def test_estimates_that_cannot_be_compared_are_named(api: Api, two: dict[str, Any]) -> None:
    nobody = "00000000-0000-7000-8000-000000000000"
    body = {
        "name": "Unknown",
        "alternatives": [
            {"label": "Own crew", "estimate_id": two["own"]["id"]},
            {"label": "Nobody's", "estimate_id": nobody},
        ],
    }
    refused = api.post("/comparisons", json=body)
    assert refused.status_code == 422
    (fault,) = refused.json()["faults"]
    assert (fault["pointer"], fault["got"]) == ("/alternatives/1/estimate_id", nobody)
    body["alternatives"][1] = body["alternatives"][0]
    assert api.post("/comparisons", json=body).status_code == 400
    a_comparison(api, two["own"], two["hired"], name="Taken")
    again = api.post("/comparisons", json=body | {"name": "Taken", "alternatives": [
        {"label": "A", "estimate_id": two["own"]["id"]}, {"label": "B", "estimate_id": two["hired"]["id"]},
    ]})  # fmt: skip
    assert (again.status_code, again.json()["type"]) == (409, "/problems/duplicate")


def test_the_committee_reads_and_does_not_write(api: Api, two: dict[str, Any]) -> None:
    comparison = a_comparison(api, two["own"], two["hired"], name="Roles")
    committee = api.as_role("committee")
    assert committee.get(f"/comparisons/{comparison['id']}/figures").status_code == 200
    assert (
        committee.delete(f"/comparisons/{comparison['id']}", headers={"If-Match": '"1"'}).status_code == 403
    )
    stranger = api.of_new_club("other-side")
    assert stranger.get(f"/comparisons/{comparison['id']}/figures").status_code == 404
