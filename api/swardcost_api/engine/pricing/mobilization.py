"""Mobilization: what a vendor charges once, a visit or a quote, shared over the lines that caused it."""

from collections.abc import Sequence
from dataclasses import dataclass
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
    if not mobilization.is_finite() or mobilization < 0:
        raise ValueError(f"mobilization: expected zero or more; got {mobilization}")
    what = _OnceCharged(
        "mobilization of the visit", f"Mobilization, visit {visit}", f"{TERMS}, visit {visit}", currency
    )
    return _shares(what, minor_units(mobilization, currency), amounts_minor)


def share_fixed_charge(
    *, quote: str, fixed_minor: int, amounts_minor: Sequence[int], currency: str
) -> tuple[Charge, ...]:
    """Share what a quote charges once, whatever is bought by it, over its lines, as mobilization is shared.

    `quote` names it on every line. All amounts are in minor units of `currency`.

    Raises `ValueError` for a quote without lines or negative figures.
    """
    if fixed_minor < 0:
        raise ValueError(f"fixed charge: expected zero or more; got {fixed_minor}")
    what = _OnceCharged(
        "fixed charge of the quote", f"Fixed charge, quote of {quote}", f"the quote of {quote}", currency
    )
    return _shares(what, fixed_minor, amounts_minor)


@dataclass(frozen=True, slots=True)
class _OnceCharged:
    """What is charged once: its name in formulas, what it is called on a line, and its source."""

    name: str
    words: str
    source: str
    currency: str

    def __post_init__(self) -> None:
        if self.currency not in CURRENCY_DIGITS:
            known = ", ".join(sorted(CURRENCY_DIGITS))
            raise ValueError(f"currency: expected one of {known}; got {self.currency!r}")


def _shares(what: _OnceCharged, whole_minor: int, amounts_minor: Sequence[int]) -> tuple[Charge, ...]:
    if not amounts_minor or min(amounts_minor) < 0:
        raise ValueError(f"{what.words}: expected one line or more, with amounts of zero or more")
    shares = split_by_weights(whole_minor, amounts_minor)
    total = sum(amounts_minor)
    return tuple(
        _share(what, whole_minor, share, amount, total, len(amounts_minor))
        for share, amount in zip(shares, amounts_minor, strict=True)
    )


def _share(
    what: _OnceCharged, whole_minor: int, share_minor: int, amount_minor: int, total_minor: int, lines: int
) -> Charge:
    currency = what.currency
    whole = amount_figure(what.name, whole_minor, currency)
    weights: tuple[Input, ...]
    if total_minor:
        down = whole_minor * amount_minor // total_minor
        formula = f"{what.name} x amount of the line / amounts of all lines"
        weights = (
            amount_figure("amount of the line", amount_minor, currency),
            amount_figure("amounts of all lines", total_minor, currency),
        )
    else:
        down = whole_minor // lines
        formula, weights = f"{what.name} / lines", (Input("lines", float(lines), "each"),)
    return charge_of_share(
        Part.MOBILIZATION, what.words, share_minor, down, currency,
        formula=f"{formula} x minor units in one, rounded down", inputs=(whole, *weights), source=what.source,
    )  # fmt: skip
