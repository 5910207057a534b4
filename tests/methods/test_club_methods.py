"""A club's own methods through the API: kept, revised, used in scopes and priced."""

from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from club_method_factories import (
    DENSITY,
    DRESSING,
    FEEDING,
    HEADS,
    by_hand,
    changed,
    faults,
    quantity,
    revised,
    use,
    with_line,
)
from conftest import Api
from estimate_factories import (
    a_course,
    a_project,
    a_scope_item,
    an_area,
    an_edition,
    an_item,
    by_measure,
    line_of,
    lines_of,
    money,
    priced,
    redo_by_hand,
    scope_body,
    stated,
)
from sqlalchemy import event
from swardcost_api.methods.cautions import DEFER

Document = dict[str, Any]
QUARTER_INCH = {"depth": quantity("0.25", "inch")}
ITEMS = [
    an_item("FERT", "1.25", unit="pound"), an_item("WETTER", "6.40", unit="pound"),
    an_item("CREW", "27.40", unit="hour", kind="labor", taxable=False), an_item("HEAD", "85.00", unit="each"),
    an_item("SAND", "40.00"), an_item("MASK", "2.10", unit="each"),
]  # fmt: skip


def a_green(api: Api, square_feet: str = "6000") -> str:
    return an_area(api, a_course(api), square_feet)


def take_off(api: Api, item: Document) -> Document:
    response = api.get(f"/scope-items/{item['id']}/take-off")
    assert response.status_code == 200, response.text
    document: Document = response.json()
    return document


def measures(document: Document) -> dict[str, float]:
    return {one["name"]: float(one["value"]) for one in document["measures"]}


def test_a_method_is_kept_as_typed_and_says_what_it_asks_for_and_yields(api: Api) -> None:
    made = api.created("/methods", FEEDING)
    read = api.get("/methods/our_feeding")
    assert (read.json(), read.json()["version"]) == (made, 1)
    assert {name: made[name] for name in ("title", "cautions", "sources")} == {
        name: FEEDING[name] for name in ("title", "cautions", "sources")
    }
    assert made["lines"][1]["minimum"] == quantity("5", "pound")
    assert (made["revision"], made["needs_areas"], made["parameters"]["properties"]) == (1, True, {})
    assert [(m["name"], m["unit"]) for m in made["measures"]] == [
        ("fed_area", "square_meter"), ("machine_time", "hour"), ("crew_time", "hour"), ("fertilizer", "kilogram"),
        ("wetting_agent", "kilogram"), ("labor", "hour"),
    ]  # fmt: skip
    assert made["all_cautions"] == ["Keep off the turf until it is dry.", DEFER]
    heads = api.created("/methods", HEADS)
    assert heads["needs_areas"] is False
    assert heads["parameters"]["required"] == ["heads"]
    assert heads["parameters"]["properties"]["heads"]["dimension"] == "count of head"
    page = api.get("/methods?limit=1")
    assert [one["name"] for one in page.json()["items"]] == ["irrigation_heads"]
    following = api.get(page.links["next"]["url"]).json()
    assert [(one["name"], one["revision"]) for one in following["items"]] == [("our_feeding", 1)]


def test_a_method_over_a_base_asks_only_for_what_it_leaves_open(api: Api) -> None:
    asked = api.created("/methods", DRESSING)["parameters"]
    assert not {"bulk_density", "applications"} & set(asked["properties"])
    assert "depth" in asked["properties"]
    assert asked["required"] == []
    loose = DRESSING | {"name": "loose", "base": DRESSING["base"] | {"presets_may_change": True}}
    asked = api.created("/methods", loose)["parameters"]
    assert asked["properties"]["bulk_density"]["default"] == DENSITY
    assert asked["required"] == []


