"""Alternates of a scope: what each brings in and leaves out, and what an estimate says of them."""

import csv
import io
from decimal import Decimal
from typing import Any

import pytest
from alternate_factories import ITEMS, MARKUPS, a_scope, an_alternate, differences_hold, named, taking
from conftest import Api
from estimate_factories import (
    LUMP,
    TOPDRESSING,
    a_course,
    a_project,
    a_scope_item,
    an_area,
    an_edition,
    by_measure,
    issued,
    lines_of,
    money,
    stated,
)


def refused(api: Api, project: str, **body: Any) -> list[tuple[str, str]]:
    """Where an alternate is refused, and what came there."""
    response = api.post(f"/projects/{project}/alternates", json={"name": "Another"} | body)
    assert response.status_code == 422, response.text
    return [(fault["pointer"], fault["got"]) for fault in response.json()["faults"]]


def test_an_add_is_in_the_estimate_that_takes_it_and_nowhere_else(api: Api) -> None:
    project, (first, second) = a_scope(api, "20", "15")
    more = an_alternate(api, project, "Dress the approaches", brings=[second])
    assert (more["kind"], more["number"], more["version"]) == ("add", 1, 1)
    edition = an_edition(api, ITEMS)
    base, both = taking(api, project, edition), taking(api, project, edition, more)
    assert {line["scope_item_id"] for line in lines_of(api, base["id"])} == {first}
    assert {line["scope_item_id"] for line in lines_of(api, both["id"])} == {first, second}
    (not_taken,), (taken,) = differences_hold(api, base), differences_hold(api, both)
    difference = money(both["total"]) - money(base["total"])
    assert money(not_taken["difference"]) == money(taken["difference"]) == difference > 0
    assert (not_taken["taken"], taken["taken"]) == (False, True)
    assert not_taken["total_otherwise"] == both["total"]
    assert taken["total_otherwise"] == base["total"]
    assert money(taken["cash_difference"]) == money(both["cash_total"]) - money(base["cash_total"])


def test_differences_come_from_the_whole_arithmetic_and_do_not_add_up(api: Api) -> None:
    """Each takes a load of sand of its own; one loader is hired and delivered for all of them."""
    project, (_, second, third) = a_scope(api, "20", "15", "15")
    alternates = [
        an_alternate(api, project, name, brings=[item]) for name, item in (("One", second), ("Two", third))
    ]
    edition = an_edition(api, ITEMS)
    base, both = taking(api, project, edition), taking(api, project, edition, *alternates)
    alone = sum(money(one["difference"]) for one in differences_hold(api, base))
    assert money(both["total"]) - money(base["total"]) != alone
    found = named(differences_hold(api, base))["One"]
    sand = {line["part"]: line for line in found["lines"] if line["item"] == "SAND"}
    assert sand["price"]["amount_without"] is None
    assert {line["item"] for line in found["lines"] if line["scope_item"] == "Work 0"} == {"LOADER"}
    hired = [line for line in found["lines"] if line["item"] == "LOADER"]
    assert sum(money(line["difference"]) for line in hired) == 310  # a further day, delivered once for both


def test_a_deduct_leaves_out_and_a_substitute_does_both(api: Api) -> None:
    project, (first, second, third) = a_scope(api, "20", "15", "40")
    less = an_alternate(api, project, "Leave out", leaves_out=[second])
    other = an_alternate(api, project, "Instead", brings=[third], leaves_out=[first])
    assert (less["kind"], other["kind"]) == ("deduct", "substitute")
    edition = an_edition(api, ITEMS)
    estimate = taking(api, project, edition, less, other)
    assert {line["scope_item_id"] for line in lines_of(api, estimate["id"])} == {third}
    found = named(differences_hold(api, estimate))
    assert money(found["Leave out"]["difference"]) < 0
    assert found["Instead"]["total_otherwise"] == taking(api, project, edition, less)["total"]
    assert found["Leave out"]["total_otherwise"] == taking(api, project, edition, other)["total"]


