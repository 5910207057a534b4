"""Taking off a whole scope: the same figures as item by item, and their sums."""

import pytest
from conftest import Api
from estimate_factories import LUMP, SODDING, TOPDRESSING, a_course, a_project, a_scope_item, an_area


def test_a_whole_scope_gives_the_figures_of_its_items_and_their_sums(api: Api) -> None:
    course, project = a_course(api), a_project(api)
    small, large, unknown = (
        an_area(api, course, "4000"),
        an_area(api, course, "9000"),
        an_area(api, course, None),
    )
    for work, areas in ((TOPDRESSING, [small]), (TOPDRESSING, [small, large, unknown]), (SODDING, [large]),
                        (SODDING, [unknown]), (LUMP, [])):  # fmt: skip
        a_scope_item(api, project, work, areas)
    whole = api.get(f"/projects/{project}/take-off").json()
    assert [item["missing_sizes"] for item in whole["items"]] == [0, 1, 0, 1, 0]
    sums: dict[str, float] = {}
    for item in whole["items"]:
        alone = api.get(f"/scope-items/{item['scope_item_id']}/take-off").json()
        values = {one["name"]: float(one["value"]) for one in alone["measures"]}
        assert {name: float(value) for name, value in item["measures"].items()} == pytest.approx(values)
        assert item["units"] == {one["name"]: one["unit"] for one in alone["measures"]}
        for name, value in values.items():
            sums[name] = sums.get(name, 0.0) + value
    sums["area"] = 13_000 * 0.3048**2  # each ground once, whatever is done on it
    totals = {one["name"]: float(one["value"]) for one in whole["totals"]}
    assert totals == pytest.approx({name: sums[name] for name in totals})
    assert {"area", "sand_mass", "pallets", "quantity"} <= set(totals)
    assert "layer_depth" not in totals, "a depth is not added up"


def test_an_empty_scope_has_no_figures(api: Api) -> None:
    whole = api.get(f"/projects/{a_project(api)}/take-off").json()
    assert (whole["items"], whole["totals"]) == ([], [])
