"""How good an estimate is: its basis, the checklist, and where its prices come from."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from sqlalchemy import insert, select, update
from swardcost_model import problems
from swardcost_model.catalog import PriceSource
from swardcost_model.estimate_quality import (
    AccuracyBand,
    Basis,
    BasisChange,
    BasisFields,
    CheckState,
    ChoiceOnEstimate,
    DoubtfulPrice,
    EstimateQuality,
    SourceShare,
)
from swardcost_model.estimates import Estimate, EstimateStatus, WarningKind
from swardcost_model.problems import ProblemError
from swardcost_model.values import Money, from_micros

from swardcost_api.access.service import record
from swardcost_api.engine.pricing.estimate_class import SOURCE, accuracy_band
from swardcost_api.engine.pricing.percentage import percent_of_whole
from swardcost_api.estimates.checklist import Facts, checked
from swardcost_api.estimates.tables import EstimateBasisRow, EstimateLineRow, EstimateRow
from swardcost_api.storage.rows import missing, stale
from swardcost_api.storage.work import UnitOfWork

FIRM = frozenset({PriceSource.CONTRACT, PriceSource.INVOICE, PriceSource.QUOTE})
_OLD = frozenset({WarningKind.STALE, WarningKind.NOT_VALID_AT_WORK})

FindsRanges = Callable[[UnitOfWork, UUID], int]
"""Says how many figures of an estimate have a range that is stated for its simulation."""
_RANGES: list[FindsRanges] = []


def finds_ranges(find: FindsRanges) -> FindsRanges:
    """Have a room that keeps ranges of estimates asked for them by the checklist."""
    _RANGES.append(find)
    return find


def start_basis(work: UnitOfWork, estimate_id: UUID, revises: UUID | None) -> None:
    """Give a new estimate its basis: that of the revision before, or an empty one."""
    basis = BasisFields() if revises is None else read_basis(work, revises)
    work.session.execute(
        insert(EstimateBasisRow).values(
            club_id=work.club_id, estimate_id=estimate_id, version=1,
            basis=basis.model_dump(mode="json", include=set(BasisFields.model_fields)),
        )
    )  # fmt: skip


def read_basis(work: UnitOfWork, estimate_id: UUID) -> Basis:
    """What an estimate rests on, as it was written down."""
    row = work.session.execute(
        select(EstimateBasisRow.basis, EstimateBasisRow.version).where(
            EstimateBasisRow.club_id == work.club_id, EstimateBasisRow.estimate_id == estimate_id
        )
    ).first()
    if row is None:
        raise missing("estimate")
    return Basis(estimate_id=estimate_id, version=row.version, **BasisFields(**row.basis).model_dump())


def change_basis(work: UnitOfWork, estimate: Estimate, change: BasisChange, if_match: int) -> Basis:
    """Write down what a draft rests on. Raises `wrong-state` once it is issued."""
    if estimate.status is not EstimateStatus.DRAFT:
        raise ProblemError(
            problems.WRONG_STATE, f"The estimate is {estimate.status}; its basis stays as it was issued."
        )
    before = read_basis(work, estimate.id)
    done = work.session.execute(
        update(EstimateBasisRow)
        .where(
            EstimateBasisRow.club_id == work.club_id,
            EstimateBasisRow.estimate_id == estimate.id,
            EstimateBasisRow.version == if_match,
        )
        .values(basis=change.model_dump(mode="json"), version=if_match + 1)
    )
    if done.rowcount != 1:  # type: ignore[attr-defined]
        raise stale("basis", before.version, if_match)
    after = Basis(estimate_id=estimate.id, version=if_match + 1, **change.model_dump())
    record(work, "change", "estimate_basis", estimate.id, before, after)
    return after


@dataclass(frozen=True, slots=True)
class _ItemCost:
    """An item of an estimate: what is paid for it in all, as far as it is priced, and where its price comes from."""

    item: str
    description: str
    vendor: str | None
    source: PriceSource | None
    priced_on: Any
    amount: int
    priced: bool
    ranged: bool
    taxable: bool
    account: str | None
    lines: frozenset[int]


def read_quality(work: UnitOfWork, estimate: Estimate) -> EstimateQuality:
    """What speaks for an estimate and what against it."""
    currency = estimate.total.currency
    choices = _choices(work, estimate)
    costs = _item_costs(work, estimate.id)
    direct = sum(cost.amount for cost in costs)
    basis = read_basis(work, estimate.id)
    warned = {warning.line: warning for warning in estimate.warnings if warning.kind in _OLD}
    compared = {choice.item for choice in choices if choice.offers_compared > 1}
    firm = sum(cost.amount for cost in costs if cost.source in FIRM)
    doubts = [
        (cost, next((warned[number].message for number in sorted(cost.lines) if number in warned), ""))
        for cost in costs
    ]
    stale_prices = [_doubtful(cost, why, direct, currency) for cost, why in doubts if why]
    single = [
        _doubtful(cost, "One quote, compared with no other offer.", direct, currency)
        for cost in costs
        if cost.source is PriceSource.QUOTE and cost.item not in compared
    ]
    facts = Facts(
        estimate, percent_of_whole(firm, direct), sum(cost.priced for cost in costs),
        sum(cost.ranged for cost in costs), sum(find(work, estimate.id) for find in _RANGES),
        any(cost.taxable for cost in costs), sum(cost.account is None for cost in costs), len(compared),
    )  # fmt: skip
    checks = checked(basis, facts)
    applying = [check for check in checks if check.state is not CheckState.NOT_APPLICABLE]
    met = sum(check.state is CheckState.MET for check in applying)
    band = _band(basis, estimate) if facts.priced else None
    return EstimateQuality(
        estimate_id=estimate.id, basis=basis, band=band, checks=checks, met=met,
        of=len(applying),
        complete=met == len(applying), price_sources=_shares(costs, direct, currency), stale=stale_prices,
        single_source=single, choices=choices,
    )  # fmt: skip


def _item_costs(work: UnitOfWork, estimate_id: UUID) -> list[_ItemCost]:
    """The items of an estimate, the most costly first."""
    columns = EstimateLineRow
    rows = work.session.execute(
        select(
            columns.number, columns.item, columns.description, columns.part, columns.vendor, columns.price_source,
            columns.priced_on, columns.amount_minor, columns.low_minor, columns.high_minor, columns.taxable,
            columns.account,
        )
        .where(columns.club_id == work.club_id, columns.estimate_id == estimate_id)
        .order_by(columns.item, columns.number)
    )  # fmt: skip
    by_item: dict[str, list[Any]] = {}
    for row in rows:
        by_item.setdefault(row.item, []).append(row)
    costs = [_item_cost(item, lines) for item, lines in by_item.items()]
    return sorted(costs, key=lambda cost: (-cost.amount, cost.item))


def _item_cost(item: str, lines: Sequence[Any]) -> _ItemCost:
    first = lines[0]
    return _ItemCost(
        item, first.description, first.vendor,
        PriceSource(first.price_source) if first.price_source is not None else None, first.priced_on,
        sum(line.amount_minor or 0 for line in lines), any(line.amount_minor is not None for line in lines),
        any(line.low_minor != line.high_minor for line in lines), any(line.taxable for line in lines), first.account,
        frozenset(line.number for line in lines),
    )  # fmt: skip


def _choices(work: UnitOfWork, estimate: Estimate) -> list[ChoiceOnEstimate]:
    """The offers that were chosen when the estimate was priced, as they were then."""
    priced = work.session.scalar(
        select(EstimateRow.priced).where(EstimateRow.club_id == work.club_id, EstimateRow.id == estimate.id)
    )
    assert priced is not None
    currency = estimate.total.currency

    def money(micros: int | None) -> Money | None:
        return (
            None if micros is None else Money.model_construct(amount=from_micros(micros), currency=currency)
        )

    return [
        ChoiceOnEstimate(
            unit_price=money(one["price_micros"]),
            lump_sum=None if one["lump_minor"] is None else Money.of_minor(one["lump_minor"], currency),
            rental=one.get("rental"),
            **{name: one[name] for name in _AS_KEPT},
        )
        for one in priced.get("choices", ())
    ]


_AS_KEPT = ("item", "vendor", "offers_compared", "reason", "chosen_by", "chosen_on", "quote_request")


def _doubtful(cost: _ItemCost, why: str, direct: int, currency: str) -> DoubtfulPrice:
    return DoubtfulPrice(
        item=cost.item, description=cost.description, vendor=cost.vendor, price_source=cost.source,
        priced_on=cost.priced_on, amount=Money.of_minor(cost.amount, currency),
        percent=percent_of_whole(cost.amount, direct), why=why,
    )  # fmt: skip


def _shares(costs: Iterable[_ItemCost], direct: int, currency: str) -> list[SourceShare]:
    """Direct cost by price source, the firmest first and what has none last."""
    sums: dict[PriceSource | None, int] = {}
    for cost in costs:
        if cost.priced:
            sums[cost.source] = sums.get(cost.source, 0) + cost.amount
    order = [*PriceSource, None]
    return [
        SourceShare(
            price_source=source, amount=Money.of_minor(sums[source], currency),
            percent=percent_of_whole(sums[source], direct),
        )
        for source in order
        if source in sums
    ]  # fmt: skip


def _band(basis: Basis, estimate: Estimate) -> AccuracyBand | None:
    if basis.estimate_class is None:
        return None
    currency = estimate.total.currency
    band = accuracy_band(estimate_class=basis.estimate_class, total=estimate.total.amount, currency=currency)
    return AccuracyBand(
        estimate_class=band.estimate_class, low_percent=band.low_percent, high_percent=band.high_percent,
        low=Money.of_minor(band.low_minor, currency), high=Money.of_minor(band.high_minor, currency), source=SOURCE,
    )  # fmt: skip
