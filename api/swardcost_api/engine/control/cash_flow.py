"""Money by month: what was planned, what was paid, and what is still to come."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import accumulate

from swardcost_api.engine.control.months import months_between, next_month
from swardcost_api.engine.pricing.allocation import split_by_weights


@dataclass(frozen=True, slots=True)
class CashMonth:
    """One month, in minor units. `expected` is to come; the last two are sums up to and including the month."""

    month: str
    planned_minor: int
    paid_minor: int
    expected_minor: int
    planned_so_far_minor: int
    money_so_far_minor: int


def spread_rest(rest_minor: int, planned: Mapping[str, int], after: str) -> dict[str, int]:
    """What is still to come of a line, over the months of its plan after the month `after`.

    In proportion to the plan of those months; where it has none, all of it in the first of them. The parts sum
    to the whole.
    """
    if rest_minor == 0:
        return {}
    ahead = {month: amount for month, amount in sorted(planned.items()) if month > after and amount > 0}
    if not ahead:
        return {next_month(after): rest_minor}
    return dict(zip(ahead, split_by_weights(rest_minor, list(ahead.values())), strict=True))


def cash_flow(
    planned: Mapping[str, int], paid: Mapping[str, int], expected: Mapping[str, int]
) -> Sequence[CashMonth]:
    """Every month from the first with money to the last, with the sums so far; totals are those of the inputs."""
    known = sorted({*planned, *paid, *expected})
    if not known:
        return []
    months = months_between(known[0], known[-1])
    so_far = list(accumulate(planned.get(month, 0) for month in months))
    money = list(accumulate(paid.get(month, 0) + expected.get(month, 0) for month in months))
    return [
        CashMonth(month, planned.get(month, 0), paid.get(month, 0), expected.get(month, 0), so_far[at], money[at])
        for at, month in enumerate(months)
    ]  # fmt: skip
