"""Quotes compared like with like, and what choosing does to the project's estimates."""

from datetime import UTC, datetime, timedelta
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
    line_of,
    lines_of,
    money,
    priced,
    stated,
)
from printed_formula import redo
from quote_factories import (
    a_quote,
    a_request,
    a_vendor,
    an_estimate,
    chosen,
    compared,
    lump,
    offered,
)

ALDER, BRIAR = "Alder Creek Sand and Gravel", "Briar Hill Sod Farm"
ROUNDED = ", rounded half up to the minor unit"


def asked_of_two(api: Api, *more: Document, **terms: Any) -> tuple[Document, Document, str, str]:
    """An estimate, and a request for its quantities to two vendors."""
    alder, briar, estimate = a_vendor(api, ALDER), a_vendor(api, BRIAR), an_estimate(api, *more)
    return estimate, a_request(api, estimate, alder, briar, **terms), alder, briar


def again(api: Api, estimate: Document) -> Document:
    """The project priced anew with the same edition."""
    return priced(api, estimate["project_id"], estimate["edition_id"])


def by_part(api: Api, estimate: Document, item: str) -> list[tuple[str, str, str]]:
    """Part, quantity and amount of the lines of an item."""
    return [
        (line["part"], line["quantity"], line["amount"]["amount"])
        for line in lines_of(api, estimate["id"])
        if line["item"] == item
    ]


def test_quotes_are_compared_on_the_same_quantities(api: Api) -> None:
    _, request, alder, briar = asked_of_two(api)
    a_quote(api, request, briar, offered("SAND", "39"), offered("SOD", "0.45"))
    low = a_quote(api, request, alder, offered("SAND", "36.10"), fixed_charge="250")
    found = compared(api, request)
    # Briar 150 x 39 + 900 x 0.45 = 6255; Alder 150 x 36.10 + 250 = 5665, and 900 x 0.60 = 540 left out.
    assert [(one["vendor"], one["rank"], one["levelled"]["amount"]) for one in found["quotes"]] == [
        (ALDER, 1, "6205.00"), (BRIAR, 2, "6255.00")
    ]  # fmt: skip
    first = found["quotes"][0]
    assert (first["quote_id"], first["quoted"]["amount"], first["added"]["amount"], first["expired"]) == (
        low["id"], "5665.00", "540.00", False
    )  # fmt: skip
    assert [(one["from_catalog"], one["words"]) for one in first["items"]] == [
        (False, "quoted at 36.10 a short ton"),
        (True, "left out: priced from the catalog at 0.60 a square foot"),
    ]
    assert first["notes"] == ["SOD left out: priced from the catalog at 0.60 a square foot"]
    assert (found["lowest_by_item"], found["best_single"]) == ({"SAND": ALDER, "SOD": BRIAR}, ALDER)
    assert (found["spread"]["amount"], found["warnings"]) == ("50.00", [])
    # Sand of Alder with its charge, sod of Briar: 5415 + 250 + 405.
    assert found["best_split"] == {
        "total": {"amount": "6070.00", "currency": "USD"}, "saved": {"amount": "135.00", "currency": "USD"},
        "items_by_vendor": {ALDER: ["SAND"], BRIAR: ["SOD"]}, "from_catalog": [],
        "words": "Every item is bought from a vendor whose quote holds, none at the catalog's price.",
    }  # fmt: skip


def test_a_split_says_what_the_catalog_stands_in_for(api: Api) -> None:
    _, request, alder, briar = asked_of_two(api)
    a_quote(api, request, alder, offered("SAND", "36"))
    assert compared(api, request)["best_split"]["words"] == (
        "No quote that holds offers SOD; it counts at the catalog's price."
    )
    # Sod is 0.60 in the catalog: 540.00. Briar asks 0.70 and comes for 10.00, which nobody undercuts.
    a_quote(api, request, briar, offered("SOD", "0.70"), fixed_charge="10")
    split = compared(api, request)["best_split"]
    assert (split["from_catalog"], split["items_by_vendor"]) == ([], {ALDER: ["SAND"], BRIAR: ["SOD"]})
    assert (split["total"]["amount"], split["saved"]["amount"]) == ("6040.00", "-100.00")
    assert split["words"] == (
        "Every item is bought from a vendor whose quote holds, none at the catalog's price. The total of "
        f"{ALDER} alone is lower only because what it leaves out counts there at the catalog's price, which no "
        "vendor offers."
    )


