"""From one estimate to another: every part of the difference is told, and the parts sum to it."""

from collections.abc import Sequence
from dataclasses import replace
from decimal import ROUND_HALF_UP, Context, Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from swardcost_api.engine.pricing.bridge import (
    Bridge,
    BridgeLine,
    BridgeMarkup,
    LineEffect,
    MarkupEffect,
    bridge,
)
from swardcost_api.engine.pricing.percentage import percent_of
from swardcost_model.values import CURRENCY_DIGITS

EXACT = Context(prec=120)
Lines = Sequence[BridgeLine]
Markups = Sequence[BridgeMarkup]


def printed(quantity: Decimal, price: Decimal, currency: str = "USD") -> int:
    exact = EXACT.multiply(quantity, price).scaleb(CURRENCY_DIGITS[currency], EXACT)
    return int(exact.quantize(Decimal(1), ROUND_HALF_UP, EXACT))


def sand(
    quantity: str | None, price: str | None, unit: str = "short_ton", key: str = "SAND", **more: object
) -> BridgeLine:
    measured = None if quantity is None else Decimal(quantity)
    unit_price = None if price is None else Decimal(price)
    amount = None if measured is None or unit_price is None else printed(measured, unit_price)
    line = BridgeLine(
        ("greens", key, "price", "1"), "Greens", "Washed sand", unit, measured, unit_price, amount
    )
    return replace(line, **more)  # type: ignore[arg-type]


def markup(kind: str, base: int, percent: str, label: str | None = None) -> BridgeMarkup:
    rate = Decimal(percent)
    return BridgeMarkup(kind, label or kind.title(), base, rate, percent_of(base, rate))


def of_lines(old: Lines, new: Lines, currency: str = "USD") -> Bridge:
    return bridge(old, new, [], [], currency)


def of_markups(old: Markups, new: Markups) -> Bridge:
    return bridge([], [], old, new, "USD")


def effects(found: Bridge) -> dict[str, int]:
    """The effects that are not zero."""
    return {name: minor for name, minor in found.totals.items() if minor}


def test_a_price_and_a_quantity_that_moved_are_told_apart() -> None:
    found = of_lines([sand("1418", "40.50")], [sand("1500.00", "41.65")])
    assert effects(found) == {"price": 1_725_00, "quantity": 3_321_00}
    (line,) = found.lines
    assert line.words == (
        "1.15 a short ton dearer on 1,500.00 short ton: 1,725.00; 82.00 short ton more: 3,321.00"
    )
    assert (line.mainly, line.amount_minor) == ("quantity", 5_046_00)


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        (("10", "4.50", "each"), ("10", "4.25", "each"), "0.25 each cheaper on 10 each: -2.50"),
        (("3.5", "90", "acre"), ("3.5", "90.125", "acre"), "0.125 an acre dearer on 3.5 acre: 0.44"),
        (("8", "31", "hour"), ("6", "31", "hour"), "2 hour less: -62.00"),
        (("8", "31", "hour"), ("8", "32", "hour"), "1.00 an hour dearer on 8 hour: 8.00"),
        (("2", "5", "us_gallon"), ("2", "6", "us_gallon"), "1.00 a us gallon dearer on 2 us gallon: 2.00"),
        (("1", "0", "sprig_bushel_0_4_cubic_foot"), ("3", "0", "sprig_bushel_0_4_cubic_foot"),
         "2 sprig bushel 0.4 cubic foot more: 0.00"),
    ],
)  # fmt: skip
def test_effects_are_told_in_words(old: tuple[str, str, str], new: tuple[str, str, str], words: str) -> None:
    (line,) = of_lines([sand(*old)], [sand(*new)]).lines
    assert line.words == words


def test_places_are_those_of_the_currency() -> None:
    old, new = sand("3", "100"), sand("3", "120")
    lines = [
        replace(one, amount_minor=printed(Decimal(3), one.price or Decimal(0), "JPY")) for one in (old, new)
    ]
    found = of_lines(lines[:1], lines[1:], "JPY")
    assert found.lines[0].words == "20 a short ton dearer on 3 short ton: 60"
    assert effects(found) == {"price": 60}


