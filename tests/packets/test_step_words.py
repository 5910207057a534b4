"""Steps in the language of a packet: all that the engine writes is translated, and what a club calls a thing is not."""

import re
from collections.abc import Iterator
from string import Formatter as Places

import pytest
from babel import Locale
from conftest import Api
from estimate_packet_factories import Composed, a_measured_budget, a_programme, packet_of, report_of
from method_examples import example_area, measured
from swardcost_api.engine.derivation import Step
from swardcost_api.methods.frame import Method
from swardcost_api.methods.registry import METHODS
from swardcost_api.packets.document import Appendix
from swardcost_api.packets.formatter import Formatter
from swardcost_api.packets.step_words import StepWords, phrases, step_words_for
from swardcost_api.packets.wording import words_for
from word_catalogs import CATALOGS, STEPS, read_catalog, renewed

_SIGNS = re.compile(r" [-+/=x] |[()^]")
LANGUAGES = [language for language, domain in CATALOGS if domain == STEPS]
ALL = [pytest.param(method, id=name) for name, method in METHODS.items()]
FRENCH = StepWords(
    words_for(Locale("fr")),
    {
        "area": "superficie", "layer depth": "épaisseur de la couche", "cost in {1}": "coût en {1}",
        "worth of {1} begun in {2}": "valeur en {2} de {1}", "{1} of {2}": "{2}, {1}",
        "rounded up": "arrondi au-dessus",
    },
)  # fmt: skip


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_catalog_has_every_phrase_and_no_other(language: str) -> None:
    kept, again = (
        [(one.id, one.string) for one in catalog if one.id]
        for catalog in (read_catalog(language, STEPS), renewed(language, STEPS))
    )
    assert kept == again, "run `make words`"
    assert [phrase for phrase, text in kept if not text] == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_translation_has_the_places_and_signs_of_its_phrase(language: str) -> None:
    for one in (one for one in read_catalog(language, STEPS) if one.id):
        phrase, text = str(one.id), str(one.string)
        assert sorted(_places(phrase)) == sorted(_places(text)), phrase
        for sign in " x ", " / ", " + ", "^", "sqrt":
            assert phrase.count(sign) == text.count(sign), (phrase, text)
        assert text == text.strip()


def _places(text: str) -> Iterator[str]:
    return (place for _, place, _, _ in Places().parse(text) if place is not None)


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("method", ALL)
def test_every_step_of_every_method_is_told_whole(method: Method, language: str) -> None:
    words = step_words_for(Locale(language))
    for measure in measured(method, example_area(method)).values():
        for text in (text for step in measure.derivation for text in _texts(step)):
            assert words.left(text) == [], text
            assert _SIGNS.findall(words.text(text)) == _SIGNS.findall(text), (text, words.text(text))


def _texts(step: Step) -> Iterator[str]:
    yield step.name
    yield step.formula
    yield from (one.name for one in step.inputs)
    if step.source[:1].islower():
        yield step.source


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("area x layer depth", "superficie x épaisseur de la couche"),
        ("(area + area) / 2, rounded up", "(superficie + superficie) / 2, arrondi au-dessus"),
        ("cost in 2026 - cost in 2027", "coût en 2026 - coût en 2027"),
        ("worth of 9 (Greens mowers) begun in 2030", "valeur en 2030 de 9 (Greens mowers)"),
        ("worth of area begun in 2030", "valeur en 2030 de superficie"),
        ("area of layer depth", "épaisseur de la couche, superficie"),
        ("Pride of Ridge", "Pride of Ridge"),
        ("area 51, Old {1} %(x)s", "area 51, Old {1} %(x)s"),
        ("area x area of layer depth", "superficie x épaisseur de la couche, superficie"),
        ("1 hour, rounded up", "1 heure, arrondi au-dessus"),
        ("60 hour", "60 heures"),
        ("90 each", "90"),
        ("", ""),
    ],
)
def test_a_text_is_put_together_of_translated_phrases(text: str, told: str) -> None:
    assert FRENCH.text(text) == told


def test_a_formula_is_taken_apart_at_its_operators_and_a_sentence_is_not() -> None:
    assert list(phrases("2 x (one-way distance + 3) / speed^2")) == ["one-way distance", "speed"]
    sentence = "sum over the futures in which it is so / futures, rounded up"
    assert list(phrases(sentence)) == [sentence]
    assert list(phrases("{} per {}")) == ["{1} per {2}"]


@pytest.mark.parametrize("locale", ["es-MX", "fr-CA"])
def test_what_a_packet_computes_is_told_in_its_language(api: Api, locale: str) -> None:
    words = step_words_for(Formatter(locale).words.locale)
    for document in (packet_of(api, a_programme(api)), report_of(api, a_measured_budget(api))):
        texts = _told(document)
        assert len(texts) > 50
        assert [one for text in texts for one in words.left(text) if one[:1].islower()] == []


def _told(found: Composed) -> list[str]:
    (appendix,) = (part for part in found.document.parts if isinstance(part, Appendix))
    steps = [step for one in appendix.derivations for step in one.steps]
    return [text for step in steps for text in (step.name, step.formula, *(one.name for one in step.inputs))]
