"""Rules with project codes and shares, at import and when applied; and what rules would do, seen before."""

from typing import Any

import pytest
from conftest import Api
from ledger_factories import HEADER, a_budget, a_profile, a_rule, audit_of, imported, postings
from month_factories import (
    a_row,
    acted,
    closed,
    halves,
    parts,
    posted,
    posted_with_projects,
    refused,
    the_posting,
)

APPLY, PREVIEW = "/ledger/assignments/apply", "/ledger/assignments/preview"
OF_SAND = {"account": "6410"}


def a_splitting_rule(api: Api, budget: str, *lines: str, name: str = "Both", **more: Any) -> dict[str, Any]:
    body = {
        "budget_id": budget,
        "name": name,
        "priority": 10,
        "conditions": OF_SAND,
        "shares": halves(*lines),
    }
    return api.created("/ledger/rules", body | more)


def previewed(api: Api, **body: Any) -> dict[str, Any]:
    response = api.post(PREVIEW, json=body)
    assert response.status_code == 200, response.text
    document: dict[str, Any] = response.json()
    return document


def test_a_splitting_rule_can_be_read_listed_edited_and_deleted(api: Api) -> None:
    budget, (sand, sod) = a_budget(api)
    rule = a_splitting_rule(api, budget, sand, sod)
    path = f"/ledger/rules/{rule['id']}"
    read = api.get(path).json()
    assert read["budget_line_id"] is None
    assert [one["budget_line_id"] for one in read["shares"]] == [sand, sod]
    assert api.get("/ledger/rules").json()["items"] == [read]
    body = {"name": "Sand", "priority": 5, "conditions": OF_SAND, "budget_line_id": sand}
    edited = api.put(path, json=body, headers={"If-Match": '"1"'}).json()
    assert (edited["budget_line_id"], edited["shares"]) == (sand, None)
    assert api.get(path).json() == edited
    body = {"name": "Sand", "conditions": OF_SAND, "shares": halves(sod, sand, percent=("12.5", "87.5"))}
    edited = api.put(path, json=body, headers={"If-Match": '"2"'}).json()
    assert [one["percent"] for one in api.get(path).json()["shares"]] == ["12.50", "87.50"]
    assert api.delete(path, headers={"If-Match": '"2"'}).status_code == 412
    assert api.get(path).json()["version"] == 3
    assert api.delete(path, headers={"If-Match": '"3"'}).status_code == 204
    assert api.get("/ledger/rules").json()["items"] == []


@pytest.mark.parametrize(
    ("changes", "status", "pointer"),
    [
        ({"shares": None}, 400, ""),
        ({"budget_line_id": "sand"}, 400, ""),
        ({"shares": ["sand"]}, 400, "/shares"),
        ({"shares": ["sand", "sand"]}, 400, "/shares"),
        ({"shares": ["sand", "elsewhere"]}, 422, "/shares/1/budget_line_id"),
        ({"conditions": {"project_code": ""}}, 400, "/conditions/project_code"),
    ],
)  # fmt: skip
def test_a_splitting_rule_that_cannot_be_used_is_refused(
    api: Api, changes: dict[str, Any], status: int, pointer: str
) -> None:
    budget, (sand, sod) = a_budget(api)
    _, (elsewhere, _) = a_budget(api, "Bunkers", 2)
    lines = {"sand": sand, "sod": sod, "elsewhere": elsewhere}
    if "budget_line_id" in changes:
        changes = changes | {"budget_line_id": sand}
    if changes.get("shares"):
        named = [lines[name] for name in changes["shares"]]
        changes = changes | {"shares": halves(*named, percent=("50",) * len(named))}
    body = {"budget_id": budget, "name": "Both", "conditions": OF_SAND, "shares": halves(sand, sod)} | changes
    answer = api.post("/ledger/rules", json=body)
    assert (answer.status_code, [one["pointer"] for one in answer.json()["faults"]]) == (status, [pointer])
    assert api.get("/ledger/rules").json()["items"] == []


