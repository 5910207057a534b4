"""Break-even through the API, held against estimates that were really priced at the values on either side."""

from decimal import Decimal
from itertools import pairwise
from typing import Any

import pytest
from choosing_factories import (
    NOBODY,
    TAX,
    a_hire,
    an_edition_of_all,
    answered,
    really,
    refused,
    two_ways,
    with_changes,
    with_size,
)
from conftest import Api
from estimate_factories import (
    TOPDRESSING,
    Document,
    a_course,
    a_project,
    a_scope_item,
    an_area,
    by_measure,
    money,
    priced,
    stated,
)
from swardcost_api.alternatives import moved_costs

BREAK_EVEN = "/break-even"


def by_area(ways: dict[str, Any], **more: Any) -> Document:
    """Own crew or contractor, by the size of the green in acres."""
    return {
        "first": {"estimate_id": ways["own_estimate"]["id"], "variable": {"kind": "area"}},
        "second": {"estimate_id": ways["hired_estimate"]["id"], "variable": {"kind": "area"}},
        "low": "0.05", "high": "3", "resolution": "0.05", "unit": "acre",
    } | more  # fmt: skip


def test_order_changes_where_estimates_really_priced_do(api: Api) -> None:
    ways = two_ways(api)
    found = answered(api, BREAK_EVEN, by_area(ways))
    assert found["searched"]["every_value"] is True
    assert found["crossings"]
    for crossing in found["crossings"]:
        before, after = crossing["before"], crossing["after"]
        for at in (before, after):
            with_size(api, ways["green"], at["value"], "acre")
            first, second = (really(api, ways[one], ways["edition"], TAX) for one in ("own", "hired"))
            assert (money(at["first"]), money(at["second"])) == (first, second)
            assert at["cheaper"] == ("first" if first < second else "second")
        assert Decimal(after["value"]) - Decimal(before["value"]) == Decimal("0.05")
        assert before["cheaper"] != after["cheaper"]


def test_spans_cover_the_bounds_and_change_at_each_crossing(api: Api) -> None:
    found = answered(api, BREAK_EVEN, by_area(two_ways(api)))
    spans = found["spans"]
    assert Decimal(spans[0]["first_value"]) == Decimal("0.05")
    assert Decimal(spans[-1]["last_value"]) == 3
    for span, following in pairwise(spans):
        assert Decimal(following["first_value"]) - Decimal(span["last_value"]) == Decimal("0.05")
        assert span["cheaper"] != following["cheaper"]
    assert len(found["crossings"]) == len(spans) - 1
    assert found["cheaper_throughout"] is None
    # Sand comes by the load and the contractor by the acre, so the order changes more than once.
    assert len(spans) > 2
    assert any("more than once" in words for words in found["words"])


def test_how_each_cost_came_about_adds_up(api: Api) -> None:
    crossing = answered(api, BREAK_EVEN, by_area(two_ways(api)))["crossings"][0]
    steps = {step["name"]: step for step in crossing["derivation"]}
    before = crossing["before"]
    value = f"{Decimal(before['value']).normalize():f}"
    step = steps[f"cost of Own crew at {value}"]
    assert Decimal(step["value"]) == money(before["first"])
    assert sum(Decimal(one["value"]) for one in step["inputs"]) == money(before["first"])
    difference = steps[f"difference just before at {before['value']}"]
    assert Decimal(difference["value"]) == money(before["first"]) - money(before["second"])


