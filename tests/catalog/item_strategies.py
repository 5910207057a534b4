"""Items of every kind that a draft takes, for property tests."""

from datetime import date
from decimal import Decimal
from typing import Any
from uuid import UUID

from hypothesis import strategies as st
from swardcost_api.units import UNITS
from swardcost_model.catalog import Item, ItemKind, PriceSource
from swardcost_model.price_terms import (
    Breaks,
    ByLoad,
    ByMassAndDistance,
    ByZone,
    PriceTier,
    PurchaseTerms,
    QuantityBands,
    RentalPeriod,
    RentalTerms,
    Surcharge,
    Terms,
    Zone,
)
from swardcost_model.values import Money, Quantity, from_micros

HOSTILE = ("=1+1", "+1", "-1", "@A1", "'", "''", "'=x", '"', '""', "a,b", 'say "12 in"', "0.25–1 mm", "é́", "🌱",
           "\u2028", "null", "0", ";", "\\", "x\u00a0y", "_x0041_", "_x005F_", "0012", "1e5", "TRUE", "<&amp;>",
           "2026-01-02", "\x85", "a  b", "mailto:x", "http://a.b")  # fmt: skip
"""Text that files and spreadsheet programs like to take for something else."""

_BOUGHT = [
    ItemKind.MATERIAL,
    ItemKind.SOD,
    ItemKind.CONTRACT,
    ItemKind.FREIGHT,
    ItemKind.DISPOSAL,
    ItemKind.FEE,
]
_NONCHARACTERS = "\ufffe\uffff"
"""What XML cannot hold."""

texts = st.one_of(
    st.sampled_from(HOSTILE),
    st.text(
        st.characters(
            exclude_categories=["Cs"], exclude_characters="\x7f" + _NONCHARACTERS, min_codepoint=32
        ),
        max_size=30,
    ),
).map(str.strip)
names = texts.filter(bool).filter(lambda text: any(c.isalnum() or c in "=+-@'\"" for c in text))
positive = st.builds(
    lambda digits, places: Decimal(digits).scaleb(-places), st.integers(1, 10**12 - 1), st.integers(0, 6)
).filter(lambda value: value < 10**12)
_increment_names = st.from_regex(r"[A-Za-z0-9][A-Za-z0-9._/-]{0,10}", fullmatch=True)
_days = st.none() | st.dates(date(1800, 1, 1), date(2299, 12, 31))
_accounts = st.from_regex(r"[A-Za-z0-9][A-Za-z0-9._ /-]{0,20}", fullmatch=True).map(str.strip)


@st.composite
def breaks(draw: st.DrawFn) -> Breaks:
    """Breaks in any order, some of them saying where they end."""
    starts = sorted(draw(st.sets(positive, min_size=1, max_size=4)))
    ends = [*starts[1:], None]
    tiers = [
        PriceTier(from_quantity=start, below=draw(st.sampled_from([None, end])), unit_price=draw(positive))
        for start, end in zip(starts, ends, strict=True)
    ]
    return Breaks(
        apply=draw(st.sampled_from(["each_tier", "whole_quantity"])), tiers=draw(st.permutations(tiers))
    )


@st.composite
def purchase_terms(draw: st.DrawFn, priced: bool, by_mass: bool) -> PurchaseTerms:
    increment = draw(st.none() | positive)
    kind = draw(st.sampled_from(["none", "breaks", "bands"])) if priced else "none"
    one = None if by_mass else Quantity(value=draw(positive), unit="pound")
    distance = Quantity(value=draw(positive), unit="mile")
    by_distance = ByMassAndDistance(
        rate=draw(positive), mass_unit="short_ton", distance=distance, mass_of_one=one
    )
    zone = draw(names)
    by_zone = ByZone(zones=[Zone(name=zone, charge=Decimal(0))], zone=zone)
    by_load = ByLoad(load_size=draw(positive), charge=draw(positive))
    fuel = Surcharge(name=draw(names), percent=Decimal("4.50"), on="both")
    delivery = draw(st.sampled_from([None, by_load, by_distance, by_zone]))
    return PurchaseTerms(
        increment=increment,
        increment_name=draw(st.none() | _increment_names) if increment else None,
        minimum_order=draw(st.none() | positive), minimum_charge=draw(st.none() | positive),
        breaks=draw(breaks()) if kind == "breaks" else None,
        bands=QuantityBands(contract_quantity=draw(positive), price_over=draw(positive)) if kind == "bands" else None,
        delivery=delivery, surcharges=[fuel] if delivery is not None and draw(st.booleans()) else [],
        lead_time_days=draw(st.none() | st.integers(0, 1000)),
    )  # fmt: skip


@st.composite
def rental_terms(draw: st.DrawFn) -> RentalTerms:
    week = RentalPeriod(name=draw(names.filter(lambda name: name != "hour")), days=7, price=draw(positive))
    return RentalTerms(periods=[week], delivery=draw(positive), works_weekends=draw(st.booleans()))


@st.composite
def items(draw: st.DrawFn, code: str, edition: UUID, vendors: dict[str, UUID]) -> Item:
    """An item of the edition, in its currency."""
    kind = draw(st.sampled_from([*_BOUGHT, ItemKind.RENTAL, ItemKind.LABOR]))
    unit = draw(st.sampled_from(sorted(UNITS)))
    terms: Terms | None = None
    micros = draw(st.none() | st.integers(0, 10**18 - 1))
    if kind is ItemKind.RENTAL and draw(st.booleans()):
        unit, micros, terms = "hour", None, draw(rental_terms())
    elif kind in _BOUGHT and micros != 0 and draw(st.booleans()):
        terms = draw(purchase_terms(micros is not None, UNITS[unit].dimension == "mass"))
    days = draw(st.tuples(_days, _days, _days).map(lambda three: sorted(three, key=str)))
    vendor = draw(st.none() | st.sampled_from(sorted(vendors)))
    source = draw(st.none() | st.sampled_from(PriceSource))
    range_of_price: dict[str, Any] = {}
    if micros:
        range_of_price = {
            "low_price": draw(st.none() | st.integers(0, micros).map(_money)),
            "high_price": draw(st.none() | st.integers(micros, 10**18 - 1).map(_money)),
        }
    return Item(
        edition_id=edition, code=code, version=1, kind=kind, description=draw(names), unit=unit, currency="USD",
        unit_price=None if micros is None else _money(micros), free=micros == 0, taxable=draw(st.booleans()),
        tax_class=draw(st.sampled_from(["standard", "A/1", "0012"])), in_operating_budget=draw(st.booleans()),
        account=draw(st.none() | _accounts), vendor_id=vendors[vendor] if vendor is not None else None,
        vendor_name=vendor, price_source=source, priced_on=days[0], valid_from=days[1], valid_until=days[2],
        reference=draw(texts), terms=terms, note=draw(texts), **range_of_price,
    )  # fmt: skip


def _money(micros: int) -> Money:
    return Money(amount=from_micros(micros), currency="USD")
