"""Budget versus actual through the API: postings imported, assigned by rules, and compared."""

import csv
import io
from datetime import date, timedelta
from decimal import ROUND_HALF_UP, Decimal
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
    money,
    priced,
    stated,
)
from hypothesis import given, settings
from hypothesis import strategies as st

Document = dict[str, Any]
Row = tuple[str, str, str, str]
"""Date, account, description and amount of a row of an accounting export."""


def posted(api: Api, *rows: Row) -> None:
    """Import an export of these rows."""
    profiles = api.get("/ledger/profiles").json()["items"]
    columns = {name: name for name in ("date", "account", "description", "amount")}
    profile = (
        profiles[0] if profiles else api.created("/ledger/profiles", {"name": "Detail", "columns": columns})
    )
    out = io.StringIO()
    csv.writer(out).writerows([tuple(columns), *rows])
    path = f"/ledger/imports/upload?profile_id={profile['id']}"
    response = api.upload(path, out.getvalue())
    assert response.status_code == 201, response.text


def a_rule(api: Api, budget: Document, line: int, priority: int = 100, **conditions: Any) -> None:
    body = {
        "budget_id": budget["id"], "budget_line_id": budget["lines"][line - 1]["id"], "priority": priority,
        "name": f"Rule {uuid4()}", "conditions": conditions,
    }  # fmt: skip
    api.created("/ledger/rules", body)


def a_budget(api: Api, *markups: Document, **project: Any) -> Document:
    """Dress for 1,000.00 of sand and 500.00 of crew, mow for 300.00 of crew, and a free gift."""
    project_id = a_project(api, **project)
    a_scope_item(
        api, project_id, LUMP, [], stated("SAND", "1", "each"), stated("CREW", "5", "hour"), name="Dress"
    )
    a_scope_item(
        api, project_id, LUMP, [], stated("CREW", "3", "hour"), stated("GIFT", "1", "each"), name="Mow"
    )
    items = [
        an_item("SAND", "1000", unit="each"),
        an_item("CREW", "100", unit="hour", taxable=False, account="1510"),
        an_item("GIFT", "0", unit="each", free=True, account=None),
    ]
    return budget_of(api, priced(api, project_id, an_edition(api, items), *markups))


def report_on(api: Api, budget: Document) -> Document:
    response = api.get(f"/budgets/{budget['id']}/report")
    assert response.status_code == 200, response.text
    report: Document = response.json()
    adds_up(report)
    return report


def rows_by(report: Document, heading: str) -> list[Document]:
    rows: list[Document] = next(section["rows"] for section in report["sections"] if section["by"] == heading)
    return rows


def figures(row: Document) -> tuple[str, str, str | None, str, int]:
    return (
        row["budget"]["amount"], row["actual"]["amount"], row["percent"], row["variance"]["amount"], row["postings"],
    )  # fmt: skip


def adds_up(report: Document) -> None:
    """Whatever the report is about: rows sum to the total, and the columns follow from budget and actual."""
    total = report["total"]
    assert money(report["assigned"]) + money(report["unassigned"]) == money(total["actual"])
    assert money(report["all_postings"]) == money(total["actual"]) + money(report["assigned_elsewhere"])
    assert money(total["budget"]) == money(report["budget"]["total"])
    assert [section["by"] for section in report["sections"]] == ["line", "account", "month", "scope_item"]
    for section in report["sections"]:
        for column in ("budget", "actual", "remaining", "variance"):
            assert sum(money(row[column]) for row in section["rows"]) == money(total[column]), section["by"]
        assert sum(row["postings"] for row in section["rows"]) == total["postings"]
        headings = [(row["key"], row["label"]) for row in section["rows"]]
        assert len(set(headings)) == len(headings), headings
    for row in [total, *(row for section in report["sections"] for row in section["rows"])]:
        budget, actual = money(row["budget"]), money(row["actual"])
        assert (money(row["remaining"]), money(row["variance"])) == (budget - actual, actual - budget)
        if budget == 0:
            assert row["percent"] is None
        else:
            assert Decimal(row["percent"]) == (actual * 100 / budget).quantize(Decimal("0.1"), ROUND_HALF_UP)


