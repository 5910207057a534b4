"""An invented plan of 25 years with 120 assets and 40 projects, as figures, as API bodies, and as the engine takes it.

A course of eighteen holes: greens, tees, bunkers, irrigation, paths, bridges, machines and buildings, with ranges of
lives and costs. Groups of assets are renewed by projects; some projects add what was not there. What is dear is dated
about when it is due, so that the plan as it is dated keeps near its limits. The same seed gives the same plan.
"""

import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from swardcost_api.engine.capital.candidates import After, Candidate, Limits, Question, ReserveLimit
from swardcost_api.engine.capital.growth import grown
from swardcost_api.engine.capital.reserve import Flows, InterestTerms
from swardcost_api.engine.capital.uncertain_plans import DatedProject, LivingAsset, UncertainPlan
from swardcost_api.engine.pricing.allocation import split_exactly
from swardcost_api.engine.risk.ranges import Triangular

FIRST_YEAR, YEARS, ASSETS, PROJECTS = 2027, 25, 120, 40
GENERAL_PERCENT = Decimal("3.5")
GROUPS = {"Earth and sand": Decimal("4.1"), "Pipe and pumps": Decimal("5.2"), "Machines": Decimal("3.8")}
CRITERIA = {"Safety": Decimal(3), "Playing quality": Decimal(2), "Cost of waiting": Decimal(2)}
INTEREST = InterestTerms(Decimal("2.5"), "average_balance")
RISE_PERCENT = Decimal(3)
OPENING_MINOR, FLOOR_MINOR = 110_000_000, 20_000_000
INCOME_MINOR, LIMIT_MINOR, CLOSURE_DAYS = 50_000_000, 110_000_000, 36
"""Yearly income and spending limit in the first year's money, and days on which projects may close the course."""


@dataclass(frozen=True)
class BigAsset:
    """An asset; `life` is the least, likely and most years, `cost_range` percent of the cost."""

    code: str
    name: str
    kind: str
    since: int
    life: tuple[int, int, int]
    cost_minor: int
    cost_range: tuple[int, int]
    group: str | None

    @property
    def due_in(self) -> int:
        """The calendar year in which it is due by its likely life."""
        return self.since + self.life[1]


@dataclass(frozen=True)
class BigProject:
    """A project; `phases` are percent and closure days, `after` pairs of number and years before."""

    number: int
    name: str
    assets: tuple[str, ...]
    cost_minor: int
    year: int
    earliest: int
    latest: int
    required: bool
    phases: tuple[tuple[int, int], ...]
    scores: dict[str, int]
    cost_range: tuple[int, int]
    group: str | None
    after: tuple[tuple[int, int], ...] = ()
    together: str | None = None

    @property
    def phases_minor(self) -> list[int]:
        """What each phase costs at the prices of the first year."""
        return split_exactly(self.cost_minor, [percent for percent, _ in self.phases])

    @property
    def growth_percent(self) -> Decimal:
        """Percent a year by which its costs rise."""
        return GENERAL_PERCENT if self.group is None else GROUPS[self.group]

    @property
    def score(self) -> Decimal:
        """The weighted mean of its scores."""
        weighted = sum((CRITERIA[name] * score for name, score in self.scores.items()), Decimal(0))
        return weighted / sum(CRITERIA.values())


