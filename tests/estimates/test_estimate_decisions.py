"""An estimate's way from draft to decision, and its revisions, through the API."""

from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from typing import Any

import pytest
from conftest import Api
from estimate_factories import (
    LUMP,
    SODDING,
    TOPDRESSING,
    Document,
    a_course,
    a_dressed_green,
    a_project,
    a_scope_item,
    accepted,
    an_area,
    an_edition,
    an_item,
    by_measure,
    issued,
    line_of,
    lines_of,
    money,
    priced,
    stated,
)


def revised(api: Api, estimate: Document, **terms: Any) -> Document:
    body = {"edition_id": estimate["edition_id"]} | terms
    return api.created(f"/estimates/{estimate['id']}/revisions", body)


def act(api: Api, estimate: Document, action: str, **body: Any) -> tuple[int, str]:
    response = api.post(f"/estimates/{estimate['id']}/{action}", json=body)
    return response.status_code, response.json().get("type", response.json().get("status"))


def read(api: Api, estimate: Document) -> Document:
    document: Document = api.get(f"/estimates/{estimate['id']}").json()
    return document


WRONG_STATE = (409, "/problems/wrong-state")


def test_an_estimate_is_issued_then_accepted_by_the_committee(api: Api) -> None:
    estimate = a_dressed_green(api)
    assert (estimate["status"], estimate["number"], estimate["revision"]) == ("draft", 1, 1)
    assert act(api, estimate, "accept") == WRONG_STATE
    assert act(api, estimate, "decline") == WRONG_STATE
    assert act(api.as_role("superintendent"), estimate, "issue") == (200, "issued")
    assert act(api, estimate, "issue") == WRONG_STATE
    assert act(api.as_role("committee"), estimate, "accept", note="Minutes of May") == (200, "accepted")
    after = read(api, estimate)
    assert (after["issued_by"], after["decided_by"]) == ("superintendent", "committee")
    assert (after["decision_note"], after["version"]) == ("Minutes of May", 3)
    assert api.get(f"/budgets/{after['budget_id']}").json()["estimate_id"] == estimate["id"]
    trail = api.get(f"/audit?subject=estimate&subject_id={estimate['id']}").json()["items"]
    assert [entry["action"] for entry in trail] == ["accepted", "issued", "price"]


@pytest.mark.parametrize("role", ["superintendent", "controller", "integrator"])
def test_only_committee_and_owner_decide(api: Api, role: str) -> None:
    estimate = a_dressed_green(api)
    issued(api, estimate["id"])
    for action in ("accept", "decline"):
        assert act(api.as_role(role), estimate, action) == (403, "/problems/forbidden")
    assert read(api, estimate)["status"] == "issued"
    assert api.get("/budgets").json()["items"] == []


@pytest.mark.parametrize("role", ["committee", "controller", "integrator"])
def test_only_planners_price_revise_and_issue(api: Api, role: str) -> None:
    estimate, reader = a_dressed_green(api), api.as_role(role)
    body = {"name": "E", "edition_id": estimate["edition_id"]}
    assert reader.post(f"/projects/{estimate['project_id']}/estimates", json=body).status_code == 403
    assert act(reader, estimate, "revisions", edition_id=estimate["edition_id"])[0] == 403
    assert act(reader, estimate, "issue")[0] == 403
    assert reader.get(f"/estimates/{estimate['id']}").status_code == 200


def test_what_is_decided_stays_decided(api: Api) -> None:
    yes, no = a_dressed_green(api), a_dressed_green(api)
    accepted(api, yes["id"])
    issued(api, no["id"])
    assert act(api, no, "decline", note="Too dear") == (200, "declined")
    for estimate in (yes, no):
        for action in ("issue", "accept", "decline"):
            assert act(api, estimate, action) == WRONG_STATE
    assert len(api.get("/budgets").json()["items"]) == 1
    assert read(api, no)["budget_id"] is None


def test_an_estimate_with_gaps_is_issued_only_with_a_reason(api: Api) -> None:
    project = a_project(api)
    a_scope_item(api, project, LUMP, [], stated("SOON", "1", "each"))
    estimate = priced(api, project, an_edition(api, [an_item("SOON", None, unit="each")]))
    refused = api.post(f"/estimates/{estimate['id']}/issue", json={})
    assert (refused.status_code, refused.json()["type"]) == (409, "/problems/incomplete-estimate")
    assert "SOON has no price" in refused.json()["detail"]
    for empty in ("", "  "):
        assert act(api, estimate, "issue", incomplete_because=empty)[0] == 400
    reason = "Quote is due on Friday"
    assert issued(api, estimate["id"], incomplete_because=reason)["incomplete_because"] == reason
    assert act(api, estimate, "accept") == (200, "accepted")
    assert (read(api, estimate)["incomplete_because"], read(api, estimate)["complete"]) == (reason, False)


