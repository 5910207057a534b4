"""What every operation does alike: problems, preconditions, repeats, limits, ids."""

from concurrent.futures import ThreadPoolExecutor

import pytest
from conftest import Api


def test_a_body_that_is_no_json_or_has_unknown_fields_is_refused(api: Api) -> None:
    header = {"Content-Type": "application/json"}
    for content in (b"", b"{", b"[1]", b"null", b'{"name": NaN}', b'{"name": "a", "nme": 1}', b'{"name": 5}',
                    b"\xff", b'{"name": "\\ud800"}', b'{"name": "a\\u0000b"}', b'{"name": ""}',
                    b'{"name":' + b"[" * 5000 + b"]" * 5000 + b"}"):  # fmt: skip
        response = api.post("/courses", content=content, headers=header)
        assert (response.status_code, response.json()["type"]) == (400, "/problems/invalid-request"), content[
            :40
        ]
        assert response.json()["faults"], content[:40]
    assert api.get("/courses").json()["items"] == []


def test_a_misspelt_field_is_pointed_at(api: Api) -> None:
    fault = api.post("/courses", json={"name": "a", "na/me~": 1}).json()["faults"][0]
    assert fault == {"pointer": "/na~1me~0", "expected": "extra inputs are not permitted", "got": "1"}


def test_another_media_type_is_refused(api: Api) -> None:
    response = api.post("/courses", content=b"name=Lower", headers={"Content-Type": "text/plain"})
    assert (response.status_code, response.json()["type"]) == (415, "/problems/unsupported-media-type")


def test_a_body_over_the_limit_is_refused(api: Api) -> None:
    response = api.post("/courses", json={"name": "x" * (1024 * 1024)})
    assert (response.status_code, response.json()["type"]) == (413, "/problems/too-large")


def test_an_upload_that_announces_too_much_is_refused_before_it_is_read(api: Api) -> None:
    course = api.created("/courses", {"name": "Lower"})["id"]
    headers = {"Content-Type": "text/csv", "Content-Length": str(200 * 1024 * 1024)}
    response = api.post(f"/courses/{course}/areas/upload", content=b"x", headers=headers)
    assert (response.status_code, response.json()["type"]) == (413, "/problems/too-large")


def test_an_upload_that_turns_out_too_large_is_refused(api: Api) -> None:
    course = api.created("/courses", {"name": "Lower"})["id"]

    def two_hundred_megabytes() -> object:
        for _ in range(200):
            yield b"x" * 1024 * 1024

    response = api.post(
        f"/courses/{course}/areas/upload",
        content=two_hundred_megabytes(),
        headers={"Content-Type": "text/csv"},
    )
    assert (response.status_code, response.json()["type"]) == (413, "/problems/too-large")
    assert api.get("/areas").json()["items"] == []


@pytest.mark.parametrize(
    ("query", "pointer"),
    [("limit=0", "limit"), ("limit=201", "limit"), ("limit=ten", "limit"), ("colour=red", "colour"),
     ("kind=lawn", "kind"), ("hole=99", "hole"), ("course_id=5", "course_id"), ("limit=1&limit=2", "limit")],
)  # fmt: skip
def test_a_query_that_is_not_documented_is_refused(api: Api, query: str, pointer: str) -> None:
    response = api.get(f"/areas?{query}")
    assert (response.status_code, response.json()["type"]) == (400, "/problems/invalid-request")
    assert response.json()["faults"][0]["pointer"] == pointer


@pytest.mark.parametrize("cursor", ["x", "AAAA", "W10", "WyJhIixbMSwyLDNdXQ", "%00", "9" * 900])
def test_a_made_up_cursor_is_refused(api: Api, cursor: str) -> None:
    response = api.get(f"/areas?cursor={cursor}")
    assert response.status_code == 400
    assert response.json()["type"] in {"/problems/unknown-cursor", "/problems/invalid-request"}


def test_a_repeated_request_is_carried_out_once(api: Api) -> None:
    headers = {"Idempotency-Key": "a-1"}
    first = api.post("/courses", json={"name": "Lower"}, headers=headers)
    again = api.post("/courses", json={"name": "Lower"}, headers=headers)
    assert (again.status_code, again.json()) == (201, first.json())
    assert again.headers["idempotency-replayed"] == "true"
    assert again.headers["location"] == first.headers["location"]
    other = api.post("/courses", json={"name": "Upper"}, headers=headers)
    assert (other.status_code, other.json()["type"]) == (409, "/problems/idempotency-conflict")
    assert len(api.get("/courses").json()["items"]) == 1


