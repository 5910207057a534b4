"""Answers of this room as CSV and as charts."""

from typing import Any

from swardcost_model.simulations import (
    Sensitivity,
    SimulationContingency,
    SimulationCurve,
    SimulationReopening,
)

from swardcost_api.charts import svg_of, vega_lite_of
from swardcost_api.csv_files import write_rows
from swardcost_api.operations import CSV, SVG, VEGA_LITE, Face
from swardcost_api.risk.charts import Mark, Swing, cost_curve, reopening_curve, swing_chart


def curve_csv(found: SimulationCurve) -> str:
    """A row for each point of the cumulative curve."""
    cells = ((one.percent, one.amount.amount, one.amount.currency) for one in found.curve)
    return write_rows(("percent", "amount", "currency"), cells)


def contingency_csv(found: SimulationContingency) -> str:
    """A row for each item that has a part in the contingency."""
    cells = (
        (
            one.item,
            one.amount.amount,
            one.amount.currency,
            one.variance_percent,
            "yes" if one.lowers else "no",
        )
        for one in found.parts
    )
    return write_rows(("item", "amount", "currency", "variance_percent", "lowers"), cells)


def sensitivity_csv(found: Sensitivity) -> str:
    """A row for each uncertain figure and event."""
    cells = (
        (
            one.name, one.kind, one.low, one.high, one.at_low.amount, one.at_high.amount, one.width.amount,
            one.width.currency,
        )
        for one in found.swings
    )  # fmt: skip
    columns = ("name", "kind", "low", "high", "at_low", "at_high", "width", "currency")
    return write_rows(columns, cells)


def reopening_csv(found: SimulationReopening) -> str:
    """A row for each day on which some trial reopens."""
    return write_rows(("day", "percent"), ((one.day.isoformat(), one.percent) for one in found.curve))


def curve_chart(found: SimulationCurve) -> Any:
    """The cumulative curve, with the estimate's total and the percentiles marked."""
    marks = [
        Mark("Estimate", float(found.estimate_total.amount)),
        *(Mark(f"P{one.percent:f}", float(one.amount.amount)) for one in found.percentiles),
    ]
    points = [(float(one.amount.amount), float(one.percent)) for one in found.curve]
    return cost_curve(
        "What it may cost", f"Without contingency; {found.trials:,} trials, seed {found.seed}",
        found.estimate_total.currency, points, marks,
    )  # fmt: skip


def reopening_chart(found: SimulationReopening) -> Any:
    """How many trials are open again by each day, with the plan and the percentiles marked."""
    marks = [
        ("Planned", found.planned.isoformat()),
        *((f"P{one.percent:f}", one.day.isoformat()) for one in found.percentiles),
    ]
    points = [(one.day.isoformat(), float(one.percent)) for one in found.curve]
    return reopening_curve(
        "When the course reopens", f"{found.trials:,} trials, seed {found.seed}", points, marks
    )


def swings_chart(found: Sensitivity) -> Any:
    """A bar for each uncertain figure and event, the widest first."""
    swings = [Swing(one.name, float(one.at_low.amount), float(one.at_high.amount)) for one in found.swings]
    return swing_chart(
        "What moves the cost", "Without contingency; one at a time, all else likely", found.likely.currency,
        float(found.likely.amount), swings,
    )  # fmt: skip


CURVE_FACES = (
    Face(CSV, curve_csv),
    Face(SVG, lambda found: svg_of(curve_chart(found))),
    Face(VEGA_LITE, lambda found: vega_lite_of(curve_chart(found))),
)
REOPENING_FACES = (
    Face(CSV, reopening_csv),
    Face(SVG, lambda found: svg_of(reopening_chart(found))),
    Face(VEGA_LITE, lambda found: vega_lite_of(reopening_chart(found))),
)
SENSITIVITY_FACES = (
    Face(CSV, sensitivity_csv),
    Face(SVG, lambda found: svg_of(swings_chart(found))),
    Face(VEGA_LITE, lambda found: vega_lite_of(swings_chart(found))),
)
