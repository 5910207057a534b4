"""Unit-price contracts: one price within a band about the contract quantity, others beyond and below it."""

from decimal import ROUND_HALF_UP, Decimal

from swardcost_model.price_terms import QuantityBands

from swardcost_api.engine.derivation import Input, Step
from swardcost_api.engine.pricing.bought import TERMS, Bought, in_words
from swardcost_api.engine.pricing.charge import Charge
from swardcost_api.engine.pricing.charging import charge_of_all, charge_of_part

EDGE_PLACES = Decimal("0.000001")
"""Places to which the edges of a band count, those in which quantities of terms are stated."""


def price_with_bands(
    bought: Bought, *, unit_price: Decimal, bands: QuantityBands, currency: str, source: str
) -> tuple[Charge, ...]:
    """The price charges of a quantity under a contract with bands.

    ::

        over-run edge  = contract quantity x (1 + over percent / 100)
        under-run edge = contract quantity x (1 - under percent / 100)
        beyond the over-run edge:  edge x unit price + (quantity - edge) x price over
        below the under-run edge:  quantity x price under
        else, or without such a price: quantity x unit price

    Limits: the public clauses leave the new price to an equitable adjustment; here it is one agreed
    beforehand. Some of them pay for an under-run no more than its edge at the unit price; that is not applied.

    References
    ----------
    FAR 52.211-18, Variation in Estimated Quantity: 15 percent either way. 23 CFR 635.109: an over-run's price
    for the portion beyond 125 percent alone, an under-run's (below 75 percent) for all work performed.
    """
    most, over_edge = _edge(bands.contract_quantity, bands.over_percent, bought.unit, over=True)
    least, under_edge = _edge(bands.contract_quantity, bands.under_percent, bought.unit, over=False)
    if bands.price_under is not None and 0 < bought.quantity < least:
        return (
            charge_of_all(
                bought, bands.price_under, currency, source, before=(under_edge,),
                words=f"below {in_words(100 - bands.under_percent)} % of the contract quantity",
            ),
        )  # fmt: skip
    if bands.price_over is None or bought.quantity <= most:
        return (charge_of_all(bought, unit_price, currency, source, before=(over_edge, under_edge)),)
    edge = Input(over_edge.name, over_edge.value, bought.unit)
    share, before = in_words(100 + bands.over_percent), (over_edge,)
    return (
        charge_of_part(
            bought, f"up to {share} % of the contract quantity", most, unit_price, currency, source,
            formula=f"min(purchase quantity, {edge.name})", inputs=(bought.figure, edge), before=before,
        ),
        charge_of_part(
            bought, f"beyond {share} % of the contract quantity", bought.quantity - most, bands.price_over,
            currency, source, formula=f"purchase quantity - {edge.name}", inputs=(bought.figure, edge),
            before=before,
        ),
    )  # fmt: skip


def _edge(contract: Decimal, percent: Decimal, unit: str, *, over: bool) -> tuple[Decimal, Step]:
    name, sign, margin = (
        ("over-run edge", "+", "over percent") if over else ("under-run edge", "-", "under percent")
    )
    edge = (contract * (1 + (percent if over else -percent) / 100)).quantize(EDGE_PLACES, ROUND_HALF_UP)
    step = Step(
        name, float(edge), unit,
        f"contract quantity x (1 {sign} {margin} / 100), rounded half up to {EDGE_PLACES}",
        (Input("contract quantity", float(contract), unit), Input(margin, float(percent), "percent")), TERMS,
    )  # fmt: skip
    return edge.normalize(), step
