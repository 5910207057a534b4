"""A course against usual sizes: it doubts, and never refuses."""

from typing import Any

from conftest import Api
from map_factories import a_course, feature, imported

ACRE = "acre"


def an_area(api: Api, course: str, kind: str, name: str, acres: str | None, hole: int | None = None) -> str:
    size = None if acres is None else {"value": acres, "unit": ACRE}
    body = {"kind": kind, "name": name, "size": size, "hole": hole}
    area_id: str = api.created(f"/courses/{course}/areas", body)["id"]
    return area_id


def checked(api: Api, course: str, query: str = "") -> dict[str, Any]:
    answer: dict[str, Any] = api.get(f"/courses/{course}/sanity{query}").json()
    return answer


def doubts(report: dict[str, Any], kind: str) -> list[dict[str, Any]]:
    return [one for one in report["doubts"] if one["doubt"] == kind]


def test_a_usual_course_raises_no_doubt(api: Api) -> None:
    course = a_course(api)
    for hole in range(1, 19):
        an_area(api, course, "green", f"Green {hole}", "0.16", hole)
        an_area(api, course, "tee", f"Tee {hole}", "0.17", hole)
        an_area(api, course, "fairway", f"Fairway {hole}", "1.6", hole)
    report = checked(api, course)
    assert (report["holes"], report["doubts"]) == (18, [])
    assert [(one["kind"], one["areas"], one["shown"]) for one in report["totals"]] == [
        ("green", 18, "2.88 acre"), ("tee", 18, "3.06 acre"), ("fairway", 18, "28.8 acre"),
    ]  # fmt: skip


def test_a_total_out_of_bounds_says_bound_found_and_source(api: Api) -> None:
    course = a_course(api)
    an_area(api, course, "bunker", "All bunkers", "0.4")
    report = checked(api, course)
    assert report["holes_from"].startswith("assumed")
    (doubt,) = doubts(report, "total_unusual")
    assert (doubt["found"], doubt["usual"]["shown"]) == ("0.4 acre", "1.5 acre to 3 acre")
    assert doubt["usual"]["source"] == "common practice, from memory"
    assert doubts(checked(api, course, "?holes=3"), "total_unusual") == []


def test_bounds_scale_with_the_holes_that_areas_belong_to(api: Api) -> None:
    course = a_course(api)
    for hole in range(1, 10):
        an_area(api, course, "green", f"Green {hole}", "0.16", hole)
    report = checked(api, course)
    assert (report["holes"], doubts(report, "total_unusual")) == (9, [])
    assert len(doubts(checked(api, course, "?holes=18"), "total_unusual")) == 1


def test_single_areas_out_of_the_usual_are_named(api: Api) -> None:
    course = a_course(api)
    small = an_area(api, course, "green", "Putting corner", "0.02")
    an_area(api, course, "pond", "Mere", "40")
    report = checked(api, course)
    (doubt,) = doubts(report, "size_unusual")
    assert doubt["area_ids"] == [small]
    assert (
        "Putting corner measures 871.2 square foot; usual are 2,000 square foot to 15,000 square foot."
        in doubt["message"]
    )


def test_areas_without_a_size_and_twice_on_a_hole_are_named(api: Api) -> None:
    course = a_course(api)
    bare = an_area(api, course, "rough", "Rough", None)
    greens = [an_area(api, course, "green", name, "0.15", 4) for name in ("Green 4", "Green 4b")]
    for name in ("Left", "Right"):
        an_area(api, course, "bunker", name, "0.05", 4)
    report = checked(api, course)
    assert [one["area_ids"] for one in doubts(report, "size_missing")] == [[bare]]
    assert [one["area_ids"] for one in doubts(report, "twice_on_a_hole")] == [greens]


def test_a_size_edited_away_from_its_outline_is_doubted(api: Api) -> None:
    course = a_course(api)
    (area,) = imported(api, course, feature())["areas"]
    assert doubts(checked(api, course), "size_differs_from_map") == []
    body = {"kind": "green", "name": "Green 1", "size": {"value": "7000", "unit": "square_foot"}}
    api.put(f"/areas/{area['id']}", json=body, headers={"If-Match": '"1"'})
    assert [one["area_ids"] for one in doubts(checked(api, course), "size_differs_from_map")] == [
        [area["id"]]
    ]


def test_an_empty_course_and_a_wrong_number_of_holes(api: Api) -> None:
    course = a_course(api)
    assert checked(api, course)["totals"] == []
    assert api.get(f"/courses/{course}/sanity?holes=0").status_code == 400