def test_several_greens_grow_together_by_percent(api: Api) -> None:
    course = a_course(api)
    greens = [an_area(api, course, "6000"), an_area(api, course, "4000")]
    edition, project = an_edition_of_all(api), a_project(api)
    a_scope_item(api, project, TOPDRESSING, greens, by_measure("SAND", "sand_mass"))
    estimate = priced(api, project, edition, TAX)
    question = {
        "first": {"estimate_id": estimate["id"], "variable": {"kind": "area"}},
        "second": {"label": "Offer", "cost": {"amount": "2000.00", "currency": "USD"}},
        "low": "50", "high": "1000", "resolution": "50", "unit": "percent",
    }  # fmt: skip
    found = answered(api, BREAK_EVEN, question)
    (crossing,) = found["crossings"]
    assert crossing["before"]["second"]["amount"] == "2000.00"
    assert found["second"]["moves"] is False
    for at in (crossing["before"], crossing["after"]):
        for green, size in zip(greens, (6000, 4000), strict=True):
            with_size(api, green, size * Decimal(at["value"]) / 100, "square_foot")
        assert money(at["first"]) == really(api, project, edition, TAX)
    assert found["words"][0].startswith("Own crew costs less up to ")
    assert found["words"][0].endswith("percent on Offer does.")


def test_a_total_size_is_that_of_all_areas_together(api: Api) -> None:
    course = a_course(api)
    greens = [an_area(api, course, "6000"), an_area(api, course, "4000")]
    edition, project = an_edition_of_all(api), a_project(api)
    for some in (greens, greens[:1]):
        a_scope_item(api, project, TOPDRESSING, some, by_measure("SAND", "sand_mass"))
    estimate = priced(api, project, edition)
    question = {
        "first": {"estimate_id": estimate["id"], "variable": {"kind": "area"}},
        "second": {"label": "Offer", "cost": {"amount": "1.00", "currency": "USD"}},
        "low": "10000", "high": "20000", "resolution": "10000", "unit": "square_foot",
    }  # fmt: skip
    found = answered(api, BREAK_EVEN, question)
    assert found["first"]["at_low"] == found["first"]["as_estimated"] == estimate["total"]
    for green, size in zip(greens, (12000, 8000), strict=True):
        with_size(api, green, size, "square_foot")
    assert money(found["first"]["at_high"]) == really(api, project, edition)
    assert found["words"] == [
        "Offer costs less throughout, from 10,000 to 20,000 square foot: there is no break-even."
    ]
    assert found["cheaper_throughout"] == "second"


def test_hire_against_buying_by_days_of_work_is_that_of_every_day_priced(api: Api) -> None:
    hire = a_hire(api)
    own = a_hire(api, "OWN-LOADER")
    hours = [{"item": "LOADER", "hours": "8"}]
    own_hours = [{"item": "OWN-LOADER", "hours": "8"}]
    question = {
        "first": {
            "label": "Renting", "estimate_id": hire["estimate"]["id"],
            "variable": {"kind": "days", "hours_a_day": hours},
        },
        "second": {
            "label": "Our own", "estimate_id": own["estimate"]["id"],
            "variable": {"kind": "days", "hours_a_day": own_hours},
        },
        "low": "1", "high": "12", "resolution": "1", "unit": "work_day",
    }  # fmt: skip
    found = answered(api, BREAK_EVEN, question)
    assert found["words"] == [
        "Our own costs less throughout, from 1 to 12 work days: there is no break-even."
    ]
    # Seven September 2026 is a Monday: the sixth working day is the Monday after.
    for days, ends_on in ((1, "2026-09-07"), (12, "2026-09-22")):
        needed = stated("LOADER", str(8 * days), "hour") | {"waste_percent": "0"}
        with_changes(api, hire["work"], resources=[needed], ends_on=ends_on)
        at = found["first"]["at_low" if days == 1 else "at_high"]
        assert money(at) == really(api, hire["project"], hire["edition"])


def test_a_bought_machine_pays_after_so_many_days(api: Api) -> None:
    """A day costs 310, a week 980 and delivery 120; 1 day to 3 days are paid by the day, then weeks."""
    hire = a_hire(api)
    variable = {"kind": "days", "hours_a_day": [{"item": "LOADER", "hours": "8"}]}
    question = {
        "first": {"label": "Renting", "estimate_id": hire["estimate"]["id"], "variable": variable},
        "second": {"label": "Buying", "cost": {"amount": "2300.00", "currency": "USD"}},
        "low": "1", "high": "40", "resolution": "1", "unit": "work_day",
    }  # fmt: skip
    found = answered(api, BREAK_EVEN, question)
    # 2 weeks and a day are 120 + 1,960 + 310 = 2,390; ten days are 2,080.
    assert found["words"] == ["Renting costs less up to 10 work days; from 11 work days on Buying does."]
    (crossing,) = found["crossings"]
    assert (crossing["before"]["first"]["amount"], crossing["after"]["first"]["amount"]) == (
        "2080.00",
        "2390.00",
    )


