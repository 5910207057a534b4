"""Percentiles, means and contingencies of trials, with the error of sampling that they state."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats
from swardcost_api.engine.risk.outcomes import Outcomes

amounts = st.lists(st.integers(-(10**15), 10**15), min_size=2, max_size=60).map(
    lambda one: np.array(one, dtype=np.int64)
)


@given(totals=amounts, percent=st.floats(0.1, 99.9))
def test_a_percentile_is_the_least_trial_that_enough_trials_do_not_exceed(
    totals: np.ndarray, percent: float
) -> None:
    found = Outcomes(totals).percentile(percent)
    assert found.amount_minor == int(np.quantile(totals, percent / 100, method="inverted_cdf"))
    assert found.low_minor is None or found.low_minor <= found.amount_minor
    assert found.high_minor is None or found.amount_minor <= found.high_minor
    assert found.coverage >= 0.95 or found.low_minor is None or found.high_minor is None


@given(totals=amounts)
def test_the_mean_is_exact_in_its_sum(totals: np.ndarray) -> None:
    mean = Outcomes(totals).mean
    assert mean.mean_minor == pytest.approx(sum(int(one) for one in totals) / len(totals), rel=1e-12, abs=1)
    assert mean.deviation_minor == pytest.approx(
        float(np.std(totals.astype(float), ddof=1)), rel=1e-9, abs=1e-3
    )
    assert mean.standard_error_minor == pytest.approx(mean.deviation_minor / math.sqrt(len(totals)))


@given(totals=amounts, points=st.integers(2, 40))
def test_the_curve_rises_from_the_least_trial_to_the_greatest(totals: np.ndarray, points: int) -> None:
    outcomes = Outcomes(totals)
    curve = outcomes.curve(points)
    assert len(curve) == points
    assert curve[0] == (0, int(totals.min()))
    assert curve[-1] == (100, int(totals.max()))
    assert list(curve) == sorted(curve)
    for percent, amount in curve[1:]:
        assert outcomes.confidence_of(amount) >= percent - 1e-9


def test_whole_ranks_are_not_missed_by_binary_dust() -> None:
    outcomes = Outcomes(np.arange(1, 101))
    assert [outcomes.percentile(float(percent)).amount_minor for percent in range(1, 100)] == list(
        range(1, 100)
    )
    assert [one.amount_minor for one in outcomes.percentiles()] == [10, 50, 80, 90]


def test_an_interval_without_enough_trials_has_an_open_end() -> None:
    found = Outcomes(np.arange(20)).percentile(95)
    assert (found.amount_minor, found.high_minor) == (18, None)
    assert Outcomes(np.arange(20)).percentile(5).low_minor is None


@pytest.mark.parametrize("percent", [10.0, 50.0, 80.0, 90.0])
def test_intervals_hold_the_true_percentile_as_often_as_they_say(percent: float) -> None:
    """400 samples of 500: how often the interval holds the truth lies within four standard errors of its coverage."""
    source, truth, held, runs = (
        np.random.Generator(np.random.PCG64DXSM(1)),
        stats.norm.ppf(percent / 100) * 10**6,
        0,
        400,
    )
    for _ in range(runs):
        found = Outcomes(np.rint(source.standard_normal(500) * 10**6).astype(np.int64)).percentile(percent)
        assert found.low_minor is not None
        assert found.high_minor is not None
        held += found.low_minor <= truth <= found.high_minor
    assert abs(held / runs - found.coverage) < 4 * math.sqrt(found.coverage * (1 - found.coverage) / runs)


def test_a_contingency_is_the_percentile_less_the_base_with_its_interval() -> None:
    outcomes = Outcomes(np.arange(1_000, 2_000))
    found, percentile = outcomes.contingency(80, 1_500), outcomes.percentile(80)
    assert (found.amount_minor, found.base_minor) == (299, 1_500)
    assert percentile.low_minor is not None
    assert percentile.high_minor is not None
    assert (found.low_minor, found.high_minor) == (
        percentile.low_minor - 1_500,
        percentile.high_minor - 1_500,
    )
    assert outcomes.contingency(20, 1_500).amount_minor == -301
    assert outcomes.confidence_of(1_500 + found.amount_minor) == 80


def test_what_cannot_be_asked_is_refused() -> None:
    outcomes = Outcomes(np.arange(10))
    for ask in (
        lambda: Outcomes(np.array([1])), lambda: outcomes.percentile(0), lambda: outcomes.percentile(100),
        lambda: outcomes.percentile(50, 1.0), lambda: outcomes.curve(1),
    ):  # fmt: skip
        with pytest.raises(ValueError, match="expected"):
            ask()
