"""The markup chain: stated order, stated bases, nothing lost."""

from datetime import date, timedelta
from decimal import ROUND_HALF_UP, Decimal
from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from swardcost_api.engine.pricing.markups import (
    CostedLine,
    MarkupRate,
    apply_markups,
    escalation_percent,
    midpoint,
)

PRICED, MIDDLE = date(2026, 1, 1), date(2027, 1, 1)
LINES = [CostedLine(100_000, "1510", True), CostedLine(50_000, "1520", False), CostedLine(25_001, None, True)]
RATES = [
    MarkupRate("contingency", Decimal(10), "1599"),
    MarkupRate("tax", Decimal("7.25")),
    MarkupRate("escalation", Decimal(4)),
    MarkupRate("overhead", Decimal(3)),
]


def test_each_markup_rests_on_what_its_line_says() -> None:
    tax, overhead, escalation, contingency = apply_markups(LINES, RATES, "USD", PRICED, MIDDLE)
    assert (tax.kind, tax.base_minor, tax.amount_minor) == ("tax", 125_001, 9_063)
    assert (overhead.kind, overhead.base_minor, overhead.amount_minor) == ("overhead", 175_001, 5_250)
    assert (escalation.base_minor, escalation.amount_minor) == (189_314, 7_573)
    assert (contingency.base_minor, contingency.amount_minor) == (196_887, 19_689)
    assert contingency.by_account == {"1599": 19_689}


def test_the_order_in_which_markups_are_given_does_not_matter() -> None:
    outcomes = {repr(apply_markups(LINES, list(p), "USD", PRICED, MIDDLE)) for p in permutations(RATES)}
    assert len(outcomes) == 1


@given(
    st.lists(
        st.tuples(st.integers(0, 10**9), st.sampled_from(["1510", "1520", None]), st.booleans()), max_size=20
    ),
    st.lists(st.decimals(0, 100, places=2), min_size=4, max_size=4),
)
def test_every_markup_is_fully_spread_over_accounts(
    lines: list[tuple[int, str | None, bool]], percents: list[Decimal]
) -> None:
    kinds = ["tax", "overhead", "escalation", "contingency"]
    rates = [MarkupRate(kind, percent) for kind, percent in zip(kinds, percents, strict=True)]
    for markup in apply_markups([CostedLine(*one) for one in lines], rates, "USD", PRICED, MIDDLE):
        assert sum(markup.by_account.values()) == markup.amount_minor


def test_a_markup_without_an_account_follows_the_lines_it_rests_on() -> None:
    tax = apply_markups(LINES, [MarkupRate("tax", Decimal(10))], "USD", PRICED, MIDDLE)[0]
    assert tax.by_account == {"1510": 10_000, None: 2_500}


def test_work_before_the_price_date_is_not_escalated() -> None:
    assert escalation_percent(Decimal(4), MIDDLE, PRICED, compound=True) == 0


def test_the_midpoint_is_the_middle_day() -> None:
    assert midpoint(date(2026, 10, 1), date(2026, 10, 31)) == date(2026, 10, 16)
    assert midpoint(date(2026, 10, 1), date(2026, 10, 1)) == date(2026, 10, 1)


@given(st.integers(0, 10**14), st.decimals(0, 30, places=3), st.integers(0, 4000), st.booleans())
def test_the_printed_rate_of_escalation_gives_the_printed_amount(
    base: int, percent: Decimal, days: int, compound: bool
) -> None:
    work = PRICED + timedelta(days)
    rate = MarkupRate("escalation", percent, compound=compound)
    (escalation,) = apply_markups([CostedLine(base, None, False)], [rate], "USD", PRICED, work)
    printed = Decimal(f"{escalation.percent:.6f}")
    by_hand = (Decimal(base) / 100 * printed / 100).quantize(Decimal("0.01"), ROUND_HALF_UP)
    assert Decimal(escalation.amount_minor) / 100 == by_hand


def test_an_escalation_that_cannot_be_meant_is_refused() -> None:
    with pytest.raises(ValueError, match="expected an escalation"):
        apply_markups(LINES, [MarkupRate("escalation", Decimal(1000))], "USD", date(1900, 1, 1), MIDDLE)