def test_one_of_a_group_goes_out_where_another_is_taken(api: Api) -> None:
    project, (_, second, third) = a_scope(api, "20", "15", "40")
    group = {"choose_one": "Greens"}
    own = an_alternate(api, project, "Own crew", brings=[second], **group)
    hired = an_alternate(api, project, "Contractor", brings=[third], **group)
    edition = an_edition(api, ITEMS)
    response = api.post(
        f"/projects/{project}/estimates",
        json={"name": "Both", "edition_id": edition, "alternate_ids": [own["id"], hired["id"]]},
    )
    assert response.status_code == 422
    (fault,) = response.json()["faults"]
    assert (fault["pointer"], fault["got"]) == ("/alternate_ids/1", "Contractor")
    estimate = taking(api, project, edition, own)
    found = named(differences_hold(api, estimate))["Contractor"]
    assert [(one["name"], one["moves"]) for one in found["moves_with"]] == [("Own crew", "out")]
    assert found["total_otherwise"] == taking(api, project, edition, hired)["total"]


def test_what_is_needed_is_taken_and_given_up_together(api: Api) -> None:
    project, (_, second, third) = a_scope(api, "20", "15", "40")
    first = an_alternate(api, project, "Approaches", brings=[second])
    further = an_alternate(api, project, "Collars", brings=[third], needs=[first["id"]])
    edition = an_edition(api, ITEMS)
    refused_choice = api.post(
        f"/projects/{project}/estimates",
        json={"name": "Alone", "edition_id": edition, "alternate_ids": [further["id"]]},
    )
    assert refused_choice.status_code == 422
    assert "'Approaches' as well" in refused_choice.json()["faults"][0]["expected"]
    base, both = taking(api, project, edition), taking(api, project, edition, first, further)
    collars = named(differences_hold(api, base))["Collars"]
    assert [(one["name"], one["moves"]) for one in collars["moves_with"]] == [("Approaches", "in")]
    assert collars["total_otherwise"] == both["total"]
    approaches = named(differences_hold(api, both))["Approaches"]
    assert [(one["name"], one["moves"]) for one in approaches["moves_with"]] == [("Collars", "out")]
    assert approaches["total_otherwise"] == base["total"]
    deletion = api.delete(f"/alternates/{first['id']}", headers={"If-Match": '"1"'})
    assert (deletion.status_code, deletion.json()["type"]) == (409, "/problems/in-use")


def test_a_revision_keeps_what_was_taken_unless_it_says_otherwise(api: Api) -> None:
    project, (_, second) = a_scope(api, "20", "15")
    more = an_alternate(api, project, "More", brings=[second])
    edition = an_edition(api, ITEMS)
    estimate = taking(api, project, edition, more)
    terms = {"edition_id": edition, "markups": MARKUPS}
    kept = api.created(f"/estimates/{estimate['id']}/revisions", terms)
    assert kept["total"] == estimate["total"]
    assert [one["taken"] for one in kept["alternates"]] == [True]
    without = api.created(f"/estimates/{estimate['id']}/revisions", terms | {"alternate_ids": []})
    assert [one["taken"] for one in without["alternates"]] == [False]
    issued(api, without["id"])
    assert money(without["total"]) < money(kept["total"])


def test_an_alternate_without_a_price_says_that_its_difference_is_not_whole(api: Api) -> None:
    project, _ = a_scope(api, "20")
    item = a_scope_item(api, project, LUMP, [], stated("UNPRICED", "3", "short_ton"), name="Haul off")
    more = an_alternate(api, project, "Haul off", brings=[item["id"]])
    estimate = taking(api, project, an_edition(api, ITEMS))
    assert estimate["complete"] is True
    (found,) = differences_hold(api, estimate)
    assert (found["complete"], money(found["difference"])) == (False, 0)
    assert [(line["priced"], line["difference"]) for line in found["lines"]] == [(False, None)]
    assert taking(api, project, an_edition(api, ITEMS), more)["complete"] is False


