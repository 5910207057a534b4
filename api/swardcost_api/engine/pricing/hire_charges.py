"""The charges of a stay of a hired machine: line by line where one need bears it, in shares where several do."""

from collections.abc import Sequence
from decimal import Decimal

from swardcost_model.values import from_minor, to_minor

from swardcost_api.engine.derivation import Derivation, Input, Step
from swardcost_api.engine.pricing.allocation import split_by_weights
from swardcost_api.engine.pricing.bought import in_words
from swardcost_api.engine.pricing.charge import Charge, Part
from swardcost_api.engine.pricing.charging import (
    amount_figure,
    charge_by_quantity,
    charge_of_amount,
    charge_of_share,
)
from swardcost_api.engine.pricing.rental import TERMS, RentalCharge, RentalCost, counts_by_rate
from swardcost_api.engine.pricing.rental_terms import RATE_PLACES, HourRate, PeriodRate, RentalTerms

RENTAL_TERMS = "the rental terms"
_ZERO = Decimal(0)
_UNITS = {1: "rental_day", 7: "rental_week", 28: "rental_month", 30: "rental_month", 31: "rental_month"}


def charges_of_stay(cost: RentalCost, terms: RentalTerms, before: Derivation) -> tuple[Charge, ...]:
    """The printed lines of a stay, which sum to its total.

    ::

        periods x price, for each kind of period;  hours over x price of an hour over
        hours charged x price, where the hire is by the hour
        delivery;  pick-up;  damage waiver on the time charge;  fuel bought x price

    Hours that the yard rounds to the minor unit day by day or period by period are printed on one line where
    that gives the same amount, and on a line for each otherwise. What is not in the terms has no line.

    `cost` is a hire by these `terms`; `before` are the steps to its days.
    """
    charges = []
    for rate, count in counts_by_rate(cost.charges).items():
        own = [charge for charge in cost.charges if charge.rate == rate]
        if isinstance(rate, PeriodRate):
            charges.append(_periods(rate, count, cost.currency, before))
            charges += _hours_over(rate, own, cost.currency)
        else:
            charges += _by_the_hour(rate, own, cost.currency, before)
    return (*charges, *_on_top(cost, terms))


def _periods(rate: PeriodRate, count: int, currency: str, before: Derivation) -> Charge:
    return charge_by_quantity(
        Part.RENTAL, f"Hire by the {rate.name}", Decimal(count), _UNITS.get(rate.days, "each"), rate.price,
        currency, names=(f"{rate.name}s", f"{rate.name} price"), source=TERMS, rounding="up to whole periods",
        before=before,
    )  # fmt: skip


def _hours_over(rate: PeriodRate, own: Sequence[RentalCharge], currency: str) -> list[Charge]:
    """What running hours cost beyond those that the periods include."""
    metered = [charge for charge in own if rate.hours_over(charge.used_h)]
    if not metered or rate.included_h is None:
        return []
    price, included = f"price of an hour over in a {rate.name}", f"hours in a {rate.name}"
    before: Derivation = ()
    if rate.over_hour_price is None:
        before = (
            Step(
                price, float(rate.price_over), f"{currency} per hour",
                f"{rate.name} price / {included}, rounded half up to {RATE_PLACES}",
                (
                    Input(f"{rate.name} price", float(rate.price), f"{currency} per {rate.name}"),
                    Input(included, float(rate.included_h), "hour"),
                ),
                RENTAL_TERMS,
            ),
        )  # fmt: skip

    def charge(of: Sequence[RentalCharge]) -> Charge:
        hours = sum((rate.hours_over(one.used_h) for one in of), _ZERO)
        used = [_used(one) for one in of]
        step = Step(
            "hours over", float(hours), "hour", " + ".join(f"({one.name} - {included})" for one in used),
            (*used, Input(included, float(rate.included_h or 0), "hour")), RENTAL_TERMS,
        )  # fmt: skip
        words = f"Hours over the {in_words(rate.included_h or _ZERO)} in a {rate.name}"
        return charge_by_quantity(
            Part.OVER_HOURS, words if len(of) > 1 else f"{words} from {of[0].first}", hours, "hour",
            rate.price_over, currency, names=("hours over", price), source=RENTAL_TERMS, before=(*before, step),
        )  # fmt: skip

    rounded = sum(to_minor(rate.hours_over(one.used_h) * rate.price_over, currency) for one in metered)
    whole = charge(metered)
    return [whole] if whole.amount_minor == rounded else [charge([one]) for one in metered]