def test_a_complete_estimate_keeps_no_reason(api: Api) -> None:
    estimate = a_dressed_green(api)
    assert issued(api, estimate["id"], incomplete_because="None needed")["incomplete_because"] is None


def test_a_revision_supersedes_the_earlier_ones_when_it_is_issued(api: Api) -> None:
    first = a_dressed_green(api)
    issued(api, first["id"])
    second = revised(api, first)
    assert (second["number"], second["revision"], second["revises"]) == (first["number"], 2, first["id"])
    assert second["name"] == first["name"]
    assert read(api, first)["superseded_by"] is None
    issued(api, second["id"])
    superseded = read(api, first)
    assert (superseded["superseded_by"], superseded["status"]) == (second["id"], "issued")
    assert act(api, first, "accept") == WRONG_STATE
    assert act(api, first, "decline") == WRONG_STATE
    trail = api.get(f"/audit?subject=estimate&subject_id={first['id']}").json()["items"]
    assert [entry["action"] for entry in trail] == ["supersede", "issued", "price"]
    third = revised(api, first)
    assert third["revision"] == 3
    issued(api, third["id"])
    assert read(api, first)["superseded_by"] == second["id"]
    assert read(api, second)["superseded_by"] == third["id"]
    assert act(api, third, "accept") == (200, "accepted")


def test_an_older_draft_is_not_issued_after_a_later_revision(api: Api) -> None:
    first = a_dressed_green(api)
    second = revised(api, first)
    issued(api, second["id"])
    assert act(api, first, "issue") == WRONG_STATE


def test_once_a_revision_is_accepted_no_other_is_priced_issued_or_accepted(api: Api) -> None:
    first = a_dressed_green(api)
    issued(api, first["id"])
    second = revised(api, first)
    assert act(api, first, "accept") == (200, "accepted")
    assert act(api, second, "issue") == WRONG_STATE
    assert act(api, second, "accept") == WRONG_STATE
    for estimate in (first, second):
        assert act(api, estimate, "revisions", edition_id=estimate["edition_id"]) == WRONG_STATE
    assert (read(api, first)["superseded_by"], read(api, second)["status"]) == (None, "draft")
    assert len(api.get("/budgets").json()["items"]) == 1


def test_a_declined_estimate_can_be_revised_and_accepted(api: Api) -> None:
    first = a_dressed_green(api)
    issued(api, first["id"])
    act(api, first, "decline")
    second = revised(api, first)
    accepted(api, second["id"])
    assert (read(api, first)["status"], read(api, first)["superseded_by"]) == ("declined", second["id"])


def test_what_was_priced_stays_when_prices_areas_scope_and_dates_change(api: Api) -> None:
    project, green = a_project(api, name="Autumn"), an_area(api, a_course(api), "6000", name="Green 1")
    item = a_scope_item(api, project, TOPDRESSING, [green], by_measure("SAND", "sand_mass"), name="Dress")
    first = priced(api, project, an_edition(api, [an_item("SAND")]), {"kind": "tax", "percent": "5"})
    lines, line = lines_of(api, first["id"]), line_of(api, first["id"])
    match = {"If-Match": '"1"'}
    bigger = {"kind": "tee", "name": "Tee 1", "size": {"value": "9000", "unit": "square_foot"}}
    assert api.put(f"/areas/{green}", json=bigger, headers=match).status_code == 200
    sod = {"name": "Sod", "area_ids": [green], "resources": [by_measure("SOD", "sod_area")]} | SODDING
    assert api.put(f"/scope-items/{item['id']}", json=sod, headers=match).status_code == 200
    later = {"name": "Spring", "starts_on": "2028-03-01", "ends_on": "2028-03-31"}
    assert api.put(f"/projects/{project}", json=later, headers=match).status_code == 200
    dearer = an_edition(api, [an_item("SAND", "99"), an_item("SOD", "2", unit="square_foot")])
    assert read(api, first) == first
    assert (lines_of(api, first["id"]), line_of(api, first["id"])) == (lines, line)
    second = revised(api, first, edition_id=dearer)
    assert (second["total"]["amount"], second["starts_on"]) == ("18000.00", "2028-03-01")
    assert line_of(api, second["id"])["shares"][0]["name"] == "Tee 1"
    assert read(api, first) == first
    assert api.delete(f"/scope-items/{item['id']}", headers={"If-Match": '"2"'}).status_code == 204
    assert api.delete(f"/areas/{green}", headers={"If-Match": '"2"'}).status_code == 204
    assert (lines_of(api, first["id"]), line_of(api, first["id"])) == (lines, line)


def test_accepting_at_once_opens_exactly_one_budget(api: Api) -> None:
    estimate = a_dressed_green(api)
    issued(api, estimate["id"])
    with ThreadPoolExecutor(6) as pool:
        outcomes = list(pool.map(lambda _: act(api, estimate, "accept"), range(6)))
    assert sorted(outcomes) == [(200, "accepted")] + [WRONG_STATE] * 5
    assert len(api.get("/budgets").json()["items"]) == 1


