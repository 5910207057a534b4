"""What tests of pricing by terms share: terms, estimates of one scope item, and sums that must hold."""

from decimal import Decimal
from typing import Any

from conftest import Api
from estimate_factories import (
    LUMP,
    Document,
    a_project,
    a_scope_item,
    an_edition,
    lines_of,
    money,
    priced,
    rounded,
)

WORK_DAYS = {"starts_on": "2026-09-07", "ends_on": "2026-09-18"}
"""Monday to Friday of the week after."""


def purchase(**terms: Any) -> Document:
    return {"form": "purchase"} | terms


def usd(amount: str) -> Document:
    return {"amount": amount, "currency": "USD"}


def estimate_of(api: Api, items: list[Document], *resources: Document, **more: Any) -> Document:
    """One scope item on no area, priced with these items, its sums redone."""
    project = a_project(api)
    a_scope_item(api, project, LUMP, [], *resources)
    estimate = priced(api, project, an_edition(api, items), **more)
    sums_hold(api, estimate)
    return estimate


def sums_hold(api: Api, estimate: Document) -> None:
    """Every line is quantity x price, every sum that of its lines, and a range holds the total."""
    lines, currency = lines_of(api, estimate["id"]), estimate["total"]["currency"]
    for line in lines:
        if line["amount"] is None:
            continue
        product = Decimal(line["quantity"]) * money(line["unit_price"])
        assert rounded(product, currency) == money(line["amount"]), line
        assert money(line["low_amount"]) <= money(line["amount"]) <= money(line["high_amount"])
        assert 0 <= money(line["cash_amount"]) <= money(line["amount"])
    assert money(estimate["direct"]) == sum((money(line["amount"]) for line in lines), Decimal(0))
    markups = estimate["markups"]
    for markup in markups:
        product = money(markup["base"]) * Decimal(markup["percent"]) / 100
        assert money(markup["amount"]) == rounded(product, currency)
    total = money(estimate["direct"]) + sum(money(one["amount"]) for one in markups)
    assert money(estimate["total"]) == total
    cash = sum(money(one["cash_amount"]) for one in [*lines, *markups])
    assert money(estimate["cash_total"]) == cash
    assert money(estimate["low_total"]) <= total <= money(estimate["high_total"])
    gap = any(warning["gap"] for warning in estimate["warnings"])
    assert estimate["complete"] is not gap


def printed(api: Api, estimate: Document) -> list[tuple[str, str, str, str]]:
    return [
        (line["part"], line["quantity"], line["unit_price"]["amount"], line["amount"]["amount"])
        for line in lines_of(api, estimate["id"])
    ]


TIERS = [{"from_quantity": "100", "unit_price": "36.00"}, {"from_quantity": "50", "unit_price": "38.00"}]