@pytest.mark.parametrize(
    ("old", "new", "words", "scope"),
    [
        (None, sand("12", "38.5"), "added, 12 short ton at 38.50: 462.00", 462_00),
        (sand("12", "38.5"), None, "gone, 12 short ton at 38.50: -462.00", -462_00),
        (sand("12", None, amount_minor=1_00), sand("12", "38.5"), "no price before: 461.00", 461_00),
        (sand("12", "38.5"), sand(None, "38.5", amount_minor=0), "no quantity now: -462.00", -462_00),
        (sand("12", "38.5"), sand("9", "40", "cubic_yard"),
         "by the short ton before, by the cubic yard now: -102.00", -102_00),
        (sand("12", "38.5"), sand("12", "38.5", amount_minor=500_00),
         "an amount now that is not quantity times price: 38.00", 38_00),
    ],
)  # fmt: skip
def test_what_cannot_be_compared_is_scope(
    old: BridgeLine | None, new: BridgeLine | None, words: str, scope: int
) -> None:
    found = of_lines([old] if old else [], [new] if new else [])
    (line,) = found.lines
    assert (line.words, line.scope_minor, line.mainly) == (words, scope, "scope")
    assert found.difference_minor == found.scope_minor == scope


@pytest.mark.parametrize(
    ("old", "new", "side", "words", "scope"),
    [
        (sand("12", None), sand("12", "38.5"), "earlier",
         "not priced in the earlier estimate, 12 short ton at 38.50 in the later: 462.00", 462_00),
        (sand("12", "38.5"), sand("12", None), "later",
         "12 short ton at 38.50 in the earlier estimate, not priced in the later: -462.00", -462_00),
        (sand("12", None), sand("14", None), "both", "priced in neither estimate: 0.00", 0),
        (sand("12", None), sand("12", None), "both", "priced in neither estimate: 0.00", 0),
        (None, sand("12", None), "later", "not in the earlier estimate, not priced in the later: 0.00", 0),
        (sand(None, None), None, "earlier", "not priced in the earlier estimate, gone from the later: 0.00", 0),
    ],
)  # fmt: skip
def test_a_line_without_a_price_is_named_and_not_read_as_zero(
    old: BridgeLine | None, new: BridgeLine | None, side: str, words: str, scope: int
) -> None:
    found = of_lines([old] if old else [], [new] if new else [])
    (line,) = found.lines
    assert (line.not_priced, line.words, line.mainly) == (side, words, "scope")
    assert found.difference_minor == found.scope_minor == line.amount_minor == scope


def test_what_rounding_leaves_goes_into_the_larger_effect() -> None:
    """0.05 x 0.10 = 0.005, printed 0.01; 0.15 x 0.30 = 0.045, printed 0.05: a difference of 0.04.

    Price 0.20 x 0.15 = 0.03; quantity 0.10 x 0.10 = 0.01: nothing left. At 0.25 instead of 0.15: 0.075 printed 0.08,
    a difference of 0.07; price 0.05, quantity 0.02. At a price of 0.13: 0.0195 printed 0.02, a difference of 0.01;
    price 0.0045 is 0.00, quantity 0.01. At 0.07 x 0.13 = 0.0091, no difference: price 0.0021, quantity 0.002, both
    0.00. At 0.07 x 0.20 = 0.014, no difference: price 0.007 is 0.01 and the larger, quantity 0.002 is 0.00.
    """
    old = sand("0.05", "0.10")
    for new, price, quantity in (
        (sand("0.15", "0.30"), 3, 1), (sand("0.25", "0.30"), 5, 2), (sand("0.15", "0.13"), 0, 1),
        (sand("0.07", "0.13"), 0, 0), (sand("0.07", "0.20"), 0, 0),
    ):  # fmt: skip
        (line,) = of_lines([old], [new]).lines
        assert (line.price_minor, line.quantity_minor) == (price, quantity), new


def test_lines_of_one_key_are_matched_in_order() -> None:
    found = of_lines([sand("1", "10"), sand("2", "10")], [sand("1", "10"), sand("5", "10"), sand("7", "10")])
    assert [(line.mainly, line.amount_minor) for line in found.lines] == [
        ("scope", 70_00),
        ("quantity", 30_00),
    ]


def test_other_words_for_the_same_line_are_no_difference() -> None:
    assert of_lines([sand("1", "10")], [sand("1.00", "10.00", words="Sand", scope_item="Tees")]).lines == ()


def test_a_markup_follows_its_base_and_its_rate() -> None:
    found = of_markups([markup("tax", 40_000_00, "7.250000")], [markup("tax", 52_000_00, "8")])
    assert effects(found) == {"markup_base": 870_00, "markup_rate": 390_00}
    (tax,) = found.markups
    assert tax.words == "base 12,000.00 larger, at 7.25 %: 870.00; 8 % instead of 7.25 % on 52,000.00: 390.00"
    assert tax.mainly == "markup_base"
    (back,) = of_markups([markup("tax", 52_000_00, "8")], [markup("tax", 40_000_00, "8")]).markups
    assert back.words == "base 12,000.00 smaller, at 8 %: -960.00"


