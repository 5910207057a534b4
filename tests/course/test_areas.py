"""Courses and areas through the API."""

from conftest import Api

SIZE = {"value": "6200", "unit": "square_foot"}


def a_course(api: Api, name: str = "Lower") -> str:
    course_id: str = api.created("/courses", {"name": name})["id"]
    return course_id


def an_area(api: Api, course: str, **more: object) -> dict[str, object]:
    return api.created(
        f"/courses/{course}/areas", {"kind": "green", "name": "Green 1", "hole": 1, "size": SIZE} | more
    )


def test_an_area_keeps_its_size_as_typed_and_in_square_metres(api: Api) -> None:
    area = an_area(api, a_course(api), size={"value": "6200.50", "unit": "square_foot"})
    read = api.get(f"/areas/{area['id']}").json()
    assert read["size"] == {"value": "6200.50", "unit": "square_foot"}
    assert abs(read["size_m2"] - 6200.5 * 0.3048**2) < 1e-6


def test_an_area_without_a_size_has_none_rather_than_zero(api: Api) -> None:
    area = an_area(api, a_course(api), size=None)
    assert area["size"] is None
    assert area["size_m2"] is None


def test_sizes_that_are_no_area_are_refused_with_their_place(api: Api) -> None:
    course = a_course(api)
    path = f"/courses/{course}/areas"
    cases = [
        ({"value": "5", "unit": "inch"}, 422, "/size/unit"),
        ({"value": "5", "unit": "furlong_square"}, 422, "/size/unit"),
        ({"value": "-5", "unit": "acre"}, 400, "/size/value"),
        ({"value": "NaN", "unit": "acre"}, 400, "/size/value"),
        ({"value": 5, "unit": "acre"}, 400, "/size/value"),
        ({"value": "1" * 40, "unit": "acre"}, 400, "/size/value"),
        ({"value": "5"}, 400, "/size/unit"),
    ]
    for size, status, pointer in cases:
        response = api.post(path, json={"kind": "green", "name": "G", "size": size})
        assert response.status_code == status, response.text
        assert response.json()["faults"][0]["pointer"] == pointer
    assert api.get("/areas").json()["items"] == []


def test_names_are_unique_within_a_course_and_free_in_another(api: Api) -> None:
    lower, upper = a_course(api), a_course(api, "Upper")
    an_area(api, lower)
    again = api.post(f"/courses/{lower}/areas", json={"kind": "tee", "name": "Green 1"})
    assert (again.status_code, again.json()["type"]) == (409, "/problems/duplicate")
    an_area(api, upper)


def test_an_upload_adds_every_row_or_none(api: Api) -> None:
    course = a_course(api)
    bad = (
        "kind,hole,name,size,unit\ngreen,1,Green 1,6200,square_foot\ngren,2,Green 2,x,inch\ntee,,Green 1,,\n"
    )
    response = api.upload(f"/courses/{course}/areas/upload", bad)
    assert (response.status_code, response.json()["type"]) == (422, "/problems/bad-rows")
    assert [fault["pointer"] for fault in response.json()["faults"]] == [
        "row 3, kind",
        "row 3, size",
        "row 4, name",
    ]
    assert api.get("/areas").json()["items"] == []
    good = '\ufeffname,kind,hole,size,unit\r\n"Green, first",green,1,6200,square_foot\r\n\r\nTee 2,TEE,,,\r\n'
    assert api.upload(f"/courses/{course}/areas/upload", good).json()["added"] == 2
    assert [area["name"] for area in api.get("/areas").json()["items"]] == ["Green, first", "Tee 2"]


def test_an_upload_that_is_no_csv_of_areas_is_refused(api: Api) -> None:
    path = f"/courses/{a_course(api)}/areas/upload"
    header = b"kind,hole,name,size,unit\n"
    for content in (b"", b"\xff\xfe\x00", header + b"green,1,caf\xe9,,\n", b"a,b\n1,2\n", header + b"green,1\n",
                    header + b'green,1,"Green\n', header + b"green,1,G\x00,,\n"):  # fmt: skip
        response = api.upload(path, content)
        assert (response.status_code, response.json()["type"]) == (400, "/problems/invalid-csv"), content
    wrong_type = api.post(path, content=header, headers={"Content-Type": "text/plain"})
    assert wrong_type.status_code == 415


