"""Lines of direct cost gathered by account, tax class and period of escalation, over which markups are split.

Within a group every markup is the same part of each line, so that markups are computed and split by group, and
only their shares by line.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import NamedTuple

from swardcost_api.engine.pricing.allocation import split_by_weights
from swardcost_api.engine.pricing.costed import CostedLine
from swardcost_api.engine.pricing.escalation import Period


@dataclass(slots=True)
class LineGroup:
    """Lines alike to every markup, largest first, and what they cost with the markups so far, in minor units.

    `full` is the whole cost, `cash` the part of it that costs new money; `direct` stays without markups.
    """

    account: str | None
    tax_class: str | None
    period: Period | None
    lines: tuple[int, ...]
    amounts: tuple[int, ...]
    direct: int
    full: int
    cash: int


class Portion(NamedTuple):
    """What of a markup rests on the lines of a group."""

    lines: tuple[int, ...]
    amounts: tuple[int, ...]
    minor: int


def grouped(lines: Sequence[CostedLine], period_of: Callable[[CostedLine], Period | None]) -> list[LineGroup]:
    """The lines in groups, whose order does not depend on that of the lines.

    Raises `ValueError` for an amount below zero, or a part in cash that is larger than its amount.
    """
    gathered: dict[tuple[str | None, str | None, Period | None], list[int]] = {}
    for index, line in enumerate(lines):
        if not 0 <= line.paid_minor <= line.amount_minor:
            raise ValueError(
                f"line {index + 1}: expected an amount of zero or more, of which a part is in cash; got "
                f"{line.amount_minor} with {line.paid_minor} in cash, in minor units"
            )
        key = (line.account, line.tax_class if line.taxable else None, period_of(line))
        gathered.setdefault(key, []).append(index)
    groups = []
    for key in sorted(gathered, key=_none_last):
        of_group = tuple(sorted(gathered[key], key=lambda index: -lines[index].amount_minor))
        amounts = tuple([lines[index].amount_minor for index in of_group])
        direct, paid = sum(amounts), sum(lines[index].paid_minor for index in of_group)
        groups.append(LineGroup(*key, of_group, amounts, direct, direct, paid))
    return groups


def give(
    groups: Sequence[LineGroup], amount: int, cash: int, *, on_direct: bool
) -> tuple[dict[str | None, int], tuple[Portion, ...]]:
    """Add an amount, of which `cash` costs new money, to the groups it rests on; its sums by account and by group.

    The part in cash goes by what is in cash, the rest by the rest, so that no group has more in cash than it
    costs; on direct cost alone, where the amount was computed on it. Zeros are left out.
    """
    in_cash = _split(cash, groups, [group.cash for group in groups])
    rest = _split(
        amount - cash, groups, [group.direct if on_direct else group.full - group.cash for group in groups]
    )
    by_account: dict[str | None, int] = {}
    portions: list[Portion] = []
    for group, paid, kept in zip(groups, in_cash, rest, strict=True):
        group.full += paid + kept
        group.cash += paid
        if paid + kept:
            by_account[group.account] = by_account.get(group.account, 0) + paid + kept
            portions.append(Portion(group.lines, group.amounts, paid + kept))
    return by_account, tuple(portions)


def split_by_line(portions: Iterable[Portion], line_count: int) -> tuple[int, ...]:
    """The share of each line in its order, zero where nothing rests on it."""
    shares = [0] * line_count
    for lines, amounts, minor in portions:
        for index, part in zip(lines, split_by_weights(minor, amounts), strict=True):
            shares[index] = part
    return tuple(shares)


def _split(total: int, groups: Sequence[LineGroup], weights: Sequence[int]) -> list[int]:
    """A total over groups: first over their accounts, then within each account."""
    if not total:
        return [0] * len(groups)
    accounts = [
        [weight for _, weight in of_account]
        for _, of_account in groupby(
            zip((group.account for group in groups), weights, strict=True), key=lambda one: one[0]
        )
    ]
    parts = split_by_weights(total, [sum(of_account) for of_account in accounts])
    return [
        part
        for whole, of_account in zip(parts, accounts, strict=True)
        for part in split_by_weights(whole, of_account)
    ]


def _none_last(key: tuple[str | None, str | None, Period | None]) -> tuple[object, ...]:
    account, tax_class, period = key
    return account is None, account or "", tax_class is None, tax_class or "", period is None, period or ()
