"""The words of packets in the languages that they are written in: gettext catalogs, and English where there is none.

Messages are extracted from the code by the calls `say(...)`, `counted(...)` and `named(...)`.
"""

import gettext
import io
from decimal import Decimal
from functools import cache
from importlib.resources import files

from babel import Locale
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po
from babel.plural import PluralRule

LANGUAGES = ("en", "es", "fr")
"""Languages with a complete catalog."""


def named(one: str, many: str) -> tuple[str, str]:
    """A name with its plural, marked to be translated where it is used."""
    return one, many


class Words:
    """What is said in one language."""

    def __init__(self, locale: Locale, catalog: gettext.NullTranslations) -> None:
        self.locale = locale
        self.language = locale.language
        self._plural: PluralRule = locale.plural_form
        self._catalog = catalog

    def say(self, message: str, /, **values: object) -> str:
        """A message with its values filled in."""
        text = self._catalog.gettext(message)
        return text % values if values else text

    def counted(self, one: str, many: str, number: Decimal | int, /, **values: object) -> str:
        """The form of a message that goes with a number: one mile, 1.5 miles; in French 1,5 mille.

        Which form goes with a number with decimals is told by the plural rules of the locale (CLDR). A form that says
        "one" in words stands for one alone, though a language may have the same for none.
        """
        stands_for = 1 if self._plural(abs(Decimal(number))) == "one" else 2
        text = self._catalog.ngettext(one, many, stands_for)
        if stands_for == 1 and number != 1 and "%(number)s" in many and "%(number)s" not in one:
            text = self._catalog.ngettext(one, many, 2)
        return text % values if values else text


@cache
def words_for(locale: Locale) -> Words:
    """The words for a locale."""
    if locale.language not in LANGUAGES:
        return Words(Locale("en"), gettext.NullTranslations())
    return Words(locale, _catalog(locale.language))


@cache
def _catalog(language: str) -> gettext.NullTranslations:
    source = files("swardcost_api.packets") / "locales" / language / "LC_MESSAGES" / "packets.po"
    with source.open("rb") as text:
        catalog = read_po(text, locale=language, abort_invalid=True)
    compiled = io.BytesIO()
    write_mo(compiled, catalog)
    compiled.seek(0)
    return gettext.GNUTranslations(compiled)
