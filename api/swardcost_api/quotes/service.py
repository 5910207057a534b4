"""Quotes: asking vendors, taking in what they offer, and choosing; comparing is in `comparison.py`."""

from collections.abc import Collection, Mapping, Sequence
from typing import Any
from uuid import UUID

from sqlalchemy import Row, func, insert, select
from swardcost_model import problems
from swardcost_model.paging import Page
from swardcost_model.problems import Fault, ProblemError
from swardcost_model.quotes import (
    AskedItem,
    Award,
    NewQuote,
    NewQuoteRequest,
    NotAsked,
    Quote,
    QuoteChange,
    QuoteChoice,
    QuotedItem,
    QuoteFields,
    QuoteRequest,
    QuoteRequestSummary,
    RequestStatus,
    Withdrawal,
)

from swardcost_api.access.service import hold_club, read_club, record
from swardcost_api.catalog.service import vendors_with_ids
from swardcost_api.estimates.service import choose_prices, drop_choices, read_estimate
from swardcost_api.quotes.asking import AskedLines, asked_for
from swardcost_api.quotes.awards import choices_for, faults_of_size
from swardcost_api.quotes.rentals import faults_of_form
from swardcost_api.quotes.tables import QuoteRequestRow, QuoteRow
from swardcost_api.storage.paging import read_page
from swardcost_api.storage.rows import by_id, delete_row, edit_row, missing, named_in_request, read_row
from swardcost_api.storage.work import UnitOfWork

_RECEIVED = (
    select(func.count())
    .where(QuoteRow.club_id == QuoteRequestRow.club_id, QuoteRow.request_id == QuoteRequestRow.id)
    .scalar_subquery()
)
_REQUEST = (*QuoteRequestRow.__table__.c, _RECEIVED.label("received"))
_REQUEST_BY_ID = by_id(QuoteRequestRow, _REQUEST)
_QUOTE_BY_ID = by_id(QuoteRow, list(QuoteRow.__table__.c))


def create_request(work: UnitOfWork, new: NewQuoteRequest) -> QuoteRequest:
    """Ask vendors for prices on the quantities of an estimate.

    Raises `invalid-values` for an estimate, items or vendors that there are not, or items without a quantity.
    """
    hold_club(work)
    with named_in_request(
        "/estimate_id", "the id of an estimate of this club", new.estimate_id, "Nobody was asked."
    ):
        project_id = read_estimate(work, new.estimate_id).project_id
    faults: list[Fault] = []
    asked, left_out = asked_for(work, new, faults)
    known = vendors_with_ids(work, new.vendor_ids)
    for index, vendor_id in enumerate(new.vendor_ids):
        if vendor_id not in known or vendor_id in new.vendor_ids[:index]:
            faults.append(
                Fault(
                    pointer=f"/vendor_ids/{index}",
                    expected="a vendor of this club, named once",
                    got=str(vendor_id),
                )
            )
    if faults:
        raise ProblemError(problems.INVALID_VALUES, "Nobody was asked.", faults)
    highest = work.session.scalar(
        select(func.max(QuoteRequestRow.number)).where(QuoteRequestRow.club_id == work.club_id)
    )
    request_id = work.new_id()
    work.session.execute(
        insert(QuoteRequestRow).values(
            club_id=work.club_id, id=request_id, number=(highest or 0) + 1, name=new.name, project_id=project_id,
            estimate_id=new.estimate_id, status=RequestStatus.OPEN, due_on=new.due_on,
            vendor_ids=[str(one) for one in new.vendor_ids], items=[one.model_dump(mode="json") for one in asked],
            left_out=[one.model_dump(mode="json") for one in left_out], note=new.note, awards=[],
            created_at=work.now, version=1,
        )
    )  # fmt: skip
    after = read_request(work, request_id)
    record(work, "create", "quote_request", request_id, after=after)
    return after


def list_requests(
    work: UnitOfWork, limit: int, cursor: str | None, project_id: UUID | None, status: RequestStatus | None
) -> Page[QuoteRequestSummary]:
    """The club's requests in the order in which they were made."""
    statement = select(*_REQUEST).where(QuoteRequestRow.club_id == work.club_id)
    if project_id is not None:
        statement = statement.where(QuoteRequestRow.project_id == project_id)
    if status is not None:
        statement = statement.where(QuoteRequestRow.status == status)
    rows, following = read_page(work, statement, (QuoteRequestRow.number,), limit, cursor)
    names = vendors_with_ids(work, {UUID(one) for row in rows for one in row.vendor_ids})
    return Page[QuoteRequestSummary](
        items=[QuoteRequestSummary(**_summary(row, names)) for row in rows], next=following
    )


