"""What vendors are asked for: the quantities behind an estimate's charges, and what is left out."""

from datetime import UTC, date, datetime
from typing import Any
from uuid import UUID, uuid4

import pytest
from conftest import Api
from estimate_factories import (
    LUMP,
    TOPDRESSING,
    Document,
    a_course,
    a_project,
    a_scope_item,
    an_area,
    an_edition,
    an_item,
    by_measure,
    priced,
    stated,
)
from quote_factories import (
    a_quote,
    a_request,
    a_vendor,
    an_estimate,
    chosen,
    lump,
    offered,
    quote_body,
    request_body,
)
from sqlalchemy import MetaData, update
from swardcost_api.estimates.tables import EstimateLineRow
from swardcost_api.storage import migration
from swardcost_api.storage.database import Database


def asked(request: Document) -> list[tuple[str, str, str]]:
    return [(one["item"], one["quantity"], one["unit"]) for one in request["items"]]


def left_out(request: Document) -> dict[str, str]:
    return {one["item"]: one["why"] for one in request["left_out"]}


def faults(response: Any) -> list[str]:
    assert (response.status_code, response.json()["type"]) == (422, "/problems/invalid-values"), response.text
    return [fault["pointer"] for fault in response.json()["faults"]]


def test_an_estimate_priced_by_a_lump_sum_is_asked_for_by_the_quantity_behind_it(api: Api) -> None:
    vendor, estimate = a_vendor(api, "Alder"), an_estimate(api)
    first = a_request(api, estimate, vendor)
    chosen(api, first, a_quote(api, first, vendor, lump("SAND", "5000"), offered("SOD", "0.50")))
    by_lump = priced(api, estimate["project_id"], estimate["edition_id"])
    second = a_request(api, by_lump, vendor)
    assert (
        asked(second) == asked(first) == [("SAND", "150.00", "short_ton"), ("SOD", "900.00", "square_foot")]
    )
    assert [one["description"] for one in second["items"]] == ["SAND, as quoted", "SOD, as quoted"]
    assert second["left_out"] == []


def test_breaks_and_what_comes_with_a_price_do_not_change_what_is_asked_for(api: Api) -> None:
    tiers = [{"from_quantity": "50", "unit_price": "36"}]
    terms = {
        "form": "purchase", "breaks": {"apply": "each_tier", "tiers": tiers}, "minimum_charge": "9000",
        "delivery": {"by": "load", "load_size": "22", "charge": "145"},
    }  # fmt: skip
    project, vendor = a_project(api), a_vendor(api, "Alder")
    a_scope_item(api, project, LUMP, [], stated("SAND", "80", "short_ton"))
    estimate = priced(api, project, an_edition(api, [an_item("SAND", terms=terms)]))
    (sand,) = a_request(api, estimate, vendor)["items"]
    assert (sand["quantity"], sand["description"]) == ("80.00", "SAND, as quoted")


def test_what_is_priced_by_the_lump_sum_is_asked_for_as_one(api: Api) -> None:
    project, vendor = a_project(api), a_vendor(api, "Alder")
    a_scope_item(api, project, LUMP, [], by_measure("DRAINS", "quantity"))
    drains = an_item("DRAINS", "8000", unit="lump_sum", kind="contract")
    request = a_request(api, priced(api, project, an_edition(api, [drains])), vendor)
    assert asked(request) == [("DRAINS", "1", "lump_sum")]


def test_scope_items_that_need_an_item_are_named(api: Api) -> None:
    vendor, estimate = a_vendor(api, "Alder"), an_estimate(api)
    items = api.get(f"/projects/{estimate['project_id']}/scope-items").json()["items"]
    ids = {item["name"]: item["id"] for item in items}
    sand, sod = a_request(api, estimate, vendor)["items"]
    assert sand["scope_item_ids"] == [ids["Tees"], ids["Bunkers"]]
    assert sod["scope_item_ids"] == [ids["Tees"]]


def test_what_is_not_needed_is_left_out_and_said_so(api: Api) -> None:
    vendor, estimate = a_vendor(api, "Alder"), an_estimate(api, stated("LIME", "0", "short_ton"))
    request = a_request(api, estimate, vendor)
    assert [code for code, _, _ in asked(request)] == ["SAND", "SOD"]
    assert request["left_out"] == [
        {"item": "LIME", "description": "LIME, as quoted", "why": "The estimate needs none of it."}
    ]
    assert api.get(f"/quote-requests/{request['id']}").json() == request
    refused = api.post("/quote-requests", json=request_body(estimate, vendor, items=["SAND", "LIME"]))
    assert faults(refused) == ["/items/1"]
    assert refused.json()["faults"][0]["got"] == "LIME: The estimate needs none of it."
    assert a_request(api, estimate, vendor, items=["SAND"])["left_out"] == []


