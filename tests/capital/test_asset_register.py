"""The register of assets: sizes and costs that agree to the cent, what is not known, and what cannot be taken away."""

import csv
import io
import re
import zipfile
from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest
from asset_factories import an_asset, figures_of, refused, register_of, usd
from conftest import Api
from estimate_factories import (
    TOPDRESSING,
    Document,
    a_course,
    a_dressed_green,
    a_project,
    a_scope_item,
    an_area,
    an_edition,
    an_item,
    by_measure,
    money,
    priced,
    rounded,
)
from hypothesis import given
from hypothesis import strategies as st
from plan_factories import PLANS, PROJECTS, a_plan, a_plan_project, changed, faults, got, project_body
from python_calamine import CalamineWorkbook
from sqlalchemy import update
from swardcost_api.capital.asset_sizes import added_up
from swardcost_api.estimates.tables import EstimateRow
from swardcost_api.operations import XLSX
from swardcost_api.units import UNITS, exact_ratio, units_of
from swardcost_model.values import Quantity

THIS_YEAR = datetime.now(UTC).year


def an_incomplete_estimate(api: Api) -> Document:
    """Sand for one green that has no price."""
    project = a_project(api)
    a_scope_item(api, project, TOPDRESSING, [an_area(api, a_course(api))], by_measure("SAND", "sand_mass"))
    estimate = priced(api, project, an_edition(api, [an_item("SAND", None)]))
    assert estimate["complete"] is False
    return estimate


# Sizes and rates


def test_sizes_of_areas_are_added_up_exactly_in_the_unit_of_the_rate(api: Api) -> None:
    """A tenth of an acre, 0.1 and 0.2 square feet and 3 square yards: 4,356 + 0.3 + 27 square feet, x 2.15."""
    course = a_course(api)
    sizes = [("0.1", "acre"), ("0.1", "square_foot"), ("0.2", "square_foot"), ("3", "square_yard")]
    areas = [
        an_area(api, course, size={"value": value, "unit": unit}, name=f"Part {number}")
        for number, (value, unit) in enumerate(sizes)
    ]
    rate = {"by": "rate", "rate": usd("2.15"), "per": "square_foot"}
    found = figures_of(api, an_asset(api, area_ids=areas, replacement=rate))
    assert found["size"] == {"value": "4383.3", "unit": "square_foot"}
    assert found["replacement_cost"] == usd("9424.10")  # 9,424.095
    size, cost = (step for step in found["derivation"] if step["name"] in ("size", "replacement cost"))
    assert [(one["name"], one["value"], one["unit"]) for one in size["inputs"]] == [
        ("Part 0", "0.1", "acre"), ("Part 1", "0.1", "square_foot"), ("Part 2", "0.2", "square_foot"),
        ("Part 3", "3", "square_yard"),
    ]  # fmt: skip
    assert [one["value"] for one in cost["inputs"]] == ["4383.3", "2.15"]


def test_a_size_in_another_unit_than_its_rate_is_shown_in_that_of_the_rate(api: Api) -> None:
    """A hectare is 107,639.104167 square feet to six places (NIST Handbook 44, Appendix C: a foot is 0.3048 m)."""
    rate = {"by": "rate", "rate": usd("0.123456"), "per": "square_foot"}
    asset = an_asset(api, size={"value": "1", "unit": "hectare"}, replacement=rate)
    found = figures_of(api, asset)
    assert found["size"] == {"value": "107639.104167", "unit": "square_foot"}
    assert money(found["replacement_cost"]) == rounded(Decimal("107639.104167") * Decimal("0.123456"), "USD")
    assert asset["size"] == {"value": "1", "unit": "hectare"}


def test_what_is_shown_of_size_and_rate_gives_every_cost_to_the_cent(api: Api) -> None:
    course = a_course(api)
    sizes = ("0.137", "1.0009", "23.333333", "7.1")
    for place, per in enumerate(("square_foot", "square_meter", "acre", "thousand_square_feet")):
        areas = [an_area(api, course, size={"value": one, "unit": "acre"}) for one in sizes[: place + 1]]
        rate = {"by": "rate", "rate": usd(f"{place + 1}.987651"), "per": per}
        an_asset(api, f"A-{place}", area_ids=areas, replacement=rate)
    text = api.get("/assets/register", headers={"Accept": "text/csv"}).text
    rows = list(csv.DictReader(io.StringIO(text)))
    assert [row["size_unit"] for row in rows] == [
        "square foot",
        "square meter",
        "acre",
        "thousand square feet",
    ]
    for row in rows:
        assert rounded(Decimal(row["size"]) * Decimal(row["rate"]), "USD") == Decimal(row["replacement_cost"])


