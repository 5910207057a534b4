"""A project on the map: every area with its share of what the scope takes."""

import json
from typing import Any

import pytest
from conftest import Api
from estimate_factories import LUMP, SODDING, TOPDRESSING, a_course, a_project, a_scope_item, an_area

RING = [[-81.0, 35.0], [-80.9998, 35.0], [-80.9998, 35.0002], [-81.0, 35.0002], [-81.0, 35.0]]


def a_drawn_area(api: Api, course: str, name: str) -> str:
    feature = {
        "type": "Feature", "properties": {"kind": "green", "name": name},
        "geometry": {"type": "Polygon", "coordinates": [RING]},
    }  # fmt: skip
    response = api.post(
        f"/courses/{course}/areas/map",
        content=json.dumps({"type": "FeatureCollection", "features": [feature]}),
        headers={"Content-Type": "application/geo+json"},
    )
    area_id: str = response.json()["areas"][0]["id"]
    return area_id


def mapped(api: Api, project: str) -> dict[str, dict[str, Any]]:
    response = api.get(f"/projects/{project}/map", headers={"Accept": "application/geo+json"})
    assert response.headers["content-type"] == "application/geo+json"
    assert response.json() == api.get(f"/projects/{project}/map").json()
    return {one["id"]: one for one in response.json()["features"]}


def test_shares_add_up_to_the_take_off(api: Api) -> None:
    course, project = a_course(api), a_project(api)
    areas = [a_drawn_area(api, course, "Drawn"), an_area(api, course, "1234"), an_area(api, course, "9000")]
    item = a_scope_item(api, project, TOPDRESSING, areas)
    take_off = {
        one["name"]: float(one["value"])
        for one in api.get(f"/scope-items/{item['id']}/take-off").json()["measures"]
    }
    sums: dict[str, float] = {}
    for feature in mapped(api, project).values():
        (work,) = feature["properties"]["work"]
        assert (work["scope_item_id"], work["method"]) == (item["id"], "topdressing")
        for measure in work["measures"]:
            sums[measure["name"]] = sums.get(measure["name"], 0.0) + float(measure["value"])
    assert "sand_mass" in sums
    for name, total in sums.items():
        assert total == pytest.approx(take_off[name], rel=1e-9)


def test_areas_are_shown_with_their_outlines_and_all_their_work(api: Api) -> None:
    course, project = a_course(api), a_project(api)
    drawn, typed, idle = a_drawn_area(api, course, "Drawn"), an_area(api, course), an_area(api, course)
    a_scope_item(api, project, TOPDRESSING, [drawn, typed])
    a_scope_item(api, project, SODDING, [drawn])
    a_scope_item(api, project, LUMP, [])
    features = mapped(api, project)
    assert set(features) == {drawn, typed}
    assert idle not in features
    assert features[drawn]["geometry"] == {"type": "Polygon", "coordinates": [RING]}
    assert features[typed]["geometry"] is None
    assert [work["method"] for work in features[drawn]["properties"]["work"]] == ["topdressing", "sodding"]
    assert features[drawn]["properties"]["perimeter_m"] > 0


def test_an_area_without_a_size_has_no_figures_rather_than_zeros(api: Api) -> None:
    course, project = a_course(api), a_project(api)
    bare, sized = an_area(api, course, None), an_area(api, course)
    a_scope_item(api, project, TOPDRESSING, [bare, sized])
    features = mapped(api, project)
    assert features[bare]["properties"]["work"][0]["measures"] == []
    assert features[sized]["properties"]["work"][0]["measures"] != []


def test_a_project_without_scope_has_an_empty_map_and_a_foreign_one_none(api: Api) -> None:
    project = a_project(api)
    assert mapped(api, project) == {}
    assert api.of_new_club("alder-creek").get(f"/projects/{project}/map").status_code == 404
