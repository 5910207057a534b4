"""Which letters paper can show: fonts lack some, and accessible PDF may hold none that cannot be shown."""

import json
import unicodedata
from collections.abc import Iterable
from functools import cache, lru_cache
from pathlib import Path

import typst

FONTS = ("Libertinus Serif", "DejaVu Sans Mono", "New Computer Modern")
"""Fonts inside typst, in the order in which they are asked for a letter: Latin, Greek, Cyrillic, Hebrew and Arabic."""
STAND_IN = "□"
ALWAYS = {chr(code) for code in range(0x20, 0x180)} - {chr(code) for code in range(0x7F, 0xA0)}
_MOST_TRIES = 300
"""Fonts are asked for so many groups of letters at most; what is unknown then gets the stand-in."""

_TEMPLATE = b"""#set document(title: "letters")
#set text(font: json(bytes(sys.inputs.fonts)))
#sys.inputs.letters"""


@cache
def font_set(folder: Path | None) -> typst.Fonts:
    """The fonts inside typst and those of a folder; never the machine's own, which differ from one to the next."""
    return typst.Fonts(include_system_fonts=False, font_paths=[folder] if folder else [])


def printable(letters: Iterable[str], fonts: Path | None = None) -> dict[str, str]:
    """What is printed for the letters that no font has: the plain form of the letter, or the stand-in."""
    rare = tuple(sorted(set(letters) - ALWAYS))
    missing = _missing(rare, fonts)
    plain = {letter: unicodedata.normalize("NFKC", letter) for letter in missing}
    doubtful = tuple(sorted({one for text in plain.values() for one in text} - ALWAYS))
    absent = set(_missing(doubtful, fonts))
    return {letter: STAND_IN if set(text) & absent else text for letter, text in plain.items()}


def _missing(letters: tuple[str, ...], fonts: Path | None) -> list[str]:
    """The letters that cannot be shown, found by halving; the same letters always in the same tries."""
    missing: list[str] = []
    waiting, tries = [letters] if letters else [], 0
    while waiting:
        group = waiting.pop()
        tries += 1
        if tries > _MOST_TRIES:
            missing += group
        elif not _shown("".join(group), fonts):
            if len(group) == 1:
                missing += group
            else:
                half = len(group) // 2
                waiting += [group[:half], group[half:]]
    return missing


@lru_cache(maxsize=4096)
def _shown(letters: str, fonts: Path | None) -> bool:
    names = json.dumps(FONTS)
    try:
        typst.compile(
            _TEMPLATE, format="pdf", output=None, root=None, sys_inputs={"letters": letters, "fonts": names},
            font_paths=font_set(fonts), pdf_standards=["ua-1"],
        )  # fmt: skip
    except typst.TypstError:
        return False
    return True
