"""Usual sizes of a course."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from swardcost_api.engine.quantities.course_sizes import ACRE_M2, SQUARE_FOOT_M2, usual_size, usual_total


def test_eighteen_holes_have_the_trades_acres() -> None:
    # Common practice, from memory.
    for kind, acres in {
        "green": (2.5, 3.5),
        "tee": (2.5, 3.5),
        "fairway": (25, 35),
        "bunker": (1.5, 3),
    }.items():
        bound = usual_total(kind=kind, holes=18)
        assert bound is not None
        assert (bound.least_m2 / ACRE_M2, bound.most_m2 / ACRE_M2) == pytest.approx(acres)


def test_a_single_green_has_two_to_fifteen_thousand_square_feet() -> None:
    bound = usual_size(kind="green")
    assert bound is not None
    assert bound.holds(6_000 * SQUARE_FOOT_M2)
    assert not bound.holds(1_999 * SQUARE_FOOT_M2)
    assert not bound.holds(15_001 * SQUARE_FOOT_M2)


def test_kinds_without_a_usual_size_have_none() -> None:
    assert usual_total(kind="pond", holes=18) is None
    assert usual_size(kind="pond") is None


def test_a_course_without_holes_is_refused() -> None:
    with pytest.raises(ValueError, match="one or more"):
        usual_total(kind="green", holes=0)


@given(holes=st.integers(1, 35))
def test_more_holes_never_have_less(holes: int) -> None:
    fewer, more = usual_total(kind="tee", holes=holes), usual_total(kind="tee", holes=holes + 1)
    assert fewer is not None
    assert more is not None
    assert fewer.least_m2 < more.least_m2
    assert fewer.most_m2 < more.most_m2