def test_lines_are_what_a_scope_item_takes_by_rate_minimum_and_waste(api: Api) -> None:
    api.created("/methods", FEEDING)
    project = a_project(api)
    item = a_scope_item(api, project, use(FEEDING), [a_green(api, "6000"), a_green(api, "4000")])
    assert (item["method_revision"], item["resources"]) == (1, [])
    found = measures(take_off(api, item))
    assert found["fertilizer"] == pytest.approx(20 * 0.45359237)
    assert found["wetting_agent"] == pytest.approx(5 * 0.45359237)
    assert (found["machine_time"], found["crew_time"], found["labor"]) == pytest.approx((0.5, 1, 1))
    estimate = priced(api, project, an_edition(api, ITEMS))
    lines = {line["item"]: line for line in lines_of(api, estimate["id"])}
    assert {code: line["quantity"] for code, line in lines.items()} == {
        "FERT": "22.00", "WETTER": "5.00", "CREW": "1.00",
    }  # fmt: skip
    assert money(estimate["direct"]) == Decimal("27.50") + Decimal("32.00") + Decimal("27.40")
    assert "Keep off the turf until it is dry." in estimate["cautions"]
    assert estimate["complete"] is True
    redo_by_hand(api, estimate)


def test_the_minimum_counts_once_for_a_scope_item_and_gives_way_to_a_larger_need(api: Api) -> None:
    api.created("/methods", FEEDING)
    project = a_project(api)
    course = a_course(api)
    small = a_scope_item(api, project, use(FEEDING), [an_area(api, course, "1000") for _ in range(3)])
    large = a_scope_item(api, project, use(FEEDING), [an_area(api, course, "40000")])
    pounds = [measures(take_off(api, item))["wetting_agent"] / 0.45359237 for item in (small, large)]
    assert pounds == pytest.approx([5, 10])


def test_what_is_counted_is_stated_on_the_scope_item(api: Api) -> None:
    api.created("/methods", HEADS)
    project = a_project(api)
    path = f"/projects/{project}/scope-items"
    item = a_scope_item(api, project, use(HEADS, heads=quantity("13", "head")), [])
    assert measures(take_off(api, item)) == {"heads": 13, "new_heads": 13, "fitting_time": 3.25}
    estimate = priced(api, project, an_edition(api, ITEMS))
    assert money(estimate["direct"]) == Decimal("1105.00") + Decimal("89.05")
    refused = api.post(path, json=scope_body(use(HEADS), []))
    assert faults(refused) == [(422, "/parameters/heads")]
    refused = api.post(path, json=scope_body(use(HEADS, heads=quantity("13", "each")), []))
    assert faults(refused) == [(422, "/parameters/heads")]
    assert "one of: head" in refused.json()["faults"][0]["expected"]
    refused = api.post(path, json=scope_body(use(HEADS, heads=quantity("0", "head")), []))
    assert faults(refused) == [(422, "/parameters/heads")]
    refused = api.post(path, json=scope_body(use(HEADS, quantity=quantity("1", "head")), []))
    assert (422, "/parameters/quantity") in faults(refused)


@pytest.mark.parametrize("method", [FEEDING, HEADS, DRESSING], ids=lambda method: str(method["name"]))
def test_every_step_can_be_redone_from_what_it_prints(api: Api, method: Document) -> None:
    api.created("/methods", method)
    parameters = {"our_feeding": {}, "irrigation_heads": {"heads": quantity("13", "head")}}
    work = use(method, **parameters.get(method["name"], QUARTER_INCH))
    project = a_project(api)
    item = a_scope_item(api, project, work, [a_green(api)])
    document = take_off(api, item)
    own = {line["name"] for line in method["lines"]}
    assert own <= set(document["derivations"])
    for name, steps in document["derivations"].items():
        known: dict[str, str] = {}
        assert float(steps[-1]["value"]) == measures(document)[name]
        for step in steps:
            assert step["source"], step
            for figure in step["inputs"]:
                assert known.setdefault(figure["name"], figure["value"]) == figure["value"]
            if step["inputs"]:
                assert by_hand(step) == pytest.approx(float(step["value"]), rel=1e-9), step
            known[step["name"]] = step["value"]
        if name in own:
            assert f"the club's own method {method['name']}, revision 1" in steps[-1]["source"]
    estimate = priced(api, project, an_edition(api, ITEMS))
    redo_by_hand(api, estimate)
    first = line_of(api, estimate["id"])
    assert [step["name"] for step in first["derivation"]][-2:] == ["purchase quantity", "amount"]


