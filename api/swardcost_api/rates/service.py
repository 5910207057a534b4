"""Rates that others publish: tax by place, exemption certificates, price indices."""

from datetime import date
from decimal import Decimal
from typing import Any
from uuid import UUID

from sqlalchemy import Row, insert, or_, select
from swardcost_model import problems
from swardcost_model.paging import Page
from swardcost_model.problems import ProblemError
from swardcost_model.rates import (
    Exemption,
    ExemptionChange,
    IndexSeries,
    IndexSeriesChange,
    IndexSeriesFields,
    IndexValue,
    NewExemption,
    NewIndexSeries,
    NewTaxRate,
    TaxRate,
    TaxRateChange,
    TaxRateFields,
)
from swardcost_model.values import plain

from swardcost_api.access.service import hold_club, record
from swardcost_api.engine.pricing import escalation as pricing
from swardcost_api.rates.tables import ExemptionRow, IndexSeriesRow, TaxRateRow
from swardcost_api.storage.paging import read_page
from swardcost_api.storage.rows import by_id, delete_row, edit_row, named_in_request, read_row
from swardcost_api.storage.work import UnitOfWork

_TAX_RATE = (
    TaxRateRow.id, TaxRateRow.place, TaxRateRow.tax_class, TaxRateRow.percent, TaxRateRow.valid_from,
    TaxRateRow.valid_until, TaxRateRow.source, TaxRateRow.version,
)  # fmt: skip
_EXEMPTION = (
    ExemptionRow.id, ExemptionRow.number, ExemptionRow.place, ExemptionRow.tax_classes, ExemptionRow.valid_from,
    ExemptionRow.valid_until, ExemptionRow.note, ExemptionRow.version,
)  # fmt: skip
_INDEX_SERIES = (
    IndexSeriesRow.id, IndexSeriesRow.name, IndexSeriesRow.source, IndexSeriesRow.value_by_month,
    IndexSeriesRow.note, IndexSeriesRow.version,
)  # fmt: skip
_TAX_RATE_BY_ID = by_id(TaxRateRow, _TAX_RATE)
_EXEMPTION_BY_ID = by_id(ExemptionRow, _EXEMPTION)
_INDEX_SERIES_BY_ID = by_id(IndexSeriesRow, _INDEX_SERIES)


def create_tax_rate(work: UnitOfWork, new: NewTaxRate) -> TaxRate:
    """Add a rate. Raises `duplicate` where the place has one for that class on one of the days already."""
    hold_club(work)
    _refuse_overlap(work, new, None)
    after = TaxRate(id=work.new_id(), version=1, **new.model_dump())
    work.session.execute(
        insert(TaxRateRow).values(club_id=work.club_id, id=after.id, version=1, **_rate_columns(new))
    )
    record(work, "create", "tax_rate", after.id, after=after)
    return after


def list_tax_rates(work: UnitOfWork, limit: int, cursor: str | None, place: str | None) -> Page[TaxRate]:
    """The club's tax rates, by place, class and day."""
    statement = select(*_TAX_RATE).where(TaxRateRow.club_id == work.club_id)
    if place is not None:
        statement = statement.where(TaxRateRow.place == place)
    order = (TaxRateRow.place, TaxRateRow.tax_class, TaxRateRow.valid_from, TaxRateRow.id)
    rows, following = read_page(work, statement, order, limit, cursor)
    return Page[TaxRate](items=[_tax_rate(row) for row in rows], next=following)


def read_tax_rate(work: UnitOfWork, tax_rate_id: UUID) -> TaxRate:
    """One tax rate."""
    return _tax_rate(read_row(work, _TAX_RATE_BY_ID, tax_rate_id, "tax rate"))


def change_tax_rate(work: UnitOfWork, tax_rate_id: UUID, change: TaxRateChange, if_match: int) -> TaxRate:
    """Replace a rate. Estimates already made keep the one they used."""
    hold_club(work)
    before = read_tax_rate(work, tax_rate_id)
    _refuse_overlap(work, change, tax_rate_id)
    edit_row(work, TaxRateRow, tax_rate_id, if_match, "tax rate", **_rate_columns(change))
    after = TaxRate(id=tax_rate_id, version=if_match + 1, **change.model_dump())
    record(work, "change", "tax_rate", tax_rate_id, before, after)
    return after


