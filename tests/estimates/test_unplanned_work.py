"""A pump fails in the middle of a closure: priced in one call, approved in another, and visible from then on."""

from decimal import Decimal
from typing import Any

import pytest
from conftest import Api
from estimate_factories import (
    LUMP,
    Document,
    a_project,
    a_scope_item,
    an_edition,
    an_item,
    budget_of,
    money,
    priced,
    rounded,
    stated,
)

TAX = {"kind": "tax", "percent": "7.25"}
RESERVE = {"kind": "contingency", "percent": "20", "account": "1599"}


def a_budget(api: Api, *markups: Document) -> Document:
    """1,000.00 of sand over September and October, with contingency."""
    project = a_project(api, starts_on="2026-09-01", ends_on="2026-10-31")
    a_scope_item(api, project, LUMP, [], stated("SAND", "25", "short_ton"))
    items = [
        an_item("SAND", "40"),
        an_item("PUMP", "95.55", unit="each", account="1700"),
        an_item("PIPE", "1.333", unit="foot", account="1700"),
        an_item("FITTER", "60", unit="hour", taxable=False, account=None),
        an_item("WELL", None, unit="each"),
        an_item(
            "CRANE", None, unit="hour", kind="rental", taxable=False,
            terms={"form": "rental", "periods": [{"name": "day", "days": 1, "price": "80"}]},
        ),
    ]  # fmt: skip
    return budget_of(api, priced(api, project, an_edition(api, items), *(markups or (RESERVE,))))


def an_item_of(code: str, value: str, unit: str) -> Document:
    return {"item": code, "quantity": {"value": value, "unit": unit}}


def an_allowance(description: str, amount: str, currency: str = "USD") -> Document:
    return {"description": description, "amount": {"amount": amount, "currency": currency}}


def report(api: Api, budget: Document, *entries: Document, status: int = 201, **more: Any) -> Document:
    body = {
        "name": "Pump station repair", "what_happened": "The main pump seized.", "happened_on": "2026-09-20",
        "account": "1700-5", "entries": list(entries),
    } | more  # fmt: skip
    response = api.post(f"/budgets/{budget['id']}/unplanned-work", json=body)
    assert response.status_code == status, response.text
    document: Document = response.json()
    return document


def approved(api: Api, found: Document, status: int = 200) -> Document:
    response = api.post(f"/adjustments/{found['adjustment']['id']}/approve", json={})
    assert response.status_code == status, response.text
    document: Document = response.json()
    return document


def redone_by_hand(found: Document) -> None:
    """quantity x price = amount on every line, and lines and markups are the total and the adjustment."""
    for line in found["lines"]:
        product = Decimal(line["quantity"]) * money(line["unit_price"])
        assert rounded(product, "USD") == money(line["amount"]), line
        assert line["derivation"], line
    for markup in found["markups"]:
        assert rounded(money(markup["base"]) * Decimal(markup["percent"]) / 100, "USD") == money(
            markup["amount"]
        )
    lines = sum(money(line["amount"]) for line in found["lines"])
    assert lines + sum(money(markup["amount"]) for markup in found["markups"]) == money(found["total"])
    assert money(found["from_contingency"]) + money(found["new_money"]) == money(found["total"])
    entries = found["adjustment"]["entries"]
    assert sum(money(one["amount"]) for one in entries if one["new_line"]) == money(found["total"])
    assert -sum(money(one["amount"]) for one in entries if not one["new_line"]) == money(
        found["from_contingency"]
    )


def lines_at(api: Api, budget: Document) -> list[Document]:
    lines: list[Document] = api.get(f"/budgets/{budget['id']}/lines?on=2026-12-31").json()["lines"]
    return lines


