"""What differs between two terms: each figure named, with what it was and is."""

from decimal import Decimal
from typing import Any

import pytest
from buying import any_terms
from hypothesis import given
from hypothesis import strategies as st
from swardcost_api.engine.pricing.carry_forward import carried_terms
from swardcost_api.engine.pricing.term_moves import moved_terms, percent_change
from swardcost_model.price_terms import LaborBuildUp, PurchaseTerms, RentalTerms

Moves = list[tuple[str, bool, str | None, str | None, str | None]]


def rental(*periods: dict[str, Any], **more: Any) -> RentalTerms:
    return RentalTerms.model_validate({"periods": list(periods)} | more)


def period(
    name: str, days: int, price: str, hours: str | None = None, over: str | None = None
) -> dict[str, Any]:
    return {"name": name, "days": days, "price": price, "included_hours": hours, "over_hour_price": over}


def labor(**more: Any) -> LaborBuildUp:
    tax = {
        "name": "Unemployment", "percent": "0.6", "source": "Form 940",
        "bases": [{"year": 2025, "wages": "7000"}, {"year": 2026, "wages": "7000"}],
    }  # fmt: skip
    grade = {"name": "Hand", "people": 2, "wage": "18.50", "hours_a_week": "40"}
    fields = {"grades": [grade], "burden": [tax], "year": 2025, "own_staff": False} | more
    return LaborBuildUp.model_validate(fields)


def moves(before: Any, after: Any) -> Moves:
    def text(figure: Decimal | None) -> str | None:
        return None if figure is None else f"{figure:f}"

    return [
        (one.name, one.is_money, text(one.before), text(one.after), text(one.percent))
        for one in moved_terms(before, after)
    ]


def test_each_rental_rate_that_moved_is_named_with_what_it_was_and_is() -> None:
    before = rental(
        period("day", 1, "310", "8", "38.75"), period("week", 7, "1450", "40"), period("four_week", 28, "3900"),
        hourly={"price": "75", "least_hours_a_day": "4"}, delivery="180", damage_waiver_percent="12",
    )  # fmt: skip
    after = rental(
        period("four_week", 28, "4095"), period("week", 7, "1500", "40"), period("day", 1, "310", "8", "40"),
        hourly={"price": "75", "least_hours_a_day": "2"}, delivery="180", damage_waiver_percent="15",
    )  # fmt: skip
    # 4095 / 3900 = 1.05; 1500 / 1450 = 1.03448, and so the hour over: 36.25 to 37.50; 40 / 38.75 = 1.03226
    assert moves(before, after) == [
        ("four_week", True, "3900", "4095", "5.00"),
        ("week", True, "1450", "1500", "3.45"),
        ("week, hour over", True, "36.25", "37.50", "3.45"),
        ("day, hour over", True, "38.75", "40", "3.23"),
        ("hourly, least hours a day", False, "4", "2", None),
        ("damage waiver percent", False, "12", "15", None),
    ]


def test_a_rate_that_is_new_or_gone_has_no_percentage() -> None:
    before, after = rental(period("day", 1, "310")), rental(period("week", 7, "1450"), fuel=FUEL)
    assert moves(before, after) == [
        ("week, days", False, None, "7", None), ("week", True, None, "1450", None),
        ("fuel, use per hour", False, None, "2.4", None), ("fuel", True, None, "4.19", None),
        ("day, days", False, "1", None, None), ("day", True, "310", None, None),
    ]  # fmt: skip


FUEL = {"use_per_hour": "2.4", "unit": "us_gallon", "price": "4.19"}


def test_tiers_are_told_apart_by_where_they_begin_and_wage_bases_by_their_year() -> None:
    def tiers(*tiers: tuple[str, str]) -> PurchaseTerms:
        listed = [{"from_quantity": start, "unit_price": price} for start, price in tiers]
        return PurchaseTerms.model_validate({"breaks": {"apply": "each_tier", "tiers": listed}})

    assert moves(tiers(("100", "36"), ("250", "34")), tiers(("250", "34"), ("100.0", "37.08"))) == [
        ("breaks, from 100", True, "36", "37.08", "3.00")
    ]
    raised = labor(
        burden=[
            {
                "name": "Unemployment", "percent": "0.6", "source": "Form 940",
                "bases": [{"year": 2026, "wages": "7700"}, {"year": 2025, "wages": "7000"}],
            }
        ]
    )  # fmt: skip
    assert moves(labor(), raised) == [("Unemployment, wage base of 2026", False, "7000", "7700", None)]
    assert moves(labor(), labor(year=2026)) == [("year", False, "2025", "2026", None)]


def test_two_rules_of_one_name_both_count() -> None:
    def hand(*hours: str) -> LaborBuildUp:
        premium = [{"hours": one, "multiplier": "2", "rule": "Sundays"} for one in hours]
        grade = {"name": "Hand", "people": 1, "wage": "20", "hours_a_week": "46", "premium": premium}
        return labor(grades=[grade])

    assert moves(hand("6", "4"), hand("6", "5")) == [("Hand, Sundays, hours (2)", False, "4", "5", None)]


@given(any_terms())
def test_terms_differ_from_themselves_in_nothing(terms: PurchaseTerms) -> None:
    assert moved_terms(terms, terms) == ()


@given(any_terms(), any_terms())
def test_read_backwards_every_move_says_the_opposite(one: PurchaseTerms, other: PurchaseTerms) -> None:
    forth = {(move.name, move.before, move.after) for move in moved_terms(one, other)}
    assert {(move.name, move.after, move.before) for move in moved_terms(other, one)} == forth


@given(any_terms(), st.decimals(1, 300, places=1))
def test_of_carried_terms_money_alone_moves(terms: PurchaseTerms, percent: Decimal) -> None:
    assert all(move.is_money for move in moved_terms(terms, carried_terms(terms, percent, "USD")))


@pytest.mark.parametrize(
    ("before", "after", "percent"),
    [("8", "8.0004", "0.01"), ("3", "2", "-33.33"), ("200", "200.01", "0.01"), ("0", "5", None)],
)
def test_a_change_in_percent_is_rounded_half_up(before: str, after: str, percent: str | None) -> None:
    found = percent_change(Decimal(before), Decimal(after))
    assert found == (None if percent is None else Decimal(percent))
