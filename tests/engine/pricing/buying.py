"""Buying by the terms of a test: sand by the short ton unless it says otherwise, and any terms that make sense."""

from decimal import Decimal
from typing import Any

from hypothesis import strategies as st
from swardcost_api.engine.pricing.bought import Bought, quantity_bought
from swardcost_api.engine.pricing.purchase import Purchase, price_purchase
from swardcost_model.price_terms import PurchaseTerms

SOURCE = "quote of May"


def terms_of(**fields: Any) -> PurchaseTerms:
    """Terms from what a price list would say, checked as those of a caller are."""
    return PurchaseTerms.model_validate(fields)


def bought_of(quantity: str, unit: str = "short_ton") -> Bought:
    """Just this quantity."""
    return quantity_bought(
        measured=float(quantity), unit=unit, counted=False, waste_percent=Decimal(0), terms=PurchaseTerms()
    )


def buy(measured: float, price: str = "38.50", **fields: Any) -> Purchase:
    """A purchase of sand by these terms."""
    return buy_by(terms_of(**fields), measured, price)


def buy_by(terms: PurchaseTerms, measured: float, price: str = "38.50", **figures: Any) -> Purchase:
    """A purchase of sand; `figures` are those of `price_purchase`."""
    given: dict[str, Any] = {
        "unit": "short_ton", "counted": False, "waste_percent": Decimal(0), "unit_price": Decimal(price),
        "currency": "USD", "price_source": SOURCE,
    }  # fmt: skip
    return price_purchase(measured=measured, terms=terms, **(given | figures))


def printed(purchase: Purchase) -> list[tuple[str, str, str, int]]:
    """Words, quantity with unit, price and amount of each charge."""
    return [
        (
            one.words,
            f"{one.quantity.normalize():f} {one.unit}",
            f"{one.price.normalize():f}",
            one.amount_minor,
        )
        for one in purchase.charges
    ]


def decimals(least: str, most: str, places: int = 2) -> st.SearchStrategy[str]:
    """Decimals as a caller writes them."""
    return st.decimals(least, most, places=places).map(lambda one: format(one, "f"))


PRICES = decimals("0", "500")
MEASURED = st.integers(0, 200_000).map(lambda hundredths: hundredths / 100)


def tiers(*, falling: bool = False) -> st.SearchStrategy[list[dict[str, str]]]:
    """Tiers in any order; with falling prices, or any."""

    @st.composite
    def drawn(draw: st.DrawFn) -> list[dict[str, str]]:
        starts = draw(st.lists(decimals("0.5", "1500", 1), min_size=1, max_size=6, unique_by=Decimal))
        prices = [draw(PRICES) for _ in starts]
        if falling:
            starts.sort(key=Decimal)
            prices.sort(key=Decimal, reverse=True)
        pairs = [
            {"from_quantity": start, "unit_price": price} for start, price in zip(starts, prices, strict=True)
        ]
        return draw(st.permutations(pairs))

    return drawn()


def breaks(apply: str | None = None) -> st.SearchStrategy[dict[str, Any]]:
    """Breaks of one kind, or of either."""
    kinds = st.just(apply) if apply else st.sampled_from(["each_tier", "whole_quantity"])
    return st.fixed_dictionaries({"apply": kinds, "tiers": tiers()})


BANDS = st.fixed_dictionaries(
    {
        "contract_quantity": decimals("1", "1500", 1), "over_percent": decimals("0", "50", 1),
        "under_percent": decimals("0", "100", 1), "price_over": PRICES, "price_under": PRICES,
    }
)  # fmt: skip
DELIVERIES = st.one_of(
    st.fixed_dictionaries(
        {"by": st.just("load"), "load_size": decimals("0.5", "50", 1), "charge": PRICES}
    ),
    st.fixed_dictionaries(
        {
            "by": st.just("mass_distance"), "rate": decimals("0", "2"), "mass_unit": st.just("short_ton"),
            "distance": st.fixed_dictionaries({"value": decimals("0", "200", 1), "unit": st.just("mile")}),
            "least": decimals("0", "300"),
        }
    ),
    st.fixed_dictionaries(
        {
            "by": st.just("zone"), "zone": st.just("near"), "load_size": st.none() | decimals("0.5", "50", 1),
            "zones": PRICES.map(lambda charge: [{"name": "near", "charge": charge}]),
        }
    ),
)  # fmt: skip


@st.composite
def surcharge_lists(draw: st.DrawFn, *, delivered: bool) -> list[dict[str, str]]:
    """Surcharges of any kind, each with a name of its own."""
    found = []
    for number in range(draw(st.integers(0, 4))):
        kind = draw(st.sampled_from(["percent", "per_unit", "per_order"]))
        one = {
            "name": f"Surcharge {number}", kind: draw(decimals("0", "30")),
            "when": draw(st.sampled_from(["always", "weekend"])),
        }  # fmt: skip
        if kind == "percent":
            one["on"] = draw(
                st.sampled_from(["price", "delivery", "both"] if delivered else ["price", "both"])
            )
        found.append(one)
    return found


@st.composite
def any_terms(draw: st.DrawFn) -> PurchaseTerms:
    """Terms with any of their parts."""
    fields: dict[str, Any] = {
        "increment": draw(st.none() | decimals("0.5", "50", 1)),
        "minimum_order": draw(st.none() | decimals("0.1", "300", 1)),
        "minimum_charge": draw(st.none() | decimals("0.01", "9000")),
        "delivery": draw(st.none() | DELIVERIES),
    }
    kind = draw(st.sampled_from(["plain", "breaks", "bands"]))
    if kind == "breaks":
        fields["breaks"] = draw(breaks())
    if kind == "bands":
        fields["bands"] = draw(BANDS)
    fields["surcharges"] = draw(surcharge_lists(delivered=fields["delivery"] is not None))
    return terms_of(**fields)
