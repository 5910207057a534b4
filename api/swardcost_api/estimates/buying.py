"""What is charged for a resource: from the measure that drives it, by the item's price and terms."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal
from typing import Any
from uuid import UUID

from swardcost_model.price_terms import ByMassAndDistance, PurchaseTerms, RentalTerms
from swardcost_model.values import from_minor

from swardcost_api.catalog.service import CatalogItem, VendorTermsFacts
from swardcost_api.engine.derivation import Derivation, Input, Step
from swardcost_api.engine.pricing.allocation import split_by_weights
from swardcost_api.engine.pricing.buying_more import CheaperPurchase, cheaper_to_buy_more
from swardcost_api.engine.pricing.charge import Charge, Part
from swardcost_api.engine.pricing.exchange import Exchange, exchanged
from swardcost_api.engine.pricing.hire import Need, price_hire
from swardcost_api.engine.pricing.lines import price_line
from swardcost_api.engine.pricing.mobilization import share_fixed_charge, share_mobilization
from swardcost_api.engine.pricing.purchase import price_purchase
from swardcost_api.estimates.choices import Choice
from swardcost_api.estimates.scopes import ScopeEntry
from swardcost_api.methods.frame import Measure
from swardcost_api.units import UNITS, Unit, convert_si, unit_named


@dataclass(slots=True)
class Bought:
    """A resource of a scope item with what is charged for it: no charges where something is missing.

    `number` counts resources over the whole scope. `quantity` is how much is bought, in `unit`; `None` where no area
    has a size; `measured` is the need that it comes from, before waste and rounding. `choice` is the offer whose price
    the item has.
    """

    number: int
    entry: ScopeEntry
    resource: Mapping[str, Any]
    item: CatalogItem | None
    unit: str = ""
    measured: float | None = None
    quantity: Decimal | None = None
    rounding: str = "not measured"
    driven_by: Derivation = ()
    charges: Sequence[Charge] = field(default_factory=tuple)
    choice: Choice | None = None
    cheaper: CheaperPurchase | None = None
    overrun_days: int = 0

    @property
    def code(self) -> str:
        """Code of the item that is named, whether or not the edition has it."""
        return str(self.resource["item"])

    @property
    def lump(self) -> Choice | None:
        """The chosen offer where it is a lump sum."""
        return self.choice if self.choice is not None and self.choice.lump_minor is not None else None


def buy(
    number: int,
    entry: ScopeEntry,
    resource: Mapping[str, Any],
    item: CatalogItem | None,
    measures: Mapping[str, Measure],
    currency: str,
    choice: Choice | None = None,
) -> Bought:
    """What is charged for a resource on its own; hired machines wait for `hire`. A chosen offer's price is the item's
    already; its lump sum is charged here.

    Raises `ValueError` where the item's unit cannot express the measure, or a figure is too large to be meant.
    """
    bought = Bought(number, entry, resource, item, choice=choice)
    driver = _driver(resource, measures)
    if driver is None:
        bought.unit = item.unit if item else ""
        return bought
    unit = UNITS[driver.unit] if item is None else UNITS[item.unit]
    try:
        measured = convert_si(driver.value, driver.unit, unit)
    except ValueError:
        raise ValueError(
            f"an item sold in a unit that fits {driver.name} ({driver.unit}), not {unit.name}"
        ) from None
    bought.unit, bought.measured = unit.name, measured
    converted = () if unit.name == driver.unit else (_conversion_step(driver, measured, unit),)
    bought.driven_by = (*driver.derivation, *converted)
    if bought.lump is not None:
        _plain(bought, None, measured, unit, currency)
    elif item is not None and isinstance(item.terms, RentalTerms):
        _hours_to_hire(bought, measured, unit, item.currency)
    elif item is not None and item.price_micros is not None and isinstance(item.terms, PurchaseTerms):
        _purchase(bought, item, item.terms, measured, unit, item.price_micros)
    else:
        _plain(bought, item, measured, unit, currency)
    return bought


def _plain(bought: Bought, item: CatalogItem | None, measured: float, unit: Unit, currency: str) -> None:
    price = None if item is None or item.price_micros is None else Decimal(item.price_micros).scaleb(-6)
    waste = Decimal(bought.resource["waste_percent"])
    priced_in = currency if item is None else item.currency
    line = price_line(measured, unit.name, unit.counted, waste, price, priced_in, price_source(item))
    bought.quantity, bought.rounding = line.quantity, line.rounding
    if price is None or line.amount_minor is None:
        bought.driven_by = (*bought.driven_by, *line.steps)
        return
    bought.charges = (
        Charge(Part.PRICE, "", line.quantity, unit.name, line.rounding, price, line.amount_minor, line.steps),
    )


def _purchase(
    bought: Bought, item: CatalogItem, terms: PurchaseTerms, measured: float, unit: Unit, price_micros: int
) -> None:
    resource, price = bought.resource, Decimal(price_micros).scaleb(-6)
    shared: dict[str, Any] = {
        "counted": unit.counted, "unit_price": price, "terms": terms, "price_source": price_source(item),
        "weekend_percent": Decimal(resource.get("weekend_percent", 0)), "mass_of_one": mass_of_one(terms, unit),
    }  # fmt: skip
    purchase = price_purchase(
        measured=measured, unit=unit.name, waste_percent=Decimal(resource["waste_percent"]), currency=item.currency,
        **shared,
    )  # fmt: skip
    bought.quantity, bought.rounding, bought.charges = purchase.quantity, purchase.rounding, purchase.charges
    bought.cheaper = cheaper_to_buy_more(purchase, **shared)


def mass_of_one(terms: PurchaseTerms, unit: Unit) -> Decimal | None:
    """Mass of one of the item's unit, in the mass unit that its delivery is charged by."""
    if not isinstance(terms.delivery, ByMassAndDistance):
        return None
    charged_by = unit_named(terms.delivery.mass_unit)
    stated = terms.delivery.mass_of_one
    in_kg = unit.si_factor if stated is None else float(stated.value) * unit_named(stated.unit).si_factor
    return Decimal(f"{in_kg / charged_by.si_factor:.12g}")


