"""Draws come again from their seed, each name on its own, and go together as their causes say."""

import math

import numpy as np
import pytest
from scipy import stats
from swardcost_api.engine.risk.correlation import (
    own_load,
    rank_correlation,
    rank_correlations,
    score_correlation,
)
from swardcost_api.engine.risk.ranges import Lognormal, Pert, Triangular, Uniform
from swardcost_api.engine.risk.sampling import Event, Uncertain, draw_blocks, open_blocks, stream

FIGURES = [
    Uncertain("sand price", Triangular(0.9, 1.0, 1.3), {"fuel": 0.5}),
    Uncertain("hauling", Pert(0.8, 1.0, 1.5), {"fuel": 0.8}),
    Uncertain("pace", Uniform(0.7, 1.1), {"weather": -0.6, "wages": 0.3}),
    Uncertain("depth", Lognormal(1.0, 1.2)),
]
EVENTS = [
    Event("pump fails", 0.15, Triangular(2_000, 4_000, 9_000)),
    Event("rain", 0.4, Uniform(100, 200), {"weather": 1.0}),
]


def drawn(
    figures: list[Uncertain], events: list[Event], seed: int = 4, trials: int = 1_000, block: int = 20_000
) -> dict[str, bytes]:
    blocks = list(draw_blocks(figures, events, seed=seed, trials=trials, block=block))
    found = {one.name: np.concatenate([b.figures[one.name] for b in blocks]).tobytes() for one in figures}
    return found | {one.name: np.concatenate([b.costs[one.name] for b in blocks]).tobytes() for one in events}


@pytest.mark.parametrize("block", [1, 3, 128, 999, 5_000])
def test_the_same_seed_gives_the_same_bytes_whatever_the_block(block: int) -> None:
    assert drawn(FIGURES, EVENTS, block=block) == drawn(FIGURES, EVENTS)


def test_another_seed_gives_other_figures() -> None:
    one, other = drawn(FIGURES, EVENTS, seed=4), drawn(FIGURES, EVENTS, seed=5)
    assert all(one[name] != other[name] for name in one)


def test_a_figure_more_or_another_order_changes_no_other_draw() -> None:
    whole = drawn(FIGURES, EVENTS)
    fewer = drawn([FIGURES[3], FIGURES[1]], [EVENTS[1]])
    assert fewer == {name: whole[name] for name in fewer}
    more = drawn(
        [Uncertain("another", Uniform(0, 1), {"fuel": 0.2, "strikes": 0.1}), *reversed(FIGURES)], EVENTS
    )
    assert {name: more[name] for name in whole} == whole


def test_streams_of_alike_names_of_different_kinds_are_their_own() -> None:
    first, second = (stream(1, kind, "fuel").random(4).tolist() for kind in ("cause", "figure"))
    assert not set(first) & set(second)


@pytest.mark.parametrize(("one", "other"), [(0, 1), (0, 2), (0, 3), (1, 2)])
def test_ranks_go_together_as_the_loads_say(one: int, other: int) -> None:
    """Within four standard errors, each about 1.06 / sqrt(n) at most (Fieller and others, Biometrika 44, 1957)."""
    count = 40_000
    (block,) = draw_blocks(FIGURES, seed=8, trials=count, block=count)
    found = stats.spearmanr(*(block.figures[FIGURES[place].name] for place in (one, other))).statistic
    expected = rank_correlation(FIGURES[one].loads, FIGURES[other].loads)
    assert abs(found - expected) < 4 * 1.06 / math.sqrt(count)


def test_a_full_load_is_the_cause_itself() -> None:
    (block,) = draw_blocks(
        [Uncertain("a", Uniform(0, 1), {"c": 1.0}), Uncertain("b", Uniform(0, 1), {"c": -1.0})],
        seed=1,
        trials=500,
    )
    np.testing.assert_allclose(block.figures["a"], 1 - block.figures["b"], atol=1e-12)


