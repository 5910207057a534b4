"""What chosen quotes do to an estimate: fixed charges once a quote, units of later editions, lump sums that no longer
fit."""

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
    redo_by_hand,
    stated,
)
from quote_factories import a_quote, a_request, a_vendor, an_estimate, chosen, lump, offered

ALDER = "Alder Creek Sand and Gravel"


def again(api: Api, estimate: Document, edition: str | None = None) -> Document:
    """The project priced anew, with the same edition unless another is named; its sums redone."""
    new = priced(api, estimate["project_id"], edition or estimate["edition_id"])
    redo_by_hand(api, new)
    return new


def fixed(api: Api, estimate: Document) -> list[tuple[str, str, str]]:
    """Item, words and amount of the lines that share what is charged once."""
    return [
        (line["item"], line["description"].partition(": ")[2], line["amount"]["amount"])
        for line in lines_of(api, estimate["id"])
        if line["part"] == "mobilization"
    ]


def doubts(estimate: Document, *kinds: str) -> list[str]:
    return [one["message"] for one in estimate["warnings"] if one["kind"] in kinds]


def test_each_of_two_quotes_of_one_vendor_brings_its_own_fixed_charge(api: Api) -> None:
    alder, estimate = a_vendor(api, ALDER), an_estimate(api)
    sand = a_request(api, estimate, alder, name="Sand", items=["SAND"])
    sod = a_request(api, estimate, alder, name="Sod", items=["SOD"])
    chosen(
        api, sand, a_quote(api, sand, alder, offered("SAND", "36"), fixed_charge="250", reference="sand.pdf")
    )
    chosen(api, sod, a_quote(api, sod, alder, offered("SOD", "0.50"), fixed_charge="90"))
    new = again(api, estimate)
    # 150 x 36 + 900 x 0.50 = 5850, and 250 + 90; sand is for the tees and the bunkers, 100 and 50 tons.
    assert (new["total"]["amount"], new["complete"]) == ("6190.00", True)
    assert fixed(api, new) == [
        ("SAND", f"Fixed charge, quote of {ALDER} for Sand, sand.pdf", "166.67"),
        ("SOD", f"Fixed charge, quote of {ALDER} for Sod", "90.00"),
        ("SAND", f"Fixed charge, quote of {ALDER} for Sand, sand.pdf", "83.33"),
    ]
    number = next(one["number"] for one in lines_of(api, new["id"]) if one["amount"]["amount"] == "83.33")
    step = line_of(api, new["id"], number)["derivation"][-1]
    assert step["source"].startswith(f"the quote of {ALDER} for Sand, sand.pdf")


def test_a_quote_is_charged_once_however_many_visits_its_items_are_on(api: Api) -> None:
    alder, edition, project = a_vendor(api, ALDER), an_edition(api, [an_item("SAND")]), a_project(api)
    for visit in ("1", "2"):
        a_scope_item(api, project, LUMP, [], stated("SAND", "10", "short_ton", visit=visit))
    request = a_request(api, priced(api, project, edition), alder)
    chosen(api, request, a_quote(api, request, alder, offered("SAND", "36"), fixed_charge="250"))
    new = priced(api, project, edition)
    assert new["total"]["amount"] == "970.00"
    assert sum(Decimal(amount) for _, _, amount in fixed(api, new)) == 250


def a_vendor_with_mobilization(api: Api) -> tuple[str, str, str]:
    """Alder, who charges 400 a visit, a project with its sand on visit 1 and its gravel on visit 2, and the edition."""
    alder = a_vendor(api, ALDER)
    items = [an_item("SAND", vendor_id=alder), an_item("GRAVEL", "20", vendor_id=alder)]
    edition = an_edition(api, items, publish=False)
    terms = {"vendor_id": alder, "currency": "USD", "mobilization": "400"}
    api.created(f"/editions/{edition}/vendor-terms", terms)
    assert api.post(f"/editions/{edition}/publish").status_code == 200
    project = a_project(api)
    a_scope_item(api, project, LUMP, [], stated("SAND", "10", "short_ton", visit="1"))
    a_scope_item(api, project, LUMP, [], stated("GRAVEL", "10", "short_ton", visit="2"))
    return alder, project, edition


