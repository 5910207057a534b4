"""What scenarios say in words: what is changed, what follows, how it differs, and what speaks against it."""

from collections.abc import Iterator, Sequence

from swardcost_model.plan_scenarios import (
    ContributionByAmount,
    ContributionByPercent,
    ContributionChange,
    LeastContribution,
    MoneyChanges,
    StatedContribution,
)
from swardcost_model.scenario_figures import ScenarioFigures, ScenarioTotals
from swardcost_model.values import Money

from swardcost_api.capital.plan_words import cautions, listed, over_limits
from swardcost_api.capital.scenario_warnings import against
from swardcost_api.capital.scenarios import CountedScenario

METHOD = (
    "Every scenario is counted as the plan is: costs grow, the reserve earns interest and loans are paid back by the "
    "same rules, on the plan as it was read at one moment. Nothing of a plan is changed.",
    "Changes of the contribution are made to the contribution of each year: by a percentage, rounded half up to the "
    "minor unit, or by an amount, never below nothing.",
    "A least contribution is found for the projects in the years of the scenario. The years of a best timing are found "
    "with the contribution that is stated, within spending limits, closure days and the floor of the reserve.",
    "The cost of moving is growth + upkeep - interest kept of all projects in other years than dated, under the money "
    "of the scenario and with all other projects as dated; what is left out or has no year is not in it.",
    "Worth is the score of each project that is done within the plan x (1 - late percent / 100)^years from the first, "
    "rounded half up to 0.0001, added up; without criteria every project scores 1.",
    "Differences are of the figures as shown.",
    "The warnings of a scenario are all that speaks against it, also what speaks against the plan as dated.",
)
_STARTS = {
    "as_dated": "Projects as dated.",
    "as_decided": "Projects as decided.",
    "best_timing": "Projects where they are worth most within all limits.",
}


def changes(found: CountedScenario) -> Iterator[str]:
    """What is changed of the plan."""
    scenario, projects = found.scenario, found.scenario.projects
    yield _STARTS[scenario.start]
    labels = {one.stated.id: one.label for one in found.base.projects}
    if projects.left_out:
        yield f"Left out: {listed([labels[one] for one in projects.left_out])}."
    if projects.deferred_by:
        years = "year" if projects.deferred_by == 1 else "years"
        others = " other" if projects.moved else ""
        yield f"Every{others} dated project {projects.deferred_by} {years} later."
    if projects.moved:
        yield f"Moved: {listed([f'{labels[one.project_id]} to {one.year}' for one in projects.moved])}."
    if projects.capital_threshold is not None:
        yield f"Projects are capital from {money_words(projects.capital_threshold)}."
    yield from _money_changes(scenario.money)


def _money_changes(money: MoneyChanges) -> Iterator[str]:
    if money.contribution is not None:
        yield _contribution(money.contribution)
    for asked in money.assessments:
        yield f"{asked.name}: {money_words(asked.amount)} assessed in {asked.year}."
    for loan in money.loans:
        yield (
            f"{loan.name}: {money_words(loan.principal)} borrowed in {loan.drawn_in} at {loan.annual_percent:f} "
            f"percent for {loan.years} {'year' if loan.years == 1 else 'years'}."
        )
    for what, points in (("Costs grow", money.growth_points), ("The reserve earns", money.interest_points)):
        if points:
            more = "more" if points > 0 else "less"
            unit = "percentage point" if abs(points) == 1 else "percentage points"
            yield f"{what} {abs(points):f} {unit} a year {more}."
    if money.least_balance is not None:
        yield f"The floor of the reserve is {money_words(money.least_balance)}."
    if money.spending_limit is not None:
        yield f"At most {money_words(money.spending_limit)} a year is spent, in the first year's money."
    if money.without_spending_limit:
        yield "There is no limit of spending."


def _contribution(change: ContributionChange) -> str:
    match change:
        case LeastContribution():
            rise = _rise(f"{change.percent_a_year:f}")
            return f"The least contribution that keeps the floor{rise}, in place of the plan's own."
        case StatedContribution():
            rise = _rise(f"{change.percent_a_year:f}")
            return f"A contribution of {money_words(change.amount)} a year{rise}, in place of the plan's own."
        case ContributionByPercent():
            return f"The contribution of every year {_more(f'{change.percent:f}', ' percent')}."
        case ContributionByAmount():
            amount = f"{change.amount.amount:,f}"
            return f"The contribution of every year {_more(amount, f' {change.amount.currency}')}."


def _rise(percent: str) -> str:
    if not percent.strip("-0."):
        return ""
    return f", {'falling' if percent.startswith('-') else 'rising'} by {percent.lstrip('-')} percent a year"


def _more(amount: str, unit: str) -> str:
    return f"{amount.lstrip('-')}{unit} {'less' if amount.startswith('-') else 'more'}"