def test_hours_of_an_item_are_hired_by_their_own_terms(api: Api) -> None:
    hire, own = a_hire(api), a_hire(api, "OWN-LOADER")
    question = {
        "first": {"estimate_id": hire["estimate"]["id"], "variable": {"kind": "hours", "item": "LOADER"}},
        "second": {"estimate_id": own["estimate"]["id"], "variable": {"kind": "hours", "item": "OWN-LOADER"}},
        "low": "4", "high": "160", "resolution": "4", "unit": "hour",
    }  # fmt: skip
    found = answered(api, BREAK_EVEN, question)
    for hours, bound in (("4", "at_low"), ("160", "at_high")):
        for way, side, item in ((hire, "first", "LOADER"), (own, "second", "OWN-LOADER")):
            with_changes(api, way["work"], resources=[stated(item, hours, "hour")])
            assert money(found[side][bound]) == really(api, way["project"], way["edition"])


def test_a_price_moves_with_its_breaks(api: Api) -> None:
    ways = two_ways(api)
    with_size(api, ways["green"], "60000", "square_foot")
    own, hired = (
        priced(api, ways[one], ways["edition"], TAX, name=name)
        for one, name in (("own", "Own crew"), ("hired", "Contractor"))
    )
    question = {
        "first": {"estimate_id": own["id"], "variable": {"kind": "price", "item": "SAND"}},
        "second": {"estimate_id": hired["id"]},
        "low": "20", "high": "77", "resolution": "0.5", "unit": "short_ton",
    }  # fmt: skip
    found = answered(api, BREAK_EVEN, question)
    # 62.5 short tons are three loads, beyond the break, whose price moves from 36.25 in proportion: doubled at 77.
    dearer = an_edition_of_all(api, "77.00", "72.50")
    assert money(found["first"]["at_high"]) == really(api, ways["own"], dearer, TAX)
    assert found["unit"] == "USD per short ton"
    (crossing,) = found["crossings"]
    for at, cheaper in ((crossing["before"], "first"), (crossing["after"], "second")):
        beyond = (Decimal("36.25") * Decimal(at["value"]) / Decimal("38.50")).quantize(Decimal("0.000001"))
        edition = an_edition_of_all(api, at["value"], str(beyond))
        assert money(at["first"]) == really(api, ways["own"], edition, TAX)
        assert (at["second"], at["cheaper"]) == (hired["total"], cheaper)


def test_a_depth_moves_the_sand_in_the_scope_items_named(api: Api) -> None:
    ways = two_ways(api)
    variable = {"kind": "quantity", "parameter": "depth", "scope_item_ids": [ways["crewed"]["id"]]}
    question = {
        "first": {"estimate_id": ways["own_estimate"]["id"], "variable": variable},
        "second": {"estimate_id": ways["hired_estimate"]["id"]},
        "low": "0.1", "high": "2", "resolution": "0.1", "unit": "inch",
    }  # fmt: skip
    found = answered(api, BREAK_EVEN, question)
    for depth, bound in (("0.1", "at_low"), ("2", "at_high")):
        parameters = TOPDRESSING["parameters"] | {"depth": {"value": depth, "unit": "inch"}}
        with_changes(api, ways["crewed"], parameters=parameters)
        assert money(found["first"][bound]) == really(api, ways["own"], ways["edition"], TAX)