def test_each_levelled_total_can_be_redone_from_what_is_printed(api: Api) -> None:
    _, request, alder, _ = asked_of_two(api)
    a_quote(api, request, alder, offered("SAND", "36.105"), fixed_charge="99.99", discount_percent="1")
    (quote,) = compared(api, request)["quotes"]
    for step in quote["derivation"]:
        inputs = {figure["name"]: float(figure["value"]) for figure in step["inputs"]}
        found = redo(step["formula"].removesuffix(ROUNDED), inputs)
        assert abs(found - float(step["value"])) < 0.00501, step
    assert Decimal(quote["derivation"][-1]["value"]) == money(quote["levelled"])
    # 36.105 less 1 % is 35.74395; 150 tons of it 5361.5925, half up 5361.59.
    assert quote["items"][0]["unit_price"]["amount"] == "35.743950"
    assert quote["items"][0]["amount"]["amount"] == "5361.59"


def test_another_currency_is_compared_at_the_stated_rate(api: Api) -> None:
    _, request, alder, _ = asked_of_two(api)
    a_quote(
        api, request, alder, offered("SAND", "50"), lump("SOD", "600"), currency="CAD", exchange_rate="0.73",
        rate_source="Bank, 2026-06-20", discount_percent="10", fixed_charge="100",
    )  # fmt: skip
    (quote,) = compared(api, request)["quotes"]
    # 50 x 0.9 x 0.73 = 32.85; 600 x 0.9 x 0.73 = 394.20; 100 x 0.73, since the discount is not on it.
    assert [one["amount"] for one in quote["items"]] == [
        {"amount": "4927.50", "currency": "USD"}, {"amount": "394.20", "currency": "USD"}
    ]  # fmt: skip
    assert quote["quoted"]["amount"] == "5394.70"


def test_what_nobody_can_price_is_not_comparable(api: Api) -> None:
    _, request, alder, briar = asked_of_two(api, stated("LIME", "4", "short_ton"))
    a_quote(api, request, alder, offered("SAND", "1"), offered("SOD", "0.01"))
    a_quote(api, request, briar, offered("SAND", "39"), offered("SOD", "0.45"), offered("LIME", "80"))
    found = compared(api, request)
    assert [(one["vendor"], one["rank"]) for one in found["quotes"]] == [(BRIAR, 1), (ALDER, None)]
    assert (found["quotes"][1]["levelled"], found["best_single"]) == (None, BRIAR)
    assert "Not comparable: nothing says what LIME would cost." in found["quotes"][1]["notes"]
    assert found["best_split"]["items_by_vendor"] == {ALDER: ["SAND", "SOD"], BRIAR: ["LIME"]}


def test_a_catalog_price_in_another_currency_is_no_price_and_terms_are_told(api: Api) -> None:
    alder, briar = a_vendor(api, ALDER), a_vendor(api, BRIAR)
    edition = an_edition(
        api, [an_item("SAND", terms={"form": "purchase", "minimum_order": "20"})], publish=False
    )
    rate = {"exchange_rate": "0.73", "rate_date": "2026-01-01", "rate_source": "Bank"}
    terms = {"vendor_id": briar, "currency": "CAD", "mobilization": "0"} | rate
    api.created(f"/editions/{edition}/vendor-terms", terms)
    api.created(
        f"/editions/{edition}/items", an_item("SOD", "0.80", "CAD", unit="square_foot", vendor_id=briar)
    )
    assert api.post(f"/editions/{edition}/publish").status_code == 200
    project = a_project(api)
    resources = [stated("SAND", "40", "short_ton"), stated("SOD", "900", "square_foot")]
    a_scope_item(api, project, LUMP, [], *resources)
    request = a_request(api, priced(api, project, edition), alder, briar)
    a_quote(api, request, alder, offered("SAND", "36"))
    a_quote(api, request, briar, offered("SOD", "0.50"))
    found = compared(api, request)
    ranks = {
        one["vendor"]: (one["rank"], one["levelled"] and one["levelled"]["amount"]) for one in found["quotes"]
    }
    assert ranks == {BRIAR: (1, "1990.00"), ALDER: (None, None)}
    assert found["warnings"] == [
        "SAND counts at its unit price in the catalog, without its breaks, delivery and other terms.",
        "SOD counts as without a price in the catalog: its price there is in CAD.",
    ]


def test_an_expired_quote_is_flagged_on_the_day_that_is_asked_about(api: Api) -> None:
    _, request, alder, briar = asked_of_two(api)
    a_quote(api, request, alder, offered("SAND", "30"), offered("SOD", "0.45"), valid_until="2026-07-15")
    a_quote(api, request, briar, offered("SAND", "39"), offered("SOD", "0.45"))
    assert compared(api, request, "2026-07-15")["best_single"] == ALDER
    later = compared(api, request, "2026-07-16")
    assert [(one["rank"], one["expired"]) for one in later["quotes"]] == [(1, True), (2, False)]
    assert (later["best_single"], later["as_of"]) == (BRIAR, "2026-07-16")


