"""With nothing uncertain the trials come to the estimate, to the cent, whatever its terms of price are."""

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

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
    money,
    priced,
    stated,
)
from hypothesis import given, settings
from hypothesis import strategies as st
from risk_factories import percent_range, simulated, uncertain

STARTS = date(2026, 8, 3)


def _decimals(low: str, high: str, places: int) -> st.SearchStrategy[str]:
    return st.decimals(Decimal(low), Decimal(high), places=places).map(str)


PRICES, QUANTITIES, PERCENTS = (
    _decimals("0.01", "90", 4), _decimals("0.001", "400", 3), _decimals("0", "30", 2),
)  # fmt: skip


@st.composite
def _breaks(draw: st.DrawFn) -> Document:
    starts = draw(st.sets(st.integers(1, 300), min_size=1, max_size=3))
    return {
        "apply": draw(st.sampled_from(["each_tier", "whole_quantity"])),
        "tiers": [{"from_quantity": str(start), "unit_price": draw(PRICES)} for start in starts],
    }


@st.composite
def _purchase(draw: st.DrawFn) -> Document:
    """Terms of an item sold by the short ton: packages, minimums, breaks or bands, delivery, surcharges."""
    terms: Document = {"form": "purchase"}
    if draw(st.booleans()):
        terms["increment"] = draw(_decimals("0.5", "25", 2))
    if draw(st.booleans()):
        terms["minimum_order"] = draw(_decimals("1", "60", 1))
    if draw(st.booleans()):
        terms["minimum_charge"] = draw(_decimals("1", "2000", 2))
    kind = draw(st.sampled_from(["none", "breaks", "bands"]))
    if kind == "breaks":
        terms["breaks"] = draw(_breaks())
    if kind == "bands":
        terms["bands"] = {
            "contract_quantity": draw(_decimals("1", "200", 1)), "price_over": draw(PRICES),
            "price_under": draw(PRICES),
        }  # fmt: skip
    delivery = draw(st.sampled_from([None, "load", "mass_distance"]))
    if delivery == "load":
        terms["delivery"] = {
            "by": "load",
            "load_size": draw(_decimals("1", "25", 1)),
            "charge": draw(PRICES),
        }
    if delivery == "mass_distance":
        terms["delivery"] = {
            "by": "mass_distance", "rate": "0.28", "mass_unit": "short_ton",
            "distance": {"value": "34", "unit": "mile"}, "least": draw(PRICES),
        }  # fmt: skip
    if draw(st.booleans()):
        on = "both" if delivery else "price"
        terms["surcharges"] = [
            {"name": "Fuel", "percent": draw(PERCENTS), "on": on},
            {"name": "Weekend", "per_unit": "1.15", "when": "weekend"},
            {"name": "Order", "per_order": "25"},
        ]
    return terms


@st.composite
def _rental(draw: st.DrawFn) -> Document:
    periods = [
        {"name": "day", "days": 1, "price": draw(PRICES)},
        {"name": "week", "days": 7, "price": draw(PRICES)},
        {
            "name": "month",
            "days": 28,
            "price": draw(PRICES),
            "included_hours": draw(_decimals("40", "200", 0)),
        },
    ]
    return {
        "form": "rental",
        "periods": periods[: draw(st.integers(1, 3))],
        "delivery": draw(PRICES),
        "pick_up": draw(PRICES),
        "damage_waiver_percent": draw(PERCENTS),
        "works_weekends": draw(st.booleans()),
    }


@st.composite
def _items(draw: st.DrawFn) -> list[Document]:
    taxed = st.booleans()
    return [
        an_item("TONS", draw(PRICES), taxable=draw(taxed), terms=draw(_purchase())),
        an_item("MORE", draw(PRICES), taxable=draw(taxed), account=draw(st.sampled_from(["1520", "1530"]))),
        an_item("CREW", draw(PRICES), kind="labor", unit="hour", taxable=False),
        an_item("LOADER", None, kind="rental", unit="hour", terms=draw(_rental())),
        an_item("UNKNOWN", None),
    ]


@st.composite
def _resources(draw: st.DrawFn, measured: bool) -> list[Document]:
    """Needs of any of the items, by what a method measures or as stated, with waste and work at weekends."""
    found: list[Document] = []
    for code in draw(st.lists(st.sampled_from(["TONS", "MORE", "CREW", "LOADER", "UNKNOWN"]), max_size=3)):
        unit = "hour" if code in ("CREW", "LOADER") else "short_ton"
        more: Document = {"waste_percent": draw(PERCENTS)}
        if code == "TONS":
            more["weekend_percent"] = draw(PERCENTS)
        if unit == "short_ton" and measured and draw(st.booleans()):
            found.append(by_measure(code, "sand_mass", **more))
        else:
            found.append(stated(code, draw(QUANTITIES), unit, **more))
    return found


