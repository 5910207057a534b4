"""The reserve through the years: money is conserved, more never leaves less, the least contribution is the least."""

from dataclasses import replace
from datetime import date
from decimal import ROUND_HALF_UP, Decimal

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from swardcost_api.engine.capital.deferral import deferral, phased_cost
from swardcost_api.engine.capital.depreciation import straight_line
from swardcost_api.engine.capital.growth import grown
from swardcost_api.engine.capital.least_funding import contributions, least_contribution
from swardcost_api.engine.capital.lives import (
    STARTING_LIVES,
    YearsOfLife,
    age_used,
    age_used_by_judgement,
    due_year,
    starting_life,
)
from swardcost_api.engine.capital.reserve import (
    Flows,
    InterestTerms,
    first_below,
    fully_funded,
    lowest,
    percent_funded,
    projected,
)

amounts = st.integers(0, 10**9)
flows = st.builds(Flows, amounts, amounts, amounts, amounts)
terms = st.builds(
    InterestTerms, st.decimals(0, 12, places=3), st.sampled_from(["opening_balance", "average_balance"])
)


@given(opening=st.integers(-(10**9), 10**10), years=st.lists(flows, min_size=1, max_size=30), interest=terms)
def test_every_year_begins_with_what_the_one_before_left(
    opening: int, years: list[Flows], interest: InterestTerms
) -> None:
    found = projected(opening, years, interest)
    balance = opening
    for one, year in zip(years, found, strict=True):
        assert year.opening_minor == balance
        base = Decimal(balance)
        if interest.on == "average_balance":
            base += Decimal(one.income_minor + one.drawn_minor - one.spending_minor - one.payments_minor) / 2
        earned = (max(base, Decimal(0)) * interest.percent / 100).quantize(Decimal(1), ROUND_HALF_UP)
        assert year.interest_minor == earned
        balance += one.income_minor + one.drawn_minor - one.spending_minor - one.payments_minor + int(earned)
        assert year.closing_minor == balance
    came = sum(one.income_minor + one.drawn_minor for one in years) + sum(y.interest_minor for y in found)
    went = sum(one.spending_minor + one.payments_minor for one in years)
    assert opening + came - went == found[-1].closing_minor


@given(
    opening=st.integers(0, 10**9), years=st.lists(flows, min_size=1, max_size=20), interest=terms,
    more=st.integers(1, 10**8), data=st.data(),
)  # fmt: skip
def test_more_income_never_leaves_less(
    opening: int, years: list[Flows], interest: InterestTerms, more: int, data: st.DataObject
) -> None:
    place = data.draw(st.integers(0, len(years) - 1))
    richer = list(years)
    richer[place] = replace(years[place], income_minor=years[place].income_minor + more)
    before, after = projected(opening, years, interest), projected(opening, richer, interest)
    assert all(
        second.closing_minor >= first.closing_minor for first, second in zip(before, after, strict=True)
    )


@given(
    opening=st.integers(0, 10**9), years=st.lists(flows, min_size=1, max_size=20), interest=terms,
    floor=st.integers(0, 10**8), percent=st.decimals(0, 6, places=2),
)  # fmt: skip
def test_the_least_contribution_is_enough_and_a_cent_less_is_not(
    opening: int, years: list[Flows], interest: InterestTerms, floor: int, percent: Decimal
) -> None:
    found = least_contribution(opening, years, interest, floor, percent_a_year=percent)
    assert found.contribution_minor is not None

    def closings(first: int) -> list[int]:
        paid = contributions(first, percent, len(years), 0)
        richer = [replace(one, income_minor=one.income_minor + p) for one, p in zip(years, paid, strict=True)]
        return [year.closing_minor for year in projected(opening, richer, interest)]

    least = closings(found.contribution_minor)
    assert min(least) >= floor
    assert [year.closing_minor for year in found.years] == least
    assert least[found.binding] == min(least)
    if found.contribution_minor:
        assert min(closings(found.contribution_minor - 1)) < floor
    else:
        assert found.without is None


