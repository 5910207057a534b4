"""Budgets that accepted estimates open, read through the API."""

from calendar import monthrange
from datetime import date, timedelta
from typing import Any
from uuid import uuid4

import pytest
from conftest import Api
from estimate_factories import (
    LUMP,
    a_dressed_green,
    a_project,
    a_scope_item,
    an_edition,
    an_item,
    budget_of,
    lines_of,
    money,
    priced,
    stated,
)


def a_budget(api: Api, *markups: dict[str, Any], **project: Any) -> dict[str, Any]:
    """Two pieces of work under three accounts."""
    project_id = a_project(api, **project)
    sand, crew = stated("SAND", "33.33", "short_ton"), stated("CREW", "10.01", "hour")
    a_scope_item(api, project_id, LUMP, [], sand, crew, stated("SAND", "1", "short_ton"), name="Dress")
    a_scope_item(api, project_id, LUMP, [], crew, stated("OTHER", "1", "each"), name="Mow")
    items = [
        an_item("SAND", "38.51"),
        an_item("CREW", "31.17", unit="hour", taxable=False, account="1510"),
        an_item("OTHER", "99.99", unit="each", account=None),
    ]
    return budget_of(api, priced(api, project_id, an_edition(api, items), *markups))


def told(budget: dict[str, Any]) -> list[tuple[str, str | None, str | None, str]]:
    return [
        (line["label"], line["markup"], line["account"], line["amount"]["amount"]) for line in budget["lines"]
    ]


def test_lines_gather_the_estimate_by_work_and_account(api: Api) -> None:
    budget = a_budget(api)
    assert told(budget) == [
        ("Dress", None, "1520-10", "1322.05"),
        ("Dress", None, "1510", "312.01"),
        ("Mow", None, "1510", "312.01"),
        ("Mow", None, None, "99.99"),
    ]
    assert [line["number"] for line in budget["lines"]] == [1, 2, 3, 4]
    assert budget["total"]["amount"] == "2046.06"


def test_items_of_one_account_have_lines_of_their_own_with_quantity_and_unit_price(api: Api) -> None:
    project = a_project(api)
    sand = stated("SAND", "21.5", "short_ton")
    a_scope_item(
        api, project, LUMP, [], sand, stated("SEED", "3", "bag"), stated("CREW", "8", "hour"), name="Dress"
    )
    delivered = {"form": "purchase", "delivery": {"by": "load", "load_size": "20", "charge": "150"}}
    items = [
        an_item("SAND", "38.51", terms=delivered),
        an_item("SEED", "90", unit="bag"),
        an_item("CREW", "31.17", unit="hour", taxable=False, account="1510"),
    ]
    budget = budget_of(api, priced(api, project, an_edition(api, items), {"kind": "tax", "percent": "7.25"}))
    lines = [
        (line["label"], line["scope_item"], line["quantity"], line["unit"], line["amount"]["amount"])
        for line in budget["lines"]
    ]
    assert lines == [
        ("Dress: SAND, as quoted", "Dress", "21.50", "short_ton", "1127.97"),  # 21.5 x 38.51 + 2 x 150
        ("Dress: SEED, as quoted", "Dress", "3", "bag", "270.00"),
        ("Dress", "Dress", "8.00", "hour", "249.36"),
        ("Tax on taxable items", None, None, None, "101.35"),
    ]
    prices = [line["unit_price"] and line["unit_price"]["amount"] for line in budget["lines"]]
    assert prices == ["52.463721", "90.00", "31.17", None]
    assert {(line["unplanned"], line["opened_by"]) for line in budget["lines"]} == {(False, None)}
    assert [line["current"] for line in budget["lines"]] == [line["amount"] for line in budget["lines"]]
    assert budget["current_total"] == budget["total"]


