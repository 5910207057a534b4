"""Text that came from outside, made harmless for eyes: nothing in it can turn the order of what stands around it."""

import re

_UNPRINTABLE = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ud800-\udfff\ufdd0-\ufdef\ufeff\ufff9-\ufffb\ufffe\uffff\u202a-\u202e]"
)
"""Controls, halves of characters, noncharacters, and the marks that override the direction of what follows."""
_OPENING, _CLOSING = "\u2066\u2067\u2068", "\u2069"
"""Isolates (Unicode Standard Annex 9): they may stay, each with its end."""
_LONG = re.compile(r"\S{25,}")
_STRETCH = 4


def calm(text: str) -> str:
    """The text without what cannot be printed, and with every isolate closed.

    >>> calm("a\\u202eb"), calm("\\u2067x") == "\\u2067x\\u2069", calm("x\\u2069")
    ('ab', True, 'x')
    """
    text = _UNPRINTABLE.sub("", text)
    if not any(mark in text for mark in _OPENING + _CLOSING):
        return text
    kept, depth = [], 0
    for character in text:
        if character == _CLOSING and not depth:
            continue
        depth += (character in _OPENING) - (character == _CLOSING)
        kept.append(character)
    return "".join(kept) + _CLOSING * depth


def in_stretches(text: str) -> str | list[str | list[str]]:
    """The text, or where it has words that no column could hold its stretches: such a word as a list of short ones.

    >>> in_stretches("short words stay"), in_stretches("so " + "x" * 28)[1][:2]
    ('short words stay', ['xxxx', 'xxxx'])
    """
    if not _LONG.search(text):
        return text
    stretches: list[str | list[str]] = []
    at = 0
    for word in _LONG.finditer(text):
        stretches.append(text[at : word.start()])
        whole = word.group()
        stretches.append([whole[start : start + _STRETCH] for start in range(0, len(whole), _STRETCH)])
        at = word.end()
    return [*stretches, text[at:]]
