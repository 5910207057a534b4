"""The difference between two estimates through the API: every effect, and every row, to the cent."""

import csv
import io
from decimal import Decimal
from uuid import uuid4

from conftest import Api
from estimate_factories import (
    LUMP,
    Document,
    a_project,
    a_scope_item,
    an_edition,
    an_item,
    issued,
    money,
    priced,
    stated,
)

EFFECTS = ("price", "quantity", "scope", "markup_base", "markup_rate", "markup_added_or_removed")


def bridge_of(api: Api, before: str, after: str) -> Document:
    answer = api.get(f"/estimates/{after}/bridge", params={"from_estimate_id": before})
    assert answer.status_code == 200, answer.text
    found: Document = answer.json()
    return found


def adds_up(found: Document) -> None:
    """Effects and rows both sum to the difference of the totals."""
    difference = money(found["to_estimate"]["total"]) - money(found["from_estimate"]["total"])
    assert money(found["difference"]) == difference
    assert [one["kind"] for one in found["effects"]] == list(EFFECTS)
    assert sum(money(one["amount"]) for one in found["effects"]) == difference
    assert sum(money(row["amount"]) for row in found["rows"]) == difference
    for row in found["rows"]:
        assert sum(money(row[f"{kind}_effect"]) for kind in EFFECTS) == money(row["amount"]), row
        assert row["words"]
    for effect in found["effects"]:
        column = f"{effect['kind']}_effect"
        assert sum(money(row[column]) for row in found["rows"]) == money(effect["amount"]), column
    sizes = [abs(money(row["amount"])) for row in found["rows"]]
    assert sizes == sorted(sizes, reverse=True)


def effects_of(found: Document) -> dict[str, str]:
    return {one["kind"]: one["amount"]["amount"] for one in found["effects"]}


def two_revisions(api: Api) -> tuple[Document, Document]:
    """A price up, a quantity down, a scope item gone and one added, tax up and contingency added."""
    project = a_project(api)
    kept = a_scope_item(api, project, LUMP, [], stated("SAND", "10", "short_ton"), name="Kept")
    gone = a_scope_item(api, project, LUMP, [], stated("SEED", "5", "short_ton"), name="Gone")
    items = [an_item("SAND", "10.00"), an_item("SEED", "20.00"), an_item("LIME", "7.00")]
    before = priced(api, project, an_edition(api, items), {"kind": "tax", "percent": "5"})
    issued(api, before["id"])
    body = {name: kept[name] for name in ("name", "method", "parameters", "area_ids")}
    changed = api.put(
        f"/scope-items/{kept['id']}", json=body | {"resources": [stated("SAND", "8", "short_ton")]},
        headers={"If-Match": f'"{kept["version"]}"'},
    )  # fmt: skip
    assert changed.status_code == 200, changed.text
    deleted = api.delete(f"/scope-items/{gone['id']}", headers={"If-Match": f'"{gone["version"]}"'})
    assert deleted.status_code == 204, deleted.text
    a_scope_item(api, project, LUMP, [], stated("LIME", "3", "short_ton"), name="Added")
    edition = an_edition(api, [an_item("SAND", "12.00"), *items[1:]])
    markups = [{"kind": "tax", "percent": "6"}, {"kind": "contingency", "percent": "10"}]
    after = api.created(f"/estimates/{before['id']}/revisions", {"edition_id": edition, "markups": markups})
    return before, after


def test_a_revision_is_explained_by_price_quantity_scope_and_markups(api: Api) -> None:
    """(12 - 10) x 8; (8 - 10) x 10; 21 - 100; (117 - 200) x 5 %; (6 - 5) % x 117, and a contingency of 10 %."""
    before, after = two_revisions(api)
    assert (before["total"]["amount"], after["total"]["amount"]) == ("210.00", "136.42")
    found = bridge_of(api, before["id"], after["id"])
    adds_up(found)
    effects = effects_of(found)
    assert (effects["price"], effects["quantity"], effects["scope"]) == ("16.00", "-20.00", "-79.00")
    tax = next(row for row in found["rows"] if row["markup"] == "tax")
    assert (tax["markup_base_effect"]["amount"], tax["markup_rate_effect"]["amount"]) == ("-4.15", "1.17")
    assert tax["words"].endswith("6 % instead of 5 % on 117.00: 1.17")
    contingency = next(row for row in found["rows"] if row["markup"] == "contingency")
    assert (contingency["kind"], contingency["words"]) == (
        "markup_added_or_removed", "markup added, 10 % on 124.02: 12.40"
    )  # fmt: skip
    assert (effects["markup_rate"], effects["markup_added_or_removed"]) == ("1.17", "12.40")
    ends = [found[end]["revision"] for end in ("from_estimate", "to_estimate")]
    assert ends == [1, 2]
    assert found["from_estimate"]["edition"] != found["to_estimate"]["edition"]


def test_the_way_back_is_the_same_difference_the_other_way(api: Api) -> None:
    before, after = two_revisions(api)
    there = bridge_of(api, before["id"], after["id"])
    back = bridge_of(api, after["id"], before["id"])
    adds_up(back)
    assert money(back["difference"]) == -money(there["difference"])
    assert money(back["effects"][2]["amount"]) == -money(there["effects"][2]["amount"])