def test_resources_of_a_scope_item_replace_the_lines(api: Api) -> None:
    api.created("/methods", FEEDING)
    project = a_project(api)
    a_scope_item(
        api,
        project,
        use(FEEDING),
        [a_green(api)],
        by_measure("FERT", "fertilizer"),
        stated("MASK", "2", "each"),
    )
    estimate = priced(api, project, an_edition(api, ITEMS))
    assert [(line["item"], line["quantity"]) for line in lines_of(api, estimate["id"])] == [
        ("FERT", "12.00"), ("MASK", "2"),
    ]  # fmt: skip


def test_a_base_with_presets_takes_what_is_left_open_and_refuses_what_is_set(api: Api) -> None:
    api.created("/methods", DRESSING)
    project, green = a_project(api), a_green(api, "10000")
    path = f"/projects/{project}/scope-items"
    item = a_scope_item(api, project, use(DRESSING, **QUARTER_INCH), [green])
    assert item["parameters"] == QUARTER_INCH
    pounds = 10_000 * 0.25 / 12 * 2 * 100
    found = measures(take_off(api, item))
    assert found["dressing_sand"] == found["sand_mass"] == pytest.approx(pounds * 0.45359237)
    assert found["dust_masks"] == pytest.approx(3 * pounds / 2000)
    refused = api.post(path, json=scope_body(use(DRESSING, **QUARTER_INCH, applications=3), [green]))
    assert faults(refused) == [(422, "/parameters/applications")]
    assert "the club's method sets it" in refused.json()["faults"][0]["expected"]
    assert faults(api.post(path, json=scope_body(use(DRESSING), [green]))) == [(422, "/parameters")]
    revised(api, DRESSING, base=DRESSING["base"] | {"presets_may_change": True})
    item = a_scope_item(api, project, use(DRESSING, **QUARTER_INCH, applications=1), [green])
    assert measures(take_off(api, item))["sand_mass"] == pytest.approx(pounds / 2 * 0.45359237)


def test_a_scope_item_keeps_the_revision_it_was_saved_with_until_it_is_saved_again(api: Api) -> None:
    api.created("/methods", HEADS)
    project, edition = a_project(api), an_edition(api, ITEMS)
    body = scope_body(use(HEADS, heads=quantity("4", "head")), [])
    item = api.created(f"/projects/{project}/scope-items", body)
    before = priced(api, project, edition)
    slower = [
        HEADS["lines"][0],
        HEADS["lines"][1] | {"rate": {"amount": quantity("1", "hour"), "per": quantity("1", "head")}},
    ]
    assert revised(api, HEADS, lines=slower)["revision"] == 2
    assert api.get(f"/scope-items/{item['id']}").json() == item
    assert measures(take_off(api, item))["fitting_time"] == 1
    assert money(priced(api, project, edition)["direct"]) == money(before["direct"])
    newer = a_scope_item(api, a_project(api), use(HEADS, heads=quantity("4", "head")), [])
    assert (newer["method_revision"], measures(take_off(api, newer))["fitting_time"]) == (2, 4)
    saved = api.put(f"/scope-items/{item['id']}", json=body, headers={"If-Match": '"1"'}).json()
    assert (saved["method_revision"], measures(take_off(api, saved))["fitting_time"]) == (2, 4)
    assert money(priced(api, project, edition)["direct"]) == money(before["direct"]) + 3 * Decimal("27.40")
    assert api.get(f"/estimates/{before['id']}").json()["direct"] == before["direct"]
    first, second = (api.get(f"/methods/irrigation_heads/revisions/{n}").json() for n in (1, 2))
    assert (first["lines"][1]["rate"]["amount"]["value"], second["lines"]) == ("0.25", [*second["lines"]])
    assert second["lines"][1]["rate"]["amount"]["value"] == "1"
    for missing in ("3", "0", "99999999999999999999"):
        assert api.get(f"/methods/irrigation_heads/revisions/{missing}").status_code == 404


