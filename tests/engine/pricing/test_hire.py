"""Hire: as few machines as needed, the cheapest stays of each, and every cent of them borne by a need."""

from collections.abc import Sequence
from datetime import date, timedelta
from decimal import Decimal
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from printed_charge import assert_charge, assert_steps
from swardcost_api.engine.pricing.bought import in_words
from swardcost_api.engine.pricing.charge import Charge, Part
from swardcost_api.engine.pricing.hire import Hire, Hired, Need, price_hire
from swardcost_api.engine.pricing.rental import cheapest_rental
from swardcost_api.engine.pricing.rental_terms import RentalTerms
from swardcost_api.units import in_trade_units
from swardcost_model import price_terms
from swardcost_model.values import from_minor, minor_unit

MONDAY = date(2026, 6, 1)
DAY = {"name": "day", "days": 1, "price": "450.00", "included_hours": "8"}
WEEK = {"name": "week", "days": 7, "price": "1450.00", "included_hours": "40"}


def terms(**fields: Any) -> price_terms.RentalTerms:
    """A yard's terms: by the day and by the week unless it says otherwise."""
    return price_terms.RentalTerms.model_validate({"periods": [DAY, WEEK]} | fields)


def need(key: str, hours: str, start: int, end: int | None = None) -> Need:
    """Hours between two days, counted from a Monday; the end left out is far away."""
    last = start + 400 if end is None else end
    return Need(key, Decimal(hours), MONDAY + timedelta(start), MONDAY + timedelta(last))


def hire(*needs: Need, **fields: Any) -> Hire:
    return price_hire(needs, terms(**fields), "USD")


def printed(charges: Sequence[Charge]) -> list[tuple[str, str, str, str, int]]:
    """Part, words, quantity with unit, price and amount of each charge."""
    return [
        (one.part, one.words, f"{one.quantity.normalize():f} {one.unit}", f"{one.price:f}", one.amount_minor)
        for one in charges
    ]


def assert_hire(found: Hire) -> None:
    """Nothing is lost between needs, stays and total; everything printed can be redone and shown."""
    assert sum(one.amount_minor for one in found.needs) == found.total_minor
    assert sum(stay.cost.total_minor for stay in found.stays) == found.total_minor
    assert found.rented_days == found.working_days + found.idle_days
    assert found.working_days == sum(len(one.dates) for one in found.needs)
    assert sorted(key for stay in found.stays for key in stay.keys) == sorted(
        one.key for one in found.needs if one.dates
    )
    for one in found.needs:
        for charge in one.charges:
            assert_charge(charge, found.currency)
            for step in charge.steps:
                assert in_trade_units(step.value, step.unit, "us_customary", "short_ton").strip()
    assert_steps(found.steps, minor_unit(found.currency))


def test_a_stay_of_one_need_is_charged_line_by_line() -> None:
    found = hire(
        need("dressing", "88", 0), delivery="180", pick_up="95.50", damage_waiver_percent="12", hours_a_day="10",
        fuel={"use_per_hour": "2.4", "unit": "us_gallon", "price": "4.19"},
    )  # fmt: skip
    assert printed(found.needs[0].charges) == [
        ("rental", "Hire by the week", "2 rental_week", "1450.00", 290_000),
        ("over_hours", "Hours over the 40 in a week from 2026-06-01", "10 hour", "36.25", 36_250),
        ("delivery", "Delivery", "1 each", "180.00", 18_000),
        ("pick_up", "Pick-up", "1 each", "95.50", 9_550),
        ("damage_waiver", "Damage waiver, 12 % of the time charge", "1 each", "391.50", 39_150),
        ("fuel", "Fuel", "211.2 us_gallon", "4.19", 88_493),
    ]
    assert (found.cover, found.machines) == ("2 weeks", 1)
    waiver = found.needs[0].charges[4]
    assert [step.name for step in waiver.steps][-2:] == ["time charge", "amount"]
    assert_hire(found)


def test_days_paid_for_and_not_worked_are_idle() -> None:
    found = hire(need("sodding", "32", 0))
    assert (found.rented_days, found.working_days, found.idle_days) == (7, 4, 3)


