"""An estimate under any headings, as a tree, and against another edition, through the API."""

from collections.abc import Iterable
from decimal import Decimal

import pytest
from conftest import Api
from estimate_factories import (
    LUMP,
    TOPDRESSING,
    Document,
    a_course,
    a_project,
    a_scope_item,
    an_area,
    an_edition,
    an_item,
    by_measure,
    lines_of,
    money,
    priced,
    stated,
)
from swardcost_model.estimate_views import Heading

ITEMS = [
    an_item("SAND", "38.50", price_source="quote", terms={
        "form": "purchase", "delivery": {"by": "load", "load_size": "3", "charge": "47.11"},
    }),
    an_item("SEED", "90.07", in_operating_budget=True, account="1530"),
    an_item("GONE", None, account=None),
]  # fmt: skip


def a_mixed_estimate(api: Api) -> Document:
    """Two greens and a tee, groups and months, cash and budget, and a line without an amount."""
    project, course = a_project(api), a_course(api)
    areas = [
        an_area(api, course, "6000", hole=1),
        an_area(api, course, "5100", hole=10),
        an_area(api, course, "777", kind="tee"),
    ]
    a_scope_item(
        api, project, TOPDRESSING, areas, by_measure("SAND", "sand_mass"), name="Dress", group="Greens"
    )
    a_scope_item(
        api, project, TOPDRESSING, areas[:2], by_measure("SEED", "sand_mass"), by_measure("GONE", "sand_mass"),
        name="Seed", starts_on="2026-09-20", ends_on="2026-10-03",
    )  # fmt: skip
    a_scope_item(api, project, LUMP, [], stated("SAND", "1", "short_ton"), name="Heap", group="Greens")
    return priced(api, project, an_edition(api, ITEMS))


def total(rows: Iterable[Document], name: str = "amount") -> Decimal:
    return sum((money(row[name]) for row in rows), Decimal(0))


def test_every_heading_and_every_crossing_sums_to_the_direct_cost_in_full_and_in_cash(api: Api) -> None:
    estimate = a_mixed_estimate(api)
    lines = lines_of(api, estimate["id"])
    cash = total((line for line in lines if line["amount"]), "cash_amount")
    assert 0 < cash < money(estimate["direct"])
    singles = [heading.value for heading in Heading]
    for by in [
        *singles,
        "hole,month",
        "group,scope_item,item,area",
        "cost_type,account",
        "part,vendor,month",
    ]:
        table = api.get(f"/estimates/{estimate['id']}/subtotals", params={"by": by}).json()
        assert table["by"] == by.split(",")
        assert total(table["rows"]) == money(table["direct"]) == money(estimate["direct"]), by
        assert total(table["rows"], "cash_amount") == money(table["direct_cash"]) == cash, by
        keys = [tuple(row["keys"]) for row in table["rows"]]
        assert len(set(keys)) == len(keys)
        assert all(len(row["labels"]) == len(row["keys"]) for row in table["rows"])
        assert table["unpriced_lines"] == [line["number"] for line in lines if line["amount"] is None]


def test_a_coarser_table_is_the_exact_sum_of_a_finer_one(api: Api) -> None:
    """Months alone are read without the shares of areas, and still agree with months by hole, kind and line."""
    estimate = a_mixed_estimate(api)

    def table(*by: str) -> dict[tuple[str | None, ...], tuple[Decimal, Decimal]]:
        found = api.get(f"/estimates/{estimate['id']}/subtotals", params={"by": ",".join(by)}).json()
        return {
            tuple(row["keys"]): (money(row["amount"]), money(row["cash_amount"])) for row in found["rows"]
        }

    finest = table("hole", "area_kind", "line", "month")
    for places in ([3], [0], [0, 3], [2, 3], [1], [2]):
        sums: dict[tuple[str | None, ...], tuple[Decimal, Decimal]] = {}
        for keys, (amount, cash) in finest.items():
            assert 0 <= cash <= amount
            onto = tuple(keys[place] for place in places)
            before = sums.get(onto, (Decimal(0), Decimal(0)))
            sums[onto] = (before[0] + amount, before[1] + cash)
        assert sums == table(*(("hole", "area_kind", "line", "month")[place] for place in places))


def test_the_subtotals_that_an_estimate_keeps_are_those_of_its_views(api: Api) -> None:
    estimate = a_mixed_estimate(api)
    for name, kept in estimate["subtotals"].items():
        heading = name.removeprefix("by_")
        rows = api.get(f"/estimates/{estimate['id']}/subtotals?by={heading}").json()["rows"]
        assert [(one["key"], one["label"], one["amount"]) for one in kept] == [
            (row["keys"][0], row["labels"][0], row["amount"]) for row in rows
        ], name
    assert [one["label"] for one in estimate["subtotals"]["by_hole"]] == [
        "Hole 1",
        "Hole 10",
        "None of these",
    ]


def test_headings_of_a_table_are_those_of_its_lines(api: Api) -> None:
    estimate = a_mixed_estimate(api)
    lines = [line for line in lines_of(api, estimate["id"]) if line["amount"]]
    for heading in ("group", "item", "account", "part"):
        expected: dict[str | None, Decimal] = {}
        for line in lines:
            expected[line[heading]] = expected.get(line[heading], Decimal(0)) + money(line["amount"])
        rows = api.get(f"/estimates/{estimate['id']}/subtotals?by={heading}").json()["rows"]
        assert {row["keys"][0]: money(row["amount"]) for row in rows} == expected, heading
    holes = api.get(f"/estimates/{estimate['id']}/subtotals?by=hole").json()["rows"]
    assert [row["labels"] for row in holes] == [["Hole 1"], ["Hole 10"], ["None of these"]]
    months = api.get(f"/estimates/{estimate['id']}/subtotals?by=month").json()["rows"]
    assert [row["keys"] for row in months] == [["2026-08"], ["2026-09"], ["2026-10"]]


