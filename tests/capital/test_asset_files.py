"""Assets from files: all rows or none, each fault with its row and column, and out and in again without change."""

import csv
import io

import httpx
from asset_factories import an_asset, usd
from conftest import Api
from estimate_factories import Document, a_course, a_dressed_green, an_area
from swardcost_api.operations import XLSX

HEADER = "code,name,kind,in_use_since,life_low,life_likely,life_high,cost,rate,rate_per,areas,replaced\n"
ROWS = (
    "GREEN-4,Green 4,green,2006,15,22,30,,9.25,square_foot,Green 4,\n"
    "PUMP-1,Pump station,pump_station,2008,,,,180000.00,,,,\n"
    "WALL-2,Wall at the pond,wall,1991,40,50,60,62000.00,,,,no\n"
)


def uploaded(api: Api, content: str | bytes, media_type: str = "text/csv") -> httpx.Response:
    body = content.encode() if isinstance(content, str) else content
    return api.post("/assets/upload", content=body, headers={"Content-Type": media_type})


def counts(response: httpx.Response) -> tuple[int, int, int, int]:
    assert response.status_code == 200, response.text
    found = response.json()
    return found["rows"], found["added"], found["changed"], found["unchanged"]


def assets_of(api: Api) -> list[Document]:
    found: list[Document] = api.get("/assets").json()["items"]
    return found


def test_a_file_enters_assets_and_the_same_file_again_changes_nothing(api: Api) -> None:
    green = an_area(api, a_course(api), "6000", name="Green 4")
    assert counts(uploaded(api, HEADER + ROWS)) == (3, 3, 0, 0)
    first = assets_of(api)
    assert [one["code"] for one in first] == ["GREEN-4", "PUMP-1", "WALL-2"]
    assert first[0]["area_ids"] == [green]
    assert first[0]["replacement"] == {"by": "rate", "rate": usd("9.25"), "per": "square_foot"}
    assert first[1]["life"] is None
    assert (first[2]["replaced"], first[2]["life"]["likely"]) == (False, "50")
    assert counts(uploaded(api, HEADER + ROWS)) == (3, 0, 0, 3)
    assert assets_of(api) == first
    dearer = (HEADER + ROWS).replace("180000.00", "195000.00")
    assert counts(uploaded(api, dearer)) == (3, 0, 1, 2)
    assert [one["version"] for one in assets_of(api)] == [1, 2, 1]


def test_an_export_comes_in_again_without_change_as_csv_and_as_a_workbook(api: Api) -> None:
    greens = [
        an_area(api, a_course(api), "6000", name="Green 1"),
        an_area(api, a_course(api), "7000", name="Green 1"),
        an_area(api, a_course(api), "8000", name="Green; the odd one"),
    ]
    an_asset(
        api, "A", area_ids=greens, life={"low": "15", "likely": "17.25", "high": "20"}, note='A "note", =1+1'
    )
    an_asset(
        api, "B", replacement={"by": "rate", "rate": usd("12.345678"), "per": "foot"},
        size={"value": "1250.5", "unit": "foot"}, cost_range=["90", "135.5"], growth_group="Pipe",
        condition={"grade": 3, "on": "2026-04-30", "years_left": "6.5", "by": "Crew", "note": "Leaks"}, replaced=False,
    )  # fmt: skip
    an_asset(
        api, "C", replacement={"by": "estimate", "estimate_id": a_dressed_green(api)["id"]},
        book={"cost": usd("90000.00"), "in_service_on": "2008-06-01", "life_years": 15, "salvage": usd("5000.00")},
    )  # fmt: skip
    before = assets_of(api)
    text = api.get("/assets/export", headers={"Accept": "text/csv"}).text
    assert counts(uploaded(api, text)) == (3, 0, 0, 3)
    workbook = api.get("/assets/export", headers={"Accept": XLSX}).content
    assert counts(uploaded(api, workbook, XLSX)) == (3, 0, 0, 3)
    assert assets_of(api) == before
    for one in before:
        assert api.delete(f"/assets/{one['id']}", headers={"If-Match": '"1"'}).status_code == 204
    assert counts(uploaded(api, text)) == (3, 3, 0, 0)
    again = {one["code"]: one for one in assets_of(api)}
    said = ("life", "replacement", "size", "cost_range", "growth_group", "note", "replaced")
    for one in before[:2]:
        entered = again[one["code"]]
        assert {name: entered[name] for name in said} == {name: one[name] for name in said}
        assert sorted(entered["area_ids"]) == sorted(one["area_ids"])


def test_every_fault_is_named_with_row_and_column_and_nothing_is_changed(api: Api) -> None:
    rows = (
        "PUMP-1,Pump station,pump_station,2008,,,,180000.00,,,,\n"
        "BAD-1,,moon,20x8,9,8,7,12.345.6,,,Green 77,\n"
        "PUMP-1,Again,pump_station,2008,,,,1.00,,,,\n"
        "BAD-2,Rate of nothing,green,2008,,,,,9.25,furlong_mile,,\n"
    )
    response = uploaded(api, HEADER + rows)
    assert (response.status_code, response.json()["type"]) == (422, "/problems/bad-rows")
    places = {fault["pointer"] for fault in response.json()["faults"]}
    assert {
        "row 3, name", "row 3, kind", "row 3, in_use_since", "row 3, cost", "row 3, areas", "row 4, code",
        "row 5, rate_per",
    } <= places  # fmt: skip
    assert assets_of(api) == []


def test_what_is_no_file_of_assets_is_refused(api: Api) -> None:
    wrong = uploaded(api, "code,colour\nX,green\n")
    assert (wrong.status_code, wrong.json()["type"]) == (400, "/problems/invalid-csv")
    broken = uploaded(api, b"PK nothing of the kind", XLSX)
    assert (broken.status_code, broken.json()["type"]) == (400, "/problems/invalid-workbook")
    committee = api.as_role("committee")
    assert uploaded(committee, HEADER + ROWS).status_code == 403


def test_the_register_as_csv_holds_the_figures(api: Api) -> None:
    an_asset(api, "A")
    an_asset(api, "B", replacement=None)
    text = api.get("/assets/register?year=2026", headers={"Accept": "text/csv"}).text
    rows = list(csv.DictReader(io.StringIO(text)))
    assert [(row["code"], row["due_in"], row["fully_funded"]) for row in rows] == [
        ("A", "2026", "180000.00"), ("B", "2026", ""),
    ]  # fmt: skip
    assert rows[1]["missing"] == "what another one costs"
    workbook = api.get("/assets/register?year=2026", headers={"Accept": XLSX})
    assert workbook.headers["content-type"] == XLSX
    assert workbook.content.startswith(b"PK")
