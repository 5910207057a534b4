"""What a scenario changes of a plan, in the language of the packet, and what speaks against it."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from decimal import Decimal
from uuid import UUID

from swardcost_model.plan_scenarios import (
    ContributionByAmount,
    ContributionByPercent,
    ContributionChange,
    LeastContribution,
    MoneyChanges,
    Scenario,
    StatedContribution,
)
from swardcost_model.values import Money

from swardcost_api.capital.service import CountedProject, CountedScenario, ScenariosAsked, against
from swardcost_api.packets.capital.plan_cautions import plan_cautions
from swardcost_api.packets.capital.telling import Telling
from swardcost_api.packets.values import Share


def changes_of(telling: Telling, asked: ScenariosAsked, name: str) -> Iterator[str]:
    """What the scenario of a name starts from and changes, a sentence each."""
    scenario = next(one for one in asked.question.scenarios if one.name == name)
    say, plan = telling.say, asked.base_of(scenario)
    if plan.plan.id != asked.plan_id:
        yield say("Of another plan, %(plan)s.", plan=plan.plan.name)
    yield {
        "as_dated": lambda: say("Projects as dated."),
        "as_decided": lambda: say("Projects as decided."),
        "best_timing": lambda: say("Projects in the years with the highest score within all limits."),
    }[scenario.start]()
    labels = {one.stated.id: telling.label(one.stated) for one in plan.projects}
    yield from _projects(telling, scenario, labels)
    yield from _money(telling, scenario.money)


def _projects(telling: Telling, scenario: Scenario, labels: Mapping[UUID, str]) -> Iterator[str]:
    say, projects = telling.say, scenario.projects
    if projects.left_out:
        names = telling.listed(labels[one] for one in projects.left_out)
        yield say("Left out: %(projects)s.", projects=names)
    if projects.deferred_by:
        yield (
            telling.counted(
                "Every dated project a year later, but those that are moved by themselves.",
                "Every dated project %(number)s years later, but those that are moved by themselves.",
                projects.deferred_by,
            )
            if projects.moved
            else telling.counted(
                "Every dated project a year later.",
                "Every dated project %(number)s years later.",
                projects.deferred_by,
            )
        )
    if projects.moved:
        names = telling.listed(
            say("%(project)s to %(year)s", project=labels[one.project_id], year=one.year)
            for one in projects.moved
        )
        yield say("Moved: %(projects)s.", projects=names)
    if projects.capital_threshold is not None:
        yield say("Projects are capital from %(amount)s.", amount=telling.shown(projects.capital_threshold))


def _money(telling: Telling, money: MoneyChanges) -> Iterator[str]:
    say, shown = telling.say, telling.shown
    if money.contribution is not None:
        yield _contribution(telling, money.contribution)
    for asked in money.assessments:
        told = {"name": asked.name, "amount": shown(asked.amount), "year": asked.year}
        yield say("%(name)s: %(amount)s assessed in %(year)s.", **told)
    for loan in money.loans:
        told = {
            "name": loan.name, "amount": shown(loan.principal), "year": loan.drawn_in,
            "percent": shown(Share(loan.annual_percent)),
        }  # fmt: skip
        yield telling.counted(
            "%(name)s: %(amount)s borrowed in %(year)s at %(percent)s for a year.",
            "%(name)s: %(amount)s borrowed in %(year)s at %(percent)s for %(number)s years.", loan.years, **told,
        )  # fmt: skip
    yield from _rates(telling, money)
    if money.least_balance is not None:
        yield say("The floor of the reserve is %(amount)s.", amount=shown(money.least_balance))
    if money.spending_limit is not None:
        yield say(
            "At most %(amount)s a year is spent, in the first year's money.",
            amount=shown(money.spending_limit),
        )
    if money.without_spending_limit:
        yield say("There is no limit of spending.")


def _rates(telling: Telling, money: MoneyChanges) -> Iterator[str]:
    say = telling.say
    growth, interest = (_digits(telling, abs(one)) for one in (money.growth_points, money.interest_points))
    if money.growth_points > 0:
        yield say("Costs grow faster, percentage points a year: %(points)s.", points=growth)
    elif money.growth_points < 0:
        yield say("Costs grow slower, percentage points a year: %(points)s.", points=growth)
    if money.interest_points > 0:
        yield say("The reserve earns more, percentage points a year: %(points)s.", points=interest)
    elif money.interest_points < 0:
        yield say("The reserve earns less, percentage points a year: %(points)s.", points=interest)


def _contribution(telling: Telling, change: ContributionChange) -> str:
    say = telling.say
    match change:
        case LeastContribution():
            return say("The least contribution that keeps the floor, in place of the plan's own.") + _rise(
                telling, change.percent_a_year
            )
        case StatedContribution():
            amount = telling.shown(change.amount)
            return say(
                "A contribution of %(amount)s a year, in place of the plan's own.", amount=amount
            ) + _rise(telling, change.percent_a_year)
        case ContributionByPercent():
            percent = telling.shown(Share(abs(change.percent)))
            if change.percent < 0:
                return say("The contribution of every year %(percent)s less.", percent=percent)
            return say("The contribution of every year %(percent)s more.", percent=percent)
        case ContributionByAmount():
            money = change.amount
            amount = telling.shown(Money.model_construct(amount=abs(money.amount), currency=money.currency))
            if money.amount < 0:
                return say("The contribution of every year %(amount)s less.", amount=amount)
            return say("The contribution of every year %(amount)s more.", amount=amount)


def _rise(telling: Telling, percent: Decimal) -> str:
    if not percent:
        return ""
    shown = telling.shown(Share(abs(percent)))
    if percent < 0:
        return " " + telling.say("It falls by %(percent)s a year.", percent=shown)
    return " " + telling.say("It rises by %(percent)s a year.", percent=shown)


def _digits(telling: Telling, number: Decimal) -> str:
    return telling.writing.format.number(number)


def not_possible(telling: Telling, found: CountedScenario) -> str:
    """Why a scenario has no figures."""
    say = telling.say
    labels = {one.stated.id: telling.label(one.stated) for one in found.base.projects}
    if found.not_placed:
        names = telling.listed(labels[one] for one in found.not_placed)
        return say(
            "Not possible: these projects are moved, and a best timing cannot place them: %(projects)s.", projects=names
        )  # fmt: skip
    if found.not_kept:
        limits = telling.listed(_limits(telling, found))
        return say("Not possible: no timing of the projects keeps all of these: %(limits)s.", limits=limits)
    if found.no_contribution:
        return say("Not possible: no realistic contribution keeps the reserve at its floor.")
    return say("Not possible: no timing that keeps every limit was found in the effort allowed.")


def _limits(telling: Telling, found: CountedScenario) -> Iterator[str]:
    """The limits that cannot be kept together, those of years by their kind."""
    say = telling.say
    labels = {one.stated.number: telling.label(one.stated) for one in found.base.projects}
    of_years: dict[str, Callable[[str], str]] = {
        "spending": lambda years: say("the spending limit of %(years)s", years=years),
        "closure_days": lambda years: say("the days of closure of %(years)s", years=years),
        "floor": lambda years: say("the floor at the end of %(years)s", years=years),
    }
    for family, words in of_years.items():
        years = sorted(one.year for one in found.not_kept if one.family == family and one.year is not None)
        if years:
            yield words(telling.years(years))
    for one in found.not_kept:
        if one.project is not None and one.after is None:
            yield say("%(project)s, which must be done", project=labels[one.project])
        elif one.project is not None and one.after is not None:
            yield say(
                "%(project)s, which needs %(before)s first", project=labels[one.project], before=labels[one.after]
            )  # fmt: skip


def warnings(telling: Telling, found: CountedScenario) -> Iterator[str]:
    """All that speaks against a scenario that is possible, what speaks against the plan as dated too.

    Without the projects that are not scored, since the packet tells nothing of worth.
    """
    say, wrong, listed = telling.say, against(found), telling.listed

    def names(projects: Sequence[CountedProject]) -> str:
        return listed(telling.label(one.stated) for one in projects)

    if found.gap_percent:
        gap = telling.shown(Share(found.gap_percent))
        yield say("The timing may be short of the best by up to %(percent)s.", percent=gap)
    if wrong.waiting:
        yield say(
            "Nothing is decided yet on these projects, which count as dated: %(projects)s.",
            projects=names(wrong.waiting),
        )
    yield from plan_cautions(telling, found.counted)
    if wrong.over_spending:
        yield say("The spending limit is passed in: %(years)s.", years=telling.years(wrong.over_spending))
    if wrong.over_closure:
        yield say(
            "More days of closure than the plan allows are asked for in: %(years)s.",
            years=telling.years(wrong.over_closure),
        )
    if wrong.in_part:
        yield say("Not finished within the plan: %(projects)s.", projects=names(wrong.in_part))
    if wrong.outside_window:
        begun = [
            say("%(project)s in %(year)s", project=telling.label(one.stated), year=one.stated.year)
            for one in wrong.outside_window
        ]
        yield say("Begun outside the years in which they may: %(projects)s.", projects=listed(begun))
    if wrong.costless:
        yield say("Without a cost, and so in no sum: %(projects)s.", projects=names(wrong.costless))
    if wrong.no_contribution:
        yield say(
            "More is taken from the contribution than there is, so that none is left in: %(years)s.",
            years=telling.years(wrong.no_contribution),
        )
