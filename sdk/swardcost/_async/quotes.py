"""Quotes: asking, receiving, comparing and choosing."""

from collections.abc import AsyncIterator
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

from swardcost._async.session import AsyncSession

_REQUESTS = "/v1/clubs/{club}/quote-requests"
_QUOTES = "/v1/clubs/{club}/quotes"


class AsyncQuoteRequests:
    """Requests for quotes, and what was chosen."""

    def __init__(self, session: AsyncSession) -> None:
        self._session = session

    async def create(self, new: NewQuoteRequest) -> QuoteRequest:
        """Ask vendors for prices on the quantities of an estimate."""
        return await self._session.post(QuoteRequest, _REQUESTS, new)

    def list(
        self, *, project_id: UUID | None = None, status: RequestStatus | None = None
    ) -> AsyncIterator[QuoteRequestSummary]:
        """Every request, in the order in which they were made."""
        return self._session.pages(QuoteRequestSummary, _REQUESTS, project_id=project_id, status=status)

    async def read(self, request_id: UUID) -> QuoteRequest:
        """One request."""
        return await self._session.get(QuoteRequest, f"{_REQUESTS}/{request_id}")

    async def compare(self, request_id: UUID, *, as_of: date | None = None) -> QuoteComparison:
        """Its quotes on the same quantities, the cheapest first."""
        return await self._session.get(QuoteComparison, f"{_REQUESTS}/{request_id}/comparison", as_of=as_of)

    async def choose(self, request_id: UUID, choice: QuoteChoice) -> QuoteRequest:
        """Take offers, with the reason."""
        return await self._session.post(QuoteRequest, f"{_REQUESTS}/{request_id}/choose", choice)

    async def reopen(self, request_id: UUID, withdrawal: Withdrawal) -> QuoteRequest:
        """Give up what was chosen."""
        return await self._session.post(QuoteRequest, f"{_REQUESTS}/{request_id}/reopen", withdrawal)

    async def withdraw(self, request_id: UUID, withdrawal: Withdrawal) -> QuoteRequest:
        """End a request without choosing."""
        return await self._session.post(QuoteRequest, f"{_REQUESTS}/{request_id}/withdraw", withdrawal)


class AsyncQuotes:
    """Quotes as they were received."""

    def __init__(self, session: AsyncSession) -> None:
        self._session = session

    async def receive(self, request_id: UUID, new: NewQuote) -> Quote:
        """Enter a vendor's quote for a request."""
        return await self._session.post(Quote, f"{_REQUESTS}/{request_id}/quotes", new)

    def list(self, request_id: UUID) -> AsyncIterator[Quote]:
        """Every quote of a request."""
        return self._session.pages(Quote, f"{_REQUESTS}/{request_id}/quotes")

    async def read(self, quote_id: UUID) -> Quote:
        """One quote."""
        return await self._session.get(Quote, f"{_QUOTES}/{quote_id}")

    async def change(self, quote_id: UUID, change: QuoteChange, version: int) -> Quote:
        """Replace a quote that is still at `version`."""
        return await self._session.replace(Quote, f"{_QUOTES}/{quote_id}", change, version)

    async def delete(self, quote_id: UUID, version: int) -> None:
        """Take out a quote that is still at `version`."""
        await self._session.remove(f"{_QUOTES}/{quote_id}", version)