def test_a_stated_cost_counts_in_whole_cents(api: Api) -> None:
    for code in ("A", "B"):
        an_asset(api, code, replacement={"by": "stated", "cost": usd("0.015")})
    found = register_of(api)
    assert [one["figures"]["replacement_cost"] for one in found["items"]] == [usd("0.02"), usd("0.02")]
    assert found["replacement_cost"] == usd("0.04")


def test_an_amount_that_cannot_be_meant_is_named(api: Api) -> None:
    rate = {"by": "rate", "rate": usd("999999999999"), "per": "square_inch"}
    found = figures_of(api, an_asset(api, size={"value": "3", "unit": "acre"}, replacement=rate))
    assert found["replacement_cost"] is None
    assert found["missing"] == ["a replacement cost below 1,000,000,000,000 USD"]
    huge = {"by": "rate", "rate": usd("1"), "per": "square_inch"}
    unwritable = an_asset(api, "HUGE", size={"value": "999999999999", "unit": "acre"}, replacement=huge)
    assert figures_of(api, unwritable)["missing"] == ["a size that its rate fits"]
    for code in ("A", "B"):
        an_asset(api, code, replacement={"by": "stated", "cost": usd("999999999999")})
    answer = api.get("/assets/register")
    assert (answer.status_code, answer.json()["type"]) == (409, "/problems/wrong-state")


AREAS = st.sampled_from(units_of("area"))
SIZES = st.decimals(Decimal("0.000001"), Decimal("99999"), places=6)


@given(sizes=st.lists(st.tuples(SIZES, AREAS), min_size=1, max_size=30), unit=AREAS)
def test_sizes_added_up_are_within_half_a_last_place_of_the_exact_sum(
    sizes: Sequence[tuple[Decimal, str]], unit: str
) -> None:
    exact = Fraction(0)
    for value, own in sizes:
        ratio = exact_ratio(UNITS[own], UNITS[unit])
        assert ratio is not None
        exact += Fraction(value) * ratio
    found = added_up([Quantity(value=value, unit=own) for value, own in sizes], unit)
    if found is None:
        assert exact >= 10**12 or exact < Fraction(1, 10**6)
        return
    places = min(6, 12 - len(str(int(exact))))
    assert abs(Fraction(found) - exact) <= Fraction(1, 2 * 10**places)
    assert len(found.normalize().as_tuple().digits) <= 13
    reversed_sum = added_up([Quantity(value=value, unit=own) for value, own in reversed(sizes)], unit)
    assert reversed_sum == found


# What is not known


def test_an_incomplete_estimate_is_no_replacement_cost(api: Api) -> None:
    estimate = an_incomplete_estimate(api)
    named = {"by": "estimate", "estimate_id": estimate["id"]}
    asset = an_asset(api, "SAND", replacement=named)
    an_asset(api, "PUMP")
    found = register_of(api)
    sand = next(one["figures"] for one in found["items"] if one["asset"]["id"] == asset["id"])
    label = f"{estimate['number']} ({estimate['name']}), revision 1"
    assert (sand["replacement_cost"], sand["fully_funded"], sand["estimate"]) == (None, None, label)
    assert sand["missing"] == [f"its cost: estimate {label}, is incomplete"]
    assert (found["replacement_cost"], found["missing"]) == (usd("180000.00"), 1)


def test_a_plan_names_no_incomplete_estimate(api: Api) -> None:
    estimate, plan = an_incomplete_estimate(api), a_plan(api)
    body = project_body(None, estimate_id=estimate["id"])
    assert faults(api.post(f"{PLANS}/{plan['id']}/projects", json=body)) == ["/estimate_id"]
    assert got(api, f"{PLANS}/{plan['id']}/figures")["projects"] == []
    project = a_plan_project(api, plan, None, estimate_id=a_dressed_green(api)["id"])
    fields = body | {"name": project["name"]}
    answer = api.put(f"{PROJECTS}/{project['id']}", json=fields, headers={"If-Match": '"1"'})
    assert faults(answer) == ["/estimate_id"]
    assert "which has gaps" in answer.json()["faults"][0]["got"]