def test_a_key_belongs_to_its_caller_and_a_refused_request_does_not_use_it_up(api: Api) -> None:
    headers = {"Idempotency-Key": "a-1"}
    assert api.post("/courses", json={"name": ""}, headers=headers).status_code == 400
    assert api.post("/courses", json={"name": "Lower"}, headers=headers).status_code == 201
    assert api.post("/courses", json={"name": "Lower"}, headers={"Idempotency-Key": "a-2"}).status_code == 409
    assert api.post("/courses", json={"name": "Upper"}, headers={"Idempotency-Key": "a-2"}).status_code == 201
    colleague = api.as_role("superintendent")
    assert colleague.post("/courses", json={"name": "Third"}, headers=headers).status_code == 201
    too_long = api.post("/courses", json={"name": "Fourth"}, headers={"Idempotency-Key": "k" * 201})
    assert (too_long.status_code, too_long.json()["faults"][0]["pointer"]) == (400, "Idempotency-Key")


def test_the_same_request_sent_many_times_at_once_is_carried_out_once(api: Api) -> None:
    def send(_: int) -> tuple[int, str]:
        response = api.post("/courses", json={"name": "Lower"}, headers={"Idempotency-Key": "race"})
        return response.status_code, response.text

    with ThreadPoolExecutor(8) as pool:
        answers = set(pool.map(send, range(16)))
    assert len(answers) == 1
    assert next(iter(answers))[0] == 201


def test_of_many_edits_of_one_version_exactly_one_wins(api: Api) -> None:
    course = api.created("/courses", {"name": "Lower"})["id"]

    def edit(number: int) -> int:
        body = {"name": f"Name {number}"}
        return api.put(f"/courses/{course}", json=body, headers={"If-Match": '"1"'}).status_code

    with ThreadPoolExecutor(8) as pool:
        statuses = sorted(pool.map(edit, range(8)))
    assert statuses == [200] + [412] * 7


@pytest.mark.parametrize(
    ("tag", "status"), [(None, 428), ("1", 412), ('"1", "2"', 412), ('"x"', 412), ("*", 412)]
)
def test_an_edit_without_a_usable_version_is_refused(api: Api, tag: str | None, status: int) -> None:
    course = api.created("/courses", {"name": "Lower"})["id"]
    response = api.put(f"/courses/{course}", json={"name": "Upper"}, headers={"If-Match": tag} if tag else {})
    assert response.status_code == status
    assert api.get(f"/courses/{course}").json()["name"] == "Lower"


def test_unknown_paths_and_verbs_answer_problem_documents(api: Api) -> None:
    unknown = api.get("/v1/nothing")
    assert (unknown.status_code, unknown.json()["type"]) == (404, "/problems/not-found")
    assert unknown.headers["content-type"] == "application/problem+json"
    verb = api.delete("/v1/units")
    assert (verb.status_code, verb.json()["type"]) == (405, "/problems/method-not-allowed")
    assert {"GET", "HEAD"} <= set(verb.headers["allow"].split(", "))
    assert {"GET", "HEAD"} <= set(api.client.options("/v1/units").headers["allow"].split(", "))
    assert {"GET", "HEAD"} <= set(api.client.post("/p/view_nobody_x").headers["allow"].split(", "))
    no_id = api.get("/areas/not-a-uuid")
    assert (no_id.status_code, no_id.json()["type"]) == (404, "/problems/not-found")


def test_every_answer_carries_the_request_id_it_was_given_or_a_new_one(api: Api) -> None:
    assert api.get("/v1/nothing", headers={"X-Request-Id": "mine-8"}).headers["x-request-id"] == "mine-8"
    assert api.get("", headers={"X-Request-Id": "mine-7"}).headers["x-request-id"] == "mine-7"
    assert api.get("", headers={"X-Request-Id": "a b"}).headers["x-request-id"] != "a b"
    refused = api.get("/areas?limit=0")
    assert refused.json()["request_id"] == refused.headers["x-request-id"]


