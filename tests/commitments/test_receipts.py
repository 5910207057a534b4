"""Delivery tickets: counted in the order's unit, returned, voided, found."""

from decimal import Decimal
from typing import Any

import pytest
from commitment_factories import (
    a_budget,
    a_line,
    an_order,
    done,
    match_of,
    received,
    refused,
    ticket_body,
)
from conftest import Api
from estimate_factories import Document
from hypothesis import given, settings
from hypothesis import strategies as st

TON = {"value": "22", "unit": "short_ton"}


def counted(receipt: Document) -> list[tuple[str, str]]:
    return [(line["counted"], line["counted_unit"]) for line in receipt["lines"]]


@pytest.mark.parametrize(
    ("quantity", "unit", "per_load", "expected"),
    [
        ("22.06", "short_ton", None, "22.06"),
        ("44120", "pound", None, "22.06"),
        ("1", "pound", None, "0.0005"),
        ("20000", "kilogram", None, "22.046226"),
        ("3", "load", None, "66.30"),
        ("3", "load", TON, "66.00"),
        ("0.5", "load", {"value": "44000", "unit": "pound"}, "11.00"),
    ],
)
def test_a_ticket_counts_in_the_orders_unit(
    api: Api, quantity: str, unit: str, per_load: Document | None, expected: str
) -> None:
    budget = a_budget(api)
    order = an_order(api, budget, a_line(budget, per_load={"value": "22.1", "unit": "short_ton"}))
    ticket = received(api, order, "T-1", quantity, unit=unit, per_load=per_load)
    assert counted(ticket) == [(expected, "short_ton")]
    assert (ticket["lines"][0]["quantity"], ticket["lines"][0]["unit"]) == (quantity, unit)
    assert api.get(f"/receipts/{ticket['id']}").json() == ticket
    assert match_of(api, order)["lines"][0]["received_quantity"] == expected


@pytest.mark.parametrize(
    ("change", "place"),
    [
        ({"unit": "cubic_yard"}, "unit"),
        ({"unit": "ton"}, "unit"),
        ({"unit": "load"}, "per_load"),
        ({"unit": "load", "per_load": {"value": "12", "unit": "cubic_yard"}}, "per_load"),
        ({"per_load": TON}, "per_load"),
        ({"line_number": 2}, "line_number"),
        ({"quantity": "0.000001", "unit": "pound"}, "quantity"),
        ({"quantity": "1000000000"}, "quantity"),
    ],
)
def test_what_cannot_be_counted_is_refused_at_its_place(api: Api, change: Document, place: str) -> None:
    order = an_order(api, a_budget(api))
    body = ticket_body("T-1", "20")
    body["lines"][0] |= change
    response = api.post(f"/commitments/{order['id']}/receipts", json=body)
    assert [pointer for pointer, _ in refused(response, 422, "invalid-values")] == [f"/lines/0/{place}"]
    assert api.get("/receipts").json()["items"] == []


def test_loads_and_hours_are_received_as_they_are_ordered(api: Api) -> None:
    budget = a_budget(api)
    order = an_order(
        api, budget, a_line(budget, 1, "6", "410", unit="load"), a_line(budget, 2, "40", "95", unit="hour")
    )
    assert counted(received(api, order, "T-1", "2", unit="load")) == [("2.00", "load")]
    assert counted(received(api, order, "T-2", "90", line=2, unit="minute")) == [("1.50", "hour")]


def test_a_ticket_number_is_used_once_in_an_order(api: Api) -> None:
    budget = a_budget(api)
    order, other = an_order(api, budget), an_order(api, budget, number="PO-2")
    received(api, order, "T-1", "20")
    response = api.post(f"/commitments/{order['id']}/receipts", json=ticket_body("t-1", "21"))
    refused(response, 409, "duplicate")
    received(api, other, "T-1", "20")


def test_more_than_was_ordered_is_taken_and_named(api: Api) -> None:
    order = an_order(api, a_budget(api), tolerance={"quantity_percent": "2"})
    received(api, order, "T-1", "102")
    line = match_of(api, order)["lines"][0]
    assert (line["status"], line["over_delivered"]["amount"], line["to_come"]["amount"]) == (
        "matched",
        "81.00",
        "0.00",
    )
    received(api, order, "T-2", "0.01")
    match = match_of(api, order)
    assert match["status"] == "differs"
    assert match["differences"] == [
        "line 1: received 2.01 short tons more than ordered: 81.41",
        "line 1: received 102.01 short tons and not billed yet: 4,131.41",
    ]


def test_goods_go_back_up_to_what_came(api: Api) -> None:
    order = an_order(api, a_budget(api))
    came = received(api, order, "T-1", "20")
    received(api, order, "R-1", "5", kind="return")
    assert match_of(api, order)["lines"][0]["received_quantity"] == "15.00"
    body = ticket_body("R-2", "15.01", kind="return")
    ((pointer, expected),) = refused(
        api.post(f"/commitments/{order['id']}/receipts", json=body), 422, "invalid-values"
    )
    assert (pointer, expected) == ("/lines/0/quantity", "at most 15.00 short_ton, which were received")
    refused(api.post(f"/receipts/{came['id']}/void", json={"reason": "Wrong"}), 409, "wrong-state")
    assert api.get(f"/receipts/{came['id']}").json() == came


