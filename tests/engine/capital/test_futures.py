"""Simulated futures of capital plans: each one redone by hand, what moves when, and what does not change what."""

from dataclasses import replace
from decimal import Decimal

import numpy as np
import pytest
from futures_by_hand import (
    SURELY_THREE,
    FutureByHand,
    as_dated,
    drawings,
    plan_of,
    uncertain_plans,
    without_ranges,
)
from hypothesis import given, settings
from hypothesis import strategies as st
from swardcost_api.engine.capital.futures import Futures, draw_futures
from swardcost_api.engine.capital.reserve import Flows, InterestTerms
from swardcost_api.engine.capital.uncertain_plans import (
    DatedProject,
    Drawing,
    LivingAsset,
    UncertainPlan,
)
from swardcost_api.engine.capital.whole_minor import Ints
from swardcost_api.engine.risk.ranges import Triangular

WIDE = Triangular(5, 9, 16)


def spent_of(futures: Futures) -> list[int]:
    """What every future spends in each year, where they are all alike."""
    assert (futures.spending == futures.spending[:, :1]).all()
    return [int(one) for one in futures.spending[:, 0]]


def pump(since: int = -1, **more: object) -> LivingAsset:
    """A pump of 800 that lasts three years for sure."""
    given: dict[str, object] = {
        "key": "pump", "since": since, "present": SURELY_THREE, "renewed": SURELY_THREE, "cost_minor": 800
    }  # fmt: skip
    return LivingAsset(**(given | more))  # type: ignore[arg-type]


@given(uncertain_plans(), drawings())
def test_without_any_range_each_future_is_the_plan(plan: UncertainPlan, drawing: Drawing) -> None:
    drawing = replace(drawing, growth_points=None, interest_points=None)
    futures = draw_futures(without_ranges(plan), drawing)
    spent, left = as_dated(plan)
    assert (futures.spending == np.array(spent)[:, None]).all()
    assert (futures.closing == np.array(left)[:, None]).all()
    assert not futures.unplanned.any()


@given(uncertain_plans(), drawings(), st.integers(0, 99))
@settings(max_examples=150)
def test_each_future_is_the_same_by_hand(plan: UncertainPlan, drawing: Drawing, number: int) -> None:
    futures = draw_futures(plan, drawing)
    by_hand = FutureByHand(plan, drawing, number)
    assert futures.spending[:, number].tolist() == by_hand.spent
    assert futures.closing[:, number].tolist() == by_hand.left


@given(uncertain_plans(), drawings(), st.randoms(use_true_random=False))
def test_the_order_of_assets_and_projects_changes_nothing(plan, drawing, source) -> None:  # type: ignore[no-untyped-def]
    projects, assets = list(plan.projects), list(plan.assets)
    source.shuffle(projects)
    source.shuffle(assets)
    first, second = (
        draw_futures(one, drawing) for one in (plan, replace(plan, projects=projects, assets=assets))
    )
    assert (first.closing == second.closing).all()
    assert first.early == second.early
    assert first.failed == second.failed


@given(uncertain_plans(), drawings())
def test_more_futures_leave_the_first_ones_as_they_are(plan: UncertainPlan, drawing: Drawing) -> None:
    more = draw_futures(plan, replace(drawing, futures=drawing.futures + 57))
    assert (more.closing[:, : drawing.futures] == draw_futures(plan, drawing).closing).all()


def test_another_asset_leaves_what_the_others_draw_as_it_is() -> None:
    one, other = (LivingAsset(key, -3, WIDE, WIDE, 700, Triangular(80, 100, 140)) for key in ("one", "other"))
    alone, beside, both = (
        draw_futures(plan_of([], assets, 20), Drawing()).spending for assets in ([one], [other], [one, other])
    )
    assert (both == alone + beside).all()
    assert (alone != beside).any()