@dataclass(frozen=True)
class BigPlan:
    """The plan; `means_percent` scales income and spending limit, so that more or less of it can be paid for."""

    assets: Sequence[BigAsset]
    projects: Sequence[BigProject]
    means_percent: int = 100
    of_asset: dict[str, BigAsset] = field(init=False, repr=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "of_asset", {one.code: one for one in self.assets})

    @property
    def income_minor(self) -> int:
        """Income of the first year."""
        return INCOME_MINOR * self.means_percent // 100

    @property
    def limit_minor(self) -> int:
        """Spending limit of the first year."""
        return LIMIT_MINOR * self.means_percent // 100

    @property
    def flows(self) -> tuple[Flows, ...]:
        """What comes in each year, without what projects cost."""
        return tuple(Flows(grown(self.income_minor, RISE_PERCENT, year)) for year in range(YEARS))

    def timing_question(self, late_percent: Decimal = Decimal(3)) -> Question:
        """The plan as a question for its best timing."""
        limits = Limits(
            tuple(grown(self.limit_minor, RISE_PERCENT, year) for year in range(YEARS)), (CLOSURE_DAYS,) * YEARS,
            ReserveLimit(OPENING_MINOR, self.flows, INTEREST, (FLOOR_MINOR,) * YEARS),
        )  # fmt: skip
        return Question(FIRST_YEAR, YEARS, [_candidate(one) for one in self.projects], limits, late_percent)

    def uncertain_plan(self) -> UncertainPlan:
        """The plan as its futures are drawn."""
        return UncertainPlan(
            OPENING_MINOR, self.flows, INTEREST, FLOOR_MINOR, [_dated(one) for one in self.projects],
            [_living(one) for one in self.assets],
        )  # fmt: skip


@dataclass(frozen=True)
class _Kind:
    """So many assets of a kind: their life, least and most cost in whole units, and what projects renew together."""

    kind: str
    name: str
    count: int
    life: tuple[int, int, int]
    cost: tuple[int, int]
    group: str | None
    together: int
    closes: int


_KINDS = (
    _Kind("green", "Green", 20, (15, 22, 30), (55_000, 90_000), "Earth and sand", 5, 24),
    _Kind("tee", "Tees", 18, (15, 18, 20), (18_000, 34_000), "Earth and sand", 6, 6),
    _Kind("bunker_sand", "Bunkers", 18, (5, 6, 7), (14_000, 30_000), "Earth and sand", 6, 5),
    _Kind("bunker_drain", "Bunker drains", 6, (5, 8, 10), (9_000, 20_000), "Earth and sand", 6, 3),
    _Kind("irrigation", "Irrigation", 6, (10, 20, 30), (120_000, 210_000), "Pipe and pumps", 2, 14),
    _Kind("irrigation_control", "Controllers", 3, (10, 13, 15), (35_000, 60_000), "Pipe and pumps", 3, 2),
    _Kind("pump_station", "Pump station", 2, (15, 18, 20), (160_000, 260_000), "Pipe and pumps", 1, 3),
    _Kind("pressure_pipe", "Main pipe", 4, (10, 20, 30), (90_000, 150_000), "Pipe and pumps", 2, 8),
    _Kind("asphalt_path", "Asphalt path", 6, (5, 8, 10), (40_000, 75_000), None, 3, 3),
    _Kind("concrete_path", "Concrete path", 4, (15, 22, 30), (60_000, 110_000), None, 2, 4),
    _Kind("bridge", "Bridge", 5, (20, 28, 40), (45_000, 140_000), None, 1, 2),
    _Kind("wall", "Wall", 3, (20, 30, 45), (30_000, 90_000), None, 1, 1),
    _Kind("pond", "Pond", 3, (18, 25, 35), (50_000, 130_000), "Earth and sand", 1, 2),
    _Kind("machine", "Machine", 19, (6, 9, 13), (12_000, 68_000), "Machines", 5, 0),
    _Kind("building", "Building", 3, (25, 35, 50), (140_000, 320_000), None, 1, 0),
)
_NEW = (
    ("Short course", 410_000, 12), ("Range tee", 190_000, 4), ("Tree work", 85_000, 0), ("Halfway house", 260_000, 0),
    ("Forward tees", 150_000, 5), ("Drainage of low fairways", 340_000, 10), ("Wash bay", 175_000, 0),
)  # fmt: skip


