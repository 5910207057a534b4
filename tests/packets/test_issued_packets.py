"""Packets are issued once and stay as they are, byte for byte; links open one of them until they end."""

import hashlib
import json
from datetime import timedelta
from typing import Any

import httpx
import pytest
from conftest import Api
from estimate_factories import Document, a_dressed_green, accepted, issued

PACKETS, LINKS = "/packets", "/packet-links"
MEDIA = {
    "html": "text/html", "pdf": "application/pdf", "csv": "text/csv", "json": "application/json",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}  # fmt: skip
NOBODY = "00000000-0000-7000-8000-000000000000"


def a_packet(api: Api, estimate: Document, **more: Any) -> Document:
    return api.created(PACKETS, {"kind": "estimate", "subject_id": estimate["id"]} | more)


def file_of(api: Api, packet: Document, form: str) -> bytes:
    response = api.get(f"{PACKETS}/{packet['id']}/document", headers={"Accept": MEDIA[form]})
    assert response.status_code == 200, response.text
    assert response.headers["content-type"].startswith(MEDIA[form])
    return response.content


def a_link(api: Api, packet: Document, **more: Any) -> Document:
    return api.created(f"{PACKETS}/{packet['id']}/links", {"name": "Spring meeting"} | more)


def followed(api: Api, path: str) -> httpx.Response:
    """What somebody without a key gets."""
    return api.client.get(path)


def test_a_packet_keeps_its_bytes_and_tells_their_digest(api: Api) -> None:
    estimate = a_dressed_green(api)
    packet = a_packet(api, estimate, title="Autumn programme", decision_asked="To approve it")
    assert (packet["number"], packet["status"], packet["title"], packet["issued_by"]) == (
        1, "issued", "Autumn programme", "Owner",
    )  # fmt: skip
    assert [one["name"] for one in packet["files"]] == [
        f"packet-1.{ending}" for ending in ("csv", "html", "json", "pdf", "xlsx")
    ]
    files = {form: file_of(api, packet, form) for form in MEDIA}
    told = {one["name"].rpartition(".")[2]: (one["sha256"], one["size"]) for one in packet["files"]}
    for form, content in files.items():
        assert told[form] == (hashlib.sha256(content).hexdigest(), len(content)), form
    assert files["html"].startswith(b"<!doctype html>")
    assert files["pdf"].startswith(b"%PDF-")
    # Whatever becomes of the estimate, the packet tells what it told.
    accepted(api, estimate["id"])
    assert {form: file_of(api, packet, form) for form in MEDIA} == files
    document = f"{PACKETS}/{packet['id']}/document"
    paper = api.get(document, headers={"Accept": MEDIA["pdf"]}).headers
    assert (paper["content-disposition"], paper["x-content-type-options"]) == (
        'attachment; filename="packet-1.pdf"', "nosniff",
    )  # fmt: skip
    data = api.get(document).json()
    assert (data["title"], data["mark"]) == ("Autumn programme", {"state": "issued", "number": "1"})


def test_one_packet_takes_the_place_of_another_of_its_subject(api: Api) -> None:
    estimate = a_dressed_green(api)
    first = a_packet(api, estimate)
    second = a_packet(api, estimate, supersedes=first["id"])
    assert (second["number"], second["supersedes"], second["status"]) == (2, first["id"], "issued")
    before = api.get(f"{PACKETS}/{first['id']}").json()
    assert (before["status"], before["superseded_by"], before["files"]) == (
        "superseded", second["id"], first["files"],
    )  # fmt: skip
    body = {"kind": "estimate", "subject_id": estimate["id"]}
    for wrong in (first["id"], NOBODY, a_packet(api, a_dressed_green(api))["id"]):
        answer = api.post(PACKETS, json=body | {"supersedes": wrong})
        assert (answer.status_code, answer.json()["faults"][0]["pointer"]) == (422, "/supersedes")
    assert [one["number"] for one in api.get(f"{PACKETS}?subject_id={estimate['id']}").json()["items"]] == [
        1,
        2,
    ]
    assert [one["number"] for one in api.get(f"{PACKETS}?kind=budget").json()["items"]] == []
    actions = [one["action"] for one in api.get(f"/audit?subject_id={first['id']}").json()["items"]]
    assert actions == ["supersede", "issue"]


@pytest.mark.parametrize(
    ("more", "status"),
    [
        ({"subject_id": NOBODY}, 404), ({"through": "2026-09"}, 422), ({"locale": "xx-XX"}, 400),
        ({"kind": "poster"}, 400), ({"unit_system": "old"}, 400),
    ],
)  # fmt: skip
def test_a_packet_that_cannot_be_is_refused_and_none_is_kept(api: Api, more: Document, status: int) -> None:
    body = {"kind": "estimate", "subject_id": a_dressed_green(api)["id"]} | more
    assert api.post(PACKETS, json=body).status_code == status
    assert api.get(PACKETS).json()["items"] == []


def test_a_repeated_request_issues_one_packet(api: Api) -> None:
    body = {"kind": "estimate", "subject_id": a_dressed_green(api)["id"]}
    answers = [api.post(PACKETS, json=body, headers={"Idempotency-Key": "once"}) for _ in range(2)]
    assert [one.status_code for one in answers] == [201, 201]
    assert answers[0].json() == answers[1].json()
    assert len(api.get(PACKETS).json()["items"]) == 1


