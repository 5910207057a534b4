"""Assignment rules through the API: editing them, and what they do at import and when applied."""

from typing import Any

import pytest
from conftest import Api
from ledger_factories import (
    HEADER,
    REFUND,
    SAND,
    SOD,
    a_budget,
    a_profile,
    a_rule,
    audit_of,
    imported,
    postings,
)

APPLY = "/ledger/assignments/apply"


def lines_by_text(api: Api) -> dict[str, Any]:
    return {one["description"]: one["budget_line_id"] for one in postings(api)}


def test_a_rule_can_be_read_listed_edited_and_deleted(api: Api) -> None:
    budget, (sand, sod) = a_budget(api)
    late = a_rule(api, budget, sand, "Late", priority=20)
    conditions = {
        "account_prefix": "1520", "text_contains": "Sod", "vendor_contains": "briar", "project_code": "CL-2026",
        "date_from": "2026-03-01", "date_to": "2026-03-31", "amount_min": {"amount": "0.01", "currency": "USD"},
        "amount_max": {"amount": "5000.00", "currency": "USD"},
    }  # fmt: skip
    rule = a_rule(api, budget, sod, "Sod", conditions=conditions)
    path = f"/ledger/rules/{rule['id']}"
    read = api.get(path)
    assert read.json()["conditions"] == conditions | {"account": None}
    listed = api.get("/ledger/rules", params={"budget_id": budget}).json()["items"]
    assert [one["name"] for one in listed] == ["Sod", "Late"]
    body = {"name": "Sod again", "priority": 30, "conditions": {"account": "1520-20"}, "budget_line_id": sod}
    edited = api.put(path, json=body, headers={"If-Match": read.headers["etag"]})
    assert (edited.status_code, edited.json()["conditions"]["amount_min"]) == (200, None)
    assert api.get(path).json() == edited.json()
    assert [one["name"] for one in api.get("/ledger/rules").json()["items"]] == ["Late", "Sod again"]
    assert api.put(path, json=body, headers={"If-Match": '"1"'}).status_code == 412
    taken = api.put(path, json=body | {"name": "Late"}, headers={"If-Match": '"2"'})
    assert taken.json()["type"] == "/problems/duplicate"
    assert api.delete(f"/ledger/rules/{late['id']}", headers={"If-Match": '"1"'}).status_code == 204
    assert [one["action"] for one in audit_of(api, "assignment_rule", rule["id"])] == ["change", "create"]


@pytest.mark.parametrize(
    ("changes", "status", "pointer"),
    [
        ({"conditions": {}}, 400, "/conditions"),
        ({"conditions": {"account": "1", "account_prefix": "1"}}, 400, "/conditions"),
        ({"conditions": {"date_from": "2026-03-02", "date_to": "2026-03-01"}}, 400, "/conditions"),
        ({"conditions": {"amount_min": {"amount": "1", "currency": "EUR"}}}, 422, "/conditions/amount_min/currency"),
        ({"conditions": {"amount_max": {"amount": "1.001", "currency": "USD"}}}, 422, "/conditions/amount_max/amount"),
        ({"budget_line_id": "00000000-0000-7000-8000-000000000000"}, 422, "/budget_line_id"),
        ({"budget_id": "00000000-0000-7000-8000-000000000000"}, 422, "/budget_id"),
        ({"priority": -1}, 400, "/priority"),
    ],
)  # fmt: skip
def test_a_rule_that_cannot_be_used_is_refused(
    api: Api, changes: dict[str, Any], status: int, pointer: str
) -> None:
    budget, (sand, _) = a_budget(api)
    body = {"budget_id": budget, "budget_line_id": sand, "name": "Sand", "conditions": {"account": "1520-10"}}
    refused = api.post("/ledger/rules", json=body | changes)
    assert (refused.status_code, [f["pointer"] for f in refused.json()["faults"]]) == (status, [pointer])
    assert api.get("/ledger/rules").json()["items"] == []


