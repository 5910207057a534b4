"""The scope of a project through the API."""

import json
from concurrent.futures import ThreadPoolExecutor
from typing import Any
from uuid import uuid4

import pytest
from conftest import Api
from estimate_factories import (
    LUMP,
    SODDING,
    TOPDRESSING,
    a_course,
    a_project,
    a_scope_item,
    an_area,
    by_measure,
    scope_body,
    stated,
)

PARAMETERS = TOPDRESSING["parameters"]


def faults(response: Any) -> list[tuple[int, str]]:
    return [(response.status_code, fault["pointer"]) for fault in response.json()["faults"]]


def test_a_scope_item_is_kept_as_typed_and_can_be_edited_and_deleted(api: Api) -> None:
    project, course = a_project(api), a_course(api)
    first, second = an_area(api, course), an_area(api, course)
    resources = [by_measure("SAND", "sand_mass", waste_percent="7.50"), stated("FEE", "1.0", "lump_sum")]
    made = a_scope_item(api, project, TOPDRESSING, [second, first], *resources, name="Dress", note="Dry sand")
    path = f"/scope-items/{made['id']}"
    read = api.get(path)
    assert read.json() == made
    assert (made["number"], made["area_ids"], made["parameters"]) == (1, [second, first], PARAMETERS)
    assert made["resources"][0]["waste_percent"] == "7.50"
    assert made["resources"][1]["quantity"] == {"value": "1.0", "unit": "lump_sum"}
    change = scope_body(SODDING, [first], by_measure("SOD", "pallets"), name="Sod")
    assert api.put(path, json=change).status_code == 428
    edited = api.put(path, json=change, headers={"If-Match": '"1"'})
    assert (edited.status_code, edited.json()["version"], edited.json()["area_ids"]) == (200, 2, [first])
    assert api.put(path, json=change, headers={"If-Match": '"1"'}).status_code == 412
    assert api.get(path).json() == edited.json()
    assert api.delete(path, headers={"If-Match": '"1"'}).status_code == 412
    assert api.get(path).json()["area_ids"] == [first]
    assert api.delete(path, headers={"If-Match": '"2"'}).status_code == 204
    assert api.get(path).status_code == 404
    trail = api.get(f"/audit?subject=scope_item&subject_id={made['id']}").json()["items"]
    assert [entry["action"] for entry in trail] == ["delete", "change", "create"]


def test_scope_items_are_numbered_and_listed_in_order(api: Api) -> None:
    project = a_project(api)
    made = [a_scope_item(api, project, LUMP, [], name=name)["number"] for name in ("C", "A", "B")]
    seen, path = [], f"/projects/{project}/scope-items?limit=2"
    while path:
        page = api.get(path)
        seen += [item["name"] for item in page.json()["items"]]
        path = page.links["next"]["url"] if "next" in page.links else ""
    assert (made, seen) == ([1, 2, 3], ["C", "A", "B"])


def test_scope_items_added_at_once_are_all_there(api: Api) -> None:
    project = a_project(api)
    with ThreadPoolExecutor(8) as pool:
        answers = list(pool.map(lambda n: a_scope_item(api, project, LUMP, [], name=f"Work {n}"), range(16)))
    assert sorted(item["number"] for item in answers) == list(range(1, 17))


def test_an_area_is_not_deleted_while_a_scope_uses_it(api: Api) -> None:
    area = an_area(api, a_course(api))
    item = a_scope_item(api, a_project(api), TOPDRESSING, [area])
    refused = api.delete(f"/areas/{area}", headers={"If-Match": '"1"'})
    assert (refused.status_code, refused.json()["type"]) == (409, "/problems/in-use")
    assert api.delete(f"/scope-items/{item['id']}", headers={"If-Match": '"1"'}).status_code == 204
    assert api.delete(f"/areas/{area}", headers={"If-Match": '"1"'}).status_code == 204