def test_without_quotes_there_is_nothing_to_compare(api: Api) -> None:
    _, request, _, _ = asked_of_two(api)
    found = compared(api, request)
    assert (found["quotes"], found["best_single"], found["spread"], found["best_split"]) == (
        [],
        None,
        None,
        None,
    )
    assert found["warnings"] == ["No quote has been received."]


def test_a_choice_is_kept_with_its_reason_and_prices_the_project(api: Api) -> None:
    estimate, request, alder, briar = asked_of_two(api)
    quote = a_quote(
        api, request, alder, offered("SAND", "36.10"), offered("SOD", "0.55"), fixed_charge="250",
        valid_until="2099-12-31",
    )  # fmt: skip
    a_quote(api, request, briar, offered("SAND", "39"))
    after = chosen(api, request, quote)
    assert (after["status"], after["decided_by"]) == ("chosen", "Owner")
    assert after["reason"] == "Lowest on the same quantities."
    assert after["chosen"] == [{"quote_id": quote["id"], "items": []}]
    trail = api.get(f"/audit?subject=quote_request&subject_id={request['id']}").json()["items"]
    assert [entry["action"] for entry in trail] == ["chosen", "create"]
    new = again(api, estimate)
    lines = lines_of(api, new["id"])
    prices = [line for line in lines if line["part"] == "price"]
    assert [(line["item"], line["unit_price"]["amount"], line["amount"]["amount"]) for line in prices] == [
        ("SAND", "36.10", "3610.00"), ("SOD", "0.55", "495.00"), ("SAND", "36.10", "1805.00")
    ]  # fmt: skip
    assert {line["vendor"] for line in lines} == {ALDER}
    assert {line["price_source"] for line in lines} == {"quote"}
    mobilization = [money(line["amount"]) for line in lines if line["part"] == "mobilization"]
    assert (len(mobilization), sum(mobilization)) == (3, Decimal("250.00"))
    assert (new["complete"], new["total"]["amount"]) == (True, "6160.00")
    assert api.get(f"/estimates/{estimate['id']}").json() == estimate


def test_a_lump_sum_is_shared_over_the_lines_by_their_quantity(api: Api) -> None:
    estimate, request, alder, _ = asked_of_two(api)
    chosen(api, request, a_quote(api, request, alder, lump("SAND", "5000.01")))
    new = again(api, estimate)
    assert by_part(api, new, "SAND") == [("price", "1", "3333.34"), ("price", "1", "1666.67")]
    sod = next(line for line in lines_of(api, new["id"]) if line["item"] == "SOD")
    assert (sod["unit_price"]["amount"], sod["vendor"]) == ("0.60", None)
    assert [warning for warning in new["warnings"] if warning["gap"]] == []
    words = line_of(api, new["id"])["derivation"][-1]["formula"]
    assert words.startswith("lump sum x purchase quantity / quantity of all lines")


def test_an_award_can_be_split_and_each_vendor_comes_once(api: Api) -> None:
    estimate, request, alder, briar = asked_of_two(api)
    sand = a_quote(api, request, alder, offered("SAND", "36"), offered("SOD", "0.70"), fixed_charge="100")
    sod = a_quote(api, request, briar, offered("SAND", "39"), offered("SOD", "0.45"), fixed_charge="50")
    split = compared(api, request)["best_split"]
    chosen(api, request, (sand, ["SAND"]), (sod, ["SOD"]))
    new = again(api, estimate)
    vendors = {line["item"]: line["vendor"] for line in lines_of(api, new["id"])}
    assert vendors == {"SAND": ALDER, "SOD": BRIAR}
    assert new["total"]["amount"] == split["total"]["amount"] == "5955.00"


@pytest.mark.parametrize(
    ("awards", "pointers"),
    [
        ([("alder", ["SOD"])], ["/awards/0/items"]),
        ([("alder", ["GRAVEL"])], ["/awards/0/items"]),
        ([("alder", ["SAND", "SAND"])], ["/awards/0/items"]),
        ([("alder", []), ("briar", [])], ["/awards/1/items"]),
        ([("other", [])], ["/awards/0/quote_id"]),
    ],
)
def test_what_was_not_offered_or_is_awarded_already_is_refused(
    api: Api, awards: list[tuple[str, list[str]]], pointers: list[str]
) -> None:
    estimate, request, alder, briar = asked_of_two(api)
    other = a_request(api, estimate, alder)
    quotes = {
        "alder": a_quote(api, request, alder, offered("SAND", "36"), {"item": "SOD", "left_out": "None grown"}),
        "briar": a_quote(api, request, briar, offered("SAND", "39"), offered("SOD", "0.45")),
        "other": a_quote(api, other, alder, offered("SAND", "1")),
    }  # fmt: skip
    body = {
        "awards": [{"quote_id": quotes[name]["id"], "items": items} for name, items in awards],
        "reason": "Lowest",
    }
    path = f"/quote-requests/{request['id']}"
    response = api.post(f"{path}/choose", json=body)
    assert (response.status_code, response.json()["type"]) == (422, "/problems/invalid-values")
    assert [fault["pointer"] for fault in response.json()["faults"]] == pointers
    assert api.get(path).json() == request | {"received": 2}
    assert again(api, estimate)["total"] == estimate["total"]


