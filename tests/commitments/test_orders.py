"""Purchase orders and contracts: entered, found, edited, revised, closed."""

from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest
from commitment_factories import (
    SIGNED,
    a_budget,
    a_line,
    an_order,
    billed,
    done,
    invoiced,
    match_of,
    order_body,
    received,
    refused,
)
from conftest import Api
from estimate_factories import Document

BAD: list[tuple[dict[str, Any], str, str]] = [
    (
        {"budget_line_id": str(uuid4())},
        "/lines/0/budget_line_id",
        "the id of a line of the commitment's budget",
    ),
    ({"unit": "ton"}, "/lines/0/unit", "a unit listed"),
    ({"unit_price": "99999999999"}, "/lines/0/unit_price", "below 1,000,000,000,000"),
    (
        {"per_load": {"value": "22", "unit": "cubic_yard"}},
        "/lines/0/per_load",
        "that short_ton compares with",
    ),
    ({"per_load": {"value": "0", "unit": "pound"}}, "/lines/0/per_load", "more than nothing"),
]


def revision(order: Document, *lines: Document, **more: Any) -> Document:
    return {
        "revises": order["revision"], "made_on": "2026-09-01", "reason": "Two more greens", "lines": list(lines)
    } | more  # fmt: skip


def test_an_order_prints_quantity_times_price_as_its_amount(api: Api) -> None:
    budget = a_budget(api)
    load = {"value": "44000", "unit": "pound"}
    order = an_order(
        api,
        budget,
        a_line(budget, 1, "22.06", "40.505", per_load=load),
        a_line(budget, 2, "1", "12000", unit="lump_sum"),
    )
    assert [line["amount"]["amount"] for line in order["lines"]] == ["893.54", "12000.00"]
    assert order["lines"][0]["per_load"] == {"value": "22.00", "unit": "short_ton"}
    assert (order["ordered"]["amount"], order["status"], order["revision"]) == ("12893.54", "open", 1)
    assert api.get(f"/commitments/{order['id']}").json() == order


@pytest.mark.parametrize(("change", "pointer", "expected"), BAD)
def test_what_cannot_be_ordered_is_named_and_nothing_is_entered(
    api: Api, change: Document, pointer: str, expected: str
) -> None:
    budget = a_budget(api)
    response = api.post("/commitments", json=order_body(budget, a_line(budget) | change))
    ((place, said),) = refused(response, 422, "invalid-values")
    assert place == pointer
    assert expected in said
    assert api.get("/commitments").json()["items"] == []


def test_budgets_vendors_and_numbers_are_the_clubs_own(api: Api) -> None:
    budget = a_budget(api)
    stranger = api.of_new_club("stone-weir")
    theirs = stranger.created("/vendors", {"name": "Alder Creek"})["id"]
    assert (
        refused(stranger.post("/commitments", json=order_body(budget)), 422, "invalid-values")[0][0]
        == "/budget_id"
    )
    response = api.post("/commitments", json=order_body(budget, vendor_id=theirs))
    assert refused(response, 422, "invalid-values")[0][0] == "/vendor_id"
    order = an_order(api, budget)
    assert api.post("/commitments", json=order_body(budget, number="po-1")).status_code == 409
    for path in ("", "/match", "/revisions"):
        assert stranger.get(f"/commitments/{order['id']}{path}").status_code == 404
    assert stranger.post(f"/commitments/{order['id']}/close", json={"reason": "Mine"}).status_code == 404
    assert stranger.get("/commitments").json()["items"] == []


def test_a_lump_sum_is_ordered_once_and_each_number_is_used_once(api: Api) -> None:
    budget = a_budget(api)
    for lines in ([a_line(budget, 1, "2", unit="lump_sum")], [a_line(budget), a_line(budget)]):
        assert api.post("/commitments", json=order_body(budget, *lines)).status_code == 400


def test_orders_are_listed_by_number_and_filtered(api: Api) -> None:
    budget, other = a_budget(api), a_budget(api)
    first = an_order(api, budget, number="B-2", vendor="Alder Creek")
    second = an_order(api, budget, number="a-1", vendor="Briar Hill", kind="contract")
    third = an_order(api, other, number="C-3", vendor="ALDER CREEK")
    done(api.post(f"/commitments/{third['id']}/close", json={"reason": "Spring"}))

    def listed(**query: str) -> list[str]:
        return [one["number"] for one in api.get("/commitments", params=query).json()["items"]]

    assert listed() == ["a-1", "B-2", "C-3"]
    assert listed(budget_id=budget["id"]) == ["a-1", "B-2"]
    assert listed(vendor="alder creek") == ["B-2", "C-3"]
    assert listed(status="closed") == ["C-3"]
    assert listed(kind="contract") == ["a-1"]
    page = api.get("/commitments?limit=2").json()
    assert [one["id"] for one in page["items"]] == [second["id"], first["id"]]
    rest = api.get("/commitments", params={"limit": "2", "cursor": page["next"]}).json()
    assert ([one["id"] for one in rest["items"]], rest["next"]) == ([third["id"]], None)


