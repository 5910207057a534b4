"""Which of the media types that can be produced a caller accepts (RFC 9110, section 12.5.1)."""

from collections.abc import Sequence


def best_of(produced: Sequence[str], accept: str | None) -> str | None:
    """The produced media type with the highest quality; of equals, the first. `None` if none is accepted."""
    if not accept or not accept.strip():
        return produced[0]
    ranges = [_range(part) for part in accept.split(",") if part.strip()]
    rated = [(_quality(media_type, ranges), media_type) for media_type in produced]
    best, chosen = max(rated, key=lambda one: one[0])
    return chosen if best > 0 else None


def _range(part: str) -> tuple[str, float]:
    name, *parameters = (piece.strip().lower() for piece in part.split(";"))
    for parameter in parameters:
        if parameter.startswith("q="):
            try:
                return name, min(max(float(parameter[2:]), 0.0), 1.0)
            except ValueError:
                return name, 0.0
    return name, 1.0


def _quality(media_type: str, ranges: Sequence[tuple[str, float]]) -> float:
    """The quality that the most specific matching range gives."""
    for pattern in (media_type, media_type.partition("/")[0] + "/*", "*/*"):
        for name, quality in ranges:
            if name == pattern:
                return quality
    return 0.0
