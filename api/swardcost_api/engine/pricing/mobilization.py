"""Mobilization: what a vendor charges once a visit, shared over the lines that caused the visit."""

from collections.abc import Sequence
from decimal import Decimal

from swardcost_model.values import CURRENCY_DIGITS

from swardcost_api.engine.derivation import Input
from swardcost_api.engine.pricing.allocation import split_by_weights
from swardcost_api.engine.pricing.charge import Charge, Part
from swardcost_api.engine.pricing.charging import amount_figure, charge_of_share, minor_units

TERMS = "the vendor's terms"


def share_mobilization(
    *, visit: str, mobilization: Decimal, amounts_minor: Sequence[int], currency: str
) -> tuple[Charge, ...]:
    """Share the mobilization of one visit over its lines, in proportion to their amounts; one charge a line.

    ::

        share = mobilization x amount of the line / amounts of all lines of the visit

    Shares are whole minor units by largest remainder, so that they sum to the mobilization exactly. Where all
    amounts are zero, the shares are equal. `amounts_minor` are the amounts of the lines in minor units, in an
    order that the charges keep; with ties the earlier line has the odd minor unit.

    Raises `ValueError` for a visit without lines, negative figures, or an amount too large to be meant.

    References
    ----------
    Pro rata by amount: common practice, as highway agencies prorate mobilization over the parts of a contract
    (TxDOT, PS&E manual, 5.5.2). Largest remainder: Hamilton's apportionment.
    """
    if currency not in CURRENCY_DIGITS:
        raise ValueError(f"currency: expected one of {', '.join(sorted(CURRENCY_DIGITS))}; got {currency!r}")
    if not mobilization.is_finite() or mobilization < 0:
        raise ValueError(f"mobilization: expected zero or more; got {mobilization}")
    if not amounts_minor or min(amounts_minor) < 0:
        raise ValueError(f"visit {visit}: expected one line or more, with amounts of zero or more")
    whole = minor_units(mobilization, currency)
    shares = split_by_weights(whole, amounts_minor)
    total = sum(amounts_minor)
    return tuple(
        _share(visit, whole, share, amount, total, len(amounts_minor), currency)
        for share, amount in zip(shares, amounts_minor, strict=True)
    )


def _share(
    visit: str,
    whole_minor: int,
    share_minor: int,
    amount_minor: int,
    total_minor: int,
    lines: int,
    currency: str,
) -> Charge:
    whole = amount_figure("mobilization of the visit", whole_minor, currency)
    weights: tuple[Input, ...]
    if total_minor:
        down = whole_minor * amount_minor // total_minor
        formula = "mobilization of the visit x amount of the line / amounts of all lines"
        weights = (
            amount_figure("amount of the line", amount_minor, currency),
            amount_figure("amounts of all lines", total_minor, currency),
        )
    else:
        down = whole_minor // lines
        formula, weights = "mobilization of the visit / lines", (Input("lines", float(lines), "each"),)
    return charge_of_share(
        Part.MOBILIZATION, f"Mobilization, visit {visit}", share_minor, down, currency,
        formula=f"{formula} x minor units in one, rounded down", inputs=(whole, *weights),
        source=f"{TERMS}, visit {visit}",
    )  # fmt: skip