def test_a_machine_works_on_working_days_as_early_as_it_can() -> None:
    friday = need("coring", "20", 4)
    (plain,), (weekend,) = hire(friday).needs, hire(friday, works_weekends=True).needs
    assert [day.isoformat() for day in plain.dates] == ["2026-06-05", "2026-06-08", "2026-06-09"]
    assert [day.isoformat() for day in weekend.dates] == ["2026-06-05", "2026-06-06", "2026-06-07"]


def test_hours_that_do_not_fit_between_the_dates_go_on_and_are_said_to() -> None:
    found = hire(need("a", "33", 0, 2), need("b", "8", 7, 7))
    assert found.needs[0].dates[-1] == MONDAY + timedelta(4)
    assert (found.overrun, found.needs[1].overrun) == ({"a": 2}, 0)


def test_a_start_on_a_day_off_moves_to_the_next_working_day() -> None:
    found = hire(need("a", "4", 5, 6))
    assert (found.needs[0].dates, found.overrun) == ((MONDAY + timedelta(7),), {"a": 1})


def test_needs_at_work_at_once_take_a_machine_each() -> None:
    found = hire(need("a", "16", 0), need("b", "8", 1), need("c", "8", 2))
    assert [one.machine for one in found.needs] == [1, 2, 1]
    assert (found.machines, found.cover) == (2, "machine 1: 3 days; machine 2: 1 day")


def test_a_need_goes_to_the_machine_that_was_freed_last() -> None:
    found = hire(need("a", "8", 0), need("b", "16", 0), need("c", "8", 3))
    assert {one.key: one.machine for one in found.needs} == {"a": 1, "b": 2, "c": 2}


def test_a_stay_of_several_needs_is_shared_by_their_hours() -> None:
    found = hire(need("a", "12", 0, 1), need("b", "28", 2, 7), hours_a_day="10", delivery="0.01")
    assert [printed(one.charges) for one in found.needs] == [
        [("rental", "Share of the hire of machine 1: 12 of 40 hours", "1 each", "435.00", 43_500)],
        [("rental", "Share of the hire of machine 1: 28 of 40 hours", "1 each", "1015.01", 101_501)],
    ]
    assert "total" in [step.name for step in found.needs[0].charges[0].steps]
    assert_hire(found)


def test_a_machine_is_sent_away_where_that_costs_less_than_keeping_it() -> None:
    needs = need("a", "8", 0), need("b", "8", 21)
    near = hire(*needs, delivery="2000", pick_up="2000")
    assert (near.cover, len(near.stays)) == ("3 weeks + 1 day", 1)
    far = hire(*needs, delivery="180", pick_up="180")
    assert (far.cover, len(far.stays), far.machines) == ("1 day, sent away, 1 day", 2, 1)
    assert "kept from first to last it would cost 5,160 USD" in far.steps[0].source
    assert_hire(far)


def test_a_period_counts_at_its_printed_price_where_ways_are_compared() -> None:
    """100.005 is 100.01 a day, and 200.02 for each of the 7.5 hours over."""
    day = DAY | {"price": "100.005", "included_hours": "0.5"}
    found = hire(need("a", "8", 0), need("b", "8", 2), periods=[day])
    assert found.total_minor == 2 * (10_001 + 150_015)
    assert "it would cost 3,300.33 USD" in found.steps[0].source


def test_at_the_same_cost_the_machine_stays() -> None:
    assert len(hire(need("a", "8", 0), need("b", "8", 1)).stays) == 1


def test_hours_over_print_on_one_line_only_where_the_yard_would_round_to_the_same() -> None:
    def over(price: str) -> list[tuple[str, int]]:
        found = hire(
            need("a", "18", 0), hours_a_day="9", periods=[DAY | {"over_hour_price": price}],
        )  # fmt: skip
        assert_hire(found)
        return [
            (one.words, one.amount_minor)
            for one in found.needs[0].charges
            if one.part is Part.OVER_HOURS
        ]  # fmt: skip

    assert over("40.00") == [("Hours over the 8 in a day", 8_000)]
    assert over("40.005") == [
        ("Hours over the 8 in a day from 2026-06-01", 4_001),
        ("Hours over the 8 in a day from 2026-06-02", 4_001),
    ]


