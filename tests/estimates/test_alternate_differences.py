"""What an estimate says that each alternate changes is what estimates really priced with it and without it say."""

from collections.abc import Collection, Iterable, Mapping
from itertools import combinations
from uuid import uuid4

from alternate_factories import ITEMS, MARKUPS, a_scope, differences_hold, taking
from conftest import Api
from estimate_factories import Document, an_edition, an_item, money
from hypothesis import given, settings
from hypothesis import strategies as st
from sqlalchemy import select
from swardcost_api.estimates.tables import EstimateRow

GROUPS = st.sampled_from([None, None, "Way"])
TONS = st.decimals(1, 60, places=2).map(str)


def an_edition_with_mobilization(api: Api) -> str:
    """A published edition with a vendor who charges for coming, once a visit."""
    vendor = api.created("/vendors", {"name": f"Vendor {uuid4()}"})["id"]
    edition: str = api.created("/editions", {"name": f"E {uuid4()}", "price_date": "2026-01-01"})["id"]
    terms = {"vendor_id": vendor, "currency": "USD", "mobilization": "650.00"}
    api.created(f"/editions/{edition}/vendor-terms", terms)
    for item in (*ITEMS, an_item("SPREAD", "4.10", vendor_id=vendor)):
        api.created(f"/editions/{edition}/items", item)
    assert api.post(f"/editions/{edition}/publish").status_code == 200
    return edition


def with_needs(one: str, by_id: Mapping[str, Document]) -> set[str]:
    return {one}.union(*(with_needs(needed, by_id) for needed in by_id[one]["needs"]))


def excludes_none(those: Iterable[str], by_id: Mapping[str, Document]) -> bool:
    groups = [by_id[one]["choose_one"] for one in those]
    return all(first is None or first != second for first, second in combinations(groups, 2))


def alternates_drawn(
    api: Api, project: str, items: Collection[str], data: st.DataObject
) -> dict[str, Document]:
    """An alternate for each item but the first two, the second of which some leave out; some need others."""
    _, second, *brought = items
    by_id: dict[str, Document] = {}
    for number, item in enumerate(brought):
        body = {
            "name": f"Option {number}", "brings": [item], "choose_one": data.draw(GROUPS),
            "leaves_out": [second] if data.draw(st.booleans()) else [],
            "needs": data.draw(st.lists(st.sampled_from(sorted(by_id)), unique=True, max_size=1)) if by_id else [],
        }  # fmt: skip
        response = api.post(f"/projects/{project}/alternates", json=body)
        if response.status_code == 422:  # it would need another of its group
            assert {fault["pointer"] for fault in response.json()["faults"]} <= {"/needs", "/choose_one"}
            response = api.post(f"/projects/{project}/alternates", json=body | {"needs": []})
        assert response.status_code == 201, response.text
        by_id[response.json()["id"]] = response.json()
    return by_id


def taken_drawn(by_id: Mapping[str, Document], data: st.DataObject) -> set[str]:
    """Alternates that can be taken together."""
    taken: set[str] = set()
    for one in data.draw(st.lists(st.sampled_from(sorted(by_id)), unique=True)):
        more = taken | with_needs(one, by_id)
        taken = more if excludes_none(more, by_id) else taken
    return taken


@settings(max_examples=25)
@given(data=st.data())
def test_every_difference_is_that_of_two_estimates_really_priced(api: Api, data: st.DataObject) -> None:
    """Sand comes in whole loads at broken prices, one loader is hired and one spreader comes for all of it."""
    tons = data.draw(st.lists(TONS, min_size=4, max_size=5))
    project, items = a_scope(api, *tons, spread=True)
    by_id = alternates_drawn(api, project, items, data)
    taken = taken_drawn(by_id, data)
    edition = an_edition_with_mobilization(api)
    estimate = taking(api, project, edition, *(by_id[one] for one in sorted(taken)))
    assert {one["alternate_id"] for one in estimate["alternates"] if one["taken"]} == taken
    for found in differences_hold(api, estimate):
        moved = {one["alternate_id"]: one["moves"] for one in found["moves_with"]}
        moved[found["alternate_id"]] = "out" if found["taken"] else "in"
        flipped = taken ^ moved.keys()
        assert all((one in flipped) == (way == "in") for one, way in moved.items())
        other = taking(api, project, edition, *(by_id[one] for one in sorted(flipped)))
        assert found["total_otherwise"] == other["total"]
        sign = -1 if found["taken"] else 1
        for name, of in (
            ("difference", "total"),
            ("cash_difference", "cash_total"),
            ("direct_difference", "direct"),
        ):
            assert money(found[name]) == sign * (money(other[of]) - money(estimate[of]))


def test_a_visit_that_is_shared_is_in_no_difference_of_those_who_share_it(api: Api) -> None:
    project, (_, second, third) = a_scope(api, "20", "15", "15", spread=True)
    for name, item in (("One", second), ("Two", third)):
        api.created(f"/projects/{project}/alternates", {"name": name, "brings": [item]})
    estimate = taking(api, project, an_edition_with_mobilization(api))
    for found in differences_hold(api, estimate):
        coming = [line for line in found["lines"] if line["part"] == "mobilization"]
        assert len(coming) == 2
        assert sum(money(line["difference"]) for line in coming) == 0


def test_an_estimate_priced_before_alternates_were_kept_has_none_and_no_work(api: Api) -> None:
    project, (_, second) = a_scope(api, "20", "15")
    api.created(f"/projects/{project}/alternates", {"name": "One", "brings": [second]})
    estimate = taking(api, project, an_edition(api, ITEMS))
    with api.database.writing() as session:
        stored = session.scalars(select(EstimateRow)).one()
        stored.terms = {name: one for name, one in stored.terms.items() if name != "alternate_ids"}
        stored.priced = {
            name: one for name, one in stored.priced.items() if name not in ("alternates", "work")
        }
    read = api.get(f"/estimates/{estimate['id']}").json()
    assert read == estimate | {"alternates": [], "work": None}
    assert api.get(f"/estimates/{estimate['id']}/alternates").json()["alternates"] == []
    terms = {"edition_id": estimate["edition_id"], "markups": MARKUPS}
    revised = api.created(f"/estimates/{estimate['id']}/revisions", terms)
    assert (revised["total"], revised["alternates"]) == (estimate["total"], estimate["alternates"])