def test_an_edit_needs_the_version_and_leaves_the_lines(api: Api) -> None:
    budget = a_budget(api)
    order = an_order(api, budget)
    change = {
        "title": "Washed sand",
        "retainage_percent": "5",
        "tolerance": {"amount": "25.00"},
        "note": "By rail",
    }
    path = f"/commitments/{order['id']}"
    assert api.put(path, json=change).status_code == 428
    edited = done(api.put(path, json=change, headers={"If-Match": '"1"'}))
    assert (edited["title"], edited["retainage_percent"], edited["version"]) == ("Washed sand", "5", 2)
    assert edited["lines"] == order["lines"]
    assert api.put(path, json=change, headers={"If-Match": '"1"'}).status_code == 412


def test_a_revision_is_in_force_from_its_day_and_the_first_stays_on_record(api: Api) -> None:
    budget = a_budget(api)
    order = an_order(api, budget)
    body = revision(order, a_line(budget, quantity="120", price="41"), a_line(budget, 2, "5", "10"))
    response = api.post(f"/commitments/{order['id']}/revisions", json=body)
    assert response.status_code == 201, response.text
    assert response.headers["Location"].endswith(f"/commitments/{order['id']}")
    revised = response.json()
    assert (revised["revision"], revised["version"], revised["ordered"]["amount"]) == (2, 2, "4970.00")
    revisions = api.get(f"/commitments/{order['id']}/revisions").json()["items"]
    assert [(one["revision"], one["made_on"], one["ordered"]["amount"]) for one in revisions] == [
        (1, SIGNED, "4050.00"), (2, "2026-09-01", "4970.00")
    ]  # fmt: skip
    assert revisions[0]["lines"] == order["lines"]
    assert match_of(api, order, "2026-08-31")["ordered"]["amount"] == "4050.00"
    assert match_of(api, order, "2026-09-01")["ordered"]["amount"] == "4970.00"


def test_a_revision_is_made_from_the_one_in_force_and_not_before_it(api: Api) -> None:
    budget = a_budget(api)
    order = an_order(api, budget)
    path = f"/commitments/{order['id']}/revisions"
    assert api.post(path, json=revision(order, a_line(budget), revises=2)).status_code == 412
    early = api.post(path, json=revision(order, a_line(budget), made_on="2026-08-01"))
    assert refused(early, 422, "invalid-values")[0][0] == "/made_on"
    unpaid = api.post(path, json=revision(order, a_line(budget), adjustment_number=3))
    assert refused(unpaid, 422, "invalid-values")[0][0] == "/adjustment_number"
    assert api.get(f"/commitments/{order['id']}").json() == order


def test_what_was_received_or_billed_may_not_be_revised_away(api: Api) -> None:
    budget = a_budget(api)
    order = an_order(api, budget, a_line(budget), a_line(budget, 2, "1", "9000", unit="lump_sum"))
    received(api, order, "T-1", "82")
    invoiced(api, order, "I-1", {"line_number": 2, "description": "Stage", "amount": "4000.00"})
    path = f"/commitments/{order['id']}/revisions"
    lump = a_line(budget, 2, "1", "9000", unit="lump_sum")

    def faults(*lines: Document, **more: Any) -> list[tuple[str, str]]:
        return refused(api.post(path, json=revision(order, *lines, **more)), 422, "invalid-values")

    assert faults(a_line(budget, quantity="81.99"), lump) == [
        (
            "/lines/0/quantity",
            "82.00 or more, which was received or billed already, or a reason in accept_less",
        )
    ]
    assert (
        faults(a_line(budget), a_line(budget, 2, "1", "3999.99", unit="lump_sum"))[0][0]
        == "/lines/1/unit_price"
    )
    assert faults(lump) == [("/lines", "line 1 too, which was received or billed")]
    assert faults(a_line(budget, unit="metric_ton"), lump)[0][0] == "/lines/0/unit"
    assert faults(a_line(budget, unit="metric_ton"), lump, accept_less="Typed wrong")[0][0] == "/lines/0/unit"
    less = revision(order, a_line(budget, quantity="80"), lump, accept_less="Two tons were spilled")
    assert api.created(path, less)["lines"][0]["quantity"] == "80.00"
    assert match_of(api, order)["lines"][0]["over_delivered"]["amount"] == "81.00"