def test_what_contradicts_the_scope_or_itself_is_refused_with_its_place(api: Api) -> None:
    project, (first, second, third) = a_scope(api, "20", "15", "40")
    _, (foreign,) = a_scope(api, "1")
    nobody = "00000000-0000-7000-8000-000000000000"
    assert refused(api, project, brings=[first, foreign]) == [("/brings/1", foreign)]
    assert refused(api, project, brings=[first], leaves_out=[first]) == [("/leaves_out/0", first)]
    assert refused(api, project, brings=[first], needs=[nobody]) == [("/needs/0", nobody)]
    assert api.post(f"/projects/{project}/alternates", json={"name": "Nothing"}).status_code == 400
    more = an_alternate(api, project, "More", brings=[second])
    assert [pointer for pointer, _ in refused(api, project, leaves_out=[second])] == ["/leaves_out"]
    less = an_alternate(api, project, "Without", leaves_out=[second], needs=[more["id"]])
    body = {"name": "More", "brings": [second], "needs": [less["id"]]}
    circle = api.put(f"/alternates/{more['id']}", json=body, headers={"If-Match": '"1"'})
    assert circle.status_code == 422
    assert "needs itself" in circle.text
    an_alternate(api, project, "Leaves the third", leaves_out=[third])
    assert [pointer for pointer, _ in refused(api, project, brings=[third])] == ["/brings"]
    again = api.post(f"/projects/{project}/alternates", json={"name": "More", "brings": [first]})
    assert (again.status_code, again.json()["type"]) == (409, "/problems/duplicate")
    assert [one["name"] for one in api.get(f"/projects/{project}/alternates").json()["items"]] == [
        "More", "Without", "Leaves the third",
    ]  # fmt: skip


def test_two_of_one_group_can_never_be_needed_together(api: Api) -> None:
    project, (first, second, third) = a_scope(api, "20", "15", "40")
    one = an_alternate(api, project, "One", brings=[first], choose_one="Way")
    two = an_alternate(api, project, "Two", brings=[second], choose_one="Way")
    faults = refused(api, project, brings=[third], needs=[one["id"], two["id"]])
    assert [pointer for pointer, _ in faults] == ["/needs"]


def test_an_alternate_is_edited_and_deleted_by_its_version(api: Api) -> None:
    project, (_, second, third) = a_scope(api, "20", "15", "40")
    alternate = an_alternate(api, project, "More", brings=[second], note="If dues allow")
    place = f"/alternates/{alternate['id']}"
    assert api.get(place).json() == alternate
    body = {"name": "More still", "brings": [second, third]}
    changed = api.put(place, json=body, headers={"If-Match": '"1"'}).json()
    assert (changed["name"], changed["brings"], changed["version"]) == (
        "More still", sorted([second, third]), 2,
    )  # fmt: skip
    assert api.get(place).json() == changed
    assert api.put(place, json=body, headers={"If-Match": '"1"'}).status_code == 412
    version = api.get(f"/scope-items/{second}").json()["version"]
    kept = api.delete(f"/scope-items/{second}", headers={"If-Match": f'"{version}"'})
    assert (kept.status_code, kept.json()["type"]) == (409, "/problems/in-use")
    assert "'More still'" in kept.json()["detail"]
    assert api.delete(place, headers={"If-Match": '"2"'}).status_code == 204
    assert api.get(place).status_code == 404
    assert api.delete(f"/scope-items/{second}", headers={"If-Match": f'"{version}"'}).status_code == 204
    entries = api.get(f"/audit?subject=alternate&subject_id={alternate['id']}").json()["items"]
    assert [one["action"] for one in entries] == ["delete", "change", "create"]


