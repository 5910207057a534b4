"""The catalogs of packets' words, renewed from the code: `make words`.

New messages come in without a translation, which `test_packet_wording.py` tells of; what the code no longer says goes
out; English is what the code says. A translation is typed into the catalog of its language.
"""

from collections.abc import Iterator, Mapping
from importlib.resources import files
from pathlib import Path

from babel.messages.catalog import Catalog
from babel.messages.extract import extract_from_dir
from babel.messages.pofile import read_po, write_po
from swardcost_api.packets.wording import LANGUAGES

PACKETS = Path(str(files("swardcost_api.packets")))
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


def catalog_path(language: str) -> Path:
    """Where the catalog of a language is kept."""
    return PACKETS / "locales" / language / "LC_MESSAGES" / "packets.po"


def read_catalog(language: str) -> Catalog:
    """The catalog of a language. Raises for one that is not well-formed."""
    with catalog_path(language).open("rb") as text:
        return read_po(text, locale=language, abort_invalid=True)


def renewed(language: str) -> Catalog:
    """The messages of the code with the translations that the catalog of a language has."""
    kept = read_catalog(language)
    found = Catalog(locale=language)
    for name, message in messages():
        before = kept.get(message[0] if isinstance(message, tuple) else message)
        string = message if language == "en" else before.string if before is not None else ""
        found.add(message, string, locations=[(name, 0)])
    return found


def write_catalog(found: Catalog) -> None:
    """Write a catalog as it is kept: by file, without places in it, and without the moment of writing."""
    assert found.locale is not None
    header = _HEADER.format(language=found.locale.language, plural_forms=found.plural_forms)
    with catalog_path(found.locale.language).open("wb") as text:
        text.write(header.encode())
        write_po(text, found, width=None, include_lineno=False, omit_header=True)


if __name__ == "__main__":
    for one in LANGUAGES:
        catalog = renewed(one)
        write_catalog(catalog)
        missing = [message.id for message in catalog if message.id and not any(message.string)]
        print(f"{one}: {len(catalog)} messages, {len(missing)} without a translation")
