"""Hourly rates that are built up: what an hour of labor or of an owned machine costs, and why."""

from decimal import Decimal

from swardcost_model import problems
from swardcost_model.catalog import Item, ItemRate, RateElement
from swardcost_model.price_terms import LaborBuildUp, MachineBuildUp, Terms
from swardcost_model.problems import ProblemError
from swardcost_model.values import Money

from swardcost_api.access.service import read_club
from swardcost_api.derivations import steps_for
from swardcost_api.engine.pricing.build_ups import HourlyRate, labor_rate, machine_rate
from swardcost_api.storage.work import UnitOfWork


def hourly_rate(terms: Terms | None, currency: str) -> HourlyRate | None:
    """What terms come to for an hour; `None` where they are no build-up.

    Raises `ValueError` for a build-up that makes no sense, such as one without the wage base of its year.
    """
    if isinstance(terms, LaborBuildUp):
        return labor_rate(terms, currency)
    if isinstance(terms, MachineBuildUp):
        return machine_rate(terms, currency)
    return None


def rate_of_item(work: UnitOfWork, item: Item) -> ItemRate:
    """How an item's hourly rate is built up. Raises `not-found` where it is not."""
    rate = hourly_rate(item.terms, item.currency)
    if rate is None:
        raise ProblemError(problems.NOT_FOUND, f"The price of {item.code} is stated, not built up.")

    def money(amount: Decimal) -> Money:
        return Money(amount=amount, currency=item.currency)

    return ItemRate(
        edition_id=item.edition_id, code=item.code, unit_price=money(rate.full), cash_price=money(rate.cash),
        elements=[RateElement(name=one.name, amount=money(one.amount), cash=money(one.cash)) for one in rate.elements],
        derivation=steps_for(rate.steps, read_club(work)),
    )  # fmt: skip
