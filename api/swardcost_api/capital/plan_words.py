"""What the figures of a plan say in words: what follows, what speaks against them, and how they are computed."""

from collections.abc import Iterator, Sequence

from swardcost_api.capital.counted_plans import CountedPlan
from swardcost_api.capital.plan_warnings import TooSoon, against_plan
from swardcost_api.capital.plan_years import CountedYear, first_year_below, lowest_year

_NAMED = 10
METHOD = (
    "Costs are stated at the prices of the price year and grow by the percentage of their group, compounded: cost x "
    "(1 + growth / 100)^years, rounded half up to the minor unit, phase by phase.",
    "Every year: opening + contributions + dues + initiation fees + assessments + loans drawn + interest - spending - "
    "loan payments = closing. Capital and operating projects are both paid from the reserve.",
    "An income of a year is each share, grown and rounded, times its units, rounded half up.",
    "Loans are drawn at the beginning of their year and paid back from that year on.",
    "The fully funded balance is the sum over assets of cost in the year's prices x effective age / life (National "
    "Reserve Study Standards of the Community Associations Institute, quoted by reserve analysts). An asset begins a "
    "new life with the last phase of a project that replaces it.",
    "What is not dated, or has no cost, is in no sum; assets of which cost, life or age is missing are in no balance.",
)


def conclusions(counted: CountedPlan, years: Sequence[CountedYear]) -> Iterator[str]:
    """What the reserve does, how well it is funded, and where limits are passed."""
    yield _spent(counted, years)
    yield _reserve(counted, years)
    yield from _funded(years)
    yield from _loans_left(counted, years)
    yield from over_limits(counted, years)


def _spent(counted: CountedPlan, years: Sequence[CountedYear]) -> str:
    total = sum(year.spending.all_minor for year in years)
    first, last = years[0].year, years[-1].year
    span = f"In {first}" if first == last else f"From {first} to {last}"
    if not counted.projects:
        return f"{span} nothing is spent, since the plan has no projects yet."
    if not counted.dated:
        return f"{span} nothing is spent on projects, since none is dated and has a cost."
    spends = f"{span} the plan spends {counted.words(total)} on {_counted(len(counted.dated), 'project')}"
    if first == last:
        return f"{spends}."
    highest = max(years, key=lambda year: (year.spending.all_minor, -year.year))
    return f"{spends}; most in {highest.year}, {counted.words(highest.spending.all_minor)}."


def _reserve(counted: CountedPlan, years: Sequence[CountedYear]) -> str:
    floor = counted.floor_minor
    named = f"its floor of {counted.words(floor)}" if floor else "zero"
    below, lowest = first_year_below(years, floor), lowest_year(years)
    if below is not None:
        short = floor - below.reserve.closing_minor
        words = f"The reserve falls below {named} first in {below.year}, by {counted.words(short)}"
        if lowest.year != below.year:
            words += f"; it is lowest in {lowest.year}, {counted.words(floor - lowest.reserve.closing_minor)} below"
        return f"{words}."
    return (
        f"The reserve never falls below {named}; it is lowest at the end of {lowest.year}, "
        f"{counted.words(lowest.reserve.closing_minor)}."
    )


def _funded(years: Sequence[CountedYear]) -> Iterator[str]:
    percents = [(year.year, year.percent_funded) for year in years if year.percent_funded is not None]
    if percents:
        (first, begins), (last, ends) = percents[0], percents[-1]
        words = f"The reserve is {begins} percent funded at the end of {first}"
        yield f"{words}." if first == last else f"{words}, and {ends} percent at the end of {last}."


def _loans_left(counted: CountedPlan, years: Sequence[CountedYear]) -> Iterator[str]:
    owed = years[-1].loans.owed_minor
    if owed:
        yield f"At the end of {years[-1].year} {counted.words(owed)} is still owed on loans."


def over_limits(counted: CountedPlan, years: Sequence[CountedYear]) -> Iterator[str]:
    """Where more is spent, or the course is closed on more days, than is allowed."""
    over = [year for year in years if over_spending_limit(year)]
    if over:
        yield f"The spending limit is passed in {_years(one.year for one in over)}."
    closed = [year for year in years if over_closure_limit(counted, year)]
    if closed:
        limit = counted.plan.closure_days_a_year
        yield f"More than {limit} days of closure are asked for in {_years(one.year for one in closed)}."


def over_spending_limit(year: CountedYear) -> bool:
    """Whether projects cost more in a year than may be spent on them."""
    return year.spending_limit_minor is not None and year.spending.all_minor > year.spending_limit_minor


def over_closure_limit(counted: CountedPlan, year: CountedYear) -> bool:
    """Whether projects close the course on more days of a year than they may."""
    limit = counted.plan.closure_days_a_year
    return limit is not None and year.spending.closure_days > limit


def cautions(counted: CountedPlan) -> Iterator[str]:
    """What speaks against taking the plan as it is dated."""
    wrong = against_plan(counted)
    yield from map(_too_soon, wrong.too_soon)
    for group in wrong.apart:
        told = [f"{one.label} in {one.stated.year or 'no year'}" for one in group.projects]
        yield f"Projects of {group.name!r} belong together but begin apart: {listed(told)}."
    for one in wrong.required:
        yield f"Project {one.label} is required and not dated."
    if wrong.doubtful:
        yield f"Taken as capital, though nothing says so: {listed([one.label for one in wrong.doubtful])}."
    due = [
        f"{one.asset.code} ({one.asset.name}){' again' if one.again else ''} in {one.due_in}"
        for one in wrong.not_replaced
    ]
    if due:
        yield f"Due within the plan, and no dated project replaces them: {listed(due)}."
    if wrong.growth_groups:
        named = ", ".join(wrong.growth_groups)
        yield f"Assets of growth groups that the plan does not have take its general rate: {named}."


def _too_soon(one: TooSoon) -> str:
    project, before = one.project, one.before
    if one.soonest is None:
        return f"Project {project.label} is dated, but project {before.label}, which it needs first, is not."
    return (
        f"Project {project.label} begins in {project.stated.year}; project {before.label}, which it needs first, lets "
        f"it begin in {one.soonest} at the soonest."
    )


def _counted(number: int, what: str) -> str:
    return f"{number} {what}" if number == 1 else f"{number} {what}s"


def _years(years: Iterator[int]) -> str:
    return ", ".join(map(str, years))


def listed(names: Sequence[str]) -> str:
    """Names in a row; of many the first ones, and how many more."""
    more = len(names) - _NAMED
    return "; ".join(names[:_NAMED]) + (f"; and {more} more" if more > 0 else "")
