"""How the client sends: retries with the same idempotency key, waits, errors with the problem inside."""

from collections.abc import Callable, Iterator
from decimal import Decimal
from typing import Any

import httpx
import pytest
from swardcost import (
    Client,
    Conflict,
    InvalidRequest,
    NoAnswer,
    NotAllowed,
    NotFound,
    Retries,
    ServiceFailed,
    StaleVersion,
    SwardcostError,
)
from swardcost_model.course import CourseChange, NewCourse

COURSE = {"id": "019f0000-0000-7000-8000-000000000001", "name": "Mere", "version": 1}
QUICK = Retries(most=3, first_wait=0.0)
Answers = Iterator[Callable[[httpx.Request], httpx.Response]]


class Service:
    """A stand-in for the service that gives prepared answers and remembers what it was sent."""

    def __init__(self, *answers: httpx.Response | Exception) -> None:
        self.answers = iter(answers)
        self.requests: list[httpx.Request] = []

    def __call__(self, request: httpx.Request) -> httpx.Response:
        self.requests.append(request)
        answer = next(self.answers)
        if isinstance(answer, Exception):
            raise answer
        return answer

    def client(self) -> Client:
        return Client(
            "http://127.0.0.1", club="heron-mere", key="k", retries=QUICK, transport=httpx.MockTransport(self)
        )


def problem(status: int, **more: Any) -> httpx.Response:
    document = {"type": "/problems/x", "title": "Refused", "status": status, "detail": "because", **more}
    return httpx.Response(status, json=document)


def test_a_post_whose_answer_is_lost_is_sent_again_under_the_same_key() -> None:
    service = Service(httpx.ReadTimeout("lost"), problem(503), httpx.Response(201, json=COURSE))
    assert service.client().courses.create(NewCourse(name="Mere")).name == "Mere"
    keys = {request.headers["idempotency-key"] for request in service.requests}
    assert (len(service.requests), len(keys)) == (3, 1)


def test_two_posts_have_different_keys() -> None:
    service = Service(httpx.Response(201, json=COURSE), httpx.Response(201, json=COURSE))
    client = service.client()
    for _ in range(2):
        client.courses.create(NewCourse(name="Mere"))
    first, second = service.requests
    assert first.headers["idempotency-key"] != second.headers["idempotency-key"]


def test_an_edit_is_sent_again_only_if_it_cannot_have_arrived() -> None:
    refused = Service(httpx.ConnectError("refused"), httpx.Response(200, json=COURSE | {"version": 2}))
    course = refused.client().courses.change(COURSE["id"], CourseChange(name="Mere"), 1)  # type: ignore[arg-type]
    assert course.version == 2
    assert [request.headers["if-match"] for request in refused.requests] == ['"1"', '"1"']
    lost = Service(httpx.ReadTimeout("lost"))
    with pytest.raises(NoAnswer):
        lost.client().courses.change(COURSE["id"], CourseChange(name="Mere"), 1)  # type: ignore[arg-type]
    assert len(lost.requests) == 1


def test_the_client_gives_up_after_its_retries_and_says_why() -> None:
    service = Service(*[httpx.ConnectError("no route")] * 4)
    with pytest.raises(NoAnswer, match="no route"):
        service.client().club.read()
    assert len(service.requests) == 4
    with pytest.raises(ServiceFailed) as failed:
        Service(*[problem(503)] * 4).client().club.read()
    assert failed.value.status == 503


def test_a_refusal_is_not_tried_again() -> None:
    service = Service(problem(409))
    with pytest.raises(Conflict):
        service.client().club.read()
    assert len(service.requests) == 1


@pytest.mark.parametrize(
    ("status", "kind"),
    [(400, InvalidRequest), (401, NotAllowed), (403, NotAllowed), (404, NotFound), (409, Conflict), (412, StaleVersion),
     (413, InvalidRequest), (422, InvalidRequest), (428, InvalidRequest), (500, ServiceFailed)],
)  # fmt: skip
def test_each_family_of_answers_has_its_error(status: int, kind: type[SwardcostError]) -> None:
    fault = {"pointer": "/size/unit", "expected": "an area", "got": "inch"}
    with pytest.raises(kind) as refused:
        Service(problem(status, faults=[fault])).client().club.read()
    error = refused.value
    assert error.problem.detail == "because"  # type: ignore[attr-defined]
    assert "/size/unit: expected an area, got inch" in str(error)


def test_an_answer_that_is_no_problem_document_is_still_an_error() -> None:
    with pytest.raises(ServiceFailed, match="Bad Gateway"):
        Service(*[httpx.Response(502, text="<html>proxy</html>")] * 4).client().club.read()


def test_pages_are_fetched_as_they_are_consumed() -> None:
    pages = [
        httpx.Response(200, json={"items": [COURSE], "next": "c1"}),
        httpx.Response(200, json={"items": [COURSE], "next": None}),
    ]
    service = Service(*pages)
    courses = service.client().courses.list()
    assert next(courses).name == "Mere"
    assert len(service.requests) == 1
    assert len(list(courses)) == 1
    assert service.requests[1].url.params["cursor"] == "c1"


def test_waits_grow_and_follow_what_the_service_asks() -> None:
    retries = Retries(most=5, first_wait=1.0, longest_wait=3.0)
    assert 0.5 <= (retries.wait_after(1, None) or 0) <= 1.0
    assert 1.5 <= (retries.wait_after(4, None) or 0) <= 3.0
    assert retries.wait_after(1, httpx.Response(503, headers={"Retry-After": "2"})) == 2.0
    assert retries.wait_after(1, httpx.Response(503, headers={"Retry-After": "900"})) == 3.0
    assert retries.wait_after(6, None) is None
    assert retries.wait_after(1, httpx.Response(422)) is None


def test_decimals_stay_decimals_on_the_way() -> None:
    answer = {
        "items": [{
            "id": COURSE["id"], "course_id": COURSE["id"], "kind": "green", "name": "G", "hole": 1, "version": 1,
            "size": {"value": "6200.10", "unit": "square_foot"}, "size_m2": 576.008138,
        }], "next": None,
    }  # fmt: skip
    area = next(Service(httpx.Response(200, json=answer)).client().areas.list())
    assert area.size is not None
    assert area.size.value == Decimal("6200.10")
