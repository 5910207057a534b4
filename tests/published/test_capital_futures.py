"""Simulated futures of capital plans against closed forms and published intervals."""

import math
from decimal import Decimal

import numpy as np
import pytest
from scipy import integrate, stats
from swardcost_api.engine.capital.fan import Probability
from swardcost_api.engine.capital.futures import draw_futures, project_percents
from swardcost_api.engine.capital.futures_funding import enough_more
from swardcost_api.engine.capital.lives_drawn import share_below, whole_years
from swardcost_api.engine.capital.reserve import Flows, InterestTerms
from swardcost_api.engine.capital.uncertain_plans import (
    DatedProject,
    Drawing,
    LivingAsset,
    UncertainPlan,
)
from swardcost_api.engine.risk.ranges import Triangular

FUTURES = 20_000
LIFE = Triangular(6, 10, 20)


@pytest.mark.parametrize(
    ("count", "of", "low", "high"),
    # Newcombe, Two-sided confidence intervals for the single proportion, Statistics in Medicine 17 (1998), table I,
    # method 3, the score interval without continuity correction (values from memory).
    [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611), (1, 29, 0.0061, 0.1718)],
)
def test_intervals_of_a_probability_are_the_published_ones(
    count: int, of: int, low: float, high: float
) -> None:
    assert Probability(count, of).interval == pytest.approx((low, high), abs=0.00005)


@pytest.mark.parametrize(("count", "of"), [(0, 100), (3, 100), (500, 1000), (19_999, 20_000), (100, 100)])
def test_intervals_of_a_probability_agree_with_another_library(count: int, of: int) -> None:
    found = stats.binomtest(count, of).proportion_ci(method="wilson")
    assert Probability(count, of).interval == pytest.approx((found.low, found.high), abs=1e-12)


def test_drawn_costs_have_the_mean_variance_and_quantiles_of_a_triangle() -> None:
    """Johnson, Kotz and Balakrishnan, volume 2, 26.9.

    Mean (a + b + c) / 3, variance (a^2 + b^2 + c^2 - ab - ac - bc) / 18.
    """
    low, high = 80.0, 150.0
    project = DatedProject("a", 0, (10_000_00,), cost_percent=Triangular(low, 100, high))
    plan = UncertainPlan(0, [Flows()], InterestTerms(), 0, [project], [])
    percents = project_percents(Drawing(FUTURES), plan, project)
    assert percents is not None
    costs = draw_futures(plan, Drawing(FUTURES)).spending[0]
    assert np.abs(costs - 100 * (percents / 10_000) * 100).max() <= 0.5 + 1e-6
    mean = (low + 100 + high) / 3
    variance = (low**2 + 100**2 + high**2 - low * 100 - low * high - 100 * high) / 18
    assert costs.mean() / 10_000 == pytest.approx(mean, abs=4 * math.sqrt(variance / FUTURES))
    assert costs.var() / 10_000**2 == pytest.approx(variance, rel=0.04)
    found = stats.kstest(percents / 10_000, stats.triang((100 - low) / (high - low), low, high - low).cdf)
    assert found.pvalue > 0.001


def test_a_mode_splits_a_triangle_by_its_place() -> None:
    # (c - a) / (b - a) of the area lies below the mode, and half of it below a + sqrt((b - a)(c - a) / 2) where the
    # mode is in the upper half (the closed form of the median).
    assert share_below(LIFE, 10) == pytest.approx(4 / 14)
    upper = Triangular(10, 40, 50)
    assert share_below(upper, 10 + math.sqrt(40 * 30 / 2)) == pytest.approx(0.5)


@pytest.mark.parametrize("lived", [0, 5, 8, 13, 19])
def test_lives_beyond_those_lived_have_the_mean_of_the_rest_of_the_triangle(lived: int) -> None:
    """The mean of whole years by integrating the density of a triangle from the years lived on."""
    drawn = whole_years(LIFE, (np.arange(FUTURES) + 0.5) / FUTURES, lived)
    triangle = stats.triang(4 / 14, 6, 14)
    survives = triangle.sf(lived)
    # A mean of whole numbers above `lived` is lived + the sum of the shares that are beyond each year.
    expected = lived + sum(triangle.sf(year) for year in range(lived, 20)) / survives
    assert drawn.mean() == pytest.approx(expected, abs=0.001)
    assert drawn.min() > lived
    rest, _ = integrate.quad(triangle.sf, lived, 20)
    assert lived + rest / survives <= expected <= lived + rest / survives + 1


