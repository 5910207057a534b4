"""Life-cycle cost: what must hold whatever the figures, and what a reader would expect of plain cases."""

from decimal import Decimal
from fractions import Fraction
from itertools import accumulate

import pytest
from hypothesis import given
from hypothesis import strategies as st
from swardcost_api.engine.risk.discounting import DiscountTerms, Growth, Timing
from swardcost_api.engine.risk.life_cycle import (
    KINDS,
    Alternative,
    LifeCycleCost,
    Part,
    Upkeep,
    life_cycle_cost,
)
from swardcost_api.engine.risk.life_cycle_savings import payback, savings
from swardcost_api.engine.risk.rate_of_return import internal_rates

MINOR = st.integers(0, 10**8)
PERCENT = st.decimals(0, 12, places=2)
GROWTHS = st.builds(Growth, st.decimals(-3, 6, places=2), st.sampled_from(["above_inflation", "of_its_own"]))
YEARS = st.integers(2, 25)
TIMINGS: st.SearchStrategy[Timing] = st.sampled_from(["end_of_year", "mid_year"])
PARTS = st.builds(
    Part, st.just("part"), MINOR, st.integers(1, 30), st.none(), st.none() | MINOR,
    st.sampled_from(["straight_line", "none"]) | st.integers(-(10**6), 10**6), GROWTHS,
)  # fmt: skip
UPKEEP = st.builds(Upkeep, st.just("upkeep"), MINOR, GROWTHS)
ALTERNATIVES = st.builds(
    Alternative,
    st.just("alternative"),
    st.lists(PARTS, max_size=3).map(tuple),
    st.lists(UPKEEP, max_size=2).map(tuple),
)


def terms(years: int = 10, rate: str = "3", **others: object) -> DiscountTerms:
    return DiscountTerms(years, Decimal(rate), "USD", **others)  # type: ignore[arg-type]


@st.composite
def all_terms(draw: st.DrawFn) -> DiscountTerms:
    return DiscountTerms(
        draw(YEARS), draw(PERCENT), "USD", draw(st.sampled_from(["real", "nominal"])),
        draw(st.sampled_from(["base_year", "current"])), draw(st.decimals(0, 6, places=2)), draw(TIMINGS),
    )  # fmt: skip


@given(ALTERNATIVES, all_terms())
def test_parts_sum_to_the_whole_and_every_row_can_be_redone(
    alternative: Alternative, terms: DiscountTerms
) -> None:
    cost = life_cycle_cost(alternative, terms)
    assert sum(cost.present_of(kind) for kind in KINDS) == cost.present_minor
    assert sum(cost.present_by_year()) == cost.present_minor
    assert sum(cost.amounts_by_year()) == sum(row.amount_minor for row in cost.rows)
    for row in cost.rows:
        for minor, factor, result in (
            (row.today_minor, row.price_factor, row.amount_minor),
            (row.amount_minor, row.discount_factor, row.present_minor),
        ):
            exact = Fraction(minor) * Fraction(factor)
            assert abs(result - exact) <= Fraction(1, 2)
        assert cost.row_steps(row)[-1].value == row.present_minor / 100


@given(ALTERNATIVES, all_terms())
def test_the_annual_equivalent_has_the_same_present_value(
    alternative: Alternative, terms: DiscountTerms
) -> None:
    cost = life_cycle_cost(alternative, terms)
    even = sum(cost.annual_minor * terms.present_factor(Decimal(year)) for year in range(1, terms.years + 1))
    annuity = 1 / cost.recovery_factor
    # Half a minor unit a year, and what a factor of ten places leaves open.
    assert (
        abs(even - cost.present_minor)
        <= annuity / 2 + abs(cost.present_minor) * annuity * Decimal("1e-9") + 1
    )


@given(
    ALTERNATIVES, YEARS, PERCENT, st.sampled_from(["real", "nominal"]), st.decimals(0, 6, places=2), TIMINGS,
)  # fmt: skip
def test_base_year_money_and_current_money_have_one_present_value(
    alternative: Alternative, years: int, rate: Decimal, kind: str, inflation: Decimal, timing: Timing
) -> None:
    real, nominal = (
        life_cycle_cost(
            alternative,
            terms(years, str(rate), rate_kind=kind, money=money, inflation_percent=inflation, timing=timing),
        )
        for money in ("base_year", "current")
    )
    assert len(real.rows) == len(nominal.rows)
    for one, other in zip(real.rows, nominal.rows, strict=True):
        room = (
            1 + (one.discount_factor + other.discount_factor) / 2 + abs(other.amount_minor) * Decimal("1e-9")
        )
        assert abs(one.present_minor - other.present_minor) <= room


