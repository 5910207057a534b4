"""Identifiers: time-ordered UUIDs, so that new rows go to the end of every index and lists by id are in their order."""

import os
import time
from uuid import UUID

_MILLISECOND = 1_000_000


def new_id() -> UUID:
    """A version 7 UUID: 48 bits of milliseconds, 12 of the fraction of one, then random bits.

    RFC 9562, section 5.7, and section 6.2, method 3, so that what is made within one millisecond is in order too.
    """
    milliseconds, rest = divmod(time.time_ns(), _MILLISECOND)
    fraction = (rest << 12) // _MILLISECOND
    random = int.from_bytes(os.urandom(8), "big") >> 2
    return UUID(int=(milliseconds & (2**48 - 1)) << 80 | 0x7 << 76 | fraction << 64 | 0b10 << 62 | random)
