"""The course from a map, and back: GeoJSON through the API."""

import json

import pytest
from conftest import Api
from map_factories import GEOJSON, a_course, box, collection, feature, imported, polygon, send
from swardcost_api.engine.quantities.geodesy import measure_polygons

FOOT_M2 = 0.3048**2


def measured_m2(*rings: list[list[float]]) -> float:
    return measure_polygons(polygons=[[[(x, y) for x, y in ring] for ring in rings]]).area_m2


def test_a_feature_becomes_an_area_with_its_measured_size(api: Api) -> None:
    answer = imported(api, a_course(api), feature(hole=7))
    (area,) = answer["areas"]
    assert (answer["added"], area["kind"], area["name"], area["hole"]) == (1, "green", "Green 1", 7)
    assert area["size"] == {"value": f"{measured_m2(box()) / FOOT_M2:.1f}", "unit": "square_foot"}
    assert area["size_m2"] == pytest.approx(measured_m2(box()), abs=0.05 * FOOT_M2)
    assert area["perimeter_m"] == pytest.approx(80.9, abs=0.5)
    read = api.get(f"/areas/{area['id']}").json()
    assert read == area


def test_a_metric_club_gets_square_metres(api: Api) -> None:
    api.patch("", json={"unit_system": "metric"}, headers={"If-Match": '"1"'})
    (area,) = imported(api, a_course(api), feature())["areas"]
    assert area["size"] == {"value": f"{measured_m2(box()):.1f}", "unit": "square_meter"}


def test_holes_are_taken_off_and_several_polygons_are_one_area(api: Api) -> None:
    hole = box(-80.99995, 35.00005, 1e-4)
    two = {"type": "MultiPolygon", "coordinates": [[box()], [box(-81.001)]]}
    cut, double = imported(
        api, a_course(api), feature("Cut", polygon(box(), hole[::-1])), feature("Double", two)
    )["areas"]
    assert cut["size_m2"] == pytest.approx(measured_m2(box(), hole), abs=0.01)
    assert double["size_m2"] == pytest.approx(2 * measured_m2(box()), abs=0.01)


def test_rings_wound_the_wrong_way_are_turned_and_noted(api: Api) -> None:
    course = a_course(api)
    wrong = polygon(box()[::-1], box(-80.99995, 35.00005, 1e-4))
    answer = imported(api, course, feature("Right"), feature("Wrong", wrong))
    assert [note["pointer"] for note in answer["notes"]] == [
        "/features/1/geometry/coordinates/0",
        "/features/1/geometry/coordinates/1",
    ]
    exported = api.get(f"/courses/{course}/areas/map")
    right, wrong = (one["geometry"]["coordinates"] for one in exported.json()["features"])
    assert wrong[0] == right[0] == box()
    assert send(api, course, exported.content, replace=True).json()["notes"] == []


def test_heights_repeated_positions_and_spellings_are_taken(api: Api) -> None:
    ring = [[*position, 212.5] for position in box()]
    properties = {"AREA_KIND": " Bunker ", "Title": "Left", "Hole_Number": "4", "colour": "sand"}
    one = {"type": "Feature", "id": 5, "geometry": polygon([ring[0], *ring]), "properties": properties}
    course = a_course(api)
    (area,) = imported(api, course, one)["areas"]
    assert (area["kind"], area["name"], area["hole"]) == ("bunker", "Left", 4)
    assert api.get(f"/courses/{course}/areas/map").json()["features"][0]["geometry"] == polygon()


@pytest.mark.parametrize("more", [[212.5], [212.5, 0], [0, 7, 8, 9], [-431]])
def test_a_height_and_what_follows_it_are_ignored(api: Api, more: list[float]) -> None:
    course = a_course(api)
    (area,) = imported(api, course, feature(geometry=polygon([[*place, *more] for place in box()])))["areas"]
    assert area["size_m2"] == pytest.approx(measured_m2(box()), abs=0.05 * FOOT_M2)
    assert api.get(f"/courses/{course}/areas/map").json()["features"][0]["geometry"] == polygon()


