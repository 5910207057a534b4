"""Simulating a long estimate: drawing the random numbers is the floor, and pricing them exactly comes on top."""

import subprocess
import sys
from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from pathlib import Path

import numpy as np
import pytest
from measuring import hold, hold_by_turns, timed
from swardcost_api.engine.pricing.markups import MarkupRate
from swardcost_api.engine.risk.ranges import Lognormal, Pert, Range, Triangular, Uniform
from swardcost_api.engine.risk.sampling import Uncertain
from swardcost_api.engine.risk.simulated_lines import (
    SimulatedEstimate,
    SimulatedLine,
    Simulation,
    simulate,
)
from swardcost_api.engine.risk.simulated_markups import MarkedLine, MarkupTerms
from swardcost_api.engine.risk.simulated_purchase import SimulatedPurchase

pytestmark = pytest.mark.bench

LINES = 300
TRIALS = 100_000
MEMORY_MB = 400
DAY = date(2026, 9, 7)


def estimate() -> SimulatedEstimate:
    """Lines that each have an uncertain quantity and an uncertain price of their own, with tax and overhead."""
    lines = [
        SimulatedLine(
            f"line {number}",
            SimulatedPurchase(
                250.0 + number, "short_ton", number % 10 == 0, Decimal("41.25"), "USD", Decimal(5),
                quantity_factor=f"quantity {number}", price_factor=f"price {number}",
            ),
            MarkedLine(f"{5100 + number % 5}", taxable=number % 2 == 0),
        )
        for number in range(LINES)
    ]  # fmt: skip
    rates = [MarkupRate("tax", Decimal("7.25")), MarkupRate("overhead", Decimal(4))]
    return SimulatedEstimate(lines, MarkupTerms(rates, "USD", DAY, DAY))


def figures(shapes: Sequence[Range]) -> list[Uncertain]:
    """A figure for each quantity and each price, of the shapes by turns; one in ten prices moves with fuel."""
    return [
        Uncertain(
            f"{what} {number}",
            shapes[number % len(shapes)],
            {"fuel": 0.6} if what == "price" and number % 10 == 0 else {},
        )
        for number in range(LINES)
        for what in ("quantity", "price")
    ]


def draw_with_numpy(drawn: Sequence[Uncertain]) -> float:
    """Draw as many numbers of the same shapes by numpy's own methods; seconds."""
    source = np.random.Generator(np.random.PCG64DXSM(1))
    with timed() as watch:
        source.standard_normal(TRIALS)
        for one in drawn:
            shape = one.range
            if isinstance(shape, Triangular):
                source.triangular(shape.low, shape.likely, shape.high, TRIALS)
            elif isinstance(shape, Pert):
                source.beta(*shape.shape, TRIALS)
            elif isinstance(shape, Uniform):
                source.uniform(shape.low, shape.high, TRIALS)
            elif isinstance(shape, Lognormal):
                source.lognormal(0.0, float(np.log(shape.spread)), TRIALS)
            else:
                raise AssertionError(shape)
    return watch.seconds


MIXED = (
    Triangular(0.9, 1.0, 1.2),
    Pert(0.85, 1.0, 1.3),
    Uniform(0.9, 1.1),
    Triangular(0.8, 1.0, 1.4),
    Lognormal(1.0, 1.1),
)


@pytest.mark.parametrize(("what", "shapes"), [("triangular ranges", MIXED[:1]), ("mixed ranges", MIXED)])
def test_simulating_is_drawing_and_little_more(what: str, shapes: Sequence[Range]) -> None:
    whole, drawn = estimate(), figures(shapes)

    def ours() -> float:
        with timed() as watch:
            found: Simulation = simulate(whole, drawn, seed=1, trials=TRIALS)
        assert found.totals.size == TRIALS
        return watch.seconds

    hold_by_turns(
        f"{TRIALS:,} trials of {LINES} lines, {what}",
        lambda: draw_with_numpy(drawn),
        ours,
        limit=3,
        repetitions=2,
    )


def test_simulating_needs_little_memory() -> None:
    """In a process of its own, as the kernel counts it at most; the floor is the limit itself."""
    here = Path(__file__).parent
    program = (
        "from test_simulation_speed import *; from memory import resident; "
        "simulate(estimate(), figures(MIXED), seed=1, trials=TRIALS); print(resident('VmHWM'))"
    )
    ran = subprocess.run(
        [sys.executable, "-c", program], cwd=here, capture_output=True, text=True, check=True, timeout=600
    )
    hold("memory of a simulation", MEMORY_MB, int(ran.stdout) / 1e6, 1, "MB")
