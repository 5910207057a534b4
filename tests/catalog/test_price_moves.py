"""How prices move, through the API: two editions compared, one carried forward."""

import csv
import io
from typing import Any
from uuid import uuid4

import pytest
from catalog_factories import BREAKS, a_draft, a_vendor, put, vendor_terms_in
from conftest import Api
from price_move_factories import GRAVEL, SAND, Document, published, the_earlier, usd

SOD = "SOD"
PURCHASE = {
    "form": "purchase", "breaks": BREAKS, "minimum_charge": "250.00", "increment": "22", "increment_name": "load",
    "minimum_order": "44", "delivery": {"by": "load", "charge": "95.00", "load_size": "22"},
    "surcharges": [{"name": "Fuel", "percent": "4.5", "on": "delivery"}],
}  # fmt: skip


def item(api: Api, edition: str, code: str = SAND) -> Document:
    response = api.get(f"/editions/{edition}/items/{code}")
    assert response.status_code == 200, response.text
    document: Document = response.json()
    return document


def items(api: Api, edition: str) -> dict[str, str | None]:
    """The unit prices of an edition by code."""
    found = api.get(f"/editions/{edition}/items").json()["items"]
    return {
        one["code"]: one["unit_price"]["amount"] if one["unit_price"] is not None else None for one in found
    }


def compared(api: Api, edition: str, earlier: str, **more: Any) -> Any:
    return api.get(f"/editions/{edition}/comparison?earlier_edition_id={earlier}", **more)


def carry(api: Api, draft: str, source: str, **more: Any) -> Any:
    rate = {} if "index_series_id" in more else {"percent": "3.2"}
    return api.post(f"/editions/{draft}/carry-forward", json={"from_edition_id": source} | rate | more)


def carried(api: Api, draft: str, source: str, **more: Any) -> Document:
    response = carry(api, draft, source, **more)
    assert response.status_code == 200, response.text
    document: Document = response.json()
    return document


def faults(response: Any) -> list[str]:
    assert (response.status_code, response.json()["type"]) == (422, "/problems/invalid-values"), response.text
    return [fault["pointer"] for fault in response.json()["faults"]]


def an_index(api: Api, *values: tuple[str, str]) -> str:
    months = [{"month": month, "value": value} for month, value in values]
    body = {"name": "Inputs", "source": "Statistics office", "values": months}
    series_id: str = api.created("/index-series", body)["id"]
    return series_id


def two_editions(api: Api) -> tuple[str, str]:
    """Editions that differ in every way: SAND-TD is dearer, and SAME is the same."""
    before, after = a_draft(api, "Before"), a_draft(api, "After")
    for edition, price in [(before, "38.50"), (after, "39.73")]:
        put(api, edition, SAND, unit_price=usd(price))
        put(api, edition, "SAME")
    put(api, before, "GONE")
    put(api, after, "ADDED", unit_price=usd("4.00"))
    put(api, before, "UNIT", unit_price=usd("38.50"))
    put(api, after, "UNIT", unit_price=usd("42.44"), unit="metric_ton")
    put(api, before, "TERMS")
    put(api, after, "TERMS", terms=PURCHASE)
    put(api, before, "PRICED", unit_price=None)
    put(api, after, "PRICED")
    return before, after


def test_editions_are_compared_item_by_item(api: Api) -> None:
    before, after = two_editions(api)
    found = compared(api, after, before).json()
    assert (found["before"]["id"], found["after"]["id"]) == (before, after)
    assert [found[name] for name in ("added", "gone", "moved", "unchanged")] == [1, 1, 4, 1]
    moves = {move["code"]: move for move in found["moves"]}
    assert {code: move["what"] for code, move in moves.items()} == {
        "ADDED": "added", "GONE": "gone", "PRICED": "price", SAND: "price", "TERMS": "terms", "UNIT": "unit",
    }  # fmt: skip
    assert list(moves) == sorted(moves)
    # 39.73 / 38.50 - 1 = 3.1948 %
    sand = moves[SAND]
    assert (sand["before"], sand["after"], sand["change"]) == (usd("38.50"), usd("39.73"), usd("1.23"))
    assert sand["percent"] == "3.19"
    assert (moves["ADDED"]["before"], moves["ADDED"]["unit_before"]) == (None, None)
    assert (moves["GONE"]["after"], moves["GONE"]["unit_after"]) == (None, None)
    assert (moves["UNIT"]["unit_before"], moves["UNIT"]["unit_after"]) == ("short_ton", "metric_ton")
    for code in ("ADDED", "GONE", "PRICED", "TERMS", "UNIT"):
        assert (moves[code]["change"], moves[code]["percent"]) == (None, None)


