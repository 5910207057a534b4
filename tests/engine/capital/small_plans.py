"""Small plans: building them, telling what a placement breaks from the rules alone, and trying all there are."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from decimal import ROUND_HALF_UP, Decimal
from itertools import product

from hypothesis import strategies as st
from swardcost_api.engine.capital.candidates import After, Candidate, Limits, Question, ReserveLimit
from swardcost_api.engine.capital.reserve import Flows, InterestTerms

FIRST_YEAR = 2027
Starts = Mapping[str, int]


def a_project(key: str, *costs_minor: int, years: int = 4, name: str = "", **more: object) -> Candidate:
    """A project whose phases cost the same whenever it starts, worth 1, that closes nothing and can start any year."""
    given: dict[str, object] = {
        "key": key,
        "name": name or key,
        "costs_minor": [costs_minor] * years,
        "closure_days": (0,) * len(costs_minor),
        "value": Decimal(1),
        "earliest": 0,
        "latest": years - 1,
    }
    return Candidate(**(given | more))  # type: ignore[arg-type]


def a_question(
    *projects: Candidate,
    years: int = 4,
    spending: Sequence[int | None] | None = None,
    days: Sequence[int | None] | None = None,
    reserve: ReserveLimit | None = None,
    late: str = "3",
) -> Question:
    """A question of projects, without limits but those that are given."""
    limits = Limits(tuple(spending or [None] * years), tuple(days or [None] * years), reserve)
    return Question(FIRST_YEAR, years, projects, limits, Decimal(late))


def a_reserve(
    opening: int,
    floors: Sequence[int | None],
    percent: str = "0",
    on: str = "opening_balance",
    income: int = 0,
) -> ReserveLimit:
    """A reserve with the same income each year."""
    terms = InterestTerms(Decimal(percent), on)  # type: ignore[arg-type]
    return ReserveLimit(opening, tuple(Flows(income) for _ in floors), terms, tuple(floors))


def another(question: Question, candidates: Sequence[Candidate] | None = None, **limits: object) -> Question:
    """The question with other projects or other limits."""
    return Question(
        question.first_year,
        question.years,
        list(question.candidates.values()) if candidates is None else candidates,
        replace(question.limits, **limits),  # type: ignore[arg-type]
        question.late_percent,
    )


def keeps_all(question: Question, starts: Starts) -> bool:
    """Whether a placement keeps every rule, told from the rules alone with `Decimal`."""
    candidates, limits = question.candidates, question.limits
    spent, days = [0] * question.years, [0] * question.years
    for key, one in candidates.items():
        if key not in starts:
            if one.required:
                return False
            continue
        start = starts[key]
        if start + len(one.closure_days) > question.years:
            return False
        for phase, closed in enumerate(one.closure_days):
            spent[start + phase] += one.costs_minor[start][phase]
            days[start + phase] += closed
        for link in one.after:
            if link.key not in starts or starts[link.key] + link.years > start:
                return False
        partners = [o.key for o in candidates.values() if one.together and o.together == one.together]
        if any(starts.get(partner) != start for partner in partners):
            return False
    for figures, most in ((spent, limits.spending_minor), (days, limits.closure_days)):
        if any(limit is not None and figure > limit for figure, limit in zip(figures, most, strict=True)):
            return False
    return limits.reserve is None or _stays_above(limits.reserve, spent)


def _stays_above(reserve: ReserveLimit, spent: Sequence[int]) -> bool:
    balance = Decimal(reserve.opening_minor)
    for flows, minor, floor in zip(reserve.flows, spent, reserve.floors_minor, strict=True):
        net = flows.income_minor + flows.drawn_minor - flows.spending_minor - flows.payments_minor - minor
        base = balance + Decimal(net) / 2 if reserve.interest.on == "average_balance" else balance
        earned = (max(base, Decimal(0)) * reserve.interest.percent / 100).quantize(Decimal(1), ROUND_HALF_UP)
        balance += net + earned
        if floor is not None and balance < floor:
            return False
    return True


def points(question: Question, starts: Starts) -> Decimal:
    """What a placement is worth, each start rounded to 0.0001 of a point."""
    return sum(
        (
            (question.candidates[key].value * (1 - question.late_percent / 100) ** start).quantize(
                Decimal("0.0001"), ROUND_HALF_UP
            )
            for key, start in starts.items()
        ),
        Decimal(0),
    )


def all_placements(question: Question) -> Iterator[Starts]:
    """Every way to start each project in a year of its window, or not at all."""
    keys = list(question.candidates)
    windows = [[None, *range(one.earliest, one.latest + 1)] for one in question.candidates.values()]
    for chosen in product(*windows):
        yield {key: start for key, start in zip(keys, chosen, strict=True) if start is not None}


def best_by_trying_all(question: Question) -> Decimal | None:
    """The most that a placement which keeps all is worth; `None` where none does."""
    return max(
        (points(question, one) for one in all_placements(question) if keeps_all(question, one)), default=None
    )


MONEY = st.one_of(st.integers(0, 12), st.integers(0, 3).map(lambda n: n * 30_000_001), st.integers(0, 10**8))


@st.composite
def questions(draw: st.DrawFn, most_projects: int = 4, most_years: int = 4) -> Question:
    """Questions of a few projects and years with all kinds of limits, some tight to the minor unit."""
    years = draw(st.integers(1, most_years))
    keys = "ABCD"[: draw(st.integers(1, most_projects))]
    money = draw(
        st.sampled_from([st.integers(0, 12), st.integers(0, 3).map(lambda n: n * 30_000_001), MONEY])
    )
    projects = [draw(_projects(key, keys, years, money)) for key in keys]

    def by_year(figures: st.SearchStrategy[int]) -> tuple[int | None, ...]:
        return tuple(draw(st.lists(st.none() | figures, min_size=years, max_size=years)))

    reserve = None
    if draw(st.booleans()):
        flows = st.lists(st.builds(Flows, money, spending_minor=money), min_size=years, max_size=years)
        terms = InterestTerms(
            draw(st.sampled_from([Decimal(0), Decimal(5), Decimal("12.5"), Decimal(-4)])),
            draw(st.sampled_from(["opening_balance", "average_balance"])),  # type: ignore[arg-type]
        )
        opening = draw(money) * draw(st.sampled_from([1, 2, -1]))
        floors = by_year(st.just(0) | money | money.map(lambda minor: -minor))
        reserve = ReserveLimit(opening, tuple(draw(flows)), terms, floors)
    limits = Limits(by_year(money.map(lambda minor: 2 * minor)), by_year(st.integers(0, 12)), reserve)
    late = draw(st.sampled_from([Decimal(0), Decimal(3), Decimal("12.5")]))
    return Question(FIRST_YEAR, years, projects, limits, late)


@st.composite
def _projects(draw: st.DrawFn, key: str, keys: str, years: int, money: st.SearchStrategy[int]) -> Candidate:
    phases = draw(st.integers(1, min(2, years)))
    costs = st.lists(money, min_size=phases, max_size=phases)
    earliest = draw(st.integers(0, years - 1))
    latest = draw(st.integers(earliest, years - 1))
    links = st.builds(After, st.sampled_from([one for one in keys if one != key] or ["?"]), st.integers(0, 2))
    return Candidate(
        key,
        f"Project {key}",
        draw(st.lists(costs, min_size=years, max_size=years)),
        tuple(draw(st.lists(st.integers(0, 8), min_size=phases, max_size=phases))),
        Decimal(draw(st.integers(1, 12))),
        earliest,
        latest,
        draw(st.none() | st.integers(earliest, latest)),
        required=draw(st.sampled_from([False, False, True])),
        after=tuple(draw(st.lists(links, max_size=1))) if len(keys) > 1 else (),
        together=draw(st.sampled_from([None, None, None, "X"])),
    )
