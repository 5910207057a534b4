"""Invoices, credit notes and approval, matched three ways."""

from csv import reader
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from commitment_factories import (
    a_budget,
    a_line,
    an_order,
    billed,
    done,
    extra,
    invoice_body,
    invoiced,
    match_of,
    matched,
    received,
    refused,
    sums,
)
from conftest import Api
from estimate_factories import Document

NO_LINE = "the number of an ordered line, or none and a budget_line_id"


def enter(api: Api, order: Document, number: str, *lines: Document, **more: Any) -> Any:
    return api.post(f"/commitments/{order['id']}/invoices", json=invoice_body(number, *lines, **more))


def test_a_line_is_its_quantity_times_its_price(api: Api) -> None:
    budget = a_budget(api)
    order = an_order(api, budget)
    invoice = invoiced(
        api, order, "I-1", billed("22.06", "40.505"), extra(budget, "35.00"), due_on="2026-10-10"
    )
    assert [line["amount"]["amount"] for line in invoice["lines"]] == ["893.54", "35.00"]
    assert [invoice[name]["amount"] for name in ("billed", "withheld", "to_pay")] == [
        "928.54",
        "0.00",
        "928.54",
    ]
    assert api.get(f"/invoices/{invoice['id']}").json() == invoice
    invoiced(api, order, "I-2", billed("22.06", "40.505", amount="893.54"))
    wrong = enter(api, order, "I-3", billed("22.06", "40.505", amount="893.53"))
    assert refused(wrong, 422, "invalid-values") == [
        ("/lines/0/amount", "893.54, quantity x unit price rounded half up, or none")
    ]


@pytest.mark.parametrize(
    ("line", "pointer", "expected"),
    [
        (billed("1", line=2), "/lines/0/line_number", NO_LINE),
        (
            {"line_number": 1, "description": "Sand", "amount": "10.00"},
            "/lines/0/quantity",
            "a quantity in short_ton",
        ),
        (
            {"budget_line_id": str(uuid4()), "description": "Tax", "amount": "1.00"},
            "/lines/0/budget_line_id",
            "budget",
        ),
        (billed("99999999", "99999999"), "/lines/0/unit_price", "below 1,000,000,000,000"),
    ],
)
def test_a_line_of_nothing_known_is_refused(api: Api, line: Document, pointer: str, expected: str) -> None:
    order = an_order(api, a_budget(api))
    ((place, said),) = refused(enter(api, order, "I-1", line), 422, "invalid-values")
    assert place == pointer
    assert expected in said
    assert api.get("/invoices").json()["items"] == []


def test_parts_of_a_cent_cannot_be_billed(api: Api) -> None:
    budget = a_budget(api)
    response = enter(api, an_order(api, budget), "I-1", extra(budget, "1.005"))
    assert refused(response, 422, "invalid-values")[0][0] == "/lines/0/amount"


def test_an_invoice_has_one_form(api: Api) -> None:
    budget = a_budget(api)
    order = an_order(api, budget)
    for lines, more in (
        ([], {}),
        ([billed("1") | {"budget_line_id": budget["lines"][0]["id"]}], {}),
        ([{"line_number": 1, "description": "Sand", "quantity": "1"}], {}),
        ([billed("1")], {"kind": "retainage_release"}),
        ([billed("1")], {"due_on": "2026-09-01"}),
        ([billed("-1")], {}),
    ):
        assert enter(api, order, "I-1", *lines, **more).status_code == 400
    assert refused(enter(api, order, "I-1", billed("1"), invoiced_on="2026-08-02"), 422, "invalid-values")


def test_a_vendor_uses_a_number_once_over_all_its_orders(api: Api) -> None:
    budget = a_budget(api)
    order = an_order(api, budget)
    same, other = (
        an_order(api, budget, number="PO-2", vendor="ALDER CREEK"),
        an_order(api, budget, number="PO-3", vendor="Briar Hill"),
    )
    first = invoiced(api, order, "I-1", billed("1"))
    refused(enter(api, same, "i-1", billed("1")), 409, "duplicate")
    invoiced(api, other, "I-1", billed("1"))
    done(api.post(f"/invoices/{first['id']}/void", json={"reason": "Wrong order"}))
    invoiced(api, same, "i-1", billed("1"))


