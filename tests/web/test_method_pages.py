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


def row_of(api: Api, method: str, name: str, after: str) -> str:
    """The row that starts with a name, the first after a heading, without tags."""
    page = api.client.get(f"/docs/methods/{method}").text.partition(f'id="{after}"')[2]
    row = next(line for line in page.splitlines() if re.search(rf"<td>(<code>)?{name}<", line))
    return re.sub("<[^>]*>", " | ", re.sub("</?code>", "", html.unescape(row)))


def test_measures_and_steps_stand_in_si_and_in_us_units(api: Api) -> None:
    assert row_of(api, "topdressing", "sand_mass", "measures").endswith("|  | kilogram |  | short ton |  | ")
    assert "|  | cubic meter |  | cubic yard |" in row_of(api, "topdressing", "sand_volume", "measures")
    assert "|  | load |  | load |" in row_of(api, "soil_layer", "loads", "measures")
    assert "|  | any |  | any |" in row_of(api, "plain_quantity", "quantity", "measures")
    step = row_of(api, "topdressing", "sand mass", "formulas")
    assert "|  | 4149.282 kilogram |  | 4.574 short ton |" in step


def test_examples_of_parameters_are_in_words(api: Api) -> None:
    assert "For example 0.02 inch." in row_of(api, "topdressing", "depth", "parameters")
    assert "For example 1 inch, 2 inch." in row_of(api, "cultivation_program", "band_bottoms", "parameters")
    assert "For example efficiency_percent 80." in row_of(api, "ground_pass", "turning", "parameters")
    bushel = "For example 800 sprig bushel 0.4 cubic foot per acre."
    assert bushel in row_of(api, "sprigging", "sprig_rate", "parameters")


@pytest.mark.parametrize("method", ALL)
def test_no_parameter_is_explained_by_raw_json(api: Api, method: Method) -> None:
    page = html.unescape(api.client.get(f"/docs/methods/{method.name}").text)
    table = page.partition('id="parameters"')[2].partition("</table>")[0]
    assert not re.search(r"[{}\[\]]", table)


@pytest.mark.parametrize(
    ("method", "rule", "rows"),
    [
        ("topdressing", "exactly one of depth and rate is given", ["depth", "rate"]),
        ("tree_planting", "exactly one of trees and grid is given", ["trees", "grid"]),
        ("drainage", "at least one of main_length and laterals is given", ["main_length", "laterals"]),
        ("grow_in", "at least one of feeding and water is given", ["feeding", "water"]),
        (
            "soil_layer",
            "at least one of payload and box_volume is given",
            ["truck.payload", "truck.box_volume"],
        ),
        (
            "sand_injection",
            "at most one of mass_per_hole and rate is given",
            ["sand.mass_per_hole", "sand.rate"],
        ),
        ("ground_pass", "both run_length and time_to_turn", ["turning.efficiency_percent"]),
        ("cultivation_program", "exactly one of holes, slits and knives is given", ["passes.holes"]),
    ],
)
def test_which_of_several_parameters_are_given_is_said_with_each_and_in_the_schema(
    api: Api, method: str, rule: str, rows: list[str]
) -> None:
    for name in rows:
        assert rule in row_of(api, method, name, "parameters").lower()
    schema = api.client.get(f"/v1/methods/{method}").json()["parameters"]
    assert json.dumps(schema).replace("`", "").lower().count(rule) >= len(rows)


def test_sand_is_not_offered_in_bushels_of_sprigs(api: Api) -> None:
    for method, rate in (("topdressing", "rate"), ("sand_injection", "sand.rate")):
        row = row_of(api, method, rate, "parameters")
        assert "cubic_foot_per_thousand_square_feet" in row
        assert "sprig" not in row
    assert "sprig_bushel_0_32_cubic_foot_per_acre" in row_of(api, "sprigging", "sprig_rate", "parameters")


def test_units_are_named_for_every_quantity(api: Api) -> None:
    page = api.client.get("/docs/methods/hollow_tine_aeration").text
    row = next(line for line in page.splitlines() if "<code>fill.bulk_density</code>" in line)
    assert "<code>pound_per_cubic_foot</code>" in row
    assert " *<" in row
    assert "whole number from 1 to 100, 1 if absent" in page
