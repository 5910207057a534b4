"""Taking off a scope of 2,000 items on 150 areas in one request, against the bare arithmetic by hand.

Three times the bare arithmetic is the limit. What is in proportion to the area is computed once for each kind of
work, and scope items that say the same share their method, parameters and ground.
"""

import math
from collections.abc import Callable
from itertools import cycle, islice

import httpx
import numpy as np
import pytest
from conftest import CLUB
from grounds import add_areas, add_scope, kind_of, open_project, opened, writing
from measuring import hold_by_turns, timed
from server import running_server
from swardcost_api.access.service import issue_key
from swardcost_model.access import NewKey, Role

pytestmark = pytest.mark.bench

SCOPE_ITEMS = 2_000
AREAS = 150
LIMIT = 3
EACH_ON = 15
"""Areas of each scope item; together the items go round all areas."""

INCH, FOOT, POUND = 0.0254, 0.3048, 0.45359237
DENSITY = 100 * POUND / FOOT**3
PACE = 12_000 * FOOT**2


def coring(areas: "np.ndarray") -> dict[str, float]:
    """The measures of the bench's hollow-tine aeration, area by area and summed, by hand in numpy."""
    cell, circle = (2 * INCH) ** 2, math.pi / 4 * (0.5 * INCH) ** 2
    share = circle / cell
    worked = areas * 2
    holes = areas / cell * 2
    once = 1 - (1 - share) ** 2
    cores = holes * circle * (4 * INCH)
    sand = cores * 1.1
    hours = worked / PACE
    by_area = {
        "area": areas, "area_worked": worked, "holes": holes, "area_sum_of_passes": areas * (2 * share),
        "area_touched_once": areas * once, "core_volume": cores, "fill_volume": cores, "sand_volume": sand,
        "sand_mass": sand * DENSITY, "machine_time": hours, "crew_time": hours * 3,
    }  # fmt: skip
    shares = {"share_per_pass": share, "share_sum_of_passes": 2 * share, "share_touched_once": once}
    return {name: float(values.sum()) for name, values in by_area.items()} | shares


def dressing(areas: "np.ndarray") -> dict[str, float]:
    """The measures of the bench's topdressing, likewise."""
    depth = 2 * FOOT / 1000 * 4
    worked = areas * 4
    layer = areas * depth
    sand = layer * 1.05
    hours = worked / PACE
    by_area = {
        "area": areas, "area_worked": worked, "layer_volume": layer, "sand_volume": sand,
        "sand_mass": sand * DENSITY, "machine_time": hours, "crew_time": hours * 3,
    }  # fmt: skip
    return {name: float(values.sum()) for name, values in by_area.items()} | {"layer_depth": depth}


def test_a_whole_scope_is_taken_off_in_one_request(empty_database_url: str) -> None:
    with opened(empty_database_url) as database:
        with writing(database) as work:
            ids = add_areas(work, AREAS)
            groups = [list(islice(cycle(ids), start, start + EACH_ON)) for start in range(0, AREAS, EACH_ON)]
            project_id = open_project(work, "Closure", groups[0], 0)
            for number in range(0, SCOPE_ITEMS, 2):
                add_scope(work, project_id, groups[number // 2 % len(groups)], (number, number + 1), 4)
            secret = issue_key(work, NewKey(name="Reader", role=Role.INTEGRATOR)).secret
        what = f"take-off of {SCOPE_ITEMS:,} items, {kind_of(database)}"
    sizes = np.array([5000 + 37 * number for number in range(AREAS)]) * FOOT**2
    of_group = [sizes[start : start + EACH_ON] for start in range(0, AREAS, EACH_ON)]
    methods: list[Callable[[np.ndarray], dict[str, float]]] = [coring, dressing]

    def floor() -> float:
        with timed() as watch:
            for number in range(SCOPE_ITEMS):
                methods[number % 2](of_group[number // 2 % len(of_group)])
        return watch.seconds

    with running_server(empty_database_url) as server, httpx.Client(
        base_url=f"{server.url}/v1/clubs/{CLUB}", headers={"Authorization": f"Bearer {secret}"}, timeout=60
    ) as client:  # fmt: skip
        document = client.get(f"/projects/{project_id}/take-off").json()
        assert len(document["items"]) == SCOPE_ITEMS
        for item, by_hand in zip(
            document["items"][:2], (coring(of_group[0]), dressing(of_group[0])), strict=True
        ):
            found = {name: float(value) for name, value in item["measures"].items()}
            assert found == pytest.approx(by_hand, rel=1e-6)

        def ours() -> float:
            with timed() as watch:
                assert client.get(f"/projects/{project_id}/take-off").status_code == 200
            return watch.seconds

        hold_by_turns(what, floor, ours, limit=LIMIT, repetitions=5)