def test_a_markup_that_only_one_estimate_has_is_added_or_removed() -> None:
    found = of_markups([markup("overhead", 100_00, "10.000000")], [markup("contingency", 200_00, "6")])
    assert [(one.words, one.mainly, one.added_or_removed_minor) for one in found.markups] == [
        ("markup added, 6 % on 200.00: 12.00", "markup_added_or_removed", 12_00),
        ("markup removed, 10 % on 100.00: -10.00", "markup_added_or_removed", -10_00),
    ]  # fmt: skip
    assert effects(found) == {"markup_added_or_removed": 2_00}
    assert found.difference_minor == 2_00


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("1.855316", "0.000000", "0 % instead of about 1.855 %"),
        ("1.855316", "1.855329", "about 1.85533 % instead of about 1.85532 %"),
        ("8.875", "9", "9 % instead of 8.875 %"),
        ("0.0004", "0", "0 % instead of 0.0004 %"),
    ],
)
def test_percentages_are_short_and_told_apart(old: str, new: str, words: str) -> None:
    (one,) = of_markups([markup("escalation", 1, old)], [markup("escalation", 1, new)]).markups
    assert one.words == f"{words} on 0.01: 0.00"


def test_escalation_is_matched_by_label_and_the_last_of_a_kind_by_being_left_over() -> None:
    spring, summer, later = ("Escalation: to " + month for month in ("April", "July", "August"))
    old = [markup("escalation", 100_00, "2", spring), markup("escalation", 300_00, "4", summer)]
    new = [markup("escalation", 400_00, "4", later), markup("escalation", 100_00, "2", spring)]
    (one,) = of_markups(old, new).markups
    assert (one.markup.label, one.base_minor, one.rate_minor) == (later, 4_00, 0)
    more = [*new, markup("escalation", 50_00, "6", "Escalation: to October")]
    found = of_markups(old, more)
    assert effects(found) == {"markup_added_or_removed": 16_00 + 3_00 - 12_00}
    assert len(found.markups) == 3


def test_a_markup_that_is_not_base_times_rate_is_rate() -> None:
    odd = replace(markup("tax", 100_00, "5"), amount_minor=6_00)
    (tax,) = of_markups([odd], [markup("tax", 200_00, "5")]).markups
    assert (tax.words, tax.base_minor, tax.rate_minor) == (
        "an amount before that is not base times rate: 4.00", 0, 4_00
    )  # fmt: skip


def test_what_cannot_be_meant_is_refused() -> None:
    with pytest.raises(ValueError, match=r"currency: expected one of AUD, CAD.*; got 'XYZ'"):
        of_lines([], [], "XYZ")
    for bad, words in ((sand("NaN", None), "quantity: .*NaN"), (sand(None, "1e12"), "price: .*1E\\+12")):
        with pytest.raises(ValueError, match=words):
            of_lines([bad], [])
    with pytest.raises(ValueError, match=r"percent: expected a number below .*; got Infinity"):
        of_markups([], [BridgeMarkup("tax", "Tax", 1, Decimal("Infinity"), 1)])


CURRENCIES = st.sampled_from(["USD", "JPY", "KWD"])
NUMBERS = st.none() | st.decimals(-(10**11), 10**11, allow_nan=False) | st.decimals(0, 9, places=2)
AMOUNTS = st.integers(-(10**15), 10**15)


@st.composite
def estimates(draw: st.DrawFn, currency: str) -> tuple[list[BridgeLine], list[BridgeMarkup]]:
    lines = []
    for key in draw(st.lists(st.sampled_from("ABCDE"), max_size=6)):
        quantity, price = draw(NUMBERS), draw(NUMBERS)
        amount = draw(AMOUNTS) if draw(st.integers(0, 5)) == 0 else None
        if quantity is not None and price is not None and amount is None:
            amount = printed(quantity, price, currency)
        unit = draw(st.sampled_from(["each", "short_ton"]))
        lines.append(BridgeLine((key,), "Work", "Words", unit, quantity, price, amount))
    markups = []
    for kind, label in draw(
        st.lists(st.tuples(st.sampled_from(["tax", "escalation"]), st.sampled_from("XYZ")))
    ):
        base, percent = draw(AMOUNTS), draw(st.decimals(-99, 1000, places=6))
        amount = draw(AMOUNTS) if draw(st.integers(0, 5)) == 0 else percent_of(base, percent)
        markups.append(BridgeMarkup(kind, label, base, percent, amount))
    return lines, markups