def test_what_is_not_measured_is_left_out_and_said_so(api: Api) -> None:
    project, vendor, course = a_project(api), a_vendor(api, "Alder"), a_course(api)
    sized, unsized = an_area(api, course), an_area(api, course, None)
    sand, dye = by_measure("SAND", "sand_mass"), by_measure("DYE", "sand_mass")
    a_scope_item(api, project, TOPDRESSING, [sized], sand, name="First")
    a_scope_item(api, project, TOPDRESSING, [unsized], sand, dye, name="Second")
    estimate = priced(api, project, an_edition(api, [an_item("SAND"), an_item("DYE")]))
    request = a_request(api, estimate, vendor)
    assert asked(request) == [("SAND", "6.25", "short_ton")]
    assert left_out(request) == {
        "DYE": "No area that needs it has a size.",
        "SAND": "What Second needs of it is not known, since no area there has a size.",
    }


def test_an_estimate_that_needs_nothing_asks_nobody(api: Api) -> None:
    project, vendor = a_project(api), a_vendor(api, "Alder")
    a_scope_item(api, project, LUMP, [], stated("SAND", "0", "short_ton"))
    estimate = priced(api, project, an_edition(api, [an_item("SAND")]))
    assert faults(api.post("/quote-requests", json=request_body(estimate, vendor))) == ["/estimate_id"]
    assert api.get("/quote-requests").json()["items"] == []


def asked_in_two_units(api: Api) -> tuple[Document, str, str]:
    """Gravel that the edition does not have, needed by mass and by the bag, asked of two vendors."""
    project, alder, briar = a_project(api), a_vendor(api, "Alder"), a_vendor(api, "Briar")
    by_mass = stated("GRAVEL", "3", "metric_ton"), stated("GRAVEL", "500", "kilogram")
    a_scope_item(api, project, LUMP, [], *by_mass, stated("GRAVEL", "12", "bag"))
    a_scope_item(api, project, LUMP, [], stated("SAND", "10", "short_ton"))
    return (
        a_request(api, priced(api, project, an_edition(api, [an_item("SAND")])), alder, briar),
        alder,
        briar,
    )


def test_an_item_needed_in_two_units_is_asked_for_in_both(api: Api) -> None:
    request, _, _ = asked_in_two_units(api)
    assert asked(request) == [
        ("GRAVEL", "3500.00", "kilogram"), ("GRAVEL", "12", "bag"), ("SAND", "10.00", "short_ton")
    ]  # fmt: skip
    assert request["left_out"] == []


def gravel(unit: str | None, price: str) -> Document:
    return offered("GRAVEL", price) | ({} if unit is None else {"unit": unit})


def test_both_lines_of_an_item_are_quoted_and_compared(api: Api) -> None:
    request, alder, briar = asked_in_two_units(api)
    a_quote(api, request, alder, gravel("kilogram", "0.05"), gravel("bag", "9"), offered("SAND", "36"))
    a_quote(api, request, briar, gravel("bag", "8"), offered("SAND", "36"))
    found = api.get(f"/quote-requests/{request['id']}/comparison?as_of=2026-07-01").json()
    first, second = found["quotes"]
    # 3500 x 0.05 + 12 x 9 + 10 x 36
    assert (first["vendor"], first["levelled"]["amount"], second["levelled"]) == ("Alder", "643.00", None)
    assert [(one["item"], one["unit"], one["amount"]["amount"]) for one in first["items"]] == [
        ("GRAVEL", "kilogram", "175.00"), ("GRAVEL", "bag", "108.00"), ("SAND", "short_ton", "360.00")
    ]  # fmt: skip
    assert found["lowest_by_item"] == {
        "GRAVEL by kilogram": "Alder",
        "GRAVEL by bag": "Briar",
        "SAND": "Alder",
    }


@pytest.mark.parametrize(
    ("items", "pointers"),
    [
        ([gravel(None, "1")], ["/items/0/unit"]),
        ([gravel("pallet", "1")], ["/items/0/unit"]),
        ([offered("SAND", "36"), offered("SAND", "35") | {"unit": "short_ton"}], ["/items/1/unit"]),
        ([offered("SAND", "36") | {"unit": "metric_ton"}], ["/items/0/unit"]),
    ],
)
def test_a_price_that_does_not_say_which_line_it_is_for_is_refused(
    api: Api, items: list[Document], pointers: list[str]
) -> None:
    request, alder, _ = asked_in_two_units(api)
    path = f"/quote-requests/{request['id']}/quotes"
    assert faults(api.post(path, json=quote_body(alder, *items))) == pointers
    assert api.get(path).json()["items"] == []


