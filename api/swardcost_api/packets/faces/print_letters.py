"""Which letters paper can show: fonts lack some, and accessible PDF may hold none that cannot be shown."""

import json
import unicodedata
from collections.abc import Iterable
from functools import cache, lru_cache
from html import escape
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

_PICTURE = b"""#set document(title: "picture")
#image(bytes(sys.inputs.picture), format: "svg", alt: "picture")"""


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


def printable_picture(svg: str, letters: dict[str, str], fonts: Path | None = None) -> str:
    """A picture in SVG with what is printed for the letters that no font has.

    Pictures show fewer letters than text does: marks that go with the letter before may be missing in them. Where a
    picture could not be printed it has its letters without such marks, and in the end the stand-in for all rare ones.
    """
    spelled = "".join(escape(letters[one]) if one in letters else one for one in svg)
    bare = "".join(one for one in unicodedata.normalize("NFC", spelled) if not _is_mark(one))
    for candidate in (spelled, bare):
        if set(candidate) <= ALWAYS | {"\n"} or _drawn(candidate, fonts):
            return candidate
    return "".join(one if one in ALWAYS or one == "\n" else STAND_IN for one in bare)


def _is_mark(letter: str) -> bool:
    return unicodedata.category(letter).startswith("M")


@lru_cache(maxsize=64)
def _drawn(svg: str, fonts: Path | None) -> bool:
    return _compiles(_PICTURE, {"picture": svg}, fonts)


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
    return _compiles(_TEMPLATE, {"letters": letters, "fonts": json.dumps(FONTS)}, fonts)


def _compiles(template: bytes, inputs: dict[str, str], fonts: Path | None) -> bool:
    try:
        typst.compile(
            template, format="pdf", output=None, root=None, sys_inputs=inputs, font_paths=font_set(fonts),
            pdf_standards=["ua-1"],
        )  # fmt: skip
    except typst.TypstError:
        return False
    return True
