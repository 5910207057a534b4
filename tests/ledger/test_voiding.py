"""Undoing imports through the API, and the refusal of a file that stands imported under another profile."""

from typing import Any

import httpx
from conftest import Api
from ledger_factories import (
    COLUMNS,
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
    profile_body,
    send,
)
from swardcost_api.ledger.service import posting_totals
from swardcost_api.storage.work import OPERATOR, UnitOfWork

WHY = {"reason": "Imported with the wrong profile"}
POORER = {name: column for name, column in COLUMNS.items() if name != "vendor"}


def void(api: Api, import_id: str, body: Any = WHY) -> httpx.Response:
    return api.post(f"/ledger/imports/{import_id}/void", json=body)


def voided(api: Api, import_id: str) -> dict[str, Any]:
    response = void(api, import_id)
    assert response.status_code == 200, response.text
    document: dict[str, Any] = response.json()
    return document


def said(api: Api) -> list[str]:
    return [one["description"] for one in postings(api)]


def test_voiding_an_import_removes_the_postings_that_it_added_and_no_others(api: Api) -> None:
    profile = a_profile(api)
    imported(api, profile, HEADER + SAND)
    wrong = imported(api, profile, HEADER + SAND + SOD + REFUND)
    gone = voided(api, wrong["id"])
    assert (gone["status"], gone["rows_posted"], gone["rows_known"]) == ("voided", 2, 1)
    assert (gone["voided_by"], gone["void_reason"]) == ("Owner", WHY["reason"])
    assert gone["voided_at"] > gone["created_at"]
    assert api.get(f"/ledger/imports/{wrong['id']}").json() == gone
    assert said(api) == ["Topdressing sand"]
    assert postings(api, import_id=wrong["id"]) == []
    with api.database.reading() as session:
        totals = posting_totals(UnitOfWork(session, api.club, OPERATOR))
    assert [(one.account, one.amount_minor) for one in totals] == [("1520-10", 92400)]


def test_the_audit_trail_keeps_what_was_removed_by_how_it_was_assigned(api: Api) -> None:
    budget, (sand, sod) = a_budget(api)
    a_rule(api, budget, sand)
    done = imported(api, a_profile(api), HEADER + SAND + SOD + REFUND + SAND.replace("1520-10", "6100"))
    by_hand = postings(api, text="Sod")[0]["id"]
    api.post(f"/ledger/postings/{by_hand}/assign", json={"budget_line_id": sod, "reason": "Ticket T-102"})
    voided(api, done["id"])
    row = audit_of(api, "import", done["id"])[0]
    assert (row["action"], row["before"]["status"], row["after"]["status"]) == ("void", "posted", "voided")
    assert row["after"]["void_reason"] == WHY["reason"]
    removed = [
        (one["assigned_by"], one["postings"], one["debits"]["amount"], one["credits"]["amount"])
        for one in row["after"]["removed"]
    ]
    assert removed == [
        ("hand", 1, "1250.50", "0.00"), ("rule", 2, "924.00", "24.00"), (None, 1, "924.00", "0.00")
    ]  # fmt: skip
    assert postings(api) == []


def test_an_import_is_voided_once_with_a_reason_and_by_who_keeps_the_books(api: Api) -> None:
    done = imported(api, a_profile(api), HEADER + SAND)
    assert void(api, done["id"], {"reason": " "}).json()["type"] == "/problems/invalid-request"
    assert void(api.as_role("committee"), done["id"]).status_code == 403
    assert void(api.of_new_club("stone-weir"), done["id"]).status_code == 404
    assert said(api) == ["Topdressing sand"]
    first = voided(api, done["id"])
    twice = void(api, done["id"], {"reason": "Once more"})
    assert (twice.status_code, twice.json()["type"]) == (409, "/problems/wrong-state")
    assert api.get(f"/ledger/imports/{done['id']}").json() == first
    assert [one["action"] for one in audit_of(api, "import")] == ["void", "import"]


