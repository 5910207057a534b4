"""Measured progress of budget lines, in their own units."""

from typing import Any
from uuid import uuid4

from budget_factories import a_budget_with_contingency, adjusted, entry
from conftest import Api
from estimate_factories import Document


def measured(
    api: Api, budget: Document, line: int, on: str, done: str, status: int = 201, **more: Any
) -> Document:
    body = {"budget_line_id": budget["lines"][line - 1]["id"], "measured_on": on, "done": done} | more
    response = api.post(f"/budgets/{budget['id']}/measures", json=body)
    assert response.status_code == status, response.text
    document: Document = response.json()
    return document


def changed(api: Api, measure: Document, status: int = 200, **fields: Any) -> Document:
    body = {name: measure[name] for name in ("measured_on", "done", "correction", "reason", "note")} | fields
    tag = {"If-Match": f'"{measure["version"]}"'}
    response = api.put(f"/measures/{measure['id']}", json=body, headers=tag)
    assert response.status_code == status, response.text
    document: Document = response.json()
    return document


def progress_of(api: Api, budget: Document, on: str) -> dict[int, tuple[str, str, str | None]]:
    state = api.get(f"/budgets/{budget['id']}/progress?on={on}").json()
    return {line["line_number"]: (line["done"], line["unit"], line["percent"]) for line in state["lines"]}


def test_progress_is_measured_in_tons_hours_or_percent(api: Api) -> None:
    budget = a_budget_with_contingency(api)
    first = measured(api, budget, 1, "2026-09-08", "10", note="Greens 1 to 6")
    assert (first["unit"], first["line_number"], first["measured_by"]) == ("short_ton", 1, "Owner")
    measured(api, budget, 1, "2026-09-20", "22.5")
    measured(api, budget, 3, "2026-09-20", "40")
    assert progress_of(api, budget, "2026-09-07") == {}
    assert progress_of(api, budget, "2026-09-19") == {1: ("10", "short_ton", "33.3333")}
    assert progress_of(api, budget, "2026-09-20") == {
        1: ("22.5", "short_ton", "75.0000"),
        3: ("40", "percent", "40"),
    }
    state = api.get(f"/budgets/{budget['id']}/progress?on=2026-09-20").json()
    assert (state["lines"][0]["planned"], state["unmeasured"]) == ("30.00", [2])


def test_percent_is_of_the_quantity_as_adjusted_by_the_day(api: Api) -> None:
    budget = a_budget_with_contingency(api)
    more = entry(budget["lines"][0], "2026-10", "400", "10")
    adjusted(api, budget, "addition", more, effective_on="2026-09-15")
    measured(api, budget, 1, "2026-09-10", "15")
    measured(api, budget, 1, "2026-09-30", "44")
    assert progress_of(api, budget, "2026-09-14")[1][2] == "50.0000"
    assert progress_of(api, budget, "2026-09-15")[1][2] == "37.5000"
    assert (
        progress_of(api, budget, "2026-09-30")[1][2] == "110.0000"
    )  # more than planned is said, not refused
    opened = adjusted(
        api, budget, "addition", entry(1, "2026-10", "9"), new_lines=[{"label": "Pipe", "unit": "foot"}]
    )
    line = {"lines": [{"id": opened["entries"][0]["budget_line_id"]}], "id": budget["id"]}
    measured(api, line, 1, "2026-09-30", "12")
    assert progress_of(api, budget, "2026-09-30")[4] == ("12", "foot", None)  # nothing is planned in feet


def test_a_smaller_measure_needs_a_correction_with_a_reason(api: Api) -> None:
    budget = a_budget_with_contingency(api)
    measured(api, budget, 1, "2026-09-08", "10")
    fault = measured(api, budget, 1, "2026-09-09", "9.99", 422)["faults"][0]
    assert fault == {
        "pointer": "/done",
        "expected": "10 or more, as measured on 2026-09-08, or a correction",
        "got": "9.99",
    }
    assert (
        measured(api, budget, 1, "2026-09-09", "9.99", 400, correction=True)["type"]
        == "/problems/invalid-request"
    )
    mended = measured(api, budget, 1, "2026-09-09", "9.99", correction=True, reason="Tickets counted twice")
    assert measured(api, budget, 1, "2026-09-09", "12", 409)["type"] == "/problems/duplicate"
    measured(api, budget, 1, "2026-09-12", "10")
    # An earlier day is held against both its neighbours.
    assert measured(api, budget, 1, "2026-09-10", "10.5", 422)["faults"][0]["pointer"] == "/done"
    measured(api, budget, 1, "2026-09-10", "9.995")
    assert changed(api, mended, 422, done="9.998")["faults"][0]["pointer"] == "/done"
    assert changed(api, mended, done="9.99", note="Seen again")["version"] == 2
    assert changed(api, mended, 412, done="9.98")["type"] == "/problems/stale-version"
    gone = api.delete(f"/measures/{mended['id']}", headers={"If-Match": '"2"'})
    assert (gone.status_code, gone.json()["type"]) == (409, "/problems/wrong-state")
    assert [one["done"] for one in api.get(f"/budgets/{budget['id']}/measures").json()["items"]] == [
        "10", "9.99", "9.995", "10",
    ]  # fmt: skip


def test_measures_are_listed_edited_and_deleted_with_a_trace(api: Api) -> None:
    budget = a_budget_with_contingency(api)
    one = measured(api, budget, 1, "2026-09-08", "10")
    other = measured(api, budget, 2, "2026-09-07", "3")
    path = f"/budgets/{budget['id']}/measures"
    assert api.get(path).json()["items"] == [other, one]
    assert api.get(f"{path}?budget_line_id={budget['lines'][0]['id']}").json()["items"] == [one]
    after = changed(api, one, done="11")
    assert api.get(f"/measures/{one['id']}").json() == after
    assert api.delete(f"/measures/{one['id']}", headers={"If-Match": '"2"'}).status_code == 204
    assert api.get(f"/measures/{one['id']}").status_code == 404
    trail = api.get(f"/audit?subject=measure&subject_id={one['id']}").json()["items"]
    assert [entry["action"] for entry in trail] == ["delete", "change", "create"]


def test_what_cannot_be_measured_is_refused(api: Api) -> None:
    budget, other = a_budget_with_contingency(api), a_budget_with_contingency(api)
    assert measured(api, budget, 3, "2026-09-08", "100.1", 422)["faults"][0]["pointer"] == "/done"
    mixed = {"id": budget["id"], "lines": other["lines"]}
    assert measured(api, mixed, 1, "2026-09-08", "1", 422)["faults"][0]["pointer"] == "/budget_line_id"
    assert measured(api.as_role("controller"), budget, 1, "2026-09-08", "1", 403)["status"] == 403
    made = measured(api.as_role("superintendent"), budget, 1, "2026-09-08", "1")
    stranger = api.of_new_club("stone-weir")
    assert measured(stranger, budget, 1, "2026-09-08", "1", 404)["status"] == 404
    assert changed(stranger, made, 404, done="2")["status"] == 404
    assert stranger.delete(f"/measures/{made['id']}", headers={"If-Match": '"1"'}).status_code == 404
    assert stranger.get(f"/measures/{made['id']}").status_code == 404
    assert api.get(f"/measures/{uuid4()}").status_code == 404
    assert api.get(f"/measures/{made['id']}").json() == made
