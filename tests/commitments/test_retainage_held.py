"""Retainage on invoices: withheld, given back, paid out, and never more than is held."""

from decimal import Decimal
from typing import Any

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
    refused,
    released,
)
from conftest import Api
from estimate_factories import (
    LUMP,
    Document,
    a_project,
    a_scope_item,
    an_edition,
    an_item,
    budget_of,
    priced,
    stated,
)


def a_contract(api: Api, budget: Document, **more: Any) -> Document:
    """Two lines, ten percent held back."""
    lines = a_line(budget, 1, "100", "40.50"), a_line(budget, 2, "1", "9000", unit="lump_sum")
    return an_order(api, budget, *lines, **({"kind": "contract", "retainage_percent": "10"} | more))


def lump(amount: str) -> Document:
    return {"line_number": 2, "description": "Stage", "amount": amount}


def held(api: Api, order: Document, on: str | None = None) -> str:
    amount: str = match_of(api, order, on)["retainage_held"]["amount"]
    return amount


def withheld(invoice: Document) -> tuple[str, list[str]]:
    return invoice["withheld"]["amount"], [line["withheld"]["amount"] for line in invoice["lines"]]


def test_the_percentage_is_withheld_from_what_was_ordered_and_the_rest_is_paid(api: Api) -> None:
    budget = a_budget(api)
    order = a_contract(api, budget)
    invoice = invoiced(api, order, "I-1", billed("10.33"), lump("1000.05"), extra(budget, "75.00"))
    assert withheld(invoice) == ("141.84", ["41.84", "100.00", "0.00"])
    assert Decimal(invoice["withheld"]["amount"]) + Decimal(invoice["to_pay"]["amount"]) == Decimal(
        invoice["billed"]["amount"]
    )
    assert held(api, order) == "141.84"


@pytest.mark.parametrize(
    ("stated", "shares"),
    [("0", ["0.00", "0.00"]), ("100.00", ["100.00", "0.00"]), ("450.00", ["382.50", "67.50"])],
)
def test_a_stated_retainage_takes_the_place_of_the_percentage(
    api: Api, stated: str, shares: list[str]
) -> None:
    budget = a_budget(api)
    order = a_contract(api, budget)
    invoice = invoiced(api, order, "I-1", lump("425.00"), extra(budget, "75.00"), retainage=stated)
    assert (Decimal(invoice["withheld"]["amount"]), withheld(invoice)[1]) == (Decimal(stated), shares)


def test_no_more_is_withheld_than_is_billed(api: Api) -> None:
    order = a_contract(api, a_budget(api))
    body = invoice_body("I-1", lump("425.00"), retainage="425.01")
    response = api.post(f"/commitments/{order['id']}/invoices", json=body)
    assert refused(response, 422, "invalid-values") == [("/retainage", "at most 425.00, which is billed")]


def test_a_release_pays_out_what_is_held_line_by_line_and_not_a_cent_more(api: Api) -> None:
    order = a_contract(api, a_budget(api))
    invoiced(api, order, "I-1", billed("10"), lump("2000.00"))
    part = released(api, order, "R-1", "100.00")
    assert (part["billed"]["amount"], part["to_pay"]["amount"]) == ("0.00", "100.00")
    assert withheld(part) == ("-100.00", ["-16.84", "-83.16"])
    assert held(api, order) == "140.50"
    body = {"number": "R-2", "kind": "retainage_release", "invoiced_on": "2026-11-03", "retainage": "140.51"}
    path = f"/commitments/{order['id']}/invoices"
    assert refused(api.post(path, json=body), 422, "invalid-values")[0][0] == "/retainage"
    rest = released(api, order, "R-2")
    assert (rest["to_pay"]["amount"], held(api, order)) == ("140.50", "0.00")
    nothing = api.post(path, json=body | {"number": "R-3", "retainage": None})
    assert refused(nothing, 422, "invalid-values")[0][1].startswith("at most 0.00")


def test_retainage_is_not_paid_out_before_the_day_it_was_withheld(api: Api) -> None:
    order = a_contract(api, a_budget(api))
    invoiced(api, order, "I-1", lump("1000.00"), invoiced_on="2026-09-10")
    invoiced(api, order, "I-2", lump("500.00"), invoiced_on="2026-10-10")
    path = f"/commitments/{order['id']}/invoices"
    body = {"number": "R-1", "kind": "retainage_release", "retainage": "100.01", "invoiced_on": "2026-10-09"}
    assert refused(api.post(path, json=body), 422, "invalid-values")[0][0] == "/retainage"
    released(api, order, "R-1", "100.00", invoiced_on="2026-10-09")
    assert [held(api, order, day) for day in ("2026-10-08", "2026-10-09", "2026-10-10")] == [
        "100.00",
        "0.00",
        "50.00",
    ]