def test_take_off_and_schedule_follow_what_is_taken(api: Api) -> None:
    project = a_project(api, starts_on="2026-09-14", ends_on="2026-10-11")
    course = a_course(api)
    base, more = (
        a_scope_item(
            api, project, TOPDRESSING, [an_area(api, course, size)], by_measure("SAND", "sand_mass"), name=name
        )
        for size, name in (("6000", "Greens"), ("9000", "Approaches"))
    )  # fmt: skip
    weekdays = ["monday", "tuesday", "wednesday", "thursday", "friday"]
    api.created(f"/projects/{project}/calendar", {"working_weekdays": weekdays, "shift_hours": "8"})
    for item, links in ((more, []), (base, [{"scope_item_id": more["id"]}])):
        duration = {"duration": {"stated": {"value": "3", "unit": "work_day"}}, "predecessors": links}
        api.created(f"/scope-items/{item['id']}/task", duration)
    alternate = an_alternate(api, project, "Approaches", brings=[more["id"]])
    query = f"?alternate_ids={alternate['id']}"
    take_off = f"/projects/{project}/take-off"
    assert [one["name"] for one in api.get(take_off).json()["items"]] == ["Greens"]
    both = api.get(take_off + query).json()
    assert ([one["name"] for one in both["items"]], both["alternate_ids"]) == (
        ["Greens", "Approaches"], [alternate["id"]],
    )  # fmt: skip
    schedule = f"/projects/{project}/schedule"
    alone, together = api.get(schedule).json(), api.get(schedule + query).json()
    assert [one["name"] for one in alone["tasks"]] == ["Greens"]
    assert (alone["finishes_on"], together["finishes_on"]) == ("2026-09-16", "2026-09-21")
    assert api.get(take_off + "?alternate_ids=none").status_code == 422
    dated = api.post(f"{schedule}/take-dates", json={"alternate_ids": [alternate["id"]]})
    assert [one["name"] for one in dated.json()["items"]] == ["Greens", "Approaches"]
    assert api.get(f"/scope-items/{more['id']}/take-off").status_code == 200


def test_the_csv_holds_every_difference(api: Api) -> None:
    project, (_, second) = a_scope(api, "20", "15")
    an_alternate(api, project, "More", brings=[second])
    estimate = taking(api, project, an_edition(api, ITEMS))
    text = api.get(f"/estimates/{estimate['id']}/alternates", headers={"Accept": "text/csv"}).text
    rows = list(csv.DictReader(io.StringIO(text)))
    assert sum(Decimal(row["difference"]) for row in rows) == money(estimate["alternates"][0]["difference"])
    assert {row["part"] for row in rows} >= {"price", "delivery", "markup"}


def test_the_committee_reads_and_another_club_finds_nothing(api: Api) -> None:
    project, (_, second) = a_scope(api, "20", "15")
    alternate = an_alternate(api, project, "More", brings=[second])
    estimate = taking(api, project, an_edition(api, ITEMS))
    committee, other = api.as_role("committee"), api.of_new_club("stone-weir")
    place = f"/alternates/{alternate['id']}"
    assert committee.get(place).status_code == 200
    assert committee.get(f"/estimates/{estimate['id']}/alternates").status_code == 200
    assert committee.delete(place, headers={"If-Match": '"1"'}).status_code == 403
    for path in (place, f"/projects/{project}/alternates", f"/estimates/{estimate['id']}/alternates"):
        assert other.get(path).status_code == 404
    assert other.delete(place, headers={"If-Match": '"1"'}).status_code == 404
    body = {"name": "Mine", "brings": [second]}
    assert other.post(f"/projects/{project}/alternates", json=body).status_code == 404


@pytest.mark.parametrize("twice", [True, False])
def test_alternates_that_are_not_there_are_not_taken(api: Api, twice: bool) -> None:
    project, (_, second) = a_scope(api, "20", "15")
    alternate = an_alternate(api, project, "More", brings=[second])
    ids = [alternate["id"]] * 2 if twice else ["00000000-0000-7000-8000-000000000000"]
    body = {"name": "Any", "edition_id": an_edition(api, ITEMS), "alternate_ids": ids}
    assert api.post(f"/projects/{project}/estimates", json=body).status_code == (400 if twice else 422)
    assert api.get("/estimates").json()["items"] == []