def test_a_comparison_read_backwards_says_the_opposite(api: Api) -> None:
    before, after = two_editions(api)
    found = compared(api, before, after).json()
    assert [found[name] for name in ("added", "gone", "moved", "unchanged")] == [1, 1, 4, 1]
    (sand,) = (move for move in found["moves"] if move["code"] == SAND)
    # 38.50 / 39.73 - 1 = -3.0959 %
    assert (sand["change"]["amount"], sand["percent"]) == ("-1.23", "-3.10")
    assert compared(api, before, before).json()["moves"] == []


def test_a_price_from_zero_has_no_percentage(api: Api) -> None:
    before, after = a_draft(api, "Before"), a_draft(api, "After")
    put(api, before, unit_price=usd("0.00"), free=True)
    put(api, after)
    (move,) = compared(api, after, before).json()["moves"]
    assert (move["what"], move["change"], move["percent"]) == ("price", usd("38.50"), None)


def test_the_csv_face_of_a_comparison_says_the_same(api: Api) -> None:
    before, after = two_editions(api)
    response = compared(api, after, before, headers={"Accept": "text/csv"})
    assert response.headers["content-type"].startswith("text/csv")
    rows = {row["code"]: row for row in csv.DictReader(io.StringIO(response.text.removeprefix("\ufeff")))}
    moves = compared(api, after, before).json()["moves"]
    assert list(rows) == [move["code"] for move in moves]
    for move in moves:
        row = rows[move["code"]]
        for name in ("description", "what", "unit_before", "unit_after", "percent"):
            assert row[name] == (move[name] or "")
        for name in ("before", "after", "change"):
            assert row[name] == (move[name]["amount"] if move[name] else "")
        assert row["currency"] == "USD"


def test_what_cannot_be_compared_is_refused(api: Api) -> None:
    edition, stranger = a_draft(api), api.of_new_club("stone-weir")
    for other in (str(uuid4()), a_draft(stranger)):
        assert faults(compared(api, edition, other)) == ["earlier_edition_id"]
        assert compared(api, other, edition).status_code == 404
    assert api.get(f"/editions/{edition}/comparison").status_code == 400


def test_prices_are_carried_forward_by_a_percentage_as_estimates(api: Api) -> None:
    vendor = a_vendor(api)
    source = the_earlier(
        api, vendor_id=vendor, price_source="quote", priced_on="2025-02-20", valid_until="2025-12-31",
        low_price=usd("36"), high_price=usd("40"), reference="Letter of 20 February", note="Washed",
    )  # fmt: skip
    draft = a_draft(api)
    result = carried(api, draft, source)
    counted = [result[name] for name in ("added", "replaced", "left_alone", "without_price")]
    assert (counted, result["from_edition"], result["edition"]["id"]) == ([1, 0, 0, 0], "Spring 2025", draft)
    assert (result["percent"], result["percent_words"]) == ("3.2", "3.2 %, as stated")
    # 38.50 x 1.032 = 39.732; 36 x 1.032 = 37.152; 40 x 1.032 = 41.28
    sand, before = item(api, draft), item(api, source)
    assert [sand[name]["amount"] for name in ("unit_price", "low_price", "high_price")] == [
        "39.73", "37.15", "41.28"
    ]  # fmt: skip
    assert (sand["price_source"], sand["priced_on"], sand["valid_until"]) == ("estimate", "2026-03-01", None)
    assert (sand["vendor_id"], sand["note"], sand["version"]) == (vendor, "Washed", 1)
    assert sand["reference"].startswith("Letter of 20 February; carried forward from Spring 2025, 3.2 %")
    assert (before["unit_price"], before["price_source"]) == (usd("38.50"), "quote")
    trail = api.get(f"/audit?subject=edition&subject_id={draft}").json()["items"]
    assert [entry["action"] for entry in trail] == ["carry_forward", "create"]


