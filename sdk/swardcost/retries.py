"""When a call is tried again, and how long to wait before."""

import asyncio
import random
import time
from dataclasses import dataclass

import httpx

NOTHING_DONE = frozenset({429, 503})
"""Answers that mean: nothing was done, try later."""
PERHAPS_DONE = NOTHING_DONE | {502, 504}
"""Answers of something in between: it may have been done, so only what is safe to repeat is sent again."""


@dataclass(frozen=True)
class Retries:
    """At most `most` further tries, waiting twice as long each time, with some chance in it."""

    most: int = 3
    first_wait: float = 0.25
    longest_wait: float = 8.0

    def wait_after(
        self, tried: int, response: httpx.Response | None, repeatable: bool = True
    ) -> float | None:
        """Seconds to wait after `tried` tries, or `None` to give up; `response` is absent where none came."""
        again = PERHAPS_DONE if repeatable else NOTHING_DONE
        if tried > self.most or (response is not None and response.status_code not in again):
            return None
        asked = response.headers.get("retry-after", "") if response is not None else ""
        if asked.isdigit():
            return min(float(asked), self.longest_wait)
        most = min(self.first_wait * 2.0 ** (tried - 1), self.longest_wait)
        return most * random.uniform(0.5, 1.0)


async def wait_async(seconds: float) -> None:
    """Wait without blocking."""
    await asyncio.sleep(seconds)


def wait_sync(seconds: float) -> None:
    """Wait."""
    time.sleep(seconds)