def test_what_has_no_single_unit_has_no_quantity(api: Api) -> None:
    project = a_project(api)
    a_scope_item(
        api, project, LUMP, [], stated("LOADER", "9", "hour"), starts_on="2026-09-07", ends_on="2026-09-14"
    )
    periods = [{"name": "day", "days": 1, "price": "400"}, {"name": "week", "days": 7, "price": "900"}]
    terms = {"form": "rental", "periods": periods, "hours_a_day": "1.5"}
    loader = an_item("LOADER", None, kind="rental", unit="hour", terms=terms)
    estimate = priced(api, project, an_edition(api, [loader]))
    units = {line["unit"] for line in lines_of(api, estimate["id"])}
    line = budget_of(api, estimate)["lines"][0]
    assert (len(units), line["quantity"], line["unit"], line["unit_price"]) == (2, None, None, None)


def test_each_line_is_spread_over_its_own_days_and_tax_over_what_it_rests_on(api: Api) -> None:
    project = a_project(api)  # August 1 to October 15
    days = {"starts_on": "2026-09-21", "ends_on": "2026-10-10"}
    a_scope_item(api, project, LUMP, [], stated("SAND", "1", "each"), name="Dress", **days)
    a_scope_item(api, project, LUMP, [], stated("CREW", "1", "each"), name="Mow")
    items = [
        an_item("SAND", "1000", unit="each"),
        an_item("CREW", "760", unit="each", taxable=False, account="1510"),
    ]
    markups = {"kind": "tax", "percent": "10"}, {"kind": "contingency", "percent": "10", "account": "1599"}
    budget = budget_of(api, priced(api, project, an_edition(api, items), *markups))
    months = [
        (line["label"], [(one["month"][5:], one["amount"]["amount"]) for one in line["months"]])
        for line in budget["lines"]
    ]
    assert months == [
        ("Dress", [("09", "500.00"), ("10", "500.00")]),
        ("Mow", [("08", "310.00"), ("09", "300.00"), ("10", "150.00")]),
        ("Tax on taxable items", [("09", "50.00"), ("10", "50.00")]),
        # 186.00 as the direct cost: 310, 800 and 650 of 1,760
        ("Contingency", [("08", "32.76"), ("09", "84.55"), ("10", "68.69")]),
    ]


def test_a_markup_without_an_account_follows_the_accounts_it_rests_on(api: Api) -> None:
    markups = [
        {"kind": "tax", "percent": "7.25"},
        {"kind": "overhead", "percent": "3.333"},
        {"kind": "contingency", "percent": "10", "account": "1599"},
    ]
    budget = a_budget(api, *markups)
    estimate = api.get(f"/estimates/{budget['estimate_id']}").json()
    assert budget["total"] == estimate["total"]
    assert sum(money(line["amount"]) for line in budget["lines"]) == money(estimate["total"])
    for markup in estimate["markups"]:
        lines = [line for line in budget["lines"] if line["markup"] == markup["kind"]]
        assert {line["label"] for line in lines} == {markup["label"]}
        assert {line["scope_item_id"] for line in lines} == {None}
        assert sum(money(line["amount"]) for line in lines) == money(markup["amount"])
    accounts = {
        kind: [account for _, markup, account, _ in told(budget) if markup == kind]
        for kind in ("tax", "overhead", "contingency")
    }
    assert accounts["tax"] == ["1520-10", None]
    assert accounts["overhead"] == ["1510", "1520-10", None]
    assert accounts["contingency"] == ["1599"]


@pytest.mark.parametrize(
    ("starts_on", "ends_on"),
    [
        ("2026-08-09", "2027-02-03"),
        ("2026-08-31", "2026-09-01"),
        ("2028-02-29", "2028-02-29"),
        ("2026-01-01", "2035-12-31"),
        ("1800-01-01", "1800-02-03"),
        ("1899-12-31", "1900-01-01"),
        ("2299-11-05", "2299-12-31"),
    ],
)
def test_months_share_each_line_by_days_and_sum_to_it(api: Api, starts_on: str, ends_on: str) -> None:
    budget = a_budget(api, {"kind": "tax", "percent": "7.25"}, starts_on=starts_on, ends_on=ends_on)
    first, last = date.fromisoformat(starts_on), date.fromisoformat(ends_on)
    months = sorted({(first + timedelta(n)).isoformat()[:7] for n in range((last - first).days + 1)})
    for line in budget["lines"]:
        assert [month["month"] for month in line["months"]] == months
        assert sum(money(month["amount"]) for month in line["months"]) == money(line["amount"])
        for month in line["months"]:
            year, number = int(month["month"][:4]), int(month["month"][5:])
            begin, end = date(year, number, 1), date(year, number, monthrange(year, number)[1])
            days = (min(end, last) - max(begin, first)).days + 1
            fair = float(money(line["amount"])) * days / ((last - first).days + 1)
            assert abs(float(money(month["amount"])) - fair) <= 0.01 + 1e-9