def money_words(money: Money) -> str:
    """An amount in words."""
    return f"{money.amount:,f} {money.currency}"


def conclusion(totals: ScenarioTotals, floor: Money) -> str:
    """What the reserve does, as the end of a sentence."""
    lowest = f"{money_words(totals.least_balance)} at the end of {totals.least_balance_year}"
    if totals.first_year_below_zero is not None:
        return f"the reserve is below zero first in {totals.first_year_below_zero}, and lowest with {lowest}."
    if totals.first_year_below_floor is not None:
        return (
            f"the reserve is below its floor of {money_words(floor)} first in {totals.first_year_below_floor}, and "
            f"lowest with {lowest}."
        )
    return f"the reserve keeps at least {lowest}."


def beside_first(found: ScenarioFigures, first: ScenarioFigures) -> str:
    """A scenario in a sentence, beside the first where both are possible."""
    if found.totals is None:
        return f"{found.name}: not possible. {found.conflict}"
    parts = []
    if found is not first and first.totals is not None:
        parts = list(_differences(found.totals, first.totals, found.years[0].year))
        than = f" than {first.name}" if parts else f"contributes and spends the same as {first.name}"
        parts = [*parts[:-1], (parts[-1] if parts else "") + than]
    return f"{found.name}: {'; '.join([*parts, *_moves(found.totals), found.conclusion])}"


def _differences(totals: ScenarioTotals, first: ScenarioTotals, year: int) -> Iterator[str]:
    for before, now, was, after in (
        ("contributes", totals.contribution_first_year, first.contribution_first_year, f" in {year}"),
        ("contributes", totals.contributions, first.contributions, " in all"),
        ("spends", totals.spending, first.spending, " on projects"),
        ("pays", totals.interest_paid, first.interest_paid, " of interest on loans"),
    ):
        difference = now.amount - was.amount
        if difference:
            more = "more" if difference > 0 else "less"
            yield f"{before} {abs(difference):,f} {now.currency} {more}{after}"


def _moves(totals: ScenarioTotals) -> Iterator[str]:
    if totals.projects_moved:
        cost = totals.cost_of_moving
        moved = "1 project is" if totals.projects_moved == 1 else f"{totals.projects_moved} projects are"
        words = "costs" if cost.amount >= 0 else "saves"
        yield f"{moved} moved, which {words} {abs(cost.amount):,f} {cost.currency} in all"
    if totals.projects_left_out:
        left_out = (
            "1 project is" if totals.projects_left_out == 1 else f"{totals.projects_left_out} projects are"
        )
        yield f"{left_out} not begun"


def warnings(found: CountedScenario) -> Iterator[str]:
    """All that speaks against taking a scenario, what speaks against the plan as dated too."""
    counted, wrong = found.counted, against(found)
    if found.gap_percent:
        yield (
            "The timing is not proven to be the best: it may be short of what is possible by up to "
            f"{found.gap_percent:f} percent."
        )
    if found.waiting:
        yield f"Nothing is decided yet on these projects, which count as dated: {listed(found.waiting)}."
    yield from cautions(counted)
    yield from over_limits(counted, found.years)
    for what, names in (
        ("Begun within the plan and not finished in it", [one.label for one in wrong.in_part]),
        (
            "Begun outside the years in which they may",
            [f"{one.label} in {one.stated.year}" for one in wrong.outside_window],
        ),
        ("Without what these projects cost, which nobody knows", [one.label for one in wrong.costless]),
        (
            "Not in the worth, since they are not scored by every criterion",
            [one.label for one in wrong.not_scored],
        ),
    ):
        if names:
            yield f"{what}: {listed(names)}."
    short = wrong.no_contribution
    if short:
        words = f"{short[0]} to {short[-1]}" if len(short) > 1 else str(short[0])
        yield f"The plan's contribution is less than is taken from it, so that none is left: {words}."


def cautions_of_all(found: Sequence[CountedScenario]) -> Iterator[str]:
    """What keeps scenarios of several plans from being compared like for like."""
    plans = list({one.base.plan.id: one.base for one in found}.values())
    if len(plans) == 1:
        return
    if len({(one.years[0], one.years[-1]) for one in plans}) > 1:
        yield "The plans have other years, so that their totals and their last years are not of the same time."
    if len({one.price_year for one in plans}) > 1:
        yield "The costs of the plans are at the prices of other years."
    if len({tuple((of.name, of.weight) for of in one.plan.criteria) for one in plans}) > 1:
        yield "The plans score their projects by other criteria, so that their worth is not of the same measure."
    if len({one.plan.issued_at for one in plans}) > 1:
        yield "An issued plan counts the assets as they stood when it was issued, a draft as they stand now."