def big_plan(seed: int = 1, means_percent: int = 100) -> BigPlan:
    """The plan of a seed, with so much of its usual means."""
    source = random.Random(seed)
    assets: list[BigAsset] = []
    projects: list[BigProject] = []
    for kind in _KINDS:
        for first in range(0, kind.count, kind.together):
            numbers = range(first + 1, min(first + kind.together, kind.count) + 1)
            renewed = len(projects) < PROJECTS - len(_NEW)
            due = source.randint(0, min(kind.life[1], YEARS - 3))
            members = [_asset(source, kind, number, FIRST_YEAR + due) for number in numbers]
            assets += members
            if renewed:
                projects.append(_renewal(source, kind, members, len(projects) + 1, due))
    for name, cost, closes in _NEW:
        projects.append(_addition(source, name, cost, closes, len(projects) + 1))
    assert len(assets) == ASSETS
    assert len(projects) == PROJECTS
    return BigPlan(assets, [_tied(one, projects) for one in projects], means_percent)


def _asset(source: random.Random, kind: _Kind, number: int, due: int) -> BigAsset:
    cost = source.randint(*kind.cost) * 100
    return BigAsset(
        f"{kind.kind.upper().replace('_', '-')}-{number}", f"{kind.name} {number}", kind.kind,
        min(due - kind.life[1] + source.randint(-1, 1), FIRST_YEAR - 1), kind.life, cost,
        (source.randint(80, 95), source.randint(110, 145)), kind.group,
    )  # fmt: skip


def _renewal(
    source: random.Random, kind: _Kind, members: Sequence[BigAsset], number: int, due: int
) -> BigProject:
    phases: tuple[tuple[int, int], ...] = ((100, kind.closes),)
    if len(members) > 2 and kind.closes > 10:
        phases = ((60, kind.closes - 8), (40, 8))
    begins = max(0, min(due - len(phases) + 1, YEARS - len(phases)))
    return BigProject(
        number, f"Renew {members[0].name} to {members[-1].name}", tuple(one.code for one in members),
        sum(one.cost_minor for one in members), FIRST_YEAR + begins,
        FIRST_YEAR + max(0, begins - source.randint(2, 5)),
        FIRST_YEAR + min(begins + source.randint(2, 6), YEARS - len(phases)), number % 9 == 0, phases,
        _scores(source), (source.randint(82, 94), source.randint(112, 140)), kind.group,
    )  # fmt: skip


def _addition(source: random.Random, name: str, cost: int, closes: int, number: int) -> BigProject:
    begins = source.randint(2, YEARS - 4)
    return BigProject(
        number, name, (), cost * 100, FIRST_YEAR + begins, FIRST_YEAR + max(0, begins - 6), FIRST_YEAR + YEARS - 1,
        False, ((100, closes),), _scores(source), (85, 150), None,
    )  # fmt: skip


def _scores(source: random.Random) -> dict[str, int]:
    return {name: source.randint(1, 10) for name in CRITERIA}


def _tied(one: BigProject, projects: Sequence[BigProject]) -> BigProject:
    """The project with what it waits for, or with its partner, where its window leaves room for that."""
    changes: dict[str, Any] = {}
    before = projects[one.number - 2]
    if one.number % 3 == 0 and before.year + 1 <= one.year and before.latest + 1 <= one.latest:
        changes["after"] = ((before.number, 1),)
    for first in range(4, PROJECTS, 6):
        pair = projects[first - 1], projects[first]
        if one in pair and all(other.earliest <= pair[0].year <= other.latest for other in pair):
            # Partners begin in one year, so both are dated in that of the first.
            changes |= {"together": f"Works {first}", "year": pair[0].year}
    return BigProject(**(vars(one) | changes))


def _candidate(one: BigProject) -> Candidate:
    last = YEARS - len(one.phases)
    return Candidate(
        key=f"{one.number:05d}", name=one.name,
        costs_minor=[
            [grown(minor, one.growth_percent, start + phase) for phase, minor in enumerate(one.phases_minor)]
            for start in range(last + 1)
        ],
        closure_days=tuple(days for _, days in one.phases), value=one.score, earliest=one.earliest - FIRST_YEAR,
        latest=min(one.latest - FIRST_YEAR, last), wanted=one.year - FIRST_YEAR, required=one.required,
        after=tuple(After(f"{number:05d}", years) for number, years in one.after), together=one.together,
    )  # fmt: skip