def test_a_budget_keeps_the_months_of_the_estimate_when_the_project_moves(api: Api) -> None:
    project = a_project(api)
    a_scope_item(api, project, LUMP, [], stated("SAND", "1", "short_ton"))
    estimate = priced(api, project, an_edition(api, [an_item("SAND")]))
    moved = {"name": "Moved", "starts_on": "2030-01-01", "ends_on": "2030-01-31"}
    assert api.put(f"/projects/{project}", json=moved, headers={"If-Match": '"1"'}).status_code == 200
    budget = budget_of(api, estimate)
    assert [month["month"] for month in budget["lines"][0]["months"]] == ["2026-08", "2026-09", "2026-10"]


def test_free_work_and_no_work_have_budgets_of_zero(api: Api) -> None:
    project = a_project(api)
    a_scope_item(api, project, LUMP, [], stated("MULCH", "1", "short_ton"))
    budget = budget_of(api, priced(api, project, an_edition(api, [an_item("MULCH", "0", free=True)])))
    assert (budget["total"]["amount"], told(budget)[0][3]) == ("0.00", "0.00")
    empty = priced(api, a_project(api), an_edition(api))
    assert api.post(f"/estimates/{empty['id']}/issue", json={"incomplete_because": "Test"}).status_code == 200
    budget_id = api.post(f"/estimates/{empty['id']}/accept", json={}).json()["budget_id"]
    assert api.get(f"/budgets/{budget_id}").json()["lines"] == []
    assert api.get(f"/budgets/{budget_id}/report").json()["total"]["percent"] is None


def test_budgets_are_listed_and_filtered_page_by_page(api: Api) -> None:
    made = [budget_of(api, a_dressed_green(api)) for _ in range(3)]
    seen, path = [], "/budgets?limit=2"
    while path:
        page = api.get(path)
        seen += page.json()["items"]
        path = page.links["next"]["url"] if "next" in page.links else ""
    assert seen == [{name: value for name, value in budget.items() if name != "lines"} for budget in made]
    of_project = api.get(f"/budgets?project_id={made[1]['project_id']}").json()["items"]
    assert [budget["id"] for budget in of_project] == [made[1]["id"]]
    assert api.get(f"/budgets?project_id={uuid4()}").json()["items"] == []


def test_every_role_reads_budgets_and_another_club_finds_none(api: Api) -> None:
    budget = budget_of(api, a_dressed_green(api))
    for role in ("superintendent", "controller", "committee", "integrator"):
        assert api.as_role(role).get(f"/budgets/{budget['id']}").json() == budget
    stranger = api.of_new_club("stone-weir")
    assert stranger.get(f"/budgets/{budget['id']}").status_code == 404
    assert stranger.get("/budgets").json()["items"] == []
    assert api.get(f"/budgets/{uuid4()}").status_code == 404


def test_opening_a_budget_leaves_its_trace(api: Api) -> None:
    budget = budget_of(api, a_dressed_green(api))
    entry = api.get(f"/audit?subject=budget&subject_id={budget['id']}").json()["items"][0]
    assert (entry["action"], entry["after"]["total_minor"]) == ("open", 24063)


@pytest.mark.parametrize(("currency", "total"), [("JPY", "100"), ("KWD", "100.005")])
def test_a_budget_is_kept_in_the_clubs_currency(api: Api, currency: str, total: str) -> None:
    club = api.of_new_club("stone-weir", currency)
    project = a_project(club)
    a_scope_item(club, project, LUMP, [], stated("FEE", "1", "each"))
    edition = an_edition(club, [an_item("FEE", total, currency, unit="each")])
    budget = budget_of(club, priced(club, project, edition))
    assert budget["total"] == {"amount": total, "currency": currency}
    assert sum(money(month["amount"]) for month in budget["lines"][0]["months"]) == money(budget["total"])
