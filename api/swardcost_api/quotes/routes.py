"""HTTP operations of quotes."""

from datetime import date
from typing import Annotated
from uuid import UUID

from swardcost_model import problems
from swardcost_model.access import Role
from swardcost_model.paging import Page
from swardcost_model.quotes import (
    NewQuote,
    NewQuoteRequest,
    Quote,
    QuoteChange,
    QuoteChoice,
    QuoteComparison,
    QuoteRequest,
    QuoteRequestSummary,
    RequestStatus,
    Withdrawal,
)

from swardcost_api.operations import CLUB, Cursor, Limit, Query, Room
from swardcost_api.quotes import comparison, service
from swardcost_api.storage.work import UnitOfWork

room = Room(
    "Quotes", "Prices asked of several vendors on the same quantities, compared like with like, and chosen."
)
BUYERS = frozenset({Role.SUPERINTENDENT, Role.CONTROLLER, Role.OWNER})
CHOOSERS = frozenset({Role.SUPERINTENDENT, Role.OWNER})

REQUESTS = CLUB + "/quote-requests"
REQUEST = REQUESTS + "/{request_id}"
QUOTES = REQUEST + "/quotes"
QUOTE = CLUB + "/quotes/{quote_id}"


@room.create(REQUESTS, "Ask for quotes", needs=BUYERS)
def create_quote_request(work: UnitOfWork, data: NewQuoteRequest) -> QuoteRequest:
    """The quantities are those that an estimate needs, however it was charged; they stay as they are, whatever becomes
    of it. A machine with rental terms is asked for by the days that it is needed, and quoted by its rates. What is not
    needed, or not known, is left out with the reason."""
    return service.create_request(work, data)


@room.read(REQUESTS, "List the requests for quotes")
def list_quote_requests(
    work: UnitOfWork,
    limit: Limit = 50,
    cursor: Cursor = None,
    project_id: Annotated[UUID | None, Query("Only requests of this project.")] = None,
    status: Annotated[RequestStatus | None, Query("Only requests of this status.", example="open")] = None,
) -> Page[QuoteRequestSummary]:
    return service.list_requests(work, limit, cursor, project_id, status)


@room.read(REQUEST, "Read a request for quotes")
def read_quote_request(work: UnitOfWork, request_id: UUID) -> QuoteRequest:
    return service.read_request(work, request_id)


@room.create(
    QUOTES, "Enter a quote", needs=BUYERS, problems=[problems.WRONG_STATE], collection=CLUB + "/quotes"
)
def receive_quote(work: UnitOfWork, request_id: UUID, data: NewQuote) -> Quote:
    """Items that it does not name count as left out. A vendor has one quote for a request."""
    return service.receive_quote(work, request_id, data)


@room.read(QUOTES, "List the quotes of a request")
def list_quotes(work: UnitOfWork, request_id: UUID, limit: Limit = 50, cursor: Cursor = None) -> Page[Quote]:
    return service.list_quotes(work, request_id, limit, cursor)


@room.read(QUOTE, "Read a quote")
def read_quote(work: UnitOfWork, quote_id: UUID) -> Quote:
    return service.read_quote(work, quote_id)


@room.edit(QUOTE, "Edit a quote", needs=BUYERS, problems=[problems.WRONG_STATE])
def change_quote(work: UnitOfWork, quote_id: UUID, data: QuoteChange, if_match: int) -> Quote:
    """While its request is open."""
    return service.change_quote(work, quote_id, data, if_match)


@room.remove(QUOTE, "Delete a quote", needs=BUYERS, problems=[problems.WRONG_STATE])
def delete_quote(work: UnitOfWork, quote_id: UUID, if_match: int) -> None:
    """While its request is open."""
    service.delete_quote(work, quote_id, if_match)


@room.read(REQUEST + "/comparison", "Compare the quotes of a request")
def compare_quotes(
    work: UnitOfWork,
    request_id: UUID,
    as_of: Annotated[
        date | None, Query("Day on which quotes must still hold; today if absent.", example="2026-08-01")
    ] = None,
) -> QuoteComparison:
    """On the same quantities: what a vendor leaves out is priced from the catalog, and named. Rental rates are compared
    by the cheapest cover of the days asked for."""
    return comparison.compare(work, request_id, as_of)


@room.act(REQUEST + "/choose", "Choose quotes", needs=CHOOSERS, problems=[problems.WRONG_STATE])
def choose_quotes(work: UnitOfWork, request_id: UUID, data: QuoteChoice) -> QuoteRequest:
    """From then on the project's estimates are priced by what was chosen, and say why. Each quote's fixed charge is in
    them once. Expired quotes are refused."""
    return service.choose(work, request_id, data)


@room.act(REQUEST + "/reopen", "Give up a choice", needs=CHOOSERS, problems=[problems.WRONG_STATE])
def reopen_quote_request(work: UnitOfWork, request_id: UUID, data: Withdrawal) -> QuoteRequest:
    """Its items are priced by the catalog again; estimates already priced stay as they are."""
    return service.reopen(work, request_id, data)


@room.act(REQUEST + "/withdraw", "Withdraw a request", needs=CHOOSERS, problems=[problems.WRONG_STATE])
def withdraw_quote_request(work: UnitOfWork, request_id: UUID, data: Withdrawal) -> QuoteRequest:
    """Nothing is chosen, and no more quotes are taken."""
    return service.withdraw(work, request_id, data)
