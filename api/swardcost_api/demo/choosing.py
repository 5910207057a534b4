"""Choosing with open eyes: what of the estimate is uncertain, what follows from it, and what could be done instead."""

from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal

from swardcost import Client
from swardcost_model.alternates import NewAlternate
from swardcost_model.choosing import (
    BreakEven,
    BreakEvenQuestion,
    BudgetReach,
    BudgetReachQuestion,
    ChoosingSide,
    QuantityVariable,
    YearsVariable,
)
from swardcost_model.comparisons import Alternative, ComparisonFigures, NewComparison
from swardcost_model.estimate_alternates import EstimateAlternates
from swardcost_model.estimates import Estimate, NewEstimate
from swardcost_model.jobs import Job
from swardcost_model.life_cycle import (
    LifeCycleAlternative,
    LifeCycleFigures,
    LifeCyclePart,
    NewLifeCycleStudy,
    YearlyCost,
)
from swardcost_model.projects import NewScopeItem, ScopeItemFields
from swardcost_model.simulations import Simulation, SimulationRequest
from swardcost_model.uncertainty import (
    HistoryRange,
    Load,
    Scenario,
    Setting,
    StatedRange,
    ThreePoints,
    UncertainEvent,
    UncertainFigure,
    UncertainKind,
    UncertaintyChange,
)
from swardcost_model.values import Money

from swardcost_api.demo.story import MARKUPS, REVISED_ON

SEED, TRIALS, CONFIDENCE = 2026, 20_000, Decimal(80)
BRUSH_BEFORE = ("92", "100", "104", "117", "121", "140")
"""What brush mulching took in percent of its estimate, in six winters."""


def _pert(low: str, likely: str, high: str) -> ThreePoints:
    return ThreePoints(shape="pert", low=Decimal(low), likely=Decimal(likely), high=Decimal(high))


def _loads(**causes: str) -> list[Load]:
    return [
        Load(cause=name.replace("_", " ").capitalize(), load=Decimal(load)) for name, load in causes.items()
    ]


def write_down_ranges(client: Client, estimate: Estimate) -> UncertaintyChange:
    """What the superintendent takes to be uncertain of the work in the estimate, with where each range comes from."""
    scope = {line.scope_item: line.scope_item_id for line in client.estimates.lines(estimate.id)}

    def on(
        kind: UncertainKind, name: str, words: str, range_: StatedRange, **causes: str
    ) -> list[UncertainFigure]:
        """On the work whose name has one of these words; nothing where the estimate has none of it."""
        found = [
            scope_id for item, scope_id in scope.items() if any(word in item for word in words.split("|"))
        ]
        items = ["SAND-TD"] if kind is UncertainKind.QUANTITY and "sand" in name.lower() else []
        if not found:
            return []
        return [
            UncertainFigure(
                name=name, kind=kind, items=items, scope_item_ids=found, range=range_, causes=_loads(**causes)
            )
        ]

    figures = [
        UncertainFigure(
            name="Price of sand and its delivery", kind=UncertainKind.PRICE, items=["SAND-TD", "FRT-SAND"],
            range=_pert("97", "100", "112"), causes=_loads(fuel="0.6"), note="Firm until November, but for fuel",
        ),
        UncertainFigure(
            name="Running cost of own machines", kind=UncertainKind.PRICE, items=["AER-OWN", "AER-TRACTOR", "UTV-OWN"],
            range=_pert("85", "100", "135"), causes=_loads(fuel="0.8"),
        ),
        *on(UncertainKind.QUANTITY, "Sand that the holes take", "Core the greens", _pert("88", "100", "125")),
        *on(UncertainKind.QUANTITY, "Sand on tees and fairways", "Dress", _pert("92", "100", "112")),
        *on(
            UncertainKind.QUANTITY, "Days of brush mulching", "Clear brush",
            HistoryRange(shape="history", figures=[Decimal(one) for one in BRUSH_BEFORE]),
        ),
        *on(
            UncertainKind.PRODUCTION, "Pace of the crew", "Core|Dress|Aerate|Trailer|Turn", _pert("75", "100", "110"),
            weather="0.7",
        ),
        *on(
            UncertainKind.DURATION, "Days of coring and slicing", "Core|Slice", _pert("90", "100", "200"),
            weather="-0.7",
        ),
        *on(UncertainKind.DURATION, "Days of hauling", "Bring in|Trailer", _pert("90", "100", "170")),
    ]  # fmt: skip
    events = [
        UncertainEvent(
            name="Rain stops the work", probability_percent=Decimal(40), cost=_pert("300", "700", "1800"),
            delay_days=_pert("1", "2", "5"), causes=_loads(weather="-0.5"),
        ),
        UncertainEvent(
            name="The well pump fails", probability_percent=Decimal(15), cost=_pert("2200", "3600", "6500"),
            note="It is nineteen years old.",
        ),
    ]  # fmt: skip
    scenarios = [
        Scenario(
            name="Diesel up by three tenths",
            settings=[
                Setting(figure="Price of sand and its delivery", percent=Decimal(106)),
                Setting(figure="Running cost of own machines", percent=Decimal(120)),
            ],
        ),
        Scenario(
            name="Half the crew",
            settings=[
                Setting(figure="Pace of the crew", percent=Decimal(80)),
                Setting(figure="Days of coring and slicing", percent=Decimal(200)),
                Setting(figure="Days of hauling", percent=Decimal(200)),
            ],
        ),
        Scenario(name="A wet September with a dry well", events=[one.name for one in events]),
    ]
    change = UncertaintyChange(figures=figures, events=events, scenarios=scenarios)
    client.risk.change_uncertainty(estimate.id, change, client.risk.uncertainty(estimate.id).version)
    return change