def test_the_match_names_each_difference_in_words(api: Api) -> None:
    budget = a_budget(api)
    order = an_order(api, budget, a_line(budget, quantity="80"))
    received(api, order, "T-1", "78")
    invoiced(api, order, "I-1", billed("82", "41.65"), extra(budget, "65.00"))
    match = match_of(api, order)
    assert (match["status"], match["differences"]) == (
        "differs",
        [
            "line 1: billed 4.00 short tons more than received: 162.00",
            "line 1: billed 2.00 short tons more than ordered: 81.00",
            "line 1: billed at 41.65 instead of 40.50 a short ton, 82.00 short tons: 94.30 more",
            "billed without an order: 65.00",
        ],
    )
    kinds = [one["kind"] for one in match["lines"][0]["differences"]]
    assert kinds == ["billed_more_than_received", "billed_more_than_ordered", "price_above_order"]
    assert match["lines_not_ordered"] == [
        {"budget_line_id": budget["lines"][0]["id"], "billed": {"amount": "65.00", "currency": "USD"}}
    ]
    whole, line = sums(match), sums(match["lines"][0])
    assert line["ordered"] + line["over_delivered"] + line["price_difference"] == (
        line["billed"] + line["received_not_billed"] + line["to_come"]
    )
    assert whole["billed"] == line["billed"] + whole["not_ordered"]


def test_a_tolerated_difference_is_told_and_matches(api: Api) -> None:
    budget = a_budget(api)
    tolerance = {"quantity_percent": "2", "price_percent": "1", "amount": "35.00"}
    order = an_order(api, budget, tolerance=tolerance)
    received(api, order, "T-1", "50")
    invoice = invoiced(api, order, "I-1", billed("51", "40.905"), extra(budget, "35.00"))
    match = matched(api, invoice)
    assert match["status"] == "matched"
    assert [one["within_tolerance"] for one in match["differences"]] == [True, True, True]
    assert match["differences"][0]["words"].endswith("(within tolerance)")
    done(api.post(f"/invoices/{invoice['id']}/approve", json={}))
    beyond = invoiced(api, order, "I-2", billed("1", "40.905"))
    assert matched(api, beyond)["status"] == "differs"
    assert matched(api, invoice)["status"] == "matched"


def test_sales_tax_beside_the_lines_matches_up_to_the_rate_of_the_order(api: Api) -> None:
    budget = a_budget(api)
    order = an_order(api, budget, tolerance={"tax_percent": "6.5"})
    received(api, order, "T-1", "30")
    # 10 x 40.50 bears a tax of 26.325, which an invoice may round up.
    taxed = invoiced(api, order, "I-1", billed("10"), extra(budget, "26.33"))
    assert [(one["words"], one["within_tolerance"]) for one in matched(api, taxed)["differences"]] == [
        ("billed without an order: 26.33 (within tolerance)", True)
    ]
    assert match_of(api, order)["status"] == "matched"
    dear = invoiced(api, order, "I-2", billed("10"), extra(budget, "20.00"), extra(budget, "6.34", line=1))
    assert matched(api, dear)["status"] == "differs"
    done(api.post(f"/invoices/{dear['id']}/void", json={"reason": "Tax at the wrong rate"}))
    invoiced(api, order, "I-2", billed("10"), extra(budget, "20.00"), extra(budget, "6.33", line=1))
    assert match_of(api, order)["status"] == "matched"


def test_an_invoice_ahead_of_its_goods_matches_once_they_come(api: Api) -> None:
    order = an_order(api, a_budget(api))
    first, second = invoiced(api, order, "I-1", billed("40")), invoiced(api, order, "I-2", billed("30"))
    assert [matched(api, one)["status"] for one in (first, second)] == ["differs", "differs"]
    received(api, order, "T-1", "40")
    assert [matched(api, one)["status"] for one in (first, second)] == ["matched", "differs"]
    received(api, order, "T-2", "30")
    assert matched(api, second)["status"] == "matched"


def test_one_dear_and_one_cheap_invoice_are_named_each(api: Api) -> None:
    order = an_order(api, a_budget(api))
    received(api, order, "T-1", "60")
    dear, cheap = (
        invoiced(api, order, "I-1", billed("30", "41.50")),
        invoiced(api, order, "I-2", billed("30", "39.50")),
    )
    assert match_of(api, order)["differences"] == []
    assert [one["kind"] for one in matched(api, dear)["differences"]] == ["price_above_order"]
    assert [one["kind"] for one in matched(api, cheap)["differences"]] == ["price_below_order"]