def _hours_to_hire(bought: Bought, measured: float, unit: Unit, currency: str) -> None:
    waste = Decimal(bought.resource["waste_percent"])
    needed = price_line(measured, unit.name, unit.counted, waste, None, currency)
    bought.quantity, bought.rounding = needed.quantity, needed.rounding
    bought.driven_by = (*bought.driven_by, *(replace(step, name="hours") for step in needed.steps))


def pay_lump_sums(purchases: Sequence[Bought], currency: str) -> None:
    """Charge the lump sums of chosen offers, each shared over everything that needs its item, by quantity."""
    by_code: dict[str, list[Bought]] = {}
    for one in purchases:
        if one.lump is not None and one.quantity is not None:
            by_code.setdefault(one.code, []).append(one)
    for together in by_code.values():
        choice = together[0].lump
        assert choice is not None
        assert choice.lump_minor is not None
        quantities = [float(one.quantity or 0) for one in together]
        for one, minor in zip(together, split_by_weights(choice.lump_minor, quantities), strict=True):
            one.charges = (_lump_charge(one, choice, minor, sum(quantities), currency),)


def _lump_charge(bought: Bought, choice: Choice, minor: int, needed: float, currency: str) -> Charge:
    amount, lump = from_minor(minor, currency), from_minor(choice.lump_minor or 0, currency)
    step = Step(
        "amount", float(amount), currency,
        "lump sum x purchase quantity / quantity of all lines, by largest remainder to the minor unit",
        (
            Input("lump sum", float(lump), currency),
            Input("purchase quantity", float(bought.quantity or 0), bought.unit),
            Input("quantity of all lines", needed, bought.unit),
        ),
        price_source(bought.item),
    )  # fmt: skip
    words = f"Lump sum offered for {choice.quantity} {bought.unit.replace('_', ' ')}"
    return Charge(Part.PRICE, words, Decimal(1), "lump_sum", "lump sum", amount, minor, (step,))


def hire(purchases: Sequence[Bought]) -> None:
    """Charge the hired machines, each item's for the whole scope together.

    Scope items that need the same item on different days share a machine. Raises `ValueError`, as `price_hire`.
    """
    by_code: dict[str, list[Bought]] = {}
    for one in purchases:
        if one.item is not None and isinstance(one.item.terms, RentalTerms) and one.quantity is not None:
            by_code.setdefault(one.code, []).append(one)
    for together in by_code.values():
        item = together[0].item
        assert item is not None
        assert isinstance(item.terms, RentalTerms)
        needs = [
            Need(str(one.number), one.quantity or Decimal(0), one.entry.starts_on, one.entry.ends_on)
            for one in together
        ]
        hired = {one.key: one for one in price_hire(needs, item.terms, item.currency).needs}
        for one in together:
            found = hired[str(one.number)]
            one.charges, one.overrun_days = found.charges or (_no_hire(one, item.currency),), found.overrun


def _no_hire(bought: Bought, currency: str) -> Charge:
    """What is charged for no hours: nothing, which is not the same as a charge that is not known."""
    step = Step(
        "amount",
        0.0,
        currency,
        "0",
        (Input("hours", 0.0, bought.unit),),
        "the rental terms; no hours, no hire",
    )
    assert bought.quantity is not None
    return Charge(Part.RENTAL, "", bought.quantity, bought.unit, bought.rounding, Decimal(0), 0, (step,))


