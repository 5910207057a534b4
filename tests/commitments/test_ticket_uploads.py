"""Delivery tickets from a CSV file: each line once, and nothing half done."""

from typing import Any

import pytest
from commitment_factories import a_budget, a_line, an_order, done, match_of, received, refused
from conftest import Api
from estimate_factories import Document

HEADER = "ticket,date,line,quantity,unit,note\n"
THREE = HEADER + (
    "T-1,2026-09-04,1,22.06,short_ton,dry\n"
    "T-2,2026-09-05,1,44000,pound,\n"
    "T-2,2026-09-05,2,3,hour,\n"
)  # fmt: skip


def an_order_of_two(api: Api) -> Document:
    budget = a_budget(api)
    per_load = {"value": "22", "unit": "short_ton"}
    return an_order(
        api, budget, a_line(budget, per_load=per_load), a_line(budget, 2, "10", "95", unit="hour")
    )


def put(api: Api, order: Document, text: str | bytes) -> Any:
    return api.upload(f"/commitments/{order['id']}/receipts/upload", text)


def tickets(api: Api) -> list[tuple[str, str, list[str]]]:
    items = api.get("/receipts").json()["items"]
    return sorted((one["ticket"], one["kind"], [line["counted"] for line in one["lines"]]) for one in items)


def test_a_file_enters_its_tickets_with_all_their_lines(api: Api) -> None:
    order = an_order_of_two(api)
    response = put(api, order, THREE)
    assert (response.status_code, response.json()) == (
        201, {"receipts_added": 2, "lines_added": 3, "lines_known": 0}
    )  # fmt: skip
    assert tickets(api) == [("T-1", "delivery", ["22.06"]), ("T-2", "delivery", ["22.00", "3.00"])]
    assert api.get("/receipts").json()["items"][0]["note"] == "dry"


def test_a_line_counts_once_however_often_it_comes(api: Api) -> None:
    order = an_order_of_two(api)
    received(api, order, "t-1", "44120", unit="pound")
    again = THREE + "T-1,2026-09-04,1,22.06,short_ton,seen twice\nT-3,2026-09-06,1,1,load,\n"
    assert put(api, order, again).json() == {"receipts_added": 2, "lines_added": 3, "lines_known": 2}
    assert put(api, order, again).json() == {"receipts_added": 0, "lines_added": 0, "lines_known": 5}
    assert match_of(api, order)["lines"][0]["received_quantity"] == "66.06"


def test_a_standing_ticket_gets_the_lines_that_it_lacks(api: Api) -> None:
    order = an_order_of_two(api)
    received(api, order, "T-2", "22", received_on="2026-09-05")
    assert put(api, order, THREE).json() == {"receipts_added": 1, "lines_added": 2, "lines_known": 1}
    assert tickets(api)[1] == ("T-2", "delivery", ["22.00", "3.00"])


def test_a_void_ticket_is_entered_again(api: Api) -> None:
    order = an_order_of_two(api)
    put(api, order, THREE)
    first = api.get("/receipts").json()["items"][0]
    done(api.post(f"/receipts/{first['id']}/void", json={"reason": "Weighed wrong"}))
    assert put(api, order, THREE).json() == {"receipts_added": 1, "lines_added": 1, "lines_known": 2}


