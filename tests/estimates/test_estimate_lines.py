"""Reading and exporting the lines of an estimate through the API."""

import csv
import io

import pytest
from conftest import Api
from estimate_factories import (
    LUMP,
    Document,
    a_course,
    a_dressed_green,
    a_project,
    a_scope_item,
    accepted,
    an_area,
    an_edition,
    an_item,
    line_of,
    lines_of,
    priced,
    stated,
)

HOSTILE = ["=1+1", "+1", "-2", "@SUM(A1)", '=HYPERLINK("http://x")', "'", "''", '"', 'say "12 in"', "a,b;c\\d",
           "\u202etxt.exe", "\u200fabc\u200e", "🌱 é́", "null", "<script>", "%s{0}", "x" * 200, "=" * 200]  # fmt: skip


def exported(api: Api, estimate: Document) -> list[dict[str, str]]:
    response = api.get(f"/estimates/{estimate['id']}/export", headers={"Accept": "text/csv"})
    assert response.headers["content-type"].startswith("text/csv")
    return list(csv.DictReader(io.StringIO(response.text), strict=True))


def told(line: Document) -> dict[str, str]:
    """A line of the JSON as the CSV writes it, formula guards apart."""
    price, amount = line["unit_price"], line["amount"]
    cells = {name: line[name] for name in ("number", "group", "scope_item", "item", "part", "item_kind", "description",
                                           "vendor", "account", "quantity", "unit", "price_source", "starts_on",
                                           "ends_on")}  # fmt: skip
    cells |= {"taxable": "yes" if line["taxable"] else "no", "unit_price": price and price["amount"]}
    for name in ("amount", "cash_amount", "low_amount", "high_amount"):
        cells[name] = line[name] and line[name]["amount"]
    cells["currency"] = amount and amount["currency"]
    return {name: "" if value is None else str(value) for name, value in cells.items()}


def test_the_csv_of_the_lines_says_what_the_json_says(api: Api) -> None:
    project = a_project(api)
    resources = [stated("SAND", "3", "short_ton"), stated("SOON", "2", "hour"), stated("GONE", "1", "each")]
    a_scope_item(api, project, LUMP, [], *resources)
    items = [an_item("SAND", "38.5125"), an_item("SOON", None, unit="hour", account=None, taxable=False)]
    estimate = priced(api, project, an_edition(api, items))
    assert exported(api, estimate) == [told(line) for line in lines_of(api, estimate["id"])]


def test_hostile_names_go_through_unharmed_and_never_as_formulas(api: Api) -> None:
    project = a_project(api, name="=cmd|'/c calc'!A1")
    for name in HOSTILE:
        a_scope_item(api, project, LUMP, [], stated("SAND", "1", "short_ton"), name=name)
    item = an_item("SAND", description="=2+2", vendor_id=api.created("/vendors", {"name": "@x"})["id"])
    estimate = priced(api, project, an_edition(api, [item], name="+Edition"), name="-1")
    assert estimate["name"] == "-1"
    assert [one["label"] for one in estimate["subtotals"]["by_scope_item"]] == HOSTILE
    lines = lines_of(api, estimate["id"])
    assert [line["scope_item"] for line in lines] == HOSTILE
    for row, line in zip(exported(api, estimate), lines, strict=True):
        guarded = {name: cell for name, cell in row.items() if cell[:1] in ("'",)}
        assert {name: cell[1:] for name, cell in guarded.items()} | {
            name: cell for name, cell in row.items() if name not in guarded
        } == told(line)
        assert not any(cell.startswith(("=", "+", "-", "@", "\t", "\r")) for cell in row.values())
    budget = api.get(f"/budgets/{accepted(api, estimate['id'])['budget_id']}").json()
    assert [line["label"] for line in budget["lines"]] == HOSTILE


def test_the_longest_names_open_a_budget(api: Api) -> None:
    project = a_project(api, name="P" * 200)
    a_scope_item(api, project, LUMP, [], stated("SAND", "1", "short_ton"), name="🌱" * 200)
    estimate = priced(api, project, an_edition(api, [an_item("SAND")]), name="E" * 200)
    budget = api.get(f"/budgets/{accepted(api, estimate['id'])['budget_id']}").json()
    assert budget["name"].startswith("P" * 200 + ": EEE")
    assert budget["lines"][0]["label"] == "🌱" * 200


@pytest.mark.parametrize(
    "name", ["two\nlines", "tab\tbed", "nul\x00", "bell\x07", "del\x7f", "cr\r", "\ufffe", "\uffff"]
)
def test_control_characters_and_noncharacters_in_names_are_refused(api: Api, name: str) -> None:
    project, edition = a_project(api), an_edition(api)
    body = {"name": f"a{name}b", "edition_id": edition}
    refused = api.post(f"/projects/{project}/estimates", json=body)
    assert (refused.status_code, refused.json()["faults"][0]["pointer"]) == (400, "/name")


def test_lines_are_read_page_by_page_and_one_by_one(api: Api) -> None:
    project = a_project(api)
    for n in range(3):
        a_scope_item(api, project, LUMP, [], *[stated("SAND", str(n + 1), "short_ton")] * 3)
    estimate = priced(api, project, an_edition(api, [an_item("SAND")]))
    seen, path = [], f"/estimates/{estimate['id']}/lines?limit=4"
    while path:
        page = api.get(path)
        seen += page.json()["items"]
        path = page.links["next"]["url"] if "next" in page.links else ""
    assert seen == lines_of(api, estimate["id"])
    assert (
        [line["number"] for line in seen] == list(range(1, 10)) == list(range(1, estimate["line_count"] + 1))
    )
    assert {k: v for k, v in line_of(api, estimate["id"], 5).items() if k in seen[4]} == seen[4]


@pytest.mark.parametrize("number", ["0", "2", "-1", "9" * 30, "one", "1.0", "%00"])
def test_a_line_that_is_not_there_is_not_found(api: Api, number: str) -> None:
    estimate = a_dressed_green(api)
    assert api.get(f"/estimates/{estimate['id']}/lines/{number}").status_code == 404


def test_an_export_has_no_other_faces_than_it_documents(api: Api) -> None:
    estimate = a_dressed_green(api)
    refused = api.get(f"/estimates/{estimate['id']}/export", headers={"Accept": "application/pdf"})
    assert (refused.status_code, refused.json()["type"]) == (406, "/problems/not-acceptable")


def test_shares_name_the_area_as_it_was(api: Api) -> None:
    project = a_project(api)
    green = an_area(api, a_course(api), "6000", name="Green 7", hole=7)
    a_scope_item(api, project, LUMP, [green], stated("SAND", "1", "short_ton"))
    estimate = priced(api, project, an_edition(api, [an_item("SAND")]))
    share = line_of(api, estimate["id"])["shares"][0]
    assert (share["area_id"], share["name"], share["hole"], share["kind"]) == (green, "Green 7", 7, "green")
