"""What is charged once, a visit or a quote, shared over its lines without losing a cent."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from printed_charge import assert_steps
from swardcost_api.engine.pricing.charge import Charge, Part
from swardcost_api.engine.pricing.mobilization import share_fixed_charge, share_mobilization
from swardcost_model.values import minor_unit


def shared(mobilization: str, *amounts_minor: int, currency: str = "USD") -> tuple[Charge, ...]:
    return share_mobilization(
        visit="spring", mobilization=Decimal(mobilization), amounts_minor=amounts_minor, currency=currency
    )


def amounts(charges: tuple[Charge, ...]) -> list[int]:
    return [one.amount_minor for one in charges]


def test_a_visit_is_shared_by_the_amounts_of_its_lines() -> None:
    charges = shared("1200", 300_000, 100_000, 0)
    assert amounts(charges) == [90_000, 30_000, 0]
    first = charges[0]
    assert (first.part, first.words, first.quantity, first.unit, first.price) == (
        Part.MOBILIZATION, "Mobilization, visit spring", 1, "each", 900
    )  # fmt: skip
    assert [(figure.name, figure.value) for figure in first.steps[0].inputs] == [
        ("mobilization of the visit", 1_200), ("amount of the line", 3_000), ("amounts of all lines", 4_000),
        ("minor units in one", 100),
    ]  # fmt: skip
    assert "visit spring" in first.steps[0].source


def test_the_odd_cent_goes_to_the_largest_remainder_and_with_ties_to_the_earlier_line() -> None:
    assert amounts(shared("100", 100, 100, 100)) == [3_334, 3_333, 3_333]
    assert amounts(shared("0.01", 1, 2)) == [0, 1]


def test_lines_without_an_amount_share_equally() -> None:
    charges = shared("100", 0, 0, 0)
    assert amounts(charges) == [3_334, 3_333, 3_333]
    for charge in charges:
        assert_steps(charge.steps)


def test_one_line_bears_all_of_it() -> None:
    assert amounts(shared("850.505", 123)) == [85_051]


@given(
    st.decimals(0, 100_000, places=4),
    st.lists(st.integers(0, 10_000_000), min_size=1, max_size=40),
    st.sampled_from(["USD", "JPY", "KWD"]),
)
def test_no_cent_is_lost_and_every_share_can_be_redone(
    mobilization: Decimal, lines: list[int], currency: str
) -> None:
    charges = share_mobilization(visit="1", mobilization=mobilization, amounts_minor=lines, currency=currency)
    (alone,) = share_mobilization(visit="1", mobilization=mobilization, amounts_minor=[1], currency=currency)
    assert sum(amounts(charges)) == alone.amount_minor
    total = sum(lines) or len(lines)
    for charge, line in zip(charges, lines, strict=True):
        weight = line if sum(lines) else 1
        assert abs(charge.amount_minor * total - alone.amount_minor * weight) < total
        assert charge.steps[1].inputs[1].value in (0, 1)
        assert charge.steps[-1].value == float(charge.price)
        assert_steps(charge.steps)


@pytest.mark.parametrize(
    ("mobilization", "lines", "currency"),
    [("-1", (1,), "USD"), ("nan", (1,), "USD"), ("inf", (1,), "USD"), ("1", (), "USD"), ("1", (5, -1), "USD"),
     ("1", (1,), "XXX"), ("999999999999.99", (1,), "USD")],
)  # fmt: skip
def test_what_cannot_be_shared_is_refused(mobilization: str, lines: tuple[int, ...], currency: str) -> None:
    with pytest.raises(ValueError, match="expected"):
        shared(mobilization, *lines, currency=currency)


def of_quote(fixed_minor: int, *amounts_minor: int, currency: str = "USD") -> tuple[Charge, ...]:
    return share_fixed_charge(
        quote="Alder for sand", fixed_minor=fixed_minor, amounts_minor=amounts_minor, currency=currency
    )


def test_the_fixed_charge_of_a_quote_names_it_on_every_line() -> None:
    charges = of_quote(25_000, 10_000, 5_000)
    assert [(one.part, one.words, one.amount_minor) for one in charges] == [
        (Part.MOBILIZATION, "Fixed charge, quote of Alder for sand", 16_667),
        (Part.MOBILIZATION, "Fixed charge, quote of Alder for sand", 8_333),
    ]
    assert {step.source.partition(";")[0] for one in charges for step in one.steps} == {
        "the quote of Alder for sand"
    }


@given(
    st.integers(0, 10_000_000),
    st.lists(st.integers(0, 10_000_000), min_size=1, max_size=20),
    st.sampled_from(["USD", "JPY", "KWD"]),
)
def test_a_fixed_charge_is_in_the_price_once(fixed_minor: int, lines: list[int], currency: str) -> None:
    charges = of_quote(fixed_minor, *lines, currency=currency)
    assert sum(amounts(charges)) == fixed_minor
    for charge in charges:
        assert_steps(charge.steps, minor_unit(currency))


@pytest.mark.parametrize(
    ("fixed_minor", "lines", "currency"),
    [(-1, (1,), "USD"), (1, (), "USD"), (1, (5, -1), "USD"), (1, (1,), "XXX")],
)
def test_a_fixed_charge_that_cannot_be_shared_is_refused(
    fixed_minor: int, lines: tuple[int, ...], currency: str
) -> None:
    with pytest.raises(ValueError, match="expected"):
        of_quote(fixed_minor, *lines, currency=currency)