def test_years_add_a_yearly_cost_to_a_first_cost(api: Api) -> None:
    def side(label: str, once: str, yearly: str) -> Document:
        return {
            "label": label, "cost": {"amount": once, "currency": "USD"},
            "variable": {"kind": "years", "yearly": {"amount": yearly, "currency": "USD"}},
        }  # fmt: skip

    question = {
        "first": side("Renting", "0.00", "4100.00"), "second": side("Buying", "28000.00", "900.00"),
        "low": "1", "high": "15", "resolution": "1", "unit": "year",
    }  # fmt: skip
    found = answered(api, BREAK_EVEN, question)
    # 28,000 / 3,200 is 8.75 years.
    assert found["words"] == ["Renting costs less up to 8 years; from 9 years on Buying does."]
    (crossing,) = found["crossings"]
    assert (crossing["before"]["first"]["amount"], crossing["before"]["second"]["amount"]) == (
        "32800.00",
        "35200.00",
    )
    assert found["searched"]["pricings"] == 0


def test_costs_that_meet_are_told_with_their_neighbors(api: Api) -> None:
    yearly = {"kind": "years", "yearly": {"amount": "100.00", "currency": "USD"}}
    question = {
        "first": {"label": "A", "cost": {"amount": "0.00", "currency": "USD"}, "variable": yearly},
        "second": {"label": "B", "cost": {"amount": "500.00", "currency": "USD"}},
        "low": "1", "high": "10", "resolution": "1", "unit": "year",
    }  # fmt: skip
    (crossing,) = answered(api, BREAK_EVEN, question)["crossings"]
    values = [crossing[name]["value"] for name in ("before", "same_from", "same_to", "after")]
    assert values == ["4", "5", "5", "6"]
    assert (
        crossing["words"]
        == "Up to 4 years A costs less; at 5 years both cost the same; from 6 years on B costs less."
    )


def test_cash_can_be_counted_instead_of_full_cost(api: Api) -> None:
    ways = two_ways(api)
    found = answered(api, BREAK_EVEN, by_area(ways, counts="cash_total"))
    assert found["first"]["as_estimated"] == ways["own_estimate"]["cash_total"]
    assert found["first"]["as_estimated"] != ways["own_estimate"]["total"]
    with_size(api, ways["green"], "3", "acre")
    cash = really(api, ways["own"], ways["edition"], TAX, cost="cash_total")
    assert money(found["first"]["at_high"]) == cash


def test_too_many_values_are_sampled_and_that_is_said(api: Api) -> None:
    found = answered(api, BREAK_EVEN, by_area(two_ways(api), resolution="0.0005"))
    searched = found["searched"]
    assert searched["every_value"] is False
    assert searched["pricings"] <= moved_costs.MOST_PRICINGS
    assert any("may have been missed" in words for words in found["words"])


