"""How prices move: two editions compared, one carried forward into a draft, the history of an item."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any
from uuid import UUID

from pydantic import ValidationError
from sqlalchemy import insert, select
from swardcost_model import problems
from swardcost_model.catalog import Edition, EditionStatus, Item, NewItem, PriceSource
from swardcost_model.price_moves import (
    CarriedForward,
    CarryForward,
    EditionComparison,
    ItemMove,
    MoveKind,
    PriceHistory,
    PricePoint,
    StaleWageBase,
    TermMove,
)
from swardcost_model.price_terms import LaborBuildUp, PercentOfWages
from swardcost_model.problems import Fault, ProblemError
from swardcost_model.values import Money, from_micros

from swardcost_api.access.service import record
from swardcost_api.catalog.hourly_rates import hourly_rate
from swardcost_api.catalog.item_files import put_in_batches
from swardcost_api.catalog.item_rules import Currencies, prices_of
from swardcost_api.catalog.items import all_items, currencies_of, stored
from swardcost_api.catalog.price_rows import move_between, price_in, prices_in
from swardcost_api.catalog.service import draft_to_change, edition_named, read_edition
from swardcost_api.catalog.tables import EditionRow, EditionVendorRow, ItemRow, VendorRow
from swardcost_api.charts import price_chart
from swardcost_api.engine.pricing.carry_forward import carried_price, carried_terms
from swardcost_api.engine.pricing.escalation import IndexGap, escalation_rate
from swardcost_api.engine.pricing.term_moves import percent_change
from swardcost_api.faults import FAULTS_SHOWN, faults_of
from swardcost_api.rates.service import index_named
from swardcost_api.storage.work import UnitOfWork

UNCHANGED = "Nothing was changed."
_CODE = re.compile(r"[A-Za-z0-9._-]{1,60}")


def compare_editions(work: UnitOfWork, edition_id: UUID, earlier_id: UUID) -> EditionComparison:
    """What is different in an edition from an earlier one: items added and gone, prices moved."""
    before, after = (
        edition_named(work, earlier_id, "earlier_edition_id", UNCHANGED),
        read_edition(work, edition_id),
    )
    rows_before, rows_after = prices_in(work, before.id), prices_in(work, after.id)
    moves = [
        move
        for code in sorted(rows_before.keys() | rows_after.keys())
        if (move := move_between(rows_before.get(code), rows_after.get(code))) is not None
    ]
    added, gone = (sum(move.what is kind for move in moves) for kind in (MoveKind.ADDED, MoveKind.GONE))
    return EditionComparison.model_construct(
        before=before, after=after, added=added, gone=gone, moved=len(moves) - added - gone,
        unchanged=len(rows_after) - len(moves) + gone, moves=moves,
    )  # fmt: skip


def price_history(work: UnitOfWork, code: str) -> PriceHistory:
    """The price of an item in every published edition. Raises `not-found` for a code that none of them has."""
    statement = (
        select(
            ItemRow.edition_id, EditionRow.name.label("edition"), EditionRow.price_date, ItemRow.description,
            ItemRow.unit, ItemRow.currency, ItemRow.price_micros, ItemRow.low_micros, ItemRow.high_micros,
            VendorRow.name.label("vendor"), ItemRow.price_source,
        )
        .join(EditionRow, (EditionRow.club_id == ItemRow.club_id) & (EditionRow.id == ItemRow.edition_id))
        .outerjoin(VendorRow, (VendorRow.club_id == ItemRow.club_id) & (VendorRow.id == ItemRow.vendor_id))
        .where(
            ItemRow.club_id == work.club_id, ItemRow.code == code, EditionRow.status == EditionStatus.PUBLISHED
        )
        .order_by(EditionRow.price_date, EditionRow.published_at, EditionRow.id)
    )  # fmt: skip
    # A path may hold any text, even what a database refuses to compare with.
    rows = work.session.execute(statement).all() if _CODE.fullmatch(code) else []
    if not rows:
        raise ProblemError(problems.NOT_FOUND, "No published edition has an item with this code.")
    points = [_point(row, earlier) for row, earlier in zip(rows, [None, *rows], strict=False)]
    return PriceHistory(code=code, description=rows[-1].description, prices=points)


def _point(row: Any, earlier: Any) -> PricePoint:
    percent = None
    if earlier is not None and (earlier.unit, earlier.currency) == (row.unit, row.currency):
        old, new = price_in(earlier), price_in(row)
        percent = percent_change(old.amount, new.amount) if old is not None and new is not None else None
    low, high = (
        None if micros is None else Money.model_construct(amount=from_micros(micros), currency=row.currency)
        for micros in (row.low_micros, row.high_micros)
    )
    return PricePoint(
        edition_id=row.edition_id, edition=row.edition, price_date=row.price_date, unit=row.unit,
        unit_price=price_in(row), low_price=low, high_price=high, vendor=row.vendor,
        price_source=row.price_source, percent=percent,
    )  # fmt: skip


MOST_LABELS = 12
"""With more points than these a chart names none of them, since labels would overlap."""
LONGEST_TITLE = 70
LONGEST_REFERENCE = 2000


@dataclass(frozen=True, slots=True)
class _Rise:
    percent: Decimal
    words: str
    place: str
    """The field of the request that asked for it."""

    def refused(self, what: str, error: ValueError) -> ProblemError:
        return _refused(self.place, f"a rise that {what} can take ({error})", self.words)


def carry_forward(work: UnitOfWork, edition_id: UUID, request: CarryForward) -> CarriedForward:
    """Take the items of a published edition into a draft, their prices moved by a percentage or an index.

    A carried price is an estimate at the draft's price date, however firm it was. Vendors' terms that the draft
    lacks come along, with their mobilization moved likewise and their rate of exchange as it was. Nothing is
    carried in a circle, since only what is published is carried, and only into a draft.

    Raises `invalid-values` for an edition or index that there is not, an index that does not reach, prices that would
    grow past what can be meant, or items that the draft cannot hold, such as in a currency without a rate there.
    """
    draft = draft_to_change(work, edition_id)
    source = edition_named(work, request.from_edition_id, "/from_edition_id", UNCHANGED)
    if source.status is not EditionStatus.PUBLISHED:
        raise _refused("/from_edition_id", "a published edition, other than this draft", source.name)
    rise = _rise(work, request, source, draft)
    _carry_vendor_terms(work, source, draft, rise)
    currencies = currencies_of(work, draft)
    present = set(
        work.session.scalars(
            select(ItemRow.code).where(ItemRow.club_id == work.club_id, ItemRow.edition_id == edition_id)
        )
    )
    kinds, codes = frozenset(request.kinds), frozenset(request.codes)
    wanted = [
        item
        for item in all_items(work, source.id)
        if (not kinds or item.kind in kinds) and (not codes or item.code in codes)
    ]
    _refuse_unknown_codes(request, wanted)
    taken = [item for item in wanted if request.replace or item.code not in present]
    rows = _carried_rows(taken, source, draft, rise, currencies)
    added, replaced, unchanged = put_in_batches(work, edition_id, rows.items())
    result = CarriedForward(
        edition=read_edition(work, edition_id), from_edition=source.name, percent=rise.percent,
        percent_words=rise.words, added=added, replaced=replaced,
        left_alone=len(wanted) - len(taken) + unchanged,
        without_price=sum(item.unit_price is None and item.terms is None for item in taken),
        stale_wage_bases=_stale_wage_bases(taken, draft),
    )  # fmt: skip
    record(work, "carry_forward", "edition", edition_id, after=result)
    return result


def _refuse_unknown_codes(request: CarryForward, wanted: Sequence[Item]) -> None:
    known = {item.code for item in wanted}
    for index, code in enumerate(request.codes):
        if code not in known:
            raise _refused(f"/codes/{index}", "an item of that edition, of the kinds named", code)


def _rise(work: UnitOfWork, request: CarryForward, source: Edition, draft: Edition) -> _Rise:
    if request.percent is not None:
        return _Rise(request.percent, f"{request.percent} %, as stated", "/percent")
    assert request.index_series_id is not None
    series = index_named(work, request.index_series_id, "/index_series_id", UNCHANGED)
    days = source.price_date.replace(day=1), draft.price_date.replace(day=1)
    if days[1] < days[0]:
        raise _refused(
            "/from_edition_id", "an edition priced no later than this draft", str(source.price_date)
        )
    rate = escalation_rate(series, days if days[1] > days[0] else None)
    if isinstance(rate, IndexGap):
        raise _refused("/index_series_id", "an index with both months", rate.words)
    return _Rise(rate.percent, f"{series.name}, {days[0]:%Y-%m} to {days[1]:%Y-%m}", "/index_series_id")


def _carried_rows(
    taken: Sequence[Item], source: Edition, draft: Edition, rise: _Rise, currencies: Currencies
) -> dict[str, dict[str, Any]]:
    rows: dict[str, dict[str, Any]] = {}
    faults: list[Fault] = []
    for item in taken:
        try:
            new = _carried(item, source, draft, rise)
            rows[item.code] = stored(new, prices_of(new, currencies))
        except ValidationError as error:
            faults += [
                Fault(pointer="/from_edition_id", expected=f"of {item.code}: {one.expected}", got=one.got)
                for one in faults_of(error)
            ]
        except ValueError as error:
            raise rise.refused(item.code, error) from None
    if faults:
        raise ProblemError(problems.INVALID_VALUES, UNCHANGED, faults[:FAULTS_SHOWN])
    return rows


def _carried(item: Item, source: Edition, draft: Edition, rise: _Rise) -> NewItem:
    def moved(price: Money | None) -> Money | None:
        if price is None:
            return None
        amount = carried_price(price=price.amount, percent=rise.percent, currency=price.currency).price
        return Money(amount=amount, currency=price.currency)

    terms = None if item.terms is None else carried_terms(item.terms, rise.percent, item.currency)
    rate = hourly_rate(terms, item.currency)
    price = moved(item.unit_price) if rate is None else Money(amount=rate.full, currency=item.currency)
    # A build-up may rise by less than its range, and prices of unlike places are rounded apart.
    low, high = (
        bound if bound is None or price is None else nearer(bound, price, key=lambda money: money.amount)
        for bound, nearer in ((moved(item.low_price), min), (moved(item.high_price), max))
    )
    note = f"carried forward from {source.name}, {rise.words}"
    return NewItem.model_construct(
        code=item.code, kind=item.kind, description=item.description, unit=item.unit, currency=item.currency,
        unit_price=price if rate is None else None, low_price=low, high_price=high,
        free=item.free, taxable=item.taxable, tax_class=item.tax_class,
        in_operating_budget=item.in_operating_budget, account=item.account, vendor_id=item.vendor_id,
        price_source=PriceSource.ESTIMATE, priced_on=draft.price_date, valid_from=None, valid_until=None,
        reference=_shortened("; ".join(part for part in (item.reference, note) if part)), terms=terms, note=item.note,
    )  # fmt: skip


def _shortened(text: str) -> str:
    """The text, or as much of its beginning as a reference may hold."""
    return text if len(text) <= LONGEST_REFERENCE else text[: LONGEST_REFERENCE - 1] + "…"


def _stale_wage_bases(taken: Sequence[Item], draft: Edition) -> list[StaleWageBase]:
    """Build-ups that rest on wage bases of another year than that of the prices."""
    year = draft.price_date.year
    return [
        StaleWageBase(
            item=item.code, year=item.terms.year,
            message=f"{item.code} is carried to prices of {year} with the wage bases of {item.terms.year}; they are "
            "set by law and were not moved.",
        )
        for item in taken
        if isinstance(item.terms, LaborBuildUp)
        and item.terms.year != year
        and any(isinstance(one, PercentOfWages) and one.bases for one in item.terms.burden)
    ]  # fmt: skip


def _carry_vendor_terms(work: UnitOfWork, source: Edition, draft: Edition, rise: _Rise) -> None:
    """Give the draft the terms of vendors for whom it has none."""
    present = select(EditionVendorRow.vendor_id).where(
        EditionVendorRow.club_id == work.club_id, EditionVendorRow.edition_id == draft.id
    )
    rows = work.session.execute(
        select(*EditionVendorRow.__table__.c).where(
            EditionVendorRow.club_id == work.club_id,
            EditionVendorRow.edition_id == source.id,
            EditionVendorRow.vendor_id.not_in(present),
        )
    ).all()
    try:
        moved = [_moved_micros(row.mobilization_micros, row.currency, rise) for row in rows]
    except ValueError as error:
        raise rise.refused("the mobilization of every vendor", error) from None
    if rows:
        work.session.execute(
            insert(EditionVendorRow),
            [
                {**row._mapping, "edition_id": draft.id, "version": 1, "mobilization_micros": micros}
                for row, micros in zip(rows, moved, strict=True)
            ],
        )


def _moved_micros(micros: int, currency: str, rise: _Rise) -> int:
    price = carried_price(price=from_micros(micros), percent=rise.percent, currency=currency).price
    return int(price.scaleb(6))


def _refused(place: str, expected: str, got: str) -> ProblemError:
    return ProblemError(
        problems.INVALID_VALUES,
        UNCHANGED,
        [Fault(pointer=place, expected=expected, got=got)],
    )


def history_points(history: PriceHistory) -> Iterable[dict[str, Any]]:
    """The priced points of a history as a chart takes them, from the latest run of one unit and currency."""
    latest = history.prices[-1]
    for point in history.prices:
        price = point.unit_price
        currency = latest.unit_price.currency if latest.unit_price is not None else None
        if price is None or point.unit != latest.unit or price.currency != currency:
            continue
        yield {
            "day": point.price_date.isoformat(), "price": float(price.amount), "edition": point.edition,
            "low": float(point.low_price.amount) if point.low_price is not None else None,
            "high": float(point.high_price.amount) if point.high_price is not None else None,
            "label": f"{price.amount:,f}",
        }  # fmt: skip


def history_chart(history: PriceHistory) -> str:
    """The history as a chart: a step at each price date, with the range of each price."""
    latest = history.prices[-1]
    points = list(history_points(history))
    if len(points) > MOST_LABELS:
        points = [point | {"label": ""} for point in points]
    currency = latest.unit_price.currency if latest.unit_price is not None else ""
    ranged = any(point["low"] is not None and point["high"] is not None for point in points)
    band = "; band: lowest to highest price" if ranged else ""
    unit = latest.unit.replace("_", " ")
    title = f"{history.code}: {history.description}"
    return price_chart(
        title if len(title) <= LONGEST_TITLE else title[: LONGEST_TITLE - 1] + "…",
        f"Unit price by edition{band}", f"{currency} per {unit}".strip(), points,
    )  # fmt: skip


MOVE_COLUMNS = (
    "code", "description", "what", "unit_before", "unit_after", "before", "after", "currency", "change", "percent",
    "terms_moved",
)  # fmt: skip


def move_cells(moves: Iterable[ItemMove]) -> Iterable[Sequence[Any]]:
    """Moves as the cells of a CSV file with the columns `MOVE_COLUMNS`."""
    for move in moves:
        shown = move.after if move.after is not None else move.before
        currency = shown.currency if shown is not None else None
        yield (
            move.code, move.description, move.what.value, move.unit_before, move.unit_after,
            *(money.amount if money is not None else None for money in (move.before, move.after)), currency,
            move.change.amount if move.change is not None else None, move.percent,
            "; ".join(map(_in_words, move.terms_moved)),
        )  # fmt: skip


def _in_words(move: TermMove) -> str:
    """``week: 1450.00 to 1508.00 (4.00 %)``; ``day: new, 310``; ``day: gone, was 310``."""
    if move.before is None:
        return f"{move.name}: new, {move.after:f}"
    if move.after is None:
        return f"{move.name}: gone, was {move.before:f}"
    percent = "" if move.percent is None else f" ({move.percent:f} %)"
    return f"{move.name}: {move.before:f} to {move.after:f}{percent}"
