"""What a hire comes to at a yard's rates, on the days that every yard was asked for."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal

from swardcost_model.price_terms import RentalRates, RentalTerms

from swardcost_api.engine.derivation import Derivation
from swardcost_api.engine.pricing.hire import Need, price_hire


@dataclass(frozen=True, slots=True)
class QuotedHire:
    """The amount of a hire in minor units, and how it is covered: ``2 weeks + 3 days``."""

    amount_minor: int
    cover: str
    steps: Derivation = field(repr=False, compare=False)


def quoted_hire(*, code: str, needs: Sequence[Need], terms: RentalTerms, currency: str) -> QuotedHire:
    """What the hire of an item costs by these terms: the cheapest stays of as few machines as the needs take.

    The last step is the ``amount of {code}``. Raises `ValueError` as `price_hire`.
    """
    hire = price_hire(needs, terms, currency)
    *before, total = hire.steps
    of_stays = tuple(step for stay in hire.stays for step in stay.cost.steps)
    steps = (*of_stays, *before, replace(total, name=f"amount of {code}"))
    return QuotedHire(hire.total_minor, hire.cover, steps)


def rates_at(
    rates: RentalRates, *, by_time: Callable[[Decimal], Decimal], on_top: Callable[[Decimal], Decimal]
) -> RentalRates:
    """Rental rates with every price changed: those by time (periods, hours over, hours), and those on top (delivery,
    pick-up, fuel). The damage waiver is a percentage of the time charge and moves with it."""
    periods = [
        period.model_copy(
            update={
                "price": by_time(period.price),
                "over_hour_price": None
                if period.over_hour_price is None
                else by_time(period.over_hour_price),
            }
        )
        for period in rates.periods
    ]
    hourly, fuel = rates.hourly, rates.fuel
    return rates.model_copy(
        update={
            "periods": periods, "delivery": on_top(rates.delivery), "pick_up": on_top(rates.pick_up),
            "hourly": None if hourly is None else hourly.model_copy(update={"price": by_time(hourly.price)}),
            "fuel": None if fuel is None else fuel.model_copy(update={"price": on_top(fuel.price)}),
        }
    )  # fmt: skip