def test_areas_are_listed_by_name_page_by_page(api: Api) -> None:
    course = a_course(api)
    for number in range(7):
        an_area(api, course, name=f"Green {number}", hole=number + 1)
    seen, path = [], "/areas?limit=3"
    while path:
        page = api.get(path)
        seen += [area["name"] for area in page.json()["items"]]
        path = page.links["next"]["url"] if "next" in page.links else ""
    assert seen == [f"Green {number}" for number in range(7)]
    assert [a["hole"] for a in api.get("/areas?hole=3").json()["items"]] == [3]
    assert api.get("/areas?kind=tee").json()["items"] == []
    first_back = api.get("/areas?limit=3&sort=-name").json()
    assert [area["name"] for area in first_back["items"]] == ["Green 6", "Green 5", "Green 4"]
    assert api.get(f"/areas?cursor={first_back['next']}").json()["type"] == "/problems/unknown-cursor"
    cursor = api.get("/areas?limit=3").json()["next"]
    assert api.get(f"/courses?cursor={cursor}").json()["type"] == "/problems/unknown-cursor"


def test_an_edit_needs_the_version_it_edits(api: Api) -> None:
    area = an_area(api, a_course(api))
    path, body = f"/areas/{area['id']}", {"kind": "green", "name": "Green one", "size": SIZE}
    assert api.put(path, json=body).status_code == 428
    edited = api.put(path, json=body, headers={"If-Match": '"1"'})
    assert (edited.status_code, edited.json()["version"], edited.json()["hole"]) == (200, 2, None)
    stale = api.put(path, json=body, headers={"If-Match": '"1"'})
    assert (stale.status_code, stale.json()["type"]) == (412, "/problems/stale-version")
    assert api.get(path).json()["version"] == 2
    tag = api.get(path).headers["etag"]
    for held in (tag, f"W/{tag}", f'"9", {tag}', "*"):
        assert api.get(path, headers={"If-None-Match": held}).status_code == 304
    assert api.get(path, headers={"If-None-Match": '"2"'}).status_code == 200
    assert api.put(path, json=body, headers={"If-Match": f"W/{tag}"}).json()["version"] == 3


def test_a_course_with_areas_cannot_be_deleted_and_an_empty_one_can(api: Api) -> None:
    course = a_course(api)
    area = an_area(api, course)
    refused = api.delete(f"/courses/{course}", headers={"If-Match": '"1"'})
    assert (refused.status_code, refused.json()["type"]) == (409, "/problems/in-use")
    assert api.delete(f"/areas/{area['id']}", headers={"If-Match": '"1"'}).status_code == 204
    assert api.delete(f"/courses/{course}", headers={"If-Match": '"1"'}).status_code == 204
    assert api.get(f"/courses/{course}").status_code == 404


def test_every_change_to_an_area_leaves_its_trace(api: Api) -> None:
    area = an_area(api, a_course(api))
    api.put(f"/areas/{area['id']}", json={"kind": "tee", "name": "Tee 1"}, headers={"If-Match": '"1"'})
    entries = api.get(f"/audit?subject=area&subject_id={area['id']}").json()["items"]
    assert [entry["action"] for entry in entries] == ["change", "create"]
    assert (entries[0]["before"]["kind"], entries[0]["after"]["kind"]) == ("green", "tee")


def test_a_size_is_converted_finely_enough_for_whole_rolls(api: Api) -> None:
    area = an_area(api, a_course(api), size={"value": "513", "unit": "square_foot"})
    assert area["size_m2"] == 47.65925952
    project = api.created("/projects", {"name": "Sod", "starts_on": "2026-09-01", "ends_on": "2026-09-30"})[
        "id"
    ]
    coverage = {"value": "9", "unit": "square_foot"}
    body = {
        "name": "Sod the green", "method": "sodding", "area_ids": [area["id"]],
        "parameters": {"waste_percent": "0", "roll_coverage": coverage},
    }  # fmt: skip
    item = api.created(f"/projects/{project}/scope-items", body)["id"]
    measures = {
        one["name"]: one["value"] for one in api.get(f"/scope-items/{item}/take-off").json()["measures"]
    }
    assert measures["rolls"] == "57"
