"""Measuring against a floor in the same run: seconds differ from machine to machine, ratios hardly do."""

import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass


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


def best_by_turns(
    floor: Callable[[], float], ours: Callable[[], float], repetitions: int
) -> tuple[float, float]:
    """The least seconds of each; run by turns, so that a busy moment of the machine meets both."""
    pairs = [(floor(), ours()) for _ in range(repetitions)]
    return min(pair[0] for pair in pairs), min(pair[1] for pair in pairs)


def hold(what: str, floor: float, ours: float, limit: float, unit: str = "s") -> None:
    """Print one line, and insist that ours is at most `limit` times the floor."""
    ratio = ours / floor
    print(
        f"\n  {what:<52} floor {floor:9.3f} {unit}   ours {ours:9.3f} {unit}   {ratio:5.2f}x, at most {limit:g}x",
        end="",
    )
    assert ratio <= limit, f"{what}: {ratio:.2f} times the floor, at most {limit:g}"