def test_a_visit_with_nothing_of_a_quote_is_mobilized_as_the_edition_says(api: Api) -> None:
    alder, project, edition = a_vendor_with_mobilization(api)
    request = a_request(api, priced(api, project, edition), alder, items=["SAND"])
    chosen(api, request, a_quote(api, request, alder, offered("SAND", "36"), fixed_charge="250"))
    new = priced(api, project, edition)
    assert [(item, amount) for item, _, amount in fixed(api, new)] == [
        ("SAND", "250.00"),
        ("GRAVEL", "400.00"),
    ]


def test_a_visit_that_a_quote_pays_for_is_not_mobilized_again(api: Api) -> None:
    alder, project, edition = a_vendor_with_mobilization(api)
    a_scope_item(api, project, LUMP, [], stated("GRAVEL", "5", "short_ton", visit="1"))
    request = a_request(api, priced(api, project, edition), alder, items=["SAND"])
    chosen(api, request, a_quote(api, request, alder, offered("SAND", "36"), fixed_charge="250"))
    new = priced(api, project, edition)
    assert [(item, amount) for item, _, amount in fixed(api, new)] == [
        ("SAND", "250.00"),
        ("GRAVEL", "400.00"),
    ]


def test_of_a_quote_that_another_replaced_for_one_item_the_charge_stays_with_the_other(api: Api) -> None:
    alder, estimate = a_vendor(api, ALDER), an_estimate(api)
    both, later = (
        a_request(api, estimate, alder),
        a_request(api, estimate, alder, items=["SAND"], name="Later"),
    )
    quote = a_quote(api, both, alder, offered("SAND", "36"), offered("SOD", "0.50"), fixed_charge="100")
    chosen(api, both, quote)
    chosen(api, later, a_quote(api, later, alder, offered("SAND", "35"), fixed_charge="30"))
    new = again(api, estimate)
    sums: dict[str, Decimal] = {}
    for item, _, amount in fixed(api, new):
        sums[item] = sums.get(item, Decimal(0)) + Decimal(amount)
    assert sums == {"SAND": 30, "SOD": 100}
    # 150 x 35 + 900 x 0.50 + 130
    assert new["total"]["amount"] == "5830.00"


def chosen_sand(api: Api, *items: Document, **more: Any) -> Document:
    """The estimate whose sand was chosen, at 36 a short ton unless something else is quoted."""
    alder, estimate = a_vendor(api, ALDER), an_estimate(api)
    request = a_request(api, estimate, alder, items=["SAND"])
    chosen(api, request, a_quote(api, request, alder, *items or [offered("SAND", "36")], **more))
    return estimate


def later_edition(api: Api, sand_unit: str) -> str:
    sod = an_item("SOD", "0.60", unit="square_foot", kind="sod")
    return an_edition(api, [an_item("SAND", "44", unit=sand_unit), sod])


def test_an_offer_by_another_unit_of_the_same_kind_is_bought_by_its_own_unit(api: Api) -> None:
    estimate = chosen_sand(api)
    new = again(api, estimate, later_edition(api, "metric_ton"))
    lines = [
        (line["quantity"], line["unit"], line["unit_price"]["amount"], line["amount"]["amount"])
        for line in lines_of(api, new["id"])
        if line["item"] == "SAND"
    ]
    assert lines == [("100.00", "short_ton", "36.00", "3600.00"), ("50.00", "short_ton", "36.00", "1800.00")]
    assert (new["complete"], doubts(new, "offer_unit")) == (True, [])


