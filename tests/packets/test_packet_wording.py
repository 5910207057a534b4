"""Words, digits, days and units of packets in the languages and countries of their readers."""

import ast
import re
from datetime import UTC, date, datetime
from decimal import Decimal
from pathlib import Path

import pytest
import swardcost_api
from babel import Locale
from hypothesis import given, settings
from hypothesis import strategies as st
from swardcost_api.packets.formatter import Formatter
from swardcost_api.packets.unit_names import NAMELESS, NAMES, reader_unit, unit_name
from swardcost_api.packets.values import Measured, MonthOf, UnitPrice
from swardcost_api.packets.wording import LANGUAGES, words_for
from swardcost_api.units import UNITS
from swardcost_model.access import Ton, UnitSystem
from swardcost_model.values import Money
from word_catalogs import PACKETS, messages, read_catalog, renewed

N = "\u00a0"
SERVICE = Path(swardcost_api.__file__).parent

# CLDR, charts of number and currency patterns: marks of groups and decimals, the place of the currency and its sign,
# and the blank between a code and a digit. The browser's own tables are asked too (test_packet_browsing.py).
FORMS = {
    "en-US": ("1,234,567.891", "-$1,234.50", "¥1,235", "7.25%"),
    "en-CA": ("1,234,567.891", "-US$1,234.50", "JP¥1,235", "7.25%"),
    "fr-CA": (f"1{N}234{N}567,891", f"-1{N}234,50{N}${N}US", f"1{N}235{N}¥", f"7,25{N}%"),
    "de-DE": ("1.234.567,891", f"-1.234,50{N}$", f"1.235{N}¥", f"7,25{N}%"),
    "es-MX": ("1,234,567.891", f"-USD{N}1,234.50", f"JPY{N}1,235", "7.25%"),
    "ja-JP": ("1,234,567.891", "-$1,234.50", "￥1,235", "7.25%"),
}


def money(amount: str, currency: str) -> Money:
    return Money.model_validate({"amount": amount, "currency": currency})


@pytest.mark.parametrize("locale", FORMS)
def test_numbers_have_the_forms_of_their_country(locale: str) -> None:
    formatter = Formatter(locale)
    number, dollars, yen, percent = FORMS[locale]
    assert formatter.number(Decimal("1234567.891")) == number
    assert formatter.money(money("-1234.50", "USD")) == dollars
    assert formatter.money(money("1235", "JPY")) == yen
    assert formatter.percent(Decimal("7.25")) == percent


def test_a_price_keeps_all_its_places_and_says_what_it_buys() -> None:
    price = UnitPrice(Decimal("0.004125"), "USD", "square_foot")
    assert Formatter("en-US").unit_price(price) == "$0.004125 per square foot"
    assert Formatter("fr-CA").unit_price(price) == f"0,004125{N}${N}US par pied carré"
    assert Formatter("es-MX").unit_price(price) == f"USD{N}0.004125 por pie cuadrado"
    assert Formatter("en-US").unit_price(UnitPrice(Decimal("5"), "USD", "each")) == "$5.00"


def test_days_are_written_so_that_nobody_takes_the_month_for_the_day() -> None:
    day = date(2026, 3, 1)
    assert [Formatter(one).day(day) for one in ("en-US", "fr-CA", "es-MX")] == [
        "March 1, 2026", "1er mars 2026", "1 de marzo de 2026",
    ]  # fmt: skip
    assert Formatter("fr-FR").day(date(2026, 3, 11)) == "11 mars 2026"
    assert Formatter("es-MX").month(MonthOf(2026, 3)) == "mar 2026"
    assert (
        Formatter("fr-CA").moment(datetime(2026, 1, 2, 13, 30, tzinfo=UTC)) == "2 janvier 2026, 13 h 30 UTC"
    )


@pytest.mark.parametrize(
    ("locale", "value", "printed"),
    [
        ("en-US", "1", "1 short ton"), ("en-US", "1.0", "1.0 short tons"), ("en-US", "0.5", "0.5 short tons"),
        ("en-US", "0", "0 short tons"), ("fr-CA", "1.5", "1,5 tonne courte"), ("fr-CA", "0", "0 tonne courte"),
        ("fr-CA", "2", "2 tonnes courtes"), ("es-MX", "1.5", "1.5 toneladas cortas"),
        ("es-MX", "1", "1 tonelada corta"),
        ("de-DE", "1.5", "1,5 short tons"),
    ],
)  # fmt: skip
def test_plurals_follow_the_rules_of_the_language(locale: str, value: str, printed: str) -> None:
    assert Formatter(locale).quantity(Measured(Decimal(value), "short_ton")) == printed.replace(" ", N, 1)


@pytest.mark.parametrize("language", ["en", "es", "fr", "de"])
def test_a_ton_is_always_named(language: str) -> None:
    words = words_for(Locale(language))
    tons = [unit for unit in UNITS if "ton" in unit.split("_")]
    names = [unit_name(words, unit, number) for unit in tons for number in (1, 2)]
    assert len(tons) > 5
    assert all(re.search(r"short|metric|long|cort|métri|larg|court|longu", name) for name in names)
    assert len({unit_name(words, unit, 2) for unit in ("short_ton", "metric_ton", "long_ton")}) == 3


