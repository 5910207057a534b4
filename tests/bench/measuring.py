"""Measuring against a floor in the same run: seconds differ from machine to machine, ratios hardly do."""

import gc
import math
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from swardcost_api.web.collector import settle


@dataclass
class Watch:
    """Seconds that a block took; known when the block is left."""

    seconds: float = 0.0


@contextmanager
def timed() -> Iterator[Watch]:
    """Time a block."""
    watch = Watch()
    started = time.perf_counter()
    yield watch
    watch.seconds = time.perf_counter() - started


def hold(what: str, floor: float, ours: float, limit: float, unit: str = "s") -> None:
    """Print one line, and insist that ours is at most `limit` times the floor."""
    ratio = ours / floor
    print(
        f"\n  {what:<50} floor {floor:9.3f} {unit:<2}  ours {ours:9.3f} {unit:<2}  {ratio:5.2f}x of at most {limit:g}x",
        end="",
    )
    assert ratio <= limit, f"{what}: {ratio:.2f} times the floor, at most {limit:g}"


def hold_by_turns(
    what: str, floor: Callable[[], float], ours: Callable[[], float], limit: float, repetitions: int
) -> None:
    """Hold the least seconds of each, run by turns so that a busy moment of the machine meets both.

    Other work on the machine only ever adds to a time, so that a miss is looked at again, twice at most.
    The garbage collector is set as the service sets it, so that it does not walk over all that the test
    process holds at the cost of whoever is being measured.
    """
    gc.collect()
    settle()
    least_floor = least_ours = math.inf
    for _ in range(3):
        for _ in range(repetitions):
            least_floor, least_ours = min(least_floor, floor()), min(least_ours, ours())
        if least_ours <= limit * least_floor:
            break
    hold(what, least_floor * 1000, least_ours * 1000, limit, "ms")