def test_a_search_is_bounded(api: Api, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(moved_costs, "MOST_PRICINGS", 20)
    problem = refused(api, BREAK_EVEN, by_area(two_ways(api)))
    assert problem["faults"][0]["pointer"] == "/resolution"


def test_what_has_no_price_is_a_caution(api: Api) -> None:
    ways = two_ways(api)
    resources = [by_measure("SAND", "sand_mass"), stated("UNKNOWN", "1", "short_ton")]
    with_changes(api, ways["crewed"], resources=resources)
    estimate = priced(api, ways["own"], ways["edition"], TAX, name="Own crew")
    question = by_area(ways)
    question["first"]["estimate_id"] = estimate["id"]
    (caution,) = answered(api, BREAK_EVEN, question)["cautions"]
    assert caution.startswith("Own crew is incomplete at every value that was computed")


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"first": {"estimate_id": NOBODY, "variable": {"kind": "area"}}}, "/first/estimate_id"),
        ({"low": "3", "high": "3"}, "/high"),
        ({"low": "0.07"}, "/low"),
        ({"low": "0", "high": "1"}, "/low"),
        ({"resolution": "0.000001", "low": "0.05", "high": "3"}, "/resolution"),
        ({"unit": "inch"}, "/unit"),
        ({"unit": None}, "/unit"),
        ({"variable": {"kind": "area", "scope_item_ids": [NOBODY]}}, "/first/variable/scope_item_ids/0"),
        ({"variable": {"kind": "area", "area_ids": [NOBODY]}}, "/first/variable/area_ids/0"),
        ({"variable": {"kind": "price", "item": "SOD"}, "unit": "short_ton"}, "/first/variable/item"),
        ({"variable": {"kind": "price", "item": "SAND"}, "unit": "pound"}, "/unit"),
        ({"variable": {"kind": "hours", "item": "SOD"}, "unit": "hour"}, "/first/variable/item"),
        ({"variable": {"kind": "hours", "item": "CREW"}, "unit": "acre"}, "/unit"),
        (
            {"variable": {"kind": "quantity", "parameter": "spacing"}, "unit": "inch"},
            "/first/variable/parameter",
        ),
        ({"variable": {"kind": "quantity", "parameter": "depth"}, "unit": "acre"}, "/unit"),
        ({"variable": {"kind": "quantity", "parameter": "depth"}, "unit": "inch", "low": "0"}, "/low"),
        ({"variable": {"kind": "days"}, "unit": "day"}, "/unit"),
        ({"variable": {"kind": "days"}, "unit": "work_day"}, "/low"),
        (
            {"variable": {"kind": "days"}, "unit": "work_day", "low": "1", "resolution": "1"},
            "/first/variable",
        ),
        (
            {"first": {"cost": {"amount": "1.00", "currency": "USD"}, "variable": {"kind": "area"}}},
            "/first/variable",
        ),
        ({"first": {"cost": {"amount": "1.00", "currency": "EUR"}}}, "/second/estimate_id"),
        ({"variable": None}, "/first/variable"),
    ],
)
def test_what_cannot_be_asked_is_refused_with_its_place(api: Api, change: Document, pointer: str) -> None:
    """`variable` stands for that of the first alternative, with the second one left as it is."""
    question = by_area(two_ways(api)) | {name: value for name, value in change.items() if name != "variable"}
    if "variable" in change:
        question["first"] = question["first"] | {"variable": change["variable"]}
        question["second"] = {"estimate_id": question["second"]["estimate_id"]}
    problem = refused(api, BREAK_EVEN, question)
    assert problem["type"] == "/problems/invalid-values"
    assert pointer in [fault["pointer"] for fault in problem["faults"]]
    assert all(fault["expected"] for fault in problem["faults"])


def test_both_move_by_the_same_kind(api: Api) -> None:
    question = by_area(two_ways(api))
    question["second"]["variable"] = {"kind": "quantity", "parameter": "depth"}
    (fault,) = refused(api, BREAK_EVEN, question)["faults"]
    assert fault["pointer"] == "/second/variable/kind"


def test_a_scope_that_has_changed_since_is_not_moved(api: Api) -> None:
    ways = two_ways(api)
    with_changes(api, ways["crewed"], resources=[by_measure("SAND", "sand_mass")])
    problem = refused(api, BREAK_EVEN, by_area(ways), 409)
    assert problem["type"] == "/problems/wrong-state"


def test_everyone_of_the_club_may_ask_and_nobody_else(api: Api) -> None:
    ways = two_ways(api)
    committee = api.as_role("committee")
    assert answered(committee, BREAK_EVEN, by_area(ways))["spans"]
    stranger = api.of_new_club("other-side")
    (fault,) = refused(stranger, BREAK_EVEN, by_area(ways))["faults"]
    assert fault["pointer"] == "/first/estimate_id"


def test_years_that_cost_more_than_can_be_meant_are_refused(api: Api) -> None:
    most = {"amount": "999999999999", "currency": "USD"}
    question = {
        "first": {"label": "Buy", "cost": most, "variable": {"kind": "years", "yearly": most}},
        "second": {"label": "Hire", "cost": {"amount": "1", "currency": "USD"}},
        "low": "0", "high": "10", "resolution": "1", "unit": "year",
    }  # fmt: skip
    (fault,) = refused(api, BREAK_EVEN, question)["faults"]
    assert fault["pointer"] == "/first/variable"
    assert "costs less than 1,000,000,000,000 USD" in fault["expected"]
