"""Scenarios of capital plans through the API, and plans that are decided on."""

from typing import Any

from conftest import Api
from plan_factories import PLANS, PROJECTS, Document


def asked(
    api: Api, plan: Document, *scenarios: Document, accept: str = "application/json", **more: Any
) -> Any:
    """The answer to a question of scenarios, which are given names where they have none."""
    named = [{"name": f"Scenario {place}"} | one for place, one in enumerate(scenarios)]
    return api.post(
        f"{PLANS}/{plan['id']}/scenarios", json={"scenarios": named} | more, headers={"Accept": accept}
    )


def side_by_side(api: Api, plan: Document, *scenarios: Document, **more: Any) -> Document:
    answer = asked(api, plan, *scenarios, **more)
    assert answer.status_code == 200, answer.text
    found: Document = answer.json()
    return found


def scenario_of(api: Api, plan: Document, **scenario: Any) -> Document:
    """The only scenario of a question."""
    (found,) = side_by_side(api, plan, scenario)["scenarios"]
    document: Document = found
    return document


def issued(api: Api, plan: Document) -> Document:
    answer = api.post(f"{PLANS}/{plan['id']}/issue")
    assert answer.status_code == 200, answer.text
    document: Document = answer.json()
    return document


def decided(api: Api, project: Document, decided: str, **more: Any) -> Document:
    answer = api.post(f"{PROJECTS}/{project['id']}/decide", json={"decided": decided} | more)
    assert answer.status_code == 200, answer.text
    document: Document = answer.json()
    return document


def table_of(found: Document) -> dict[str, Document]:
    """The rows of the table by the names of their figures."""
    return {row["figure"]: row for row in found["table"]}