def test_a_fall_never_makes_a_price_zero_and_what_has_none_gets_none(api: Api) -> None:
    source = a_draft(api, "Before")
    put(api, source, unit_price=usd("0.01"))
    put(api, source, GRAVEL, unit_price=None)
    put(api, source, SOD, unit_price=usd("0"), free=True)
    draft = a_draft(api)
    result = carried(api, draft, published(api, source), percent="-60")
    assert (result["added"], result["without_price"]) == (3, 1)
    assert items(api, draft) == {GRAVEL: None, SAND: "0.01", SOD: "0.00"}
    assert item(api, draft, SOD)["free"] is True


def test_prices_follow_an_index_from_month_to_month(api: Api) -> None:
    source, draft = the_earlier(api), a_draft(api)
    result = carried(
        api, draft, source, index_series_id=an_index(api, ("2025-03", "200"), ("2026-03", "210"))
    )
    # 210 / 200 - 1 = 5 %; 38.50 x 1.05 = 40.425
    assert float(result["percent"]) == 5
    assert result["percent_words"] == "Inputs, 2025-03 to 2026-03"
    assert items(api, draft) == {SAND: "40.43"}


@pytest.mark.parametrize("months", [("2025-03", "2026-02"), ("2025-04", "2026-03")])
def test_an_index_that_does_not_reach_is_refused_and_carries_nothing(
    api: Api, months: tuple[str, str]
) -> None:
    source, draft = the_earlier(api), a_draft(api)
    series = an_index(api, (months[0], "200"), (months[1], "210"))
    assert faults(carry(api, draft, source, index_series_id=series)) == ["/index_series_id"]
    assert items(api, draft) == {}


def test_an_index_leads_neither_back_nor_through_another_club(api: Api) -> None:
    stranger = api.of_new_club("stone-weir")
    source, draft = the_earlier(api), a_draft(api, "Older", price_date="2024-03-01")
    values = [("2024-03", "190"), ("2025-03", "200")]
    assert faults(carry(api, draft, source, index_series_id=an_index(api, *values))) == ["/from_edition_id"]
    for series in (str(uuid4()), an_index(stranger, *values)):
        assert faults(carry(api, draft, source, index_series_id=series)) == ["/index_series_id"]
    assert items(api, draft) == {}


def test_only_what_is_published_is_carried_and_only_into_a_draft(api: Api) -> None:
    source, draft, stranger = the_earlier(api), a_draft(api), api.of_new_club("stone-weir")
    for other in (draft, a_draft(api, "Another"), str(uuid4()), the_earlier(stranger)):
        assert faults(carry(api, draft, other)) == ["/from_edition_id"]
    target = a_draft(api, "Published")
    put(api, target, GRAVEL)
    published(api, target)
    refused = carry(api, target, source)
    assert (refused.status_code, refused.json()["type"]) == (409, "/problems/wrong-state")
    assert carry(api, str(uuid4()), source).status_code == 404
    assert (items(api, draft), items(api, target)) == ({}, {GRAVEL: "38.50"})
    assert carry(api.as_role("committee"), draft, source).status_code == 403


@pytest.mark.parametrize(
    "rate",
    [
        {"percent": "-100"}, {"percent": "1000.01"}, {"percent": 3.2}, {"percent": None},
        {"percent": "1", "index_series_id": str(uuid4())},
    ],
)  # fmt: skip
def test_one_rate_that_can_be_meant_is_asked_for(api: Api, rate: Document) -> None:
    source, draft = the_earlier(api), a_draft(api)
    assert carry(api, draft, source, **rate).status_code == 400
    assert items(api, draft) == {}