def simulate(client: Client, estimate: Estimate, told: Callable[[Job], None]) -> Simulation:
    """Twenty thousand trials from a stated seed, as a job that tells how far it is."""
    request = SimulationRequest(seed=SEED, trials=TRIALS, confidence_percent=CONFIDENCE)
    return client.simulations.finish(client.simulations.start(estimate.id, request), told)


@dataclass(frozen=True)
class OtherWay:
    """The same closure with less of it, priced and held against what was planned."""

    estimate: Estimate
    alternates: EstimateAlternates
    comparison: ComparisonFigures


def price_another_way(client: Client, planned: Estimate) -> OtherWay:
    """Two options of the scope, an estimate that takes both, simulated like the first, and the two side by side."""
    scope = {item.name: item for item in client.scope_items.list(planned.project_id)}
    coring = scope["Core the greens, two passes"]
    fields = coring.model_dump(include=set(ScopeItemFields.model_fields))
    one_pass = client.scope_items.create(
        planned.project_id,
        NewScopeItem(
            **fields
            | {"name": "Core the greens, one pass", "parameters": dict(coring.parameters) | {"passes": 1}}
        ),
    )
    options = [
        NewAlternate(name="Core in one pass", brings=[one_pass.id], leaves_out=[coring.id]),
        NewAlternate(
            name="Leave the brush for winter", leaves_out=[scope["Clear brush along holes 11 to 14"].id]
        ),
    ]
    taken = [client.alternates.create(planned.project_id, one).id for one in options]
    estimate = client.estimates.create(
        planned.project_id,
        NewEstimate(
            name="One pass, brush in winter", edition_id=planned.edition_id, markups=MARKUPS, as_of=REVISED_ON,
            alternate_ids=taken,
        ),
    )  # fmt: skip
    write_down_ranges(client, estimate)
    simulate(client, estimate, lambda _: None)
    sides = [
        Alternative(label="As planned", estimate_id=planned.id),
        Alternative(
            label="One pass, brush in winter", estimate_id=estimate.id,
            leaves_out=["Thatch stays above the goal for another year."],
        ),
    ]  # fmt: skip
    comparison = client.comparisons.create(
        NewComparison(name="How much of it this autumn", alternatives=sides)
    )
    return OtherWay(
        estimate, client.estimates.alternates(estimate.id), client.comparisons.figures(comparison.id)
    )


def usd(amount: str) -> Money:
    """An amount in the club's currency."""
    return Money(amount=Decimal(amount), currency="USD")


LOADER_RENT, LOADER_PRICE, LOADER_UPKEEP = usd("4600.00"), usd("27500.00"), usd("1150.00")
"""A loader hired for four weeks each autumn; a used one of the club's own; what that one takes each year."""


def buy_or_hire(client: Client) -> BreakEven:
    """From how many years on a loader of the club's own costs less than hiring one every autumn."""
    return client.choosing.break_even(
        BreakEvenQuestion(
            first=ChoosingSide(
                label="Hiring", cost=usd("0"), variable=YearsVariable(kind="years", yearly=LOADER_RENT)
            ),
            second=ChoosingSide(
                label="Buying", cost=LOADER_PRICE, variable=YearsVariable(kind="years", yearly=LOADER_UPKEEP)
            ),
            low=Decimal(1), high=Decimal(20), resolution=Decimal(1), unit="year",
        )
    )  # fmt: skip


def study_the_loader(client: Client) -> LifeCycleFigures:
    """The same over ten years with the worth of money in time, and what the loader fetches afterwards."""
    study = client.life_cycle_studies.create(
        NewLifeCycleStudy(
            name="Loader: hire or buy", study_years=10, first_year=2027, discount_percent=Decimal(3),
            discount_kind="real",
            alternatives=[
                LifeCycleAlternative(
                    label="Hire", yearly_costs=[YearlyCost(name="Four weeks of hire", yearly=LOADER_RENT)]
                ),
                LifeCycleAlternative(
                    label="Buy",
                    parts=[
                        LifeCyclePart(
                            name="Used loader", cost=LOADER_PRICE, life_years=15, residual="straight_line"
                        )
                    ],
                    yearly_costs=[YearlyCost(name="Service, tires, insurance", yearly=LOADER_UPKEEP)],
                ),
            ],
        )
    )  # fmt: skip
    return client.life_cycle_studies.figures(study.id)


def how_deep(client: Client, estimate: Estimate) -> BudgetReach:
    """How deep the fairways can be dressed for a total of 85,000."""
    fairways = next(
        item for item in client.scope_items.list(estimate.project_id) if item.name == "Dress the fairways"
    )
    return client.choosing.budget_reach(
        BudgetReachQuestion(
            estimate_id=estimate.id, budget=usd("85000.00"),
            variable=QuantityVariable(kind="quantity", parameter="depth", scope_item_ids=[fairways.id]),
            low=Decimal("0.02"), high=Decimal("0.25"), resolution=Decimal("0.005"), unit="inch",
        )
    )  # fmt: skip