def delete_tax_rate(work: UnitOfWork, tax_rate_id: UUID, if_match: int) -> None:
    """Delete a rate. Estimates already made keep it."""
    before = read_tax_rate(work, tax_rate_id)
    delete_row(work, TaxRateRow, tax_rate_id, if_match, "tax rate")
    record(work, "delete", "tax_rate", tax_rate_id, before)


def tax_rates_of(work: UnitOfWork, place: str) -> list[TaxRate]:
    """All rates of a place, whatever their days."""
    statement = select(*_TAX_RATE).where(TaxRateRow.club_id == work.club_id, TaxRateRow.place == place)
    return [_tax_rate(row) for row in work.session.execute(statement.order_by(TaxRateRow.id))]


def create_exemption(work: UnitOfWork, new: NewExemption) -> Exemption:
    """Add a certificate. Raises `duplicate` where the club has one of that number."""
    _refuse_taken(work, ExemptionRow.number, new.number, "certificate")
    after = Exemption(id=work.new_id(), version=1, **new.model_dump())
    work.session.execute(insert(ExemptionRow).values(club_id=work.club_id, **after.model_dump()))
    record(work, "create", "exemption", after.id, after=after)
    return after


def list_exemptions(work: UnitOfWork, limit: int, cursor: str | None) -> Page[Exemption]:
    """The club's certificates, by number."""
    statement = select(*_EXEMPTION).where(ExemptionRow.club_id == work.club_id)
    rows, following = read_page(work, statement, (ExemptionRow.number,), limit, cursor)
    return Page[Exemption](items=[Exemption(**row._mapping) for row in rows], next=following)


def read_exemption(work: UnitOfWork, exemption_id: UUID) -> Exemption:
    """One certificate."""
    return Exemption(**read_row(work, _EXEMPTION_BY_ID, exemption_id, "exemption")._mapping)


def change_exemption(
    work: UnitOfWork, exemption_id: UUID, change: ExemptionChange, if_match: int
) -> Exemption:
    """Replace a certificate. Estimates already made keep the one they used."""
    before = read_exemption(work, exemption_id)
    if change.number != before.number:
        _refuse_taken(work, ExemptionRow.number, change.number, "certificate")
    edit_row(work, ExemptionRow, exemption_id, if_match, "exemption", **change.model_dump())
    after = Exemption(id=exemption_id, version=if_match + 1, **change.model_dump())
    record(work, "change", "exemption", exemption_id, before, after)
    return after


def delete_exemption(work: UnitOfWork, exemption_id: UUID, if_match: int) -> None:
    """Delete a certificate."""
    before = read_exemption(work, exemption_id)
    delete_row(work, ExemptionRow, exemption_id, if_match, "exemption")
    record(work, "delete", "exemption", exemption_id, before)


def exemptions_of(work: UnitOfWork, place: str) -> list[Exemption]:
    """The certificates that hold in a place, whatever their days."""
    statement = select(*_EXEMPTION).where(
        ExemptionRow.club_id == work.club_id, or_(ExemptionRow.place.is_(None), ExemptionRow.place == place)
    )
    rows = work.session.execute(statement.order_by(ExemptionRow.number))
    return [Exemption(**row._mapping) for row in rows]


def create_index_series(work: UnitOfWork, new: NewIndexSeries) -> IndexSeries:
    """Add an index. Raises `duplicate` where the club has one of that name."""
    _refuse_taken(work, IndexSeriesRow.name, new.name, "index")
    series_id = work.new_id()
    work.session.execute(
        insert(IndexSeriesRow).values(club_id=work.club_id, id=series_id, version=1, **_series_columns(new))
    )
    after = read_index_series(work, series_id)
    record(work, "create", "index_series", series_id, after=after)
    return after


