"""How the figures of a best timing came about, step by step."""

from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal
from uuid import UUID

from swardcost_api.capital.counted_plans import CountedPlan, CountedProject
from swardcost_api.capital.plan_steps import TERMS, project_steps, year_steps
from swardcost_api.capital.plan_years import CountedYear
from swardcost_api.capital.scenario_changes import with_years
from swardcost_api.engine.capital.timing import Timing
from swardcost_api.engine.derivation import Input, Step

_SEARCH = "the integer programme of all ways to place the projects, and its bound"
_PLACEMENT = "the projects as they are placed"


def placed_so(counted: CountedPlan, years: Mapping[UUID, int | None]) -> CountedPlan:
    """The plan with its projects in these years alone; what is not among them is not done."""
    return with_years(counted, {one.stated.id: years.get(one.stated.id) for one in counted.projects})


def worth_steps(
    counted: CountedPlan, one: CountedProject, score: Decimal, late_percent: Decimal, worth: Decimal
) -> Iterator[Step]:
    """The cost of a placed project by year, its score, and what that is worth where it begins."""
    assert one.stated.year is not None
    yield from project_steps(counted, one)
    yield Step(
        "worth", float(worth), "each", "score x (1 - late percent / 100)^years, rounded half up to 0.0001",
        (
            Input("score", float(score), "each"), Input("late percent", float(late_percent), "percent"),
            Input("years", float(one.stated.year - counted.years[0]), "year"),
        ),
        TERMS,
    )  # fmt: skip


def timed_year_steps(counted: CountedPlan, year: CountedYear) -> Iterator[Step]:
    """What is spent in a year, project by project, how long the course is closed, and the reserve at its end."""
    parts: list[Input] = []
    days: list[Input] = []
    for one in counted.projects:
        begins = one.stated.year
        place = -1 if begins is None else year.year - begins
        if begins is None or not 0 <= place < len(one.stated.phases):
            continue
        parts.append(
            Input(f"project {one.label}", counted.figure(one.costs_from(begins)[place]), counted.currency)
        )
        closed = one.stated.phases[place].closure_days
        if closed:
            days.append(Input(f"project {one.label}", float(closed), "day"))
    spent = counted.figure(year.spending.all_minor)
    yield Step("spending", spent, counted.currency, "sum over the projects at work", tuple(parts), _PLACEMENT)
    closure = float(year.spending.closure_days)
    yield Step("closure days", closure, "day", "sum over the projects at work", tuple(days), _PLACEMENT)
    yield from year_steps(counted, year)


def timing_steps(found: Timing, worths: Sequence[tuple[CountedProject, Decimal]]) -> Iterator[Step]:
    """The worth of all that is done, what nothing can be worth more than, and the gap between them."""
    each = tuple(
        Input(f"worth of project {one.label} begun in {one.stated.year}", float(worth), "each")
        for one, worth in worths
    )
    yield Step("worth", float(found.worth), "each", "sum over the projects done", each, _PLACEMENT)
    most = Input("most worth", float(found.bound), "each")
    yield Step(
        most.name, most.value, "each", "no placement that keeps every limit is worth more", (), _SEARCH
    )
    yield Step(
        "gap", float(found.gap_percent), "percent", "(most worth - worth) / most worth x 100, rounded up to 0.01",
        (most, Input("worth", float(found.worth), "each")), _SEARCH,
    )  # fmt: skip