def test_an_offer_that_cannot_be_converted_is_flagged_and_not_used(api: Api) -> None:
    project, alder = a_project(api), a_vendor(api, ALDER)
    a_scope_item(api, project, LUMP, [], stated("SAND", "3", "cubic_yard"), name="Tees")
    by_volume = an_edition(api, [an_item("SAND", "50", unit="cubic_yard")])
    request = a_request(api, priced(api, project, by_volume), alder)
    chosen(api, request, a_quote(api, request, alder, offered("SAND", "36"), fixed_charge="250"))
    for item in api.get(f"/projects/{project}/scope-items").json()["items"]:
        gone = api.delete(f"/scope-items/{item['id']}", headers={"If-Match": f'"{item["version"]}"'})
        assert gone.status_code == 204
    a_scope_item(api, project, LUMP, [], stated("SAND", "4", "short_ton"), name="Tees")
    new = priced(api, project, an_edition(api, [an_item("SAND", "44")]))
    redo_by_hand(api, new)
    assert (new["total"]["amount"], new["complete"], fixed(api, new)) == ("176.00", False, [])
    (warning,) = [one for one in new["warnings"] if one["kind"] == "offer_unit"]
    assert (warning["gap"], warning["line"]) == (True, 1)
    assert warning["message"] == (
        f"SAND was offered by {ALDER} by cubic yard, and the edition sells it by short ton, into which that cannot be "
        "converted; the offer chosen is not used."
    )
    assert api.post(f"/estimates/{new['id']}/issue", json={}).status_code == 409
    assert api.get(f"/estimates/{new['id']}/quality").json()["choices"] == []


def more_sand(api: Api, estimate: Document, tons: str, name: str = "Approaches") -> Document:
    """The estimate priced anew with a further scope item."""
    a_scope_item(api, estimate["project_id"], LUMP, [], stated("SAND", tons, "short_ton"), name=name)
    return again(api, estimate)


def test_a_lump_sum_for_a_quantity_that_moved_too_far_is_doubted_with_both_quantities(api: Api) -> None:
    estimate = chosen_sand(api, lump("SAND", "5000"))
    assert doubts(again(api, estimate), "offer_quantity", "offer_scope") == []
    new = more_sand(api, estimate, "15.01")
    assert doubts(new, "offer_quantity") == [
        f"The lump sum of {ALDER} for SAND was offered for 150.00 short ton; the scope now needs 165.01, 15.01 more, "
        "and it holds within 10 %."
    ]
    assert all(not one["gap"] for one in new["warnings"] if one["kind"].startswith("offer_"))
    assert (new["complete"], new["total"]["amount"]) == (True, "5540.00")


@pytest.mark.parametrize(
    ("holds", "tons", "doubted"),
    [("20", "30", False), ("20", "30.01", True), ("0", "0.01", True), ("10", "15", False)],
)
def test_a_lump_sum_holds_within_the_percentage_that_its_quote_states(
    api: Api, holds: str, tons: str, doubted: bool
) -> None:
    estimate = chosen_sand(api, lump("SAND", "5000"), lump_sum_holds_percent=holds)
    assert bool(doubts(more_sand(api, estimate, tons), "offer_quantity")) is doubted


def test_a_lump_sum_for_more_than_is_needed_now_is_doubted_too(api: Api) -> None:
    estimate = chosen_sand(api, lump("SAND", "5000"))
    items = api.get(f"/projects/{estimate['project_id']}/scope-items").json()["items"]
    (bunkers,) = [item for item in items if item["name"] == "Bunkers"]
    assert api.delete(f"/scope-items/{bunkers['id']}", headers={"If-Match": '"1"'}).status_code == 204
    assert doubts(again(api, estimate), "offer_quantity", "offer_scope") == [
        f"The lump sum of {ALDER} for SAND was offered for 150.00 short ton; the scope now needs 100.00, 50.00 less, "
        "and it holds within 10 %."
    ]


def test_a_scope_item_that_a_lump_sum_was_not_offered_for_is_named_however_small(api: Api) -> None:
    estimate = chosen_sand(api, lump("SAND", "5000"))
    new = more_sand(api, estimate, "2", "Approaches")
    assert doubts(new, "offer_quantity", "offer_scope") == [
        f"The lump sum of {ALDER} for SAND was offered for 150.00 short ton, without Approaches, which needs 2.00 of "
        "it."
    ]
    (warning,) = [one for one in new["warnings"] if one["kind"] == "offer_scope"]
    line = line_of(api, new["id"], warning["line"])
    assert (line["scope_item"], line["scope_item_id"]) == ("Approaches", warning["scope_item_id"])


def test_a_unit_price_holds_whatever_the_quantity(api: Api) -> None:
    new = more_sand(api, chosen_sand(api), "500")
    assert doubts(new, "offer_quantity", "offer_scope") == []
    assert sum(money(line["amount"]) for line in lines_of(api, new["id"]) if line["item"] == "SAND") == 23400