def test_a_hire_by_the_hour_charges_the_least_hours_of_each_day() -> None:
    found = hire(
        need("a", "9", 0), periods=[], hourly={"price": "50", "least_hours_a_day": "2"}, hours_a_day="8"
    )
    assert printed(found.needs[0].charges) == [("rental", "Hire by the hour", "10 hour", "50", 50_000)]
    assert_hire(found)


def test_no_hours_hire_nothing() -> None:
    found = hire(need("a", "0", 0), need("b", "8", 0))
    assert found.needs[0] == Hired("a", 0, (), 0, ())
    assert (found.machines, found.total_minor) == (1, 45_000)
    assert hire(need("a", "0", 0)).total_minor == 0


@pytest.mark.parametrize(
    "needs",
    [
        [], [need("a", "8", 0), need("a", "8", 9)], [need("a", "-1", 0)], [need("a", "nan", 0)],
        [need("a", "8", 3, 2)], [need("a", "9000", 0)], [need("a", "6400", 0)],
        [Need("a", Decimal(8), date.max, date.max)],
    ],
)  # fmt: skip
def test_needs_that_make_no_sense_are_refused(needs: list[Need]) -> None:
    with pytest.raises(ValueError, match="expected"):
        hire(*needs)


def test_a_currency_that_is_not_known_is_refused() -> None:
    with pytest.raises(ValueError, match="currency: expected"):
        price_hire([need("a", "8", 0)], terms(), "XXX")


def test_needs_years_apart_are_stays_of_their_own() -> None:
    found = hire(need("a", "8", 0), need("b", "8", 1_200))
    assert [stay.keys for stay in found.stays] == [("a",), ("b",)]
    assert found.steps[0].source == "stays chosen for the least cost"


PRICES = st.decimals(0, 900, places=2).map(str)


@st.composite
def any_terms(draw: st.DrawFn) -> price_terms.RentalTerms:
    """Rates by the day, the week, four weeks and the hour, metered or not, and what comes on top."""
    periods = [
        {
            "name": name, "days": days, "price": draw(PRICES),
            "included_hours": draw(st.none() | st.decimals(1, 8 * days, places=1).map(str)),
            "over_hour_price": draw(st.none() | st.decimals(0, 90, places=3).map(str)),
        }
        for name, days in (("day", 1), ("week", 7), ("four-week period", 28))
        if draw(st.booleans())
    ]  # fmt: skip
    by_hour = {"price": draw(PRICES), "least_hours_a_day": draw(st.sampled_from(["0.5", "2", "4"]))}
    fuel = {"use_per_hour": draw(st.sampled_from(["0.7", "2.35"])), "unit": "us_gallon", "price": "4.199"}
    return terms(
        periods=periods, hourly=by_hour if not periods or draw(st.booleans()) else None,
        delivery=draw(PRICES), pick_up=draw(PRICES), damage_waiver_percent=draw(st.sampled_from(["0", "12.5"])),
        fuel=draw(st.sampled_from([None, fuel])), hours_a_day=draw(st.sampled_from(["4", "8", "9.5"])),
        works_weekends=draw(st.booleans()),
    )  # fmt: skip


HOURS = st.integers(1, 160).map(lambda quarters: str(Decimal(quarters) / 4))


@st.composite
def any_needs(draw: st.DrawFn, most: int = 6) -> list[Need]:
    count = draw(st.integers(1, most))
    starts = [draw(st.integers(0, 60)) for _ in range(count)]
    return [
        need(f"item {number}", draw(HOURS), start, start + draw(st.integers(0, 9)))
        for number, start in enumerate(starts)
    ]


def hours_by_date(one: Hired, hours: Decimal, a_day: Decimal) -> dict[date, Decimal]:
    """Full days, and the rest on the last one."""
    full = dict.fromkeys(one.dates, a_day)
    return full | {one.dates[-1]: hours - a_day * (len(one.dates) - 1)}