def test_every_unit_of_the_service_has_a_name_in_every_language() -> None:
    simple = {part for unit in UNITS for part in unit.split("_per_")} - NAMELESS
    assert simple <= set(NAMES)
    # A unit of an own method is printed as it is called.
    assert unit_name(words_for(Locale("en")), "mulch per tank_load", 2) == "mulch per tank load"


def units_of_steps() -> set[str]:
    """The units that stand in the code, outside packets, as the third argument of a step or of an input of one."""
    found = set()
    for path in sorted(SERVICE.rglob("*.py")):
        if SERVICE / "packets" in path.parents:
            continue
        for call in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(call, ast.Call) and _called(call.func) in {"Step", "Input", "given"}:
                named = [one.value for one in call.keywords if one.arg == "unit"]
                for unit in [*call.args[2:3], *named]:
                    if isinstance(unit, ast.Constant) and isinstance(unit.value, str):
                        found.add(unit.value)
    return found


def _called(function: ast.expr) -> str:
    return ast.unparse(function).rpartition(".")[2]


def test_every_unit_that_steps_carry_has_a_name() -> None:
    units = units_of_steps()
    assert {"year", "percent", "hour", "horsepower", "square_meter"} <= units
    simple = {part for unit in units for part in unit.replace(" per ", "_per_").split("_per_")}
    assert simple - NAMELESS <= set(NAMES)


@pytest.mark.parametrize(
    ("value", "unit", "system", "ton", "read"),
    [
        ("1.5", "square_meter", "us_customary", "short_ton", "square_foot"),
        ("4100", "square_meter", "us_customary", "short_ton", "acre"),
        ("0.5", "acre", "metric", "metric_ton", "square_meter"),
        ("2000", "kilogram", "us_customary", "long_ton", "long_ton"),
        ("40", "short_ton_per_hour", "metric", "metric_ton", "metric_ton_per_hour"),
        ("9000", "square_foot_per_hour", "metric", "metric_ton", "square_meter_per_hour"),
        ("100", "pound_per_cubic_foot", "metric", "metric_ton", "kilogram_per_cubic_meter"),
        ("595000", "kilogram", "metric", "metric_ton", "metric_ton"),
        ("595000", "kilogram", "metric", "short_ton", "short_ton"),
        ("595", "kilogram", "metric", "metric_ton", None),
        ("12346", "square_meter", "metric", "metric_ton", "hectare"),
        ("0.5", "hectare", "metric", "metric_ton", None),
        ("90", "minute", "metric", "metric_ton", None),
        ("3", "load", "metric", "metric_ton", None),
        ("1", "mile", "us_customary", "short_ton", None),
    ],
)
def test_a_reader_gets_the_unit_of_his_trade(
    value: str, unit: str, system: UnitSystem, ton: Ton, read: str | None
) -> None:
    assert reader_unit([Measured(Decimal(value), unit)], system, ton) == read


def test_an_unknown_locale_is_refused() -> None:
    for name in ("xx-YY", "english", ""):
        with pytest.raises(ValueError, match="no locale"):
            Formatter(name)


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_catalog_has_every_message_and_no_other(language: str) -> None:
    found = {message.id: message for message in read_catalog(language) if message.id}
    assert set(found) == {message for _, message in messages()}
    for message in found.values():
        forms = message.string if isinstance(message.string, tuple) else (message.string,)
        assert all(forms), message.id
        assert not message.fuzzy
        sources = message.id if isinstance(message.id, tuple | list) else (str(message.id),)
        for form, source in zip(forms, sources, strict=True):
            names = set(re.findall(r"%\(\w+\)s", str(form)))
            assert names == set(re.findall(r"%\(\w+\)s", source)), message.id


def test_every_sentence_of_the_code_is_found_for_the_catalogs() -> None:
    """What reads the code for messages may miss one; the parsed code is the second opinion."""
    found = {message if isinstance(message, str) else message[0] for _, message in messages()}
    said = {
        call.args[0].value
        for path in PACKETS.rglob("*.py")
        for call in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(call, ast.Call) and getattr(call.func, "attr", getattr(call.func, "id", "")) in ("say", "counted")
        and isinstance(call.args[0], ast.Constant)
    }  # fmt: skip
    assert len(said) > 1000
    assert said <= found


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_catalog_is_as_renewing_it_leaves_it(language: str) -> None:
    kept, again = (
        [(one.id, one.string) for one in source(language) if one.id] for source in (read_catalog, renewed)
    )
    assert kept == again


def test_a_form_that_says_one_in_words_is_not_used_of_none() -> None:
    words = words_for(Locale("fr", "CA"))
    one, many = "One project waits for a decision.", "%(number)s projects wait for a decision."
    none, single, two = (words.counted(one, many, number, number=number) for number in (0, 1, 2))
    assert "1" not in single
    assert none == two.replace("2", "0")


def test_english_is_what_the_code_says() -> None:
    for message in read_catalog("en"):
        if message.id:
            assert message.string == message.id


@settings(deadline=None)
@given(st.decimals(-(10**9), 10**9, places=2), st.sampled_from(sorted(FORMS)))
def test_an_amount_keeps_its_digits_in_every_country(amount: Decimal, locale: str) -> None:
    printed = Formatter(locale).money(money(f"{amount:f}", "USD"))
    assert re.sub(r"\D", "", printed) == f"{abs(amount):.2f}".replace(".", "")
    assert ("-" in printed) == (amount < 0)
