"""Quotes through the API: asking, receiving, and editing what was received."""

from typing import Any
from uuid import uuid4

import pytest
from conftest import Api
from estimate_factories import Document, stated
from quote_factories import (
    a_quote,
    a_request,
    a_vendor,
    an_estimate,
    lump,
    offered,
    quote_body,
    request_body,
)

ALDER, BRIAR = "Alder Creek Sand and Gravel", "Briar Hill Sod Farm"
MATCH = {"If-Match": '"1"'}
REASON = {"reason": "Postponed"}


def faults(response: Any) -> list[str]:
    assert (response.status_code, response.json()["type"]) == (422, "/problems/invalid-values"), response.text
    return [fault["pointer"] for fault in response.json()["faults"]]


def problem(response: Any) -> tuple[int, str]:
    return response.status_code, response.json()["type"].removeprefix("/problems/")


def asked_of_two(api: Api) -> tuple[Document, str, str]:
    """A request to two vendors."""
    alder, briar = a_vendor(api, ALDER), a_vendor(api, BRIAR)
    return a_request(api, an_estimate(api), alder, briar), alder, briar


def test_vendors_are_asked_for_the_quantities_of_all_lines_together(api: Api) -> None:
    request, alder, briar = asked_of_two(api)
    assert [(one["item"], one["quantity"], one["unit"]) for one in request["items"]] == [
        ("SAND", "150.00", "short_ton"), ("SOD", "900.00", "square_foot")
    ]  # fmt: skip
    assert (request["number"], request["status"], request["received"]) == (1, "open", 0)
    assert (request["vendors"], request["vendor_ids"]) == ([ALDER, BRIAR], [alder, briar])
    assert (request["chosen"], request["reason"], request["decided_at"]) == ([], None, None)
    assert api.get(f"/quote-requests/{request['id']}").json() == request
    trail = api.get(f"/audit?subject=quote_request&subject_id={request['id']}").json()["items"]
    assert [entry["action"] for entry in trail] == ["create"]


def test_some_items_can_be_asked_for_in_an_order_of_ones_own(api: Api) -> None:
    vendor, estimate = a_vendor(api, ALDER), an_estimate(api)
    both = a_request(api, estimate, vendor, items=["SOD", "SAND"])
    assert [one["item"] for one in both["items"]] == ["SOD", "SAND"]
    one = a_request(api, estimate, vendor, items=["SOD"])
    assert ([item["item"] for item in one["items"]], one["number"]) == (["SOD"], 2)


def test_requests_are_listed_by_project_and_status(api: Api) -> None:
    vendor, estimates = a_vendor(api, ALDER), [an_estimate(api), an_estimate(api)]
    requests = [a_request(api, estimate, vendor) for estimate in estimates]
    assert api.post(f"/quote-requests/{requests[0]['id']}/withdraw", json=REASON).status_code == 200

    def listed(query: str = "") -> list[str]:
        return [one["id"] for one in api.get(f"/quote-requests{query}").json()["items"]]

    first, second = (request["id"] for request in requests)
    assert listed() == [first, second]
    assert listed(f"?project_id={estimates[1]['project_id']}") == [second]
    assert (listed("?status=withdrawn"), listed("?status=open")) == ([first], [second])
    rest = api.get("/quote-requests?limit=1").links["next"]["url"]
    assert [one["id"] for one in api.get(rest).json()["items"]] == [second]


def test_what_cannot_be_asked_is_refused_and_asks_nobody(api: Api) -> None:
    vendor, estimate, stranger = a_vendor(api, ALDER), an_estimate(api), api.of_new_club("stone-weir")
    theirs = a_vendor(stranger, ALDER)
    for body, expected in [
        (request_body(estimate, vendor, vendor), ["/vendor_ids/1"]),
        (request_body(estimate, theirs, str(uuid4())), ["/vendor_ids/0", "/vendor_ids/1"]),
        (request_body(estimate, vendor, items=["SAND", "GRAVEL", "SAND"]), ["/items/1", "/items/2"]),
        (request_body({"id": str(uuid4())}, vendor), ["/estimate_id"]),
    ]:
        assert faults(api.post("/quote-requests", json=body)) == expected
    assert faults(stranger.post("/quote-requests", json=request_body(estimate, theirs))) == ["/estimate_id"]
    assert api.post("/quote-requests", json=request_body(estimate)).status_code == 400
    assert api.get("/quote-requests").json()["items"] == []


