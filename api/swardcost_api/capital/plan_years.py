"""The years of a plan: what comes in, what goes out, what is left, and what a reserve would hold for the assets."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from uuid import UUID

from swardcost_model.capital_plans import YearlyIncome

from swardcost_api.capital.counted_plans import CountedPlan
from swardcost_api.engine.capital.growth import grown, half_up
from swardcost_api.engine.capital.loans import Loan
from swardcost_api.engine.capital.reserve import (
    Flows,
    InterestTerms,
    ReserveYear,
    first_below,
    fully_funded,
    lowest,
    percent_funded,
    projected,
)


@dataclass(frozen=True, slots=True)
class Income:
    """What an income brings in a year: units x each, rounded half up, in minor units."""

    stated: YearlyIncome
    each_minor: int
    amount_minor: int


@dataclass(frozen=True, slots=True)
class LoansOfYear:
    """What is drawn, paid (interest in it) and still owed on all loans in a year, in minor units."""

    drawn_minor: int
    payments_minor: int
    owed_minor: int
    interest_minor: int


@dataclass(frozen=True, slots=True)
class SpendingOfYear:
    """What projects cost in a year, in the money of the year and minor units, and the days on which they close."""

    capital_minor: int
    operating_minor: int
    closure_days: int

    @property
    def all_minor(self) -> int:
        """Capital and operating together."""
        return self.capital_minor + self.operating_minor


@dataclass(frozen=True, slots=True)
class CountedYear:
    """A year of a plan; `fully_funded_minor` is none where no asset is known well enough."""

    year: int
    incomes: tuple[Income, ...]
    assessments_minor: int
    loans: LoansOfYear
    spending: SpendingOfYear
    reserve: ReserveYear
    spending_limit_minor: int | None
    fully_funded_minor: int | None

    def income_of(self, kind: str) -> int:
        """What incomes of a kind bring together."""
        return sum(one.amount_minor for one in self.incomes if one.stated.kind == kind)

    @property
    def percent_funded(self) -> Decimal | None:
        """What is left at its end in percent of the fully funded balance; none where nothing is to be funded."""
        whole = self.fully_funded_minor
        return None if whole is None else percent_funded(self.reserve.closing_minor, whole)


def lowest_year(years: Sequence[CountedYear]) -> CountedYear:
    """The year that closes with the least, the first of several."""
    return years[lowest([year.reserve.closing_minor for year in years])]


def first_year_below(years: Sequence[CountedYear], floor_minor: int) -> CountedYear | None:
    """The first year that closes below a floor; none where none does."""
    place = first_below([year.reserve.closing_minor for year in years], floor_minor)
    return None if place is None else years[place]


def counted_years(counted: CountedPlan) -> list[CountedYear]:
    """Every year of a plan as it is dated."""
    loans = loans_by_year(counted)
    spending = spending_by_year(counted)
    reserve = reserve_of(counted, flows_by_year(counted, loans=loans, spending=spending))
    renewed = renewals(counted)
    return [
        CountedYear(
            year, tuple(incomes_of(counted, year)), assessments_of(counted, year), loans[place], spending[place],
            reserve[place], _spending_limit(counted, place), fully_funded_at(counted, year, renewed),
        )
        for place, year in enumerate(counted.years)
    ]  # fmt: skip


def interest_terms(counted: CountedPlan) -> InterestTerms:
    """What the reserve earns."""
    return InterestTerms(counted.plan.money.interest_percent, counted.plan.money.interest_on)


def reserve_of(counted: CountedPlan, flows: Sequence[Flows]) -> tuple[ReserveYear, ...]:
    """The reserve through the years of the plan with these flows."""
    opening = counted.minor(counted.plan.money.opening_reserve)
    return projected(opening, flows, interest_terms(counted))


def flows_by_year(
    counted: CountedPlan,
    *,
    loans: Sequence[LoansOfYear] | None = None,
    spending: Sequence[SpendingOfYear] | None = None,
    with_contributions: bool = True,
) -> list[Flows]:
    """What comes and goes in each year; without the plan's own contributions where another takes their place."""
    borrowed = loans or loans_by_year(counted)
    spent = spending or spending_by_year(counted)
    return [
        Flows(
            sum(
                one.amount_minor
                for one in incomes_of(counted, year)
                if with_contributions or one.stated.kind != "contribution"
            )
            + assessments_of(counted, year),
            borrowed[place].drawn_minor, spent[place].all_minor, borrowed[place].payments_minor,
        )
        for place, year in enumerate(counted.years)
    ]  # fmt: skip


