"""Depreciation for the accounts: nothing is lost between what a thing costs and what is written off of it."""

import csv
import io
from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from typing import Any, get_args

import pytest
from asset_factories import an_asset
from conftest import Api
from estimate_factories import Document
from hypothesis import given
from hypothesis import strategies as st
from plan_factories import PLANS, a_plan, a_plan_project, got, usd
from python_calamine import CalamineWorkbook
from swardcost_api.engine.capital.depreciation import Convention, book_years, straight_line

XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
MOWERS = {"cost": usd("90000.00"), "in_service_on": "2025-04-10", "life_years": 6, "salvage": usd("9000.00")}


def amounts(rows: Sequence[Document], name: str) -> list[str]:
    return [row[name]["amount"] for row in rows]


def check_sums(schedule: Document) -> None:
    """Every year closes as the next one opens, and totals are the sums of the items."""
    names = ("opening", "added", "depreciation", "written_off", "disposed", "closing", "accumulated")
    for rows in [*(one["years"] for one in schedule["items"]), schedule["totals"]]:
        for year in rows:
            opening, added, depreciation, written_off, disposed, closing, _ = (
                Decimal(year[name]["amount"]) for name in names
            )
            assert opening + added - depreciation - written_off - disposed == closing
        assert amounts(rows, "closing")[:-1] == amounts(rows, "opening")[1:]
    for place, total in enumerate(schedule["totals"]):
        for name in names:
            parts = [Decimal(one["years"][place][name]["amount"]) for one in schedule["items"]]
            assert Decimal(total[name]["amount"]) == sum(parts)


def test_an_asset_is_written_off_by_months_down_to_its_salvage_value(api: Api) -> None:
    """81,000 over 72 months are 1,125 a month: nine months of 2025, then twelve a year, three of 2031."""
    an_asset(api, "MOWERS", book=MOWERS)
    an_asset(api, "PUMP-1")
    schedule = got(api, "/assets/depreciation?first_year=2025&years=8")
    check_sums(schedule)
    (mowers,) = schedule["items"]
    assert amounts(mowers["years"], "depreciation") == [
        "10125.00", "13500.00", "13500.00", "13500.00", "13500.00", "13500.00", "3375.00", "0.00",
    ]  # fmt: skip
    assert amounts(mowers["years"], "closing")[-2:] == ["9000.00", "9000.00"]
    assert amounts(mowers["years"], "accumulated")[:2] == ["10125.00", "23625.00"]
    assert amounts(mowers["years"], "accumulated")[-2:] == ["81000.00", "81000.00"]
    assert schedule["left_out"] == ["PUMP-1 (Asset PUMP-1) has no book value."]
    assert mowers["derivation"][0]["value"] == "13500"
    later = got(api, "/assets/depreciation?first_year=2027&years=2")
    assert amounts(later["items"][0]["years"], "opening") == ["66375.00", "52875.00"]


@pytest.mark.parametrize(
    ("convention", "expected", "words"),
    [
        ("full_month", ["10125.00", "13500.00", "3375.00"], "The month in which"),
        ("half_year", ["6750.00", "13500.00", "6750.00"], "six months"),
        ("full_year", ["13500.00", "13500.00", "0.00"], "all twelve months"),
    ],
)
def test_what_of_its_first_year_counts_can_be_said(
    api: Api, convention: str, expected: list[str], words: str
) -> None:
    an_asset(api, "MOWERS", book=MOWERS)
    place = f"/assets/depreciation?first_year=2025&years=7&convention={convention}"
    schedule = got(api, place)
    check_sums(schedule)
    written = amounts(schedule["items"][0]["years"], "depreciation")
    assert [written[0], written[1], written[-1]] == expected
    assert sum(map(Decimal, written)) == Decimal("81000.00")
    assert schedule["convention"] == convention
    assert words in schedule["method"][-1]
    assert api.get("/assets/depreciation?convention=mid_quarter").status_code == 400


def test_a_plan_can_give_its_projects_a_whole_first_year(api: Api) -> None:
    plan = a_plan(api, growth_percent="0", years=3)
    a_plan_project(api, plan, "30000.00", name="Drains", year=2028, spending="capital", depreciation_years=15)
    for convention, first in (("full_month", "1000.00"), ("half_year", "1000.00"), ("full_year", "2000.00")):
        schedule = got(api, f"{PLANS}/{plan['id']}/depreciation?convention={convention}")
        check_sums(schedule)
        assert amounts(schedule["items"][0]["years"], "depreciation") == ["0.00", first, "2000.00"]


