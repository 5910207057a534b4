"""Answers that are sent as they are read, so that their length costs no memory."""

from collections.abc import AsyncIterator, Iterator
from dataclasses import dataclass
from typing import Any

import anyio
from litestar import Response
from litestar.response import Stream
from swardcost_model import problems
from swardcost_model.problems import ProblemError

MOST_AT_ONCE = 2
"""Each stream holds a connection of the database as long as its reader takes."""


@dataclass
class Streams:
    """The streams of one process."""

    open: int = 0

    async def response(
        self, pieces: Iterator[str], media_type: str, headers: dict[str, str], limiter: anyio.CapacityLimiter
    ) -> Response[Any]:
        """An answer of these pieces, the first of which is made before it begins, so that a refusal is one.

        Raises `unavailable` where as many are being sent as there may be.
        """
        if self.open >= MOST_AT_ONCE:
            raise ProblemError(
                problems.UNAVAILABLE, f"{MOST_AT_ONCE} long answers are being sent; ask again in a while."
            )
        self.open += 1
        try:
            first = await anyio.to_thread.run_sync(_next, pieces, limiter=limiter)
        except BaseException:
            self.open -= 1
            raise
        return Stream(self._all(first, pieces, limiter), media_type=media_type, headers=headers)

    async def _all(
        self, first: str | None, pieces: Iterator[str], limiter: anyio.CapacityLimiter
    ) -> AsyncIterator[bytes]:
        piece = first
        try:
            while piece is not None:
                yield piece.encode()
                piece = await anyio.to_thread.run_sync(_next, pieces, limiter=limiter)
        finally:
            self.open -= 1
            # Whoever went away in the middle leaves a transaction open, which has to end.
            with anyio.CancelScope(shield=True):
                await anyio.to_thread.run_sync(_close, pieces, limiter=limiter)


def _next(pieces: Iterator[str]) -> str | None:
    return next(pieces, None)


def _close(pieces: Any) -> None:
    pieces.close()
