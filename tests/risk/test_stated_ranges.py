"""Each stated range as the engine draws it: the figures that were stated stand where they were stated, as factors."""

from decimal import Decimal

import numpy as np
import pytest
from swardcost_api.risk.ranges import factor_range
from swardcost_model.uncertainty import (
    EvenRange,
    HistoryRange,
    SkewedRange,
    SpreadRange,
    StatedRange,
    ThreePoints,
)

LOW, MIDDLE, HIGH = Decimal(80), Decimal(100), Decimal(150)


@pytest.mark.parametrize(
    ("stated", "shares", "figures"),
    [
        (ThreePoints(shape="triangular", low=LOW, likely=MIDDLE, high=HIGH), [0, 2 / 7, 1], [0.8, 1, 1.5]),
        (ThreePoints(shape="pert", low=LOW, likely=LOW, high=HIGH), [0, 1], [0.8, 1.5]),
        (EvenRange(shape="uniform", low=LOW, high=HIGH), [0, 0.5, 1], [0.8, 1.15, 1.5]),
        (SkewedRange(shape="lognormal", p10=LOW, p90=HIGH), [0.1, 0.9], [0.8, 1.5]),
        (
            SpreadRange(shape="lognormal_by_spread", median=MIDDLE, spread=Decimal("1.25")),
            [0.1586552539314571, 0.5, 0.8413447460685429],
            [0.8, 1, 1.25],
        ),
        (HistoryRange(shape="history", figures=[HIGH, LOW, MIDDLE]), [0, 0.25, 0.5, 1], [0.8, 0.9, 1, 1.5]),
    ],
    ids=lambda one: getattr(one, "shape", ""),
)
def test_percent_of_every_shape_are_factors_with_the_stated_figures(
    stated: StatedRange, shares: list[float], figures: list[float]
) -> None:
    found = factor_range(stated, 100.0, above_zero=True)
    assert found.quantile(np.array(shares, dtype=np.float64)) == pytest.approx(figures)


def test_three_points_weigh_the_likely_figure_more_where_they_are_stated_so() -> None:
    """Means of the closed forms: (a + b + c) / 3 with straight sides, (a + 4 b + c) / 6 where the likely one weighs."""
    straight, weighed = (
        factor_range(ThreePoints(shape=shape, low=LOW, likely=MIDDLE, high=HIGH), 100.0, above_zero=True).mean
        for shape in ("triangular", "pert")
    )
    assert straight == pytest.approx((0.8 + 1 + 1.5) / 3)
    assert weighed == pytest.approx((0.8 + 4 + 1.5) / 6)


def test_figures_that_no_factor_can_be_are_refused_with_what_was_expected() -> None:
    none_at_least = EvenRange(shape="uniform", low=Decimal(0), high=HIGH)
    assert factor_range(none_at_least, 100.0, above_zero=False).low == 0
    with pytest.raises(ValueError, match="figures above zero"):
        factor_range(none_at_least, 100.0, above_zero=True)
    with pytest.raises(ValueError, match="figures below 1,000,000 times"):
        factor_range(EvenRange(shape="uniform", low=LOW, high=HIGH), 0.0001, above_zero=False)