def test_two_calls_price_the_repair_and_give_it_its_money(api: Api) -> None:
    budget = a_budget(api)
    found = report(
        api, budget, an_item_of("PUMP", "1", "each"), an_allowance("Electrician", "35.05"),
        an_item_of("PIPE", "2", "yard"),
    )  # fmt: skip
    redone_by_hand(found)
    assert [(line["number"], line["item"], line["quantity"], line["amount"]["amount"]) for line in found["lines"]] == [
        (1, "PUMP", "1", "95.55"), (2, None, "1", "35.05"), (3, "PIPE", "6.00", "8.00"),
    ]  # fmt: skip
    adjustment = found["adjustment"]
    assert (adjustment["kind"], adjustment["status"], adjustment["unplanned"]) == (
        "contingency_draw",
        "proposed",
        True,
    )
    assert adjustment["reason"] == "Pump station repair: The main pump seized."
    assert len(lines_at(api, budget)) == 2
    approved(api, found)
    repair = lines_at(api, budget)[2]
    assert (repair["label"], repair["account"], repair["unplanned"]) == (
        "Pump station repair",
        "1700-5",
        True,
    )
    assert (repair["current"], repair["original"]["amount"]) == (found["total"], "0.00")
    log = api.get(f"/budgets/{budget['id']}/contingency").json()
    assert (log["moves"][0]["unplanned"], log["moves"][0]["given_to"]) == (True, ["Pump station repair"])
    assert money(log["left"]) == 200 - money(found["total"])


def test_it_stays_visible_with_what_became_of_it(api: Api) -> None:
    budget = a_budget(api)
    found = [report(api, budget, an_allowance("Crane", "10"), name=f"Repair {n}") for n in range(3)]
    done = approved(api, found[0])
    declined = api.post(f"/adjustments/{found[1]['adjustment']['id']}/decline", json={}).json()
    listed = api.get(f"/budgets/{budget['id']}/unplanned-work").json()["items"]
    assert [one["adjustment"] for one in listed] == [done, declined, found[2]["adjustment"]]
    assert api.get(f"/unplanned-work/{found[0]['id']}").json() == found[0] | {"adjustment": done}
    page = api.get(f"/budgets/{budget['id']}/unplanned-work?limit=2")
    assert api.get(page.links["next"]["url"]).json()["items"] == listed[2:]
    trail = api.get(f"/audit?subject=unplanned_work&subject_id={found[0]['id']}").json()["items"]
    assert (trail[0]["action"], trail[0]["after"]["total_minor"]) == ("price", 1000)
    stranger = api.of_new_club("stone-weir")
    assert stranger.get(f"/unplanned-work/{found[0]['id']}").status_code == 404
    assert report(stranger, budget, an_allowance("Crane", "10"), status=404)["status"] == 404


def test_it_is_taxed_as_the_estimate_is_and_bears_no_other_markup(api: Api) -> None:
    budget = a_budget(api, TAX, {"kind": "overhead", "percent": "5"}, RESERVE)
    found = report(
        api,
        budget,
        an_item_of("PUMP", "1", "each"),
        an_item_of("FITTER", "1", "hour"),
        an_allowance("Crane", "20"),
    )
    redone_by_hand(found)
    assert [(one["kind"], one["base"]["amount"], one["amount"]["amount"]) for one in found["markups"]] == [
        ("tax", "95.55", "6.93")
    ]
    assert (found["markups"][0]["account"], found["total"]["amount"]) == ("1700-5", "182.48")


def test_one_item_gives_its_line_a_quantity_and_days_give_it_months(api: Api) -> None:
    budget = a_budget(api)
    found = report(
        api, budget, an_item_of("PIPE", "60.5", "foot"), happened_on="2026-09-21", ends_on="2026-10-10"
    )
    redone_by_hand(found)
    approved(api, found)
    line = lines_at(api, budget)[-1]
    assert (line["adjusted_quantity"], line["unit"], line["current"]["amount"]) == ("60.50", "foot", "80.65")
    assert line["unit_price"]["amount"] == "1.333058"  # 80.65 / 60.50
    months = {one["month"]: one["current"]["amount"] for one in line["months"]}
    assert {month: amount for month, amount in months.items() if amount != "0.00"} == {
        "2026-09": "40.33", "2026-10": "40.32",
    }  # fmt: skip


def test_hired_machines_are_priced_by_their_terms(api: Api) -> None:
    crane = an_item_of("CRANE", "9", "hour")
    found = report(api, a_budget(api), crane, happened_on="2026-09-21", ends_on="2026-09-22")
    redone_by_hand(found)
    hired = found["lines"][0]
    assert (hired["part"], hired["quantity"], hired["amount"]["amount"]) == ("rental", "2", "160.00")