def test_a_quote_is_kept_as_it_was_received(api: Api) -> None:
    request, alder, _ = asked_of_two(api)
    body = quote_body(
        alder, offered("SAND", "36.10"), {"item": "SOD", "left_out": "We grow none"}, reference="quotes/a.pdf",
        valid_until="2026-09-30", discount_percent="2.5", fixed_charge="250", note="Washed",
    )  # fmt: skip
    quote = api.created(f"/quote-requests/{request['id']}/quotes", body)
    kept = ("reference", "received_on", "valid_until", "currency", "note", "vendor_id")
    assert {name: quote[name] for name in kept} == {name: body[name] for name in kept}
    assert (quote["vendor_name"], quote["request_id"], quote["version"]) == (ALDER, request["id"], 1)
    assert (quote["discount_percent"], quote["fixed_charge"]) == ("2.5", "250")
    assert [(one["item"], one["unit_price"], one["left_out"]) for one in quote["items"]] == [
        ("SAND", "36.10", ""), ("SOD", None, "We grow none")
    ]  # fmt: skip
    assert api.get(f"/quotes/{quote['id']}").json() == quote
    assert api.get(f"/quote-requests/{request['id']}/quotes").json()["items"] == [quote]
    assert api.get(f"/quote-requests/{request['id']}").json()["received"] == 1


def test_a_vendor_has_one_quote_for_a_request(api: Api) -> None:
    request, alder, _ = asked_of_two(api)
    a_quote(api, request, alder, offered("SAND", "36"))
    again = api.post(f"/quote-requests/{request['id']}/quotes", json=quote_body(alder, offered("SAND", "35")))
    assert problem(again) == (409, "duplicate")
    assert api.get(f"/quote-requests/{request['id']}").json()["received"] == 1


TWICE = [offered("SAND", "36"), offered("SAND", "35")]


@pytest.mark.parametrize(
    ("items", "more", "pointers"),
    [
        ([offered("GRAVEL", "36")], {}, ["/items/0/item"]),
        ([offered("SAND", "36")], {"currency": "CAD"}, ["/exchange_rate"]),
        ([offered("SAND", "36")], {"currency": "CAD", "exchange_rate": "0.73"}, ["/exchange_rate"]),
        ([offered("SAND", "36")], {"exchange_rate": "1"}, ["/exchange_rate"]),
        ([offered("SAND", "999999999999")], {}, ["/items"]),
        ([lump("SAND", "999999999999")], {"fixed_charge": "999999999999"}, ["/items"]),
        (
            [offered("SAND", "999999999999")],
            {"currency": "CAD", "exchange_rate": "999999999999", "rate_source": "Bank"},
            ["/items/0"],
        ),
        (
            [offered("SAND", "0.000001")],
            {"currency": "CAD", "exchange_rate": "0.000001", "rate_source": "Bank"},
            ["/items/0"],
        ),
    ],
)  # fmt: skip
def test_a_quote_that_cannot_be_used_is_refused(
    api: Api, items: list[Document], more: Document, pointers: list[str]
) -> None:
    request, alder, _ = asked_of_two(api)
    path = f"/quote-requests/{request['id']}/quotes"
    response = api.post(path, json=quote_body(alder, *items, **more))
    assert faults(response) == pointers
    assert api.get(path).json()["items"] == []


@pytest.mark.parametrize(
    ("items", "more", "pointer"),
    [
        (TWICE, {}, ""),
        ([offered("SAND", "36")], {"valid_until": "2026-06-19"}, ""),
        ([{"item": "SAND"}], {}, "/items/0"),
        ([offered("SAND", "36") | {"lump_sum": "5400"}], {}, "/items/0"),
        ([offered("SAND", "-1")], {}, "/items/0/unit_price"),
        ([offered("SAND", "36")], {"discount_percent": "100.5"}, "/discount_percent"),
        ([offered("SAND", "36")], {"fixed_charge": "-1"}, "/fixed_charge"),
        ([], {}, "/items"),
    ],
)
def test_a_quote_of_another_form_is_refused(
    api: Api, items: list[Document], more: Document, pointer: str
) -> None:
    request, alder, _ = asked_of_two(api)
    path = f"/quote-requests/{request['id']}/quotes"
    response = api.post(path, json=quote_body(alder, *items, **more))
    assert problem(response) == (400, "invalid-request")
    assert [fault["pointer"] for fault in response.json()["faults"]] == [pointer]
    assert api.get(path).json()["items"] == []


def test_only_vendors_that_were_asked_can_quote(api: Api) -> None:
    request, _, briar = asked_of_two(api)
    path = f"/quote-requests/{request['id']}/quotes"
    other = a_vendor(api, "Cedar Lane Turf")
    assert faults(api.post(path, json=quote_body(other, offered("SAND", "36")))) == ["/vendor_id"]
    assert api.delete(f"/vendors/{briar}", headers=MATCH).status_code == 204
    assert faults(api.post(path, json=quote_body(briar, offered("SAND", "36")))) == ["/vendor_id"]
    assert api.get(f"/quote-requests/{request['id']}").json()["vendors"] == [ALDER]


def test_a_vendor_with_a_quote_cannot_be_deleted(api: Api) -> None:
    request, alder, _ = asked_of_two(api)
    a_quote(api, request, alder, offered("SAND", "36"))
    assert problem(api.delete(f"/vendors/{alder}", headers=MATCH)) == (409, "in-use")