def test_a_link_opens_one_packet_without_a_key(api: Api) -> None:
    packet = a_packet(api, a_dressed_green(api))
    other = a_packet(api, a_dressed_green(api))
    link = a_link(api, packet)
    assert link["path"] == f"/p/{link['token']}"
    cover = followed(api, link["path"])
    assert (cover.status_code, cover.headers["cache-control"]) == (200, "no-store")
    assert "default-src 'none'" in cover.headers["content-security-policy"]
    assert cover.headers["referrer-policy"] == "no-referrer"
    for one in packet["files"]:
        assert one["sha256"] in cover.text
        found = followed(api, f"{link['path']}/{one['name']}")
        assert found.status_code == 200
        assert hashlib.sha256(found.content).hexdigest() == one["sha256"]
    assert followed(api, f"{link['path']}/{other['files'][0]['name']}").status_code == 404
    assert followed(api, f"{link['path']}/../../metrics").status_code in (200, 404)
    # The token is no key, and is shown this once.
    assert api.get("/estimates", headers={"Authorization": f"Bearer {link['token']}"}).status_code == 401
    (listed,) = api.get(f"{PACKETS}/{packet['id']}/links").json()["items"]
    assert "token" not in listed
    assert link["token"] not in json.dumps(api.get("/audit").json())


def test_a_link_ends_when_it_expires_or_is_revoked(api: Api) -> None:
    packet = a_packet(api, a_dressed_green(api))
    link, kept = a_link(api, packet, valid_days=2), a_link(api, packet)
    revoked = api.post(f"{LINKS}/{link['id']}/revoke")
    assert (revoked.status_code, revoked.json()["revoked_at"] is not None) == (200, True)
    assert api.post(f"{LINKS}/{link['id']}/revoke").status_code == 409
    gone = followed(api, link["path"])
    assert (gone.status_code, gone.headers["content-type"]) == (404, "text/html; charset=utf-8")
    assert followed(api, kept["path"]).status_code == 200
    api.clock.shift += timedelta(days=31)
    assert followed(api, kept["path"]).status_code == 404
    assert followed(api, f"{kept['path']}/{packet['files'][0]['name']}").status_code == 404
    assert followed(api, "/p/view_heron-mere_" + "x" * 43).text == gone.text


def test_the_cover_says_that_a_packet_was_superseded(api: Api) -> None:
    estimate = a_dressed_green(api)
    first = a_packet(api, estimate, locale="es-MX")
    link = a_link(api, first)
    assert 'lang="es"' in followed(api, link["path"]).text
    before = followed(api, f"{link['path']}/packet-1.html").content
    a_packet(api, estimate, supersedes=first["id"])
    assert 'role="note"' in followed(api, link["path"]).text
    assert followed(api, f"{link['path']}/packet-1.html").content == before


def test_packets_and_links_are_of_one_club_and_not_for_all_roles(api: Api) -> None:
    estimate = a_dressed_green(api)
    packet = a_packet(api, estimate)
    link = a_link(api, packet)
    heath = api.of_new_club("heath")
    for path in (
        f"{PACKETS}/{packet['id']}",
        f"{PACKETS}/{packet['id']}/document",
        f"{PACKETS}/{packet['id']}/links",
    ):
        assert heath.get(path).status_code == 404
    assert heath.post(f"{LINKS}/{link['id']}/revoke").status_code == 404
    assert heath.post(f"{PACKETS}/{packet['id']}/links", json={"name": "x"}).status_code == 404
    assert heath.post(PACKETS, json={"kind": "estimate", "subject_id": estimate["id"]}).status_code == 404
    committee = api.as_role("committee")
    assert committee.get(f"{PACKETS}/{packet['id']}").status_code == 200
    assert committee.post(PACKETS, json={"kind": "estimate", "subject_id": estimate["id"]}).status_code == 403
    assert committee.post(f"{PACKETS}/{packet['id']}/links", json={"name": "x"}).status_code == 403


def test_a_draft_is_read_in_every_form_and_language(api: Api) -> None:
    estimate = a_dressed_green(api)
    issued(api, estimate["id"])
    place = f"/estimates/{estimate['id']}/packet"
    for media in MEDIA.values():
        answer = api.get(place, headers={"Accept": media})
        assert (answer.status_code, answer.headers["content-type"].partition(";")[0]) == (200, media)
    saved_as = api.get(place, headers={"Accept": "application/pdf"}).headers["content-disposition"]
    assert saved_as == 'attachment; filename="estimate-packet.pdf"'
    french = api.get(f"{place}?locale=fr-CA&unit_system=metric", headers={"Accept": "text/html"}).text
    assert 'lang="fr' in french
    assert api.get(PACKETS).json()["items"] == []


@pytest.mark.parametrize("what", ["packet", "work-report"])
def test_a_month_with_nothing_to_tell_is_refused_and_no_packet_kept(api: Api, what: str) -> None:
    estimate = a_dressed_green(api)
    budget = accepted(api, estimate["id"])["budget_id"]
    first = estimate["starts_on"][:7]
    for through, status in (("2299-12", 422), ("1800-01", 422), (first, 200)):
        answer = api.get(f"/budgets/{budget}/{what}?through={through}", headers={"Accept": "application/pdf"})
        assert answer.status_code == status, answer.text
        if status == 422:
            assert answer.json()["faults"][0]["pointer"] == "/through"
    kind = "budget" if what == "packet" else "work_report"
    answer = api.post(PACKETS, json={"kind": kind, "subject_id": budget, "through": "2299-12"})
    assert answer.status_code == 422
    assert api.get(PACKETS).json()["items"] == []
