"""Eight scenarios of an invented plan of 25 years, 120 assets and 40 projects, beside its figures in the same run."""

import time
from typing import Any

import pytest
from big_capital_plan import big_plan, big_plan_bodies
from conftest import Api
from measuring import hold_by_turns

pytestmark = pytest.mark.bench

SCENARIOS: list[dict[str, Any]] = [
    {"name": "As dated"},
    {"name": "Least", "money": {"contribution": {"kind": "least", "percent_a_year": "3"}}},
    {"name": "More", "money": {"contribution": {"kind": "by_percent", "percent": "10"}}},
    {"name": "Less", "money": {"contribution": {"kind": "by_percent", "percent": "-10"}}},
    {"name": "A year later", "projects": {"deferred_by": 1}},
    {"name": "Three years later", "projects": {"deferred_by": 3}},
    {"name": "Dearer", "money": {"growth_points": "1"}},
    {"name": "As decided", "start": "as_decided"},
]
TIMES = len(SCENARIOS) * 1.25
"""Each scenario at most a quarter more than the plan's own figures."""


def the_big_plan(api: Api) -> str:
    bodies = big_plan_bodies(big_plan())
    assets = {body["code"]: api.created("/assets", body)["id"] for body in bodies.assets}
    plan: str = api.created("/capital-plans", bodies.plan)["id"]
    ids: dict[int, str] = {}
    for one in bodies.projects:
        body = bodies.project_body(one, assets, ids)
        ids[one.number] = api.created(f"/capital-plans/{plan}/projects", body)["id"]
    return plan


def seconds(ask: Any) -> float:
    """Processor seconds of a request in this process, all threads together."""
    started = time.process_time()
    assert ask().status_code == 200
    return time.process_time() - started


def test_a_scenario_costs_about_what_the_figures_of_the_plan_cost(api: Api) -> None:
    path = f"/capital-plans/{the_big_plan(api)}"
    hold_by_turns(
        "eight scenarios of a long plan", lambda: seconds(lambda: api.get(f"{path}/figures")),
        lambda: seconds(lambda: api.post(f"{path}/scenarios", json={"scenarios": SCENARIOS})), TIMES, 3,
    )  # fmt: skip
