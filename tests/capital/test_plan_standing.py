"""A locked plan beside the money of its projects, on two projects of sand computed by hand."""

import csv
import io
from decimal import Decimal

from asset_factories import an_asset
from conftest import Api
from estimate_factories import Document, issued
from plan_factories import PLANS, PROJECTS, a_plan, a_plan_project, figures_of, got, usd
from progress_factories import acted, an_estimate_of_sand, it_is, locked, opened, refusal, spend
from python_calamine import CalamineWorkbook

XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


def a_season(api: Api) -> tuple[Document, list[Document]]:
    """A plan from 2026 on with 40,000 and 60,000 of estimates, 25,000 not opened, 8,000 deferred and 9,000 declined."""
    it_is(api, "2026-05-02")
    plan = a_plan(api, {"opening_reserve": usd("200000.00")}, first_year=2026, years=4, growth_percent="0")
    first, second = an_estimate_of_sand(api), an_estimate_of_sand(api, "1500")
    projects = [
        a_plan_project(api, plan, None, estimate_id=first["id"], year=2026),
        a_plan_project(
            api, plan, None, estimate_id=second["id"], year=2026,
            phases=[{"percent": "25"}, {"percent": "25"}, {"percent": "50"}],
        ),
        a_plan_project(api, plan, "25000.00", year=2027),
        a_plan_project(api, plan, "8000.00", year=2026),
        a_plan_project(api, plan, "9000.00", year=2028),
    ]  # fmt: skip
    for one in (first, second):
        issued(api, one["id"])
    locked(
        api, plan, project_4={"decided": "deferred", "deferred_to": 2029}, project_5={"decided": "declined"}
    )
    budgets = [opened(api, one)["budget_id"] for one in projects[:2]]
    spend(api, budgets[0], "2026-02-03 30000.00", "2027-01-15 14000.00")
    spend(api, budgets[1], "2025-12-30 500.00", "2026-03-03 9500.00")
    return plan, projects


def standing_of(api: Api, plan: Document, through: str = "2026-12") -> Document:
    return got(api, f"{PLANS}/{plan['id']}/standing?through={through}")


def amounts(rows: list[Document], *names: str) -> list[tuple[str | None, ...]]:
    return [tuple(None if row[name] is None else row[name]["amount"] for name in names) for row in rows]


def test_projects_are_told_with_what_was_spent_and_what_is_to_come(api: Api) -> None:
    plan, _ = a_season(api)
    found = standing_of(api, plan)
    assert amounts(found["projects"], "planned", "budget", "actual", "to_come", "expected", "difference") == [
        ("40000.00", "40000.00", "30000.00", "10000.00", "40000.00", "0.00"),
        ("60000.00", "60000.00", "10000.00", "50000.00", "60000.00", "0.00"),
        ("25000.00", None, None, "25000.00", "25000.00", "0.00"),
        ("8000.00", None, None, "8000.00", "8000.00", "0.00"),
        ("9000.00", None, None, "0.00", "0.00", "-9000.00"),
    ]
    assert [one["stage"] for one in found["projects"]] == [
        "budgeted", "budgeted", "not_opened", "not_opened", "not_opened",
    ]  # fmt: skip
    # A month later the first is 4,000 over its budget.
    later = standing_of(api, plan, "2027-01")
    first = later["projects"][0]
    assert (first["actual"], first["to_come"], first["difference"]) == (
        usd("44000.00"),
        usd("0.00"),
        usd("4000.00"),
    )
    assert first["percent_of_planned"] == "110.0"
    assert any("most 1 (" in one and "by 4,000.00 USD" in one for one in later["conclusions"])


def test_years_are_what_was_spent_in_them_and_what_is_to_come_in_them(api: Api) -> None:
    """Of the second project's 50,000, the phases of 2026 to 2028 take 25, 25 and 50 percent; the first's 10,000 is to
    come in 2026; 500 was paid before the plan. Closings are 200,000 less what is spent."""
    plan, _ = a_season(api)
    years = standing_of(api, plan)["years"]
    assert amounts(
        years, "planned_spending", "actual_spending", "to_come", "closing_planned", "closing_expected"
    ) == [
        ("63000.00", "39500.00", "22500.00", "137000.00", "138000.00"),
        ("40000.00", "0.00", "37500.00", "97000.00", "100500.00"),
        ("39000.00", "0.00", "25000.00", "58000.00", "75500.00"),
        ("0.00", "0.00", "8000.00", "58000.00", "67500.00"),
    ]
    planned = figures_of(api, plan)["years"]
    assert [one["closing_planned"] for one in years] == [one["closing"] for one in planned]


def test_what_was_not_begun_in_its_year_is_to_come_in_the_months_year(api: Api) -> None:
    plan, _ = a_season(api)
    found = standing_of(api, plan, "2028-03")
    third = found["projects"][2]
    assert third["words"] == "Approved and not opened: as planned, in 2028; it was dated in 2027."
    to_come = [one["to_come"]["amount"] for one in found["years"]]
    # 50,000 of the second project fall in its last phase; 25,000 of the third are late.
    assert to_come == ["0.00", "0.00", "75000.00", "8000.00"]