@st.composite
def _markups(draw: st.DrawFn) -> list[Document]:
    kinds = draw(st.lists(st.sampled_from(["tax", "overhead", "escalation", "contingency"]), unique=True))
    return [{"kind": kind, "percent": draw(PERCENTS)} for kind in kinds]


@settings(max_examples=25)
@given(data=st.data())
def test_the_trials_come_to_the_estimate_whatever_its_terms(api: Api, data: st.DataObject) -> None:
    project = a_project(api, starts_on=STARTS.isoformat(), ends_on="2027-02-03")
    greens = [an_area(api, a_course(api), size) for size in ("6000", "9000")]
    scope: list[Document] = []
    for number in range(data.draw(st.integers(1, 3))):
        measured = data.draw(st.booleans())
        first = STARTS + timedelta(days=data.draw(st.integers(0, 60)))
        last = first + timedelta(days=data.draw(st.integers(3, 40)))
        dates: Any = {"starts_on": first.isoformat(), "ends_on": last.isoformat()}
        work, areas = (TOPDRESSING, greens) if measured else (LUMP, [])
        resources = data.draw(_resources(measured))
        scope.append(
            a_scope_item(api, project, work, areas, *resources, name=f"Work {number}", **dates)
        )  # fmt: skip
    edition = an_edition(api, data.draw(_items()))
    response = api.post(
        f"/projects/{project}/estimates",
        json={"name": "Any", "edition_id": edition, "markups": data.draw(_markups())},
    )
    if response.status_code == 422:  # more hours than its days hold
        assert all("hour" in fault["expected"] for fault in response.json()["faults"]), response.text
        return
    estimate = response.json()
    certain = percent_range("100", "100", "100")
    needed = {need["item"] for one in scope for need in one["resources"]} - {"UNKNOWN"}
    figures = [
        {"name": f"Price of {code}", "kind": "price", "items": [code], "range": certain}
        for code in sorted(needed)
    ]
    uncertain(api, estimate, figures=figures)
    found = api.get(f"/estimates/{estimate['id']}/sensitivity").json()
    contingency = sum(
        (money(one["amount"]) for one in estimate["markups"] if one["kind"] == "contingency"), Decimal(0)
    )
    assert money(found["base"]) == money(found["likely"]) == money(estimate["total"]) - contingency
    assert all(money(one["width"]) == 0 for one in found["swings"])


def test_machines_that_are_shared_and_mobilization_stay_as_they_are_estimated(api: Api) -> None:
    """Two scope items that hire one loader together, and a contractor who comes once for both, for 650.00: where
    every price doubles, all but the coming does."""
    project = a_project(api)
    loader = an_item(
        "LOADER", None, kind="rental", unit="hour",
        terms={"form": "rental", "periods": [{"name": "week", "days": 7, "price": "980.00"}], "delivery": "120"},
    )  # fmt: skip
    vendor = api.created("/vendors", {"name": "Fernhollow Turf Contractors"})["id"]
    spreading = an_item("SPREAD", "4.10", vendor_id=vendor)
    for name, first, last in (("First", "2026-09-07", "2026-09-09"), ("Second", "2026-09-09", "2026-09-11")):
        a_scope_item(
            api, project, LUMP, [], stated("LOADER", "12", "hour"), stated("SPREAD", "30", "short_ton"), name=name,
            starts_on=first, ends_on=last,
        )  # fmt: skip
    edition = an_edition(api, [loader, spreading], publish=False)
    terms = {"vendor_id": vendor, "currency": "USD", "mobilization": "650.00"}
    api.created(f"/editions/{edition}/vendor-terms", terms)
    assert api.post(f"/editions/{edition}/publish").status_code == 200
    estimate = priced(api, project, edition)
    doubled = percent_range("200", "200", "200")
    figures = [{"name": "Prices", "kind": "price", "items": ["LOADER", "SPREAD"], "range": doubled}]
    uncertain(api, estimate, figures=figures)
    found = simulated(api, estimate, trials=100)["figures"]
    assert found["base"] == estimate["total"]
    twice = 2 * money(estimate["total"]) - Decimal("650.00")
    assert {money(one["amount"]) for one in found["curve"]} == {twice}
