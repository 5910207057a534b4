"""The estimate packet in every language, with hostile names and any figures: it holds together and harms nothing."""

import re
from collections.abc import Callable
from dataclasses import replace
from decimal import ROUND_HALF_UP, Decimal
from enum import StrEnum

import pytest
from babel import Locale
from conftest import Api
from estimate_packet_factories import (
    HOSTILE,
    SCRIPT,
    a_programme,
    as_document,
    facts_of,
    packet_of,
    simulated,
    uncertain,
)
from hypothesis import given, settings
from hypothesis import strategies as st
from swardcost_api.methods.registry import METHODS
from swardcost_api.packets.composing import Writing
from swardcost_api.packets.estimate import packet as estimate_packet
from swardcost_api.packets.estimate.check_words import check_question, check_state_name
from swardcost_api.packets.estimate.method_cautions import is_known, told_cautions
from swardcost_api.packets.faces.csv_face import csv_of
from swardcost_api.packets.faces.html_face import html_of
from swardcost_api.packets.formatter import Formatter
from swardcost_api.packets.trade_words import (
    alternate_kind_name,
    area_kind_name,
    item_kind_name,
    markup_name,
    part_name,
    source_name,
)
from swardcost_api.packets.values import number_of
from swardcost_api.packets.wording import words_for
from swardcost_model.alternates import AlternateKind
from swardcost_model.catalog import ItemKind, PriceSource
from swardcost_model.course import AreaKind
from swardcost_model.estimate_quality import CheckId, CheckState
from swardcost_model.estimates import EstimateWarning, LinePart, MarkupKind, Subtotals, WarningKind
from swardcost_model.values import Money

LOCALES = ("en-US", "en-CA", "fr-CA", "fr-FR", "es-MX", "de-DE", "ja-JP")
ENGLISH = words_for(Locale("en"))
NAMES: list[tuple[type[StrEnum], Callable[..., str]]] = [
    (LinePart, part_name), (MarkupKind, markup_name), (PriceSource, source_name), (ItemKind, item_kind_name),
    (AreaKind, area_kind_name), (AlternateKind, alternate_kind_name), (CheckState, check_state_name),
    (CheckId, lambda words, check: check_question(words, check, "60%")),
]  # fmt: skip


@pytest.mark.parametrize(("kinds", "named"), NAMES)
def test_everything_that_can_be_named_has_a_name_of_its_own(
    kinds: type[StrEnum], named: Callable[..., str]
) -> None:
    names = [named(ENGLISH, one) for one in kinds]
    assert len(set(names)) == len(names)
    assert all("_" not in name and "%(" not in name for name in names)


def test_every_caution_of_a_method_can_be_told_in_every_language() -> None:
    cautions = [one for method in METHODS.values() for one in method.cautions]
    assert len(cautions) > 100
    assert [one for one in cautions if not is_known(one)] == []
    assert told_cautions(ENGLISH, ["Of the club", *cautions]) == ["Of the club", *cautions]


def test_every_language_tells_the_same_figures(api: Api) -> None:
    estimate = a_programme(api, straw=True)
    uncertain(api, estimate)
    simulated(api, estimate)
    packets = {locale: packet_of(api, estimate, locale) for locale in LOCALES}
    said = {
        locale: [
            (table.id, row.key, number_of(cell.value))
            for table in packet.document.tables for row in table.rows for cell in row.cells
        ]
        for locale, packet in packets.items()
    }  # fmt: skip
    assert len(said["en-US"]) > 200
    for locale, packet in packets.items():
        assert said[locale] == said["en-US"], locale
        assert [text for text in packet.texts() if "%(" in text] == [], locale