def test_approval_of_what_differs_needs_a_reason_that_is_kept(api: Api) -> None:
    order = an_order(api, a_budget(api))
    received(api, order, "T-1", "82")
    invoice = invoiced(api, order, "I-1", billed("82", "41.65"))
    path = f"/invoices/{invoice['id']}/approve"
    ((pointer, expected),) = refused(api.post(path, json={}), 422, "invalid-values")
    assert pointer == "/reason"
    assert "94.30 more" in expected
    assert api.as_role("superintendent").post(path, json={"reason": "Fine"}).status_code == 403
    approved = done(api.as_role("controller").post(path, json={"reason": "Agreed by telephone"}))
    assert (approved["status"], approved["reason"], approved["decided_by"]) == (
        "approved", "Agreed by telephone", "controller"
    )  # fmt: skip
    assert approved["accepted_differences"] == [
        "line 1: billed at 41.65 instead of 40.50 a short ton, 82.00 short tons: 94.30 more"
    ]
    refused(api.post(path, json={"reason": "Again"}), 409, "wrong-state")
    audit = api.get(f"/audit?subject=invoice&subject_id={invoice['id']}").json()["items"]
    assert [one["action"] for one in audit] == ["approve", "create"]


def test_a_credit_note_takes_back_quantity_or_puts_a_price_right(api: Api) -> None:
    order = an_order(api, a_budget(api))
    received(api, order, "T-1", "78")
    invoiced(api, order, "I-1", billed("82", "41.65"))
    credit = invoiced(api, order, "C-1", billed("4", "41.65"), kind="credit_note")
    assert [credit[name]["amount"] for name in ("billed", "to_pay")] == ["-166.60", "-166.60"]
    assert credit["lines"][0]["quantity"] == "-4.00"
    price = {"line_number": 1, "description": "Price as ordered", "amount": "89.70"}
    invoiced(api, order, "C-2", price, kind="credit_note")
    match = match_of(api, order)
    assert (match["status"], match["billed"]["amount"]) == ("matched", "3159.00")


@pytest.mark.parametrize(
    "line", [billed("11"), billed("10", "41"), {"line_number": 1, "description": "x", "amount": "405.01"}]
)
def test_no_more_is_credited_than_was_billed(api: Api, line: Document) -> None:
    order = an_order(api, a_budget(api))
    invoiced(api, order, "I-1", billed("10"))
    response = enter(api, order, "C-1", line, kind="credit_note")
    assert refused(response, 422, "invalid-values")[0][0] == "/lines"
    assert len(api.get("/invoices").json()["items"]) == 1


def test_voiding_an_invoice_restores_what_was_before(api: Api) -> None:
    budget = a_budget(api)
    order = an_order(api, budget, retainage_percent="10")
    received(api, order, "T-1", "60")
    invoiced(api, order, "I-1", billed("20"))
    before = match_of(api, order)
    accruals = api.get(f"/budgets/{budget['id']}/accruals?through=2026-10").json()
    invoice = invoiced(api, order, "I-2", billed("30", "44"), extra(budget, "12.00"))
    assert match_of(api, order) != before
    voided = done(api.post(f"/invoices/{invoice['id']}/void", json={"reason": "Entered twice"}))
    assert (voided["status"], voided["reason"]) == ("void", "Entered twice")
    assert match_of(api, order) == before
    assert api.get(f"/budgets/{budget['id']}/accruals?through=2026-10").json() == accruals
    for action in ("void", "approve"):
        response = api.post(f"/invoices/{invoice['id']}/{action}", json={"reason": "Again"})
        refused(response, 409, "wrong-state")
    assert matched(api, invoice)["differences"] == []


def test_an_invoice_on_which_credit_rests_is_not_voided(api: Api) -> None:
    order = an_order(api, a_budget(api))
    invoice = invoiced(api, order, "I-1", billed("10"))
    credit = invoiced(api, order, "C-1", billed("4"), kind="credit_note")
    path = f"/invoices/{invoice['id']}/void"
    refused(api.post(path, json={"reason": "Wrong"}), 409, "wrong-state")
    done(api.post(f"/invoices/{credit['id']}/void", json={"reason": "Wrong"}))
    done(api.post(path, json={"reason": "Wrong"}))