def test_a_ticket_from_before_the_order_is_refused(api: Api) -> None:
    order = an_order(api, a_budget(api))
    body = ticket_body("T-1", "1", received_on="2026-08-02")
    response = api.post(f"/commitments/{order['id']}/receipts", json=body)
    assert refused(response, 422, "invalid-values")[0][0] == "/received_on"


def test_receipts_are_filtered_and_listed_by_day(api: Api) -> None:
    budget, other = a_budget(api), a_budget(api)
    first, second = an_order(api, budget), an_order(api, other, number="PO-2", vendor="Briar Hill")
    late = received(api, first, "T-9", "1", received_on="2026-09-09")
    early = received(api, second, "T-2", "2", received_on="2026-09-02")
    gone = received(api, first, "T-5", "3", received_on="2026-09-05")
    done(api.post(f"/receipts/{gone['id']}/void", json={"reason": "Not ours"}))

    def listed(**query: str) -> list[str]:
        page = api.get("/receipts", params=query).json()
        register = api.get("/receipt-register", params=query).json()
        assert register["receipts"] == page["items"]
        return [one["ticket"] for one in page["items"]]

    assert listed() == ["T-2", "T-5", "T-9"]
    assert listed(voided="false") == ["T-2", "T-9"]
    assert listed(budget_id=other["id"]) == listed(vendor="BRIAR HILL") == ["T-2"]
    assert listed(commitment_id=first["id"], voided="true") == ["T-5"]
    done(api.post(f"/commitments/{second['id']}/close", json={"reason": "Done"}))
    assert listed(status="closed") == ["T-2"]
    page = api.get("/receipts?limit=1").json()
    assert [one["id"] for one in page["items"]] == [early["id"]]
    rest = api.get("/receipts", params={"limit": "2", "cursor": page["next"]}).json()["items"]
    assert rest[1] == late
    csv = api.get("/receipt-register", headers={"Accept": "text/csv"}).text.splitlines()
    assert (
        csv[0]
        == "commitment,vendor,ticket,kind,received_on,line,quantity,unit,counted,counted_unit,status,note"
    )
    assert csv[2] == "PO-1,Alder Creek,T-5,delivery,2026-09-05,1,3,short_ton,3.00,short_ton,void,"


def test_a_receipt_is_seen_and_voided_in_its_club_alone(api: Api) -> None:
    ticket = received(api, an_order(api, a_budget(api)), "T-1", "1")
    stranger = api.of_new_club("stone-weir")
    assert stranger.get(f"/receipts/{ticket['id']}").status_code == 404
    assert stranger.post(f"/receipts/{ticket['id']}/void", json={"reason": "Mine"}).status_code == 404
    assert stranger.get("/receipt-register").json()["receipts"] == []


TONS = st.decimals("0.01", 60, places=2)


@given(st.lists(TONS, min_size=1, max_size=3), TONS)
@settings(max_examples=3)
def test_voiding_a_ticket_restores_what_was_before(api: Api, tickets: list[Decimal], last: Decimal) -> None:
    order = _next_order(api)
    for number, tons in enumerate(tickets):
        received(api, order, f"T-{number}", str(tons))
    before, kept = match_of(api, order), match_of(api, order, "2026-09-30")
    ticket = received(api, order, "T-last", str(last))
    assert match_of(api, order) != before
    voided = done(api.post(f"/receipts/{ticket['id']}/void", json={"reason": "Entered twice"}))
    assert (voided["void_reason"], voided["voided_by"]) == ("Entered twice", "Owner")
    assert (match_of(api, order), match_of(api, order, "2026-09-30")) == (before, kept)
    refused(api.post(f"/receipts/{ticket['id']}/void", json={"reason": "Again"}), 409, "wrong-state")
    received(api, order, "T-last", str(last))


_made: dict[str, Any] = {"budget": None, "count": 0}


def _next_order(api: Api) -> Document:
    """Another order on the budget of this test."""
    if _made["budget"] is None or api.get(f"/budgets/{_made['budget']['id']}").status_code == 404:
        _made["budget"] = a_budget(api)
    _made["count"] += 1
    return an_order(api, _made["budget"], number=f"PO-{_made['count']}")


def test_nothing_goes_back_before_it_came(api: Api) -> None:
    order = an_order(api, a_budget(api))
    first = received(api, order, "T-1", "20", received_on="2026-09-04")
    received(api, order, "T-2", "20", received_on="2026-09-20")
    path = f"/commitments/{order['id']}/receipts"
    early = ticket_body("R-1", "5", kind="return", received_on="2026-09-03")
    assert refused(api.post(path, json=early), 422, "invalid-values") == [
        ("/lines/0/quantity", "5.00 short_ton less, since no more had come by 2026-09-03")
    ]
    api.created(path, early | {"received_on": "2026-09-05"})
    # Without the first ticket 5 would have gone back on the 5th, of the 20 that came on the 20th.
    refused(api.post(f"/receipts/{first['id']}/void", json={"reason": "Not ours"}), 409, "wrong-state")
    assert match_of(api, order, "2026-09-05")["received"]["amount"] == "607.50"
