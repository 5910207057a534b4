"""The garbage collector, set for a service that makes many small values at once and then lets go of them."""

import gc

YOUNG = 20_000
"""New containers after which the youngest are looked through; a long estimate makes some hundred thousand."""


def settle() -> None:
    """To be called when start-up is done: what it made stays for good, so it is never walked over again."""
    gc.freeze()
    gc.set_threshold(YOUNG, 10, 10)