def incomes_of(counted: CountedPlan, year: int) -> Iterator[Income]:
    """What each income that runs in a year brings: each share grown and rounded, times its units, rounded half up."""
    for income in counted.plan.money.incomes:
        first = income.first_year or counted.years[0]
        if first <= year <= (income.last_year or counted.years[-1]):
            each = grown(counted.minor(income.amount), income.percent_a_year, year - first)
            brought = half_up(Fraction(income.units) * each)
            yield Income(income, each, brought)


def assessments_of(counted: CountedPlan, year: int) -> int:
    """What is asked for once in a year, in minor units."""
    return sum(counted.minor(one.amount) for one in counted.plan.money.assessments if one.year == year)


def loans_by_year(counted: CountedPlan) -> list[LoansOfYear]:
    """What is drawn, paid and owed on the loans in each year of the plan, those drawn before it among them."""
    drawn, paid, owed, interest = ([0] * len(counted.years) for _ in range(4))
    for stated in counted.plan.money.loans:
        loan = Loan(
            counted.minor(stated.principal), stated.annual_percent, stated.years, stated.payments_a_year, stated.method
        )  # fmt: skip
        begins = stated.drawn_in - counted.years[0]
        if begins >= 0:
            drawn[begins] += loan.principal_minor
        for place, year in enumerate(loan.by_year(), start=begins):
            if 0 <= place < len(counted.years):
                paid[place] += year.amount_minor
                owed[place] += year.balance_minor
                interest[place] += year.interest_minor
    return [LoansOfYear(*each) for each in zip(drawn, paid, owed, interest, strict=True)]


def spending_by_year(counted: CountedPlan) -> list[SpendingOfYear]:
    """What the dated projects cost in each year of the plan; what falls after its last year is in none."""
    capital, operating, days = ([0] * len(counted.years) for _ in range(3))
    for project in counted.projects:
        if project.stated.year is None:
            continue
        begins = project.stated.year - counted.years[0]
        into = capital if project.spending == "capital" else operating
        for place, minor in enumerate(project.costs_from(project.stated.year), start=begins):
            if place < len(into):
                into[place] += minor
        for place, phase in enumerate(project.stated.phases, start=begins):
            if place < len(days):
                days[place] += phase.closure_days
    return [SpendingOfYear(*each) for each in zip(capital, operating, days, strict=True)]


def _spending_limit(counted: CountedPlan, place: int) -> int | None:
    limit = counted.plan.money.spending_limit
    if limit is None:
        return None
    return grown(counted.minor(limit), counted.plan.money.spending_limit_percent_a_year, place)


def renewals(counted: CountedPlan) -> dict[UUID, list[int]]:
    """The years in which dated projects give each asset a new life, those of their last phases, in order."""
    found: dict[UUID, list[int]] = {}
    for project in counted.projects:
        if project.last_year is not None:
            for asset_id in project.stated.asset_ids:
                found.setdefault(asset_id, []).append(project.last_year)
    return {key: sorted(years) for key, years in found.items()}


def fully_funded_at(counted: CountedPlan, year: int, renewed: Mapping[UUID, Sequence[int]]) -> int | None:
    """What a reserve would hold for all assets at the end of a year, in the year's prices and minor units.

    Assets that are not replaced, or of which something is not known, are left out; none where no asset is left.
    """
    held: list[int] = []
    for asset in counted.assets:
        if not asset.replaced or asset.gap is not None:
            continue
        assert asset.cost is not None
        assert asset.life_years is not None
        last = max((one for one in renewed.get(asset.id, ()) if one <= year), default=None)
        percent = counted.growth.get(asset.growth_group, counted.plan.growth_percent)
        cost = grown(counted.minor(asset.cost), percent, year - counted.price_year)
        held.append(fully_funded(cost, asset.age_used_in(year, last), asset.life_years))
    return sum(held) if held else None
