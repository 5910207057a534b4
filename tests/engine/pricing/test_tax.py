"""Sales tax: dated rates of a place, certificates, and what has no rate."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from printed_rates import assert_all_redone
from swardcost_api.engine.pricing.costed import CostedLine
from swardcost_api.engine.pricing.tax import Exemption, Tax, TaxRate, refuse_overlaps, tax_lines, tax_on_all

PLACE, DAY = "Harrow County", date(2026, 9, 15)
STANDARD = TaxRate(
    PLACE, "standard", Decimal("7.25"), date(2026, 1, 1), None, "State rate table, January 2026"
)
REDUCED = replace(STANDARD, tax_class="reduced", percent=Decimal("2.5"))
CERTIFICATE = Exemption("EX-20-4471", None, None, date(2026, 1, 1), date(2026, 12, 31), "the club")
LINES = [
    CostedLine(100_000, "1510", True),
    CostedLine(50_000, "1520", False),
    CostedLine(25_001, None, True, "reduced"),
    CostedLine(10_010, None, True),
]


def taxed(
    *exemptions: Exemption, rates: Sequence[TaxRate] = (STANDARD, REDUCED), place: str = PLACE, on: date = DAY
) -> Tax:
    return tax_lines(LINES, rates, exemptions, place, on, "USD")


def told(tax: Tax) -> list[tuple[str, int, str, int]]:
    return [(line.words, line.base_minor, str(line.percent), line.amount_minor) for line in tax.lines]


def test_each_class_is_taxed_at_its_own_rate_on_a_line_of_its_own() -> None:
    found = taxed()
    assert told(found) == [
        ("reduced, Harrow County", 25_001, "2.5", 625),
        ("standard, Harrow County", 110_010, "7.25", 7_976),
    ]
    assert [line.lines for line in found.lines] == [(2,), (0, 3)]
    assert found.gaps == ()
    for line in found.lines:
        assert_all_redone(line.steps)
        assert "State rate table" in line.source


def test_one_percentage_may_tax_all_taxable_lines() -> None:
    found = tax_on_all(LINES, Decimal(10), "USD")
    assert told(found) == [("", 135_011, "10", 13_501)]
    assert told(tax_on_all([], Decimal(10), "USD")) == [("", 0, "10", 0)]


def test_the_rate_of_the_day_counts() -> None:
    until = replace(STANDARD, valid_until=date(2026, 9, 14))
    since = replace(STANDARD, percent=Decimal(8), valid_from=DAY)
    for day, percent in ((DAY - timedelta(1), "7.25"), (DAY, "8")):
        found = taxed(rates=[until, since, REDUCED], on=day)
        assert str(found.lines[1].percent) == percent


def test_a_class_without_a_rate_is_a_gap_and_no_tax_of_zero() -> None:
    found = taxed(rates=[STANDARD])
    assert [line.words for line in found.lines] == ["standard, Harrow County"]
    (gap,) = found.gaps
    assert (gap.tax_class, gap.lines) == ("reduced", (2,))
    assert gap.words == "No tax rate is known for class reduced at Harrow County on 2026-09-15."


@pytest.mark.parametrize(("place", "on"), [("Elsewhere", DAY), (PLACE, date(2025, 12, 31))])
def test_rates_of_another_place_or_time_do_not_help(place: str, on: date) -> None:
    found = taxed(place=place, on=on)
    assert found.lines == ()
    assert {gap.lines for gap in found.gaps} == {(2,), (0, 3)}


def test_an_exempt_class_is_printed_at_zero_with_the_number_of_its_certificate() -> None:
    found = taxed(replace(CERTIFICATE, tax_classes=frozenset({"standard"})))
    assert told(found) == [
        ("reduced, Harrow County", 25_001, "2.5", 625),
        ("standard, Harrow County, exempt by certificate EX-20-4471 (the club)", 110_010, "0", 0),
    ]
    assert_all_redone(found.lines[1].steps)


def test_a_certificate_needs_no_rate() -> None:
    found = taxed(CERTIFICATE, rates=[])
    assert [line.amount_minor for line in found.lines] == [0, 0]
    assert found.gaps == ()


@pytest.mark.parametrize(
    "change",
    [
        {"place": "Elsewhere"},
        {"tax_classes": frozenset({"food"})},
        {"tax_classes": frozenset()},
        {"valid_from": date(2026, 9, 16)},
        {"valid_until": date(2026, 9, 14)},
    ],
)
def test_a_certificate_frees_only_where_when_and_what_it_says(change: dict[str, object]) -> None:
    assert taxed(replace(CERTIFICATE, **change)) == taxed()  # type: ignore[arg-type]


def test_two_rates_on_one_day_are_refused() -> None:
    overlapping = replace(STANDARD, percent=Decimal(8), valid_from=date(2027, 1, 1))
    with pytest.raises(
        ValueError, match=r"Harrow County, standard: expected one on any day; got 7\.25 percent"
    ):
        taxed(rates=[overlapping, STANDARD])
    with pytest.raises(ValueError, match="expected one on any day"):
        taxed(rates=[STANDARD, STANDARD])


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"percent": Decimal(-1)}, "zero or more; got -1"),
        ({"valid_until": date(2025, 12, 31)}, "expected it to end on 2026-01-01 or later; got 2025-12-31"),
    ],
)
def test_a_rate_that_makes_no_sense_is_refused(change: dict[str, object], words: str) -> None:
    with pytest.raises(ValueError, match=words):
        taxed(rates=[replace(STANDARD, **change)])  # type: ignore[arg-type]


@given(st.lists(st.tuples(st.integers(0, 60), st.integers(0, 20)), min_size=1, max_size=6))
def test_rates_are_refused_just_where_a_day_would_have_two(spans: list[tuple[int, int]]) -> None:
    start = date(2026, 1, 1)
    rates = [
        replace(STANDARD, valid_from=start + timedelta(first), valid_until=start + timedelta(first + days))
        for first, days in spans
    ]
    days = [day for first, length in spans for day in range(first, first + length + 1)]
    if len(set(days)) == len(days):
        refuse_overlaps(rates)
    else:
        with pytest.raises(ValueError, match="expected one on any day"):
            refuse_overlaps(rates)


def test_the_order_of_rates_and_certificates_does_not_matter() -> None:
    other = replace(CERTIFICATE, number="EX-10-0001", tax_classes=frozenset({"standard"}))
    earlier = replace(STANDARD, valid_from=date(2025, 1, 1), valid_until=date(2025, 12, 31))
    found = {
        repr(tax_lines(LINES, rates, certificates, PLACE, DAY, "USD"))
        for rates in permutations([STANDARD, REDUCED, earlier])
        for certificates in permutations([CERTIFICATE, other])
    }
    assert len(found) == 1
    assert "EX-10-0001" in found.pop()


@given(
    st.lists(
        st.builds(
            CostedLine, st.integers(0, 10**9), st.none(), st.booleans(), st.sampled_from(["standard", "reduced", "x"])
        ),
        max_size=20,
    ),
    st.decimals(0, 100, places=4),
    st.booleans(),
)  # fmt: skip
def test_every_taxable_line_is_taxed_exempt_or_a_gap(
    lines: list[CostedLine], percent: Decimal, exempt: bool
) -> None:
    certificates = [replace(CERTIFICATE, tax_classes=frozenset({"reduced"}))] if exempt else []
    rates = [replace(STANDARD, percent=percent), REDUCED]
    found = tax_lines(lines, rates, certificates, PLACE, DAY, "USD")
    told_of = sorted(index for one in (*found.lines, *found.gaps) for index in one.lines)
    assert told_of == [index for index, line in enumerate(lines) if line.taxable]
    for line in found.lines:
        assert line.base_minor == sum(lines[index].amount_minor for index in line.lines)
        assert_all_redone(line.steps)
