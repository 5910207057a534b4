"""Which terms fit which item: kinds, units, and prices that are not zero by oversight."""

import json
from collections.abc import Iterator
from decimal import Decimal

from pydantic_core import PydanticCustomError
from swardcost_model.catalog import ItemFields, ItemKind
from swardcost_model.price_terms import (
    ByMassAndDistance,
    LaborBuildUp,
    MachineBuildUp,
    PurchaseTerms,
    RentalTerms,
    Terms,
)

from swardcost_api.catalog.refusals import Refusals
from swardcost_api.units import UNITS, unit_named, units_of

MAX_LENGTH = 32_767
"""Longest terms, written as compact JSON in UTF-16 code units: what a cell of a workbook holds."""

_KINDS = {
    "purchase": (ItemKind.MATERIAL, ItemKind.SOD, ItemKind.CONTRACT, ItemKind.FREIGHT, ItemKind.DISPOSAL, ItemKind.FEE),
    "rental": (ItemKind.RENTAL,),
    "labor": (ItemKind.LABOR,),
    "owned_machine": (ItemKind.OWNED_MACHINE,),
}  # fmt: skip


def compact(terms: Terms) -> str:
    """Terms as compact JSON, without what is absent; decimals as they were typed."""
    return json.dumps(
        terms.model_dump(mode="json", exclude_none=True), ensure_ascii=False, separators=(",", ":")
    )


def refuse_unfit(refusals: Refusals, fields: ItemFields, terms: Terms) -> None:
    """Refuse terms that an item of this kind and unit cannot have."""
    if fields.kind not in _KINDS[terms.form]:
        fitting = [form for form, kinds in _KINDS.items() if fields.kind in kinds]
        refusals.add("terms/form", f"{', '.join(fitting)}, for an item of kind {fields.kind}", terms.form)
    if len(compact(terms).encode("utf-16-le")) > 2 * MAX_LENGTH:
        refusals.add(
            "terms", f"terms that fit into {MAX_LENGTH:,} characters of JSON", f"{len(compact(terms)):,}"
        )
    if isinstance(terms, PurchaseTerms):
        _refuse_purchase(refusals, fields, terms)
        return
    if fields.unit != "hour":
        refusals.add("unit", f"hour, since terms of the form {terms.form} are by the hour", fields.unit)
    if isinstance(terms, RentalTerms):
        _refuse_rental(refusals, terms)
        if fields.unit_price is not None:
            refusals.add(
                "unit_price", "none, since the rental terms are the price", str(fields.unit_price.amount)
            )
    elif isinstance(terms, LaborBuildUp | MachineBuildUp) and fields.in_operating_budget:
        expected = "false, since the build-up says by itself what the operating budget pays for"
        refusals.add("in_operating_budget", expected, True)


def _refuse_purchase(refusals: Refusals, fields: ItemFields, terms: PurchaseTerms) -> None:
    for name in ("breaks", "bands"):
        if getattr(terms, name) is not None and fields.unit_price is None:
            refusals.add("unit_price", f"a unit price, since the {name} rest on it", None)
    if not fields.free:
        for place, price in _prices(terms):
            if price == 0:
                refusals.add(place, "a price above zero, or an item that is `free`", str(price))
    if isinstance(terms.delivery, ByMassAndDistance):
        _refuse_delivery(refusals, fields, terms.delivery)


def _prices(terms: PurchaseTerms) -> Iterator[tuple[str, Decimal]]:
    """Every price that may hold in place of the unit price, with its place."""
    for index, tier in enumerate(terms.breaks.tiers if terms.breaks else ()):
        yield f"terms/breaks/tiers/{index}/unit_price", tier.unit_price
    if terms.bands is not None:
        for name in ("price_over", "price_under"):
            price = getattr(terms.bands, name)
            if price is not None:
                yield f"terms/bands/{name}", price


def _refuse_delivery(refusals: Refusals, fields: ItemFields, delivery: ByMassAndDistance) -> None:
    _refuse_unit(refusals, "terms/delivery/mass_unit", delivery.mass_unit, "mass")
    _refuse_unit(refusals, "terms/delivery/distance/unit", delivery.distance.unit, "length")
    of_one = delivery.mass_of_one
    if of_one is not None:
        _refuse_unit(refusals, "terms/delivery/mass_of_one/unit", of_one.unit, "mass")
        if of_one.value == 0:
            refusals.add("terms/delivery/mass_of_one/value", "more than zero", str(of_one.value))
    unit = UNITS.get(fields.unit)
    if unit is None:
        return
    if unit.dimension == "mass" and of_one is not None:
        refusals.add("terms/delivery/mass_of_one", f"none, since {unit.name} is a mass", str(of_one.value))
    if unit.dimension != "mass" and of_one is None:
        refusals.add("terms/delivery/mass_of_one", f"the mass of one {unit.name}", None)


def _refuse_rental(refusals: Refusals, terms: RentalTerms) -> None:
    prices = [(f"terms/periods/{index}/price", period.price) for index, period in enumerate(terms.periods)]
    if terms.hourly is not None:
        prices.append(("terms/hourly/price", terms.hourly.price))
    if terms.fuel is not None:
        prices.append(("terms/fuel/price", terms.fuel.price))
        _refuse_unit(refusals, "terms/fuel/unit", terms.fuel.unit, "volume", "mass")
    for place, price in prices:
        if price == 0:
            refusals.add(place, "a price above zero", str(price))


def _refuse_unit(refusals: Refusals, place: str, name: str, *dimensions: str) -> None:
    try:
        dimension = unit_named(name).dimension
    except PydanticCustomError as error:
        refusals.add_error(place, error, name)
        return
    if dimension not in dimensions:
        fitting = [unit for one in dimensions for unit in units_of(one)]
        refusals.add(place, f"a unit of {' or '.join(dimensions)}: {', '.join(fitting)}", name)