@pytest.mark.parametrize(
    "by", ["", "colour", "hole,colour", "hole,hole", "hole,", "item,part,hole,month,area", "Hole"]
)
@pytest.mark.parametrize("view", ["subtotals", "tree"])
def test_headings_that_there_are_not_are_refused(api: Api, view: str, by: str) -> None:
    estimate = priced(api, a_project(api), an_edition(api))
    refused = api.get(f"/estimates/{estimate['id']}/{view}", params={"by": by})
    fault = refused.json()["faults"][0]
    assert (refused.status_code, fault["pointer"]) == (422, "/by")
    assert "one to four different headings of group" in fault["expected"]


def test_a_table_as_csv_has_its_keys_labels_and_money(api: Api) -> None:
    estimate = a_mixed_estimate(api)
    answer = api.get(
        f"/estimates/{estimate['id']}/subtotals?by=account,month", headers={"Accept": "text/csv"}
    )
    assert answer.headers["content-type"].startswith("text/csv")
    first, *rows = answer.text.splitlines()
    assert first == "account,account_label,month,month_label,amount,cash_amount,currency"
    assert sum(Decimal(row.split(",")[4]) for row in rows) == money(estimate["direct"])


def nodes_sum(nodes: list[Document], amount: Document, cash: Document) -> int:
    """Check every level, and say how many leaves there are."""
    assert total(nodes) == money(amount)
    assert total(nodes, "cash_amount") == money(cash)
    return sum(
        nodes_sum(node["children"], node["amount"], node["cash_amount"]) if node["children"] else 1
        for node in nodes
    )


@pytest.mark.parametrize("by", [None, "hole,item", "month,area_kind,area,line", "scope_item"])
def test_every_node_of_a_tree_is_the_sum_of_its_children(api: Api, by: str | None) -> None:
    estimate = a_mixed_estimate(api)
    tree = api.get(f"/estimates/{estimate['id']}/tree", params={} if by is None else {"by": by}).json()
    leaves = nodes_sum(tree["nodes"], tree["direct"], tree["direct_cash"])
    assert tree["direct"] == estimate["direct"]
    priced_lines = [line for line in lines_of(api, estimate["id"]) if line["amount"]]
    if by is None:
        assert leaves == len(priced_lines)
        assert [node["key"] for node in tree["nodes"]] == ["Greens", None]


def test_a_tree_as_text_is_indented_and_adds_up(api: Api) -> None:
    estimate = a_mixed_estimate(api)
    answer = api.get(f"/estimates/{estimate['id']}/tree", headers={"Accept": "text/plain"})
    assert answer.headers["content-type"].startswith("text/plain")
    lines = answer.text.splitlines()
    assert lines[1].startswith("Greens  ")
    assert lines[2].startswith("  Dress  ")
    assert lines[3].startswith("    SAND SAND, as quoted  ")
    assert lines[4].startswith("      1. SAND, as quoted  ")
    total_line = next(line for line in lines if line.startswith("Direct cost"))
    assert f"{money(estimate['direct']):,f}" in total_line
    unpriced = next(line["number"] for line in lines_of(api, estimate["id"]) if line["amount"] is None)
    assert lines[-1] == f"Without an amount, and in no sum: line {unpriced}"


@pytest.mark.parametrize("view", ["subtotals?by=hole", "tree", "quality", "basis"])
def test_no_club_sees_the_views_of_another(api: Api, view: str) -> None:
    estimate = priced(api, a_project(api), an_edition(api))
    other = api.of_new_club("stone-weir")
    assert other.get(f"/estimates/{estimate['id']}/{view}").status_code == 404


def test_exposure_says_what_share_of_an_estimate_another_edition_moves(api: Api) -> None:
    project = a_project(api)
    codes = ("SAND", "SEED", "LIME")
    a_scope_item(api, project, LUMP, [], *[stated(code, "10", "short_ton") for code in codes])
    items = [an_item("SAND", "10.00"), an_item("SEED", "20.00"), an_item("LIME", "30.00")]
    estimate = priced(api, project, an_edition(api, items))
    new = an_edition(
        api, [an_item("SAND", "12.00"), an_item("SEED", "20.00"), an_item("OTHER", "1.00")], publish=False
    )
    found = api.get(f"/estimates/{estimate['id']}/exposure", params={"edition_id": new}).json()
    assert [(one["code"], one["amount"]["amount"], one["share_percent"]) for one in found["items"]] == [
        ("LIME", "300.00", "50.00"), ("SAND", "100.00", "16.67"),
    ]  # fmt: skip
    assert found["items"][1]["percent"] == "20.00"
    assert (found["affected"]["amount"], found["affected_percent"]) == ("400.00", "66.67")
    assert found["direct"] == estimate["direct"]
    same = api.get(
        f"/estimates/{estimate['id']}/exposure", params={"edition_id": estimate["edition_id"]}
    ).json()
    assert (same["items"], same["affected"]["amount"], same["affected_percent"]) == ([], "0.00", "0.00")
    foreign = an_edition(api.of_new_club("stone-weir"))
    refused = api.get(f"/estimates/{estimate['id']}/exposure", params={"edition_id": foreign})
    assert (refused.status_code, refused.json()["faults"][0]["pointer"]) == (422, "/edition_id")