@pytest.mark.parametrize(("name", "text"), [(7, "7"), (-2, "-2"), (7.5, "7.5"), (18.0, "18.0")])
def test_a_name_given_as_a_number_is_its_text(api: Api, name: float, text: str) -> None:
    course = a_course(api)
    numbered = feature() | {"properties": {"kind": "green", "TITLE": name}}
    assert [area["name"] for area in imported(api, course, numbered)["areas"]] == [text]
    twice = send(api, course, collection(feature("A"), feature(text), numbered))
    assert [fault["pointer"] for fault in twice.json()["faults"]] == ["/features/2/properties/name"]
    assert imported(api, course, numbered, replace=True)["unchanged"] == 1


@pytest.mark.parametrize(("lon", "lat"), [(-112.0, 33.4), (-81.0, 35.0), (151.2, -33.8), (-68.3, -54.8)])
@pytest.mark.parametrize("several", [False, True])
def test_latitude_before_longitude_is_told_where_no_course_can_be(
    api: Api, lon: float, lat: float, several: bool
) -> None:
    ring = [[y, x] for x, y in box(lon, lat)]
    swapped = {"type": "MultiPolygon", "coordinates": [[ring], [ring]]} if several else polygon(ring)
    course = a_course(api)
    response = send(api, course, collection(feature(geometry=swapped)))
    (fault,) = response.json()["faults"]
    assert (response.status_code, fault["pointer"]) == (422, "/features/0/geometry/coordinates")
    assert "longitude first and then latitude" in fault["expected"]
    assert fault["got"] == f"longitude {lat!r}, latitude {lon!r}"
    imported(api, course, feature(geometry=polygon(box(lon, lat))))