def test_a_choice_needs_a_reason_and_an_award(api: Api) -> None:
    _, request, alder, _ = asked_of_two(api)
    award = {"quote_id": a_quote(api, request, alder, offered("SAND", "36"))["id"]}
    path = f"/quote-requests/{request['id']}/choose"
    for body in ({"awards": [award]}, {"awards": [award], "reason": " "}, {"awards": [], "reason": "Lowest"}):
        assert api.post(path, json=body).status_code == 400
    assert api.get(f"/quote-requests/{request['id']}").json()["status"] == "open"


def test_an_expired_quote_is_chosen_only_once_it_is_confirmed(api: Api) -> None:
    _, request, alder, _ = asked_of_two(api)
    today = datetime.now(UTC).date()
    received = {"received_on": (today - timedelta(days=40)).isoformat()}
    last = (today - timedelta(days=1)).isoformat()
    quote = a_quote(api, request, alder, offered("SAND", "36"), valid_until=last, **received)
    body = {"awards": [{"quote_id": quote["id"]}], "reason": "Lowest"}
    path = f"/quote-requests/{request['id']}"
    refused = api.post(f"{path}/choose", json=body)
    assert (refused.status_code, refused.json()["type"]) == (409, "/problems/wrong-state")
    assert f"expired on {last}" in refused.json()["detail"]
    assert api.get(path).json()["status"] == "open"
    confirmed = {name: quote[name] for name in ("vendor_id", "currency", "items")} | received
    later = confirmed | {"valid_until": (today + timedelta(days=30)).isoformat()}
    assert api.put(f"/quotes/{quote['id']}", json=later, headers={"If-Match": '"1"'}).status_code == 200
    assert api.post(f"{path}/choose", json=body).status_code == 200


def test_once_chosen_quotes_stay_until_the_request_is_reopened(api: Api) -> None:
    estimate, request, alder, briar = asked_of_two(api)
    quote = a_quote(api, request, alder, offered("SAND", "36"))
    chosen(api, request, quote)
    path, change = f"/quote-requests/{request['id']}", {"If-Match": '"1"'}
    body = {
        "vendor_id": briar,
        "received_on": "2026-06-20",
        "currency": "USD",
        "items": [offered("SAND", "35")],
    }
    assert api.post(f"{path}/quotes", json=body).status_code == 409
    assert api.delete(f"/quotes/{quote['id']}", headers=change).status_code == 409
    cheaper = again(api, estimate)
    assert cheaper["total"]["amount"] == "5940.00"
    opened = api.post(f"{path}/reopen", json={"reason": "Alder cannot deliver"}).json()
    assert (opened["status"], opened["chosen"], opened["reason"]) == ("open", [], "Alder cannot deliver")
    assert again(api, estimate)["total"] == estimate["total"]
    assert api.get(f"/estimates/{cheaper['id']}").json()["total"] == cheaper["total"]
    assert api.post(f"{path}/reopen", json={"reason": "Twice"}).status_code == 409
    chosen(api, request, api.created(f"{path}/quotes", body))
    assert again(api, estimate)["total"]["amount"] == "5790.00"


def test_a_later_choice_for_an_item_stays_when_the_earlier_one_is_given_up(api: Api) -> None:
    estimate, first, alder, briar = asked_of_two(api)
    second = a_request(api, estimate, briar, items=["SAND"])
    chosen(api, first, a_quote(api, first, alder, offered("SAND", "36"), offered("SOD", "0.50")))
    chosen(api, second, a_quote(api, second, briar, offered("SAND", "35")))
    assert again(api, estimate)["total"]["amount"] == "5700.00"
    reopened = api.post(f"/quote-requests/{first['id']}/reopen", json={"reason": "Sod is bad"})
    assert reopened.status_code == 200
    assert again(api, estimate)["total"]["amount"] == "5790.00"


def test_a_choice_is_of_its_project_alone(api: Api) -> None:
    estimate, request, alder, _ = asked_of_two(api)
    other = an_estimate(api)
    chosen(api, request, a_quote(api, request, alder, offered("SAND", "1")))
    assert again(api, other)["total"] == other["total"]
    assert again(api, estimate)["total"] != estimate["total"]
