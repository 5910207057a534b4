"""Counts and lists in words."""

from collections.abc import Sequence


def counted(number: int, thing: str) -> str:
    """``1 working day``, ``2 working days``."""
    return f"{number:,} {thing if number == 1 else thing + 's'}"


def listed(names: Sequence[str], thing: str = "", most: int | None = None) -> str:
    """``A``, ``A and B``, ``A, B and C``; of more than `most` names the first, then how many more things."""
    if most is not None and len(names) > most:
        names = [*names[:most], counted(len(names) - most, f"more {thing}")]
    *before, last = names
    return f"{', '.join(before)} and {last}" if before else last
