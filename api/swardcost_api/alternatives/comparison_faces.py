"""A comparison as CSV, a row a figure and a column an alternative, and as bars."""

from collections.abc import Callable, Iterator, Sequence
from typing import Any

from swardcost_model.comparisons import AlternativeFigures, ComparisonFigures
from swardcost_model.figures import DerivationStep

from swardcost_api.alternatives.charts import Bar, comparison_bars
from swardcost_api.charts import svg_of, vega_lite_of
from swardcost_api.csv_files import write_rows

_MONEY = ("total", "cash_total", "low_total", "high_total", "more_than_first", "more_cash_than_first")
_SIMULATED = ("mean", "p10", "p50", "p80", "p90")
_WORK = ("area_worked", "area_touched", "sand", "trips", "labor_hours", "machine_hours")


def comparison_csv(found: ComparisonFigures) -> str:
    """Every figure of every alternative; empty where an alternative does not have it."""
    alternatives = found.alternatives
    return write_rows(["figure", "unit", *(one.label for one in alternatives)], _rows(alternatives))


def _rows(alternatives: Sequence[AlternativeFigures]) -> Iterator[Sequence[Any]]:
    currency = alternatives[0].total.currency

    def row(
        name: str, unit: str, value: Callable[[AlternativeFigures], Any]
    ) -> tuple[str, str, *tuple[Any, ...]]:
        return name, unit, *(value(one) for one in alternatives)

    yield row("estimate", "", lambda one: f"{one.number} revision {one.revision}: {one.estimate}")
    yield row("complete", "", lambda one: "yes" if one.complete else "no")
    for name in _MONEY:
        yield row(name, currency, _money_named(name))
    yield row("days_closed", "day", lambda one: one.days_closed.days)
    for name in _WORK:
        units = {unit for one in alternatives if (unit := _as_read(getattr(one, name))[1])}
        yield row(name, " or ".join(sorted(units)), _work_named(name))
    for name in _SIMULATED:
        yield row(name, currency, _simulated_named(name))
    yield row("chance_percent", "percent", lambda one: one.risk.chance_percent if one.risk else None)
    yield row("reopens_p80", "", lambda one: one.risk.reopens_p80 if one.risk else None)
    yield row("leaves_out", "", lambda one: "; ".join(left.words for left in one.leaves_out))


def _money_named(name: str) -> Callable[[AlternativeFigures], Any]:
    return lambda one: getattr(one, name).amount


def _work_named(name: str) -> Callable[[AlternativeFigures], Any]:
    return lambda one: _as_read(getattr(one, name))[0] or None


def _as_read(figure: DerivationStep | None) -> tuple[str, str]:
    """Number and unit as the club reads a figure; both empty where there is none."""
    if figure is None:
        return "", ""
    number, _, unit = figure.shown.partition(" ")
    return number.replace(",", ""), unit


def _simulated_named(name: str) -> Callable[[AlternativeFigures], Any]:
    return lambda one: None if one.risk is None else getattr(one.risk, name).amount


def comparison_svg(found: ComparisonFigures) -> str:
    """Total and cash of each alternative as bars."""
    return svg_of(_bars(found))


def comparison_vega_lite(found: ComparisonFigures) -> str:
    """The same chart as a Vega-Lite specification."""
    return vega_lite_of(_bars(found))


def _bars(found: ComparisonFigures) -> Any:
    simulated = [one.risk for one in found.alternatives if one.risk is not None]
    basis = (
        "The line is from P10 to P90 of the simulated cost, without contingency"
        if simulated
        else "As estimated; not simulated"
    )
    bars = [
        Bar(
            one.label, float(one.total.amount), float(one.cash_total.amount),
            float(one.risk.p10.amount) if one.risk else None, float(one.risk.p90.amount) if one.risk else None,
        )
        for one in found.alternatives
    ]  # fmt: skip
    return comparison_bars(found.name, basis, found.alternatives[0].total.currency, bars)