@pytest.mark.parametrize("attempt", range(3))
def test_accepting_while_a_revision_is_issued_gives_one_or_the_other(api: Api, attempt: int) -> None:
    first = a_dressed_green(api)
    issued(api, first["id"])
    second = revised(api, first)
    with ThreadPoolExecutor(2) as pool:
        accept = pool.submit(act, api, first, "accept")
        issue = pool.submit(act, api, second, "issue")
    assert sorted([accept.result()[0], issue.result()[0]]) == [200, 409]
    one, other = read(api, first), read(api, second)
    assert (one["status"] == "accepted") is (one["superseded_by"] is None)
    assert (other["status"] == "issued") is (one["superseded_by"] == second["id"])


def test_estimates_priced_at_once_have_numbers_of_their_own(api: Api) -> None:
    first = a_dressed_green(api)
    with ThreadPoolExecutor(6) as pool:
        made = list(pool.map(lambda _: priced(api, first["project_id"], first["edition_id"]), range(8)))
        revisions = list(pool.map(lambda _: revised(api, first), range(8)))
    assert sorted(estimate["number"] for estimate in made) == list(range(2, 10))
    assert sorted(estimate["revision"] for estimate in revisions) == list(range(2, 10))


def test_a_repeated_acceptance_is_answered_as_the_first_and_done_once(api: Api) -> None:
    estimate = a_dressed_green(api)
    issued(api, estimate["id"])
    path, key = f"/estimates/{estimate['id']}/accept", {"Idempotency-Key": "minutes-of-may"}
    first = api.post(path, json={"note": "Yes"}, headers=key)
    again = api.post(path, json={"note": "Yes"}, headers=key)
    assert (first.status_code, again.status_code, again.json()) == (200, 200, first.json())
    assert again.headers["idempotency-replayed"] == "true"
    other = api.post(path, json={"note": "No"}, headers=key)
    assert (other.status_code, other.json()["type"]) == (409, "/problems/idempotency-conflict")
    assert len(api.get("/budgets").json()["items"]) == 1


def test_estimates_are_listed_in_order_and_filtered(api: Api) -> None:
    one, two = a_dressed_green(api), a_dressed_green(api)
    issued(api, two["id"])

    def ids(query: str = "") -> list[str]:
        return [estimate["id"] for estimate in api.get(f"/estimates{query}").json()["items"]]

    assert ids() == [one["id"], two["id"]]
    assert ids("?status=issued") == [two["id"]]
    assert ids(f"?project_id={one['project_id']}") == [one["id"]]
    assert api.get("/estimates?status=lost").status_code == 400
    page = api.get("/estimates?limit=1").json()
    assert [e["id"] for e in api.get(f"/estimates?limit=1&cursor={page['next']}").json()["items"]] == [
        two["id"]
    ]
    assert money(page["items"][0]["total"]) == money(one["total"])


def test_prices_are_doubted_as_of_today_where_no_day_is_given(api: Api) -> None:
    project = a_project(api)
    a_scope_item(api, project, LUMP, [], stated("SAND", "1", "short_ton"))
    today = api.clock().date()
    edition = an_edition(api, [an_item("SAND", valid_until=today.isoformat())])
    assert priced(api, project, edition)["warnings"] == []
    api.clock.shift = timedelta(days=2)
    later = priced(api, project, edition)
    assert [warning["kind"] for warning in later["warnings"]] == ["stale"]
    assert later["as_of"] == (today + timedelta(days=2)).isoformat()


def test_another_clubs_estimate_is_not_there(api: Api) -> None:
    estimate = a_dressed_green(api)
    issued(api, estimate["id"])
    stranger = api.of_new_club("stone-weir")
    for path in ("", "/lines", "/lines/1", "/export"):
        assert stranger.get(f"/estimates/{estimate['id']}{path}").status_code == 404
    for action in ("issue", "accept", "decline"):
        assert act(stranger, estimate, action) == (404, "/problems/not-found")
    assert act(stranger, estimate, "revisions", edition_id=estimate["edition_id"])[0] == 404
    assert stranger.get("/estimates").json()["items"] == []
    assert read(api, estimate)["status"] == "issued"


def test_a_project_gets_one_budget_even_from_two_issued_estimates(api: Api) -> None:
    first = a_dressed_green(api)
    body = {"name": "Another way", "edition_id": first["edition_id"]}
    second = api.created(f"/projects/{first['project_id']}/estimates", body)
    assert second["number"] == first["number"] + 1
    for estimate in (first, second):
        assert act(api, estimate, "issue", incomplete_because="as a trial")[0] == 200

    def accept(estimate: Document) -> int:
        return api.post(f"/estimates/{estimate['id']}/accept").status_code

    with ThreadPoolExecutor(2) as pool:
        assert sorted(pool.map(accept, (first, second))) == [200, 409]
    assert len(api.get("/budgets").json()["items"]) == 1