def test_hostile_names_harm_nothing(api: Api) -> None:
    for first, second in zip(HOSTILE[::2], HOSTILE[1::2], strict=True):
        estimate = a_programme(api, names=(first, second, f"{first[:90]} {second[:90]}", SCRIPT))
        uncertain(api, estimate)
        packet = packet_of(api, estimate)
        assert packet.says(first)
        assert packet.says(second)
        assert SCRIPT not in html_of(packet.document)
        cells = [cell for line in csv_of(packet.document).splitlines() for cell in line.split(",")]
        assert not [cell for cell in cells if re.match(r'"?(=1|\+c|@S)', cell)]


@pytest.mark.parametrize("kind", list(WarningKind))
@pytest.mark.parametrize("placed", [True, False])
def test_every_warning_is_said_in_words_of_its_own(api: Api, kind: WarningKind, placed: bool) -> None:
    facts, club = facts_of(api, a_programme(api))
    line = facts.lines[0]
    about = {"line": line.number, "scope_item_id": line.scope_item_id} if placed else {}
    warning = EstimateWarning(kind=kind, message="in the words of the service", gap=True, **about)
    changed = facts.estimate.model_copy(update={"warnings": [warning, warning]})
    content = estimate_packet.compose(replace(facts, estimate=changed), Writing(club, Formatter("en-US"), ""))
    packet = as_document(content, club, "en-US", api)
    plain = as_document(
        estimate_packet.compose(facts, Writing(club, Formatter("en-US"), "")), club, "en-US", api
    )
    more = [text for text in packet.texts() if text not in plain.texts()]
    assert not packet.says("in the words of the service")
    assert more
    assert all("%(" not in text and "None" not in text for text in more)
    if placed and kind is not WarningKind.MISSING_SIZE:
        assert any(line.scope_item in text for text in more)


AMOUNTS = st.tuples(
    st.decimals("0.01", "99999", places=2), st.decimals("0.000001", "9999", places=6), st.booleans()
)


def test_any_quantities_and_prices_make_a_packet_that_holds_together(api: Api) -> None:
    facts, club = facts_of(api, a_programme(api))
    writing = Writing(club, Formatter("en-US"), "")
    nothing = Subtotals(by_hole=[], by_area_kind=[], by_item_kind=[], by_account=[], by_scope_item=[])

    @given(st.lists(AMOUNTS, min_size=len(facts.lines), max_size=len(facts.lines)))
    @settings(max_examples=25)
    def holds(numbers: list[tuple[Decimal, Decimal, bool]]) -> None:
        lines, total = [], Decimal("0.00")
        for line, (quantity, price, known) in zip(facts.lines, numbers, strict=True):
            amount = (quantity * price).quantize(Decimal("0.01"), ROUND_HALF_UP)
            total += amount if known else 0
            money = dollars(amount) if known else None
            changes = {
                "quantity": quantity, "unit_price": dollars(price) if known else None, "amount": money,
                "cash_amount": money, "low_amount": money, "high_amount": money,
            }  # fmt: skip
            lines.append(line.model_copy(update=changes))
        direct = dollars(total)
        same = dict.fromkeys(("direct", "total", "cash_total", "low_total", "high_total"), direct)
        changed = facts.estimate.model_copy(
            update=same | {"markups": [], "alternates": [], "subtotals": nothing}
        )
        quality = facts.quality.model_copy(update={"price_sources": []})
        other = replace(facts, lines=lines, estimate=changed, quality=quality)
        packet = as_document(estimate_packet.compose(other, writing), club, "en-US", api)
        any_known = any(known for _, _, known in numbers)
        due = total if any_known else None
        assert number_of(packet.value("total-cost", "total", "amount")) == due
        if not any_known:
            return
        wrong = changed.model_copy(update={"direct": dollars(total + Decimal("0.01"))})
        content = estimate_packet.compose(replace(other, estimate=wrong), writing)
        with pytest.raises(ValueError, match="computed"):
            as_document(content, club, "en-US", api)

    holds()


def dollars(amount: Decimal) -> Money:
    return Money.model_construct(amount=amount, currency="USD")
