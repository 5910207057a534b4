"""What of a stated plan could not be counted: years outside it, money of another currency, amounts below zero."""

from collections.abc import Iterable, Iterator

from swardcost_model import problems
from swardcost_model.capital_plans import PlanFields, PlanProject
from swardcost_model.problems import Fault, ProblemError
from swardcost_model.values import Money

from swardcost_api.capital.project_checks import misfits

MOST_YEARS_OF_GROWTH = 50
"""Prices may be this much older than the first year of a plan."""
_LAST_YEAR = 2299


def refuse_uncountable(currency: str, fields: PlanFields, projects: Iterable[PlanProject] = ()) -> None:
    """Raise `invalid-values` for a plan that could not be counted, or that `projects` of it no longer fit."""
    faults = [*_years(fields), *_amounts(currency, fields)]
    if not faults:
        faults += _unfit(fields, projects)
    if faults:
        raise ProblemError(
            problems.INVALID_VALUES, "This capital plan cannot be counted; nothing was changed.", faults
        )


def last_year(fields: PlanFields) -> int:
    """The last year of a plan."""
    return fields.first_year + fields.years - 1


def money_fault(
    pointer: str, money: Money | None, currency: str, *, above_zero: bool = False
) -> Iterator[Fault]:
    """A fault where an amount is not in the club's currency, or is below zero, or is zero where it may not be."""
    if money is None:
        return
    if money.currency != currency:
        yield Fault(
            pointer=f"{pointer}/currency", expected=f"the club's currency, {currency}", got=money.currency
        )
    elif money.amount < 0 or (above_zero and money.amount == 0):
        expected = "more than zero" if above_zero else "zero or more"
        yield Fault(pointer=f"{pointer}/amount", expected=expected, got=f"{money.amount:f}")


def _years(fields: PlanFields) -> Iterator[Fault]:
    first, last = fields.first_year, last_year(fields)
    if last > _LAST_YEAR:
        yield Fault(pointer="/years", expected=f"a last year of {_LAST_YEAR} or before", got=str(last))
    oldest = first - MOST_YEARS_OF_GROWTH
    if fields.price_year is not None and not oldest <= fields.price_year <= last:
        yield _outside("/price_year", oldest, last, fields.price_year)
    money = fields.money
    for place, income in enumerate(money.incomes):
        begins, ends = income.first_year, income.last_year
        if begins is not None and not oldest <= begins <= last:
            yield _outside(f"/money/incomes/{place}/first_year", oldest, last, begins)
        if ends is not None and not max(begins or first, first) <= ends <= last:
            yield _outside(f"/money/incomes/{place}/last_year", max(begins or first, first), last, ends)
    for place, asked in enumerate(money.assessments):
        if not first <= asked.year <= last:
            yield _outside(f"/money/assessments/{place}/year", first, last, asked.year)
    for place, loan in enumerate(money.loans):
        still_owed = first - loan.years + 1
        if not still_owed <= loan.drawn_in <= last:
            yield _outside(f"/money/loans/{place}/drawn_in", still_owed, last, loan.drawn_in)


def _outside(pointer: str, first: int, last: int, got: int) -> Fault:
    return Fault(pointer=pointer, expected=f"a year from {first} to {last}", got=str(got))


def _amounts(currency: str, fields: PlanFields) -> Iterator[Fault]:
    money = fields.money
    if money.opening_reserve.currency != currency:
        yield Fault(
            pointer="/money/opening_reserve/currency", expected=f"the club's currency, {currency}",
            got=money.opening_reserve.currency,
        )  # fmt: skip
    for place, income in enumerate(money.incomes):
        yield from money_fault(f"/money/incomes/{place}/amount", income.amount, currency)
    for place, asked in enumerate(money.assessments):
        yield from money_fault(f"/money/assessments/{place}/amount", asked.amount, currency)
    for place, loan in enumerate(money.loans):
        yield from money_fault(f"/money/loans/{place}/principal", loan.principal, currency, above_zero=True)
    yield from money_fault("/money/least_balance", money.least_balance, currency)
    yield from money_fault("/money/spending_limit", money.spending_limit, currency)
    yield from money_fault("/capital_threshold", fields.capital_threshold, currency)


def _unfit(fields: PlanFields, projects: Iterable[PlanProject]) -> Iterator[Fault]:
    for project in projects:
        for misfit in misfits(fields, project):
            expected = f"a plan that fits project {project.number} ({project.name}): {misfit.needed}"
            yield Fault(pointer=misfit.in_plan, expected=expected, got=misfit.got)
