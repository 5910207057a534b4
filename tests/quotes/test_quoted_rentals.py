"""Rentals asked for by the days they are needed, quoted by day, week and four weeks, compared and chosen."""

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
    lines_of,
    money,
    priced,
    redo_by_hand,
    stated,
)
from printed_formula import redo
from quote_factories import (
    a_quote,
    a_request,
    a_vendor,
    chosen,
    compared,
    lump,
    offered,
    quote_body,
    request_body,
)

YARD, RIVER = "Millrace Equipment Rental", "River Street Machines"
DAY = {"name": "day", "days": 1, "price": "310"}
WEEK = {"name": "week", "days": 7, "price": "1200"}
LOADER = an_item(
    "LOADER", None, kind="rental", unit="hour",
    terms={"form": "rental", "periods": [DAY, WEEK], "delivery": "150"},
)  # fmt: skip
TWO_WEEKS = {"starts_on": "2026-09-07", "ends_on": "2026-09-18"}
"""Monday to Friday of the week after."""


def a_hire(api: Api, *hours: str, item: Document = LOADER, **days: str) -> tuple[Document, str, str]:
    """An estimate whose scope items need the loader for these hours, from Monday 7 September, and two yards."""
    project, yard, river = a_project(api), a_vendor(api, YARD), a_vendor(api, RIVER)
    for number, one in enumerate(hours, 1):
        need = stated("LOADER", one, "hour")
        a_scope_item(api, project, LUMP, [], need, name=f"Loading {number}", **TWO_WEEKS | days)
    return priced(api, project, an_edition(api, [item])), yard, river


def rented(*periods: Document, item: str = "LOADER", **more: Any) -> Document:
    return {"item": item, "rental": {"periods": list(periods)} | more}


def period(name: str, days: int, price: str, **more: Any) -> Document:
    return {"name": name, "days": days, "price": price} | more


def faults(response: Any) -> list[str]:
    assert (response.status_code, response.json()["type"]) == (422, "/problems/invalid-values"), response.text
    return [fault["pointer"] for fault in response.json()["faults"]]


def test_a_rental_is_asked_for_by_its_days_at_work(api: Api) -> None:
    estimate, yard, _ = a_hire(api, "60")
    (loader,) = a_request(api, estimate, yard)["items"]
    # 60 hours at 8 a day are 8 working days: Monday to Friday, and Monday to Wednesday.
    assert (loader["quantity"], loader["unit"]) == ("8", "work_day")
    hire = loader["hire"]
    assert (hire["hours"], hire["hours_a_day"], hire["works_weekends"], hire["machines"]) == (
        "60.00",
        "8",
        False,
        1,
    )
    (stay,) = hire["stays"]
    assert (stay["first_day"], stay["last_day"]) == ("2026-09-07", "2026-09-16")
    assert (stay["working_days"], stay["calendar_days"], stay["weeks"]) == (8, 10, 2)
    assert (stay["starts_on"], stay["ends_on"], stay["hours"]) == ("2026-09-07", "2026-09-18", "60.00")
    assert loader["scope_item_ids"] == [stay["scope_item_id"]]


def test_machines_that_are_needed_at_once_are_counted(api: Api) -> None:
    estimate, yard, _ = a_hire(api, "8", "16", "0")
    (loader,) = a_request(api, estimate, yard)["items"]
    assert (loader["quantity"], loader["hire"]["machines"]) == ("3", 2)
    assert [(one["hours"], one["working_days"]) for one in loader["hire"]["stays"]] == [
        ("8.00", 1),
        ("16.00", 2),
    ]
    assert len(loader["scope_item_ids"]) == 3


def test_yards_are_compared_by_the_cheapest_cover_of_the_days_asked_for(api: Api) -> None:
    estimate, yard, river = a_hire(api, "60")
    request = a_request(api, estimate, yard, river)
    # Ten calendar days: of the yard a week and three days, 1250 + 3 x 290 = 2120; of the river, two weeks at 1080.
    a_quote(api, request, yard, rented(period("day", 1, "290"), period("week", 7, "1250")))
    a_quote(
        api, request, river, rented(period("week", 7, "1080"), period("four_week", 28, "2900"), delivery="75"),
        fixed_charge="40",
    )  # fmt: skip
    found = compared(api, request)
    assert [(one["vendor"], one["levelled"]["amount"], one["rank"]) for one in found["quotes"]] == [
        (YARD, "2120.00", 1), (RIVER, "2275.00", 2)
    ]  # fmt: skip
    (loader,) = found["quotes"][0]["items"]
    assert (loader["quantity"], loader["unit"], loader["unit_price"]) == ("8", "work_day", None)
    assert loader["words"] == "hired for 1 week + 3 days"
    assert found["lowest_by_item"] == {"LOADER": YARD}
    assert found["best_split"]["total"]["amount"] == "2120.00"