def test_an_import_splits_what_a_splitting_rule_takes(api: Api) -> None:
    budget, (sand, sod) = a_budget(api)
    rule = a_splitting_rule(api, budget, sand, sod)
    done = posted(api, a_row("2024-03-05", "10.01"), a_row("2024-03-06", "5.00", "Linen", "7010"))
    assert done["rows_assigned"] == 1
    split = the_posting(api, "Sand")
    assert parts(split) == [(sand, "5.01"), (sod, "5.00")]
    assert (split["rule_id"], split["assigned_by"], split["decision"]) == (rule["id"], "rule", None)
    assert [one["description"] for one in postings(api, unassigned="true")] == ["Linen"]


def test_applying_rules_splits_what_is_unassigned(api: Api) -> None:
    posted(api, *(a_row(f"2024-03-{day:02d}", f"{day}.01", f"Load {day}") for day in range(1, 10)))
    budget, (sand, sod) = a_budget(api)
    a_splitting_rule(api, budget, sand, sod)
    assert api.post(APPLY).json()["assigned"] == 9
    assert parts(the_posting(api, "Load 3")) == [(sand, "1.51"), (sod, "1.50")]
    assert len(postings(api, budget_line_id=sod)) == 9
    assert api.post(APPLY).json()["tried"] == 0


def test_a_rule_takes_postings_of_its_project(api: Api) -> None:
    budget, (sand, _) = a_budget(api)
    a_rule(api, budget, sand, conditions={"project_code": "CL-2026"})
    rows = ("2024-03-05,6410,Sand,10.00,,,CL-2026\r\n", "2024-03-05,6410,Sod,10.00,,,CL-2025\r\n")
    posted_with_projects(api, *rows, "2024-03-05,6410,Fuel,10.00,,,\r\n")
    found = {one["description"]: (one["project"], one["budget_line_id"] is not None) for one in postings(api)}
    assert found == {"Sand": ("CL-2026", True), "Sod": ("CL-2025", False), "Fuel": (None, False)}
    assert [one["description"] for one in postings(api, project="CL-2025")] == ["Sod"]
    imported(api, a_profile(api), HEADER + a_row("2024-03-05", "10.00", "Fuel"))
    assert len(postings(api, text="Fuel")) == 1


def test_a_rule_is_previewed_before_it_is_saved(api: Api) -> None:
    posted(
        api, a_row("2024-03-05", "10.00"), a_row("2024-03-04", "20.00"), a_row("2024-03-06", "5.00", "Gravel"),
        a_row("2024-03-07", "7.00", "Linen", "7010"), a_row("2024-03-08", "1.00", "By hand"),
    )  # fmt: skip
    budget, (sand, sod) = a_budget(api)
    acted(api, the_posting(api, "By hand"), "assign", budget_line_id=sod)
    gravel = a_rule(api, budget, sod, "Gravel", priority=5, conditions={"text_contains": "gravel"})
    before = postings(api)
    rule = {"budget_id": budget, "name": "Sand", "conditions": OF_SAND, "shares": halves(sand, sod)}
    seen = previewed(api, rule=rule)
    assert seen["tried"] == 4
    (found,) = seen["rules"]
    assert (found["rule_id"], found["name"], found["postings"]) == (None, "Sand", 2)
    assert found["amount"] == {"amount": "30.00", "currency": "USD"}
    assert [one["posted_on"] for one in found["samples"]] == ["2024-03-04", "2024-03-05"]
    assert found["others"] == [{"rule_id": gravel["id"], "name": "Gravel", "assigned": 0, "comes_first": 1}]
    assert (found["decided_by_hand"], found["in_closed_months"]) == (1, 0)
    assert (postings(api), len(api.get("/ledger/rules").json()["items"])) == (before, 1)
    assert audit_of(api, "assignment_rules") == []


