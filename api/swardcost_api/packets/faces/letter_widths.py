"""How wide letters are on paper, as typst measures them in the fonts of packets."""

import json
from functools import cache

import typst

from swardcost_api.packets.faces.calm_text import in_stretches
from swardcost_api.packets.faces.print_letters import ALWAYS, FONTS, font_set

_TEMPLATE = b"""#set text(font: json(bytes(sys.inputs.fonts)), size: 100pt)
#set text(number-type: "lining", number-width: "tabular")
#let width(it) = measure(it).width.pt() / 100
#context [#metadata(sys.inputs.letters.clusters().map(one => (width(one), width(strong(one))))) <widths>]"""
_MEASURED = ALWAYS | set("\u202f–—−…·×€“”‘’•≤≥½¼¾")
_WIDEST = 1.0
"""What a letter that was not measured takes at most, in em: a Han character is that wide."""
_APART = {"f": 0.1} | dict.fromkeys("([{@?", 0.075)
_CAPITAL_APART, _OTHER_APART = 0.055, 0.015
"""In em: how much further than it is wide a letter may stand from the next; of all pairs of Latin letters the most, as
measured. Digits and their marks stand as far apart as they are wide."""
_OF_NUMBERS = frozenset("0123456789.,-%$€ \u00a0\u202f")


def text_width(text: str, bold: bool = False) -> float:
    """The width in em of a text on one line; no less than it takes."""
    widths = _widths(bold)
    return sum(widths.get(one, _WIDEST) + _apart(one) for one in text)


def _apart(letter: str) -> float:
    if letter in _OF_NUMBERS:
        return 0.0
    return _APART.get(letter, _CAPITAL_APART if letter.isupper() else _OTHER_APART)


def piece_width(text: str, bold: bool = False) -> float:
    """The width in em of the widest piece of a text that no line end parts."""
    stretches = in_stretches(text)
    pieces: list[str] = []
    for stretch in [stretches] if isinstance(stretches, str) else stretches:
        pieces += stretch.split(" ") if isinstance(stretch, str) else stretch
    return max((text_width(one, bold) for one in pieces), default=0.0)


@cache
def _widths(bold: bool) -> dict[str, float]:
    letters = "".join(sorted(_MEASURED))
    found = typst.query(
        _TEMPLATE, "<widths>", field="value", one=True,
        sys_inputs={"letters": letters, "fonts": json.dumps(FONTS)}, font_paths=font_set(None),
    )  # fmt: skip
    return {letter: pair[bold] for letter, pair in zip(letters, json.loads(found), strict=True)}