def test_each_quoted_hire_can_be_redone_from_what_is_printed(api: Api) -> None:
    estimate, yard, _ = a_hire(api, "60", "20")
    request = a_request(api, estimate, yard)
    week = period("week", 7, "1450", included_hours="25")
    a_quote(api, request, yard, rented(DAY, week, damage_waiver_percent="12", fuel=FUEL, delivery="150"))
    (quote,) = compared(api, request)["quotes"]
    steps = {step["name"]: step for step in quote["derivation"]}
    for name in ("amount of LOADER", "items offered", "quoted", "levelled total"):
        inputs = {figure["name"]: float(figure["value"]) for figure in steps[name]["inputs"]}
        assert redo(steps[name]["formula"], inputs) == pytest.approx(float(steps[name]["value"]), abs=1e-9)
    assert {"time charge", "total", "machine 1", "machine 2"} <= steps.keys()
    assert Decimal(quote["derivation"][-1]["value"]) == money(quote["levelled"])


FUEL = {"use_per_hour": "2.5", "unit": "us_gallon", "price": "4.00"}


def test_discount_is_on_the_time_and_the_rate_of_exchange_on_everything(api: Api) -> None:
    estimate, yard, _ = a_hire(api, "40")
    request = a_request(api, estimate, yard)
    a_quote(
        api, request, yard, rented(period("week", 7, "1000"), delivery="100", pick_up="100"), currency="CAD",
        exchange_rate="0.75", rate_source="Bank", discount_percent="10", fixed_charge="20",
    )  # fmt: skip
    (quote,) = compared(api, request)["quotes"]
    # 1000 x 0.9 x 0.75 = 675, and 200 and 20 at 0.75
    assert (quote["items"][0]["amount"]["amount"], quote["quoted"]["amount"]) == ("825.00", "840.00")


def test_a_rental_that_is_left_out_counts_at_the_catalogs_rates(api: Api) -> None:
    project, yard, river = a_project(api), a_vendor(api, YARD), a_vendor(api, RIVER)
    need = stated("LOADER", "60", "hour")
    a_scope_item(api, project, LUMP, [], need, stated("SAND", "10", "short_ton"), **TWO_WEEKS)
    request = a_request(api, priced(api, project, an_edition(api, [LOADER, an_item("SAND")])), yard, river)
    a_quote(api, request, yard, offered("SAND", "36"))
    a_quote(api, request, river, rented(period("week", 7, "1000")))
    found = compared(api, request)
    first, second = found["quotes"]
    # The catalog: a week and three days, 1200 + 930, and its delivery of 150; sand at 38.50.
    assert (first["vendor"], first["added"]["amount"], first["levelled"]["amount"]) == (
        RIVER,
        "385.00",
        "2385.00",
    )
    assert (second["added"]["amount"], second["levelled"]["amount"]) == ("2280.00", "2640.00")
    assert second["notes"] == ["LOADER left out: hired at the catalog's rates for 1 week + 3 days"]


def test_a_lump_sum_may_be_offered_for_the_days(api: Api) -> None:
    estimate, yard, _ = a_hire(api, "60", "20")
    request = a_request(api, estimate, yard)
    quote = a_quote(api, request, yard, lump("LOADER", "1900"))
    (column,) = compared(api, request)["quotes"]
    assert (column["quoted"]["amount"], column["items"][0]["words"]) == ("1900.00", "lump sum")
    chosen(api, request, quote)
    new = priced(api, estimate["project_id"], estimate["edition_id"])
    redo_by_hand(api, new)
    assert [(line["part"], line["amount"]["amount"]) for line in lines_of(api, new["id"])] == [
        ("price", "1425.00"), ("price", "475.00")
    ]  # fmt: skip
    (again,) = a_request(api, new, yard)["items"]
    assert (again["hire"], again["quantity"]) == (request["items"][0]["hire"], "11")


def test_chosen_rates_price_the_hire_with_their_quote_named(api: Api) -> None:
    estimate, yard, river = a_hire(api, "60")
    request = a_request(api, estimate, yard, river)
    rates = rented(period("day", 1, "290"), period("week", 7, "1250"), delivery="80")
    quote = a_quote(api, request, yard, rates, fixed_charge="40", discount_percent="10", reference="yard.pdf")
    a_quote(api, request, river, rented(period("week", 7, "1300")))
    levelled = compared(api, request)["quotes"][0]
    chosen(api, request, quote)
    new = priced(api, estimate["project_id"], estimate["edition_id"])
    redo_by_hand(api, new)
    lines = lines_of(api, new["id"])
    # A week and three days, less 10 %: 1125 + 783, the delivery of 80 and the fixed charge of 40.
    assert sorted((line["part"], line["amount"]["amount"]) for line in lines) == [
        ("delivery", "80.00"), ("mobilization", "40.00"), ("rental", "1125.00"), ("rental", "783.00")
    ]  # fmt: skip
    assert new["total"] == levelled["levelled"] == {"amount": "2028.00", "currency": "USD"}
    assert {(line["vendor"], line["price_source"]) for line in lines} == {(YARD, "quote")}
    assert (new["complete"], [one for one in new["warnings"] if one["gap"]]) == (True, [])
    (choice,) = api.get(f"/estimates/{new['id']}/quality").json()["choices"]
    assert (choice["unit_price"], choice["lump_sum"], choice["offers_compared"]) == (None, None, 2)
    assert [(one["name"], one["price"]) for one in choice["rental"]["periods"]] == [
        ("day", "261.000000"), ("week", "1125.000000")
    ]  # fmt: skip
    assert api.post(f"/quote-requests/{request['id']}/reopen", json={"reason": "Sold"}).status_code == 200
    assert priced(api, estimate["project_id"], estimate["edition_id"])["total"] == estimate["total"]


