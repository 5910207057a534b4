"""Where whole-quantity breaks let more cost less: the next larger quantity that does."""

from dataclasses import dataclass, field
from decimal import Decimal

from swardcost_model.price_terms import PurchaseTerms
from swardcost_model.values import from_minor

from swardcost_api.engine.derivation import Derivation, Step
from swardcost_api.engine.pricing.bought import least_bought_from
from swardcost_api.engine.pricing.breaks import tiers_in_order
from swardcost_api.engine.pricing.charging import amount_figure
from swardcost_api.engine.pricing.purchase import Purchase, price_bought


@dataclass(frozen=True, slots=True)
class CheaperPurchase:
    """A larger purchase that costs less in all, and what it saves, in minor units."""

    purchase: Purchase
    saved_minor: int
    steps: Derivation = field(repr=False, compare=False)


def cheaper_to_buy_more(
    purchase: Purchase,
    *,
    counted: bool,
    unit_price: Decimal,
    terms: PurchaseTerms,
    price_source: str = "",
    weekend_percent: Decimal = Decimal(0),
    mass_of_one: Decimal | None = None,
) -> CheaperPurchase | None:
    """The next larger quantity that costs less in all than `purchase`, priced by the same terms; `None` if none does.

    Within a tier more never costs less, so only the least that can be bought of each higher tier is looked at.
    All that comes on top counts: delivery, surcharges and minimum charge. The figures are those with which
    `purchase` was priced. Only breaks by whole quantity have such quantities.

    References
    ----------
    Nahmias, Production and Operations Analysis: with all-units discounts the candidates are the breakpoints.
    """
    if terms.breaks is None or terms.breaks.apply != "whole_quantity":
        return None
    for tier in tiers_in_order(terms.breaks):
        if tier.from_quantity <= purchase.quantity:
            continue
        # The price alone rules most tiers out; where increments reach past a tier, the later one is looked at too.
        if tier.unit_price * tier.from_quantity > from_minor(purchase.total_minor, purchase.currency):
            continue
        least = least_bought_from(tier.from_quantity, unit=purchase.unit, counted=counted, terms=terms)
        larger = price_bought(
            least, unit_price=unit_price, terms=terms, currency=purchase.currency, price_source=price_source,
            weekend_percent=weekend_percent, mass_of_one=mass_of_one,
        )  # fmt: skip
        if larger.total_minor < purchase.total_minor:
            return _saving(purchase, larger)
    return None


def _saving(purchase: Purchase, larger: Purchase) -> CheaperPurchase:
    saved = purchase.total_minor - larger.total_minor
    inputs = (
        amount_figure("total", purchase.total_minor, purchase.currency),
        amount_figure("total of the larger quantity", larger.total_minor, purchase.currency),
    )
    step = Step(
        "saving", float(from_minor(saved, purchase.currency)), purchase.currency,
        "total - total of the larger quantity", inputs, "arithmetic",
    )  # fmt: skip
    return CheaperPurchase(larger, saved, (*larger.steps, step))