def test_a_failure_inside_is_answered_without_its_cause_and_changes_nothing(
    api: Api, monkeypatch: pytest.MonkeyPatch
) -> None:
    from swardcost_api.course import service

    def fail(*_: object, **__: object) -> None:
        raise RuntimeError("the secret cause")

    monkeypatch.setattr(service, "record", fail)
    response = api.post("/courses", json={"name": "Lower"})
    assert (response.status_code, response.json()["type"]) == (500, "/problems/internal-error")
    assert "secret cause" not in response.text
    assert api.get("/courses").json()["items"] == []


def test_health_metrics_and_documentation_need_no_key(api: Api) -> None:
    nobody = {"Authorization": None}
    assert api.get("/health/live", headers=nobody).json() == {"status": "live"}
    assert api.get("/health/ready", headers=nobody).json() == {"status": "ready"}
    assert b"swardcost_requests_total" in api.client.get("/metrics").content
    page = api.client.get("/docs").text
    assert "Add a course" in page
    for fetched in ("<script", "src=", "@import", "<link"):
        assert fetched not in page
    assert api.client.get("/problems/stale-version").status_code == 200
    assert api.client.get("/problems/none").status_code == 404


def test_head_is_answered_as_get_without_the_body(api: Api) -> None:
    for path in ("/health/live", "/v1/clubs/heron-mere"):
        head, get = api.request("HEAD", path), api.get(path)
        assert (head.status_code, head.content) == (200, b"")
        assert head.headers["content-type"] == get.headers["content-type"]


def test_a_body_of_defaults_may_be_left_out(api: Api) -> None:
    missing = "00000000-0000-7000-8000-000000000000"
    assert api.post(f"/estimates/{missing}/accept").status_code == 404
    assert api.post("/courses").status_code == 415


@pytest.mark.parametrize(
    ("accept", "status", "media_type"),
    [("text/csv", 200, "text/csv"), ("text/csv;q=0", 406, ""), ("*/*", 200, "application/json"),
     ("text/csv;q=0.1, application/json", 200, "application/json"), ("text/*", 200, "text/csv"),
     ("application/json;q=0, */*", 200, "text/csv"), ("image/png", 406, "")],
)  # fmt: skip
def test_the_face_is_the_accepted_one_of_the_highest_quality(
    api: Api, accept: str, status: int, media_type: str
) -> None:
    edition = api.created("/editions", {"name": "Autumn", "price_date": "2026-08-15"})["id"]
    response = api.get(f"/editions/{edition}/items/export", headers={"Accept": accept})
    assert response.status_code == status
    if status == 200:
        assert response.headers["content-type"].startswith(media_type)
        assert response.headers["vary"] == "Accept"


def test_the_tag_changes_with_what_is_shown_even_where_the_version_does_not(api: Api) -> None:
    vendor = api.created("/vendors", {"name": "Alder Creek"})
    edition = api.created("/editions", {"name": "Autumn", "price_date": "2026-08-15"})["id"]
    api.created(
        f"/editions/{edition}/items",
        {"code": "SAND", "kind": "material", "description": "Sand", "unit": "short_ton", "taxable": True,
         "vendor_id": vendor["id"]},
    )  # fmt: skip
    path = f"/editions/{edition}/items/SAND"
    tag = api.get(path).headers["etag"]
    api.put(f"/vendors/{vendor['id']}", json={"name": "Alder Creek Sand"}, headers={"If-Match": '"1"'})
    changed = api.get(path, headers={"If-None-Match": tag})
    assert (changed.status_code, changed.json()["vendor_name"]) == (200, "Alder Creek Sand")


def test_a_cursor_with_what_no_database_stores_is_refused(api: Api) -> None:
    import base64
    import json

    for name in ("a", "b", "c"):
        api.created("/courses", {"name": name})
    cursor = api.get("/courses?limit=1").json()["next"]
    signature, _ = json.loads(base64.urlsafe_b64decode(cursor + "=="))
    forged = base64.urlsafe_b64encode(json.dumps([signature, ["\ud800"]]).encode()).decode().rstrip("=")
    assert api.get(f"/courses?cursor={forged}").json()["type"] == "/problems/unknown-cursor"