def test_what_one_would_make_impossible_for_another_is_refused_where_it_is_mended(api: Api) -> None:
    project, (first, second, third) = a_scope(api, "20", "15", "40")
    one = an_alternate(api, project, "One", brings=[first])
    way = an_alternate(api, project, "Two", brings=[second], needs=[one["id"]], choose_one="Way")

    def refused_as(alternate: str, **body: Any) -> set[str]:
        response = api.put(f"/alternates/{alternate}", json=body, headers={"If-Match": '"1"'})
        assert response.status_code == 422, response.text
        return {fault["pointer"] for fault in response.json()["faults"]}

    assert refused_as(one["id"], name="One", brings=[first], choose_one="Way") == {"/choose_one"}
    assert refused_as(one["id"], name="One", brings=[first], needs=[way["id"]]) == {"/needs"}
    less = an_alternate(api, project, "Three", leaves_out=[first], needs=[way["id"]])
    assert less["kind"] == "deduct"
    an_alternate(api, project, "Four", leaves_out=[third])
    assert refused_as(one["id"], name="One", brings=[first, third]) == {"/brings"}
    assert api.get(f"/alternates/{one['id']}").json() == one


def test_a_project_has_no_more_alternates_than_are_priced_with_every_estimate(api: Api) -> None:
    project, (first, _) = a_scope(api, "20", "15")
    for number in range(50):
        an_alternate(api, project, f"Option {number}", brings=[first])
    response = api.post(f"/projects/{project}/alternates", json={"name": "Another", "brings": [first]})
    assert response.status_code == 422
    assert "at most 50" in response.json()["faults"][0]["expected"]
    assert len(api.get(f"/projects/{project}/alternates?limit=200").json()["items"]) == 50


def test_a_scope_of_alternates_alone_has_whole_differences(api: Api) -> None:
    project, (first,) = a_scope(api, "20")
    alternate = an_alternate(api, project, "All of it", brings=[first])
    edition = an_edition(api, ITEMS)
    base = taking(api, project, edition)
    assert (base["complete"], money(base["total"])) == (False, 0)
    (found,) = differences_hold(api, base)
    assert found["complete"] is True
    assert found["difference"] == taking(api, project, edition, alternate)["total"]


def test_ground_without_a_size_makes_a_difference_less_than_whole(api: Api) -> None:
    project, course = a_project(api), a_course(api)
    greens = [an_area(api, course), an_area(api, course, None)]
    items = [
        a_scope_item(api, project, TOPDRESSING, greens, by_measure("SAND", "sand_mass"), name=name)
        for name in ("Spring", "Autumn")
    ]
    an_alternate(api, project, "Twice", brings=[items[1]["id"]])
    (found,) = differences_hold(api, taking(api, project, an_edition(api, ITEMS)))
    assert found["complete"] is False
    assert money(found["difference"]) > 0


def test_a_revision_does_not_take_what_is_no_longer_there(api: Api) -> None:
    project, (_, second) = a_scope(api, "20", "15")
    more = an_alternate(api, project, "More", brings=[second])
    estimate = taking(api, project, an_edition(api, ITEMS), more)
    assert api.delete(f"/alternates/{more['id']}", headers={"If-Match": '"1"'}).status_code == 204
    terms = {"edition_id": estimate["edition_id"], "markups": MARKUPS}
    response = api.post(f"/estimates/{estimate['id']}/revisions", json=terms)
    assert response.status_code == 422
    assert response.json()["faults"][0]["pointer"] == "/alternate_ids/0"
    assert api.get(f"/estimates/{estimate['id']}").json()["alternates"] == estimate["alternates"]
    revised = api.created(f"/estimates/{estimate['id']}/revisions", terms | {"alternate_ids": []})
    assert revised["total"] == estimate["total"]  # what it brought is in the base scope again
