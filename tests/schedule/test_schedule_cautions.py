"""What a schedule warns of: work on ground that is cut or recovers, work before the closure, closures without work."""

import pytest
from conftest import Api
from schedule_factories import CORING, a_closure, a_green, after, an_item_of_work, days, schedule_of

CORE = days("2") | {"invasive": True, "recovery_days": 6}
NO_WORK = "The closure has no working day from its first, 2026-09-19, to its last, 2026-09-20."


def cautions_about(api: Api, project: str, name: str) -> list[str]:
    return [caution for caution in schedule_of(api, project)["cautions"] if caution.startswith(f"{name} ")]


def named_greens(api: Api, count: int) -> tuple[list[str], list[str]]:
    """Ids and names of greens."""
    ids = [a_green(api) for _ in range(count)]
    return ids, [api.get(f"/areas/{one}").json()["name"] for one in ids]


def test_work_on_an_area_that_is_being_cut_is_named_with_its_days(api: Api) -> None:
    project = a_closure(api)
    greens, names = named_greens(api, 2)
    an_item_of_work(api, project, CORE, CORING, areas=greens, name="Core")
    an_item_of_work(api, project, days("1"), CORING, areas=greens[:1], name="Dress")
    an_item_of_work(api, project, days("1"), CORING, areas=[a_green(api)], name="Roll")
    assert cautions_about(api, project, "Dress") == [
        f"Dress is done on 2026-09-14 on {names[0]}, where invasive work is under way: Core."
    ]
    assert cautions_about(api, project, "Roll") == []


def test_work_on_areas_that_recover_is_named_once_with_all_they_recover_from(api: Api) -> None:
    project = a_closure(api)
    greens, names = named_greens(api, 5)
    core = an_item_of_work(api, project, CORE, CORING, areas=greens[:3], name="Core")
    an_item_of_work(api, project, CORE, CORING, areas=greens[3:], name="Slice")
    dress = days("2") | {"predecessors": [after(core)]}
    an_item_of_work(api, project, dress, CORING, areas=greens, name="Dress")
    assert cautions_about(api, project, "Dress") == [
        f"Dress is done from 2026-09-16 to 2026-09-17 on {names[0]}, {names[1]}, {names[2]} and 2 more areas, still "
        "recovering from invasive work: Core and Slice."
    ]


@pytest.mark.parametrize(
    ("recovery_days", "lag_days", "warned"),
    [
        # Cored on Monday and Tuesday. Without recovery Wednesday is free.
        (0, 0, False),
        (1, 0, True),
        (1, 1, False),
        # Three days end on Friday; the weekend and Monday need six.
        (3, 2, True),
        (5, 3, False),
        (6, 3, True),
    ],
)
def test_the_caution_ends_with_the_last_day_of_recovery(
    api: Api, recovery_days: int, lag_days: int, warned: bool
) -> None:
    project, green = a_closure(api), a_green(api)
    work = days("2") | {"invasive": True, "recovery_days": recovery_days}
    core = an_item_of_work(api, project, work, CORING, areas=[green], name="Core")
    dress = days("1") | {"predecessors": [after(core, lag_days=lag_days)]}
    an_item_of_work(api, project, dress, CORING, areas=[green], name="Dress")
    assert bool(cautions_about(api, project, "Dress")) is warned


def test_work_that_straddles_the_finish_is_warned_of_for_the_cutting_alone_where_nothing_recovers(
    api: Api,
) -> None:
    project, green = a_closure(api), a_green(api)
    an_item_of_work(api, project, days("1") | {"invasive": True}, CORING, areas=[green], name="Core")
    an_item_of_work(api, project, days("3"), CORING, areas=[green], name="Dress")
    (caution,) = cautions_about(api, project, "Dress")
    assert "from 2026-09-14 to 2026-09-16" in caution
    assert caution.endswith("where invasive work is under way: Core.")


def test_invasive_work_holds_the_area_itself_and_is_not_warned_of(api: Api) -> None:
    project, green = a_closure(api), a_green(api)
    for name in ("Core", "Slice"):
        an_item_of_work(api, project, CORE, CORING, areas=[green], name=name)
    assert cautions_about(api, project, "Core") == cautions_about(api, project, "Slice") == []


def test_work_before_the_closure_begins_is_named_with_its_day(api: Api) -> None:
    project = a_closure(api, closure_first_day="2026-09-16")
    early = {"earliest_start": "2026-09-15"}
    an_item_of_work(api, project, days("1") | early, name="Fence")
    an_item_of_work(api, project, days("1"), name="Sand")
    assert cautions_about(api, project, "Fence") == ["Fence starts on 2026-09-15, before the closure."]
    assert cautions_about(api, project, "Sand") == []


@pytest.mark.parametrize("scheduled", [True, False])
def test_a_closure_without_a_working_day_is_told(api: Api, scheduled: bool) -> None:
    weekend = {"closure_first_day": "2026-09-19", "closure_last_day": "2026-09-20"}
    project = a_closure(api, **weekend)
    an_item_of_work(api, project, days("1") if scheduled else None, name="Sand")
    assert NO_WORK in schedule_of(api, project)["cautions"]
    worked = a_closure(api, **weekend, worked_days=["2026-09-20"])
    an_item_of_work(api, worked, days("1") if scheduled else None, name="Sand")
    assert not any("no working day" in caution for caution in schedule_of(api, worked)["cautions"])