def test_goods_sent_back_and_loads_of_another_size(api: Api) -> None:
    order = an_order_of_two(api)
    text = (
        "ticket,date,line,quantity,unit,per_load,kind\n"
        "T-1,2026-09-04,1,2,load,21.5,delivery\n"
        "T-2,2026-09-04,1,1,load,,\n"
        "R-1,2026-09-07,1,4,short_ton,,return\n"
    )
    assert put(api, order, text).status_code == 201
    assert tickets(api) == [
        ("R-1", "return", ["-4.00"]), ("T-1", "delivery", ["43.00"]), ("T-2", "delivery", ["22.00"])
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("row", "place", "expected"),
    [
        ("T-4,2026-09-31,1,5,short_ton,", "row 5, date", "a day of the years 1800 to 2299"),
        ("T-4,2026-08-01,1,5,short_ton,", "row 5, date", "2026-08-03, when it was signed, or later"),
        ("T-4,2026-09-04,9,5,short_ton,", "row 5, line", "the number of an ordered line"),
        ("T-4,2026-09-04,x,5,short_ton,", "row 5, line", "valid integer"),
        ("T-4,2026-09-04,1,five,short_ton,", "row 5, quantity", "a decimal"),
        ("T-4,2026-09-04,1,0,short_ton,", "row 5, quantity", "more than zero"),
        ("T-4,2026-09-04,1,5,ton,", "row 5, unit", "short_ton"),
        (",2026-09-04,1,5,short_ton,", "row 5, ticket", "at least 1 character"),
        ("T-1,2026-09-04,1,22.07,short_ton,", "row 5, ticket", "delivery of 22.06 on 2026-09-04"),
        ("T-1,2026-09-06,2,1,hour,", "row 5, ticket", "delivery on 2026-09-04"),
        ("T-4,2026-09-04,1,999999999,short_ton,", "row 5, quantity", "less than 1,000,000,000"),
    ],
)
def test_a_bad_row_is_named_and_nothing_is_entered(api: Api, row: str, place: str, expected: str) -> None:
    order = an_order_of_two(api)
    ((pointer, said),) = refused(put(api, order, THREE + row + "\n"), 422, "bad-rows")
    assert pointer == place
    assert expected in said
    assert tickets(api) == []


def test_more_sent_back_than_came_is_named_at_its_row(api: Api) -> None:
    order = an_order_of_two(api)
    text = "ticket,date,line,quantity,unit,kind\nT-1,2026-09-04,1,5,short_ton,\nR-1,2026-09-05,1,6,short_ton,return\n"
    ((pointer, _),) = refused(put(api, order, text), 422, "bad-rows")
    assert pointer == "row 3, quantity"


def test_files_that_are_no_tickets_are_refused(api: Api) -> None:
    order = an_order_of_two(api)
    refused(put(api, order, "ticket,date\nT-1,2026-09-04\n"), 400, "invalid-csv")
    refused(put(api, order, b"ticket,date,line,quantity,unit\n\xff,,,,\n"), 400, "invalid-csv")
    assert put(api, order, HEADER).json()["lines_added"] == 0
    done(api.post(f"/commitments/{order['id']}/close", json={"reason": "Done"}))
    refused(put(api, order, THREE), 409, "wrong-state")
    assert put(api.of_new_club("stone-weir"), order, THREE).status_code == 404


def test_the_register_of_tickets_can_be_uploaded_again(api: Api) -> None:
    order = an_order_of_two(api)
    put(api, order, THREE)
    rows = [
        line.split(",")
        for line in api.get("/receipt-register", headers={"Accept": "text/csv"}).text.splitlines()
    ]
    back = HEADER + "".join(f"{row[2]},{row[4]},{row[5]},{row[8]},{row[9]},\n" for row in rows[1:])
    assert put(api, order, back).json() == {"receipts_added": 0, "lines_added": 0, "lines_known": 3}


def test_a_line_number_of_thousands_of_digits_is_a_fault_like_any_other(api: Api) -> None:
    order = an_order_of_two(api)
    response = put(api, order, f"{HEADER}T-1,2026-09-04,{'9' * 5000},1,short_ton,\n")
    ((pointer, _),) = refused(response, 422, "bad-rows")
    assert (pointer, response.json()["detail"]) == ("row 2, line", "1 fault; nothing was received.")


def test_a_return_in_a_file_comes_after_its_delivery(api: Api) -> None:
    order = an_order_of_two(api)
    header = "ticket,date,line,quantity,unit,kind\n"
    file = "T-1,2026-09-04,1,20,short_ton,\nR-1,2026-09-03,1,4,short_ton,return\n"
    assert refused(put(api, order, header + file), 422, "bad-rows") == [
        ("row 3, quantity", "4.00 short_ton less, since no more had come by 2026-09-03")
    ]
    assert put(api, order, header + file.replace("09-03", "09-04")).status_code == 201