def test_invoices_are_filtered_and_the_register_sums_what_stands(api: Api) -> None:
    budget, other = a_budget(api), a_budget(api)
    first = an_order(api, budget, retainage_percent="10")
    second = an_order(api, other, number="PO-2", vendor="Briar Hill")
    received(api, first, "T-1", "10")
    one = invoiced(api, first, "I-1", billed("10"))
    gone = invoiced(api, first, "I-2", billed("5"), invoiced_on="2026-09-12")
    credit = invoiced(api, first, "C-1", billed("2"), kind="credit_note", invoiced_on="2026-09-20")
    invoiced(api, second, "9", billed("1"), invoiced_on="2026-09-05")
    done(api.post(f"/invoices/{gone['id']}/void", json={"reason": "Not ours"}))
    done(api.post(f"/invoices/{one['id']}/approve", json={}))

    def listed(**query: str) -> list[str]:
        page = api.get("/invoices", params=query).json()["items"]
        register = api.get("/invoice-register", params=query).json()["rows"]
        assert [row["id"] for row in register] == [row["id"] for row in page]
        return [row["number"] for row in page]

    assert listed() == ["9", "I-1", "I-2", "C-1"]
    assert listed(budget_id=budget["id"]) == listed(commitment_id=first["id"]) == ["I-1", "I-2", "C-1"]
    assert listed(vendor="briar hill") == ["9"]
    assert (listed(status="approved"), listed(kind="credit_note")) == (["I-1"], ["C-1"])
    register = api.get("/invoice-register", params={"budget_id": budget["id"]}).json()
    assert [register[name]["amount"] for name in ("billed", "withheld", "to_pay")] == [
        "324.00",
        "32.40",
        "291.60",
    ]
    assert [row["match"] for row in register["rows"]] == ["matched", None, "matched"]
    csv = api.get("/invoice-register", headers={"Accept": "text/csv"}).text.splitlines()
    assert csv[1] == (
        "PO-2,Briar Hill,9,invoice,entered,2026-09-05,,40.50,0.00,40.50,differs,"
        "line 1: billed 1.00 short ton more than received: 40.50,USD"
    )
    # A number below zero stays one, so that a spreadsheet adds the column up.
    amounts = [Decimal(row[7]) for row in reader(csv[1:])]
    assert min(amounts) < 0
    assert all(row.endswith(",USD") for row in csv[1:])
    stranger = api.of_new_club("stone-weir")
    for path in ("", "/match"):
        assert stranger.get(f"/invoices/{credit['id']}{path}").status_code == 404
    for action in ("void", "approve"):
        assert stranger.post(f"/invoices/{credit['id']}/{action}", json={"reason": "Mine"}).status_code == 404
    assert stranger.get("/invoice-register").json()["rows"] == []


def test_the_register_of_commitments_adds_up(api: Api) -> None:
    budget = a_budget(api)
    first = an_order(api, budget, retainage_percent="10")
    second = an_order(api, budget, a_line(budget, quantity="10"), number="PO-2", signed_on="2026-09-20")
    received(api, first, "T-1", "60")
    invoiced(api, first, "I-1", billed("40"))
    done(api.post(f"/commitments/{second['id']}/close", json={"reason": "No", "since": "2026-09-25"}))
    register = api.get("/commitment-register", params={"budget_id": budget["id"]}).json()
    names = ("ordered", "received", "billed", "retainage_held", "received_not_billed", "open")
    assert [register[name]["amount"] for name in names] == [
        "4455.00", "2430.00", "1620.00", "162.00", "810.00", "1620.00"
    ]  # fmt: skip
    for name in names:
        assert sums(register)[name] == sum(sums(row)[name] for row in register["rows"])
    early = api.get("/commitment-register", params={"on": "2026-09-05"}).json()
    assert [(row["number"], row["billed"]["amount"]) for row in early["rows"]] == [("PO-1", "0.00")]
    closed = api.get("/commitment-register?status=closed", headers={"Accept": "text/csv"}).text.splitlines()
    assert (
        closed[1]
        == "PO-2,purchase_order,Alder Creek,Sand,2026-09-20,closed,405.00,0.00,0.00,0.00,0.00,0.00,matched,USD"
    )


def test_credit_is_of_what_was_billed_by_its_day(api: Api) -> None:
    budget = a_budget(api)
    order = an_order(api, budget)
    received(api, order, "T-1", "10")
    invoiced(api, order, "A-1", billed("10"), invoiced_on="2026-09-10")
    path = f"/commitments/{order['id']}/invoices"
    credit = invoice_body("A-1C", billed("2"), kind="credit_note", invoiced_on="2026-09-09")
    faults = api.post(path, json=credit).json()["faults"]
    assert [(one["pointer"], one["got"]) for one in faults] == [
        ("/lines", "more would be credited than was billed by 2026-09-09")
    ]
    assert match_of(api, order, "2026-09-09")["received_not_billed"]["amount"] == "405.00"
    api.created(path, credit | {"invoiced_on": "2026-09-10"})
    assert match_of(api, order, "2026-09-10")["received_not_billed"]["amount"] == "81.00"