def test_the_faults_of_a_voided_import_stay_readable(api: Api) -> None:
    file = HEADER + SAND + SAND.replace("924.00", "n/a")
    done = imported(api, a_profile(api), file, good_rows_only="true")
    assert voided(api, done["id"])["rows_bad"] == 1
    faults = api.get(f"/ledger/imports/{done['id']}/faults").json()["items"]
    assert [(one["row"], one["got"]) for one in faults] == [(3, "n/a")]


def test_the_file_of_a_voided_import_can_be_imported_again(api: Api) -> None:
    profile = a_profile(api)
    first = imported(api, profile, HEADER + SAND + SOD)
    before = [one["id"] for one in postings(api)]
    voided(api, first["id"])
    second = imported(api, profile, HEADER + SAND + SOD)
    assert (second["repeated"], second["rows_posted"]) == (False, 2)
    assert second["id"] != first["id"]
    assert [one["id"] for one in postings(api)] == before
    assert imported(api, profile, HEADER + SAND + SOD)["id"] == second["id"]


def test_rows_that_a_later_import_knew_from_a_voided_one_come_back_with_its_file(api: Api) -> None:
    profile = a_profile(api)
    first = imported(api, profile, HEADER + SAND)
    later = imported(api, profile, HEADER + SAND + SAND + SOD)
    assert later["weakened_by"] is None
    voided(api, first["id"])
    assert sorted(said(api)) == ["Sod for 7 green", "Topdressing sand"]
    path = f"/ledger/imports/{later['id']}"
    assert api.get(path).json()["weakened_by"] == first["id"]
    assert audit_of(api, "import")[0]["after"]["weakened"] == [later["id"]]
    again = imported(api, profile, HEADER + SAND + SAND + SOD)
    assert api.get(path).json()["weakened_by"] is None
    assert (again["repeated"], again["rows_posted"], again["rows_known"]) == (False, 1, 2)
    assert sorted(said(api)) == ["Sod for 7 green", "Topdressing sand", "Topdressing sand"]


def test_a_file_imported_under_another_profile_is_refused_unless_asked_for_again(api: Api) -> None:
    first = imported(api, a_profile(api), HEADER + SAND)
    poorer = a_profile(api, "Without vendors", columns=POORER)
    refused = send(api, poorer, HEADER + SAND)
    assert (refused.status_code, refused.json()["type"]) == (409, "/problems/wrong-state")
    assert refused.json()["import_id"] == first["id"]
    for part in (first["id"], "'Ledger detail'", "version 1", "Void that import first", "`again=true`"):
        assert part in refused.json()["detail"]
    assert len(api.get("/ledger/imports").json()["items"]) == len(postings(api)) == 1
    assert imported(api, poorer, HEADER + SAND, again="true")["rows_posted"] == 1
    assert imported(api, poorer, HEADER + SAND)["repeated"]
    assert len(postings(api)) == 2


def test_a_file_imported_under_an_earlier_version_of_the_profile_is_refused_until_that_is_voided(
    api: Api,
) -> None:
    profile = a_profile(api, date_format="YYYY-MM-DD")
    first = imported(api, profile, HEADER + SAND)
    change = profile_body("Ledger detail", columns=POORER)
    assert api.put(f"/ledger/profiles/{profile}", json=change, headers={"If-Match": '"1"'}).status_code == 200
    assert send(api, profile, HEADER + SAND).json()["type"] == "/problems/wrong-state"
    voided(api, first["id"])
    assert imported(api, profile, HEADER + SAND)["rows_posted"] == 1
    assert [one["vendor"] for one in postings(api)] == [None]


def test_the_file_of_another_club_is_no_obstacle(api: Api) -> None:
    other = api.of_new_club("stone-weir")
    imported(other, a_profile(other, columns=POORER), HEADER + SAND)
    assert imported(api, a_profile(api), HEADER + SAND)["rows_posted"] == 1
