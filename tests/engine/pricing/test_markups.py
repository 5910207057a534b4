"""The markup chain: stated order, stated bases, nothing lost."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta
from decimal import ROUND_HALF_UP, Decimal
from itertools import permutations
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st
from printed_rates import assert_all_redone
from swardcost_api.engine.pricing.costed import CostedLine
from swardcost_api.engine.pricing.escalation import IndexGap, IndexSeries
from swardcost_api.engine.pricing.markups import (
    ORDER,
    AppliedMarkup,
    MarkupChain,
    MarkupRate,
    markup_chain,
)
from swardcost_api.engine.pricing.tax import Exemption, TaxAtPlace, TaxGap, TaxRate

PRICED, MIDDLE = date(2026, 1, 1), date(2027, 1, 1)
LINES = [CostedLine(100_000, "1510", True), CostedLine(50_000, "1520", False), CostedLine(25_001, None, True)]
TAX, OVERHEAD = MarkupRate("tax", Decimal("7.25")), MarkupRate("overhead", Decimal(3))
ESCALATION, CONTINGENCY = MarkupRate("escalation", Decimal(4)), MarkupRate("contingency", Decimal(10), "1599")
RATES = [CONTINGENCY, TAX, ESCALATION, OVERHEAD]
HERE = TaxAtPlace(
    "Harrow County", MIDDLE,
    [
        TaxRate("Harrow County", "standard", Decimal("7.25"), PRICED, None, "State rate table"),
        TaxRate("Harrow County", "reduced", Decimal("2.5"), PRICED, None, "State rate table"),
    ],
)  # fmt: skip
INDEX = IndexSeries(
    "An index", "a table", {"2026-01": Decimal(200), "2026-07": Decimal(206), "2027-01": Decimal(203)}
)


def chain(lines: Sequence[CostedLine], *rates: MarkupRate) -> MarkupChain:
    return markup_chain(lines, rates, currency="USD", priced_on=PRICED, work_midpoint=MIDDLE)


def told(found: MarkupChain) -> list[tuple[str, str, int, str, int]]:
    return [(m.kind, m.words, m.base_minor, f"{m.percent:f}", m.amount_minor) for m in found.markups]


def test_each_markup_rests_on_what_its_line_says() -> None:
    found = chain(LINES, *RATES)
    assert told(found) == [
        ("tax", "", 125_001, "7.25", 9_063),
        ("overhead", "", 175_001, "3", 5_250),
        ("escalation", "2026-01-01 to 2027-01-01", 189_314, "4.000000", 7_573),
        ("contingency", "", 196_887, "10", 19_689),
    ]
    assert found.markups[3].by_account == {"1599": 19_689}
    assert (found.direct_minor, found.total_minor) == (175_001, 216_576)
    for markup in found.markups:
        assert_all_redone((*markup.steps, *markup.cash_steps))


def test_the_order_in_which_markups_are_given_does_not_matter() -> None:
    assert len({repr(chain(LINES, *rates)) for rates in permutations(RATES)}) == 1


def test_a_markup_without_an_account_follows_the_lines_it_rests_on() -> None:
    (tax,) = chain(LINES, MarkupRate("tax", Decimal(10))).markups
    assert tax.by_account == {"1510": 10_000, None: 2_500}
    assert tax.by_line == (10_000, 0, 2_500)


def test_a_markup_on_markups_follows_them_too() -> None:
    lines = [CostedLine(100_000, "1510", True), CostedLine(100_000, "1520", False)]
    contingency = chain(
        lines, MarkupRate("tax", Decimal(10)), MarkupRate("contingency", Decimal(10))
    ).markups[1]
    assert contingency.by_account == {"1510": 11_000, "1520": 10_000}


def test_tax_by_place_has_a_line_for_each_class_and_tells_what_has_no_rate() -> None:
    lines = [
        replace(LINES[0], tax_class="reduced"), LINES[1], LINES[2], CostedLine(1_000, "1510", True, "lodging")
    ]  # fmt: skip
    found = chain(lines, MarkupRate("tax", HERE), CONTINGENCY)
    assert told(found) == [
        ("tax", "reduced, Harrow County", 100_000, "2.5", 2_500),
        ("tax", "standard, Harrow County", 25_001, "7.25", 1_813),
        ("contingency", "", 180_314, "10", 18_031),
    ]
    assert found.gaps == (TaxGap("Harrow County", "lodging", MIDDLE, (3,)),)
    assert {m.label for m in found.markups[:2]} == {"Tax on taxable items"}
    assert "State rate table" in found.markups[0].steps[-1].source


def test_what_is_exempt_is_printed_at_zero() -> None:
    certificate = Exemption("EX-20-4471", None, None, PRICED, None)
    found = chain(LINES, MarkupRate("tax", replace(HERE, exemptions=[certificate])))
    assert told(found) == [
        ("tax", "standard, Harrow County, exempt by certificate EX-20-4471", 125_001, "0", 0)
    ]
    assert found.markups[0].by_account == {}


def test_each_period_is_escalated_on_a_line_of_its_own() -> None:
    year_before = PRICED - timedelta(365)
    lines = [
        replace(LINES[0], work_midpoint=PRICED), LINES[1], replace(LINES[2], priced_on=year_before), LINES[2]
    ]  # fmt: skip
    found = chain(lines, TAX, OVERHEAD, ESCALATION)
    escalations = [one for one in told(found) if one[0] == "escalation"]
    assert escalations == [
        ("escalation", "not escalated, since the work does not come after the price", 110_250, "0", 0),
        ("escalation", "2025-01-01 to 2027-01-01", 27_564, "8.160000", 2_249),
        ("escalation", "2026-01-01 to 2027-01-01", 79_063, "4.000000", 3_163),
    ]
    assert sum(base for *_, base, _, _ in escalations) == 200_002 + sum(
        markup.amount_minor for markup in found.markups[:2]
    )


def test_an_index_escalates_by_month_and_what_it_does_not_reach_is_a_gap() -> None:
    lines = [
        LINES[0], replace(LINES[1], work_midpoint=date(2026, 7, 9)), replace(LINES[1], work_midpoint=date(2026, 7, 30)),
        replace(LINES[2], work_midpoint=date(2027, 2, 1)),
    ]  # fmt: skip
    found = chain(lines, MarkupRate("escalation", INDEX), CONTINGENCY)
    assert told(found) == [
        ("escalation", "2026-01 to 2026-07, An index", 100_000, "3.000000", 3_000),
        ("escalation", "2026-01 to 2027-01, An index", 100_000, "1.500000", 1_500),
        ("contingency", "", 229_501, "10", 22_950),
    ]
    assert found.gaps == (IndexGap("An index", "2027-02", "2026-01", "2027-01", (3,)),)


def test_the_part_in_cash_is_the_same_percentage_on_what_costs_new_money() -> None:
    lines = [replace(LINES[0], cash_minor=0), replace(LINES[1], cash_minor=20_000), LINES[2]]
    found = chain(lines, *RATES)
    assert [(m.kind, m.cash_base_minor, m.cash_minor) for m in found.markups] == [
        ("tax", 25_001, 1_813),
        ("overhead", 0, 0),
        ("escalation", 46_814, 1_873),
        ("contingency", 48_687, 4_869),
    ]
    assert (found.direct_cash_minor, found.cash_minor) == (45_001, 53_556)
    assert found.total_minor == chain(LINES, *RATES).total_minor


def test_without_lines_every_markup_is_of_nothing() -> None:
    assert [(m.kind, m.base_minor, m.amount_minor) for m in chain([], *RATES).markups] == [
        (kind, 0, 0) for kind in ORDER
    ]


@pytest.mark.parametrize(
    ("rates", "words"),
    [
        ([MarkupRate("profit", Decimal(1))], "expected a markup of tax, .*; got 'profit'"),
        ([TAX, TAX], "expected each kind of markup once; got tax twice"),
        ([MarkupRate("overhead", INDEX)], "overhead: expected a percentage; got IndexSeries"),
        ([MarkupRate("escalation", HERE)], "escalation: expected a percentage; got TaxAtPlace"),
        (
            [MarkupRate("contingency", Decimal(-1))],
            "contingency: expected a percentage of zero or more; got -1",
        ),
        ([MarkupRate("tax", Decimal("NaN"))], "tax: expected a percentage of zero or more; got NaN"),
    ],
)
def test_a_markup_that_makes_no_sense_is_refused(rates: list[MarkupRate], words: str) -> None:
    with pytest.raises(ValueError, match=words):
        chain(LINES, *rates)


@pytest.mark.parametrize(
    "line",
    [CostedLine(-1, None, False), CostedLine(5, None, False, cash_minor=6), replace(LINES[0], cash_minor=-1)],
)
def test_a_line_that_makes_no_sense_is_refused(line: CostedLine) -> None:
    with pytest.raises(
        ValueError, match="line 2: expected an amount of zero or more, of which a part is in cash"
    ):
        chain([LINES[0], line], TAX)


def test_an_escalation_that_cannot_be_meant_is_refused() -> None:
    with pytest.raises(ValueError, match="expected an escalation"):
        markup_chain(
            LINES, [MarkupRate("escalation", Decimal(1000))], currency="USD", priced_on=date(1900, 1, 1),
            work_midpoint=MIDDLE,
        )  # fmt: skip


def test_an_index_that_does_not_reach_leaves_a_gap_in_words() -> None:
    found = markup_chain(
        LINES,
        [MarkupRate("escalation", INDEX)],
        currency="USD",
        priced_on=PRICED,
        work_midpoint=date(2027, 2, 1),
    )
    assert [gap.words for gap in found.gaps] == [
        "An index has no index for 2027-02; it runs from 2026-01 to 2027-01."
    ]
    assert found.markups == ()


@given(st.integers(0, 10**14), st.decimals(0, 30, places=3), st.integers(0, 4000), st.booleans())
def test_the_printed_rate_of_escalation_gives_the_printed_amount(
    base: int, percent: Decimal, days: int, compound: bool
) -> None:
    work = PRICED + timedelta(days)
    rate = MarkupRate("escalation", percent, compound=compound)
    (escalation,) = markup_chain(
        [CostedLine(base, None, False)], [rate], currency="USD", priced_on=PRICED, work_midpoint=work
    ).markups
    printed = Decimal(f"{escalation.percent:.6f}")
    by_hand = (Decimal(base) / 100 * printed / 100).quantize(Decimal("0.01"), ROUND_HALF_UP)
    assert Decimal(escalation.amount_minor) / 100 == by_hand


@st.composite
def costed_lines(draw: st.DrawFn) -> CostedLine:
    amount = draw(st.one_of(st.integers(0, 200), st.integers(0, 10**9)))
    return CostedLine(
        amount, draw(st.sampled_from(["1510", "1520", None])), draw(st.booleans()),
        draw(st.sampled_from(["standard", "reduced", "lodging"])),
        draw(st.one_of(st.none(), st.integers(0, amount))),
        draw(st.sampled_from([None, PRICED, date(2026, 4, 9)])),
        draw(st.sampled_from([None, MIDDLE, PRICED, date(2026, 7, 20), date(2027, 3, 1)])),
    )  # fmt: skip


PERCENTS = st.decimals(0, 100, places=2)
CHAINS = st.tuples(
    st.builds(
        MarkupRate, st.just("tax"), st.one_of(PERCENTS, st.just(HERE)), st.sampled_from([None, "2300"])
    ),
    st.builds(MarkupRate, st.just("overhead"), PERCENTS),
    st.builds(
        MarkupRate, st.just("escalation"), st.one_of(PERCENTS, st.just(INDEX)), st.none(), st.booleans()
    ),
    st.builds(MarkupRate, st.just("contingency"), PERCENTS),
)
MANY_LINES = st.lists(costed_lines(), max_size=20)


@given(MANY_LINES, CHAINS)
def test_every_markup_is_base_times_percent_and_fully_spread(
    lines: list[CostedLine], rates: tuple[MarkupRate, ...]
) -> None:
    found = chain(lines, *rates)
    for markup in found.markups:
        exact = Decimal(markup.base_minor) * markup.percent / 100
        assert markup.amount_minor == exact.quantize(Decimal(1), ROUND_HALF_UP)
        cash = Decimal(markup.cash_base_minor) * markup.percent / 100
        assert markup.cash_minor == cash.quantize(Decimal(1), ROUND_HALF_UP)
        assert 0 <= markup.cash_base_minor <= markup.base_minor
        assert 0 <= abs(markup.cash_minor) <= abs(markup.amount_minor)
        assert sum(markup.by_account.values()) == markup.amount_minor
        assert sum(markup.by_line) == markup.amount_minor
        assert len(markup.by_line) == len(lines)
        assert_all_redone((*markup.steps, *markup.cash_steps))
    assert 0 <= found.cash_minor <= found.total_minor


@given(MANY_LINES, CHAINS)
def test_bases_add_up_to_everything_before_but_gaps(
    lines: list[CostedLine], rates: tuple[MarkupRate, ...]
) -> None:
    found = chain(lines, *rates)
    before, cash_before = found.direct_minor, found.direct_cash_minor
    for kind in ORDER:
        markups = [markup for markup in found.markups if markup.kind == kind]
        if kind in ("escalation", "contingency") and not any(isinstance(gap, IndexGap) for gap in found.gaps):
            assert sum(markup.base_minor for markup in markups) == before
            assert sum(markup.cash_base_minor for markup in markups) == cash_before
        before += sum(markup.amount_minor for markup in markups)
        cash_before += sum(markup.cash_minor for markup in markups)
    assert (before, cash_before) == (found.total_minor, found.cash_minor)


@given(MANY_LINES, CHAINS)
def test_shares_by_line_and_by_account_agree(lines: list[CostedLine], rates: tuple[MarkupRate, ...]) -> None:
    for markup in chain(lines, *rates).markups:
        if markup.account is None:
            sums = dict.fromkeys(markup.by_account, 0)
            for line, share in zip(lines, markup.by_line, strict=True):
                if share:
                    sums[line.account] += share
            assert sums == markup.by_account


def _shared(lines: Sequence[CostedLine], markup: AppliedMarkup) -> list[tuple[str, int]]:
    """The shares of lines; of those that a markup cannot tell apart, the earlier has the odd cent."""
    alike = (repr((one.account, one.taxable and one.tax_class, one.amount_minor)) for one in lines)
    return sorted(zip(alike, markup.by_line, strict=True))


@given(st.lists(costed_lines(), max_size=7), CHAINS, st.randoms(use_true_random=False))
def test_the_order_of_lines_and_rates_does_not_matter(
    lines: list[CostedLine], rates: tuple[MarkupRate, ...], random: Random
) -> None:
    there, shuffled = list(lines), list(rates)
    random.shuffle(there)
    random.shuffle(shuffled)
    one, other = chain(lines, *rates), chain(there, *shuffled)
    assert one.markups == other.markups
    assert [gap.words for gap in one.gaps] == [gap.words for gap in other.gaps]
    for mine, theirs in zip(one.markups, other.markups, strict=True):
        assert _shared(lines, mine) == _shared(there, theirs)


@given(st.lists(st.builds(CostedLine, st.integers(0, 10**9), st.sampled_from(["1510", None]), st.booleans())), CHAINS,
       st.integers(0, 3), PERCENTS)  # fmt: skip
def test_a_higher_rate_never_gives_a_lower_total(
    lines: list[CostedLine], rates: tuple[MarkupRate, ...], which: int, more: Decimal
) -> None:
    asked = rates[which]
    if isinstance(asked.rate, Decimal):
        higher = [*rates[:which], replace(asked, rate=asked.rate + more), *rates[which + 1 :]]
        assert chain(lines, *rates).total_minor <= chain(lines, *higher).total_minor


@given(MANY_LINES, CHAINS)
def test_a_share_is_near_the_line_s_own_part(lines: list[CostedLine], rates: tuple[MarkupRate, ...]) -> None:
    """Overhead, whose base is known by line; every split adds less than a minor unit for each of its levels."""
    overhead = next(one for one in chain(lines, *rates).markups if one.kind == "overhead")
    for line, share in zip(lines, overhead.by_line, strict=True):
        exact = Decimal(line.amount_minor) * overhead.percent / 100
        assert abs(share - exact) < 5 + exact * Decimal("1e-6")
