"""The price of an item through the published editions, as figures and as a chart."""

from typing import Any
from xml.etree import ElementTree

import pytest
from catalog_factories import a_draft, put
from conftest import Api
from price_move_factories import GRAVEL, SAND, published, the_earlier, usd


def three_editions(api: Api, **more: Any) -> list[str]:
    editions = []
    for year, price in [("2024", "36.00"), ("2025", "38.50"), ("2026", "39.73")]:
        edition = a_draft(api, f"Spring {year}", price_date=f"{year}-03-01")
        put(api, edition, unit_price=usd(price), **more)
        editions.append(published(api, edition))
    return editions


def test_the_history_of_a_price_goes_through_the_published_editions(api: Api) -> None:
    editions = three_editions(api, low_price=usd("35"), high_price=usd("40"))
    put(api, a_draft(api, "Draft"), unit_price=usd("99"))
    found = api.get(f"/price-history/{SAND}").json()
    assert (found["code"], found["description"]) == (SAND, "Topdressing sand")
    # 38.50 / 36 - 1 = 6.9444 %; 39.73 / 38.50 - 1 = 3.1948 %
    assert [
        (one["edition_id"], one["unit_price"]["amount"], one["percent"]) for one in found["prices"]
    ] == list(zip(editions, ["36.00", "38.50", "39.73"], [None, "6.94", "3.19"], strict=True))
    assert found["prices"][0]["low_price"] == usd("35.00")
    assert [one["price_date"] for one in found["prices"]] == ["2024-03-01", "2025-03-01", "2026-03-01"]


def test_a_change_of_unit_has_no_percentage(api: Api) -> None:
    the_earlier(api)
    later = a_draft(api)
    put(api, later, unit="metric_ton", unit_price=usd("42.44"))
    published(api, later)
    points = api.get(f"/price-history/{SAND}").json()["prices"]
    assert [(one["unit"], one["percent"]) for one in points] == [("short_ton", None), ("metric_ton", None)]


@pytest.mark.parametrize("code", ["LIME", "SAND-TD%00", "%00", "sand td"])
def test_a_code_that_no_published_edition_has_is_not_found(api: Api, code: str) -> None:
    put(api, a_draft(api, "Draft"), "LIME")
    for accept in ("application/json", "image/svg+xml"):
        assert api.get(f"/price-history/{code}", headers={"Accept": accept}).status_code == 404
    three_editions(api)
    assert api.of_new_club("stone-weir").get(f"/price-history/{SAND}").status_code == 404


def svg_texts(api: Api, code: str = SAND) -> list[str]:
    """The words of a chart, which must be well-formed."""
    response = api.get(f"/price-history/{code}", headers={"Accept": "image/svg+xml"})
    assert response.status_code == 200, response.text
    assert response.headers["content-type"].startswith("image/svg+xml")
    root = ElementTree.fromstring(response.text)
    assert root.tag == "{http://www.w3.org/2000/svg}svg"
    return ["".join(element.itertext()) for element in root.iter("{http://www.w3.org/2000/svg}text")]


def test_the_chart_of_a_history_names_prices_unit_and_item(api: Api) -> None:
    three_editions(api, description="Sand <0.25-1 mm> & washed", low_price=usd("35"), high_price=usd("40"))
    texts = svg_texts(api)
    for label in ("36.00", "38.50", "39.73", "USD per short ton", "SAND-TD: Sand <0.25-1 mm> & washed"):
        assert label in texts, texts


def test_a_chart_can_be_drawn_of_one_price_and_of_none(api: Api) -> None:
    source = a_draft(api, "Before")
    put(api, source)
    put(api, source, GRAVEL, unit_price=None)
    published(api, source)
    assert "38.50" in svg_texts(api)
    assert "GRAVEL: Topdressing sand" in svg_texts(api, GRAVEL)
