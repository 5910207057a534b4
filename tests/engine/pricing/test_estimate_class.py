"""Accuracy by class of estimate."""

from decimal import Decimal
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from printed_charge import assert_steps
from swardcost_api.engine.pricing.estimate_class import AccuracyBand, accuracy_band
from swardcost_model.values import from_minor, minor_unit, to_minor


def band(estimate_class: int, total: str = "412350.75", currency: str = "USD") -> AccuracyBand:
    return accuracy_band(estimate_class=estimate_class, total=Decimal(total), currency=currency)


@pytest.mark.parametrize(
    ("estimate_class", "low", "high"), [(5, -30, 50), (4, -20, 30), (3, -15, 20), (2, -10, 15), (1, -5, 10)]
)
def test_usual_accuracy_by_class(estimate_class: int, low: int, high: int) -> None:
    """AACE International 56R-08, wide ends; class 5 as read, classes 4 to 1 from memory."""
    found = band(estimate_class)
    assert (found.estimate_class, found.low_percent, found.high_percent) == (estimate_class, low, high)


def test_amounts_about_the_total() -> None:
    """412,350.75 x 0.7 = 288,645.525 and x 1.5 = 618,526.125, halves up."""
    found = band(5)
    assert (found.low_minor, found.high_minor) == (288_645_53, 618_526_13)
    assert [step.name for step in found.steps] == ["low percent", "low", "high percent", "high"]


def test_the_less_is_known_the_wider_the_band() -> None:
    bands = [band(estimate_class) for estimate_class in (1, 2, 3, 4, 5)]
    for narrow, wide in pairwise(bands):
        assert wide.low_minor < narrow.low_minor
        assert narrow.high_minor < wide.high_minor
        assert wide.low_percent < narrow.low_percent < 0 < narrow.high_percent < wide.high_percent


@given(
    st.integers(1, 5), st.decimals(0, 100_000_000, places=2), st.sampled_from(["USD", "JPY", "KWD"])
)  # fmt: skip
def test_the_band_holds_the_total_and_can_be_redone(
    estimate_class: int, total: Decimal, currency: str
) -> None:
    total = from_minor(to_minor(total, currency), currency)
    found = accuracy_band(estimate_class=estimate_class, total=total, currency=currency)
    assert 0 <= found.low_minor <= to_minor(total, currency) <= found.high_minor
    assert_steps(found.steps, minor_unit(currency))
    sources = {step.source for step in found.steps if step.name.endswith("percent")}
    assert all(source.endswith(f"class {estimate_class}") for source in sources)


@pytest.mark.parametrize("estimate_class", [0, 6, -1])
def test_a_class_that_is_none_is_refused(estimate_class: int) -> None:
    with pytest.raises(ValueError, match=f"estimate class: expected 1 to 5; got {estimate_class}"):
        band(estimate_class)


@pytest.mark.parametrize(
    ("total", "currency"), [("-1", "USD"), ("1e12", "USD"), ("900000000000", "USD"), ("1", "XXX")]
)
def test_a_total_that_makes_no_sense_is_refused(total: str, currency: str) -> None:
    with pytest.raises(ValueError, match="expected"):
        band(5, total, currency)