FAULTS = [
    ("crossing", feature(geometry=polygon([box()[0], box()[2], box()[1], box()[3], box()[0]])),
     "/features/0/geometry/coordinates/0/0", "longitude -80.9999, latitude 35.0001"),
    ("open ring", feature(geometry=polygon(box()[:-1])), "/features/0/geometry/coordinates/0/3", "35.0002"),
    ("metres", feature(geometry=polygon([*box()[:2], [500_000, 35.0], box()[0]])),
     "/features/0/geometry/coordinates/0/2", "500000.0"),
    ("text", feature(geometry=polygon([*box()[:2], ["-81", 35.0], box()[0]])),
     "/features/0/geometry/coordinates/0/2", "['-81', 35.0]"),
    ("truth", feature(geometry=polygon([[True, 35.0], *box()])), "/features/0/geometry/coordinates/0/0", "True"),
    ("a huge number", feature(geometry=polygon([[10**400, 35.0], *box()])),
     "/features/0/geometry/coordinates/0/0", "inf"),
    ("one number", feature(geometry=polygon([[-81.0], *box()])), "/features/0/geometry/coordinates/0/0", "[-81.0]"),
    ("a height in words", feature(geometry=polygon([[-81.0, 35.0, "212 m"], *box()])),
     "/features/0/geometry/coordinates/0/0", "212 m"),
    ("nothing for a height", feature(geometry=polygon([[-81.0, 35.0, None], *box()])),
     "/features/0/geometry/coordinates/0/0", "None"),
    ("one of two latitudes too large", feature(geometry=polygon([*box()[:2], [35.0, -112.0], box()[0]])),
     "/features/0/geometry/coordinates/0/2", "latitude -112.0"),
    ("neither way round", feature(geometry=polygon(box(-112.0, 95.0))), "/features/0/geometry/coordinates/0/0",
     "latitude 95.0"),
    ("a name that is true", feature() | {"properties": {"kind": "green", "name": True}},
     "/features/0/properties/name", "True"),
    ("a name that is a list", feature() | {"properties": {"kind": "green", "name": [7]}},
     "/features/0/properties/name", "[7]"),
    ("no list", feature(geometry=polygon(7)), "/features/0/geometry/coordinates/0", "7"),
    ("no coordinates", feature(geometry={"type": "Polygon"}), "/features/0/geometry/coordinates", "None"),
    ("empty", feature(geometry={"type": "MultiPolygon", "coordinates": []}), "/features/0/geometry/coordinates", "[]"),
    ("hole outside, second polygon",
     feature(geometry={"type": "MultiPolygon", "coordinates": [[box()], [box(-81.1), box(-81.2)]]}),
     "/features/0/geometry/coordinates/1/1/0", "hole lies outside shell"),
    ("antimeridian", feature(geometry=polygon([[179.9, 1], [-179.9, 1], [-179.9, 1.1], [179.9, 1]])),
     "/features/0/geometry/coordinates", "-179.9 to 179.9"),
    ("a continent", feature(geometry=polygon(box(-100, 10, 30))), "/features/0/geometry/coordinates", "30 degrees"),
    ("a crumb", feature(geometry=polygon(box(side=1e-9))), "/features/0/geometry", None),
    ("a point", feature(geometry={"type": "Point", "coordinates": [1, 2]}), "/features/0/geometry/type", "Point"),
    ("a list as geometry", feature(geometry=[1]), "/features/0/geometry/type", "[1]"),
    ("crs of the feature", feature() | {"crs": {"type": "name", "properties": {"name": "EPSG:3857"}}},
     "/features/0/crs", "EPSG:3857"),
    ("no kind", feature(kind=None), "/features/0/properties/kind", "{'name': 'Green 1'}"),
    ("unknown kind", feature(kind="grean"), "/features/0/properties/kind", "grean"),
    ("blank name", feature("  "), "/features/0/properties/name", "  "),
    ("hole 99", feature(HOLE_NUMBER="99"), "/features/0/properties/HOLE_NUMBER", "99"),
    ("hole true", feature(hole=True), "/features/0/properties/hole", "True"),
    ("no properties", feature() | {"properties": None}, "/features/0/properties", "None"),
    ("skip by word", feature(skip="yes"), "/features/0/properties/skip", "yes"),
    ("no feature", {"type": "Polygon"}, "/features/0/type", "Polygon"),
    ("a number", 7, "/features/0/type", "7"),
]  # fmt: skip


@pytest.mark.parametrize(("one", "pointer", "got"), [pytest.param(*rest, id=name) for name, *rest in FAULTS])
def test_a_fault_is_told_with_its_place_and_nothing_is_added(
    api: Api, one: object, pointer: str, got: str | None
) -> None:
    response = send(api, a_course(api), collection(one, feature("Sound")))
    assert (response.status_code, response.json()["type"]) == (422, "/problems/invalid-values"), response.text
    (fault,) = response.json()["faults"]
    assert fault["pointer"] == pointer, fault
    assert got is None or got in fault["got"], fault
    assert api.get("/areas").json()["items"] == []


def test_every_faulty_feature_is_told_up_to_a_hundred(api: Api) -> None:
    course = a_course(api)
    bad = [feature("A", geometry=[]), feature("B"), feature("B"), feature(kind="x", hole=0, geometry=7)]
    faults = send(api, course, collection(*bad)).json()["faults"]
    assert [fault["pointer"] for fault in faults] == [
        "/features/0/geometry/type", "/features/2/properties/name", "/features/3/properties/kind",
        "/features/3/properties/hole", "/features/3/geometry/type",
    ]  # fmt: skip
    many = send(api, course, collection(*(feature(kind="x") for _ in range(300))))
    assert len(many.json()["faults"]) == 100


