"""The markup chain in each trial: tax, overhead, escalation and contingency on what the lines cost in that trial."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from itertools import groupby
from operator import attrgetter

import numpy as np

from swardcost_api.engine.pricing.costed import CostedLine
from swardcost_api.engine.pricing.escalation import (
    Basis,
    IndexGap,
    Period,
    escalation_period,
    escalation_rate,
)
from swardcost_api.engine.pricing.line_groups import grouped
from swardcost_api.engine.pricing.markups import (
    ORDER,
    MarkupChain,
    MarkupRate,
    basis_of,
    markup_chain,
    percentage_of,
    tax_of,
)
from swardcost_api.engine.risk.simulated_shares import EXACT, split_in_trials
from swardcost_api.engine.risk.whole_figures import Ints, Whole

_MOST_SPLIT = EXACT // 1_000
"""Sums of lines below this stay exact in floats with all their markups, which are below a thousand times the cost."""


@dataclass(frozen=True, slots=True)
class MarkedLine:
    """What the markups need to know of a line, whatever it costs; the fields mean what they mean in `CostedLine`.

    `in_cash` says whether the line costs new money, all of it, or none.
    """

    account: str | None = None
    taxable: bool = False
    tax_class: str = "standard"
    in_cash: bool = True
    priced_on: date | None = None
    work_midpoint: date | None = None

    def costed(self, amount_minor: int) -> CostedLine:
        """The line at an amount in minor units."""
        return CostedLine(
            amount_minor, self.account, self.taxable, self.tax_class, None if self.in_cash else 0, self.priced_on,
            self.work_midpoint,
        )  # fmt: skip


@dataclass(frozen=True, slots=True)
class MarkupTerms:
    """The markups as `markup_chain` takes them; their percentages are not uncertain."""

    rates: Sequence[MarkupRate]
    currency: str
    priced_on: date
    work_midpoint: date

    @property
    def kinds(self) -> tuple[str, ...]:
        """The kinds that are asked for, in the order of the chain."""
        return tuple(kind for kind in ORDER if any(rate.kind == kind for rate in self.rates))

    def of_kind(self, kind: str) -> MarkupRate:
        """What is asked for of one of `kinds`."""
        return next(rate for rate in self.rates if rate.kind == kind)

    def chain(self, lines: Sequence[CostedLine]) -> MarkupChain:
        """The chain on these lines."""
        return markup_chain(
            lines,
            self.rates,
            currency=self.currency,
            priced_on=self.priced_on,
            work_midpoint=self.work_midpoint,
        )


def markups_in_trials(
    lines: Sequence[MarkedLine], amounts: Sequence[Ints], terms: MarkupTerms, trials: int
) -> dict[str, Ints]:
    """Each kind of markup in each trial, in minor units, in the order of the chain and rounded as it rounds.

    `amounts` are what each line costs in each of so many trials, in minor units. Gaps (no tax rate, no index) are in
    no sum, as in the chain.

    Where all lines have the same days, or none is escalated, each markup is a percentage on one base. Where days
    differ, the base of each period rests on how tax and overhead were split to the minor unit, so that those are split
    in every trial as the chain splits them. Amounts too large for that are put through the chain one trial at a time.

    Raises `ValueError` as the chain does, for rates that make no sense.
    """
    if not terms.kinds or not lines:
        return {kind: np.zeros(trials, dtype=np.int64) for kind in terms.kinds}
    alike, sums = _alike(lines, amounts)
    terms.chain([line.costed(int(of_line[0])) for line, of_line in zip(alike, sums, strict=True)])
    percents = _escalation_percents(alike, terms)
    if percents is None and sum(int(of_line.max()) for of_line in sums) < _MOST_SPLIT:
        return _by_periods(alike, sums, terms)
    if percents is None:
        return _chain_by_trial(alike, sums, terms)
    return _one_base_each(alike, sums, terms, percents)


def _alike(lines: Sequence[MarkedLine], amounts: Sequence[Ints]) -> tuple[list[MarkedLine], list[Ints]]:
    """Lines that are alike to every markup, as one line each, and their sums in each trial."""
    gathered: dict[MarkedLine, Ints] = {}
    for line, amount in zip(lines, amounts, strict=True):
        like = line if line.taxable else replace(line, tax_class="")
        gathered[like] = gathered[like] + amount if like in gathered else amount
    return list(gathered), list(gathered.values())


def _escalation_percents(lines: Sequence[MarkedLine], terms: MarkupTerms) -> list[Decimal] | None:
    """The percentage of the only escalation, in a list, empty where there is none; `None` for several periods."""
    if "escalation" not in terms.kinds:
        return []
    basis = basis_of(terms.of_kind("escalation"))
    periods = {
        escalation_period(basis, line.priced_on or terms.priced_on, line.work_midpoint or terms.work_midpoint)
        for line in lines
    }
    if len(periods) > 1:
        return None
    found = escalation_rate(basis, periods.pop())
    return [] if isinstance(found, IndexGap) else [found.percent]


def _one_base_each(
    lines: Sequence[MarkedLine], sums: Sequence[Ints], terms: MarkupTerms, escalation: Sequence[Decimal]
) -> dict[str, Ints]:
    direct: Ints = np.sum(sums, axis=0)
    so_far, found = direct, dict[str, Ints]()
    for kind in terms.kinds:
        if kind == "tax":
            amount: Ints = np.zeros_like(direct)
            for taxed in tax_of(
                [line.costed(0) for line in lines], terms.of_kind("tax"), terms.currency
            ).lines:
                base: Ints = np.sum([np.zeros_like(direct), *(sums[index] for index in taxed.lines)], axis=0)
                amount = amount + _percent_of(base, taxed.percent)
        elif kind == "escalation":
            amount = _percent_of(so_far, escalation[0]) if escalation else np.zeros_like(direct)
        else:
            amount = _percent_of(direct if kind == "overhead" else so_far, percentage_of(terms.of_kind(kind)))
        so_far = so_far + amount
        found[kind] = amount
    return found


def _percent_of(base: Ints, percent: Decimal) -> Ints:
    """A percentage of amounts of zero or more, rounded half up, and away from zero for a percentage below it."""
    numerator, denominator = percent.as_integer_ratio()
    amount = Whole.of(base).times(abs(numerator)).half_up(denominator * 100).int64(len(base))
    return -amount if numerator < 0 else amount


@dataclass(slots=True)
class _Group:
    """Lines of one account, tax class and period: what they cost, that with markups so far, and the part of that in
    cash, each in minor units, one a trial. `first_line` is the number of the first of the lines."""

    account: str | None
    period: Period | None
    first_line: int
    direct: Ints
    full: Ints
    cash: Ints


def _by_periods(lines: Sequence[MarkedLine], sums: Sequence[Ints], terms: MarkupTerms) -> dict[str, Ints]:
    """The chain with several periods of escalation, over all trials at once."""
    basis = basis_of(terms.of_kind("escalation"))
    groups = _groups(lines, sums, terms, basis)
    direct: Ints = np.sum(sums, axis=0)
    so_far, found = direct, dict[str, Ints]()
    for kind in terms.kinds:
        amount = np.zeros_like(direct)
        if kind == "tax":
            costed = [line.costed(0) for line in lines]
            for taxed in tax_of(costed, terms.of_kind("tax"), terms.currency).lines:
                amount = amount + _give(
                    [one for one in groups if one.first_line in taxed.lines], taxed.percent, on_direct=False
                )
        elif kind == "overhead":
            amount = _give(groups, percentage_of(terms.of_kind(kind)), on_direct=True)
        elif kind == "escalation":
            for period in {one.period for one in groups}:
                rate = escalation_rate(basis, period)
                if not isinstance(rate, IndexGap):
                    full = np.sum([one.full for one in groups if one.period == period], axis=0)
                    amount = amount + _percent_of(full, rate.percent)
        else:
            amount = _percent_of(so_far, percentage_of(terms.of_kind(kind)))
        so_far = so_far + amount
        found[kind] = amount
    return found


def _groups(
    lines: Sequence[MarkedLine], sums: Sequence[Ints], terms: MarkupTerms, basis: Basis
) -> list[_Group]:
    """The groups of the chain, in its order; each has the cost of its lines in every trial."""

    def period_of(line: CostedLine) -> Period | None:
        return escalation_period(
            basis, line.priced_on or terms.priced_on, line.work_midpoint or terms.work_midpoint
        )

    found = []
    for one in grouped([line.costed(0) for line in lines], period_of):
        direct: Ints = np.sum([sums[index] for index in one.lines], axis=0)
        paid = [sums[index] for index in one.lines if lines[index].in_cash]
        cash: Ints = np.sum([np.zeros_like(direct), *paid], axis=0)
        found.append(_Group(one.account, one.period, one.lines[0], direct, direct, cash))
    return found


def _give(groups: Sequence[_Group], percent: Decimal, *, on_direct: bool) -> Ints:
    """A percentage of what the groups cost, added to them as `line_groups.give` adds it; the amount in each trial."""
    if not groups:
        return np.zeros(1, dtype=np.int64)
    none = np.zeros_like(groups[0].direct)
    base: Ints = np.sum([one.direct if on_direct else one.full for one in groups], axis=0)
    cash_base: Ints = none if on_direct else np.sum([one.cash for one in groups], axis=0)
    amount, cash = _percent_of(base, percent), _percent_of(cash_base, percent)
    accounts = [list(of_account) for _, of_account in groupby(groups, key=attrgetter("account"))]
    paid = _split(cash, [[one.cash for one in of_account] for of_account in accounts])
    kept = _split(
        amount - cash,
        [[one.direct if on_direct else one.full - one.cash for one in of_account] for of_account in accounts],
    )
    for group, in_cash, rest in zip(groups, paid, kept, strict=True):
        group.full = group.full + in_cash + rest
        group.cash = group.cash + in_cash
    return amount


def _split(totals: Ints, accounts: Sequence[Sequence[Ints]]) -> list[Ints]:
    """Totals over the weights of groups: first over their accounts, then within each."""
    parts = split_in_trials(totals, [np.sum(of_account, axis=0) for of_account in accounts])
    return [
        part
        for whole, of_account in zip(parts, accounts, strict=True)
        for part in split_in_trials(whole, of_account)
    ]


def _chain_by_trial(lines: Sequence[MarkedLine], sums: Sequence[Ints], terms: MarkupTerms) -> dict[str, Ints]:
    rows, row_of = np.unique(np.stack(sums, axis=1), axis=0, return_inverse=True)
    by_row = np.zeros((len(rows), len(terms.kinds)), dtype=np.int64)
    for number, row in enumerate(rows):
        costed = [line.costed(int(amount)) for line, amount in zip(lines, row, strict=True)]
        for markup in terms.chain(costed).markups:
            by_row[number, terms.kinds.index(markup.kind)] += markup.amount_minor
    found = by_row[row_of.ravel()]
    return {kind: found[:, place].copy() for place, kind in enumerate(terms.kinds)}
