"""The markup chain: tax, overhead, escalation, contingency, each on its own line and in this order.

Bases, as stated on each line:

- tax on the taxable lines,
- overhead on the direct cost (all lines),
- escalation on direct cost, tax and overhead, from the price date to the mid-point of the work,
- contingency on everything before it.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import ROUND_HALF_UP, Decimal

from swardcost_model.values import from_minor, to_minor

from swardcost_api.engine.derivation import Input, Step
from swardcost_api.engine.pricing.allocation import split_by_weights

ORDER = ("tax", "overhead", "escalation", "contingency")
DAYS_A_YEAR = 365
PERCENT_PLACES = Decimal("0.000001")
LARGEST_PERCENT = Decimal(10**8)

LABELS = {
    "tax": "Tax on taxable items",
    "overhead": "In-house overhead",
    "escalation": "Escalation to the mid-point of the work",
    "contingency": "Contingency",
}
_BASES = {
    "tax": "taxable lines",
    "overhead": "direct cost",
    "escalation": "direct cost, tax and overhead",
    "contingency": "direct cost, tax, overhead and escalation",
}


@dataclass(frozen=True, slots=True)
class MarkupRate:
    """A markup as asked for; `compound` matters to escalation alone."""

    kind: str
    percent: Decimal
    account: str | None = None
    compound: bool = True


@dataclass(frozen=True, slots=True)
class CostedLine:
    """What the chain needs of a line: its amount in minor units, its account, and whether it is taxed."""

    amount_minor: int
    account: str | None
    taxable: bool


@dataclass(frozen=True, slots=True)
class AppliedMarkup:
    """A markup with its base, the rate applied to it and its amount; `by_account` sums to the amount."""

    kind: str
    label: str
    base_words: str
    base_minor: int
    percent: Decimal
    amount_minor: int
    account: str | None
    by_account: Mapping[str | None, int]
    steps: tuple[Step, ...]


def midpoint(starts_on: date, ends_on: date) -> date:
    """The middle day of the work."""
    return starts_on + timedelta(days=(ends_on - starts_on).days // 2)


def escalation_percent(
    yearly_percent: Decimal, priced_on: date, work_midpoint: date, compound: bool
) -> Decimal:
    """Escalation from the price date to the mid-point of the work, in percent, unrounded.

    Compound: ``((1 + r) ** years - 1) x 100``; simple: ``r x years x 100``; years are days / 365. Work
    whose mid-point lies before the price date is not escalated.

    References
    ----------
    US GSA P-120 cost guide: from the date of the estimate to the middle of construction, compounding
    yearly. The simple form follows the average-monthly-rate lesson of FEMA IS-1013.
    """
    days = max((work_midpoint - priced_on).days, 0)
    years = Decimal(days) / DAYS_A_YEAR
    rate = yearly_percent / 100
    return ((1 + rate) ** years - 1 if compound else rate * years) * 100


def apply_markups(
    lines: Sequence[CostedLine],
    rates: Iterable[MarkupRate],
    currency: str,
    priced_on: date,
    work_midpoint: date,
) -> tuple[AppliedMarkup, ...]:
    """Apply the markups to the lines, in the fixed order, whatever order they are given in.

    Raises `ValueError` for an escalation that cannot be meant.
    """
    direct = sum(line.amount_minor for line in lines)
    taxable = sum(line.amount_minor for line in lines if line.taxable)
    by_account = _by_account(lines)
    taxable_by_account = _by_account([line for line in lines if line.taxable])
    applied: list[AppliedMarkup] = []
    for rate in sorted(rates, key=lambda one: ORDER.index(one.kind)):
        base = {
            "tax": taxable,
            "overhead": direct,
            "escalation": direct + sum(one.amount_minor for one in applied),
            "contingency": direct + sum(one.amount_minor for one in applied),
        }[rate.kind]
        percent, rate_steps = rate.percent, list[Step]()
        if rate.kind == "escalation":
            percent = _printed_percent(
                escalation_percent(rate.percent, priced_on, work_midpoint, rate.compound)
            )
            rate_steps = [_escalation_step(rate, percent, priced_on, work_midpoint)]
        amount = to_minor(from_minor(base, currency) * percent / 100, currency)
        weights = taxable_by_account if rate.kind == "tax" else by_account
        applied.append(
            AppliedMarkup(
                rate.kind, LABELS[rate.kind], _BASES[rate.kind], base, percent, amount, rate.account,
                _spread(amount, rate.account, weights),
                (*rate_steps, _amount_step(rate.kind, base, percent, amount, currency)),
            )
        )  # fmt: skip
    return tuple(applied)


def _printed_percent(percent: Decimal) -> Decimal:
    """A computed rate to the places in which it is printed, so that base x rate can be redone by hand."""
    if percent >= LARGEST_PERCENT:
        raise ValueError("expected an escalation that does not multiply the cost a million times over")
    return percent.quantize(PERCENT_PLACES, ROUND_HALF_UP)


def _by_account(lines: Iterable[CostedLine]) -> dict[str | None, int]:
    sums: dict[str | None, int] = {}
    for line in lines:
        sums[line.account] = sums.get(line.account, 0) + line.amount_minor
    return dict(sorted(sums.items(), key=lambda one: (one[0] is None, one[0] or "")))


def _spread(amount: int, account: str | None, weights: Mapping[str | None, int]) -> dict[str | None, int]:
    """A markup with an account of its own goes there; one without follows the lines it rests on."""
    if account is not None or not weights:
        return {account: amount} if amount else {}
    parts = split_by_weights(amount, list(weights.values()))
    return {key: part for key, part in zip(weights, parts, strict=True) if part}


def _escalation_step(rate: MarkupRate, percent: Decimal, priced_on: date, work_midpoint: date) -> Step:
    days = max((work_midpoint - priced_on).days, 0)
    formula = "((1 + yearly rate) ^ (days / 365) - 1)" if rate.compound else "yearly rate x days / 365"
    return Step(
        "escalation rate", float(percent), "percent", f"{formula}, in percent, rounded half up to 0.000001",
        (Input("yearly rate", float(rate.percent), "percent"), Input("days to the mid-point", days, "day")),
        "US GSA P-120 cost guide: to the middle of construction, compounding yearly" if rate.compound
        else "FEMA IS-1013, average rate times time, not compounded",
    )  # fmt: skip


def _amount_step(kind: str, base: int, percent: Decimal, amount: int, currency: str) -> Step:
    return Step(
        kind, float(from_minor(amount, currency)), currency,
        f"{_BASES[kind]} x rate / 100, rounded half up to the minor unit",
        (
            Input(_BASES[kind], float(from_minor(base, currency)), currency),
            Input("rate", float(percent), "percent"),
        ),
    )  # fmt: skip
