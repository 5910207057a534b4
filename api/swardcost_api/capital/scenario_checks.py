"""What of a scenario could not be counted: projects and years that its plan does not have, money it cannot have."""

from collections.abc import Iterator
from decimal import Decimal

from swardcost_model.plan_scenarios import (
    ContributionByAmount,
    MoneyChanges,
    ProjectChanges,
    Scenario,
    StatedContribution,
)
from swardcost_model.problems import Fault

from swardcost_api.capital.counted_plans import CountedPlan
from swardcost_api.capital.plan_checks import money_fault
from swardcost_api.capital.project_checks import beginnings
from swardcost_api.engine.capital.growth import LARGEST_PERCENT, LEAST_PERCENT


def scenario_faults(at: str, scenario: Scenario, counted: CountedPlan) -> Iterator[Fault]:
    """Every fault of a scenario of a plan; `at` is the place of the scenario in the question."""
    yield from _money_faults(f"{at}/money", scenario.money, counted)
    yield from _percent_faults(f"{at}/money", scenario.money, counted)
    threshold = scenario.projects.capital_threshold
    yield from money_fault(f"{at}/projects/capital_threshold", threshold, counted.currency)
    yield from _project_faults(
        f"{at}/projects", scenario.projects, counted, whole=scenario.start == "best_timing"
    )


def _money_faults(at: str, money: MoneyChanges, counted: CountedPlan) -> Iterator[Fault]:
    currency, first, last = counted.currency, counted.years[0], counted.years[-1]
    change = money.contribution
    if isinstance(change, StatedContribution):
        yield from money_fault(f"{at}/contribution/amount", change.amount, currency)
    if isinstance(change, ContributionByAmount) and change.amount.currency != currency:
        yield Fault(
            pointer=f"{at}/contribution/amount/currency", expected=f"the club's currency, {currency}",
            got=change.amount.currency,
        )  # fmt: skip
    for place, asked in enumerate(money.assessments):
        yield from money_fault(f"{at}/assessments/{place}/amount", asked.amount, currency)
        yield from _outside(f"{at}/assessments/{place}/year", first, last, asked.year)
    for place, loan in enumerate(money.loans):
        yield from money_fault(f"{at}/loans/{place}/principal", loan.principal, currency, above_zero=True)
        yield from _outside(f"{at}/loans/{place}/drawn_in", first, last, loan.drawn_in)
    yield from money_fault(f"{at}/least_balance", money.least_balance, currency)
    yield from money_fault(f"{at}/spending_limit", money.spending_limit, currency)


def _percent_faults(at: str, money: MoneyChanges, counted: CountedPlan) -> Iterator[Fault]:
    percents = [counted.plan.growth_percent, *(one.percent for one in counted.plan.growth_groups)]
    yield from _points(f"{at}/growth_points", percents, money.growth_points)
    yield from _points(f"{at}/interest_points", [counted.plan.money.interest_percent], money.interest_points)


def _points(pointer: str, percents: list[Decimal], points: Decimal) -> Iterator[Fault]:
    least, most = LEAST_PERCENT - min(percents), LARGEST_PERCENT - max(percents)
    if not least <= points <= most:
        expected = f"from {least:f} to {most:f}, so that every percentage is from {LEAST_PERCENT} to {LARGEST_PERCENT}"
        yield Fault(pointer=pointer, expected=expected, got=f"{points:f}")


def _project_faults(
    at: str, projects: ProjectChanges, counted: CountedPlan, *, whole: bool
) -> Iterator[Fault]:
    """Projects of another plan, and years in which they cannot begin; `whole` asks for all phases within the plan."""
    known = {one.stated.id: one.stated for one in counted.projects}
    named = f"a project of the capital plan {counted.plan.name!r}"
    for place, left_out in enumerate(projects.left_out):
        if left_out not in known:
            yield Fault(pointer=f"{at}/left_out/{place}", expected=named, got=str(left_out))
    for place, moved in enumerate(projects.moved):
        if moved.project_id not in known:
            yield Fault(pointer=f"{at}/moved/{place}/project_id", expected=named, got=str(moved.project_id))
            continue
        possible = beginnings(counted.plan, known[moved.project_id]) if whole else counted.years
        yield from _outside(f"{at}/moved/{place}/year", possible[0], possible[-1], moved.year)


def _outside(pointer: str, first: int, last: int, got: int) -> Iterator[Fault]:
    if not first <= got <= last:
        yield Fault(pointer=pointer, expected=f"a year from {first} to {last}", got=str(got))