def test_closing_releases_what_is_to_come_and_reopening_expects_it_again(api: Api) -> None:
    budget = a_budget(api)
    order = an_order(api, budget)
    received(api, order, "T-1", "60")
    invoiced(api, order, "I-1", billed("40"))
    path = f"/commitments/{order['id']}"
    body = {"reason": "Enough sand", "since": "2026-09-20"}
    closed = done(api.post(path + "/close", json=body))
    assert (closed["status"], closed["statuses"][0]["reason"]) == ("closed", "Enough sand")
    match = match_of(api, order)
    assert [match[name]["amount"] for name in ("to_come", "released", "received_not_billed")] == [
        "0.00", "1620.00", "810.00"
    ]  # fmt: skip
    assert match_of(api, order, "2026-09-19")["to_come"]["amount"] == "1620.00"
    assert api.post(path + "/receipts", json={}).status_code == 400
    for action in ("close", "cancel"):
        assert refused(api.post(f"{path}/{action}", json=body), 409, "wrong-state") == []
    refused(api.post(path + "/revisions", json=revision(order, a_line(budget))), 409, "wrong-state")
    early = api.post(path + "/reopen", json=body | {"since": "2026-09-19"})
    assert refused(early, 422, "invalid-values")[0][0] == "/since"
    reopened = done(api.post(path + "/reopen", json=body | {"since": "2026-09-25"}))
    assert [one["status"] for one in reopened["statuses"]] == ["closed", "open"]
    assert match_of(api, order)["to_come"]["amount"] == "1620.00"
    assert match_of(api, order, "2026-09-22")["to_come"]["amount"] == "0.00"
    audit = api.get(f"/audit?subject=commitment&subject_id={order['id']}").json()["items"]
    assert [one["action"] for one in audit] == ["reopen", "close", "create"]


def test_an_order_is_cancelled_only_while_nothing_came_of_it(api: Api) -> None:
    budget = a_budget(api)
    order, other = an_order(api, budget), an_order(api, budget, number="PO-2")
    ticket = received(api, order, "T-1", "10")
    refused(api.post(f"/commitments/{order['id']}/cancel", json={"reason": "No"}), 409, "wrong-state")
    done(api.post(f"/receipts/{ticket['id']}/void", json={"reason": "Another club's"}))
    for one in (order, other):
        cancelled = done(api.post(f"/commitments/{one['id']}/cancel", json={"reason": "Own crew"}))
        assert cancelled["status"] == "cancelled"
    refused(api.post(f"/commitments/{other['id']}/receipts", json={
        "ticket": "T", "received_on": "2026-09-01",
        "lines": [{"line_number": 1, "quantity": "1", "unit": "short_ton"}],
    }), 409, "wrong-state")  # fmt: skip


def test_who_may_order_and_who_may_bill(api: Api) -> None:
    budget = a_budget(api)
    order = an_order(api.as_role("superintendent"), budget)
    invoice = {"number": "1", "invoiced_on": "2026-09-01", "lines": [billed("1")]}
    path = f"/commitments/{order['id']}/invoices"
    for role, orders, bills in (
        ("committee", 403, 403), ("integrator", 403, 403), ("superintendent", 201, 403), ("controller", 201, 201)
    ):  # fmt: skip
        caller = api.as_role(role)
        assert caller.post("/commitments", json=order_body(budget, number=role)).status_code == orders
        assert caller.post(path, json=invoice | {"number": role}).status_code == bills
        assert caller.get(f"/commitments/{order['id']}/match").status_code == 200


def test_an_order_entered_again_with_its_key_is_entered_once(api: Api) -> None:
    budget = a_budget(api)
    key = {"Idempotency-Key": "order-1"}
    first = api.post("/commitments", json=order_body(budget), headers=key)
    again = api.post("/commitments", json=order_body(budget), headers=key)
    assert (first.status_code, again.status_code, again.json()) == (201, 201, first.json())
    assert len(api.get("/commitments").json()["items"]) == 1


def test_a_vendor_with_orders_stays_in_the_catalog(api: Api) -> None:
    vendor = api.created("/vendors", {"name": "Alder Creek"})
    an_order(api, a_budget(api), vendor_id=vendor["id"])
    assert api.delete(f"/vendors/{vendor['id']}", headers={"If-Match": '"1"'}).status_code == 409


def test_an_order_closed_from_a_day_to_come_by_mistake_is_open_again_as_if_it_never_was_closed(
    api: Api,
) -> None:
    order = an_order(api, a_budget(api))
    path = f"/commitments/{order['id']}"
    to_come = (api.clock().date() + timedelta(days=400)).isoformat()
    done(api.post(path + "/close", json={"reason": "Enough", "since": to_come}))
    reopened = done(api.post(path + "/reopen", json={"reason": "A slip of the pen"}))
    assert [(one["status"], one["since"]) for one in reopened["statuses"]] == [
        ("closed", to_come), ("open", to_come),
    ]  # fmt: skip
    assert match_of(api, order, to_come)["to_come"]["amount"] == "4050.00"