def test_an_edit_names_the_revision_it_edits(api: Api) -> None:
    api.created("/methods", HEADS)
    body = changed(HEADS, title="A sprinkler head")
    assert api.put("/methods/irrigation_heads", json=body).status_code == 428
    assert revised(api, HEADS, title="A sprinkler head")["version"] == 2
    assert api.put("/methods/irrigation_heads", json=body, headers={"If-Match": '"1"'}).status_code == 412
    assert api.delete("/methods/irrigation_heads", headers={"If-Match": '"1"'}).status_code == 412
    assert api.put("/methods/nothing_here", json=body, headers={"If-Match": '"1"'}).status_code == 404
    assert api.delete("/methods/nothing_here", headers={"If-Match": '"1"'}).status_code == 404
    trail = api.get("/audit?subject=club_method&subject_id=irrigation_heads").json()["items"]
    assert [(entry["action"], entry["after"]["revision"]) for entry in trail] == [
        ("revise", 2),
        ("create", 1),
    ]
    assert trail[0]["before"]["title"] == "An irrigation head"


def test_a_method_is_not_deleted_while_a_scope_uses_a_revision_of_it(api: Api) -> None:
    api.created("/methods", HEADS)
    item = a_scope_item(api, a_project(api), use(HEADS, heads=quantity("4", "head")), [])
    revised(api, HEADS, title="Another")
    match = {"If-Match": '"2"'}
    refused = api.delete("/methods/irrigation_heads", headers=match)
    assert (refused.status_code, refused.json()["type"]) == (409, "/problems/in-use")
    assert api.get("/methods/irrigation_heads/revisions/1").status_code == 200
    assert api.delete(f"/scope-items/{item['id']}", headers={"If-Match": '"1"'}).status_code == 204
    assert api.delete("/methods/irrigation_heads", headers=match).status_code == 204
    assert api.get("/methods/irrigation_heads").status_code == 404
    assert api.get("/methods/irrigation_heads/revisions/1").status_code == 404
    api.created("/methods", HEADS)


def test_names_are_the_clubs_own_and_no_built_in_methods(api: Api) -> None:
    api.created("/methods", HEADS)
    assert api.post("/methods", json=HEADS).json()["type"] == "/problems/duplicate"
    assert faults(api.post("/methods", json=HEADS | {"name": "topdressing"})) == [(422, "/name")]
    for name in ("Our_heads", "our__heads", "heads_", "7_heads", "ab", "our heads", ""):
        assert faults(api.post("/methods", json=HEADS | {"name": name})) == [(400, "/name")]


def test_another_clubs_method_is_not_there(api: Api) -> None:
    api.created("/methods", HEADS)
    stranger = api.of_new_club("stone-weir")
    for path in ("/methods/irrigation_heads", "/methods/irrigation_heads/revisions/1"):
        assert stranger.get(path).status_code == 404
    assert (
        stranger.put(
            "/methods/irrigation_heads", json=changed(HEADS), headers={"If-Match": '"1"'}
        ).status_code
        == 404
    )
    assert stranger.delete("/methods/irrigation_heads", headers={"If-Match": '"1"'}).status_code == 404
    body = scope_body(use(HEADS, heads=quantity("4", "head")), [])
    assert faults(stranger.post(f"/projects/{a_project(stranger)}/scope-items", json=body)) == [
        (422, "/method")
    ]
    assert stranger.get("/methods").json()["items"] == []
    stranger.created("/methods", HEADS | {"title": "Theirs"})
    assert api.get("/methods/irrigation_heads").json()["title"] == "An irrigation head"