def test_rates_by_the_hour_cover_other_days_than_asked_for_no_better(api: Api) -> None:
    """The working day of the request counts, not one of the vendor's own."""
    terms = LOADER["terms"] | {"hours_a_day": "10", "works_weekends": True}
    estimate, yard, _ = a_hire(api, "60", item=LOADER | {"terms": terms})
    request = a_request(api, estimate, yard)
    hire = request["items"][0]["hire"]
    assert (request["items"][0]["quantity"], hire["hours_a_day"], hire["works_weekends"]) == ("6", "10", True)
    a_quote(api, request, yard, rented(hourly={"price": "40", "least_hours_a_day": "8"}))
    (quote,) = compared(api, request)["quotes"]
    assert quote["quoted"]["amount"] == "2400.00"


@pytest.mark.parametrize(
    ("line", "more", "pointers"),
    [
        (offered("LOADER", "300"), {}, ["/items/0/unit_price"]),
        (rented(DAY, item="SAND"), {}, ["/items/0/rental"]),
        (rented(period("day", 1, "0")), {}, ["/items/0/rental/periods/0/price"]),
        (rented(hourly={"price": "0", "least_hours_a_day": "4"}), {}, ["/items/0/rental/hourly/price"]),
        (rented(DAY, fuel=FUEL | {"unit": "hour"}), {}, ["/items/0/rental/fuel/unit"]),
        (rented(DAY, fuel=FUEL | {"price": "0", "unit": "ton"}), {},
         ["/items/0/rental/fuel/price", "/items/0/rental/fuel/unit"]),
        (rented(period("day", 1, "999999999999")), {}, ["/items/0/rental"]),
        (rented(period("day", 1, "999999999999"), delivery="1"),
         {"currency": "CAD", "exchange_rate": "999999999999", "rate_source": "Bank"}, ["/items/0/rental"]),
        (rented(period("day", 1, "0.000001")),
         {"currency": "CAD", "exchange_rate": "0.000001", "rate_source": "Bank"}, ["/items/0/rental"]),
        (rented(period("day", 1, "99999999999")), {"fixed_charge": "999999999999"}, ["/items"]),
    ],
)  # fmt: skip
def test_rates_that_cannot_be_used_are_refused(
    api: Api, line: Document, more: Document, pointers: list[str]
) -> None:
    project, yard = a_project(api), a_vendor(api, YARD)
    need = stated("LOADER", "60", "hour")
    a_scope_item(api, project, LUMP, [], need, stated("SAND", "10", "short_ton"), **TWO_WEEKS)
    request = a_request(api, priced(api, project, an_edition(api, [LOADER, an_item("SAND")])), yard)
    path = f"/quote-requests/{request['id']}/quotes"
    assert faults(api.post(path, json=quote_body(yard, line, **more))) == pointers
    assert api.get(path).json()["items"] == []


@pytest.mark.parametrize(
    ("line", "pointer"),
    [
        ({"item": "LOADER", "rental": {}}, "/items/0/rental"),
        (rented(DAY, DAY), "/items/0/rental"),
        (rented(DAY) | {"lump_sum": "100"}, "/items/0"),
        (rented(period("day", 0, "310")), "/items/0/rental/periods/0/days"),
    ],
)
def test_rates_of_another_form_are_refused(api: Api, line: Document, pointer: str) -> None:
    estimate, yard, _ = a_hire(api, "60")
    request = a_request(api, estimate, yard)
    response = api.post(f"/quote-requests/{request['id']}/quotes", json=quote_body(yard, line))
    assert (response.status_code, [one["pointer"] for one in response.json()["faults"]]) == (400, [pointer])


def test_a_machine_that_no_hours_need_is_left_out(api: Api) -> None:
    estimate, yard, _ = a_hire(api, "0")
    assert faults(api.post("/quote-requests", json=request_body(estimate, yard))) == ["/estimate_id"]