def test_a_plan_counts_no_estimate_that_has_gaps(api: Api) -> None:
    """As a plan may hold one from before gaps were refused."""
    estimate, plan = a_dressed_green(api), a_plan(api)
    a_plan_project(api, plan, None, name="Sand", estimate_id=estimate["id"], year=2028)
    with api.database.writing() as session:
        session.execute(update(EstimateRow).values(complete=False))
    found = got(api, f"{PLANS}/{plan['id']}/figures")
    (project,) = found["projects"]
    assert (project["cost_at_price_year"], project["cost_basis"]) == (None, "Not known.")
    label = f"{estimate['number']} ({estimate['name']}), revision 1"
    words = f"Project 1 (Sand) has no cost: estimate {label}, is incomplete."
    assert words in [one["words"] for one in found["missing"]]
    assert all(money(year["capital_spending"]) == 0 for year in found["years"])


# What is refused


@pytest.mark.parametrize(
    ("name", "value", "pointer"),
    [
        ("in_use_since", "{year}", "/in_use_since"),
        ("condition", {"grade": 3, "on": "{year}-01-01"}, "/condition/on"),
        (
            "book",
            {"cost": usd("10.00"), "in_service_on": "{year}-01-01", "life_years": 5},
            "/book/in_service_on",
        ),
    ],
)
def test_what_is_dated_more_than_five_years_ahead_is_refused(
    api: Api, name: str, value: Any, pointer: str
) -> None:
    def in_year(year: int) -> Any:
        if isinstance(value, str):
            return year
        return {key: one.format(year=year) if isinstance(one, str) else one for key, one in value.items()}

    assert [where for where, _ in refused(api, **{name: in_year(THIS_YEAR + 6)})] == [pointer]
    an_asset(api, "SOON", **{name: in_year(THIS_YEAR + 5)})
    # The clock is the service's own: a year later, one year more is near enough.
    api.clock.shift = timedelta(days=366)
    an_asset(api.as_role("controller"), "LATER", **{name: in_year(THIS_YEAR + 6)})


def test_an_asset_that_a_draft_replaces_is_not_deleted(api: Api) -> None:
    pump, plan = an_asset(api), a_plan(api, name="Ten years")
    project = a_plan_project(api, plan, name="Pumps", asset_ids=[pump["id"]], year=2028)
    place = f"/assets/{pump['id']}"
    answer = api.delete(place, headers={"If-Match": '"1"'})
    assert (answer.status_code, answer.json()["type"]) == (409, "/problems/in-use")
    assert answer.json()["detail"] == (
        "Asset PUMP-1 (Asset PUMP-1) cannot be deleted. It is replaced by project 1 (Pumps) of the capital plan "
        "'Ten years'."
    )
    assert api.get(place).json() == pump
    changed(api, PROJECTS, project, asset_ids=[])
    assert api.delete(place, headers={"If-Match": '"1"'}).status_code == 204


def test_an_issued_plan_keeps_its_copy_of_an_asset_that_is_deleted(api: Api) -> None:
    pump, plan = an_asset(api), a_plan(api)
    a_plan_project(api, plan, None, name="Pumps", asset_ids=[pump["id"]], year=2028)
    issued = api.post(f"{PLANS}/{plan['id']}/issue")
    assert issued.status_code == 200, issued.text
    before = got(api, f"{PLANS}/{plan['id']}/figures")
    assert api.delete(f"/assets/{pump['id']}", headers={"If-Match": '"1"'}).status_code == 204
    assert got(api, f"{PLANS}/{plan['id']}/figures")["projects"] == before["projects"]


def test_another_clubs_draft_does_not_hold_an_asset(api: Api) -> None:
    pump, other = an_asset(api), api.of_new_club("stone-weir")
    foreign = a_plan(other)
    body = project_body(None, asset_ids=[pump["id"]])
    assert faults(other.post(f"{PLANS}/{foreign['id']}/projects", json=body)) == ["/asset_ids/0"]
    assert api.delete(f"/assets/{pump['id']}", headers={"If-Match": '"1"'}).status_code == 204


# The register as a file


def a_register(api: Api) -> None:
    course = a_course(api)
    areas = [
        an_area(api, course, size, name=name) for size, name in (("6000", "Green 1"), ("5000.5", "Green 2"))
    ]
    an_asset(
        api, "GREENS", kind="green", area_ids=areas, in_use_since=2006,
        life={"low": "15", "likely": "22.5", "high": "30"},
        replacement={"by": "rate", "rate": usd("9.255"), "per": "square_foot"}, cost_range=["90", "135"],
        condition={"grade": 2, "on": "2025-10-01", "by": "Superintendent"}, growth_group="Turf", note="=1+1",
        book={"cost": usd("90000.00"), "in_service_on": "2006-06-01", "life_years": 20, "salvage": usd("5000.00")},
    )  # fmt: skip
    an_asset(api, "PUMP-1")
    an_asset(
        api,
        "SAND",
        kind="bunker_sand",
        replacement={"by": "estimate", "estimate_id": a_dressed_green(api)["id"]},
    )
    an_asset(api, "UNKNOWN", kind="wall", replacement=None)