def test_another_seed_gives_other_futures_and_the_same_seed_the_same() -> None:
    plan = plan_of([], [LivingAsset("one", -3, WIDE, WIDE, 700)], 20)
    first, again, other = (draw_futures(plan, Drawing(seed=seed)).closing for seed in (1, 1, 2))
    assert (first == again).all()
    assert (first != other).any()


@pytest.mark.parametrize(
    ("dated", "when", "latest", "begins"),
    [
        # The pump was put in use the year before the plan and fails in its third year, which is 2 from 0.
        (6, "dated_or_failed", None, 2),
        (2, "dated_or_failed", None, 2),
        (1, "dated_or_failed", None, 1),
        (1, "failed", None, 2),
        (6, "failed", None, 2),
        (0, "failed", 1, 1),
        (1, "failed", 0, 1),  # dated after its own latest year: the later of both holds
    ],
)
def test_a_project_is_done_when_its_asset_fails(
    dated: int, when: str, latest: int | None, begins: int
) -> None:
    once = pump(renewed=Triangular(30, 40, 50))
    project = DatedProject("new pump", dated, (600, 400), assets=("pump",), latest=latest)
    futures = draw_futures(plan_of([project], [once]), Drawing(when=when))  # type: ignore[arg-type]
    expected = [0] * 10
    expected[begins], expected[begins + 1] = 600, 400
    assert spent_of(futures) == expected
    assert futures.early == {"new pump": futures.count * (begins < dated)}
    assert futures.late == {"new pump": futures.count * (begins > dated)}


def test_what_fails_without_a_project_is_replaced_as_often_as_it_fails() -> None:
    futures = draw_futures(plan_of([], [pump()]), Drawing())
    assert spent_of(futures) == [0, 0, 800, 0, 0, 800, 0, 0, 800, 0]
    assert (futures.unplanned == futures.spending).all()
    assert futures.failed == {"pump": 3 * futures.count}


def test_what_a_project_renews_lasts_from_its_last_phase() -> None:
    project = DatedProject("new pump", 1, (600, 400), assets=("pump",))
    # Begun in 1 and done in 2, so that it fails in 5 and in 8.
    futures = draw_futures(plan_of([project], [pump()]), Drawing())
    assert spent_of(futures) == [0, 600, 400, 0, 0, 800, 0, 0, 800, 0]
    assert futures.early == {"new pump": 0}


def test_a_second_project_of_an_asset_takes_its_next_failure() -> None:
    projects = [DatedProject(f"{year}", year, (1000 + year,), assets=("pump",)) for year in (1, 7)]
    # Renewed in 1, failing in 4: the project of 7 is done then, and nothing is planned for 7, when it fails again.
    futures = draw_futures(plan_of(projects, [pump()], 8), Drawing())
    assert spent_of(futures) == [0, 1001, 0, 0, 1007, 0, 0, 800]
    assert futures.early == {"1": 0, "7": futures.count}


@pytest.mark.parametrize(
    ("several", "expected"),
    [("each_asset", [0, 0, 251, 0, 0, 752]), ("whole_project", [0, 0, 1003, 0, 0, 0])],
)
def test_of_several_assets_the_part_that_fails_is_done(several: str, expected: list[int]) -> None:
    valve = LivingAsset("valve", cost_minor=2400)
    once = pump(renewed=Triangular(30, 40, 50))
    project = DatedProject("pumps", 5, (1003,), assets=("valve", "pump"))
    futures = draw_futures(plan_of([project], [once, valve], 6), Drawing(several=several))  # type: ignore[arg-type]
    assert spent_of(futures) == expected


def test_what_is_older_than_its_longest_life_fails_at_once() -> None:
    assert spent_of(draw_futures(plan_of([], [pump(since=-9)], 4), Drawing())) == [800, 0, 0, 800]


def test_what_nobody_knows_the_age_of_is_left_as_dated_until_it_is_renewed() -> None:
    unknown = pump(present=None)
    assert spent_of(draw_futures(plan_of([], [unknown]), Drawing())) == [0] * 10
    project = DatedProject("new pump", 5, (900,), assets=("pump",))
    assert spent_of(draw_futures(plan_of([project], [unknown]), Drawing())) == [
        *[0] * 5, 900, 0, 0, 800, 0
    ]  # fmt: skip


