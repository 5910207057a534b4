"""Many hands on one draft: numbers are given once, circles do not slip through, and nothing is added twice."""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import Any

from asset_factories import an_asset
from conftest import Api
from plan_factories import PLANS, PROJECTS, a_plan, a_plan_project, got, project_body, put

HANDS = 4


def at_once(*acts: Callable[[], Any]) -> list[int]:
    with ThreadPoolExecutor(HANDS) as pool:
        return sorted(answer.status_code for answer in pool.map(lambda act: act(), acts))


def test_every_project_gets_a_number_of_its_own(api: Api) -> None:
    path = f"{PLANS}/{a_plan(api)['id']}/projects"
    bodies = [project_body() for _ in range(2 * HANDS)]
    assert at_once(*(lambda body=body: api.post(path, json=body) for body in bodies)) == [201] * 2 * HANDS
    numbers = [one["number"] for one in got(api, path)["items"]]
    assert numbers == list(range(1, 2 * HANDS + 1))


def test_two_projects_do_not_come_to_need_each_other(api: Api) -> None:
    plan = a_plan(api)
    one, other = a_plan_project(api, plan), a_plan_project(api, plan)

    def need(project: Any, first: Any) -> Any:
        return put(api, PROJECTS, project, prerequisites=[{"project_id": first["id"]}])

    assert at_once(lambda: need(one, other), lambda: need(other, one)) == [200, 422]


def test_a_project_and_a_shorter_plan_do_not_pass_each_other(api: Api) -> None:
    plan = a_plan(api)
    path = f"{PLANS}/{plan['id']}/projects"
    found = at_once(
        lambda: put(api, PLANS, plan, years=3), lambda: api.post(path, json=project_body(year=2035))
    )
    assert found in ([200, 422], [201, 422])
    assert (api.get(f"{PLANS}/{plan['id']}").json()["years"], len(got(api, path)["items"])) in (
        (3, 0),
        (10, 1),
    )


def test_projects_from_assets_are_added_once_whoever_asks(api: Api) -> None:
    plan = a_plan(api)
    for code in ("A-1", "A-2"):
        an_asset(api, code, in_use_since=2015)
    path = f"{PLANS}/{plan['id']}/projects"
    assert at_once(*(lambda: api.post(f"{path}/from-assets") for _ in range(HANDS))) == [200] * HANDS
    assert [one["name"] for one in got(api, path)["items"]] == ["Asset A-1", "Asset A-2"]


def test_an_asset_is_not_deleted_while_a_project_comes_to_replace_it(api: Api) -> None:
    path = f"{PLANS}/{a_plan(api)['id']}/projects"
    for number in range(4):
        asset = an_asset(api, f"A-{number}")
        body = project_body(None, asset_ids=[asset["id"]])
        found = at_once(
            lambda body=body: api.post(path, json=body),
            lambda asset=asset: api.delete(f"/assets/{asset['id']}", headers={"If-Match": '"1"'}),
        )
        assert found in ([201, 409], [204, 422])
    there = {one["id"] for one in api.get("/assets").json()["items"]}
    assert {asset_id for one in got(api, path)["items"] for asset_id in one["asset_ids"]} == there
