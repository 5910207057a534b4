"""Choosing with open eyes: what of the estimate is uncertain, what follows from it, and what could be done instead."""

from collections.abc import Callable
from decimal import Decimal

from swardcost import Client
from swardcost_model.estimates import Estimate
from swardcost_model.jobs import Job
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
    """What the superintendent takes to be uncertain, with where each range comes from."""
    scope = {item.name: item.id for item in client.scope_items.list(estimate.project_id)}

    def on(kind: UncertainKind, name: str, words: str, range_: StatedRange, **causes: str) -> UncertainFigure:
        found = [
            scope_id for item, scope_id in scope.items() if any(word in item for word in words.split("|"))
        ]
        items = ["SAND-TD"] if kind is UncertainKind.QUANTITY and "sand" in name.lower() else []
        return UncertainFigure(
            name=name, kind=kind, items=items, scope_item_ids=found, range=range_, causes=_loads(**causes)
        )  # fmt: skip

    figures = [
        UncertainFigure(
            name="Price of sand and its delivery", kind=UncertainKind.PRICE, items=["SAND-TD", "FRT-SAND"],
            range=_pert("97", "100", "112"), causes=_loads(fuel="0.6"), note="Firm until November, but for fuel",
        ),
        UncertainFigure(
            name="Running cost of own machines", kind=UncertainKind.PRICE, items=["AER-OWN", "AER-TRACTOR", "UTV-OWN"],
            range=_pert("85", "100", "135"), causes=_loads(fuel="0.8"),
        ),
        on(UncertainKind.QUANTITY, "Sand that the holes take", "Core the greens", _pert("88", "100", "125")),
        on(UncertainKind.QUANTITY, "Sand on tees and fairways", "Dress", _pert("92", "100", "112")),
        on(
            UncertainKind.QUANTITY, "Days of brush mulching", "Clear brush",
            HistoryRange(shape="history", figures=[Decimal(one) for one in BRUSH_BEFORE]),
        ),
        on(
            UncertainKind.PRODUCTION, "Pace of the crew", "Core|Dress|Aerate|Trailer|Turn", _pert("75", "100", "110"),
            weather="0.7",
        ),
        on(
            UncertainKind.DURATION, "Days of coring and slicing", "Core|Slice", _pert("90", "100", "200"),
            weather="-0.7",
        ),
        on(UncertainKind.DURATION, "Days of hauling", "Bring in|Trailer", _pert("90", "100", "170")),
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