def test_the_variance_of_a_sum_of_correlated_normal_scores_is_the_closed_form() -> None:
    """Figures that are lognormal have normal logarithms: Var(sum) = sum of variances + 2 x correlation x deviations."""
    loads = [{"fuel": 0.5}, {"fuel": 0.8, "wages": 0.2}, {"wages": -0.7}]
    figures = [
        Uncertain(str(place), Lognormal(1.0, math.exp(0.1 * (place + 1))), one)
        for place, one in enumerate(loads)
    ]
    count = 40_000
    (block,) = draw_blocks(figures, seed=2, trials=count, block=count)
    total = sum(np.log(block.figures[one.name]) for one in figures)
    assert isinstance(total, np.ndarray)
    deviations = [0.1, 0.2, 0.3]
    variance = sum(one * one for one in deviations) + 2 * sum(
        score_correlation(loads[i], loads[j]) * deviations[i] * deviations[j]
        for i in range(3)
        for j in range(i)
    )
    assert abs(total.mean()) < 4 * math.sqrt(variance / count)
    assert abs(total.var() - variance) < 4 * variance * math.sqrt(2 / count)


@pytest.mark.parametrize("event", EVENTS)
def test_events_happen_as_often_and_cost_as_much_as_stated(event: Event) -> None:
    count = 40_000
    (block,) = draw_blocks([], EVENTS, seed=6, trials=count, block=count)
    costs, happened = block.costs[event.name], block.happened[event.name]
    spread = math.sqrt(event.probability * (1 - event.probability) / count)
    assert abs(happened.mean() - event.probability) < 4 * spread
    assert abs(costs.mean() - event.mean) < 4 * math.sqrt(event.variance / count)
    assert not costs[~happened].any()


def test_an_event_happens_where_its_cause_is_high() -> None:
    wet = Uncertain("days lost", Uniform(0, 1), {"weather": 1.0})
    (block,) = draw_blocks([wet], [EVENTS[1]], seed=3, trials=2_000)
    assert (block.figures["days lost"] >= 1 - 0.4).tolist() == block.happened["rain"].tolist()


def test_certain_and_impossible_events() -> None:
    events = [Event("surely", 1.0, Uniform(5, 5)), Event("never", 0.0, Uniform(5, 5))]
    (block,) = draw_blocks([], events, seed=3, trials=2_000)
    assert set(block.costs["surely"]) == {5.0}
    assert set(block.costs["never"]) == {0.0}


def test_loads_that_cannot_be_are_refused() -> None:
    with pytest.raises(ValueError, match="sum to at most 1"):
        Uncertain("x", Uniform(0, 1), {"a": 0.8, "b": 0.7})
    with pytest.raises(ValueError, match="from -1 to 1"):
        Event("x", 0.5, Uniform(0, 1), {"a": -1.01})
    assert own_load({"a": 0.6, "b": 0.8}) == 0
    assert own_load({"a": 0.6}) == pytest.approx(0.8)
    assert rank_correlations([{"a": 1.0}, {"a": 1.0}, {}]).tolist() == [[1, 1, 0], [1, 1, 0], [0, 0, 1]]


def test_draws_that_cannot_be_are_refused() -> None:
    for seed, trials, block, figures in (
        (-1, 5, 5, FIGURES),
        (1, 0, 5, FIGURES),
        (1, 5, 0, FIGURES),
        (1, 5, 5, FIGURES * 2),
    ):
        with pytest.raises(ValueError, match="expected"):
            draw_blocks(figures, seed=seed, trials=trials, block=block)
    with pytest.raises(ValueError, match="from 0 to 1"):
        Event("x", 1.2, Uniform(0, 1))
    with pytest.raises(ValueError, match="not empty"):
        Uncertain(" ", Uniform(0, 1))
    first, second = open_blocks(FIGURES, seed=1, trials=10, block=5)
    first.figure("depth")
    with pytest.raises(ValueError, match="once in each block"):
        first.figure("depth")
    with pytest.raises(ValueError, match="once in each block"):
        second.figure("pace")
