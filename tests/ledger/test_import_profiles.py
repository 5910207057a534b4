"""Import profiles through the API."""

from typing import Any

import pytest
from conftest import Api
from ledger_factories import COLUMNS, HEADER, SAND, a_profile, audit_of, imported, profile_body

PROFILES = "/ledger/profiles"


def columns(**changes: Any) -> dict[str, Any]:
    return {k: v for k, v in (COLUMNS | changes).items() if v is not None}


def test_a_profile_can_be_read_listed_and_edited(api: Api) -> None:
    profile = a_profile(api, delimiter="\t", encoding="utf-16", header_row=3, decimal_mark=",")
    a_profile(api, "Bank lines")
    path = f"{PROFILES}/{profile}"
    read = api.get(path)
    assert (read.json()["delimiter"], read.json()["encoding"], read.json()["header_row"]) == (
        "\t",
        "utf-16",
        3,
    )
    assert (read.json()["sign"], read.json()["columns"]["debit"]) == ("debits_positive", None)
    edited = api.put(
        path, json=profile_body("Spring", sign="credits_positive"), headers={"If-Match": read.headers["etag"]}
    )
    assert (edited.status_code, edited.json()["sign"], edited.json()["delimiter"]) == (
        200,
        "credits_positive",
        ",",
    )
    assert [p["name"] for p in api.get(PROFILES).json()["items"]] == ["Bank lines", "Spring"]
    assert api.put(path, json=profile_body(), headers={"If-Match": '"1"'}).status_code == 412
    assert api.put(path, json=profile_body()).status_code == 428
    assert [one["action"] for one in audit_of(api, "import_profile", profile)] == ["change", "create"]


def test_profile_names_are_unique_within_a_club(api: Api) -> None:
    a_profile(api)
    other = a_profile(api, "Bank lines")
    assert api.post(PROFILES, json=profile_body()).json()["type"] == "/problems/duplicate"
    renamed = api.put(f"{PROFILES}/{other}", json=profile_body(), headers={"If-Match": '"1"'})
    assert renamed.json()["type"] == "/problems/duplicate"
    a_profile(api.of_new_club("stone-weir"))


def test_a_profile_with_imports_cannot_be_deleted(api: Api) -> None:
    profile, idle = a_profile(api), a_profile(api, "Bank lines")
    imported(api, profile, HEADER + SAND)
    refused = api.delete(f"{PROFILES}/{profile}", headers={"If-Match": '"1"'})
    assert (refused.status_code, refused.json()["type"]) == (409, "/problems/in-use")
    assert api.delete(f"{PROFILES}/{idle}", headers={"If-Match": '"1"'}).status_code == 204
    assert api.get(f"{PROFILES}/{idle}").status_code == 404


@pytest.mark.parametrize(
    ("changes", "pointer"),
    [
        ({"columns": columns(amount=None)}, "/columns"),
        ({"columns": columns(debit="debit", credit="credit")}, "/columns"),
        ({"columns": columns(amount=None, debit="debit")}, "/columns"),
        ({"columns": columns(amount=None, debit="money", credit="money")}, "/columns"),
        ({"columns": columns(amount=None, debit="a", credit="b", debit_or_credit="c")}, "/columns"),
        ({"columns": columns(date=None)}, "/columns/date"),
        ({"columns": columns(debit_or_credit="side"), "sign": "credits_positive"}, ""),
        ({"date_format": "YY-M-D"}, "/date_format"),
        ({"delimiter": "x"}, "/delimiter"),
        ({"encoding": "utf-7"}, "/encoding"),
        ({"header_row": 0}, "/header_row"),
        ({"colums": {}}, "/colums"),
    ],
)  # fmt: skip
def test_a_profile_that_cannot_be_used_is_refused(api: Api, changes: dict[str, Any], pointer: str) -> None:
    refused = api.post(PROFILES, json=profile_body() | changes)
    assert (refused.status_code, refused.json()["type"]) == (400, "/problems/invalid-request")
    assert [fault["pointer"] for fault in refused.json()["faults"]] == [pointer]
    assert api.get(PROFILES).json()["items"] == []


def test_only_who_keeps_the_books_may_write_and_every_role_may_read(api: Api) -> None:
    profile = a_profile(api)
    assert api.as_role("controller").post(PROFILES, json=profile_body("Other")).status_code == 201
    for role in ("superintendent", "committee", "integrator"):
        reader = api.as_role(role)
        assert reader.get(f"{PROFILES}/{profile}").status_code == 200
        assert reader.get("/ledger/imports").status_code == 200
        assert reader.get("/ledger/postings").status_code == 200
        assert reader.get("/ledger/rules").status_code == 200
        assert reader.post(PROFILES, json=profile_body("Mine")).status_code == 403
        assert reader.upload(f"/ledger/imports/upload?profile_id={profile}", HEADER).status_code == 403
        assert reader.post("/ledger/assignments/apply").status_code == 403
    stranger = api.of_new_club("stone-weir")
    assert stranger.get(f"{PROFILES}/{profile}").status_code == 404
    assert stranger.upload(f"/ledger/imports/upload?profile_id={profile}", HEADER).status_code == 404
