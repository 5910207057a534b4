"""Assets from files: all rows or none, each fault with its row and column, and out and in again without change."""

import csv
import io
from datetime import date

import httpx
from asset_factories import an_asset, usd
from conftest import Api
from estimate_factories import Document, a_course, a_dressed_green, an_area
from python_calamine import CalamineWorkbook
from swardcost_api.operations import XLSX
from swardcost_api.xlsx_files import Column, Sheet, write_workbook
from swardcost_model.assets import NewAsset

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


def stated(asset: Document) -> Document:
    """What is stated of an asset, without its id and version."""
    return {name: value for name, value in asset.items() if name not in ("id", "version")}


def values(asset: Document) -> NewAsset:
    """The same as values, of which 180000.00 equals 180000."""
    return NewAsset.model_validate(stated(asset))


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
    assert before[2]["book"]["salvage"] == usd("5000.00")
    text = api.get("/assets/export", headers={"Accept": "text/csv"}).text
    assert counts(uploaded(api, text)) == (3, 0, 0, 3)
    workbook = api.get("/assets/export", headers={"Accept": XLSX}).content
    assert counts(uploaded(api, workbook, XLSX)) == (3, 0, 0, 3)
    assert assets_of(api) == before
    for one in before:
        assert api.delete(f"/assets/{one['id']}", headers={"If-Match": '"1"'}).status_code == 204
    assert counts(uploaded(api, workbook, XLSX)) == (3, 3, 0, 0)
    # A workbook keeps numbers, so that 180000.00 comes back as 180000.
    assert [values(one) for one in assets_of(api)] == [values(one) for one in before]
    for one in assets_of(api):
        assert api.delete(f"/assets/{one['id']}", headers={"If-Match": '"1"'}).status_code == 204
    assert counts(uploaded(api, text)) == (3, 3, 0, 0)
    assert [stated(one) for one in assets_of(api)] == [stated(one) for one in before]


def test_numbers_and_days_are_numbers_and_days_in_the_workbook(api: Api) -> None:
    an_asset(
        api, life={"low": "15", "likely": "17.25", "high": "20"}, size={"value": "1250.5", "unit": "foot"},
        condition={"grade": 3, "on": "2026-04-30"},
    )  # fmt: skip
    content = api.get("/assets/export", headers={"Accept": XLSX}).content
    header, row = CalamineWorkbook.from_filelike(io.BytesIO(content)).get_sheet_by_name("Assets").to_python()
    found = dict(zip(header, row, strict=True))
    assert (found["in_use_since"], found["life_likely"], found["size"], found["cost"]) == (
        2008,
        17.25,
        1250.5,
        180000,
    )
    assert found["condition_on"] == date(2026, 4, 30)


def test_columns_that_a_file_does_not_have_stay_as_they_are(api: Api) -> None:
    """Unlike empty cells, which say that there is nothing."""
    green = an_area(api, a_course(api), "6000", name="Green 4")
    asset = an_asset(
        api, "A", area_ids=[green], life={"low": "15", "likely": "17.25", "high": "20"}, note="Two pumps",
        replaced=False, size={"value": "12", "unit": "acre"}, growth_group="Pipe", cost_range=["90", "135"],
        condition={"grade": 3, "on": "2026-04-30", "years_left": "6.5", "by": "Crew", "note": "Leaks"},
        book={"cost": usd("90000.00"), "in_service_on": "2008-06-01", "life_years": 15},
    )  # fmt: skip

    def after(text: str) -> Document:
        assert counts(uploaded(api, "code,name,kind," + text))[2:] in ((1, 0), (0, 1))
        return stated(assets_of(api)[0])

    was = stated(asset)
    head = "A,Asset A,pump_station"
    assert after(f"cost\n{head},180000.00\n") == was
    assert after(f"life_likely\n{head},19\n") == was | {"life": {"low": "15", "likely": "19", "high": "20"}}
    assert after(f"size\n{head},13\n")["size"] == {"value": "13", "unit": "acre"}
    judged = after(f"condition,condition_on\n{head},2,2026-04-30\n")["condition"]
    assert (judged["grade"], judged["by"], judged["note"]) == (2, "Crew", "Leaks")
    judged = after(f"condition,condition_on\n{head},1,2026-09-30\n")["condition"]
    assert (judged["grade"], judged["by"], judged["note"]) == (1, "", "")
    assert after(f"rate,rate_per\n{head},9.25,acre\n")["replacement"] == {
        "by": "rate", "rate": usd("9.25"), "per": "acre",
    }  # fmt: skip
    assert after(f"rate\n{head},9.5\n")["replacement"]["rate"] == usd("9.5")
    assert after(f"cost\n{head},\n")["replacement"]["rate"] == usd("9.5")
    assert after(f"rate\n{head},\n")["replacement"] is None
    assert after(f"cost\n{head},7.00\n")["replacement"] == {"by": "stated", "cost": usd("7.00")}
    emptied = after(f"life_likely,size,condition,book_cost,areas,replaced,note\n{head},,,,,,,\n")
    assert emptied == was | {
        "life": None, "size": None, "condition": None, "book": None, "area_ids": [], "replaced": True, "note": "",
        "replacement": {"by": "stated", "cost": usd("7.00")},
    }  # fmt: skip


