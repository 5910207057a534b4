"""Markups by published rates through the API: tax by place, escalation by index and by each scope item's days."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from conftest import Api
from estimate_factories import (
    LUMP,
    Document,
    a_project,
    a_scope_item,
    an_edition,
    an_item,
    money,
    priced,
    stated,
    warnings_of,
)
from terms_factories import estimate_of, sums_hold


def a_tax_rate(api: Api, percent: str, tax_class: str = "standard", **more: Any) -> None:
    body = {
        "place": "Harrow County", "tax_class": tax_class, "percent": percent, "valid_from": "2026-01-01",
        "source": "County rate table",
    }  # fmt: skip
    api.created("/tax-rates", body | more)


AT_PLACE = {"kind": "tax", "place": "Harrow County"}


def taxed(api: Api) -> Document:
    items = [an_item("SAND", "10.00"), an_item("SEED", "20.00", tax_class="farm")]
    return estimate_of(
        api, items, stated("SAND", "10", "short_ton"), stated("SEED", "10", "short_ton"), markups=[AT_PLACE]
    )


def taxes_of(estimate: Document) -> list[tuple[str, str, str]]:
    return sorted(
        (one["base"]["amount"], str(Decimal(one["percent"]).normalize()), one["amount"]["amount"])
        for one in estimate["markups"]
    )


def test_tax_of_a_place_is_by_class_each_on_its_line(api: Api) -> None:
    a_tax_rate(api, "7.25")
    a_tax_rate(api, "2", "farm")
    estimate = taxed(api)
    assert taxes_of(estimate) == [("100.00", "7.25", "7.25"), ("200.00", "2", "4.00")]
    assert estimate["total"]["amount"] == "311.25"


def test_a_certificate_frees_a_class_on_a_line_of_zero_percent(api: Api) -> None:
    a_tax_rate(api, "7.25")
    a_tax_rate(api, "2", "farm")
    api.created("/exemptions", {"number": "EX-20-4471", "tax_classes": ["farm"], "valid_from": "2026-01-01"})
    estimate = taxed(api)
    assert taxes_of(estimate) == [("100.00", "7.25", "7.25"), ("200.00", "0", "0.00")]
    free = next(one for one in estimate["markups"] if money(one["amount"]) == 0)
    assert "EX-20-4471" in str(free)
    assert estimate["complete"] is True


def test_a_class_without_a_rate_is_a_gap_and_not_untaxed(api: Api) -> None:
    a_tax_rate(api, "7.25")
    a_tax_rate(api, "2", "farm", valid_until="2026-07-31")
    estimate = taxed(api)
    assert taxes_of(estimate) == [("100.00", "7.25", "7.25")]
    assert warnings_of(estimate) == [("no_tax_rate", True)]
    assert "farm" in estimate["warnings"][0]["message"]
    assert estimate["complete"] is False
    refused = api.post(f"/estimates/{estimate['id']}/issue", json={})
    assert refused.json()["type"] == "/problems/incomplete-estimate"


def an_index(api: Api, values: Mapping[str, str]) -> str:
    body = {
        "name": f"Inputs {uuid4()}", "source": "Statistics office, table 12",
        "values": [{"month": month, "value": value} for month, value in values.items()],
    }  # fmt: skip
    series: str = api.created("/index-series", body)["id"]
    return series


def test_escalation_by_an_index_follows_the_days_of_each_scope_item(api: Api) -> None:
    index = an_index(api, {"2026-01": "200", "2026-09": "210", "2027-03": "230"})
    project = a_project(api)
    sand = stated("SAND", "100", "short_ton")
    a_scope_item(api, project, LUMP, [], sand)
    a_scope_item(api, project, LUMP, [], sand, starts_on="2027-03-01", ends_on="2027-03-31")
    markup = {"kind": "escalation", "index_series_id": index}
    estimate = priced(api, project, an_edition(api, [an_item("SAND", "10.00")]), markup)
    sums_hold(api, estimate)
    found = [(one["base"]["amount"], Decimal(one["percent"])) for one in estimate["markups"]]
    assert sorted(found) == [("1000.00", Decimal(5)), ("1000.00", Decimal(15))]
    assert estimate["total"]["amount"] == "2200.00"


def test_escalation_by_a_rate_follows_the_days_of_each_scope_item_and_of_each_price(api: Api) -> None:
    project = a_project(api, starts_on="2027-01-01", ends_on="2027-01-01")
    sand = stated("SAND", "100", "short_ton")
    a_scope_item(api, project, LUMP, [], sand, stated("NEWER", "100", "short_ton"))
    a_scope_item(api, project, LUMP, [], sand, starts_on="2028-01-01", ends_on="2028-01-01")
    items = [an_item("SAND", "10.00"), an_item("NEWER", "10.00", priced_on="2027-01-01")]
    estimate = priced(
        api, project, an_edition(api, items), {"kind": "escalation", "percent": "4"}, as_of="2027-01-01"
    )
    sums_hold(api, estimate)
    found = sorted(Decimal(one["percent"]) for one in estimate["markups"])
    assert found in ([Decimal(4), Decimal("8.16")], [Decimal(0), Decimal(4), Decimal("8.16")])
    assert estimate["total"]["amount"] == "3121.60"


def test_an_index_that_does_not_reach_is_a_gap_and_not_level(api: Api) -> None:
    index = an_index(api, {"2026-01": "200", "2026-06": "210"})
    estimate = estimate_of(
        api, [an_item("SAND")], stated("SAND", "1", "short_ton"),
        markups=[{"kind": "escalation", "index_series_id": index}],
    )  # fmt: skip
    assert warnings_of(estimate) == [("no_index", True)]
    assert "it runs from 2026-01 to 2026-06" in estimate["warnings"][0]["message"]
    assert estimate["complete"] is False


@pytest.mark.parametrize(
    "markup",
    [
        {"kind": "tax"},
        {"kind": "tax", "percent": "5", "place": "Harrow County"},
        {"kind": "tax", "index_series_id": str(uuid4())},
        {"kind": "overhead", "place": "Harrow County"},
        {"kind": "contingency"},
        {"kind": "escalation", "place": "Harrow County"},
        {"kind": "escalation", "percent": "3", "index_series_id": str(uuid4())},
    ],
)
def test_a_markup_without_exactly_one_rate_of_its_own_is_refused(api: Api, markup: Document) -> None:
    project, edition = a_project(api), an_edition(api)
    markups = [
        {"kind": "contingency" if markup["kind"] == "overhead" else "overhead", "percent": "1"},
        markup,
    ]
    refused = api.post(
        f"/projects/{project}/estimates", json={"name": "E", "edition_id": edition, "markups": markups}
    )
    fault = refused.json()["faults"][0]
    assert (refused.status_code, fault["pointer"]) == (400, "/markups/1")
    assert f"exactly one rate for {markup['kind']}" in fault["expected"]
    assert api.get("/estimates").json()["items"] == []


def test_an_index_of_another_club_is_refused(api: Api) -> None:
    index = an_index(api.of_new_club("stone-weir"), {"2026-01": "200"})
    project = a_project(api)
    body = {
        "name": "E", "edition_id": an_edition(api),
        "markups": [{"kind": "escalation", "index_series_id": index}],
    }  # fmt: skip
    refused = api.post(f"/projects/{project}/estimates", json=body)
    assert (refused.status_code, refused.json()["faults"][0]["pointer"]) == (
        422, "/markups/0/index_series_id",
    )  # fmt: skip