def test_a_quote_is_edited_and_deleted_against_its_version(api: Api) -> None:
    request, alder, briar = asked_of_two(api)
    path = f"/quotes/{a_quote(api, request, alder, offered('SAND', '36'))['id']}"
    change = quote_body(alder, offered("SAND", "35.20"), fixed_charge="100")
    assert api.put(path, json=change).status_code == 428
    edited = api.put(path, json=change, headers=MATCH)
    assert (edited.status_code, edited.json()["version"], edited.json()["fixed_charge"]) == (200, 2, "100")
    assert problem(api.put(path, json=change, headers=MATCH)) == (412, "stale-version")
    second = {"If-Match": '"2"'}
    assert faults(api.put(path, json=change | {"vendor_id": briar}, headers=second)) == ["/vendor_id"]
    unknown = quote_body(alder, offered("GRAVEL", "1"))
    assert faults(api.put(path, json=unknown, headers=second)) == ["/items/0/item"]
    assert api.get(path).json() == edited.json()
    assert api.delete(path).status_code == 428
    assert api.delete(path, headers=MATCH).status_code == 412
    assert api.delete(path, headers=second).status_code == 204
    assert api.get(path).status_code == 404
    trail = api.get(f"/audit?subject=quote&subject_id={path.removeprefix('/quotes/')}").json()["items"]
    assert [entry["action"] for entry in trail] == ["delete", "change", "create"]
    a_quote(api, request, alder, offered("SAND", "34"))


def test_once_withdrawn_nothing_is_entered_edited_or_chosen(api: Api) -> None:
    request, alder, briar = asked_of_two(api)
    quote, path = a_quote(api, request, alder, offered("SAND", "36")), f"/quote-requests/{request['id']}"
    assert api.post(f"{path}/withdraw", json={"reason": ""}).status_code == 400
    after = api.post(f"{path}/withdraw", json=REASON)
    assert (after.status_code, after.json()["status"], after.json()["reason"]) == (
        200,
        "withdrawn",
        "Postponed",
    )
    body = quote_body(alder, offered("SAND", "36"))
    award = {"awards": [{"quote_id": quote["id"]}], "reason": "Lowest"}
    for refused in (
        api.post(f"{path}/quotes", json=quote_body(briar, offered("SAND", "36"))),
        api.put(f"/quotes/{quote['id']}", json=body, headers=MATCH),
        api.delete(f"/quotes/{quote['id']}", headers=MATCH),
        api.post(f"{path}/choose", json=award),
        api.post(f"{path}/withdraw", json=REASON),
        api.post(f"{path}/reopen", json=REASON),
    ):
        assert problem(refused) == (409, "wrong-state")
    assert api.get(f"/quotes/{quote['id']}").json() == quote


def test_another_clubs_requests_and_quotes_are_not_there(api: Api) -> None:
    request, alder, _ = asked_of_two(api)
    quote, path = a_quote(api, request, alder, offered("SAND", "36")), f"/quote-requests/{request['id']}"
    stranger = api.of_new_club("stone-weir")
    body = quote_body(alder, offered("SAND", "36"))
    award = {"awards": [{"quote_id": quote["id"]}], "reason": "Lowest"}
    for response in (
        stranger.get(path),
        stranger.get(f"{path}/quotes"),
        stranger.get(f"{path}/comparison"),
        stranger.get(f"/quotes/{quote['id']}"),
        stranger.post(f"{path}/quotes", json=body),
        stranger.put(f"/quotes/{quote['id']}", json=body, headers=MATCH),
        stranger.delete(f"/quotes/{quote['id']}", headers=MATCH),
        stranger.post(f"{path}/choose", json=award),
        stranger.post(f"{path}/reopen", json=REASON),
        stranger.post(f"{path}/withdraw", json=REASON),
    ):
        assert problem(response) == (404, "not-found")
    assert stranger.get("/quote-requests").json()["items"] == []
    assert api.get(path).json()["status"] == "open"


def test_buyers_enter_quotes_choosers_choose_and_every_role_reads(api: Api) -> None:
    request, alder, briar = asked_of_two(api)
    path = f"/quote-requests/{request['id']}"
    controller = api.as_role("controller")
    quote = a_quote(controller, request, alder, offered("SAND", "36"))
    award = {"awards": [{"quote_id": quote["id"]}], "reason": "Lowest"}
    assert problem(controller.post(f"{path}/choose", json=award)) == (403, "forbidden")
    for role in ("committee", "integrator"):
        reader = api.as_role(role)
        assert reader.get(f"{path}/comparison").status_code == 200
        entered = reader.post(f"{path}/quotes", json=quote_body(briar, offered("SAND", "36")))
        assert (problem(entered), reader.get(path).json()["received"]) == ((403, "forbidden"), 1)
    decided = api.as_role("superintendent").post(f"{path}/choose", json=award)
    assert (decided.status_code, decided.json()["decided_by"]) == (200, "superintendent")


def test_what_has_no_price_in_the_catalog_can_be_asked_for(api: Api) -> None:
    vendor, estimate = a_vendor(api, ALDER), an_estimate(api, stated("LIME", "4", "short_ton"))
    (lime,) = a_request(api, estimate, vendor, items=["LIME"])["items"]
    assert (lime["item"], lime["quantity"]) == ("LIME", "4.00")