@given(ALTERNATIVES, YEARS, PERCENT, st.decimals(0, 8, places=2), TIMINGS)
def test_a_higher_rate_never_raises_later_costs(
    alternative: Alternative, years: int, rate: Decimal, more: Decimal, timing: Timing
) -> None:
    low, high = (
        life_cycle_cost(alternative, terms(years, str(percent), inflation_percent=Decimal(2), timing=timing))
        for percent in (rate, rate + more)
    )
    assert high.present_of("upkeep", "replacement") <= low.present_of("upkeep", "replacement")
    assert high.present_of("initial") == low.present_of("initial")


@given(PARTS, st.integers(1, 40))
def test_nothing_is_replaced_in_the_last_moment(part: Part, years: int) -> None:
    replaced = part.replaced(years)
    assert all(0 < year < years for year in replaced)
    assert part.life_years is not None
    assert len(replaced) == (years - 1) // part.life_years


@given(st.lists(st.integers(-(10**6), 10**6), min_size=1, max_size=30))
def test_payback_is_where_the_savings_so_far_reach_zero(saved: list[int]) -> None:
    found = payback(saved)
    so_far = list(accumulate(saved))
    assert list(found.cumulated_minor) == so_far
    if found.years is None:
        assert max(so_far) < 0
        return
    ends = -(-found.years // 1)
    before, after = int(found.years), int(ends)
    assert all(minor < 0 for minor in so_far[:before])
    assert max(so_far[before : after + 2]) >= 0
    later = so_far[after + 1 :]
    assert found.lost_again_in is None or min(later) < 0


@given(ALTERNATIVES, ALTERNATIVES, all_terms())
def test_net_savings_are_the_difference_of_the_costs(
    base: Alternative, other: Alternative, terms: DiscountTerms
) -> None:
    first, second = life_cycle_cost(base, terms), life_cycle_cost(other, terms)
    found = savings(first, second)
    assert found.net_minor == first.present_minor - second.present_minor
    assert found.operation_minor - found.investment_minor == found.net_minor
    assert (found.ratio is None) == (found.investment_minor <= 0)
    if found.ratio is not None and found.adjusted_return_percent is not None:
        # Worth its investment by the one measure is worth it by the others; the printed figures may just meet.
        gain = found.adjusted_return_percent - terms.money_rate * 100
        assert gain * found.net_minor >= -abs(found.net_minor) * Decimal("0.0001")
    residual = first.present_of("residual") - second.present_of("residual")
    assert found.discounted_payback.cumulated_minor[-1] == found.net_minor - residual


@given(st.lists(st.integers(-1000, 1000), min_size=1, max_size=8))
def test_every_internal_rate_makes_the_payments_worth_nothing(paid: list[int]) -> None:
    found = internal_rates({Decimal(year): minor for year, minor in enumerate(paid)})
    for percent in found.percents:
        step = Decimal("0.0001")
        around = [
            sum(Decimal(minor) * (1 + (percent + shift) / 100) ** -year for year, minor in enumerate(paid))
            for shift in (-step, Decimal(0), step)
            if percent + shift > -100
        ]
        scale = sum(
            abs(Decimal(minor)) * (1 + percent / 100) ** -year
            for year, minor in enumerate(paid)
            if percent > -100
        )
        assert min(around) <= scale * Decimal("1e-6")
        assert max(around) >= -scale * Decimal("1e-6")


@given(st.lists(st.integers(1, 9), min_size=1, max_size=6))
def test_as_many_internal_rates_are_found_as_were_put_in(tens: list[int]) -> None:
    # Payments whose polynomial in 1 / (1 + rate) is the product of (1 - (1 + rate) x), for rates of 10 to 90 percent.
    polynomial = [1]
    for ten in tens:
        polynomial = [
            10 * (polynomial[i] if i < len(polynomial) else 0) - (10 + ten) * (polynomial[i - 1] if i else 0)
            for i in range(len(polynomial) + 1)
        ]
    found = internal_rates({Decimal(year): paid for year, paid in enumerate(polynomial)})
    assert found.percents == tuple(Decimal(10 * ten) for ten in sorted(set(tens)))
    assert (found.percent is not None) == (len(set(tens)) == 1)


def pump(timing: Timing = "end_of_year") -> LifeCycleCost:
    """An invented pump station: 80,000.00, 15 years of life, 2,000.00 a year."""
    part = Part(
        "pump station", 8_000_000, life_years=15, replacement_minor=9_000_000, residual="straight_line"
    )
    return life_cycle_cost(
        Alternative("new", (part,), (Upkeep("service", 200_000),)), terms(20, timing=timing)
    )


def test_a_part_is_replaced_at_its_age_and_its_unused_life_comes_back() -> None:
    cost = pump()
    rows = {(row.kind, row.year): row.amount_minor for row in cost.rows if row.kind != "upkeep"}
    # Replaced after 15 years, used for 5 of the next 15: two thirds of 90,000.00 are left.
    assert rows == {("initial", 0): 8_000_000, ("replacement", 15): 9_000_000, ("residual", 20): -6_000_000}
    assert [step.name for step in cost.steps] == [
        "present value of initial cost", "present value of upkeep", "present value of replacements",
        "present value of residual value", "life-cycle cost", "capital recovery factor", "annual equivalent",
    ]  # fmt: skip
    assert cost.steps[4].value == cost.present_minor / 100


def test_middles_of_years_move_upkeep_alone() -> None:
    ends, middles = pump(), pump("mid_year")
    assert middles.present_of("upkeep") > ends.present_of("upkeep")
    assert [row for row in middles.rows if row.kind != "upkeep"] == [
        row for row in ends.rows if row.kind != "upkeep"
    ]


def test_savings_that_come_late_are_never_paid_back_and_the_residual_does_not_count() -> None:
    base = life_cycle_cost(Alternative("as it is", (), (Upkeep("repairs", 50_000),)), terms(5))
    other = life_cycle_cost(Alternative("new", (Part("liner", 400_000, residual=390_000),)), terms(5))
    found = savings(base, other)
    assert found.net_minor > 0
    assert found.simple_payback.years is None
    assert found.discounted_payback.years is None
    assert found.returns.percent is not None
    assert found.returns.percent > 3
    assert "simple payback" not in {step.name for step in found.steps}


def test_a_replacement_can_lose_a_payback_again() -> None:
    found = payback([-100, 60, 60, -50, 60])
    assert (found.years, found.lost_again_in) == (Decimal("1.67"), 3)
    assert payback([0, 5]).years == 0


def test_an_alternative_that_asks_for_no_more_has_no_ratio() -> None:
    base, other = (
        life_cycle_cost(Alternative(name, (Part("sod", minor),), (Upkeep("care", care),)), terms())
        for name, minor, care in (("base", 500, 10), ("other", 400, 12))
    )
    found = savings(base, other)
    assert (found.ratio, found.adjusted_return_percent) == (None, None)
    assert found.returns.saves_first
    assert "the lower, the better" in found.returns.words
    assert savings(base, base).returns.percents == ()


def test_inflation_that_is_needed_and_missing_is_not_read_as_zero() -> None:
    with pytest.raises(ValueError, match="inflation: expected a percentage"):
        terms(rate_kind="nominal")
    own = Alternative("own", (), (Upkeep("water", 100, Growth(Decimal(4), "of_its_own")),))
    with pytest.raises(ValueError, match="needed for growth of its own"):
        life_cycle_cost(own, terms())
    nominal = terms(rate_kind="nominal", money="current")
    assert life_cycle_cost(own, nominal).rows[0].amount_minor == 104
    with pytest.raises(ValueError, match="prices above inflation in current money"):
        life_cycle_cost(Alternative("level", (Part("x", 1),)), nominal)


def test_a_nominal_rate_is_turned_into_a_real_one_and_said() -> None:
    turned = terms(rate="5.06", rate_kind="nominal", inflation_percent=Decimal(2))
    assert turned.money_rate == Decimal("0.03")
    (step,) = turned.steps
    assert (step.name, step.value, step.formula) == (
        "real rate",
        3.0,
        "(1 + nominal rate) / (1 + inflation) - 1",
    )


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: terms(0),
        lambda: terms(101),
        lambda: terms(rate="101"),
        lambda: terms(rate="NaN"),
        lambda: DiscountTerms(5, Decimal(3), "XXX"),
        lambda: Part("x", -1),
        lambda: Part("x", 1, life_years=0),
        lambda: Part("x", 1, residual="straight_line"),
        lambda: Part("x", 1, replaced_in=(3, 2)),
        lambda: Part("x", 1, replaced_in=(10,)).replaced(10),
        lambda: Upkeep("x", 1, first_year=0),
        lambda: life_cycle_cost(Alternative("x", (), (Upkeep("x", 1, last_year=11),)), terms()),
        lambda: life_cycle_cost(Alternative("x", (), (Upkeep("x", 10**14, Growth(Decimal(100))),)), terms()),
        lambda: savings(pump(), pump("mid_year")),
        lambda: payback([]),
        lambda: internal_rates({Decimal("0.3"): 1}),
    ],
)
def test_what_makes_no_sense_is_refused(wrong: object) -> None:
    with pytest.raises(ValueError, match="expected"):
        wrong()  # type: ignore[operator]
