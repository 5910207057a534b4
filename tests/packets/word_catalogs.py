"""The catalogs of packets' words and of the phrases of steps, renewed from the code: `make words`.

New messages come in without a translation, which `test_packet_wording.py` tells of; what the code no longer says goes
out; English is what the code says. A translation is typed into the catalog of its language.
"""

import ast
from collections.abc import Iterator, Mapping
from importlib.resources import files
from pathlib import Path

from babel.messages.catalog import Catalog
from babel.messages.extract import extract_from_dir
from babel.messages.pofile import read_po, write_po
from swardcost_api.packets.step_words import OTHERS, numbered, phrases
from swardcost_api.packets.wording import LANGUAGES

PACKETS = Path(str(files("swardcost_api.packets")))
WORDS, STEPS = "packets", "steps"
CATALOGS = [(one, WORDS) for one in LANGUAGES] + [(one, STEPS) for one in LANGUAGES if one != "en"]
"""Languages and domains; the engine's own phrases are English."""
_PLACES: Mapping[str, Mapping[int, bool]] = {
    "Input": {0: False}, "given": {0: False}, "Given": {0: False}, "counted": {0: False},
    "Step": {0: False, 3: False, 5: True}, "step": {0: False, 3: False},
}  # fmt: skip
"""Which arguments of a call are a name or formula (no source) or a source."""
_HEADER = r"""# Words of packets.
msgid ""
msgstr ""
"Project-Id-Version: swardcost VERSION\n"
"Language: {language}\n"
"Plural-Forms: {plural_forms}\n"
"MIME-Version: 1.0\n"
"Content-Type: text/plain; charset=utf-8\n"
"Content-Transfer-Encoding: 8bit\n"

"""
KEYWORDS: Mapping[str, tuple[int, ...] | None] = {"say": None, "counted": (1, 2), "named": (1, 2)}


def messages() -> Iterator[tuple[str, str | tuple[str, ...]]]:
    """Every message of the code, with the name of its file; plurals as a pair."""
    found = extract_from_dir(PACKETS, [("**.py", "python")], keywords=KEYWORDS)
    yield from sorted(((name, message) for name, _, message, _, _ in found), key=lambda one: one[0])


def step_messages() -> Iterator[tuple[str, str]]:
    """Every phrase of a step that the code records, with the name of its file.

    Phrases are those of the names, formulas and sources given to what records a step, as far as they are written there;
    of sources those that are said in words, since titles of works stay as they are.
    """
    trees = {
        str(path.relative_to(PACKETS.parent)): ast.parse(path.read_text(encoding="utf-8"))
        for path in sorted(PACKETS.parent.rglob("*.py"))
    }
    everywhere = {name: text for tree in trees.values() for name, text in _constants(tree)}
    for name, tree in trees.items():
        known = everywhere | dict(_constants(tree))
        yield from ((name, phrase) for text in _formulas(tree) for phrase in phrases(text))
        for call in ast.walk(tree):
            if isinstance(call, ast.Call):
                for text, is_source in _texts_of(call, name.startswith("packets/"), known):
                    if not is_source:
                        yield from ((name, phrase) for phrase in phrases(text))
                    elif text[0].islower():
                        yield name, numbered(text)
    yield from (("packets/step_words.py", one) for one in OTHERS)


def _constants(tree: ast.Module) -> Iterator[tuple[str, str]]:
    """The texts that a file names for itself, such as how something is rounded."""
    for one in tree.body:
        if isinstance(one, ast.Assign) and isinstance(one.value, ast.Constant | ast.JoinedStr | ast.BinOp):
            text = _template(one.value, {})
            if text is not None:
                yield from ((target.id, text) for target in one.targets if isinstance(target, ast.Name))


def _formulas(tree: ast.Module) -> Iterator[str]:
    """The formulas that a file keeps by name, in its `FORMULAS`."""
    for one in tree.body:
        target = (
            one.target
            if isinstance(one, ast.AnnAssign)
            else one.targets[0]
            if isinstance(one, ast.Assign)
            else None
        )
        if isinstance(target, ast.Name) and target.id == "FORMULAS" and isinstance(one.value, ast.Dict):
            yield from (str(value.value) for value in one.value.values if isinstance(value, ast.Constant))


def _texts_of(call: ast.Call, in_packets: bool, known: Mapping[str, str]) -> Iterator[tuple[str, bool]]:
    """What a call gives a step as name, formula or source, and whether that is the source."""
    function = call.func
    name = function.id if isinstance(function, ast.Name) else getattr(function, "attr", "")
    places = _PLACES.get(name, {})
    if in_packets:
        places = {2: False} if name == "step" else {} if name == "counted" else places
    given = [(call.args[place], source) for place, source in places.items() if place < len(call.args)]
    given += [(one.value, True) for one in call.keywords if one.arg == "source" and name in _PLACES]
    for node, is_source in given:
        for one in (node.body, node.orelse) if isinstance(node, ast.IfExp) else (node,):
            text = _template(one, known)
            if text is not None and text.strip("{}.,; ") and "{}s" not in text:
                yield text, is_source


def _template(node: ast.AST, known: Mapping[str, str]) -> str | None:
    """A text as it is written, with ``{}`` where something is put into it; `None` where it is no text."""
    if isinstance(node, ast.Constant):
        return node.value if isinstance(node.value, str) else None
    if isinstance(node, ast.Name):
        return known.get(node.id)
    if isinstance(node, ast.FormattedValue):
        return _template(node.value, known) or "{}"
    if isinstance(node, ast.JoinedStr):
        return "".join(_template(one, known) or "" for one in node.values)
    if isinstance(node, ast.BinOp) and isinstance(node.op, ast.Add):
        left, right = _template(node.left, known), _template(node.right, known)
        return None if left is None or right is None else left + right
    return None


def catalog_path(language: str, domain: str = WORDS) -> Path:
    """Where a catalog of a language is kept."""
    return PACKETS / "locales" / language / "LC_MESSAGES" / f"{domain}.po"


def read_catalog(language: str, domain: str = WORDS) -> Catalog:
    """A catalog of a language; an empty one where there is none yet. Raises for one that is not well-formed."""
    path = catalog_path(language, domain)
    if not path.exists():
        return Catalog(locale=language)
    with path.open("rb") as text:
        return read_po(text, locale=language, abort_invalid=True)


def renewed(language: str, domain: str = WORDS) -> Catalog:
    """The messages of the code with the translations that the catalog of a language has."""
    kept = read_catalog(language, domain)
    found = Catalog(locale=language)
    for name, message in messages() if domain == WORDS else sorted(step_messages(), key=lambda one: one[1]):
        before = kept.get(message[0] if isinstance(message, tuple) else message)
        string = message if language == "en" else before.string if before is not None else ""
        found.add(message, string, locations=[(name, 0)])
    return found


def write_catalog(found: Catalog, domain: str = WORDS) -> None:
    """Write a catalog as it is kept: by file, without places in it, and without the moment of writing."""
    assert found.locale is not None
    header = _HEADER.format(language=found.locale.language, plural_forms=found.plural_forms)
    with catalog_path(found.locale.language, domain).open("wb") as text:
        text.write(header.encode())
        write_po(text, found, width=None, include_lineno=False, omit_header=True)


if __name__ == "__main__":
    for one, domain in CATALOGS:
        catalog = renewed(one, domain)
        write_catalog(catalog, domain)
        missing = [message.id for message in catalog if message.id and not any(message.string)]
        print(f"{one} {domain}: {len(catalog)} messages, {len(missing)} without a translation")