def exchange(purchases: Iterable[Bought], vendors: Mapping[UUID, VendorTermsFacts], currency: str) -> None:
    """Turn charges in a vendor's currency into the edition's, at the rate of the vendor's terms.

    Raises `ValueError` where the edition holds no rate.
    """
    for one in purchases:
        if one.item is not None and one.item.currency != currency and one.charges:
            rate = _rate_for(one.item, vendors, currency)
            one.charges = tuple(exchanged(charge, rate) for charge in one.charges)


def _rate_for(item: CatalogItem, vendors: Mapping[UUID, VendorTermsFacts], currency: str) -> Exchange:
    facts = vendors.get(item.vendor_id) if item.vendor_id else None
    if facts is None or facts.exchange_rate is None or facts.currency != item.currency:
        raise ValueError(f"a rate of exchange from {item.currency} to {currency} for {item.code}")
    return _exchange(facts, currency)


def _exchange(facts: VendorTermsFacts, currency: str) -> Exchange:
    assert facts.exchange_rate is not None
    return Exchange(facts.currency, currency, facts.exchange_rate, facts.rate_date, facts.rate_source or "")


def mobilize(purchases: Sequence[Bought], vendors: Mapping[UUID, VendorTermsFacts], currency: str) -> None:
    """Add to what is bought its share of what brings its vendor: the fixed charge of its quote, charged once, or
    the mobilization of the edition, charged once a visit on which none of the vendor's quotes brings it already."""
    quoted: dict[UUID, list[Bought]] = {}
    caused: dict[tuple[UUID, str], list[Bought]] = {}
    brought: set[tuple[UUID, str]] = set()
    for one in purchases:
        vendor_id = one.item.vendor_id if one.item is not None else None
        if vendor_id is None or not one.charges:
            continue
        its_visit = (vendor_id, str(one.resource.get("visit", "1")))
        if one.choice is not None:
            quoted.setdefault(one.choice.quote_id, []).append(one)
            brought.add(its_visit)
        elif vendor_id in vendors and vendors[vendor_id].mobilization:
            caused.setdefault(its_visit, []).append(one)
    for together in quoted.values():
        _charge_once_for_quote(together, currency)
    for (vendor_id, visit), together in caused.items():
        if (vendor_id, visit) in brought:
            continue
        facts = vendors[vendor_id]
        shares = share_mobilization(
            visit=f"{visit} of {facts.vendor_name}", mobilization=facts.mobilization, currency=facts.currency,
            amounts_minor=[sum(charge.amount_minor for charge in one.charges) for one in together],
        )  # fmt: skip
        for one, share in zip(together, shares, strict=True):
            in_own = share if facts.currency == currency else exchanged(share, _exchange(facts, currency))
            one.charges = (*one.charges, in_own)


def _charge_once_for_quote(together: Sequence[Bought], currency: str) -> None:
    choice = together[0].choice
    assert choice is not None
    if not choice.fixed_minor:
        return
    shares = share_fixed_charge(
        quote=choice.quote_named, fixed_minor=choice.fixed_minor, currency=currency,
        amounts_minor=[sum(charge.amount_minor for charge in one.charges) for one in together],
    )  # fmt: skip
    for one, share in zip(together, shares, strict=True):
        one.charges = (*one.charges, share)


def _driver(resource: Mapping[str, Any], measures: Mapping[str, Measure]) -> Measure | None:
    """What says how much is needed; `None` where it is a measure of areas none of which has a size."""
    if resource["quantity"] is None:
        return measures.get(resource["measure"])
    value, stated = resource["quantity"]["value"], unit_named(resource["quantity"]["unit"])
    name, in_si = "stated quantity", float(value) * stated.si_factor
    words = f"{value} {stated.name.replace('_', ' ')}, as stated"
    return Measure(
        name, in_si, stated.si_unit, (Step(name, in_si, stated.si_unit, words, (), "the scope item"),)
    )


def _conversion_step(driver: Measure, measured: float, unit: Unit) -> Step:
    """From the measure in its SI unit to the unit that the item is sold in."""
    name = driver.name.replace("_", " ")
    one = f"one {unit.name.replace('_', ' ')}"
    return Step(
        "measured", measured, unit.name, f"{name} / {one}",
        (Input(name, driver.value, driver.unit), Input(one, unit.si_factor, driver.unit)),
        "NIST Handbook 44, Appendix C",
    )  # fmt: skip


def price_source(item: CatalogItem | None) -> str:
    """Where a unit price comes from, in words: ``"quote, Alder Creek, of 2026-02-10, valid until 2026-05-31"``."""
    if item is None:
        return ""
    parts = [item.price_source or "price of the edition", item.vendor_name]
    parts += [f"of {item.priced_on}"] if item.priced_on else []
    parts += [f"valid until {item.valid_until}"] if item.valid_until else []
    parts += [item.reference] if item.reference else []
    return ", ".join(part for part in parts if part)