def test_a_finished_project_has_nothing_to_come(api: Api) -> None:
    plan, projects = a_season(api)
    acted(api, f"{PROJECTS}/{projects[0]['id']}/complete", year=2026)
    first = standing_of(api, plan)["projects"][0]
    assert (first["stage"], first["to_come"], first["difference"]) == (
        "finished",
        usd("0.00"),
        usd("-10000.00"),
    )
    assert first["words"] == "Finished in 2026 for 30,000.00 USD."
    (step,) = first["derivation"]
    assert step["formula"] == "actual + accrued + to come"


def test_a_project_finished_without_a_budget_has_nothing_to_come_and_counts_as_planned(api: Api) -> None:
    """100,000 less the 25,000 planned, though nobody knows what it cost."""
    it_is(api, "2026-05-02")
    plan = a_plan(api, {"opening_reserve": usd("100000.00")}, first_year=2026, years=2, growth_percent="0")
    project = a_plan_project(api, plan, "25000.00", year=2026)
    locked(api, plan)
    opened(api, project)
    acted(api, f"{PROJECTS}/{project['id']}/complete", year=2026)
    found = standing_of(api, plan)
    assert amounts(found["projects"], "planned", "budget", "actual", "to_come", "expected", "difference") == [
        ("25000.00", None, None, "0.00", "25000.00", "0.00")
    ]
    assert found["projects"][0]["words"] == (
        "Finished in 2026; without a budget nobody knows what it cost, so it counts as planned."
    )
    assert amounts(
        found["years"], "actual_spending", "to_come", "finished_as_planned", "expected_spending", "closing_expected"
    ) == [
        ("0.00", "0.00", "25000.00", "25000.00", "75000.00"),
        ("0.00", "0.00", "0.00", "0.00", "75000.00"),
    ]  # fmt: skip
    assert found["expected"] == usd("25000.00")


def test_what_is_to_come_of_a_project_without_a_known_cost_is_left_empty_unless_it_was_declined(
    api: Api,
) -> None:
    it_is(api, "2026-05-02")
    plan = a_plan(api, {"opening_reserve": usd("100000.00")}, first_year=2026, years=4)
    for number in range(1, 6):
        asset = an_asset(api, f"A-{number}", replacement=None)
        a_plan_project(api, plan, None, asset_ids=[asset["id"]], year=2026, name=f"Project {number}")
    locked(
        api, plan, project_2={"decided": "deferred", "deferred_to": 2028}, project_3={"decided": "deferred"},
        project_4={"decided": "declined"},
    )  # fmt: skip
    finished = got(api, f"{PLANS}/{plan['id']}/projects")["items"][4]
    opened(api, finished)
    acted(api, f"{PROJECTS}/{finished['id']}/complete", year=2026, renew_assets=False)
    found = standing_of(api, plan)["projects"]
    assert amounts(found, "to_come", "expected") == [
        (None, None), (None, None), (None, None), ("0.00", "0.00"), ("0.00", None),
    ]  # fmt: skip
    assert [one["words"] for one in found] == [
        "Nobody knows what it costs; in no year.", "Deferred to 2028. Nobody knows what it costs.",
        "Deferred to no year in particular; in no year. Nobody knows what it costs.", "Declined; nothing is to come.",
        "Finished in 2026; without a budget nobody knows what it cost.",
    ]  # fmt: skip


def test_faces_have_the_same_figures(api: Api) -> None:
    plan, _ = a_season(api)
    found = standing_of(api, plan)
    place = f"{PLANS}/{plan['id']}/standing?through=2026-12"
    rows = list(csv.DictReader(io.StringIO(api.get(place, headers={"Accept": "text/csv"}).text)))
    assert [row["expected"] for row in rows] == [one["expected"]["amount"] for one in found["projects"]]
    book = CalamineWorkbook.from_filelike(
        io.BytesIO(api.get(place, headers={"Accept": XLSX}).content)
    )  # fmt: skip
    table = book.get_sheet_by_name("Years").to_python()
    head = next(place for place, row in enumerate(table) if row[0] == "year")
    column = table[head].index("closing expected")
    assert [Decimal(str(row[column])) for row in table[head + 1 : head + 5]] == [
        Decimal(one["closing_expected"]["amount"]) for one in found["years"]
    ]
    svg = api.get(place, headers={"Accept": "image/svg+xml"}).text
    assert "As planned" in svg
    assert "As expected" in svg


def test_a_draft_has_no_standing_and_another_club_sees_none(api: Api) -> None:
    draft = a_plan(api)
    answer = api.get(f"{PLANS}/{draft['id']}/standing")
    assert (answer.status_code, answer.json()["type"].rsplit("/", 1)[1]) == (409, "wrong-state")
    plan, projects = a_season(api)
    other = api.of_new_club("heath")
    assert other.get(f"{PLANS}/{plan['id']}/standing").status_code == 404
    assert refusal(other, f"{PROJECTS}/{projects[0]['id']}/complete", year=2026) == (404, "not-found")
    assert api.get(f"{PLANS}/{plan['id']}/standing?through=2026-13").status_code == 400