def read_request(work: UnitOfWork, request_id: UUID) -> QuoteRequest:
    """One request with what was asked and chosen."""
    row = read_row(work, _REQUEST_BY_ID, request_id, "quote request")
    names = vendors_with_ids(work, {UUID(one) for one in row.vendor_ids})
    return QuoteRequest(
        **_summary(row, names), items=[AskedItem(**one) for one in row.items],
        left_out=[NotAsked(**one) for one in row.left_out], vendor_ids=row.vendor_ids, note=row.note,
        chosen=[Award(**one) for one in row.awards], reason=row.reason, decided_by=row.decided_by,
        decided_at=row.decided_at,
    )  # fmt: skip


def receive_quote(work: UnitOfWork, request_id: UUID, new: NewQuote) -> Quote:
    """Take in a vendor's quote. Raises `duplicate` where the vendor's is there already."""
    request = _open(work, request_id)
    _refuse_unusable(work, request, new)
    if any(quote.vendor_id == new.vendor_id for quote in quotes_of(work, request_id)):
        raise ProblemError(problems.DUPLICATE, "This vendor's quote is there already; edit that one.")
    quote_id = work.new_id()
    work.session.execute(
        insert(QuoteRow).values(
            club_id=work.club_id, id=quote_id, request_id=request_id, vendor_id=new.vendor_id,
            quote=new.model_dump(mode="json"), version=1,
        )
    )  # fmt: skip
    after = read_quote(work, quote_id)
    record(work, "create", "quote", quote_id, after=after)
    return after


def list_quotes(work: UnitOfWork, request_id: UUID, limit: int, cursor: str | None) -> Page[Quote]:
    """The quotes received for a request, in the order in which they were entered."""
    read_request(work, request_id)
    statement = select(*QuoteRow.__table__.c).where(
        QuoteRow.club_id == work.club_id, QuoteRow.request_id == request_id
    )
    rows, following = read_page(work, statement, (QuoteRow.id,), limit, cursor)
    return Page[Quote](items=_quotes(work, rows), next=following)


def quotes_of(work: UnitOfWork, request_id: UUID) -> list[Quote]:
    """All quotes received for a request, in the order in which they were entered."""
    statement = select(*QuoteRow.__table__.c).where(
        QuoteRow.club_id == work.club_id, QuoteRow.request_id == request_id
    )
    return _quotes(work, work.session.execute(statement.order_by(QuoteRow.id)).all())


def read_quote(work: UnitOfWork, quote_id: UUID) -> Quote:
    """One quote."""
    return _quotes(work, [read_row(work, _QUOTE_BY_ID, quote_id, "quote")])[0]


def change_quote(work: UnitOfWork, quote_id: UUID, change: QuoteChange, if_match: int) -> Quote:
    """Replace a quote while its request is open; the vendor stays."""
    before = read_quote(work, quote_id)
    request = _open(work, before.request_id)
    if change.vendor_id != before.vendor_id:
        fault = Fault(pointer="/vendor_id", expected="the same vendor", got=str(change.vendor_id))
        raise ProblemError(problems.INVALID_VALUES, "The quote was not changed.", [fault])
    _refuse_unusable(work, request, change)
    edit_row(work, QuoteRow, quote_id, if_match, "quote", quote=change.model_dump(mode="json"))
    after = read_quote(work, quote_id)
    record(work, "change", "quote", quote_id, before, after)
    return after


def delete_quote(work: UnitOfWork, quote_id: UUID, if_match: int) -> None:
    """Take a quote out while its request is open."""
    before = read_quote(work, quote_id)
    _open(work, before.request_id)
    delete_row(work, QuoteRow, quote_id, if_match, "quote")
    record(work, "delete", "quote", quote_id, before)


def choose(work: UnitOfWork, request_id: UUID, choice: QuoteChoice) -> QuoteRequest:
    """Take offers, with the reason; the project's next estimates are priced by them.

    Raises `wrong-state` for a request that is not open or an expired quote, `invalid-values` for items that the
    quote does not offer or that are awarded twice.
    """
    before = _open(work, request_id)
    quotes = {quote.id: quote for quote in quotes_of(work, request_id)}
    currency = read_club(work).currency
    choices = choices_for(before, quotes, choice, currency, work.caller.name, work.now.date())
    choose_prices(work, before.project_id, choices)
    return _decide(
        work, before, RequestStatus.CHOSEN, choice.reason,
        [award.model_dump(mode="json") for award in choice.awards],
    )  # fmt: skip


def reopen(work: UnitOfWork, request_id: UUID, withdrawal: Withdrawal) -> QuoteRequest:
    """Give up what was chosen, with the reason; its items are priced by the catalog again."""
    before = _held(work, request_id)
    if before.status is not RequestStatus.CHOSEN:
        raise ProblemError(problems.WRONG_STATE, f"The request is {before.status}; nothing was chosen.")
    drop_choices(work, before.project_id, [award.quote_id for award in before.chosen])
    return _decide(work, before, RequestStatus.OPEN, withdrawal.reason, [])


