"""Quotes: asking, receiving, comparing and choosing."""

from collections.abc import Iterator
from datetime import date
from uuid import UUID

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

from swardcost._sync.session import Session

_REQUESTS = "/v1/clubs/{club}/quote-requests"
_QUOTES = "/v1/clubs/{club}/quotes"


class QuoteRequests:
    """Requests for quotes, and what was chosen."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def create(self, new: NewQuoteRequest) -> QuoteRequest:
        """Ask vendors for prices on the quantities of an estimate."""
        return self._session.post(QuoteRequest, _REQUESTS, new)

    def list(
        self, *, project_id: UUID | None = None, status: RequestStatus | None = None
    ) -> Iterator[QuoteRequestSummary]:
        """Every request, in the order in which they were made."""
        return self._session.pages(QuoteRequestSummary, _REQUESTS, project_id=project_id, status=status)

    def read(self, request_id: UUID) -> QuoteRequest:
        """One request."""
        return self._session.get(QuoteRequest, f"{_REQUESTS}/{request_id}")

    def compare(self, request_id: UUID, *, as_of: date | None = None) -> QuoteComparison:
        """Its quotes on the same quantities, the cheapest first."""
        return self._session.get(QuoteComparison, f"{_REQUESTS}/{request_id}/comparison", as_of=as_of)

    def choose(self, request_id: UUID, choice: QuoteChoice) -> QuoteRequest:
        """Take offers, with the reason."""
        return self._session.post(QuoteRequest, f"{_REQUESTS}/{request_id}/choose", choice)

    def reopen(self, request_id: UUID, withdrawal: Withdrawal) -> QuoteRequest:
        """Give up what was chosen."""
        return self._session.post(QuoteRequest, f"{_REQUESTS}/{request_id}/reopen", withdrawal)

    def withdraw(self, request_id: UUID, withdrawal: Withdrawal) -> QuoteRequest:
        """End a request without choosing."""
        return self._session.post(QuoteRequest, f"{_REQUESTS}/{request_id}/withdraw", withdrawal)


class Quotes:
    """Quotes as they were received."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def receive(self, request_id: UUID, new: NewQuote) -> Quote:
        """Enter a vendor's quote for a request."""
        return self._session.post(Quote, f"{_REQUESTS}/{request_id}/quotes", new)

    def list(self, request_id: UUID) -> Iterator[Quote]:
        """Every quote of a request."""
        return self._session.pages(Quote, f"{_REQUESTS}/{request_id}/quotes")

    def read(self, quote_id: UUID) -> Quote:
        """One quote."""
        return self._session.get(Quote, f"{_QUOTES}/{quote_id}")

    def change(self, quote_id: UUID, change: QuoteChange, version: int) -> Quote:
        """Replace a quote that is still at `version`."""
        return self._session.replace(Quote, f"{_QUOTES}/{quote_id}", change, version)

    def delete(self, quote_id: UUID, version: int) -> None:
        """Take out a quote that is still at `version`."""
        self._session.remove(f"{_QUOTES}/{quote_id}", version)