def total(lines: Lines, markups: Markups) -> int:
    return sum(line.amount_minor or 0 for line in lines) + sum(one.amount_minor for one in markups)


@given(CURRENCIES, st.data())
def test_effects_sum_to_the_difference_of_the_totals(currency: str, data: st.DataObject) -> None:
    old, new = data.draw(estimates(currency)), data.draw(estimates(currency))
    found = bridge(old[0], new[0], old[1], new[1], currency)
    assert sum(found.totals.values()) == found.difference_minor == total(*new) - total(*old)
    rows: list[LineEffect | MarkupEffect] = [*found.lines, *found.markups]
    assert sum(one.amount_minor for one in rows) == found.difference_minor
    assert all(one.words for one in rows)


@given(CURRENCIES, st.data())
def test_swapping_the_two_negates_the_total(currency: str, data: st.DataObject) -> None:
    old, new = data.draw(estimates(currency)), data.draw(estimates(currency))
    there = bridge(old[0], new[0], old[1], new[1], currency)
    back = bridge(new[0], old[0], new[1], old[1], currency)
    assert back.difference_minor == -there.difference_minor
    assert back.scope_minor == -there.scope_minor
    assert (len(back.lines), len(back.markups)) == (len(there.lines), len(there.markups))


@given(CURRENCIES, st.data())
def test_identical_estimates_give_nothing_but_what_has_no_price(currency: str, data: st.DataObject) -> None:
    lines, markups = data.draw(estimates(currency))
    found = bridge(lines, lines, markups, markups, currency)
    assert found.markups == ()
    assert [one.line for one in found.lines] == sorted(
        (line for line in lines if line.amount_minor is None), key=lambda line: line.key
    )
    assert all((one.not_priced, one.amount_minor) == ("both", 0) for one in found.lines)


@settings(max_examples=30)
@given(CURRENCIES, st.data())
def test_every_line_without_a_price_is_named(currency: str, data: st.DataObject) -> None:
    old, new = (_without_doubles(*data.draw(estimates(currency))) for _ in range(2))
    found = bridge(old[0], new[0], [], [], currency)
    earlier, later = ({line.key for line in one[0] if line.amount_minor is None} for one in (old, new))
    named = {one.line.key: one.not_priced for one in found.lines if one.not_priced}
    assert named.keys() == earlier | later
    for key, side in named.items():
        assert side == ("both" if key in earlier & later else "earlier" if key in earlier else "later")


@given(CURRENCIES, st.data())
def test_the_order_of_lines_and_markups_does_not_matter(currency: str, data: st.DataObject) -> None:
    """Of what has a key of its own; what has the same one is told apart by its order alone."""
    old, new = (_without_doubles(*data.draw(estimates(currency))) for _ in range(2))
    old_lines, new_lines = (data.draw(st.permutations(one[0])) for one in (old, new))
    old_markups, new_markups = (data.draw(st.permutations(one[1])) for one in (old, new))
    shuffled = bridge(old_lines, new_lines, old_markups, new_markups, currency)
    assert shuffled == bridge(old[0], new[0], old[1], new[1], currency)


def _without_doubles(lines: Lines, markups: Markups) -> tuple[list[BridgeLine], list[BridgeMarkup]]:
    return (
        list({line.key: line for line in lines}.values()),
        list({(one.kind, one.label): one for one in markups}.values()),
    )


@given(CURRENCIES, *[st.decimals(0, 10**5, places=6)] * 2, *[st.decimals(0, 10**4, places=2)] * 2)
def test_effects_are_the_variances_within_what_rounding_leaves(
    currency: str, old_price: Decimal, new_price: Decimal, old_quantity: Decimal, new_quantity: Decimal
) -> None:
    lines = [
        BridgeLine(("A",), "Work", "Words", "each", quantity, price, printed(quantity, price, currency))
        for quantity, price in ((old_quantity, old_price), (new_quantity, new_price))
    ]
    found = of_lines(lines[:1], lines[1:], currency)
    by_price = printed(new_quantity, EXACT.subtract(new_price, old_price), currency)
    by_quantity = printed(EXACT.subtract(new_quantity, old_quantity), old_price, currency)
    off = found.price_minor - by_price, found.quantity_minor - by_quantity
    assert 0 in off
    assert max(map(abs, off)) <= 2
    assert found.scope_minor == 0