def test_an_estimate_does_not_differ_from_itself(api: Api) -> None:
    before, _ = two_revisions(api)
    found = bridge_of(api, before["id"], before["id"])
    adds_up(found)
    assert (found["rows"], found["difference"]["amount"]) == ([], "0.00")


def test_lines_that_get_their_price_and_tiers_are_bridged_to_the_cent(api: Api) -> None:
    project = a_project(api)
    sand = stated("SAND", "123.45", "short_ton")
    a_scope_item(api, project, LUMP, [], sand, sand, stated("SEED", "3.33", "short_ton"))
    tiers = {"form": "purchase", "breaks": {
        "apply": "each_tier", "tiers": [{"from_quantity": "100", "unit_price": "31.37"}],
    }}  # fmt: skip
    before = priced(
        api, project, an_edition(api, [an_item("SAND", "38.515"), an_item("SEED", None)]),
        {"kind": "overhead", "percent": "3.33"},
    )  # fmt: skip
    after = priced(
        api, project, an_edition(api, [an_item("SAND", "38.525", terms=tiers), an_item("SEED", "9.99")]),
        {"kind": "overhead", "percent": "3.37"},
    )  # fmt: skip
    found = bridge_of(api, before["id"], after["id"])
    adds_up(found)
    seed = next(row for row in found["rows"] if row["item"] == "SEED")
    assert (seed["kind"], seed["scope_effect"]["amount"], seed["not_priced"]) == ("scope", "33.27", "earlier")
    assert seed["words"] == ("not priced in the earlier estimate, 3.33 short ton at 9.99 in the later: 33.27")
    assert {row["not_priced"] for row in found["rows"] if row is not seed} == {None}


def test_a_line_that_neither_estimate_prices_is_named(api: Api) -> None:
    project = a_project(api)
    a_scope_item(api, project, LUMP, [], stated("SAND", "1", "short_ton"), stated("SEED", "2", "short_ton"))
    edition = an_edition(api, [an_item("SAND"), an_item("SEED", None)])
    before, after = priced(api, project, edition), priced(api, project, edition)
    found = bridge_of(api, before["id"], after["id"])
    adds_up(found)
    (row,) = found["rows"]
    assert (row["item"], row["not_priced"], row["amount"]["amount"]) == ("SEED", "both", "0.00")
    assert row["words"] == "priced in neither estimate: 0.00"


def test_estimates_of_another_club_or_of_none_cannot_be_compared(api: Api) -> None:
    own = priced(api, a_project(api), an_edition(api))["id"]
    other = api.of_new_club("stone-weir")
    foreign = priced(other, a_project(other), an_edition(other))["id"]
    for before, after in ((foreign, own), (own, foreign), (str(uuid4()), own)):
        answer = api.get(f"/estimates/{after}/bridge", params={"from_estimate_id": before})
        assert (answer.status_code, answer.json()["type"]) == (404, "/problems/not-found")
    assert api.get(f"/estimates/{own}/bridge").status_code == 400


def test_a_bridge_as_csv_has_a_row_for_each_difference(api: Api) -> None:
    before, after = two_revisions(api)
    answer = api.get(
        f"/estimates/{after['id']}/bridge", params={"from_estimate_id": before["id"]},
        headers={"Accept": "text/csv"},
    )  # fmt: skip
    assert answer.headers["content-type"].startswith("text/csv")
    rows = list(csv.DictReader(io.StringIO(answer.text)))
    found = bridge_of(api, before["id"], after["id"])
    assert [Decimal(row["amount"]) for row in rows] == [money(row["amount"]) for row in found["rows"]]
    assert [row["label"] for row in rows] == [row["label"] for row in found["rows"]]
    assert {row["currency"] for row in rows} == {"USD"}


def test_scope_items_of_two_projects_are_the_same_where_their_names_are(api: Api) -> None:
    """Own crew and contractor are mostly planned as two projects: (12 - 10) x 8, and (8 - 10) x 10, not scope."""
    edition = an_edition(api, [an_item("SAND", "10.00"), an_item("SEED", "20.00")])
    later = an_edition(api, [an_item("SAND", "12.00"), an_item("SEED", "20.00")])
    own, hired = a_project(api), a_project(api)
    a_scope_item(api, own, LUMP, [], stated("SAND", "10", "short_ton"), name="Dress greens")
    a_scope_item(api, hired, LUMP, [], stated("SAND", "8", "short_ton"), name="Dress greens")
    seeded = a_scope_item(api, hired, LUMP, [], stated("SEED", "1", "short_ton"), name="Seed collars")
    found = bridge_of(api, priced(api, own, edition)["id"], priced(api, hired, later)["id"])
    adds_up(found)
    told = effects_of(found)
    assert (told["price"], told["quantity"], told["scope"]) == ("16.00", "-20.00", "20.00")
    assert seeded["id"] in {row["scope_item_id"] for row in found["rows"]}
