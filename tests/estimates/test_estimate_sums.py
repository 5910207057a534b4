"""Whatever is priced, every sum can be redone by hand and nothing gets lost on the way to the budget."""

from decimal import Decimal
from typing import Any

from conftest import Api
from estimate_factories import (
    LUMP,
    SODDING,
    TOPDRESSING,
    a_course,
    a_project,
    a_scope_item,
    an_area,
    an_edition,
    an_item,
    budget_of,
    by_measure,
    money,
    priced,
    redo_by_hand,
    stated,
)
from hypothesis import given, settings
from hypothesis import strategies as st

CODES = ["A", "B", "C", "D"]
PRICES = st.none() | st.decimals(0, 20_000, places=4).map(lambda price: f"{price:.4f}")
ACCOUNTS = st.sampled_from([None, "1510", "1520-10", "1530"])
PERCENTS = st.decimals(0, 40, places=3).map(str)
SIZES = st.none() | st.decimals(0, 90_000, places=1).map(str)


@st.composite
def _resources(draw: st.DrawFn, measure: str) -> list[dict[str, Any]]:
    codes = draw(st.lists(st.sampled_from([*CODES, "GONE"]), max_size=4))
    waste = draw(PERCENTS)
    return [
        by_measure(code, measure, waste_percent=waste)
        if draw(st.booleans())
        else stated(code, str(draw(st.decimals(0, 900, places=3))), "short_ton")
        for code in codes
    ]


@st.composite
def _markups(draw: st.DrawFn) -> list[dict[str, Any]]:
    kinds = draw(st.lists(st.sampled_from(["tax", "overhead", "escalation", "contingency"]), unique=True))
    return [
        {
            "kind": kind,
            "percent": draw(PERCENTS),
            "account": draw(ACCOUNTS),
            "compounding": draw(st.sampled_from(["yearly", "simple"])),
        }
        for kind in kinds
    ]


@settings(max_examples=25)
@given(data=st.data())
def test_sums_always_hold_from_the_lines_to_the_months_of_the_budget(api: Api, data: st.DataObject) -> None:
    course, project = a_course(api), a_project(api, starts_on="2026-08-09", ends_on="2027-02-03")
    areas = [
        an_area(api, course, data.draw(SIZES), hole=data.draw(st.none() | st.integers(1, 18)))
        for _ in range(3)
    ]
    for _ in range(data.draw(st.integers(0, 3))):
        some = data.draw(st.lists(st.sampled_from(areas), min_size=1, unique=True))
        a_scope_item(api, project, TOPDRESSING, some, *data.draw(_resources("sand_mass")))
    items = [
        an_item(
            code,
            price := data.draw(PRICES),
            free=price is not None and Decimal(price) == 0,
            taxable=data.draw(st.booleans()),
            account=data.draw(ACCOUNTS),
            kind=data.draw(st.sampled_from(["material", "contract"])),
        )
        for code in CODES
    ]
    estimate = priced(api, project, an_edition(api, items), *data.draw(_markups()))
    redo_by_hand(api, estimate)
    assert api.get(f"/estimates/{estimate['id']}").json() == estimate
    if not estimate["complete"]:
        refused = api.post(f"/estimates/{estimate['id']}/issue", json={})
        assert refused.json()["type"] == "/problems/incomplete-estimate"
        body = {"incomplete_because": "Sizes follow"}
        assert api.post(f"/estimates/{estimate['id']}/issue", json=body).status_code == 200
        accepted = api.post(f"/estimates/{estimate['id']}/accept", json={}).json()
        budget = api.get(f"/budgets/{accepted['budget_id']}").json()
    else:
        budget = budget_of(api, estimate)
    assert budget["total"] == estimate["total"]
    assert sum(money(line["amount"]) for line in budget["lines"]) == money(estimate["total"])
    for line in budget["lines"]:
        assert sum(money(month["amount"]) for month in line["months"]) == money(line["amount"])


def test_a_hundred_areas_share_every_cent(api: Api) -> None:
    course, project = a_course(api), a_project(api)
    areas = [an_area(api, course, str(100 + 37 * n), hole=n % 18 + 1) for n in range(100)]
    a_scope_item(api, project, SODDING, areas, by_measure("SOD", "pallets"), by_measure("LAY", "sod_area"))
    a_scope_item(api, project, LUMP, areas[:7], stated("FEE", "1", "lump_sum"))
    items = [
        an_item("SOD", "317.77", unit="pallet"),
        an_item("LAY", "0.333333", unit="square_foot"),
        an_item("FEE", "0.05", unit="lump_sum"),
    ]
    redo_by_hand(api, priced(api, project, an_edition(api, items)))