def test_items_of_the_draft_are_replaced_only_where_asked(api: Api) -> None:
    source, draft = the_earlier(api, SAND, GRAVEL), a_draft(api)
    put(api, draft, SAND, unit_price=usd("41.00"))
    result = carried(api, draft, source)
    assert [result[name] for name in ("added", "replaced", "left_alone")] == [1, 0, 1]
    assert items(api, draft) == {GRAVEL: "39.73", SAND: "41.00"}
    result = carried(api, draft, source, replace=True)
    assert [result[name] for name in ("added", "replaced", "left_alone")] == [0, 1, 1]
    assert items(api, draft) == {GRAVEL: "39.73", SAND: "39.73"}
    assert (item(api, draft)["version"], item(api, draft, GRAVEL)["version"]) == (2, 1)


def test_only_the_items_and_kinds_named_are_carried(api: Api) -> None:
    source = a_draft(api, "Before")
    for code in (SAND, GRAVEL):
        put(api, source, code)
    put(api, source, SOD, kind="sod", unit="square_foot")
    published(api, source)
    by_code, by_kind = a_draft(api, "By code"), a_draft(api, "By kind")
    assert carried(api, by_code, source, codes=[GRAVEL])["added"] == 1
    assert carried(api, by_kind, source, kinds=["sod"])["added"] == 1
    assert (list(items(api, by_code)), list(items(api, by_kind))) == ([GRAVEL], [SOD])
    assert faults(carry(api, by_code, source, codes=[SAND, "LIME"])) == ["/codes/1"]
    assert faults(carry(api, by_code, source, codes=[SAND], kinds=["sod"])) == ["/codes/0"]
    assert list(items(api, by_code)) == [GRAVEL]


def test_the_prices_in_terms_move_and_their_quantities_stay(api: Api) -> None:
    source, draft = the_earlier(api, terms=PURCHASE), a_draft(api)
    carried(api, draft, source, percent="10")
    before, terms = item(api, source)["terms"], item(api, draft)["terms"]
    assert [(tier["from_quantity"], tier["unit_price"]) for tier in terms["breaks"]["tiers"]] == [
        ("100", "39.60"), ("250", "37.95")
    ]  # fmt: skip
    assert (terms["minimum_charge"], terms["delivery"]["charge"]) == ("275.00", "104.50")
    assert terms["surcharges"] == before["surcharges"]
    for name in ("increment", "increment_name", "minimum_order"):
        assert terms[name] == before[name]


HANDS: Document = {
    "kind": "labor", "unit": "hour", "unit_price": None, "taxable": False,
    "terms": {
        "form": "labor", "year": 2026, "own_staff": True,
        "grades": [{"name": "Hand", "people": 1, "wage": "20.00", "hours_a_week": "40"}],
        "burden": [{"name": "Payroll tax", "percent": "7.65", "source": "IRS Publication 15"}],
    },
}  # fmt: skip


def test_a_build_up_is_carried_by_its_wages(api: Api) -> None:
    source, draft = the_earlier(api, "HANDS", **HANDS), a_draft(api)
    before = float(item(api, source, "HANDS")["unit_price"]["amount"])
    assert carried(api, draft, source, percent="10")["without_price"] == 0
    after = item(api, draft, "HANDS")
    assert after["terms"]["grades"][0]["wage"] == "22.00"
    assert float(after["unit_price"]["amount"]) == pytest.approx(before * 1.1, abs=0.011)