def withdraw(work: UnitOfWork, request_id: UUID, withdrawal: Withdrawal) -> QuoteRequest:
    """End a request without choosing."""
    return _decide(work, _open(work, request_id), RequestStatus.WITHDRAWN, withdrawal.reason, [])


def _decide(
    work: UnitOfWork, before: QuoteRequest, status: RequestStatus, reason: str, awards: Sequence[Any]
) -> QuoteRequest:
    edit_row(
        work, QuoteRequestRow, before.id, before.version, "quote request", status=status, reason=reason,
        awards=awards, decided_by=work.caller.name, decided_at=work.now,
    )  # fmt: skip
    after = read_request(work, before.id)
    record(work, status.value, "quote_request", before.id, before, after)
    return after


def _held(work: UnitOfWork, request_id: UUID) -> QuoteRequest:
    """A request that nobody else decides on, or enters quotes for, until this unit of work ends."""
    held = select(QuoteRequestRow.id).where(
        QuoteRequestRow.club_id == work.club_id, QuoteRequestRow.id == request_id
    )
    if work.session.scalar(held.with_for_update()) is None:
        raise missing("quote request")
    return read_request(work, request_id)


def _open(work: UnitOfWork, request_id: UUID) -> QuoteRequest:
    """A held request that takes quotes. Raises `wrong-state` for one that is decided."""
    request = _held(work, request_id)
    if request.status is not RequestStatus.OPEN:
        raise ProblemError(
            problems.WRONG_STATE, f"The request is {request.status}; only an open one can do that."
        )
    return request


def _refuse_unusable(work: UnitOfWork, request: QuoteRequest, fields: QuoteFields) -> None:
    """Raise `invalid-values` for a vendor who was not asked, items not asked for, a missing rate, or amounts that
    no answer could hold."""
    faults = []
    still_there = vendors_with_ids(work, request.vendor_ids)
    if fields.vendor_id not in still_there:
        expected = "a vendor that was asked and is still in the catalog"
        faults.append(Fault(pointer="/vendor_id", expected=expected, got=str(fields.vendor_id)))
    lines = AskedLines(request.items)
    keys: list[str] = []
    for index, line in enumerate(fields.items):
        key = lines.key_of(line)
        if key is None or key in keys:
            faults.append(_fault_of_line(index, line, lines))
        else:
            keys.append(key)
            faults += faults_of_form(index, line, lines.by_key[key])
    currency = read_club(work).currency
    if fields.currency != currency and (fields.exchange_rate is None or fields.rate_source is None):
        expected = f"a rate from {fields.currency} to {currency}, and its source in rate_source"
        faults.append(Fault(pointer="/exchange_rate", expected=expected, got="none"))
    if fields.currency == currency and fields.exchange_rate is not None:
        faults.append(
            Fault(pointer="/exchange_rate", expected=f"none, since the quote is in {currency}",
                  got=str(fields.exchange_rate))
        )  # fmt: skip
    if not faults:
        faults = faults_of_size([lines.by_key[key] for key in keys], fields, currency)
    if faults:
        raise ProblemError(problems.INVALID_VALUES, "The quote was not taken.", faults)


def _fault_of_line(index: int, line: QuotedItem, lines: AskedLines) -> Fault:
    """Why a quoted item is for no line of the request, or for one that another is for already."""
    units = [one.unit for one in lines.of_item(line.item)]
    if not units:
        return Fault(pointer=f"/items/{index}/item", expected="an item that was asked for", got=line.item)
    expected = f"each line once, by the unit that it was asked for by: {', '.join(units)}"
    return Fault(pointer=f"/items/{index}/unit", expected=expected, got=line.unit or "none")


def _summary(row: Row[Any], names: Mapping[UUID, str]) -> dict[str, Any]:
    return {
        "id": row.id, "number": row.number, "name": row.name, "project_id": row.project_id,
        "estimate_id": row.estimate_id, "status": row.status, "due_on": row.due_on,
        "vendors": [names[UUID(one)] for one in row.vendor_ids if UUID(one) in names], "received": row.received,
        "created_at": row.created_at, "version": row.version,
    }  # fmt: skip


def _quotes(work: UnitOfWork, rows: Collection[Row[Any]]) -> list[Quote]:
    names = vendors_with_ids(work, {row.vendor_id for row in rows})
    return [
        Quote(
            id=row.id, request_id=row.request_id, vendor_name=names[row.vendor_id], version=row.version,
            **QuoteFields(**row.quote).model_dump(),
        )
        for row in rows
    ]  # fmt: skip