def list_index_series(work: UnitOfWork, limit: int, cursor: str | None) -> Page[IndexSeries]:
    """The club's indices, by name."""
    statement = select(*_INDEX_SERIES).where(IndexSeriesRow.club_id == work.club_id)
    rows, following = read_page(work, statement, (IndexSeriesRow.name,), limit, cursor)
    return Page[IndexSeries](items=[_series(row) for row in rows], next=following)


def read_index_series(work: UnitOfWork, index_series_id: UUID) -> IndexSeries:
    """One index, its months in order."""
    return _series(read_row(work, _INDEX_SERIES_BY_ID, index_series_id, "index series"))


def index_named(work: UnitOfWork, index_series_id: UUID, pointer: str, detail: str) -> pricing.IndexSeries:
    """The index that a request names at that place, as pricing takes it. Raises `invalid-values` for none."""
    with named_in_request(pointer, "the id of an index series of this club", index_series_id, detail):
        series = read_index_series(work, index_series_id)
    return pricing.IndexSeries(series.name, series.source, {one.month: one.value for one in series.values})


def change_index_series(
    work: UnitOfWork, index_series_id: UUID, change: IndexSeriesChange, if_match: int
) -> IndexSeries:
    """Replace an index with its values. Estimates already made keep what they used."""
    before = read_index_series(work, index_series_id)
    if change.name != before.name:
        _refuse_taken(work, IndexSeriesRow.name, change.name, "index")
    edit_row(work, IndexSeriesRow, index_series_id, if_match, "index series", **_series_columns(change))
    after = read_index_series(work, index_series_id)
    record(work, "change", "index_series", index_series_id, before, after)
    return after


def delete_index_series(work: UnitOfWork, index_series_id: UUID, if_match: int) -> None:
    """Delete an index. Estimates already made keep what they used."""
    before = read_index_series(work, index_series_id)
    delete_row(work, IndexSeriesRow, index_series_id, if_match, "index series")
    record(work, "delete", "index_series", index_series_id, before)


def _rate_columns(fields: TaxRateFields) -> dict[str, Any]:
    return fields.model_dump() | {"percent": plain(fields.percent)}


def _tax_rate(row: Row[*tuple[Any, ...]]) -> TaxRate:
    return TaxRate(**{**row._mapping, "percent": Decimal(row.percent)})


def _refuse_overlap(work: UnitOfWork, fields: TaxRateFields, itself: UUID | None) -> None:
    last = fields.valid_until or date.max
    statement = select(*_TAX_RATE).where(
        TaxRateRow.club_id == work.club_id,
        TaxRateRow.place == fields.place,
        TaxRateRow.tax_class == fields.tax_class,
        TaxRateRow.valid_from <= last,
        or_(TaxRateRow.valid_until.is_(None), TaxRateRow.valid_until >= fields.valid_from),
    )
    if itself is not None:
        statement = statement.where(TaxRateRow.id != itself)
    other = work.session.execute(statement.order_by(TaxRateRow.valid_from).limit(1)).first()
    if other is not None:
        until = f"until {other.valid_until}" if other.valid_until else "without end"
        raise ProblemError(
            problems.DUPLICATE,
            f"{fields.place} has a rate for {fields.tax_class} from {other.valid_from} {until}, which overlaps; give "
            "that one its last day first.",
        )


def _refuse_taken(work: UnitOfWork, column: Any, name: str, kind: str) -> None:
    table = column.class_
    taken = select(table.id).where(table.club_id == work.club_id, column == name)
    if work.session.scalar(taken) is not None:
        raise ProblemError(problems.DUPLICATE, f"There is already a {kind} {name!r}.")


def _series_columns(fields: IndexSeriesFields) -> dict[str, Any]:
    by_month = {one.month: plain(one.value) for one in sorted(fields.values, key=lambda one: one.month)}
    return {"name": fields.name, "source": fields.source, "note": fields.note, "value_by_month": by_month}


def _series(row: Row[*tuple[Any, ...]]) -> IndexSeries:
    by_month = sorted(row.value_by_month.items())
    return IndexSeries(
        id=row.id, name=row.name, source=row.source, note=row.note, version=row.version,
        values=[IndexValue(month=month, value=Decimal(value)) for month, value in by_month],
    )  # fmt: skip
