"""Ranges hold what they state: ends, moments and an inverse that inverts."""

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats
from swardcost_api.engine.risk.ranges import Lognormal, OwnHistory, Pert, Range, Triangular, Uniform

SHARES = np.concatenate([[0.0, 1e-9, 1e-4], np.linspace(0.0009, 0.9991, 20_011), [1 - 1e-4, 1 - 1e-9, 1.0]])
RANGES: list[Range] = [
    Triangular(0.8, 1.0, 1.4), Triangular(1.0, 1.0, 2.0), Triangular(-3.0, 2.0, 2.0), Pert(0.8, 1.0, 1.4),
    Pert(0.0, 0.0, 7.0), Pert(5.0, 9.0, 9.0), Uniform(0.5, 1.5), Lognormal(1.1, 1.3), Lognormal.from_p10_p90(0.9, 1.25),
    OwnHistory((0.8, 1.4, 1.0, 1.05, 2.1)),
]  # fmt: skip


@pytest.mark.parametrize("of", RANGES, ids=repr)
def test_the_inverse_rises_and_its_moments_are_those_stated(of: Range) -> None:
    """Moments as integrals of the inverse over shares, by the rule of the middle; sampling has its own test."""
    middles = (np.arange(400_000) + 0.5) / 400_000
    found = of.quantile(middles)
    assert np.all(np.diff(found) >= -1e-12)
    assert math.isclose(found.mean(), of.mean, rel_tol=2e-5)
    assert math.isclose(found.var(), of.variance, rel_tol=1e-3)


@pytest.mark.parametrize("of", RANGES, ids=repr)
def test_drawn_figures_have_the_mean_and_variance_stated_within_four_standard_errors(of: Range) -> None:
    count = 40_000
    drawn = of.quantile(np.random.Generator(np.random.PCG64DXSM(20_260_907)).random(count))
    assert abs(drawn.mean() - of.mean) < 4 * math.sqrt(of.variance / count)
    fourth = float(np.mean((drawn - of.mean) ** 4))
    assert abs(drawn.var() - of.variance) < 4 * math.sqrt((fourth - of.variance**2) / count)


@pytest.mark.parametrize(
    ("of", "reference"),
    [
        (Triangular(0.8, 1.0, 1.4), stats.triang(1 / 3, 0.8, 0.6)),
        (Triangular(1.0, 1.0, 2.0), stats.triang(0, 1, 1)),
        (Pert(0.8, 1.0, 1.4), stats.beta(1 + 4 / 3, 1 + 8 / 3, 0.8, 0.6)),
        (Pert(0.0, 0.0, 1.0), stats.beta(1, 5)),
        (Pert(0.0, 0.99, 1.0), stats.beta(4.96, 1.04)),
        (Uniform(0.5, 1.5), stats.uniform(0.5, 1.0)),
        (Lognormal(1.1, 1.3), stats.lognorm(math.log(1.3), scale=1.1)),
    ],
)
def test_figures_mean_and_variance_are_those_of_an_independent_library(of: Range, reference: Any) -> None:
    inner = SHARES[1:-1]
    np.testing.assert_allclose(of.quantile(inner), reference.ppf(inner), rtol=0, atol=1e-7)
    assert math.isclose(of.mean, reference.mean(), rel_tol=1e-12)
    assert math.isclose(of.variance, reference.var(), rel_tol=1e-9)


def test_a_history_is_resampled_by_interpolated_quantiles() -> None:
    ratios = (0.8, 1.4, 1.0, 1.05, 2.1)
    np.testing.assert_allclose(OwnHistory(ratios).quantile(SHARES), np.quantile(ratios, SHARES), rtol=1e-13)
    assert OwnHistory.of([80, 140], [100, 100]).ratios == (0.8, 1.4)


def test_ends_are_the_ends() -> None:
    for of in RANGES:
        if not isinstance(of, Lognormal):
            assert of.quantile(np.array([0.0, 1.0])).tolist() == pytest.approx([of.low, of.high], abs=1e-12)
    lognormal = Lognormal.from_p10_p90(0.9, 1.25)
    assert lognormal.quantile(np.array([0.1, 0.5, 0.9])) == pytest.approx([0.9, math.sqrt(0.9 * 1.25), 1.25])
    assert (lognormal.low, lognormal.high) == pytest.approx((0.9, 1.25))
    assert lognormal.stated_by == "P10 and P90"
    assert np.isfinite(lognormal.quantile(np.array([0.0, 1.0]))).all()


@given(value=st.floats(1e-6, 1e9))
def test_a_range_without_width_is_exactly_its_likely_figure(value: float) -> None:
    for of in (
        Triangular(value, value, value), Pert(value, value, value), Uniform(value, value), Lognormal(value, 1.0),
        Lognormal.from_p10_p90(value, value), OwnHistory((value, value, value)),
    ):  # fmt: skip
        assert set(of.quantile(SHARES[::500]).tolist()) == {value}
        assert (of.mean, of.variance, of.likely) == (value, 0.0, value)


@pytest.mark.parametrize(
    "make",
    [
        lambda: Triangular(1, 0.9, 2), lambda: Pert(1, 3, 2), lambda: Uniform(2, 1), lambda: Uniform(0, math.inf),
        lambda: Triangular(math.nan, 1, 2), lambda: Lognormal(0, 1.2), lambda: Lognormal(1, 0.9),
        lambda: Lognormal.from_p10_p90(2, 1), lambda: OwnHistory((1.0,)), lambda: OwnHistory((1.0, -0.1)),
        lambda: OwnHistory.of([1], [0]), lambda: OwnHistory.of([1, 2], [1]),
    ],
)  # fmt: skip
def test_what_is_no_range_is_refused(make: Any) -> None:
    with pytest.raises(ValueError, match="expected"):
        make()