def test_a_preview_tells_what_another_rule_has_assigned_and_what_closed_months_hold(api: Api) -> None:
    posted(api, a_row("2024-02-05", "3.00"))
    closed(api, "2024-02")
    budget, (sand, sod) = a_budget(api)
    holder = a_rule(api, budget, sod, "Holder", conditions=OF_SAND)
    posted(api, a_row("2024-03-05", "10.00"), a_row("2024-03-06", "20.00"))
    rule = {"budget_id": budget, "name": "New", "priority": 1, "conditions": OF_SAND, "budget_line_id": sand}
    (found,) = previewed(api, rule=rule)["rules"]
    assert (found["postings"], found["in_closed_months"]) == (0, 1)
    assert found["others"] == [{"rule_id": holder["id"], "name": "Holder", "assigned": 2, "comes_first": 0}]
    (replacing,) = previewed(api, rule=rule, in_place_of=holder["id"])["rules"]
    assert (replacing["rule_id"], replacing["others"]) == (holder["id"], [])
    api.delete(f"/ledger/rules/{holder['id']}", headers={"If-Match": '"1"'})
    (found,) = previewed(api, rule=rule)["rules"]
    assert found["others"] == [{"rule_id": holder["id"], "name": None, "assigned": 2, "comes_first": 0}]


def test_all_rules_are_previewed_as_they_would_be_applied(api: Api) -> None:
    posted(api, *(a_row(f"2024-03-{day:02d}", "1.00", f"Load {day}") for day in range(1, 26)))
    budget, (sand, sod) = a_budget(api)
    a_rule(api, budget, sand, "Loads of ten", priority=5, conditions={"text_contains": "Load 1"})
    a_rule(api, budget, sod, "Loads", priority=10, conditions={"text_contains": "Load"})
    a_rule(api, budget, sod, "Idle", priority=20, conditions={"account": "1"})
    seen = previewed(api)
    assert [(one["name"], one["postings"], len(one["samples"])) for one in seen["rules"]] == [
        ("Loads of ten", 11, 11),
        ("Loads", 14, 14),
        ("Idle", 0, 0),
    ]
    assert seen["rules"][1]["others"][0]["comes_first"] == 11
    applied = api.post(APPLY).json()
    assert [one["postings"] for one in applied["rules"]] == [one["postings"] for one in seen["rules"]]
    after = previewed(api)["rules"]
    assert [one["postings"] for one in after] == [0, 0, 0]
    assert after[0]["others"] == []
    assert [one["assigned"] for one in after[1]["others"]] == [11]


def test_a_preview_shows_twenty_samples_and_counts_them_all(api: Api) -> None:
    posted(api, *(a_row(f"2024-03-{day:02d}", "1.00", f"Load {day}") for day in range(1, 26)))
    budget, (sand, _) = a_budget(api)
    rule = {"budget_id": budget, "name": "Sand", "conditions": {"date_from": "2024-03-02"}}
    (found,) = previewed(api, rule=rule | {"budget_line_id": sand})["rules"]
    assert (found["postings"], len(found["samples"])) == (24, 20)
    assert found["samples"][0]["description"] == "Load 2"


def test_a_preview_of_what_cannot_be_saved_is_refused(api: Api) -> None:
    budget, (sand, _) = a_budget(api)
    rule = {"budget_id": budget, "name": "Sand", "conditions": OF_SAND, "budget_line_id": sand}
    nobody = "00000000-0000-7000-8000-000000000000"
    unknown = api.post(PREVIEW, json={"rule": rule | {"budget_line_id": nobody}})
    assert unknown.json()["faults"][0]["pointer"] == "/budget_line_id"
    missing = api.post(PREVIEW, json={"rule": rule, "in_place_of": nobody})
    assert missing.json()["faults"][0]["pointer"] == "/in_place_of"
    refused(api.post(PREVIEW, json={"in_place_of": nobody}), 400, "invalid-request")
    assert api.of_new_club("stone-weir").post(PREVIEW, json={"rule": rule}).status_code == 422
    assert api.as_role("committee").post(PREVIEW, json={"rule": rule}).status_code == 200
