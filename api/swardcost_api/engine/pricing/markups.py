"""The markup chain: tax, overhead, escalation, contingency, each on lines of its own and in this order.

Bases, as stated on each line:

- tax on the taxable lines, by class where the rates of a place hold,
- overhead on the direct cost (all lines, freight among them),
- escalation on direct cost, tax and overhead, for each period from a price to the mid-point of its work,
- contingency on everything before it.

Of every markup it is told what part costs new money, for a committee that asks how much cash a plan takes: the
same percentage on that part of its base which costs new money. Overhead is the club's own and takes none; tax
comes with the invoice of what is taxed.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from swardcost_api.engine.derivation import Derivation, Step
from swardcost_api.engine.pricing.costed import CostedLine
from swardcost_api.engine.pricing.escalation import (
    Basis,
    IndexGap,
    IndexSeries,
    Period,
    YearlyRate,
    escalation_period,
    escalation_rate,
)
from swardcost_api.engine.pricing.line_groups import LineGroup, Portion, give, grouped, split_by_line
from swardcost_api.engine.pricing.percentage import (
    TERMS_OF_THE_ESTIMATE,
    checked_percent,
    percent_of,
    percent_step,
)
from swardcost_api.engine.pricing.tax import TAXABLE, Tax, TaxAtPlace, TaxGap, TaxLine, tax_lines, tax_on_all

ORDER = ("tax", "overhead", "escalation", "contingency")

LABELS = {
    "tax": "Tax on taxable items",
    "overhead": "In-house overhead",
    "escalation": "Escalation to the mid-point of the work",
    "contingency": "Contingency",
}
_BASES = {
    "tax": TAXABLE,
    "overhead": "direct cost",
    "escalation": "direct cost, tax and overhead",
    "contingency": "direct cost, tax, overhead and escalation",
}


@dataclass(frozen=True, slots=True)
class MarkupRate:
    """A markup as asked for: a percentage; for tax also the rates of a place, for escalation also an index.

    A percentage of escalation is one a year, and `compound` says whether it compounds.
    """

    kind: str
    rate: Decimal | TaxAtPlace | IndexSeries
    account: str | None = None
    compound: bool = True


@dataclass(frozen=True, slots=True)
class AppliedMarkup:
    """A printed markup: base x percent / 100, rounded half up to the minor unit, is the amount.

    `words` tell it from others of its kind; empty where it is alone. `cash_minor` is the part that costs new
    money: the same percentage on `cash_base_minor`. `by_account` and `by_line` each sum to the amount.
    """

    kind: str
    label: str
    words: str
    base_words: str
    base_minor: int
    percent: Decimal
    amount_minor: int
    cash_base_minor: int
    cash_minor: int
    account: str | None
    by_account: Mapping[str | None, int]
    steps: Derivation
    cash_steps: Derivation
    portions: tuple[Portion, ...] = field(repr=False, compare=False)
    line_count: int = field(repr=False, compare=False)

    @property
    def by_line(self) -> tuple[int, ...]:
        """The share of each line in its order, zero where the markup does not rest on it; split when asked for."""
        return split_by_line(self.portions, self.line_count)


@dataclass(frozen=True, slots=True)
class MarkupChain:
    """The markups in their order, and the gaps: lines whose tax or escalation is not known and in no sum."""

    direct_minor: int
    direct_cash_minor: int
    markups: tuple[AppliedMarkup, ...]
    gaps: tuple[TaxGap | IndexGap, ...]

    @property
    def total_minor(self) -> int:
        return self.direct_minor + sum(one.amount_minor for one in self.markups)

    @property
    def cash_minor(self) -> int:
        """What of the total costs new money."""
        return self.direct_cash_minor + sum(one.cash_minor for one in self.markups)


def markup_chain(
    lines: Sequence[CostedLine],
    rates: Iterable[MarkupRate],
    *,
    currency: str,
    priced_on: date,
    work_midpoint: date,
) -> MarkupChain:
    """Apply the markups to the lines, in the fixed order; neither the order of rates nor of lines matters.

    `priced_on` and `work_midpoint` hold for lines without days of their own. Lines with the same days form one
    line of escalation, whose base is their direct cost with the tax and overhead that rest on them. A markup
    with an account of its own is budgeted there; one without follows the accounts of the lines it rests on.

    Amounts are split by largest remainder: over accounts, within an account over lines of the same tax class
    and period, and among those by direct cost; so a share may differ by cents from the exact one.

    Raises `ValueError` for a kind that is none or comes twice, a rate that its kind does not know or that is
    below zero, an escalation that cannot be meant, tax rates that overlap, or amounts below zero.
    """
    by_kind = _each_kind_once(rates)
    escalation = by_kind.get("escalation")
    basis = None if escalation is None else basis_of(escalation)

    def period_of(line: CostedLine) -> Period | None:
        if basis is None:
            return None
        return escalation_period(basis, line.priced_on or priced_on, line.work_midpoint or work_midpoint)

    groups = grouped(lines, period_of)
    chain = _Chain(groups, len(lines), currency)
    gaps: list[TaxGap | IndexGap] = []
    if "tax" in by_kind:
        tax = tax_of(lines, by_kind["tax"], currency)
        gaps += tax.gaps
        for line in tax.lines:
            chain.add_tax(by_kind["tax"], line)
    if "overhead" in by_kind:
        chain.add(by_kind["overhead"], groups, percentage_of(by_kind["overhead"]))
    if escalation is not None and basis is not None:
        by_period: dict[Period | None, list[LineGroup]] = {}
        for group in groups:
            by_period.setdefault(group.period, []).append(group)
        if not groups:
            by_period[escalation_period(basis, priced_on, work_midpoint)] = []
        for period in sorted(by_period, key=_none_first):
            of_period = by_period[period]
            found = escalation_rate(basis, period)
            if isinstance(found, IndexGap):
                gaps.append(_gap_of(found, of_period))
            else:
                chain.add(escalation, of_period, found.percent, words=found.words, steps=found.steps)
    if "contingency" in by_kind:
        chain.add(by_kind["contingency"], groups, percentage_of(by_kind["contingency"]))
    direct, paid = sum(line.amount_minor for line in lines), sum(line.paid_minor for line in lines)
    return MarkupChain(direct, paid, tuple(chain.applied), tuple(gaps))


class _Chain:
    """The markups applied so far; each adds its amount to the groups that it rests on."""

    def __init__(self, groups: Sequence[LineGroup], line_count: int, currency: str) -> None:
        self.groups, self.line_count, self.currency = groups, line_count, currency
        self.applied: list[AppliedMarkup] = []

    def add_tax(self, asked: MarkupRate, line: TaxLine) -> None:
        taxed = set(line.lines)
        groups = [group for group in self.groups if group.lines[0] in taxed]
        self.add(asked, groups, line.percent, words=line.words, source=line.source)

    def add(
        self,
        asked: MarkupRate,
        groups: Sequence[LineGroup],
        percent: Decimal,
        *,
        words: str = "",
        steps: Derivation = (),
        source: str = TERMS_OF_THE_ESTIMATE,
    ) -> None:
        kind, in_house = asked.kind, asked.kind == "overhead"
        base = sum(group.direct if in_house else group.full for group in groups)
        cash_base = 0 if in_house else sum(group.cash for group in groups)
        amount, cash = percent_of(base, percent), percent_of(cash_base, percent)
        by_account, portions = give(groups, amount, cash, on_direct=in_house)
        if asked.account is not None:
            by_account = {asked.account: amount} if amount else {}
        step = percent_step(kind, _BASES[kind], base, percent, self.currency, source)
        cash_step = self._cash_step(kind, cash_base, percent)
        self.applied.append(
            AppliedMarkup(
                kind, LABELS[kind], words, _BASES[kind], base, percent, amount, cash_base, cash, asked.account,
                by_account, (*steps, step), (cash_step,), portions, self.line_count,
            )
        )  # fmt: skip

    def _cash_step(self, kind: str, cash_base: int, percent: Decimal) -> Step:
        if kind == "overhead":
            return Step(
                f"{kind} in cash", 0.0, self.currency, "0", (), "in-house overhead is paid for already"
            )
        return percent_step(
            f"{kind} in cash", f"part in cash of {_BASES[kind]}", cash_base, percent, self.currency,
            "the same percentage on what costs new money",
        )  # fmt: skip


def _each_kind_once(rates: Iterable[MarkupRate]) -> dict[str, MarkupRate]:
    by_kind: dict[str, MarkupRate] = {}
    for rate in rates:
        if rate.kind not in ORDER:
            raise ValueError(f"expected a markup of {', '.join(ORDER)}; got {rate.kind!r}")
        if rate.kind in by_kind:
            raise ValueError(f"expected each kind of markup once; got {rate.kind} twice")
        by_kind[rate.kind] = rate
    return by_kind


def percentage_of(asked: MarkupRate) -> Decimal:
    """The checked percentage that is asked for. Raises `ValueError` where it is not one."""
    if not isinstance(asked.rate, Decimal):
        raise ValueError(f"{asked.kind}: expected a percentage; got {type(asked.rate).__name__}")
    return checked_percent(asked.kind, asked.rate)


def tax_of(lines: Sequence[CostedLine], asked: MarkupRate, currency: str) -> Tax:
    """The tax that is asked for, by the rates of a place or one percentage on all that is taxable."""
    if isinstance(asked.rate, TaxAtPlace):
        here = asked.rate
        return tax_lines(lines, here.rates, here.exemptions, here.place, here.on, currency)
    return tax_on_all(lines, percentage_of(asked), currency)


def basis_of(asked: MarkupRate) -> Basis:
    """What escalation goes by: an index, or a yearly rate."""
    if isinstance(asked.rate, IndexSeries):
        return asked.rate
    return YearlyRate(percentage_of(asked), asked.compound)


def _gap_of(gap: IndexGap, groups: Iterable[LineGroup]) -> IndexGap:
    lines = tuple(sorted(index for group in groups for index in group.lines))
    return IndexGap(gap.series, gap.month, gap.first, gap.last, lines)


def _none_first(period: Period | None) -> tuple[date, date]:
    return period or (date.min, date.min)
