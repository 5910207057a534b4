"""Sums of ranges, percentiles and rank correlations as published; the source stands beside each check."""

import math

import numpy as np
import pytest
from scipy import special, stats
from swardcost_api.engine.risk.correlation import rank_correlation
from swardcost_api.engine.risk.influence import influences
from swardcost_api.engine.risk.outcomes import Outcomes
from swardcost_api.engine.risk.ranges import Pert, Triangular, Uniform
from swardcost_api.engine.risk.sampling import Uncertain, draw_blocks

TRIALS = 40_000
SCALE = 10**6
GOLDEN = (5**0.5 - 1) / 2


def sums(figures: list[Uncertain], seed: int = 7) -> np.ndarray:
    (block,) = draw_blocks(figures, seed=seed, trials=TRIALS, block=TRIALS)
    return np.sum([block.figures[one.name] for one in figures], axis=0)


@pytest.mark.parametrize(
    ("count", "percent", "amount"),
    [
        (2, 12.5, 0.5), (2, 50, 1.0), (2, 87.5, 1.5),
        (3, 100 / 6, 1.0), (3, 50, 1.5), (3, 500 / 6, 2.0),
        (4, 100 / 24, 1.0), (4, 50, 2.0), (4, 2_300 / 24, 3.0),
    ],
)  # fmt: skip
def test_percentiles_of_sums_of_uniforms(count: int, percent: float, amount: float) -> None:
    """Irwin, Biometrika 19 (1927), and Hall, the same volume: F(x) = 1/n! x sum of (-1)^k C(n,k) (x - k)^n for k <= x;
    so F is 1/8, 1/2, 7/8 for two; 1/6, 1/2, 5/6 for three; 1/24, 1/2, 23/24 for four. The interval that is stated for
    sampling error, taken at four standard errors, holds the value."""
    below = sum((-1) ** k * math.comb(count, k) * max(amount - k, 0) ** count for k in range(count))
    assert below / math.factorial(count) == pytest.approx(percent / 100)
    drawn = sums([Uncertain(str(number), Uniform(0, 1)) for number in range(count)])
    found = Outcomes(np.rint(drawn * SCALE).astype(np.int64)).percentile(percent, confidence=0.99994)
    assert found.low_minor is not None
    assert found.high_minor is not None
    assert found.low_minor <= amount * SCALE <= found.high_minor


def test_twelve_uniforms_have_the_variance_of_one() -> None:
    """The sum of twelve uniforms less six has mean 0 and variance 1 (common practice for making normal numbers)."""
    ranges = [Uniform(0, 1) for _ in range(12)]
    assert sum(one.mean for one in ranges) - 6 == pytest.approx(0)
    assert sum(one.variance for one in ranges) == pytest.approx(1)
    drawn = sums([Uncertain(str(number), one) for number, one in enumerate(ranges)])
    assert abs(drawn.mean() - 6) < 4 / math.sqrt(TRIALS)
    assert abs(drawn.var() - 1) < 4 * math.sqrt((2 - 0.1) / TRIALS)


def test_the_sum_of_two_triangulars_with_a_common_cause_has_the_variance_of_its_integral() -> None:
    """Var(X + Y) = Var X + Var Y + 2 (E[X Y] - E X E Y), with E[X Y] over two correlated normal scores by Gauss-Hermite
    quadrature of scipy's own triangular distribution."""
    first, second = Triangular(0.8, 1.0, 1.6), Triangular(0.5, 1.2, 1.3)
    correlation = 0.8 * 0.7
    nodes, weights = special.roots_hermitenorm(120)
    weights = weights / weights.sum()
    x = stats.triang.ppf(stats.norm.cdf(nodes), 0.25, 0.8, 0.8)[:, None]
    y = stats.triang.ppf(
        stats.norm.cdf(correlation * nodes[:, None] + math.sqrt(1 - correlation**2) * nodes[None, :]),
        0.875,
        0.5,
        0.8,
    )
    together = float(weights @ (x * y) @ weights)
    variance = first.variance + second.variance + 2 * (together - first.mean * second.mean)
    drawn = sums([Uncertain("a", first, {"fuel": 0.8}), Uncertain("b", second, {"fuel": 0.7})])
    fourth = float(np.mean((drawn - drawn.mean()) ** 4))
    assert abs(drawn.mean() - first.mean - second.mean) < 4 * math.sqrt(variance / TRIALS)
    assert abs(drawn.var() - variance) < 4 * math.sqrt((fourth - variance**2) / TRIALS)
    assert variance > 1.4 * (first.variance + second.variance)


@pytest.mark.parametrize(
    ("count", "low", "high", "coverage"), [(10, 2, 9, 0.9785), (20, 6, 15, 0.9586), (25, 8, 18, 0.9567)]
)
def test_intervals_for_a_median_are_those_of_the_tables(
    count: int, low: int, high: int, coverage: float
) -> None:
    """The order statistics of the two-sided 95 percent sign interval for a median, as tables of it have them (from
    memory; their coverage is the binomial sum, redone here by whole numbers)."""
    found = Outcomes(np.arange(1, count + 1)).percentile(50)
    assert (found.low_minor, found.high_minor) == (low, high)
    assert found.coverage == pytest.approx(coverage, abs=5e-5)
    assert found.coverage == pytest.approx(sum(math.comb(count, k) for k in range(low, high)) / 2**count)


def test_rank_correlation_of_a_worked_example() -> None:
    """Ten pairs whose squared differences of ranks sum to 194, so 1 - 6 x 194 / (10 x 99) = -29/165 (a common worked
    example of the coefficient, from memory)."""
    first = [106, 100, 86, 101, 99, 103, 97, 113, 112, 110]
    second = [7, 27, 2, 50, 28, 29, 20, 12, 6, 17]
    (found,) = influences([("x", np.array(first, dtype=np.float64))], np.array(second))
    assert found.rank_correlation == pytest.approx(-29 / 165, abs=1e-14)


@pytest.mark.parametrize(
    ("loads", "ranks"),
    [((1.0, GOLDEN), 0.6), ((1.0, (6**0.5 - 2**0.5) / 2), 0.5), ((-GOLDEN, 1.0), -0.6), ((1.0, -1.0), -1.0)],
)
def test_rank_correlation_of_normal_scores(loads: tuple[float, float], ranks: float) -> None:
    """Kruskal, JASA 53 (1958): scores of a rank correlation s correlate by 2 sin(pi s / 6); with the exact sines of 18
    and 15 degrees, (sqrt 5 - 1) / 4 and (sqrt 6 - sqrt 2) / 4."""
    assert rank_correlation({"a": loads[0]}, {"a": loads[1]}) == pytest.approx(ranks, abs=1e-12)


def test_mean_of_a_three_point_estimate() -> None:
    """Malcolm and others (1959): (a + 4 m + b) / 6, so 10 for 4, 9 and 20. The variance is that of the beta density,
    (3, 3) where the likely figure is in the middle: 1/28 of the squared width, and not their 1/36."""
    assert Pert(4, 9, 20).mean == pytest.approx(10)
    assert Pert(0, 3, 6).variance == pytest.approx(36 / 28)