def test_a_rule_points_to_a_line_of_its_own_budget(api: Api) -> None:
    budget, _ = a_budget(api)
    _, (elsewhere, _) = a_budget(api, "Bunkers", 2)
    body = {"budget_id": budget, "budget_line_id": elsewhere, "name": "Sand", "conditions": {"account": "1"}}
    assert api.post("/ledger/rules", json=body).json()["faults"][0]["pointer"] == "/budget_line_id"


def test_an_import_assigns_its_new_postings_by_the_rule_of_lowest_priority(api: Api) -> None:
    budget, (sand, sod) = a_budget(api)
    a_rule(api, budget, sod, "All accounts", priority=50, conditions={"account_prefix": "15"})
    first = a_rule(api, budget, sand, "Sand", priority=10, conditions={"text_contains": "SAND"})
    done = imported(api, a_profile(api), HEADER + SAND + SOD + "2026-03-09,6100,Diesel,80.00,,\r\n")
    assert done["rows_assigned"] == 2
    assert lines_by_text(api) == {"Topdressing sand": sand, "Sod for 7 green": sod, "Diesel": None}
    posting = postings(api, text="Topdressing")[0]
    assert (posting["rule_id"], posting["assigned_by"]) == (first["id"], "rule")


def test_applying_rules_assigns_what_is_unassigned_and_nothing_decided_by_hand(api: Api) -> None:
    budget, (sand, sod) = a_budget(api)
    profile = a_profile(api)
    imported(api, profile, HEADER + SAND + SOD + REFUND + SAND.replace("sand", "rock"))
    for text, line in (("Sod", sod), ("returned", None)):
        path = f"/ledger/postings/{postings(api, text=text)[0]['id']}/assign"
        assert api.post(path, json={"budget_line_id": line, "reason": "Agreed"}).status_code == 200
    rule = a_rule(api, budget, sand, conditions={"account_prefix": "1520"})
    idle = a_rule(api, budget, sand, "Idle", priority=90)
    applied = api.post(APPLY)
    assert applied.json() == {
        "tried": 2, "assigned": 2, "in_closed_months": 0,
        "rules": [
            {"rule_id": rule["id"], "name": "Sand", "postings": 2},
            {"rule_id": idle["id"], "name": "Idle", "postings": 0},
        ],
    }  # fmt: skip
    assert lines_by_text(api) == {
        "Topdressing sand": sand, "Topdressing rock": sand, "Sod for 7 green": sod, "Sand returned": None
    }  # fmt: skip
    assert api.post(APPLY).json()["tried"] == 0
    assert len(audit_of(api, "assignment_rules")) == 1
    assert imported(api, profile, HEADER + SAND + SOD)["rows_assigned"] == 0
    assert lines_by_text(api)["Sod for 7 green"] == sod


def test_rules_are_applied_to_thousands_of_postings_in_batches(
    api: Api, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("swardcost_api.ledger.assignments.BATCH", 300)
    rows = "".join(f"2026-03-{n % 28 + 1:02d},{1000 + n % 7},Load {n},1.00,,\r\n" for n in range(1000))
    imported(api, a_profile(api), HEADER + rows)
    budget, (sand, _) = a_budget(api)
    a_rule(api, budget, sand, conditions={"account": "1003"})
    applied = api.post(APPLY).json()
    assert (applied["tried"], applied["assigned"]) == (1000, sum(n % 7 == 3 for n in range(1000)))
    assert len(postings(api, budget_line_id=sand)) == applied["assigned"]


def test_deleting_a_rule_leaves_its_assignments(api: Api) -> None:
    budget, (sand, _) = a_budget(api)
    rule = a_rule(api, budget, sand)
    imported(api, a_profile(api), HEADER + SAND)
    assert api.delete(f"/ledger/rules/{rule['id']}", headers={"If-Match": '"1"'}).status_code == 204
    assert postings(api)[0]["budget_line_id"] == sand
