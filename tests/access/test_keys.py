"""Keys, roles, clubs and the audit trail through the API."""

from datetime import timedelta

from conftest import Api
from sqlalchemy import select
from swardcost_api.access.tables import KeyRow, RepeatRow

NEW = {"name": "Finance committee", "role": "committee", "valid_days": 30}


def test_a_secret_is_shown_once_and_stored_only_as_a_hash(api: Api) -> None:
    issued = api.created("/keys", NEW)
    assert issued["secret"].startswith("sward_heron-mere_")
    assert all("secret" not in key for key in api.get("/keys").json()["items"])
    with api.database.reading() as session:
        stored = session.execute(select(*KeyRow.__table__.c)).all()
    assert issued["secret"] not in repr(stored)


def test_a_repeated_request_does_not_show_the_secret_again(api: Api) -> None:
    headers = {"Idempotency-Key": "one"}
    first = api.post("/keys", json=NEW, headers=headers)
    again = api.post("/keys", json=NEW, headers=headers)
    assert (first.status_code, again.status_code) == (201, 409)
    assert again.json()["type"] == "/problems/idempotency-conflict"
    assert len(api.get("/keys").json()["items"]) == 2
    with api.database.reading() as session:
        kept = session.execute(select(RepeatRow.body)).scalars().all()
    assert kept == [None]


def test_no_key_a_wrong_key_and_a_malformed_key_are_unauthenticated(api: Api) -> None:
    for header in (None, "Bearer", "Bearer x", "Basic " + api.secret, f"Bearer sward_heron-mere_{'A' * 43}",
                   f"Bearer {api.secret}x", "Bearer sward_nowhere_" + "A" * 43):  # fmt: skip
        response = api.get("", headers={"Authorization": header})
        assert (response.status_code, response.json()["type"]) == (401, "/problems/unauthenticated"), header
        assert response.headers["www-authenticate"] == "Bearer"


def test_an_expired_key_is_refused_from_that_moment(api: Api) -> None:
    from dataclasses import replace

    guest = replace(api, secret=api.created("/keys", NEW)["secret"])
    api.clock.shift = timedelta(days=29)
    assert guest.get("").status_code == 200
    api.clock.shift = timedelta(days=30, seconds=1)
    assert guest.get("").status_code == 401


def test_a_revoked_key_is_refused_at_once_and_revoking_twice_changes_nothing(api: Api) -> None:
    from dataclasses import replace

    issued = api.created("/keys", NEW)
    guest = replace(api, secret=issued["secret"])
    first = api.post(f"/keys/{issued['id']}/revoke").json()
    assert guest.get("").status_code == 401
    api.clock.shift = timedelta(hours=1)
    assert api.post(f"/keys/{issued['id']}/revoke").json() == first


def test_a_key_of_another_club_finds_nothing(api: Api) -> None:
    other = api.of_new_club("otter-brook")
    course = other.created("/courses", {"name": "Old"})
    for path in (f"/v1/clubs/otter-brook/courses/{course['id']}", f"/v1/clubs/heron-mere/courses/{course['id']}",
                 "/v1/clubs/otter-brook", "/v1/clubs/no-such-club"):  # fmt: skip
        response = api.get(path)
        assert (response.status_code, response.json()["type"]) == (404, "/problems/not-found"), path
    path = f"/v1/clubs/heron-mere/courses/{course['id']}"
    assert api.put(path, json={"name": "Mine"}, headers={"If-Match": '"1"'}).status_code == 404
    assert api.delete(path, headers={"If-Match": '"1"'}).status_code == 404
    assert other.get(f"/courses/{course['id']}").json()["name"] == "Old"


def test_each_role_may_do_its_own_work_and_no_more(api: Api) -> None:
    committee, integrator = api.as_role("committee"), api.as_role("integrator")
    superintendent, controller = api.as_role("superintendent"), api.as_role("controller")
    assert superintendent.post("/courses", json={"name": "Lower"}).status_code == 201
    for other in (committee, integrator, controller):
        refused = other.post("/courses", json={"name": "Upper"})
        assert (refused.status_code, refused.json()["type"]) == (403, "/problems/forbidden")
        assert other.get("/courses").status_code == 200
    assert controller.get("/audit").status_code == 200
    for other in (committee, integrator, superintendent):
        assert other.get("/audit").status_code == 403
        assert other.get("/keys").status_code == 403
        assert other.post("/keys", json=NEW).status_code == 403


def test_the_club_is_changed_by_its_owner_against_a_version(api: Api) -> None:
    changed = api.patch("", json={"unit_system": "metric", "ton": "metric_ton"}, headers={"If-Match": '"1"'})
    assert (changed.status_code, changed.json()["ton"], changed.json()["version"]) == (200, "metric_ton", 2)
    assert api.patch("", json={"name": "X"}, headers={"If-Match": '"1"'}).status_code == 412
    assert api.patch("", json={"currency": "EUR"}, headers={"If-Match": '"2"'}).status_code == 400
    entry = api.get("/audit?subject=club").json()["items"][0]
    assert (entry["action"], entry["before"]["ton"], entry["after"]["ton"]) == (
        "change",
        "short_ton",
        "metric_ton",
    )


def test_the_last_valid_key_of_an_owner_cannot_be_revoked(api: Api) -> None:
    mine = api.get("/keys").json()["items"][0]["id"]
    refused = api.post(f"/keys/{mine}/revoke")
    assert (refused.status_code, refused.json()["type"]) == (409, "/problems/wrong-state")
    api.created("/keys", NEW | {"role": "owner"})
    assert api.post(f"/keys/{mine}/revoke").status_code == 200
    assert api.get("").status_code == 401
