"""Every built-in method has a page of its own that says what the method says of itself."""

import html
import json
import re

import pytest
from conftest import Api
from swardcost_api.methods.frame import Method
from swardcost_api.methods.registry import METHODS
from swardcost_api.units import to_si
from swardcost_model.values import Quantity

ALL = [pytest.param(method, id=name) for name, method in METHODS.items()]


@pytest.mark.parametrize("method", ALL)
def test_a_method_has_a_page_with_parameters_measures_example_and_cautions(api: Api, method: Method) -> None:
    response = api.client.get(f"/docs/methods/{method.name}")
    assert (response.status_code, response.headers["content-type"]) == (200, "text/html; charset=utf-8")
    page = html.unescape(response.text)
    assert f"<h1>{method.title}</h1>" in page
    for name, field in method.parameters.model_fields.items():
        assert f"<code>{name}</code>" in page
        assert re.sub("`", "", str(field.description)) in re.sub("</?code>", "", page)
    for note in method.measures:
        assert page.count(f"<code>{note.name}</code>") >= 2, "in the table of measures and among the results"
    for text in (*method.sources, *method.cautions, method.example.source):
        assert text in page
    assert json.dumps(method.example.parameters, indent=2) in page
    area = method.example.area
    area_m2 = 0.0 if area is None else to_si(Quantity.model_validate(area), "area")
    for measure in method.take_off(method.parameters_as_typed(method.example.parameters), area_m2):
        assert measure.derivation[-1].formula in page


@pytest.mark.parametrize("method", ALL)
def test_a_page_fetches_nothing_from_elsewhere(api: Api, method: Method) -> None:
    page = api.client.get(f"/docs/methods/{method.name}").text
    assert not re.search(r"<script|<link|<img|@import|url\(|https?://", page)
    for target in re.findall(r'href="([^"#]+)', page):
        assert api.client.get(target).status_code == 200, target


def test_the_documentation_links_every_page(api: Api) -> None:
    page = api.client.get("/docs").text
    assert re.findall(r'href="/docs/methods/(\w+)"', page) == list(METHODS)


def test_there_is_no_page_of_a_method_that_is_not_built_in(api: Api) -> None:
    assert api.client.get("/docs/methods/moonlighting").status_code == 404


def test_units_are_named_for_every_quantity(api: Api) -> None:
    page = api.client.get("/docs/methods/hollow_tine_aeration").text
    row = next(line for line in page.splitlines() if "<code>fill.bulk_density</code>" in line)
    assert "<code>pound_per_cubic_foot</code>" in row
    assert " *<" in row
    assert "whole number from 1 to 100, 1 if absent" in page
