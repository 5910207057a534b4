"""Postings through the API: listing them, and assigning one by hand."""

import pytest
from conftest import Api
from ledger_factories import HEADER, REFUND, SAND, SOD, a_budget, a_profile, audit_of, imported, postings

NOBODY = "00000000-0000-7000-8000-000000000000"


def descriptions(api: Api, **query: str) -> list[str]:
    return [one["description"] for one in postings(api, **query)]


def test_postings_are_listed_by_date_page_by_page(api: Api) -> None:
    rows = [f"2026-03-{day:02d},1520-10,Load {day},1.00,,\r\n" for day in range(20, 0, -1)]
    imported(api, a_profile(api), HEADER + "".join(rows) + rows[0])
    seen, cursor = [], None
    while True:
        page = api.get(
            "/ledger/postings", params={"limit": 6} | ({"cursor": cursor} if cursor else {})
        ).json()
        seen += page["items"]
        cursor = page["next"]
        if cursor is None:
            break
    assert [one["description"] for one in seen] == [*(f"Load {day}" for day in range(1, 21)), "Load 20"]
    assert len({one["id"] for one in seen}) == 21


def test_postings_can_be_filtered(api: Api) -> None:
    _, (sand_line, _) = a_budget(api)
    done = imported(api, a_profile(api), HEADER + SAND + SOD + REFUND)
    sand = postings(api, text="topdressing")[0]["id"]
    api.post(f"/ledger/postings/{sand}/assign", json={"budget_line_id": sand_line, "reason": "Ticket T-101"})
    assert descriptions(api, month="2026-03") == ["Topdressing sand", "Sod for 7 green"]
    assert descriptions(api, account="1520-10") == ["Topdressing sand", "Sand returned"]
    assert descriptions(api, budget_line_id=sand_line) == ["Topdressing sand"]
    assert descriptions(api, unassigned="true") == ["Sod for 7 green", "Sand returned"]
    assert descriptions(api, unassigned="false", month="2026-03") == ["Topdressing sand"]
    assert len(descriptions(api, import_id=done["id"])) == 3
    assert descriptions(api, text="BRIAR") == ["Sod for 7 green"]
    assert descriptions(api, text="t-103") == ["Sand returned"]
    assert descriptions(api, text="%") == descriptions(api, month="1800-01") == []
    assert api.get("/ledger/postings?month=2026-13").json()["type"] == "/problems/invalid-request"
    assert api.get(f"/ledger/postings?import_id={NOBODY}").status_code == 404


def test_a_posting_assigned_by_hand_leaves_its_reason_in_the_audit_trail(api: Api) -> None:
    _, (sand_line, sod_line) = a_budget(api)
    imported(api, a_profile(api), HEADER + SAND)
    path = f"/ledger/postings/{postings(api)[0]['id']}"
    for line in (sand_line, sod_line, None):
        done = api.post(f"{path}/assign", json={"budget_line_id": line, "reason": "As the ticket says"})
        assert (done.status_code, done.json()["budget_line_id"], done.json()["assigned_by"]) == (
            200,
            line,
            "hand",
        )
    last = audit_of(api, "posting")[0]
    assert last["before"] == {"budget_line_id": sod_line, "rule_id": None, "assigned_by": "hand"}
    assert last["after"] == {
        "budget_line_id": None, "rule_id": None, "assigned_by": "hand", "reason": "As the ticket says"
    }  # fmt: skip


def test_a_posting_is_assigned_only_to_a_budget_line_of_the_club(api: Api) -> None:
    stranger = api.of_new_club("stone-weir")
    _, (foreign, _) = a_budget(stranger)
    imported(api, a_profile(api), HEADER + SAND)
    before = postings(api)
    path = f"/ledger/postings/{before[0]['id']}/assign"
    for line in (NOBODY, foreign):
        refused = api.post(path, json={"budget_line_id": line, "reason": "Why not"})
        assert (refused.status_code, refused.json()["type"]) == (422, "/problems/invalid-values")
        assert [fault["pointer"] for fault in refused.json()["faults"]] == ["/budget_line_id"]
    assert api.post(path, json={"budget_line_id": None}).json()["type"] == "/problems/invalid-request"
    assert (
        api.as_role("committee").post(path, json={"budget_line_id": None, "reason": "x"}).status_code == 403
    )
    assert stranger.post(path, json={"budget_line_id": None, "reason": "x"}).status_code == 404
    assert (postings(api), audit_of(api, "posting")) == (before, [])


@pytest.mark.parametrize("posting_id", ["x", "0" * 32, f"{'0' * 32}-1", f"{'0' * 32}-0", f"{'G' * 32}-1"])
def test_an_unknown_posting_is_not_there(api: Api, posting_id: str) -> None:
    assert api.get(f"/ledger/postings/{posting_id}").json()["type"] == "/problems/not-found"
