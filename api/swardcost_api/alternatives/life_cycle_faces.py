"""The figures of a study as CSV, a row a figure and a column an alternative."""

from collections.abc import Callable, Iterator, Sequence
from typing import Any

from swardcost_model.life_cycle import AgainstFirst, AlternativeLifeCycle, LifeCycleFigures

from swardcost_api.csv_files import write_rows

_MONEY_AGAINST_FIRST = ("net_savings", "operation_savings", "further_investment", "annual_savings")


def life_cycle_csv(found: LifeCycleFigures) -> str:
    """Every figure of every alternative; empty where an alternative does not have it."""
    return write_rows(
        ["figure", "unit", *(one.label for one in found.alternatives)], _rows(found.alternatives)
    )


def _rows(alternatives: Sequence[AlternativeLifeCycle]) -> Iterator[Sequence[Any]]:
    currency = alternatives[0].life_cycle_cost.currency

    def row(name: str, unit: str, value: Callable[[AlternativeLifeCycle], Any]) -> Sequence[Any]:
        return [name, unit, *(value(one) for one in alternatives)]

    def saved(name: str, unit: str, value: Callable[[AgainstFirst], Any]) -> Sequence[Any]:
        return row(name, unit, lambda one: value(one.against_first) if one.against_first else None)

    yield row("life_cycle_cost", currency, lambda one: one.life_cycle_cost.amount)
    for place, kind in enumerate(alternatives[0].by_kind):
        yield row(f"present_value_{kind.kind}", currency, _present_of_kind(place))
    yield row("annual_equivalent", currency, lambda one: one.annual_equivalent.amount)
    for name in _MONEY_AGAINST_FIRST:
        yield saved(name, currency, _amount_named(name))
    yield saved("savings_to_investment_ratio", "ratio", lambda one: one.savings_to_investment_ratio)
    yield saved("adjusted_rate_of_return", "percent", lambda one: one.adjusted_rate_of_return_percent)
    yield saved(
        "rates_of_return",
        "percent",
        lambda one: "; ".join(f"{rate:f}" for rate in one.rates_of_return_percent),
    )
    yield saved("simple_payback", "year", lambda one: one.simple_payback.years)
    yield saved("discounted_payback", "year", lambda one: one.discounted_payback.years)
    for number, year in enumerate(alternatives[0].years):
        yield row(f"amount_of_year_{year.year}", currency, _amount_of_year(number))
        yield row(f"present_value_of_year_{year.year}", currency, _present_of_year(number))


def _present_of_kind(place: int) -> Callable[[AlternativeLifeCycle], Any]:
    return lambda one: one.by_kind[place].present_value.amount


def _amount_named(name: str) -> Callable[[AgainstFirst], Any]:
    return lambda one: getattr(one, name).amount


def _amount_of_year(number: int) -> Callable[[AlternativeLifeCycle], Any]:
    return lambda one: one.years[number].amount.amount


def _present_of_year(number: int) -> Callable[[AlternativeLifeCycle], Any]:
    return lambda one: one.years[number].present_value.amount