def test_a_plan_writes_off_what_it_replaces_and_adds_what_it_builds(api: Api) -> None:
    """The mowers leave in 2028: 52,875 less 9,000 of salvage is written off. 12,000 in their place, over nine years
    from July: 666.67 in 2028 (a half of 1,333.33), rounded within sums."""
    mowers = an_asset(
        api, "MOWERS", kind="machine", life={"low": "7", "likely": "9", "high": "11"}, book=MOWERS
    )
    plan = a_plan(api, growth_percent="0", years=4)
    a_plan_project(
        api, plan, "12000.00", name="Mowers", asset_ids=[mowers["id"]], year=2028, spending="capital"
    )
    a_plan_project(api, plan, "30000.00", name="Drains", year=2027, spending="capital", depreciation_years=15)
    a_plan_project(api, plan, "500.00", name="Paint", year=2027, spending="operating")
    a_plan_project(api, plan, "700.00", name="Signs", year=2027, spending="capital")
    schedule = got(api, f"{PLANS}/{plan['id']}/depreciation")
    check_sums(schedule)
    old, new, drains = schedule["items"]
    assert (old["replaced_in"], new["life_years"], drains["life_years"]) == (2028, 9, 15)
    assert amounts(old["years"], "written_off") == ["0.00", "43875.00", "0.00", "0.00"]
    assert amounts(old["years"], "accumulated") == ["37125.00", "0.00", "0.00", "0.00"]
    assert amounts(old["years"], "disposed") == ["0.00", "9000.00", "0.00", "0.00"]
    assert amounts(old["years"], "closing") == ["52875.00", "0.00", "0.00", "0.00"]
    assert amounts(new["years"], "depreciation") == ["0.00", "666.67", "1333.33", "1333.33"]
    assert amounts(drains["years"], "depreciation") == ["1000.00", "2000.00", "2000.00", "2000.00"]
    assert schedule["left_out"] == [
        "Project 4 (Signs): nobody has said over how many years it is written off."
    ]


def test_a_projects_cost_is_shared_by_its_assets(api: Api) -> None:
    """45,000 for assets of 180,000 and 90,000: 30,000 and 15,000."""
    one = an_asset(api, "PUMP-1", life={"low": "10", "likely": "10", "high": "10"})
    half = {"by": "stated", "cost": usd("90000.00")}
    other = an_asset(api, "PUMP-2", life={"low": "5", "likely": "5", "high": "5"}, replacement=half)
    plan = a_plan(api, growth_percent="0")
    project: dict[str, Any] = {"asset_ids": [one["id"], other["id"]], "spending": "capital"}
    a_plan_project(api, plan, "45000.00", name="Both", year=2027, **project)
    a_plan_project(api, plan, "45000.00", name="Again", year=2032, **project)
    schedule = got(api, f"{PLANS}/{plan['id']}/depreciation")
    check_sums(schedule)
    assert [(item["cost"]["amount"], item["life_years"], item["replaced_in"]) for item in schedule["items"]] == [
        ("30000.00", 10, 2032), ("15000.00", 5, 2032), ("30000.00", 10, None), ("15000.00", 5, None),
    ]  # fmt: skip
    assert amounts(schedule["items"][0]["years"], "written_off")[5] == "16500.00"


def test_faces_have_the_same_figures(api: Api) -> None:
    an_asset(api, "MOWERS", name="=MOWERS", book=MOWERS)
    place = "/assets/depreciation?first_year=2025&years=3"
    schedule = got(api, place)
    rows = list(csv.DictReader(io.StringIO(api.get(place, headers={"Accept": "text/csv"}).text)))
    assert [row["depreciation"] for row in rows if row["name"] == "Total"] == amounts(
        schedule["totals"], "depreciation"
    )
    content = api.get(place, headers={"Accept": XLSX}).content
    table = CalamineWorkbook.from_filelike(io.BytesIO(content)).get_sheet_by_name("Depreciation").to_python()
    assert any(row[0] == "MOWERS (=MOWERS)" for row in table)
    at = {name: place for place, name in enumerate(table[0])}
    assert (table[1][at["in service on"]], table[1][at["cost"]]) == (date(2025, 4, 10), 90000)
    assert api.get("/assets/depreciation?years=0").status_code == 400
    assert api.of_new_club("heath").get("/assets/depreciation").json()["items"] == []


MONEY = st.integers(0, 10**11)


@given(
    cost=MONEY, percent=st.integers(0, 100), begins=st.dates(date(1990, 1, 1), date(2060, 12, 31)),
    life=st.integers(1, 60), replaced=st.none() | st.integers(0, 70), convention=st.sampled_from(get_args(Convention)),
)  # fmt: skip
def test_all_that_a_thing_costs_leaves_the_books_or_stays_in_them(
    cost: int, percent: int, begins: date, life: int, replaced: int | None, convention: Convention
) -> None:
    salvage = cost * percent // 100
    out = None if replaced is None else begins.year + replaced
    years = book_years(cost, salvage, begins, life, range(begins.year, begins.year + 75), out, convention)
    gone = sum(one.depreciation_minor + one.written_off_minor + one.disposed_minor for one in years)
    assert gone + years[-1].closing_minor == cost
    assert years[-1].closing_minor == (salvage if out is None else 0)
    assert all(one.closing_minor >= 0 and one.written_off_minor >= 0 for one in years)
    in_books = [one for one in years if out is None or one.year < out]
    assert all(one.closing_minor + one.accumulated_minor == cost for one in in_books)
    assert all(one.accumulated_minor == 0 for one in years[len(in_books) :])
    if out is None:
        written = {one.year: one.depreciation_minor for one in years if one.depreciation_minor}
        assert written == {
            y: m for y, m in straight_line(cost, salvage, begins, life, convention).items() if m
        }


def test_what_is_replaced_before_it_is_in_service_is_refused() -> None:
    with pytest.raises(ValueError, match="replaced in 2026 or later"):
        book_years(100, 0, date(2026, 1, 1), 5, range(2026, 2030), 2025)