def test_before_anything_is_posted_the_whole_budget_remains(api: Api) -> None:
    report = report_on(api, a_budget(api))
    assert figures(report["total"]) == ("1800.00", "0.00", "0.0", "-1800.00", 0)
    assert all(row["label"] != "Unassigned" for section in report["sections"] for row in section["rows"])


def test_postings_are_compared_by_line_account_month_and_work(api: Api) -> None:
    budget = a_budget(api, {"kind": "contingency", "percent": "10", "account": "1599"})
    a_rule(api, budget, 1, account="1520-10")
    a_rule(api, budget, 2, account="1510")
    posted(
        api,
        ("2026-08-05", "1520-10", "Sand", "900.00"),
        ("2026-09-05", "1520-10", "Sand", "250.50"),
        ("2026-09-07", "1510", "Crew", "400"),
        ("2027-01-31", "6100", "Fuel", "75.25"),
    )
    report = report_on(api, budget)
    assert figures(report["total"]) == ("1980.00", "1625.75", "82.1", "-354.25", 4)
    assert (report["assigned"]["amount"], report["unassigned"]["amount"]) == ("1550.50", "75.25")
    lines = {row["key"]: figures(row) for row in rows_by(report, "line")}
    assert lines["1"] == ("1000.00", "1150.50", "115.1", "150.50", 2)
    assert lines["2"] == ("500.00", "400.00", "80.0", "-100.00", 1)
    assert lines[None] == ("0.00", "75.25", None, "75.25", 1)
    accounts = {row["label"]: figures(row)[:2] for row in rows_by(report, "account")}
    assert accounts == {
        "1510": ("800.00", "400.00"), "1520-10": ("1000.00", "1150.50"), "1599": ("180.00", "0.00"),
        "No account": ("0.00", "0.00"), "Unassigned": ("0.00", "75.25"),
    }  # fmt: skip
    months = {row["key"]: row["actual"]["amount"] for row in rows_by(report, "month")}
    assert months == {"2026-08": "900.00", "2026-09": "650.50", "2026-10": "0.00", "2027-01": "75.25"}
    work = {row["label"]: figures(row)[:2] for row in rows_by(report, "scope_item")}
    assert work == {
        "Dress": ("1500.00", "1550.50"), "Mow": ("300.00", "0.00"), "Contingency": ("180.00", "0.00"),
        "Unassigned": ("0.00", "75.25"),
    }  # fmt: skip


def test_credits_are_taken_off_and_may_leave_less_than_nothing(api: Api) -> None:
    budget = a_budget(api)
    a_rule(api, budget, 1, account="1520-10")
    posted(
        api,
        ("2026-08-05", "1520-10", "Sand", "100.00"),
        ("2026-08-06", "1520-10", "Sand returned", "(350.25)"),
        ("2026-08-07", "9999", "Rebate", "-0.01"),
    )
    report = report_on(api, budget)
    assert figures(rows_by(report, "line")[0]) == ("1000.00", "-250.25", "-25.0", "-1250.25", 2)
    assert figures(report["total"]) == ("1800.00", "-250.26", "-13.9", "-2050.26", 3)


def test_postings_of_another_budget_stay_out_and_are_accounted_for(api: Api) -> None:
    one, other = a_budget(api), a_budget(api)
    a_rule(api, one, 1, text_contains="first")
    a_rule(api, other, 1, text_contains="second")
    posted(
        api, ("2026-08-05", "1520-10", "first", "10"), ("2026-08-05", "1520-10", "second", "20"),
        ("2026-08-05", "1520-10", "neither", "40"),
    )  # fmt: skip
    for budget, assigned, elsewhere in ((one, "10.00", "20.00"), (other, "20.00", "10.00")):
        report = report_on(api, budget)
        assert (report["assigned"]["amount"], report["assigned_elsewhere"]["amount"]) == (assigned, elsewhere)
        assert (report["unassigned"]["amount"], report["unassigned_postings"]) == ("40.00", 1)
        assert report["all_postings"]["amount"] == "70.00"