def test_a_credit_note_gives_back_its_part_of_what_is_held(api: Api) -> None:
    order = a_contract(api, a_budget(api))
    invoiced(api, order, "I-1", billed("10"), lump("2000.00"))
    credit = invoiced(api, order, "C-1", billed("4"), kind="credit_note")
    assert (withheld(credit), credit["to_pay"]["amount"]) == (("-16.20", ["-16.20"]), "-145.80")
    released(api, order, "R-1", "200.00")
    late = invoiced(api, order, "C-2", lump("1000.00"), kind="credit_note", invoiced_on="2026-11-20")
    assert withheld(late) == ("-21.67", ["-21.67"])
    assert held(api, order) == "2.63"
    body = invoice_body("C-3", lump("10.00"), kind="credit_note", retainage="0.01", invoiced_on="2026-11-21")
    response = api.post(f"/commitments/{order['id']}/invoices", json=body)
    assert refused(response, 422, "invalid-values")[0][0] == "/retainage"


def test_an_invoice_whose_retainage_was_paid_out_is_not_voided(api: Api) -> None:
    order = a_contract(api, a_budget(api))
    invoice = invoiced(api, order, "I-1", lump("2000.00"))
    release = released(api, order, "R-1", "50.00")
    path = f"/invoices/{invoice['id']}/void"
    refused(api.post(path, json={"reason": "Wrong"}), 409, "wrong-state")
    done(api.post(f"/invoices/{release['id']}/void", json={"reason": "Not accepted yet"}))
    assert held(api, order) == "200.00"
    done(api.post(path, json={"reason": "Wrong"}))
    assert held(api, order) == "0.00"


def test_retainage_of_a_closed_contract_is_still_paid_out(api: Api) -> None:
    order = a_contract(api, a_budget(api))
    invoiced(api, order, "I-1", lump("2000.00"))
    done(api.post(f"/commitments/{order['id']}/close", json={"reason": "Done", "since": "2026-10-31"}))
    refused(
        api.post(f"/commitments/{order['id']}/invoices", json=invoice_body("I-2", lump("1.00"))),
        409,
        "wrong-state",
    )
    assert released(api, order, "R-1")["to_pay"]["amount"] == "200.00"


def test_a_release_bills_nothing_and_matches_whatever_else_differs(api: Api) -> None:
    order = a_contract(api, a_budget(api))
    invoice = invoiced(api, order, "I-1", lump("2000.00"))
    release = released(api, order, "R-1")
    assert [matched(api, one)["status"] for one in (invoice, release)] == ["differs", "matched"]
    assert done(api.post(f"/invoices/{release['id']}/approve", json={}))["accepted_differences"] == []


def test_a_changed_percentage_holds_for_later_invoices(api: Api) -> None:
    order = a_contract(api, a_budget(api))
    first = invoiced(api, order, "I-1", lump("2000.00"))
    body = {"title": "Bunkers", "retainage_percent": "5"}
    done(api.put(f"/commitments/{order['id']}", json=body, headers={"If-Match": '"1"'}))
    second = invoiced(api, order, "I-2", lump("2000.00"))
    assert [withheld(one)[0] for one in (first, second)] == ["200.00", "100.00"]


@pytest.mark.parametrize(
    ("currency", "price", "expected"), [("JPY", "3333", "333"), ("KWD", "33.335", "3.334")]
)
def test_retainage_is_kept_in_the_clubs_smallest_coin(
    api: Api, currency: str, price: str, expected: str
) -> None:
    club = api.of_new_club("stone-weir", currency)
    project_budget = a_budget_in(club, currency)
    line = a_line(project_budget, 1, "1", price, unit="each")
    order = an_order(club, project_budget, line, retainage_percent="10")
    assert withheld(invoiced(club, order, "I-1", billed("1", price)))[0] == expected


def a_budget_in(club: Api, currency: str) -> Document:
    project = a_project(club)
    a_scope_item(club, project, LUMP, [], stated("FEE", "1", "each"))
    edition = an_edition(club, [an_item("FEE", "100", currency, unit="each")])
    return budget_of(club, priced(club, project, edition))
