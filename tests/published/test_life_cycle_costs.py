"""Discount factors, a worked life-cycle cost and rates of return; the source stands beside each check."""

from decimal import Decimal

import numpy_financial as npf
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.optimize import brentq
from swardcost_api.engine.risk.discounting import (
    DiscountTerms,
    Growth,
    escalating_present_value,
    single_present_value,
    uniform_capital_recovery,
    uniform_present_value,
)
from swardcost_api.engine.risk.life_cycle import Alternative, Part, Upkeep, life_cycle_cost
from swardcost_api.engine.risk.life_cycle_savings import payback, savings
from swardcost_api.engine.risk.rate_of_return import internal_rates

THREE = Decimal("0.03")
RATES = st.decimals("0.001", "0.3", places=4)


def test_factors_of_the_life_cycle_costing_manual() -> None:
    # NIST Handbook 135, from memory.
    assert round(single_present_value(THREE, Decimal(10)), 4) == Decimal("0.7441")
    assert round(uniform_present_value(THREE, 20), 3) == Decimal("14.877")
    assert round(uniform_capital_recovery(Decimal("0.05"), 10), 4) == Decimal("0.1295")
    assert escalating_present_value(THREE, THREE, 20) == 20


@pytest.mark.parametrize(
    ("factor", "printed"),
    [
        # Interest tables of engineering-economy textbooks, from memory.
        (single_present_value(Decimal("0.08"), Decimal(5)), "0.6806"),
        (uniform_present_value(Decimal("0.10"), 10), "6.1446"),
        (uniform_capital_recovery(Decimal("0.06"), 10), "0.1359"),
        # US OMB Circular A-94 (1992), appendix A, factors at 7 percent for ends and middles of years, from memory.
        (single_present_value(Decimal("0.07"), Decimal(1)), "0.9346"),
        (single_present_value(Decimal("0.07"), Decimal("0.5")), "0.9667"),
        (single_present_value(Decimal("0.07"), Decimal("1.5")), "0.9035"),
        (single_present_value(Decimal("0.07"), Decimal(30)), "0.1314"),
        (single_present_value(Decimal("0.07"), Decimal("29.5")), "0.1359"),
    ],
)
def test_factors_of_printed_tables(factor: Decimal, printed: str) -> None:
    assert round(factor, 4) == Decimal(printed)


def test_worked_example_of_two_air_conditioning_systems() -> None:
    # The example of the Handbook 135 as the Whole Building Design Guide shows it (both from memory): 3 percent real,
    # 20 years; energy by the tabled factor 15.13, all factors rounded there, so values agree to their rounding.
    growth = brentq(lambda g: float(escalating_present_value(THREE, Decimal(g), 20)) - 15.13, -0.02, 0.02)
    energy = Growth(Decimal(round(growth * 100, 9)))
    terms = DiscountTerms(20, Decimal(3), "USD")
    conventional = life_cycle_cost(
        Alternative(
            "conventional",
            (
                Part("system", 10_300_000, residual=350_000),
                Part("fan", 0, replaced_in=(12,), replacement_minor=1_200_000),
            ),
            (Upkeep("energy", 2_000_000, energy), Upkeep("maintenance", 700_000)),
        ),
        terms,
    )
    saving = life_cycle_cost(
        Alternative(
            "saving energy",
            (
                Part("system", 11_000_000, residual=370_000),
                Part("fan", 0, replaced_in=(12,), replacement_minor=1_250_000),
            ),
            (Upkeep("energy", 1_300_000, energy), Upkeep("maintenance", 800_000)),
        ),
        terms,
    )
    assert conventional.present_of("replacement") == pytest.approx(841_200, rel=1e-3)
    assert conventional.present_of("residual") == pytest.approx(-193_900, rel=1e-3)
    assert conventional.present_minor == pytest.approx(51_623_300, rel=1e-4)
    assert saving.present_minor == pytest.approx(43_244_300, rel=1e-4)
    found = savings(conventional, saving)
    assert found.net_minor == pytest.approx(8_379_000, rel=1e-4)
    assert found.ratio is not None
    assert round(found.ratio, 1) == Decimal("12.6")
    assert found.adjusted_return_percent is not None
    assert round(found.adjusted_return_percent, 1) == Decimal("16.9")


@pytest.mark.parametrize(
    ("payments", "percents"),
    [
        # Examples in the documentation of numpy_financial.irr.
        ([-100, 39, 59, 55, 20], ["28.0948"]),
        ([-100, 0, 0, 74], ["-9.5496"]),
        ([-5, 10.5, 1, -8, 1], None),
        # Lorie and Savage (1955), the pump that has two rates, from memory.
        ([-1600, 10000, -10000], ["25.0000", "400.0000"]),
        # Nothing is ever earned; and (1 - 1.1 / (1 + r))^2, a rate that is only touched.
        ([-100, -20, -3], []),
        ([100, -220, 121], ["10.0000"]),
        ([100, -200, 150], []),
    ],
)
def test_rates_of_return_of_printed_examples(payments: list[float], percents: list[str] | None) -> None:
    found = internal_rates({Decimal(year): int(10 * paid) for year, paid in enumerate(payments)})
    if percents is None:
        # 0.0886 in the documentation; the others are the further roots of the same polynomial.
        assert Decimal("8.8598") in found.percents
        assert found.percent is None
        return
    assert [str(percent) for percent in found.percents] == percents
    assert found.percent == (Decimal(percents[0]) if len(percents) == 1 else None)


@given(RATES, st.lists(st.integers(0, 10**8), min_size=1, max_size=25))
def test_present_values_are_those_of_the_reference_library(rate: Decimal, paid: list[int]) -> None:
    upkeep = tuple(
        Upkeep("work", minor, first_year=year, last_year=year) for year, minor in enumerate(paid, 1)
    )
    cost = life_cycle_cost(Alternative("one", (), upkeep), DiscountTerms(len(paid), rate * 100, "USD"))
    assert cost.present_minor == pytest.approx(npf.npv(float(rate), [0, *paid]), abs=len(paid))


@given(RATES, st.integers(1, 60), st.integers(1, 10**9))
def test_annual_equivalents_are_the_payments_of_the_reference_library(
    rate: Decimal, years: int, minor: int
) -> None:
    cost = life_cycle_cost(
        Alternative("one", (Part("pump", minor),)), DiscountTerms(years, rate * 100, "USD")
    )
    assert cost.annual_minor == pytest.approx(-npf.pmt(float(rate), years, minor), abs=1)


@given(st.integers(10**4, 10**8), st.lists(st.integers(0, 10**8), min_size=1, max_size=20))
def test_rate_of_return_is_that_of_the_reference_library(invested: int, saved: list[int]) -> None:
    assume(any(saved))
    found = internal_rates({Decimal(year): minor for year, minor in enumerate([-invested, *saved])})
    assert found.percent is not None
    reference = npf.irr([-invested, *saved])
    # The library gives nan where it finds no real root; nothing is compared then.
    assume(reference == reference)
    assert float(found.percent) == pytest.approx(reference * 100, rel=1e-5, abs=1e-3)


def test_payback_of_even_savings_is_cost_over_saving() -> None:
    # NIST Handbook 135 (from memory): with even savings, first cost / yearly saving; 1,000 / 300 is 3 1/3 years.
    assert payback([-100_000, *[30_000] * 6]).years == Decimal("3.33")