def test_a_ledger_account_of_any_name_keeps_its_own_row(api: Api) -> None:
    budget = a_budget(api)
    names = ["unassigned", "No account", "Unassigned", "=1+1", "None", "total"]
    for name in names:
        a_rule(api, budget, 1, account=name)
    posted(api, *[("2026-08-05", name, "Sand", "1") for name in names], ("2026-08-05", "other", "Sand", "5"))
    rows = rows_by(report_on(api, budget), "account")
    found = [(row["label"], row["actual"]["amount"]) for row in rows if row["postings"]]
    assert sorted(found) == sorted([*((name, "1.00") for name in names), ("Unassigned", "5.00")])


def test_a_posting_assigned_by_hand_moves_in_the_report(api: Api) -> None:
    budget = a_budget(api)
    posted(api, ("2026-08-05", "1520-10", "Sand", "10"))
    posting = api.get("/ledger/postings").json()["items"][0]["id"]
    for line, expected in ((budget["lines"][2]["id"], ("10.00", "0.00")), (None, ("0.00", "10.00"))):
        body = {"budget_line_id": line, "reason": "Seen with the crew"}
        assert api.post(f"/ledger/postings/{posting}/assign", json=body).status_code == 200
        report = report_on(api, budget)
        assert (report["assigned"]["amount"], report["unassigned"]["amount"]) == expected


def test_the_csv_of_a_report_says_what_the_json_says(api: Api) -> None:
    budget = a_budget(api, {"kind": "tax", "percent": "7.25"})
    a_rule(api, budget, 1, account_prefix="=")
    posted(api, ("2026-08-05", "=1+1", "Sand", "900.00"), ("2026-11-05", "-2", "Sand", "-20"))
    report = report_on(api, budget)
    response = api.get(f"/budgets/{budget['id']}/report", headers={"Accept": "text/csv"})
    rows = list(csv.DictReader(io.StringIO(response.text), strict=True))
    told = [(section["by"], row) for section in report["sections"] for row in section["rows"]]
    told += [("assigned", report["to_this_budget"]), ("total", report["total"])]
    assert len(rows) == len(told)
    for cells, (by, row) in zip(rows, told, strict=True):
        assert (cells["by"], cells["label"].removeprefix("'")) == (by, row["label"])
        assert cells["key"].removeprefix("'") == (row["key"] or "")
        for name in ("budget", "actual", "remaining", "variance"):
            assert (cells[name], cells["currency"]) == (row[name]["amount"], "USD")
        assert (cells["percent"], cells["postings"]) == (row["percent"] or "", str(row["postings"]))
        assert not cells["key"].startswith(("=", "-"))
        assert not cells["label"].startswith(("=", "-"))


def test_a_report_is_of_its_club_alone(api: Api) -> None:
    budget = budget_of(api, a_dressed_green(api))
    stranger = api.of_new_club("stone-weir")
    posted(stranger, ("2026-08-05", "1520-10", "Sand", "10"))
    assert report_on(api, budget)["all_postings"]["amount"] == "0.00"
    assert stranger.get(f"/budgets/{budget['id']}/report").status_code == 404
    assert api.get(f"/budgets/{uuid4()}/report").status_code == 404
    for role in ("superintendent", "controller", "committee", "integrator"):
        assert api.as_role(role).get(f"/budgets/{budget['id']}/report").status_code == 200


def test_a_cent_budgeted_for_a_fortune_has_no_percent(api: Api) -> None:
    project = a_project(api)
    a_scope_item(api, project, LUMP, [], stated("FEE", "1", "each"))
    edition = an_edition(api, [an_item("FEE", "0.01", unit="each")])
    budget = budget_of(api, priced(api, project, edition))
    posted(api, *[("2026-08-05", "1", "Fee", "9999999999.98"), ("2026-08-06", "1", "Fee", "9999999999.99")])
    response = api.get(f"/budgets/{budget['id']}/report")
    assert response.status_code == 200, response.text
    assert response.json()["total"]["percent"] is None


@pytest.mark.parametrize(("currency", "amount"), [("JPY", "1234"), ("KWD", "1234.567")])
def test_a_report_keeps_the_decimals_of_the_currency(api: Api, currency: str, amount: str) -> None:
    club = api.of_new_club("stone-weir", currency)
    project = a_project(club)
    a_scope_item(club, project, LUMP, [], stated("FEE", "1", "each"))
    edition = an_edition(club, [an_item("FEE", amount, currency, unit="each")])
    budget = budget_of(club, priced(club, project, edition))
    posted(club, ("2026-08-05", "1", "Fee", amount))
    total = report_on(club, budget)["total"]
    assert (total["actual"], total["percent"]) == ({"amount": amount, "currency": currency}, "100.0")