def test_contingency_that_does_not_reach_is_said_before_anything_is_proposed(api: Api) -> None:
    budget = a_budget(api)
    fault = report(api, budget, an_allowance("New well", "250"), status=422)["faults"][0]
    assert fault["pointer"] == "/beyond_contingency"
    assert "at most 200.00 USD" in fault["expected"]
    assert api.get(f"/budgets/{budget['id']}/adjustments").json()["items"] == []
    assert api.get(f"/budgets/{budget['id']}/unplanned-work").json()["items"] == []
    found = report(api, budget, an_allowance("New well", "250"), beyond_contingency=True)
    redone_by_hand(found)
    assert (found["adjustment"]["kind"], found["new_money"]["amount"]) == ("change_order", "50.00")
    assert (found["adjustment"]["net"]["amount"], found["adjustment"]["unplanned"]) == ("50.00", True)
    approved(api, found)
    assert api.get(f"/budgets/{budget['id']}/contingency").json()["left"]["amount"] == "0.00"
    assert api.get(f"/budgets/{budget['id']}").json()["current_total"]["amount"] == "1250.00"
    more = report(api, budget, an_allowance("Another", "10"), beyond_contingency=True)
    assert (more["from_contingency"]["amount"], more["new_money"]["amount"]) == ("0.00", "10.00")


def test_a_second_failure_leaves_what_the_first_is_to_be_paid_from(api: Api) -> None:
    budget = a_budget(api)
    first, second = (report(api, budget, an_allowance("Repair", "90")) for _ in range(2))
    approved(api, second)
    approved(api, first)
    assert api.get(f"/budgets/{budget['id']}/contingency").json()["left"]["amount"] == "20.00"
    third, fourth = (report(api, budget, an_allowance("Repair", "15")) for _ in range(2))
    approved(api, fourth)
    assert approved(api, third, 409)["type"] == "/problems/wrong-state"


def test_emergency_limits_hold_for_it(api: Api) -> None:
    budget = a_budget(api)
    usd = {"amount": "5", "currency": "USD"}, {"amount": "50", "currency": "USD"}
    limits = [{"role": "superintendent", "up_to": usd[0], "emergency_up_to": usd[1]}]
    assert (
        api.put("/approval-limits", json={"limits": limits}, headers={"If-Match": '"1"'}).status_code == 200
    )
    superintendent = api.as_role("superintendent")
    found = report(superintendent, budget, an_allowance("Repair", "50"))
    assert approved(superintendent, found)["status"] == "approved"
    found = report(superintendent, budget, an_allowance("Repair", "50.01"))
    assert "up to 50 USD" in approved(superintendent, found, 403)["detail"]
    assert report(api.as_role("committee"), budget, an_allowance("Repair", "5"), status=403)["status"] == 403


@pytest.mark.parametrize(
    ("entries", "pointer"),
    [
        ([an_allowance("a", "1"), an_item_of("NONE", "1", "each")], "/entries/1/item"),
        ([an_item_of("PUMP", "1", "each"), an_item_of("WELL", "1", "each")], "/entries/1/item"),
        ([an_allowance("a", "1"), an_item_of("PUMP", "1", "foot")], "/entries/1"),
        ([an_item_of("PUMP", "1", "cubit")], "/entries/0/quantity/unit"),
        ([an_item_of("PUMP", "0", "each")], "/entries"),
        ([an_allowance("a", "0")], "/entries/0/amount/amount"),
        ([an_allowance("a", "-5")], "/entries/0/amount/amount"),
        ([an_allowance("a", "5", "EUR")], "/entries/0/amount/currency"),
        ([an_allowance("a", "5.001")], "/entries/0/amount/amount"),
    ],
)
def test_what_cannot_be_priced_is_pointed_at_and_nothing_is_proposed(
    api: Api, entries: list[Document], pointer: str
) -> None:
    budget = a_budget(api)
    problem = report(api, budget, *entries, status=422)
    assert [fault["pointer"] for fault in problem["faults"]] == [pointer]
    assert api.get(f"/budgets/{budget['id']}/adjustments").json()["items"] == []


def test_an_entry_is_an_item_or_an_allowance_and_days_are_in_order(api: Api) -> None:
    budget = a_budget(api)
    both = an_item_of("PUMP", "1", "each") | an_allowance("a", "1")
    assert report(api, budget, both, status=400)["faults"][0]["pointer"] == "/entries/0"
    assert report(api, budget, {"item": "PUMP"}, status=400)["faults"][0]["pointer"] == "/entries/0"
    assert report(api, budget, an_allowance("a", "1"), status=400, ends_on="2026-09-19")["faults"]
