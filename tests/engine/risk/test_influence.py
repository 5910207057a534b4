"""What moves the total is found and named with its share."""

import math

import numpy as np
import pytest
from scipy import stats
from swardcost_api.engine.risk.influence import drawn_again, influences
from swardcost_api.engine.risk.ranges import Triangular, Uniform
from swardcost_api.engine.risk.sampling import Event, Uncertain, draw_blocks

FIGURES = [
    Uncertain("sand price", Triangular(0.9, 1.0, 1.3), {"fuel": 0.5}),
    Uncertain("pace", Uniform(0.7, 1.1), {"weather": -0.6}),
    Uncertain("same", Uniform(1.0, 1.0)),
]
RAIN = Event("rain", 0.3, Uniform(10, 20), {"weather": 0.9})


def test_rank_correlations_are_those_of_an_independent_library_and_shares_sum_to_one() -> None:
    (block,) = draw_blocks(FIGURES, [RAIN], seed=2, trials=3_000)
    totals = np.rint(
        1e5 * block.figures["sand price"] - 4e5 * block.figures["pace"] + 1e3 * block.costs["rain"]
    ).astype(np.int64)
    found = influences(drawn_again(FIGURES, [RAIN], seed=2, trials=3_000, block=700), totals)
    assert [one.name for one in found] == ["pace", "rain", "sand price", "same"]
    drawn = block.figures | block.costs
    for one in found[:3]:
        assert one.rank_correlation == pytest.approx(
            stats.spearmanr(drawn[one.name], totals).statistic, abs=1e-12
        )
    assert (found[3].rank_correlation, found[3].variance_share) == (None, None)
    assert math.fsum(one.variance_share or 0 for one in found) == pytest.approx(1)


def test_a_figure_that_alone_moves_the_total_has_all_of_it() -> None:
    (up, other) = influences([("up", np.arange(50.0)), ("other", np.zeros(50))], np.arange(50) ** 3)
    assert (up.rank_correlation, up.variance_share) == (1, 1)
    assert other.variance_share is None


def test_a_total_that_never_moves_has_no_influences() -> None:
    found = influences([("b", np.arange(5.0)), ("a", np.arange(5.0))], np.full(5, 7))
    assert [(one.name, one.variance_share) for one in found] == [("a", None), ("b", None)]


def test_unlike_numbers_of_trials_are_refused() -> None:
    with pytest.raises(ValueError, match="expected 5 trials; got 4"):
        influences([("a", np.arange(4.0))], np.arange(5))
    with pytest.raises(ValueError, match="at least two"):
        influences([], np.arange(1))