@pytest.mark.parametrize(
    ("content", "status", "pointer"),
    [
        (b"", 400, ""),
        (b"{", 400, ""),
        (b"\xff\xfe{}", 400, ""),
        (b"[" * 100_000, 400, ""),
        (b'{"a": NaN}', 400, ""),
        (b'{"a": Infinity}', 400, ""),
        (b'{"a": "\\ud800"}', 400, ""),
        (b"null", 422, "/type"),
        (b"[]", 422, "/type"),
        (b'{"type": "Feature"}', 422, "/type"),
        (b'{"type": "FeatureCollection"}', 422, "/features"),
        (b'{"type": "FeatureCollection", "features": []}', 422, "/features"),
        (b'{"type": "FeatureCollection", "features": {}}', 422, "/features"),
        (json.dumps(collection(*[feature()] * 2001)).encode(), 422, "/features"),
        (json.dumps(collection(feature(), crs={"type": "link", "properties": {}})).encode(), 422, "/crs"),
        (json.dumps(collection(feature(), crs=7)).encode(), 422, "/crs"),
    ],
)  # fmt: skip
def test_what_is_no_map_is_refused(api: Api, content: bytes, status: int, pointer: str) -> None:
    response = send(api, a_course(api), content)
    assert response.status_code == status, response.text
    assert response.json()["faults"][0]["pointer"] == pointer


def test_maps_beyond_the_limits_are_refused(api: Api) -> None:
    course = a_course(api)
    too_many = collection(*(feature(str(n), polygon([[0.0, 0.0]] * 9_000)) for n in range(23)))
    response = send(api, course, too_many)
    assert (response.status_code, "200000 positions" in response.text) == (422, True)
    long = send(api, course, collection(feature(geometry=polygon([*([box()[0]] * 10_000), *box()]))))
    assert "at most 10000 positions" in long.json()["faults"][0]["expected"]
    large = send(api, course, b" " * (16 * 1024 * 1024 + 1))
    assert (large.status_code, large.json()["type"]) == (413, "/problems/too-large")
    wrong = api.post(f"/courses/{course}/areas/map", json=collection(feature()))
    assert (wrong.status_code, wrong.json()["type"]) == (415, "/problems/unsupported-media-type")
    assert api.get("/areas").json()["items"] == []


@pytest.mark.parametrize("name", ["EPSG:4326", "urn:ogc:def:crs:OGC:1.3:CRS84"])
def test_a_crs_that_says_wgs_84_is_taken(api: Api, name: str) -> None:
    document = collection(feature(), crs={"type": "name", "properties": {"name": name}})
    assert send(api, a_course(api), document).status_code == 201


def test_features_may_ask_to_be_skipped(api: Api) -> None:
    point = feature("Tree", {"type": "Point", "coordinates": [1, 2]}, skip=True)
    bare = {"type": "Feature", "geometry": None, "properties": {"skip": True}}
    answer = imported(api, a_course(api), point, feature(), bare)
    assert (answer["added"], answer["skipped"]) == (1, 2)
    bad = send(api, a_course(api, "Upper"), collection(feature("Tree", {"type": "Circle"}, skip=True)))
    assert bad.json()["faults"][0]["pointer"] == "/features/0/geometry/type"


def test_names_that_are_taken_are_refused_or_redrawn(api: Api) -> None:
    course = a_course(api)
    typed = api.created(f"/courses/{course}/areas", {"kind": "tee", "name": "Green 1", "hole": 3})
    taken = send(api, course, collection(feature("New"), feature("Green 1")))
    assert (taken.status_code, taken.json()["type"]) == (409, "/problems/duplicate")
    assert [fault["pointer"] for fault in taken.json()["faults"]] == ["/features/1/properties/name"]
    answer = imported(api, course, feature("New"), feature("Green 1"), replace=True)
    assert (answer["added"], answer["changed"], answer["unchanged"]) == (1, 1, 0)
    area = api.get(f"/areas/{typed['id']}").json()
    assert (area["kind"], area["hole"], area["version"]) == ("green", 3, 2)
    assert area["size_m2"] == pytest.approx(measured_m2(box()), abs=0.01)
    entries = api.get(f"/audit?subject=area&subject_id={typed['id']}").json()["items"]
    assert [(one["action"], one["after"]["version"]) for one in entries] == [("change", 2), ("create", 1)]