def test_vendors_terms_that_the_draft_lacks_come_along(api: Api) -> None:
    alder, briar = a_vendor(api), a_vendor(api, "Briar Hill Sod Farm")
    source, draft = a_draft(api, "Before"), a_draft(api)
    vendor_terms_in(api, source, alder, mobilization="450")
    vendor_terms_in(api, source, briar, mobilization="100")
    put(api, source, vendor_id=alder, unit_price={"amount": "52.00", "currency": "CAD"})
    published(api, source)
    kept = vendor_terms_in(api, draft, briar, mobilization="80")
    carried(api, draft, source, percent="10")
    sand, terms = item(api, draft), api.get(f"/editions/{draft}/vendor-terms/{alder}").json()
    assert sand["unit_price"] == {"amount": "57.20", "currency": "CAD"}
    assert (terms["mobilization"], terms["currency"], terms["exchange_rate"]) == ("495.00", "CAD", "0.7312")
    assert (terms["rate_date"], terms["version"]) == ("2026-02-27", 1)
    assert api.get(f"/editions/{draft}/vendor-terms/{briar}").json() == kept


def test_an_item_in_a_currency_that_the_draft_does_not_take_is_refused(api: Api) -> None:
    vendor, source, draft = a_vendor(api), a_draft(api, "Before"), a_draft(api)
    vendor_terms_in(api, source, vendor)
    put(api, source, vendor_id=vendor, unit_price={"amount": "52.00", "currency": "CAD"})
    published(api, source)
    vendor_terms_in(api, draft, vendor, currency="EUR", exchange_rate="1.08")
    refused = carry(api, draft, source)
    assert set(faults(refused)) == {"/from_edition_id"}
    assert all(fault["expected"].startswith("of SAND-TD: ") for fault in refused.json()["faults"])
    assert items(api, draft) == {}


@pytest.mark.parametrize(
    "more",
    [{"unit_price": usd("999999999999")}, {"terms": {"form": "purchase", "minimum_charge": "999999999999"}}],
)
def test_a_price_that_grows_past_what_can_be_meant_is_refused(api: Api, more: Document) -> None:
    source, draft = the_earlier(api, **more), a_draft(api)
    assert faults(carry(api, draft, source)) == ["/percent"]
    assert items(api, draft) == {}


def test_a_mobilization_that_grows_past_what_can_be_meant_is_refused(api: Api) -> None:
    vendor, source, draft = a_vendor(api), a_draft(api, "Before"), a_draft(api)
    vendor_terms_in(api, source, vendor, mobilization="999999999999")
    put(api, source)
    published(api, source)
    assert faults(carry(api, draft, source)) == ["/percent"]
    assert api.get(f"/editions/{draft}/vendor-terms").json()["items"] == []


def test_a_range_holds_its_price_after_rounding(api: Api) -> None:
    # 10.00 x 1.0034 = 10.034, to the cent 10.03; 9.9999 x 1.0034 = 10.0339: above it.
    source, draft = the_earlier(api, unit_price=usd("10.00"), low_price=usd("9.9999")), a_draft(api)
    carried(api, draft, source, percent="0.34")
    sand = item(api, draft)
    assert (sand["unit_price"]["amount"], sand["low_price"]["amount"]) == ("10.03", "10.03")


def test_the_range_of_a_build_up_holds_its_price_after_the_rise(api: Api) -> None:
    # A wage base set by law stays, so that the rate rises by less than its range, and falls by less.
    source = a_draft(api, "Before")
    burden = HANDS["terms"]["burden"][0] | {"bases": [{"year": 2026, "wages": "7000"}]}
    hands = HANDS | {"terms": HANDS["terms"] | {"burden": [burden]}}
    hands["terms"]["grades"] = [hands["terms"]["grades"][0] | {"earned_before": "6500"}]
    price = put(api, source, "HANDS", **hands)["unit_price"]
    put(api, source, "RANGED", **hands, low_price=price, high_price=price)
    published(api, source)
    for name, percent in [("Rise", "20"), ("Fall", "-3")]:
        draft = a_draft(api, name)
        carried(api, draft, source, percent=percent)
        ranged = item(api, draft, "RANGED")
        low, unit, high = (
            float(ranged[part]["amount"]) for part in ("low_price", "unit_price", "high_price")
        )
        assert low <= unit <= high
