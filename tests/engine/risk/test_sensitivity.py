"""Totals with one figure, two, or a set of them moved, and the rest as likely."""

from collections.abc import Mapping

import numpy as np
import pytest
from swardcost_api.engine.risk.ranges import Lognormal, Triangular, Uniform
from swardcost_api.engine.risk.sampling import Uncertain
from swardcost_api.engine.risk.sensitivity import grid, scenarios, swings

FIGURES = [
    Uncertain("depth", Triangular(0.5, 1.0, 2.0)),
    Uncertain("price", Uniform(0.9, 1.1)),
    Uncertain("pace", Triangular(0.8, 1.0, 1.0)),
]


def pricing(factors: Mapping[str, np.ndarray]) -> np.ndarray:
    """1,000 of material by depth and price, and 400 of hours by pace, in minor units."""
    found: np.ndarray = np.rint(1_000 * factors["depth"] * factors["price"] + 400 / factors["pace"]).astype(
        np.int64
    )
    return found


def test_swings_are_those_of_one_figure_at_a_time_the_widest_first() -> None:
    found = swings(FIGURES, pricing)
    assert [(one.name, one.low, one.high, one.at_low_minor, one.at_high_minor, one.width_minor) for one in found] == [
        ("depth", 0.5, 2.0, 900, 2_400, 1_500), ("price", 0.9, 1.1, 1_300, 1_500, 200),
        ("pace", 0.8, 1.0, 1_500, 1_400, 100),
    ]  # fmt: skip


def test_the_ends_of_a_range_without_ends_are_p10_and_p90() -> None:
    (found,) = swings(
        [Uncertain("x", Lognormal.from_p10_p90(0.8, 1.25))],
        lambda f: np.rint(f["x"] * 1_000).astype(np.int64),
    )
    assert (found.at_low_minor, found.at_high_minor) == (800, 1_250)


def test_a_grid_has_a_row_for_each_of_the_first_and_a_column_for_each_of_the_second() -> None:
    found = grid(FIGURES, "depth", "price", pricing, second_values=[1.0, 2.0])
    assert found.first_values == (0.5, 1.0, 2.0)
    assert found.totals_minor == ((900, 1_400), (1_400, 2_400), (2_400, 4_400))


def test_scenarios_set_several_figures_at_once() -> None:
    found = scenarios(FIGURES, {"wet autumn": {"pace": 0.8, "depth": 1.5}, "as planned": {}}, pricing)
    assert [(one.name, one.total_minor, one.difference_minor) for one in found] == [
        ("wet autumn", 2_000, 600), ("as planned", 1_400, 0)
    ]  # fmt: skip


def test_names_that_no_figure_has_are_refused() -> None:
    with pytest.raises(ValueError, match="widht: expected one of depth, price, pace"):
        scenarios(FIGURES, {"x": {"widht": 1.0}}, pricing)
    with pytest.raises(ValueError, match="two different figures"):
        grid(FIGURES, "depth", "depth", pricing)
    with pytest.raises(ValueError, match="at least one value"):
        grid(FIGURES, "depth", "price", pricing, first_values=[])
    with pytest.raises(ValueError, match="a name of its own"):
        swings(FIGURES * 2, pricing)
