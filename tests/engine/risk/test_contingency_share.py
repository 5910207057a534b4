"""A contingency is shared by what each item adds to the uncertainty, to the last minor unit."""

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from swardcost_api.engine.risk.contingency_share import share_contingency


@given(
    contingency=st.integers(-(10**12), 10**12),
    covariances=st.dictionaries(st.text(min_size=1), st.integers(-(10**30), 10**33), min_size=1),
)
def test_parts_sum_to_the_whole_and_shares_to_one(contingency: int, covariances: dict[str, int]) -> None:
    assume(sum(covariances.values()) > 0)
    found = share_contingency(contingency, covariances)
    assert sum(one.amount_minor for one in found) == contingency
    assert sum(one.variance_share for one in found) == pytest.approx(
        1, abs=1e-6 * sum(abs(one.variance_share) for one in found)
    )
    positive = sum(max(one, 0) for one in covariances.values())
    for one in found:
        covariance = covariances[one.item]
        assert one.steadies == (covariance < 0)
        assert abs(one.amount_minor * positive - contingency * max(covariance, 0)) < positive


def test_an_item_that_steadies_the_total_has_no_part() -> None:
    found = share_contingency(1_000, {"sand": 60, "drains": 60, "credit": -20})
    assert [(one.amount_minor, one.variance_share, one.steadies) for one in found] == [
        (500, 0.6, False), (500, 0.6, False), (0, -0.2, True)
    ]  # fmt: skip


def test_nothing_that_varies_is_nothing_to_share_by() -> None:
    with pytest.raises(ValueError, match="varies from trial to trial"):
        share_contingency(1_000, {"sand": 0})