def _by_the_hour(
    rate: HourRate, own: Sequence[RentalCharge], currency: str, before: Derivation
) -> list[Charge]:
    """What is hired by the hour, not below the least hours of each day."""

    def charge(of: Sequence[RentalCharge]) -> Charge:
        hours = sum((rate.hours_charged(one.used_h) for one in of), _ZERO)
        used = [_used(one) for one in of]
        step = Step(
            "hours charged", float(hours), "hour",
            " + ".join(f"max({one.name}, least hours a day)" for one in used),
            (*used, Input("least hours a day", float(rate.least_h), "hour")), RENTAL_TERMS,
        )  # fmt: skip
        words = "Hire by the hour" if len(of) > 1 else f"Hire by the hour on {of[0].first}"
        return charge_by_quantity(
            Part.RENTAL, words, hours, "hour", rate.price, currency, names=("hours charged", "hour price"),
            source=TERMS, before=(*before, step),
        )  # fmt: skip

    whole = charge(own)
    if whole.amount_minor == sum(one.amount_minor for one in own):
        return [whole]
    return [charge([one]) for one in own]


def _used(charge: RentalCharge) -> Input:
    return Input(f"hours used from {charge.first}", float(charge.used_h), "hour")


def _on_top(cost: RentalCost, terms: RentalTerms) -> list[Charge]:
    """Delivery, pick-up, damage waiver and fuel, as far as the terms have them."""
    currency, charges = cost.currency, []
    for part, words, price in (
        (Part.DELIVERY, "Delivery", terms.delivery), (Part.PICK_UP, "Pick-up", terms.pick_up)
    ):  # fmt: skip
        if price:
            given = (Input(words.lower(), float(price), currency),)
            charges.append(
                charge_of_amount(part, words, price, currency, formula=words.lower(), inputs=given, source=RENTAL_TERMS)
            )  # fmt: skip
    if terms.damage_waiver_percent:
        charges.append(_damage_waiver(cost, terms.damage_waiver_percent))
    if terms.fuel is not None:
        step = next(step for step in cost.steps if step.name == "quantity bought")
        charges.append(
            charge_by_quantity(
                Part.FUEL, "Fuel", terms.fuel.bought(cost.running_h), terms.fuel.unit, terms.fuel.price, currency,
                names=("quantity bought", "price of fuel"), source=RENTAL_TERMS, rounding="half up to 0.01",
                before=(step,),
            )
        )  # fmt: skip
    return charges


def _damage_waiver(cost: RentalCost, percent: Decimal) -> Charge:
    time_charge = [step.name for step in cost.steps].index("time charge")
    return charge_of_amount(
        Part.DAMAGE_WAIVER, f"Damage waiver, {in_words(percent)} % of the time charge",
        from_minor(cost.time_charge_minor, cost.currency) * percent / 100, cost.currency,
        formula="time charge x damage waiver percent / 100",
        inputs=(
            amount_figure("time charge", cost.time_charge_minor, cost.currency),
            Input("damage waiver percent", float(percent), "percent"),
        ),
        source=RENTAL_TERMS, before=cost.steps[: time_charge + 1],
    )  # fmt: skip


def shares_of_stay(
    cost: RentalCost, machine: int, hours: Sequence[Decimal], before: Sequence[Derivation]
) -> list[Charge]:
    """The share of each need in a stay, in proportion to its running hours; the shares sum to the total.

    Shares are whole minor units by largest remainder; with ties the earlier need has the odd one. `hours` are
    those of each need, above zero, and `before` the steps to its days.

    References
    ----------
    Pro rata by use: common practice. Largest remainder: Hamilton's apportionment.
    """
    every = sum(hours, _ZERO)
    shares = split_by_weights(cost.total_minor, [float(one) for one in hours])
    return [
        _share(cost, machine, one, every, share, steps)
        for one, share, steps in zip(hours, shares, before, strict=True)
    ]


def _share(
    cost: RentalCost, machine: int, hours: Decimal, every: Decimal, share_minor: int, before: Derivation
) -> Charge:
    return charge_of_share(
        Part.RENTAL, f"Share of the hire of machine {machine}: {in_words(hours)} of {in_words(every)} hours",
        share_minor, int(cost.total_minor * hours // every), cost.currency,
        formula="total x minor units in one x hours of this need / hours of all needs, rounded down",
        inputs=(
            amount_figure("total", cost.total_minor, cost.currency),
            Input("hours of this need", float(hours), "hour"), Input("hours of all needs", float(every), "hour"),
        ),
        source="shared by running hours", before=(*before, *cost.steps),
    )  # fmt: skip