def test_every_asset_that_a_file_enters_or_changes_leaves_an_audit_row(api: Api) -> None:
    an_area(api, a_course(api), "6000", name="Green 4")
    uploaded(api, HEADER + ROWS)
    uploaded(api, (HEADER + ROWS).replace("180000.00", "195000.00"))
    uploaded(api, (HEADER + ROWS).replace("180000.00", "195000.00"))
    green, pump, wall = assets_of(api)
    for asset, actions in ((green, ["create"]), (pump, ["change", "create"]), (wall, ["create"])):
        rows = api.get(f"/audit?subject=asset&subject_id={asset['id']}").json()["items"]
        assert [one["action"] for one in rows] == actions
        assert rows[0]["after"] == asset
        assert {one["actor"] for one in rows} == {"Owner"}
    changed = api.get(f"/audit?subject=asset&subject_id={pump['id']}").json()["items"][0]
    assert (changed["before"]["replacement"]["cost"], changed["before"]["version"]) == (usd("180000.00"), 1)
    assert (changed["after"]["replacement"]["cost"], changed["after"]["version"]) == (usd("195000.00"), 2)
    all_rows = api.get("/audit?subject=asset").json()["items"]
    assert sum(one["action"] == "upload" for one in all_rows) == 3


def test_a_file_of_more_than_5000_assets_is_refused(api: Api) -> None:
    rows = "".join(f"A-{number},Asset {number},other\n" for number in range(5001))
    header = "code,name,kind\n"
    answer = uploaded(api, header + rows)
    assert (answer.status_code, answer.json()["type"]) == (413, "/problems/too-large")
    assert "5,000 assets" in answer.json()["detail"]
    assert assets_of(api) == []
    assert counts(uploaded(api, header + rows[: rows.rindex("A-5000")])) == (5000, 5000, 0, 0)
    table = [Column(name) for name in header.strip().split(",")]
    cells = [row.split(",") for row in rows.splitlines()]
    workbook = write_workbook([Sheet("Assets", table, cells)], {"title": "Assets"})
    answer = uploaded(api, workbook, XLSX)
    assert (answer.status_code, answer.json()["type"]) == (413, "/problems/too-large")


def test_what_an_asset_cannot_be_is_named_by_row_and_column(api: Api) -> None:
    header = (
        "code,name,kind,in_use_since,life_low,life_likely,life_high,size,size_unit,cost,rate,rate_per,estimate_id,"
        "condition,condition_on,replaced,book_cost,in_service_on,book_life_years,salvage\n"
    )
    nobody = "00000000-0000-7000-8000-000000000000"
    rows = (
        "A,A,wall,2050,,,,0,acre,,,,,3,2050-01-01,,,,,\n"
        f"B,B,wall,,0,1,2,,,5.00,6.00,acre,{nobody},,,perhaps,10.00,2050-01-01,5,\n"
        f"C,C,wall,,,,,,,,,,{nobody},,,,10.00,2020-01-01,5,11.00\n"
        f"D,D,wall,,,,,,,,,,{nobody},,,,10.00,,0,-1.00\n"
        f"E,E,wall,,,,,,,,,,{nobody},,,no,,,,\n"
    )
    response = uploaded(api, header + rows)
    assert (response.status_code, response.json()["type"]) == (422, "/problems/bad-rows")
    places = [fault["pointer"] for fault in response.json()["faults"]]
    assert set(places) == {
        "row 2, in_use_since", "row 2, size", "row 2, condition_on", "row 3, life_low", "row 3, rate",
        "row 3, replaced", "row 4, salvage", "row 5, in_service_on", "row 5, book_life_years", "row 6, estimate_id",
    }  # fmt: skip
    assert response.json()["detail"] == f"{len(places)} faults; no asset was changed."
    assert assets_of(api) == []


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