@given(any_needs(), any_terms(), st.sampled_from(["USD", "JPY"]))
@settings(max_examples=60, deadline=None)
def test_no_way_to_keep_or_send_away_is_cheaper(
    needs: list[Need], terms: price_terms.RentalTerms, currency: str
) -> None:
    """Every way to cut the needs of a machine into stays, each stay priced on its own."""
    found = price_hire(needs, terms, currency)
    hired, hours = RentalTerms.of_price_list(terms, currency), {one.key: one.hours for one in needs}

    def stay(group: Sequence[Hired]) -> int:
        dates: dict[date, Decimal] = {}
        for one in group:
            dates |= hours_by_date(one, hours[one.key], terms.hours_a_day)
        return cheapest_rental(hours_by_date=dates, terms=hired).total_minor

    for machine in range(1, found.machines + 1):
        served = sorted((one for one in found.needs if one.machine == machine), key=lambda one: one.dates)
        cost = {
            (i, j): stay(served[i:j])
            for i in range(len(served))
            for j in range(i + 1, len(served) + 1)
        }  # fmt: skip
        least = min(
            sum(cost[cut] for cut in pairwise([0, *cuts, len(served)]))
            for cuts in (
                [at for at in range(1, len(served)) if chosen >> at & 1] for chosen in range(0, 1 << len(served), 2)
            )
        )  # fmt: skip
        assert sum(one.cost.total_minor for one in found.stays if one.machine == machine) == least
        throughout = from_minor(cost[0, len(served)], currency)
        source = found.steps[machine - 1].source
        assert "kept" not in source or f"it would cost {in_words(throughout)} {currency}" in source


@given(any_needs(), any_terms(), st.sampled_from(["USD", "JPY", "KWD"]))
@settings(max_examples=60, deadline=None)
def test_no_cent_is_lost_and_everything_can_be_redone(
    needs: list[Need], terms: price_terms.RentalTerms, currency: str
) -> None:
    assert_hire(price_hire(needs, terms, currency))


@given(any_needs(12), any_terms())
@settings(max_examples=40, deadline=None)
def test_there_are_as_many_machines_as_needs_at_work_on_one_day(
    needs: list[Need], terms: price_terms.RentalTerms
) -> None:
    found = price_hire(needs, terms, "USD")
    at_work: dict[date, list[int]] = {}
    for one in found.needs:
        first, last = one.dates[0], one.dates[-1]
        for number in range((last - first).days + 1):
            at_work.setdefault(first + timedelta(number), []).append(one.machine)
    assert found.machines == max(len(machines) for machines in at_work.values())
    assert all(len(set(machines)) == len(machines) for machines in at_work.values())


@given(any_needs(), any_terms(), st.randoms())
@settings(max_examples=30, deadline=None)
def test_the_order_of_the_needs_does_not_matter(
    needs: list[Need], terms: price_terms.RentalTerms, random: Any
) -> None:
    other = random.sample(needs, len(needs))
    one, another = price_hire(needs, terms, "USD"), price_hire(other, terms, "USD")
    assert one.total_minor == another.total_minor
    assert {n.key: n for n in one.needs} == {n.key: n for n in another.needs}


@given(any_needs(4), any_terms(), HOURS)
@settings(max_examples=60, deadline=None)
def test_more_hours_never_cost_less_on_the_same_machines(
    needs: list[Need], terms: price_terms.RentalTerms, more: str
) -> None:
    longer = [Need(one.key, one.hours, one.starts_on, one.ends_on) for one in needs]
    longer[0] = Need(needs[0].key, needs[0].hours + Decimal(more), needs[0].starts_on, needs[0].ends_on)
    before, after = price_hire(needs, terms, "USD"), price_hire(longer, terms, "USD")
    assume([one.machine for one in before.needs] == [one.machine for one in after.needs])
    assert after.total_minor >= before.total_minor


@given(HOURS, any_terms(), HOURS, st.integers(0, 30))
@settings(max_examples=60, deadline=None)
def test_more_hours_of_one_need_never_cost_less(
    hours: str, terms: price_terms.RentalTerms, more: str, start: int
) -> None:
    longer = str(Decimal(hours) + Decimal(more))
    least = price_hire([need("a", hours, start)], terms, "USD").total_minor
    assert price_hire([need("a", longer, start)], terms, "USD").total_minor >= least