def test_only_planners_may_write_methods(api: Api) -> None:
    api.as_role("superintendent").created("/methods", HEADS)
    for role in ("controller", "committee", "integrator"):
        reader = api.as_role(role)
        assert reader.post("/methods", json=FEEDING).status_code == 403
        assert reader.get("/methods/irrigation_heads").status_code == 200


def test_a_line_whose_measure_is_not_given_is_refused_unless_the_scope_item_brings_resources(
    api: Api,
) -> None:
    crewed = with_line(DRESSING, name="labor", item="CREW", driven_by="crew_time")
    api.created("/methods", crewed)
    path = f"/projects/{a_project(api)}/scope-items"
    body = scope_body(use(DRESSING, **QUARTER_INCH), [a_green(api)])
    refused = api.post(path, json=body)
    assert faults(refused) == [(422, "/resources")]
    assert "labor" in refused.json()["faults"][0]["expected"]
    api.created(path, body | {"resources": [by_measure("SAND", "sand_mass")]})
    pace = {"production_rate": quantity("1", "acre_per_hour"), "crew_size": 2}
    api.created(path, body | {"parameters": QUARTER_INCH | pace})
    assert faults(api.post(path, json=body | {"resources": [by_measure("SAND", "sand_mas")]})) == [
        (422, "/resources/0/measure")
    ]


def test_a_scope_item_may_go_from_the_clubs_own_method_to_a_built_in_one_and_back(api: Api) -> None:
    api.created("/methods", HEADS)
    own = scope_body(use(HEADS, heads=quantity("4", "head")), [])
    lump = own | {"method": "plain_quantity", "parameters": {"quantity": quantity("1", "lump_sum")}}
    item = api.created(f"/projects/{a_project(api)}/scope-items", own)
    revisions = []
    for version, body in enumerate((lump, own), start=1):
        path = f"/scope-items/{item['id']}"
        saved = api.put(path, json=body, headers={"If-Match": f'"{version}"'})
        revisions.append(saved.json()["method_revision"])
        assert api.get(path).json() == saved.json()
    assert revisions == [None, 1]


def test_areas_without_a_size_are_a_gap_and_not_the_minimum(api: Api) -> None:
    api.created("/methods", FEEDING)
    project = a_project(api)
    item = a_scope_item(api, project, use(FEEDING), [an_area(api, a_course(api), None)])
    assert take_off(api, item)["measures"] == []
    estimate = priced(api, project, an_edition(api, ITEMS))
    assert (estimate["complete"], money(estimate["total"])) == (False, 0)


def test_an_unknown_area_and_an_unknown_method_are_still_refused(api: Api) -> None:
    api.created("/methods", FEEDING)
    path = f"/projects/{a_project(api)}/scope-items"
    assert faults(api.post(path, json=scope_body(use(FEEDING), [str(uuid4())]))) == [(422, "/area_ids/0")]
    assert faults(api.post(path, json=scope_body(use(FEEDING), []))) == [(422, "/area_ids")]
    assert faults(api.post(path, json=scope_body(use({"name": "a\x00b"}), []))) == [(422, "/method")]


def test_a_scope_of_many_methods_is_loaded_in_as_many_queries_as_one_of_few(api: Api) -> None:
    project = a_project(api)
    counts = []
    for size in (1, 6):
        for number in range(size):
            method = HEADS | {"name": f"heads_of_{size}_and_{number}"}
            api.created("/methods", method)
            item = a_scope_item(api, project, use(method, heads=quantity("4", "head")), [])
        asked: list[str] = []

        def note(
            _connection: Any, _cursor: Any, statement: str, *_more: Any, seen: list[str] = asked
        ) -> None:
            seen.append(statement)

        event.listen(api.database.engine, "before_cursor_execute", note)
        take_off(api, item)
        event.remove(api.database.engine, "before_cursor_execute", note)
        counts.append(len(asked))
    assert counts[0] == counts[1] <= 8
