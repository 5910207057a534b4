"""The names, formulas and sources of steps in the language of a packet.

The engine writes them in English, of a closed set of phrases: names of figures, joined by operators into formulas.
Here a text is taken apart at its operators, each phrase is looked up, and the text is put together again, so that a
figure is called the same wherever it stands. What is no phrase of the engine stays as it is, as what a club itself
calls a thing.
"""

import itertools
import re
from collections.abc import Iterator
from decimal import Decimal
from functools import cache, lru_cache
from importlib.resources import files

from babel import Locale
from babel.messages.pofile import read_po

from swardcost_api.packets.unit_names import NAMELESS, NAMES, unit_name
from swardcost_api.packets.wording import LANGUAGES, Words, words_for

OTHERS = (
    # money of an estimate and its risks
    "Cash total", "Total", "carried", "charge of one", "deviation", "escalation", "high", "high percent", "low",
    "low percent", "one {1}", "overhead", "overhead and escalation", "part in cash of {1}", "rounded half up",
    "rounded up to the least of {1}", "rounded up to the next whole", "stated quantity",
    "sum of the totals of all trials", "tax", "tax and overhead", "taxable lines",
    "the k-th smallest of all trials, k = percent / 100 x trials, rounded up", "total", "contract", "estimate",
    "invoice", "quote", "allowance", "of {1}", "valid until {1}", "price from {1}", "price of the edition",
    "the lines and markups of this estimate", "the lowest and highest prices of the edition",
    "the same percentage on what costs new money", "the terms of the estimate",
    # budgets
    "adjusted budget", "earned", "planned", "the superintendent's own figure to complete",
    # capital plans
    "closing balance of {1}", "closing below the floor", "closing below the floor by then",
    "closing below the floor for the first time", "closing below the floor in any year", "closing below zero",
    "closing below zero in any year", "cost from {1}", "in {1} instead of {2}", "interest as dated", "interest earned",
    "interest earned of {1}", "interest paid on loans", "interest paid on loans of {1}",
    "interest with the moved projects as dated", "interest with the project later", "interest with the projects moved",
    "least closing balance", "open commitments", "score of {1}", "sizes of its areas added up", "spending of {1}",
    "sum of weight", "sum of weights", "the areas of the course", "weight of {1}",
    "yearly upkeep at the prices of {1}",
    # work: its materials and goods, and what is told of each
    "amendment", "approach", "bags", "bales", "base gravel", "big rolls", "ceiling", "concrete", "cover", "doors",
    "fill", "flooring", "flooring boxes", "gravel", "intermediate layer", "items", "liner", "material", "mesh",
    "mulch", "painting the ceiling", "painting walls", "pallets", "pavement", "pipe", "product", "rolls", "root zone",
    "sand", "skirting", "slabs", "sod", "soil", "stone", "toe rolls", "topsoil", "wall", "windows", "wire",
    "{1} allowance", "{1} area", "{1} bags", "{1} coverage of one container", "{1} dry bulk density", "{1} in place",
    "{1} moisture", "{1} waste", "content of one of the {1}", "pace for {1}", "pace in {1}", "share of {1}",
    "time for one of the {1}", "time for {1}", "time in {1}", "for sweeping", "band {1} filled by sum",
    "band {1} filled once", "band {1} removed by sum", "band {1} removed once", "compacted volume", "cut area {1}",
    "cut at corner {1}", "cut sum of cell {1}", "fill sum of cell {1}", "cut at point {1}", "cut of cell {1}",
    "cut to spare", "hollow tine", "solid tine", "slicing", "vertical mowing", "sand injection", "drill", "week {1}",
    "each in two directions", "cut volume {1} to {2}", "door height", "drain out length", "drill diameter",
    "fill area {1}", "fill at corner {1}", "fill at point {1}", "fill of cell {1}", "fill volume {1} to {2}",
    "fill to bring in", "geometry: each surveyed point stands for an equal part of the area",
    "layer {1} filled by sum", "layer {1} filled once", "layer {1} removed by sum", "layer {1} removed once",
    "opened volume", "outlets", "over goal by sum", "over goal touched once", "short of goal by sum",
    "short of goal touched once", "pass {1} filled share", "pass {1} filled volume", "pass {1} removed share",
    "pass {1} removed volume", "pass {1} hole diameter", "pass {1} hole section", "pass {1} slit spacing",
    "pass {1} slit width", "pass {1} spacing across", "pass {1} spacing along", "pass {1} surface per hole",
    "regrade depth", "regraded volume", "station {1}", "stretch {1}", "sum over the scope items",
    "the take-off of this work", "tine inside diameter", "tine outside diameter", "toe anchor", "top anchor",
    "trips from {1} to {2}", "window height", "window width",
    "transport problem, by successive shortest paths (Ahuja, Magnanti and Orlin, Network Flows, 1993)",
)  # fmt: skip
"""Phrases that are not written where a step is recorded, but put in from elsewhere."""