def _dated(one: BigProject) -> DatedProject:
    return DatedProject(
        f"{one.number}", one.year - FIRST_YEAR, tuple(one.phases_minor), one.growth_percent, _about(one.cost_range),
        assets=one.assets, latest=one.latest - FIRST_YEAR,
    )  # fmt: skip


def _living(one: BigAsset) -> LivingAsset:
    life = Triangular(*map(float, one.life))
    growth = GENERAL_PERCENT if one.group is None else GROUPS[one.group]
    return LivingAsset(
        one.code, one.since - FIRST_YEAR, life, life, one.cost_minor, _about(one.cost_range), growth
    )


def _about(percents: tuple[int, int]) -> Triangular:
    return Triangular(float(percents[0]), 100.0, float(percents[1]))


@dataclass(frozen=True)
class BigPlanBodies:
    """What to post: the assets, the plan, and its projects, of which `project_bodies` makes bodies by their ids."""

    assets: list[dict[str, Any]]
    plan: dict[str, Any]
    projects: Sequence[BigProject]

    def project_body(
        self, one: BigProject, asset_ids: dict[str, str], project_ids: dict[int, str]
    ) -> dict[str, Any]:
        """A project, by the ids of the assets and of the projects before it."""
        return {
            "name": one.name, "asset_ids": [asset_ids[code] for code in one.assets], "cost": _usd(one.cost_minor),
            "growth_group": one.group, "year": one.year, "earliest": one.earliest, "latest": one.latest,
            "required": one.required,
            "phases": [{"percent": str(percent), "closure_days": days} for percent, days in one.phases],
            "prerequisites": [
                {"project_id": project_ids[number], "years_before": years} for number, years in one.after
            ],
            "together_with": one.together,
            "scores": [{"criterion": name, "score": str(score)} for name, score in one.scores.items()],
            "cost_range": [str(percent) for percent in one.cost_range],
        }  # fmt: skip


def big_plan_bodies(plan: BigPlan) -> BigPlanBodies:
    """The bodies of the plan. Projects are posted in their order, so that what one waits for is there."""
    return BigPlanBodies(list(_asset_bodies(plan)), _plan_body(plan), plan.projects)


def _asset_bodies(plan: BigPlan) -> Iterator[dict[str, Any]]:
    for one in plan.assets:
        yield {
            "code": one.code, "name": one.name, "kind": one.kind, "in_use_since": one.since,
            "life": {name: str(years) for name, years in zip(("low", "likely", "high"), one.life, strict=True)},
            "replacement": {"by": "stated", "cost": _usd(one.cost_minor)},
            "cost_range": [str(percent) for percent in one.cost_range], "growth_group": one.group,
        }  # fmt: skip


def _plan_body(plan: BigPlan) -> dict[str, Any]:
    rise = str(RISE_PERCENT)
    return {
        "name": "Twenty-five years", "first_year": FIRST_YEAR, "years": YEARS, "growth_percent": str(GENERAL_PERCENT),
        "growth_groups": [{"name": name, "percent": str(percent)} for name, percent in GROUPS.items()],
        "criteria": [{"name": name, "weight": str(weight)} for name, weight in CRITERIA.items()],
        "closure_days_a_year": CLOSURE_DAYS,
        "money": {
            "opening_reserve": _usd(OPENING_MINOR), "interest_percent": str(INTEREST.percent),
            "interest_on": INTEREST.on, "least_balance": _usd(FLOOR_MINOR),
            "incomes": [{"name": "Yearly contribution", "amount": _usd(plan.income_minor), "percent_a_year": rise}],
            "spending_limit": _usd(plan.limit_minor), "spending_limit_percent_a_year": rise,
        },
    }  # fmt: skip


def _usd(minor: int) -> dict[str, str]:
    return {"amount": str(Decimal(minor) / 100), "currency": "USD"}