def test_a_pump_fails_in_each_year_as_often_as_its_life_says() -> None:
    """Put in use eight years before the plan: P(fails in year t) = (F(t + 9) - F(t + 8)) / (1 - F(8)) from 0."""
    pump = LivingAsset("pump", -9, LIFE, Triangular(60, 70, 80), 1000)
    plan = UncertainPlan(0, [Flows()] * 11, InterestTerms(), 0, [], [pump])
    fails = (draw_futures(plan, Drawing(FUTURES)).spending > 0).sum(axis=1)
    triangle = stats.triang(4 / 14, 6, 14)
    for year, count in enumerate(fails):
        share = (triangle.cdf(year + 9) - triangle.cdf(year + 8)) / triangle.sf(8)
        assert stats.binomtest(int(count), FUTURES, share).pvalue > 0.0005
        low, high = Probability(int(count), FUTURES).interval
        assert low - 0.005 < share < high + 0.005


def test_two_years_by_hand() -> None:
    """A reserve of 1,000 and a project of 900 in the second year that costs from 100 to 140 percent, without interest.

    The floor is missed where the project costs more than 1,000, that is 111.1 percent of 900. Of a triangle that falls
    from 100 to 140 the part above x is (140 - x)^2 / 40^2, here 0.5216. A tenth lies above 140 - 40 sqrt(0.1) = 127.351
    percent, or 1,146.16, so that 73.08 more in each of the two years is needed to fall short in a tenth of the futures.
    """
    project = DatedProject("a", 1, (90_000,), cost_percent=Triangular(100, 100, 140))
    plan = UncertainPlan(100_000, [Flows(), Flows()], InterestTerms(), 0, [project], [])
    futures = draw_futures(plan, Drawing(FUTURES))
    short = Probability(int((futures.closing[1] < 0).sum()), FUTURES)
    assert not (futures.closing[0] != 100_000).any()
    assert stats.binomtest(short.count, FUTURES, ((140 - 1000 / 9) / 40) ** 2).pvalue > 0.001
    found = enough_more(plan, futures, Decimal(10))
    exact = (900 * (1.4 - 0.4 * math.sqrt(0.1)) - 1000) / 2
    assert exact == pytest.approx(73.08, abs=0.005)
    # The density there is 2 sqrt(0.1) / 40 a percent; four standard errors of that quantile.
    error = 4 * math.sqrt(0.1 * 0.9 / FUTURES) / (2 * math.sqrt(0.1) / 40) * 9 / 2
    assert found.more_minor / 100 == pytest.approx(exact, abs=error)
    assert found.with_it.count == found.allowed == FUTURES // 10


def test_a_growing_cost_and_a_level_income_by_hand() -> None:
    """Costs of 500 in each of three years grow by 3 percent and from 0 to 2 points more; 520 comes in, 10 are there.

    Without points the balances are 30, 35 and 24.55; with all two points 30, 25 and -6.25. The third year is short
    where 1 + g + g^2 > 3.14 with g = 1 + (3 + s) / 100, that is above g = (sqrt(1 + 4 x 2.14) - 1) / 2 = 1.04596, so
    where s is above 1.596 points; of a triangle that falls from 0 to 2 that part is (0.404 / 2)^2 = 0.0408.
    """
    projects = [DatedProject(f"{year}", year, (50_000,), Decimal(3)) for year in range(3)]
    plan = UncertainPlan(1_000, [Flows(52_000)] * 3, InterestTerms(), 0, projects, [])
    futures = draw_futures(plan, Drawing(FUTURES, growth_points=Triangular(0, 0, 2)))
    assert futures.closing.max(axis=1).tolist()[0] == 3_000
    assert 3_490 <= futures.closing[1].max() <= 3_500
    edge = 100 * ((math.sqrt(1 + 4 * 2.14) - 1) / 2 - 1) - 3
    assert stats.binomtest(int((futures.closing[2] < 0).sum()), FUTURES, ((2 - edge) / 2) ** 2).pvalue > 0.001
