"""Splitting over trials is splitting each trial, to the minor unit."""

import numpy as np
from hypothesis import example, given, settings
from hypothesis import strategies as st
from swardcost_api.engine.pricing.allocation import split_by_weights
from swardcost_api.engine.risk.simulated_shares import EXACT, split_in_trials

amounts = st.integers(0, 10**6) | st.integers(0, EXACT - 1) | st.sampled_from([0, 1, 2, 3, 10, 1_000])


@st.composite
def trials(draw: st.DrawFn) -> tuple[list[int], list[list[int]]]:
    """Totals, and as many weights of each part as there are totals."""
    count, parts = draw(st.integers(1, 5)), draw(st.integers(1, 9))
    column = st.lists(amounts, min_size=count, max_size=count)
    return draw(column), [draw(column) for _ in range(parts)]


@settings(max_examples=400, deadline=None)
@given(case=trials())
@example(([10, 0, 7], [[0, 5, 1], [0, 5, 1], [0, 5, 1]]))
@example(([EXACT - 1], [[EXACT - 1]] * 40))
def test_each_trial_is_split_as_one_is_alone(case: tuple[list[int], list[list[int]]]) -> None:
    totals, weights = case
    parts = split_in_trials(np.array(totals, dtype=np.int64), [np.array(w, dtype=np.int64) for w in weights])
    for trial, total in enumerate(totals):
        alone = split_by_weights(total, [of_part[trial] for of_part in weights])
        assert [int(part[trial]) for part in parts] == alone
        assert sum(alone) == total
