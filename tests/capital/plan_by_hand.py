"""A plan redone with decimals from what was stated: the second opinion of its figures."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal, localcontext
from typing import Any

CENT = Decimal("0.01")
Document = Mapping[str, Any]


def cents(exact: Decimal) -> Decimal:
    return exact.quantize(CENT, ROUND_HALF_UP)


def grown(amount: Decimal, percent: str, years: int) -> Decimal:
    """An amount after years of growth, rounded half up."""
    with localcontext(prec=80):
        return cents(amount * (1 + Decimal(percent) / 100) ** years)


def amount_of(document: Document | None) -> Decimal:
    return Decimal(0) if document is None else Decimal(document["amount"])


@dataclass(frozen=True)
class YearByHand:
    opening: Decimal
    income: Decimal
    drawn: Decimal
    interest: Decimal
    spending: Decimal
    payments: Decimal

    @property
    def closing(self) -> Decimal:
        return self.opening + self.income + self.drawn + self.interest - self.spending - self.payments


def costs_by_hand(plan: Document, project: Document, cost: Decimal) -> dict[int, Decimal]:
    """The cost of each phase of a dated project in the money of its year."""
    groups = {one["name"]: one["percent"] for one in plan["growth_groups"]}
    percent = groups.get(project["growth_group"], plan["growth_percent"])
    parts = [cents(cost * Decimal(one["percent"]) / 100) for one in project["phases"]]
    # The tests take costs whose parts are whole cents, so that nothing is left to be split.
    assert sum(parts) == cost
    price_year = plan["price_year"] or plan["first_year"]
    return {
        year: grown(part, percent, year - price_year)
        for year, part in enumerate(parts, start=project["year"])
    }


def level_loan(principal: Decimal, percent: str, years: int, payments: int) -> list[Decimal]:
    """What is paid in each year on a loan of level payments, whose last takes what rounding left."""
    with localcontext(prec=60):
        rate = Decimal(percent) / 100 / payments
        level = cents(principal * rate / (1 - (1 + rate) ** (-years * payments)))
        paid, balance = [], principal
        for number in range(years * payments):
            interest = cents(balance * rate)
            part = balance if number == years * payments - 1 else level - interest
            balance -= part
            paid.append(interest + part)
    return [sum(paid[one * payments : (one + 1) * payments], Decimal(0)) for one in range(years)]


def income_by_hand(plan: Document, year: int) -> Decimal:
    """What incomes and assessments bring in a year."""
    last = plan["first_year"] + plan["years"] - 1
    total = Decimal(0)
    for one in plan["money"]["incomes"]:
        first = one["first_year"] or plan["first_year"]
        if first <= year <= (one["last_year"] or last):
            each = grown(amount_of(one["amount"]), one["percent_a_year"], year - first)
            total += cents(each * Decimal(one["units"]))
    return total + sum(
        (amount_of(one["amount"]) for one in plan["money"]["assessments"] if one["year"] == year), Decimal(0)
    )


def years_by_hand(plan: Document, spending: Mapping[int, Decimal]) -> Sequence[YearByHand]:
    """Every year of a plan, with what projects cost in each."""
    money = plan["money"]
    found: list[YearByHand] = []
    opening = amount_of(money["opening_reserve"])
    for year in range(plan["first_year"], plan["first_year"] + plan["years"]):
        income, drawn, paid = income_by_hand(plan, year), Decimal(0), Decimal(0)
        for loan in money["loans"]:
            principal = amount_of(loan["principal"])
            drawn += principal if loan["drawn_in"] == year else 0
            by_year = level_loan(principal, loan["annual_percent"], loan["years"], loan["payments_a_year"])
            since = year - loan["drawn_in"]
            paid += by_year[since] if 0 <= since < len(by_year) else 0
        spent = spending.get(year, Decimal(0))
        base = opening
        if money["interest_on"] == "average_balance":
            base += (income + drawn - spent - paid) / 2
        interest = cents(max(base, Decimal(0)) * Decimal(money["interest_percent"]) / 100)
        found.append(YearByHand(opening, income, drawn, interest, spent, paid))
        opening = found[-1].closing
    return found