ACCOUNTS = ["1510", "1520-10", "1520-20", "6100", "unassigned"]
WORDS = ["sand", "sod", "crew", "fuel"]
_ROWS = st.lists(
    st.tuples(
        st.dates(date(2026, 7, 1), date(2027, 2, 28)).map(str),
        st.sampled_from(ACCOUNTS),
        st.sampled_from(WORDS),
        st.integers(-(10**6), 10**6).map(lambda cents: f"{Decimal(cents) / 100:.2f}"),
    ),
    max_size=25,
)
_CONDITIONS = st.fixed_dictionaries(
    {},
    optional={
        "account_prefix": st.sampled_from(["15", "1520", "6", "un"]),
        "text_contains": st.sampled_from(["SAND", "o", "crew"]),
        "amount_min": st.integers(-500, 500).map(lambda dollars: {"amount": f"{dollars}", "currency": "USD"}),
        "date_to": st.dates(date(2026, 8, 1), date(2026, 12, 31)).map(str),
    },
).filter(bool)


def takes(conditions: Document, row: Row) -> bool:
    """Whether a rule's conditions hold for a row, read off the words of the documentation."""
    day, account, text, amount = row
    return (
        account.startswith(conditions.get("account_prefix", ""))
        and conditions.get("text_contains", "").lower() in text.lower()
        and Decimal(amount) >= Decimal(conditions.get("amount_min", {"amount": "-99999"})["amount"])
        and day <= conditions.get("date_to", "9999-12-31")
    )


@settings(max_examples=20)
@given(data=st.data())
def test_every_posting_is_in_the_report_once_wherever_rules_put_it(api: Api, data: st.DataObject) -> None:
    club = api.of_new_club(f"club-{uuid4().hex[:12]}")
    budgets = [a_budget(club), a_budget(club, {"kind": "tax", "percent": "7.25"})]
    rules = []
    for priority in range(data.draw(st.integers(0, 4))):
        place = (data.draw(st.sampled_from([0, 1])), data.draw(st.integers(1, 4)))
        conditions = data.draw(_CONDITIONS)
        a_rule(club, budgets[place[0]], place[1], priority, **conditions)
        rules.append((conditions, place))
    rows = data.draw(_ROWS)
    posted(club, *rows)
    places = [next((place for conditions, place in rules if takes(conditions, row)), None) for row in rows]
    amounts = [Decimal(row[3]) for row in rows]
    for index, budget in enumerate(budgets):
        report = report_on(club, budget)
        assert money(report["all_postings"]) == sum(amounts)
        shown = [place is None or place[0] == index for place in places]
        assert money(report["total"]["actual"]) == sum(
            a for a, here in zip(amounts, shown, strict=True) if here
        )
        assert report["unassigned_postings"] == places.count(None)
        for row in rows_by(report, "line"):
            wanted = None if row["key"] is None else (index, int(row["key"]))
            found = [a for a, place in zip(amounts, places, strict=True) if place == wanted]
            assert (money(row["actual"]), row["postings"]) == (sum(found), len(found))
        for row in rows_by(report, "month"):
            of_month = [here and line[0][:7] == row["key"] for line, here in zip(rows, shown, strict=True)]
            found = [a for a, here in zip(amounts, of_month, strict=True) if here]
            assert (money(row["actual"]), row["postings"]) == (sum(found), len(found))


def test_a_report_of_many_months_keeps_them_in_order(api: Api) -> None:
    budget = a_budget(api, starts_on="2026-11-15", ends_on="2028-02-03")
    first = date(2026, 1, 10)
    posted(api, *[(str(first + timedelta(31 * n)), "1", f"Row {n}", "1") for n in range(30)])
    months = [row["key"] for row in rows_by(report_on(api, budget), "month")]
    assert months == sorted(set(months))
    assert months[0] == "2026-01"