def test_an_item_asked_for_in_two_units_cannot_be_given_one_price(api: Api) -> None:
    request, alder, _ = asked_in_two_units(api)
    quote = a_quote(
        api, request, alder, gravel("kilogram", "0.05"), gravel("bag", "9"), offered("SAND", "36")
    )
    path = f"/quote-requests/{request['id']}"
    award = {"awards": [{"quote_id": quote["id"]}], "reason": "Lowest"}
    refused = api.post(f"{path}/choose", json=award)
    assert faults(refused) == ["/awards/0/items"]
    assert refused.json()["faults"][0]["got"] == "GRAVEL: kilogram, bag"
    assert api.get(path).json()["status"] == "open"
    assert chosen(api, request, (quote, ["SAND"]))["status"] == "chosen"


def test_an_estimate_that_kept_no_quantities_says_that_it_is_to_be_priced_again(api: Api) -> None:
    vendor, estimate = a_vendor(api, "Alder"), an_estimate(api)
    with api.database.engine.begin() as connection:
        # As a lump sum or a hire was stored before.
        connection.execute(
            update(EstimateLineRow)
            .where(EstimateLineRow.estimate_id == UUID(estimate["id"]), EstimateLineRow.item == "SAND")
            .values(needed=None, needed_unit=None)
        )
    request = a_request(api, estimate, vendor)
    assert [code for code, _, _ in asked(request)] == ["SOD"]
    assert left_out(request) == {
        "SAND": "It was priced before the quantity behind its charges was kept; price the scope again."
    }


def test_lines_stored_before_are_given_the_quantities_that_they_say(empty_database_url: str) -> None:
    database = Database(empty_database_url)
    migration.upgrade(database, "0010")
    before = MetaData()
    before.reflect(database.engine)
    now, day = datetime(2026, 1, 1, tzinfo=UTC), date(2026, 8, 1)

    def an_id() -> Any:
        return uuid4().hex if database.is_sqlite else uuid4()

    edition, project, estimate, scope_item = an_id(), an_id(), an_id(), an_id()
    club = {"club_id": "heron-mere"}
    lines = [
        ("price", "100.00", "short_ton", "up to 0.01"), ("price", "1", "lump_sum", "lump sum"),
        ("price", "1", "lump_sum", "up to whole units"), ("rental", "2", "rental_week", "up to whole periods"),
        ("price", None, "short_ton", "not measured"),
    ]  # fmt: skip
    with database.engine.begin() as connection:
        for table, row in [
            ("clubs", {"id": "heron-mere", "name": "Heron Mere", "currency": "USD", "locale": "en-US",
                       "unit_system": "metric", "ton": "metric_ton", "created_at": now, "version": 1}),
            ("editions", club | {"id": edition, "name": "Spring", "status": "published", "currency": "USD",
                                 "price_date": day, "created_at": now, "version": 1}),
            ("projects", club | {"id": project, "name": "Autumn", "starts_on": day, "ends_on": day, "note": "",
                                 "version": 1}),
            ("estimates", club | {"id": estimate, "project_id": project, "edition_id": edition, "number": 1,
                                  "revision": 1, "name": "Own crew", "status": "draft", "complete": True,
                                  "currency": "USD", "direct_minor": 0, "total_minor": 0, "cash_minor": 0,
                                  "line_count": 4, "terms": "{}", "priced": "{}", "created_at": now,
                                  "created_by": "Owner", "version": 1}),
            *(
                ("estimate_lines", club | {"estimate_id": estimate, "number": number, "scope_item_id": scope_item,
                                           "scope_item": "Tees", "resource": number, "part": part, "item": "SAND",
                                           "description": "Sand", "taxable": True, "quantity": quantity, "unit": unit,
                                           "rounding_rule": rounding, "starts_on": day, "ends_on": day,
                                           "shares": "[]", "derivation": "[]"})
                for number, (part, quantity, unit, rounding) in enumerate(lines, 1)
            ),
        ]:  # fmt: skip
            connection.execute(before.tables[table].insert().values(**row))
    migration.upgrade(database)
    with database.reading() as session:
        found = session.query(EstimateLineRow.needed, EstimateLineRow.needed_unit).order_by(
            EstimateLineRow.number
        )
        assert [row.needed for row in found] == ["100.00", None, "1", None, None]
    migration.downgrade(database, "0010")
    database.close()