def test_a_project_by_its_assets_costs_what_they_turn_out_to_cost() -> None:
    span = Triangular(50, 100, 150)
    assets = [
        LivingAsset(key, cost_minor=cost, cost_percent=span) for key, cost in (("a", 10_000), ("b", 50_000))
    ]
    every = [("a", "b"), ("a",), ("b",)]

    def cost_of(keys: tuple[str, ...]) -> Ints:
        members = [one for one in assets if one.key in keys]
        cost = sum(one.cost_minor or 0 for one in members)
        project = DatedProject("p", 0, (cost,), assets=keys, by_assets=True)
        return draw_futures(plan_of([project], members), Drawing()).spending[0]

    both, first, second = map(cost_of, every)
    assert np.abs(both - first - second).max() <= 1
    assert both.std() > 0


def test_growth_and_interest_are_common_to_a_whole_future() -> None:
    project = [DatedProject(f"{year}", year, (10_000_000,)) for year in (0, 10)]
    points = Triangular(-2, 0, 2)
    futures = draw_futures(plan_of(project, [], 11), Drawing(growth_points=points))
    assert (futures.spending[0] == 10_000_000).all()
    assert np.unique(futures.spending[10]).size > 900
    earning = replace(plan_of([], [], 2), interest=InterestTerms(Decimal(3)))
    first, second = draw_futures(earning, Drawing(interest_points=points)).closing
    assert np.unique(first).size > 900
    rates = first / 1_000_000 - 1
    assert np.abs(second - first * (1 + rates)).max() <= 1


def refused(words: str, call) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(ValueError, match=words):
        call()


def test_what_makes_no_sense_is_refused() -> None:
    project, asset = DatedProject("a", 0, (1,)), LivingAsset("a")
    refused("about 100", lambda: LivingAsset("a", cost_percent=Triangular(80, 90, 120)))
    refused("about 100", lambda: DatedProject("a", 0, (1,), cost_percent=Triangular(100, 110, 120)))
    refused("about 0", lambda: Drawing(growth_points=Triangular(1, 2, 3)))
    refused("a life above zero", lambda: LivingAsset("a", present=Triangular(0, 1, 2)))
    refused("from which its present life counts", lambda: LivingAsset("a", present=Triangular(1, 2, 3)))
    refused("phases of zero or more", lambda: DatedProject("a", 0, ()))
    refused("phases of zero or more", lambda: DatedProject("a", 0, (-1,)))
    refused("from 100 to 20000", lambda: Drawing(99))
    refused("from 100 to 20000", lambda: Drawing(20_001))
    refused("each key once", lambda: plan_of([project, project], []))
    refused("each key once", lambda: plan_of([], [asset, asset]))
    refused("each key once", lambda: plan_of([replace(project, assets=("a", "a"))], [asset]))
    refused("assets of the plan", lambda: plan_of([replace(project, assets=("b",))], [asset]))
    refused("a year of the plan", lambda: plan_of([replace(project, begins=10)], []))
    drawing = Drawing(growth_points=Triangular(-60, 0, 1), interest_points=None)
    refused("growth: expected from -50", lambda: draw_futures(plan_of([project], []), drawing))
    earning = replace(plan_of([], []), interest=InterestTerms(Decimal(99)))
    refused(
        "interest: expected from -50",
        lambda: draw_futures(earning, Drawing(interest_points=Triangular(0, 0, 2))),
    )


def test_amounts_beyond_what_can_be_rounded_are_refused() -> None:
    huge = DatedProject("a", 9, (10**15,), Decimal(100))
    refused("one grows beyond", lambda: draw_futures(plan_of([huge], []), Drawing()))
    earning = UncertainPlan(4 * 10**15, [Flows()] * 40, InterestTerms(Decimal(100)), 0, [], [])
    refused("one grows beyond", lambda: draw_futures(earning, Drawing()))