def test_the_register_as_csv_has_all_that_is_stated_and_computed(api: Api) -> None:
    a_register(api)
    text = api.get("/assets/register?year=2026", headers={"Accept": "text/csv"}).text
    greens, pump, sand, unknown = csv.DictReader(io.StringIO(text))
    assert list(greens)[:4] == ["code", "name", "kind", "in_use_since"]
    assert greens == {
        "code": "GREENS", "name": "Asset GREENS", "kind": "green", "areas": "Green 1; Green 2", "in_use_since": "2006",
        "age": "20", "condition": "2", "condition_scale": "poor", "judged_on": "2025-10-01",
        "judged_by": "Superintendent", "judged_years_left": "", "life_low": "15", "life_likely": "22.5",
        "life_high": "30", "life_source": "stated by the club", "due_early": "2021", "due_in": "2029",
        "due_late": "2036", "remaining_life": "2.5", "size": "11000.5", "size_unit": "square foot",
        "cost_basis": "size x rate", "rate": "9.255", "rate_per": "square foot", "estimate": "",
        "replacement_cost": "101809.63", "fully_funded": "90497.45", "currency": "USD", "cost_low_percent": "90",
        "cost_high_percent": "135", "growth_group": "Turf", "replaced": "yes", "book_cost": "90000.00",
        "in_service_on": "2006-06-01", "book_life_years": "20", "salvage": "5000.00", "missing": "", "note": "'=1+1",
    }  # fmt: skip
    assert (pump["life_source"], pump["cost_basis"], pump["remaining_life"]) == (
        "published chart",
        "stated",
        "0",
    )
    assert sand["cost_basis"] == "estimate"
    assert sand["estimate"].endswith("revision 1")
    assert (unknown["replacement_cost"], unknown["fully_funded"]) == ("", "")
    assert (
        unknown["missing"] == "its life, which the chart does not give for this kind; what another one costs"
    )


def test_the_register_as_a_workbook_adds_itself_up(api: Api) -> None:
    a_register(api)
    found = register_of(api)
    content = api.get("/assets/register?year=2026", headers={"Accept": XLSX}).content
    book = CalamineWorkbook.from_filelike(io.BytesIO(content))
    header, *rows = book.get_sheet_by_name("Assets").to_python()
    at = {name: place for place, name in enumerate(header)}
    numeric = (
        "in use since",
        "age",
        "life likely",
        "due in",
        "remaining life",
        "size",
        "rate",
        "replacement cost",
    )
    assert all(isinstance(rows[0][at[name]], float) for name in numeric)
    for column in ("replacement cost", "fully funded"):
        shown = [Decimal(str(row[at[column]])) for row in rows[:-1] if row[at[column]] != ""]
        name = column.replace(" ", "_")
        assert sum(shown) == money(found[name]) == Decimal(str(rows[-1][at[column]]))
        formula = formulas_of(content)[f"{letters(at[column])}6"]
        assert formula == f"SUM({letters(at[column])}2:{letters(at[column])}5)"
    assert rows[-1][at["missing"]] == "1 with something not known"
    assert [row[0] for row in book.get_sheet_by_name("How").to_python()][1:4] == ["condition", "life", "due"]


def test_an_empty_register_sums_to_nothing(api: Api) -> None:
    content = api.get("/assets/register", headers={"Accept": XLSX}).content
    _, total = CalamineWorkbook.from_filelike(io.BytesIO(content)).get_sheet_by_name("Assets").to_python()
    assert [cell for cell in total if cell != ""][1:3] == [0.0, 0.0]


def formulas_of(workbook: bytes) -> dict[str, str]:
    """The formulas of its first sheet, by cell."""
    with zipfile.ZipFile(io.BytesIO(workbook)) as parts:
        sheet = parts.read("xl/worksheets/sheet1.xml").decode()
    return dict(re.findall(r'<c r="([A-Z]+[0-9]+)"[^>]*><f>([^<]*)</f>', sheet))


def letters(place: int) -> str:
    """The letters of a column by its place from zero."""
    return (letters(place // 26 - 1) if place >= 26 else "") + chr(ord("A") + place % 26)