_OPERATOR = re.compile(r"(\s+[-+/=x]\s+|(?<=\^)-|[()\[\]^,;])")
_CALCULATING = re.compile(r"\s[-+/=x]\s|\^")
_SIGN = re.compile(r"[\d\s.,%{}-]*|pi|min|max|sqrt|ln|[a-zA-Z]")
_QUANTITY = re.compile(r"(\d[\d,]*(?:\.\d+)?) (\w[\w ]*)")
_PLACE = re.compile(r"\{\d?\}")
_KEPT = 4096
"""Texts of which the translation is kept; some hold names of clubs, so they never end."""
_LONGEST = 7
"""Words of a phrase in a formula; one with a longer phrase is a sentence, and translated whole."""


def phrases(text: str) -> Iterator[str]:
    """The phrases that a text of the engine is made of; what is put into it is written ``{1}``, ``{2}``.

    Examples
    --------
    >>> list(phrases("area x (1 + waste), rounded half up to {1}"))
    ['area', 'waste', 'rounded half up to {1}']
    """
    found = [one.strip() for one in _OPERATOR.split(text) if not _OPERATOR.fullmatch(one)]
    if any(len(one.split()) > _LONGEST for one in found):
        found = [text.strip()]
    yield from (numbered(one) for one in found if not _SIGN.fullmatch(one) and "_" not in one)


class StepWords:
    """Texts of steps in one language."""

    def __init__(self, words: Words, translated: dict[str, str]) -> None:
        self._words = words
        self._whole = {one: text for one, text in translated.items() if "{1}" not in one}
        self._patterns = [
            (_pattern(one), text, len(_CALCULATING.findall(one)), len(_PLACE.sub("", one).split()) < 2)
            for one, text in sorted(translated.items(), key=lambda pair: -len(pair[0]))
            if "{1}" in one
        ]
        """Those of a single word, such as "{1} of {2}", hold only for what is made of phrases itself."""
        self.text = lru_cache(_KEPT)(self._text)
        """A text of the engine in this language; what is none of its phrases stays as it is."""

    def left(self, text: str) -> list[str]:
        """What of a text is none of the engine's phrases, and stays as it is."""
        if self._phrase(text.strip()) is not None:
            return []
        parts = map(str.strip, _OPERATOR.split(text))
        return [one for one in parts if self._may_be_phrase(one) and self._phrase(one) is None]

    def _text(self, text: str) -> str:
        whole = self._phrase(text.strip())
        return whole if whole is not None else "".join(map(self._part, _OPERATOR.split(text)))

    def _part(self, part: str) -> str:
        phrase = part.strip()
        found = self._phrase(phrase) if self._may_be_phrase(phrase) else None
        return part if found is None else part.replace(phrase, found)

    def _may_be_phrase(self, part: str) -> bool:
        return (
            not _SIGN.fullmatch(part)
            and not _OPERATOR.fullmatch(f" {part} ")
            and not _OPERATOR.fullmatch(part)
        )

    def _phrase(self, phrase: str) -> str | None:
        if phrase in self._whole:
            return self._whole[phrase]
        quantity = _QUANTITY.fullmatch(phrase)
        if quantity and (unit := quantity[2].replace(" ", "_")) in NAMES.keys() | NAMELESS:
            number = Decimal(quantity[1].replace(",", ""))
            return f"{quantity[1]} {unit_name(self._words, unit, number)}".rstrip()
        if phrase.replace(" ", "_") in NAMES:
            return unit_name(self._words, phrase.replace(" ", "_"), 1)
        signs = len(_CALCULATING.findall(phrase))
        for pattern, text, own_signs, weak in self._patterns:
            # What is put in is a name or a number, never a piece of a formula.
            match = pattern.fullmatch(phrase) if signs == own_signs else None
            if match is not None and not (weak and any(map(self._is_foreign, match.groups()))):
                return text.format("", *map(self._text, match.groups()))
        return None

    def _is_foreign(self, part: str) -> bool:
        return not _SIGN.fullmatch(part) and self._phrase(part) is None


@cache
def step_words_for(locale: Locale) -> StepWords:
    """The texts of steps for a locale; as the engine wrote them where there is no catalog."""
    words = words_for(locale)
    if locale.language == "en" or locale.language not in LANGUAGES:
        return StepWords(words, {})
    source = files("swardcost_api.packets") / "locales" / locale.language / "LC_MESSAGES" / "steps.po"
    with source.open("rb") as text:
        catalog = read_po(text, locale=locale.language, abort_invalid=True)
    return StepWords(words, {str(one.id): str(one.string) for one in catalog if one.id and one.string})


def numbered(template: str) -> str:
    """A template with its places numbered in their order."""
    count = itertools.count(1)
    return _PLACE.sub(lambda _: f"{{{next(count)}}}", template)


def _pattern(template: str) -> re.Pattern[str]:
    parts = _PLACE.split(template)
    return re.compile("(.+?)".join(map(re.escape, parts)))