def test_a_floor_missed_before_anything_is_paid_cannot_be_helped() -> None:
    years = [Flows(spending_minor=500), Flows(), Flows(spending_minor=900)]
    found = least_contribution(400, years, InterestTerms(), 0, begins=1)
    assert (found.contribution_minor, found.without) == (None, 0)
    later = least_contribution(600, years, InterestTerms(), 0, begins=1)
    assert (later.contribution_minor, later.binding, later.without) == (400, 2, 2)
    with pytest.raises(ValueError, match="beginning"):
        least_contribution(600, years, InterestTerms(), 0, begins=3)


def test_percent_funded_of_the_national_standards() -> None:
    """Roof 100,000, 20 years, 8 left, and paint 60,000, 6 years, 2 left; 70,000 held of 100,000 is 70 % (a reserve
    analyst quoting the National Reserve Study Standards)."""
    roof = fully_funded(10_000_000, age_used(2010, 2022, Decimal(20)), Decimal(20))
    paint = fully_funded(6_000_000, age_used_by_judgement(Decimal(2), 2022, 2022, Decimal(6)), Decimal(6))
    assert (roof, paint) == (6_000_000, 4_000_000)
    assert percent_funded(7_000_000, roof + paint) == Decimal("70.00")
    assert percent_funded(7_000_000, 0) is None
    with pytest.raises(ValueError, match="within a life"):
        fully_funded(1, Decimal(21), Decimal(20))


def test_lives_begin_with_the_published_chart() -> None:
    """Years of the American Society of Golf Course Architects' chart, as reprinted by the National Club Association."""
    chart = {
        "green": (15, 30),
        "bunker_sand": (5, 7),
        "pump_station": (15, 20),
        "concrete_path": (15, 30),
        "mulch": (1, 3),
    }
    assert {kind: STARTING_LIVES[kind] for kind in chart} == chart
    assert starting_life("pump_station") == YearsOfLife(Decimal(15), Decimal("17.5"), Decimal(20))
    assert starting_life("bridge") is None
    assert due_year(2010, Decimal("17.5")) == 2028
    assert age_used(2030, 2026, Decimal(10)) == 0
    assert age_used(1990, 2026, Decimal(10)) == 10
    with pytest.raises(ValueError, match="in order"):
        YearsOfLife(Decimal(5), Decimal(4), Decimal(6))


@given(
    cost=st.integers(0, 10**10), share=st.decimals(0, 1, places=3), day=st.dates(date(1990, 1, 1), date(2060, 12, 31)),
    years=st.integers(1, 60),
)  # fmt: skip
def test_depreciation_writes_off_the_cost_less_salvage(
    cost: int, share: Decimal, day: date, years: int
) -> None:
    salvage = int(cost * share)
    found = straight_line(cost, salvage, day, years)
    assert sum(found.values()) == cost - salvage
    assert list(found) == list(range(day.year, day.year + len(found)))
    assert len(found) == years + (day.month > 1)
    whole = Decimal(cost - salvage) / years
    for year in list(found)[1:-1]:
        assert abs(found[year] - whole) <= 1


@given(
    phases=st.lists(st.integers(0, 10**9), min_size=1, max_size=4), percent=st.decimals(0, 9, places=2),
    years_on=st.integers(0, 20), years=st.integers(1, 10), upkeep=st.integers(0, 10**7), interest=st.integers(0, 10**7),
)  # fmt: skip
def test_deferring_costs_growth_and_upkeep_less_interest(
    phases: list[int], percent: Decimal, years_on: int, years: int, upkeep: int, interest: int
) -> None:
    assume(sum(phases) > 0)
    found = deferral(phases, percent, years_on, years, upkeep, Decimal(0), interest)
    later = [grown(minor, percent, years_on + years + place) for place, minor in enumerate(phases)]
    assert found.later_minor == sum(later) >= found.now_minor == sum(phased_cost(phases, percent, years_on))
    assert found.upkeep_minor == upkeep * years
    assert found.net_minor == sum(later) - found.now_minor + upkeep * years - interest
    with pytest.raises(ValueError, match="a year or more"):
        deferral(phases, percent, years_on, 0, upkeep, Decimal(0), interest)


def test_the_first_year_below_a_floor_and_the_first_of_the_lowest_are_named() -> None:
    years = projected(100, [Flows(spending_minor=40), Flows(spending_minor=40), Flows()], InterestTerms())
    found = [year.closing_minor for year in years]
    assert (first_below(found, 30), first_below(found, 20), lowest(found)) == (1, None, 1)