@pytest.mark.parametrize(
    ("parameters", "pointers"),
    [
        ({}, ["/parameters/bulk_density"]),
        (PARAMETERS | {"depth": {"value": "1", "unit": "acre"}}, ["/parameters/depth"]),
        (PARAMETERS | {"depth": {"value": "1", "unit": "ton"}}, ["/parameters/depth"]),
        (PARAMETERS | {"depth": {"value": "0", "unit": "inch"}}, ["/parameters/depth"]),
        (PARAMETERS | {"depth": {"value": "-1", "unit": "inch"}}, ["/parameters/depth/value"]),
        (PARAMETERS | {"depth": {"value": 0.25, "unit": "inch"}}, ["/parameters/depth/value"]),
        (PARAMETERS | {"depth": {"value": "NaN", "unit": "inch"}}, ["/parameters/depth/value"]),
        (PARAMETERS | {"depth": {"value": "1e3", "unit": "inch"}}, ["/parameters/depth/value"]),
        (PARAMETERS | {"depth": {"value": "9" * 13, "unit": "inch"}}, ["/parameters/depth/value"]),
        (PARAMETERS | {"depth": {"value": "1"}}, ["/parameters/depth/unit"]),
        (PARAMETERS | {"depth": None}, ["/parameters"]),
        (PARAMETERS | {"applications": 0}, ["/parameters/applications"]),
        (PARAMETERS | {"applications": 2.5}, ["/parameters/applications"]),
        (PARAMETERS | {"applications": True}, ["/parameters/applications"]),
        (PARAMETERS | {"applications": "2"}, ["/parameters/applications"]),
        (PARAMETERS | {"allowance_percent": "1000.1"}, ["/parameters/allowance_percent"]),
        (PARAMETERS | {"crew_size": 2}, ["/parameters/crew_size"]),
        (PARAMETERS | {"dept~h/": 1}, ["/parameters/dept~0h~1"]),
        ({"depth": 1, "bulk_density": []}, ["/parameters/depth", "/parameters/bulk_density"]),
    ],
)
def test_parameters_that_make_no_sense_are_refused_with_their_place(
    api: Api, parameters: dict[str, Any], pointers: list[str]
) -> None:
    project, area = a_project(api), an_area(api, a_course(api))
    path = f"/projects/{project}/scope-items"
    refused = api.post(path, json=scope_body({"method": "topdressing", "parameters": parameters}, [area]))
    assert faults(refused) == [(422, pointer) for pointer in pointers]
    assert api.get(path).json()["items"] == []


@pytest.mark.parametrize(
    "text",
    ["NaN", "Infinity", "-Infinity", "1e400", "1" * 5000, '"\\u0000"', '"\\ud800"', "[" * 150 + "]" * 150],
)
def test_numbers_and_texts_that_no_database_holds_are_refused(api: Api, text: str) -> None:
    project, area = a_project(api), an_area(api, a_course(api))
    body = scope_body(TOPDRESSING, [area], by_measure("SAND", "sand_mass"))
    for place in ("applications", "depth", "unheard_of"):
        body["parameters"] = PARAMETERS | {place: "HERE"}
        content = json.dumps(body).replace('"HERE"', text)
        refused = api.post(
            f"/projects/{project}/scope-items", content=content, headers={"Content-Type": "application/json"}
        )
        assert refused.status_code in (400, 422), (place, refused.text[:300])
    assert api.get(f"/projects/{project}/scope-items").json()["items"] == []


