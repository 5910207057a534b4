"""Identifiers: time-ordered UUIDs, so that new rows go to the end of every index."""

import os
import time
from uuid import UUID


def new_id() -> UUID:
    """A version 7 UUID (RFC 9562, section 5.7): 48 bits of milliseconds, then random bits."""
    milliseconds = time.time_ns() // 1_000_000
    random = int.from_bytes(os.urandom(10), "big")
    value = (milliseconds & (2**48 - 1)) << 80 | random
    value = value & ~(0xF << 76) | (0x7 << 76)
    value = value & ~(0x3 << 62) | (0x2 << 62)
    return UUID(int=value)