def test_an_area_without_an_outline_takes_a_stated_size_or_has_none(api: Api) -> None:
    course = a_course(api)
    size = {"value": "6200", "unit": "square_foot"}
    plain, stated, drawn = imported(
        api, course, feature("A", None), feature("B", None, size=size), feature("C", size=size)
    )["areas"]
    assert (plain["size"], stated["size"], plain["perimeter_m"]) == (None, size, None)
    assert drawn["size"] != size
    wrong = send(api, course, collection(feature("D", None, size={"value": "1", "unit": "inch"})))
    assert wrong.json()["faults"][0]["pointer"] == "/features/0/properties/size/unit"
    again = imported(api, course, feature("C", None), replace=True)
    assert again["unchanged"] == 1


def test_a_map_comes_back_as_it_was_and_again(api: Api) -> None:
    course = a_course(api)
    two = {"type": "MultiPolygon", "coordinates": [[box()], [box(-81.001), box(-81.00095, 35.00005, 1e-4)]]}
    hostile = ["=1+1", "<script>alert(1)</script>", "'; drop table areas; --", "Grün 日本 \u202e", "a/b~c"]
    imported(
        api, course, feature("Two", two, hole=2), feature("Bare", None), *(feature(name) for name in hostile)
    )
    first = api.get(f"/courses/{course}/areas/map", headers={"Accept": "application/geo+json"})
    assert first.headers["content-type"] == "application/geo+json"
    assert {one["properties"]["name"] for one in first.json()["features"]} == {"Two", "Bare", *hostile}
    again = send(api, course, first.content, replace=True).json()
    assert (again["added"], again["changed"], again["unchanged"], again["notes"]) == (0, 0, 7, [])
    upper = a_course(api, "Upper")
    assert send(api, upper, first.content).json()["added"] == 7
    second = api.get(f"/courses/{upper}/areas/map").json()
    for one, other in zip(first.json()["features"], second["features"], strict=True):
        assert one["geometry"] == other["geometry"]
        assert one["properties"] | {"id": None} == other["properties"] | {"id": None}


def test_an_edit_keeps_the_outline(api: Api) -> None:
    course = a_course(api)
    (area,) = imported(api, course, feature())["areas"]
    body = {"kind": "green", "name": "Green 1", "size": {"value": "7000", "unit": "square_foot"}}
    edited = api.put(f"/areas/{area['id']}", json=body, headers={"If-Match": '"1"'}).json()
    assert (edited["perimeter_m"], edited["size"]["value"]) == (area["perimeter_m"], "7000")
    (kept,) = api.get(f"/courses/{course}/areas/map").json()["features"]
    assert kept["geometry"] == polygon()


def test_only_planners_of_the_club_import_and_everyone_of_it_reads(api: Api) -> None:
    course = a_course(api)
    reader = api.as_role("integrator")
    assert send(reader, course, collection(feature())).status_code == 403
    assert reader.get(f"/courses/{course}/areas/map").status_code == 200
    stranger = api.of_new_club("alder-creek")
    assert send(stranger, course, collection(feature())).status_code == 404
    assert stranger.get(f"/courses/{course}/areas/map").status_code == 404
    assert stranger.get(f"/courses/{course}/sanity").status_code == 404


def test_a_repeated_import_gives_the_first_answer(api: Api) -> None:
    path, content = f"/courses/{a_course(api)}/areas/map", json.dumps(collection(feature()))
    headers = GEOJSON | {"Idempotency-Key": "once"}
    first = api.post(path, content=content, headers=headers)
    again = api.post(path, content=content, headers=headers)
    assert (again.status_code, again.json()) == (201, first.json())
    other = api.post(path + "?replace=true", content=content, headers=headers)
    assert other.json()["type"] == "/problems/idempotency-conflict"