@pytest.mark.parametrize(
    ("change", "status", "pointer"),
    [
        ({"method": "moonlighting"}, 422, "/method"),
        ({"method": "\ud800"}, 400, None),
        ({"name": "=1\n+1"}, 400, "/name"),
        ({"resources": [by_measure("SAND", "sand_mas")]}, 422, "/resources/0/measure"),
        ({"resources": [by_measure("SAND", "machine_time")]}, 422, "/resources/0/measure"),
        ({"resources": [stated("SAND", "1", "ton")]}, 422, "/resources/0/quantity/unit"),
        ({"resources": [stated("SAND", "-1", "each")]}, 400, "/resources/0/quantity/value"),
        ({"resources": [{"item": "SAND"}]}, 400, "/resources/0"),
        ({"resources": [stated("S", "1", "each", measure="area")]}, 400, "/resources/0"),
        ({"resources": [by_measure("A/B", "area")]}, 400, "/resources/0/item"),
        ({"resources": [by_measure("SAND", "area", waste_percent="-1")]}, 400, "/resources/0/waste_percent"),
        ({"resources": [by_measure("SAND", "area")] * 101}, 400, "/resources"),
        ({"area_ids": []}, 422, "/area_ids"),
        ({"area_ids": ["seven"]}, 400, "/area_ids/0"),
        ({"area_ids": [str(uuid4())]}, 422, "/area_ids/0"),
        ({"parameters": None}, 400, "/parameters"),
        ({"colour": "green"}, 400, "/colour"),
    ],
)
def test_what_is_no_scope_item_is_refused_with_its_place(
    api: Api, change: dict[str, Any], status: int, pointer: str | None
) -> None:
    project, area = a_project(api), an_area(api, a_course(api))
    body = scope_body(TOPDRESSING, [area], by_measure("SAND", "sand_mass"))
    path = f"/projects/{project}/scope-items"
    content = json.dumps(body | change).encode()
    refused = api.post(path, content=content, headers={"Content-Type": "application/json"})
    assert refused.status_code == status, refused.text
    if pointer is not None:
        assert [fault["pointer"] for fault in refused.json()["faults"]] == [pointer]
    assert api.get(path).json()["items"] == []
    good = api.created(path, body)
    edited = api.put(
        f"/scope-items/{good['id']}", content=content,
        headers={"Content-Type": "application/json", "If-Match": '"1"'},
    )  # fmt: skip
    assert edited.status_code == status
    assert api.get(f"/scope-items/{good['id']}").json() == good


def test_areas_named_twice_or_of_another_club_are_refused(api: Api) -> None:
    project, area = a_project(api), an_area(api, a_course(api))
    stranger = api.of_new_club("stone-weir")
    theirs = an_area(stranger, a_course(stranger))
    path = f"/projects/{project}/scope-items"
    assert faults(api.post(path, json=scope_body(TOPDRESSING, [area, area]))) == [(422, "/area_ids")]
    assert faults(api.post(path, json=scope_body(TOPDRESSING, [area, theirs]))) == [(422, "/area_ids/1")]
    assert api.get(path).json()["items"] == []


def test_a_measure_is_there_once_the_parameter_that_gives_it_is(api: Api) -> None:
    project, area = a_project(api), an_area(api, a_course(api))
    body = scope_body(TOPDRESSING, [area], by_measure("CREW", "crew_time"))
    refused = api.post(f"/projects/{project}/scope-items", json=body)
    assert "sand_mass" in refused.json()["faults"][0]["expected"]
    pace = {"production_rate": {"value": "1", "unit": "acre_per_hour"}, "crew_size": 3}
    api.created(f"/projects/{project}/scope-items", body | {"parameters": PARAMETERS | pace})


def test_another_clubs_scope_item_is_not_there(api: Api) -> None:
    item = a_scope_item(api, a_project(api), LUMP, [])
    stranger, path = api.of_new_club("stone-weir"), f"/scope-items/{item['id']}"
    match = {"If-Match": '"1"'}
    assert stranger.get(path).status_code == 404
    assert stranger.get(f"{path}/take-off").status_code == 404
    assert stranger.put(path, json=scope_body(LUMP, []), headers=match).status_code == 404
    assert stranger.delete(path, headers=match).status_code == 404
    assert api.get(path).json()["version"] == 1


def test_only_planners_may_change_the_scope(api: Api) -> None:
    project = a_project(api)
    item = a_scope_item(api.as_role("superintendent"), project, LUMP, [])
    for role in ("controller", "committee", "integrator"):
        reader = api.as_role(role)
        assert reader.post(f"/projects/{project}/scope-items", json=scope_body(LUMP, [])).status_code == 403
        assert reader.get(f"/scope-items/{item['id']}").status_code == 200
