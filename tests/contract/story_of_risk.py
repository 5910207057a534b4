"""The part of the story in which an estimate's uncertainty is written down, simulated and looked at."""

from decimal import Decimal
from typing import Any

from swardcost_model.jobs import Job
from swardcost_model.simulations import GridQuestion, SimulationRequest
from swardcost_model.uncertainty import (
    EvenRange,
    Load,
    Scenario,
    Setting,
    ThreePoints,
    UncertainEvent,
    UncertainFigure,
    UncertainKind,
    UncertaintyChange,
)


def percent(low: int, likely: int, high: int) -> ThreePoints:
    return ThreePoints(shape="pert", low=Decimal(low), likely=Decimal(likely), high=Decimal(high))


def the_risk(client: Any, estimate: Any, scope_item_id: Any) -> None:
    """Ranges of a price, a quantity, a pace and a duration, an event, a scenario; then a simulation of them."""
    assert client.risk.propose(estimate.id).without_range == ["CREW", "SAND-TD"]
    before = client.risk.uncertainty(estimate.id)
    on_coring: dict[str, Any] = {"scope_item_ids": [scope_item_id]}
    figures = [
        UncertainFigure(
            name="Price of sand", kind=UncertainKind.PRICE, items=["SAND-TD"], range=percent(92, 100, 125),
            causes=[Load(cause="Fuel", load=Decimal("0.5"))], note="Hauled 34 miles",
        ),
        UncertainFigure(name="Sand taken", kind=UncertainKind.QUANTITY, range=percent(90, 100, 120), **on_coring),
        UncertainFigure(name="Pace of coring", kind=UncertainKind.PRODUCTION, range=percent(75, 100, 115), **on_coring),
        UncertainFigure(name="Days of coring", kind=UncertainKind.DURATION, range=percent(90, 100, 180), **on_coring),
    ]  # fmt: skip
    rain = UncertainEvent(
        name="Rain stops the work", probability_percent=Decimal(35),
        cost=EvenRange(shape="uniform", low=Decimal(400), high=Decimal(1600)),
        delay_days=EvenRange(shape="uniform", low=Decimal(1), high=Decimal(3)),
    )  # fmt: skip
    slow = Scenario(
        name="Half the crew",
        settings=[
            Setting(figure="Pace of coring", percent=Decimal(50)),
            Setting(figure="Days of coring", percent=Decimal(200)),
        ],
        events=[rain.name],
    )
    change = UncertaintyChange(figures=figures, events=[rain], scenarios=[slow])
    assert client.risk.change_uncertainty(estimate.id, change, before.version).version == before.version + 1
    swings = client.risk.sensitivity(estimate.id).swings
    assert {one.name for one in swings} == {"Price of sand", "Sand taken", "Pace of coring", rain.name}
    assert client.risk.sensitivity_csv(estimate.id).count("\r\n") == len(swings) + 1
    assert client.risk.swings_svg(estimate.id).startswith("<svg")
    assert "vega-lite" in client.risk.swings_vega_lite(estimate.id)
    grid = client.risk.grid(estimate.id, GridQuestion(first="Price of sand", second="Pace of coring"))
    assert [len(row) for row in grid.totals] == [3, 3, 3]
    (outcome,) = client.risk.scenarios(estimate.id).scenarios
    assert outcome.total.amount > estimate.total.amount * Decimal("0.9")
    the_simulation(client, estimate)


def the_simulation(client: Any, estimate: Any) -> None:
    request = SimulationRequest(seed=7, trials=1_000)
    seen: list[Job] = []
    found = client.simulations.finish(client.simulations.start(estimate.id, request), seen.append, seconds=60)
    assert seen[-1].progress.total == 1_000
    assert client.simulations.read(found.id) == found
    assert [one.id for one in client.simulations.list(estimate.id)] == [found.id]
    assert client.simulations.curve(found.id).curve == found.figures.curve
    assert client.simulations.curve_csv(found.id).count("\r\n") == 102
    assert client.simulations.curve_svg(found.id).startswith("<svg")
    assert "vega-lite" in client.simulations.curve_vega_lite(found.id)
    contingency = client.simulations.contingency(found.id)
    assert sum(part.amount.amount for part in contingency.parts) == contingency.needed.amount
    assert client.simulations.contingency_csv(found.id).startswith("item,")
    reopening = client.simulations.reopening(found.id)
    assert reopening.curve[-1].percent == 100
    assert client.simulations.reopening_csv(found.id).startswith("day,percent\r\n")
    assert client.simulations.reopening_svg(found.id).startswith("<svg")
    assert "vega-lite" in client.simulations.reopening_vega_lite(found.id)
