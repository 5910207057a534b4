"""What a capital plan packet says in other languages, in other currencies, and with names that mean harm."""

import re
from decimal import Decimal
from itertools import count

import pytest
from capital_packet_factories import (
    PLANS,
    a_plan,
    a_plan_project,
    a_season,
    a_whole_plan,
    got,
    packet_of,
    usd,
)
from conftest import Api
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

_NUMBERS = count(1)
HOSTILE = [
    "<script>alert(1)</script>", "=1+1", "+cmd|' /C calc'!A0", "@sum(A1)", "\u202eright to left", "%(total)s %s 100%",
    "a" * 200,
]  # fmt: skip


@pytest.mark.parametrize("locale", ["en-US", "en-GB", "fr-CA", "fr-FR", "es-MX", "es-ES", "de-DE", "ja-JP"])
def test_every_language_is_composed_with_the_same_figures(api: Api, locale: str) -> None:
    plan, _ = a_season(api)
    first, other = packet_of(api, plan), packet_of(api, plan, locale)
    assert other.sections() == first.sections()
    assert [one.id for one in other.document.tables] == [one.id for one in first.document.tables]
    for table in first.document.tables:
        for column in table.columns:
            if column.kind.numeric:
                assert other.column(table.id, column.key) == first.column(table.id, column.key), (
                    table.id,
                    column.key,
                )
    assert not [one for one in other.texts() if re.search(r"%\(\w+\)s", one)]


def test_sentences_are_the_packets_own_and_not_those_of_the_service(api: Api) -> None:
    """The service speaks English; a packet may not repeat it, or it would in other languages too."""
    plan, _ = a_season(api)
    said = set(packet_of(api, plan).texts())
    path = f"{PLANS}/{plan['id']}"
    for answer, names in (
        ("figures", ("conclusions", "cautions", "method")), ("least-contribution", ("conclusions", "cautions")),
        ("deferrals", ("cautions",)), ("standing?through=2026-12", ("conclusions", "method")),
    ):  # fmt: skip
        found = got(api, f"{path}/{answer}")
        spoken = {sentence for name in names for sentence in found[name]}
        assert spoken
        assert not said & spoken, answer


def test_names_that_mean_harm_stand_as_they_were_typed(api: Api) -> None:
    plan = a_plan(api, name=HOSTILE[0], note=HOSTILE[5])
    for place, name in enumerate(HOSTILE):
        a_plan_project(api, plan, name, year=2028 + place, note=HOSTILE[5], together_with=name)
    packet = packet_of(api, plan)
    assert packet.document.title == HOSTILE[0]
    assert packet.column("projects-by-line", "name")[:-1] == [
        f"{place}. {name}" for place, name in enumerate(HOSTILE, start=1)
    ]
    assert HOSTILE[5] in packet.texts()


def test_a_currency_without_cents_is_summed_in_whole_units(api: Api) -> None:
    tokyo = api.of_new_club("east-lake", "JPY")
    yen = {"opening_reserve": {"amount": "40000000", "currency": "JPY"}, "interest_percent": "1.3"}
    plan = a_plan(tokyo, money=yen, capital_threshold=None)
    cost = {"amount": "12345678", "currency": "JPY"}
    tokyo.created(f"{PLANS}/{plan['id']}/projects", {"name": "Bridge", "cost": cost, "year": 2030})
    packet = packet_of(tokyo, plan, "ja-JP")
    figures = got(tokyo, f"{PLANS}/{plan['id']}/figures")
    assert packet.cell("plan-by-year", "total", "spending") == Decimal(figures["spent_over_plan"]["amount"])
    assert packet.cell("plan-by-year", "total", "spending") == int(
        packet.cell("plan-by-year", "total", "spending")
    )
    assert any("Counted as capital, though nothing says so: 1. Bridge." in one for one in packet.texts())


def test_every_figure_that_names_a_derivation_has_one_with_steps(api: Api) -> None:
    plan, _ = a_whole_plan(api)
    packet = packet_of(api, plan)
    named = {
        cell.why for table in packet.document.tables for row in table.rows for cell in row.cells if cell.why
    }
    named |= {one.why for one in packet.document.figures if one.why}
    found = {one.id: one for one in packet.document.derivations}
    assert named == set(found)
    assert all(one.steps and one.title for one in found.values())
    closing = found["y2030"].steps
    assert [one.name for one in closing][:2] == ["Contribution", "Dues"]
    assert any(one.value == packet.table("plan-by-year").cell("y2030", "closing").value for one in closing)
    assert "project-1" in found
    assert "least-contribution" in found


@settings(max_examples=12, deadline=None, suppress_health_check=list(HealthCheck))
@given(
    costs=st.lists(st.integers(1, 90_000_000), min_size=1, max_size=5), opening=st.integers(0, 90_000_000),
    growth=st.integers(-5, 12), places=st.lists(st.integers(0, 9), min_size=5, max_size=5),
)  # fmt: skip
def test_any_plan_makes_a_document_that_does_not_contradict_itself(
    api: Api, costs: list[int], opening: int, growth: int, places: list[int]
) -> None:
    """Totals, differences, ratios and repeated figures are checked when the document is built."""
    plan = a_plan(
        api, name=f"Plan {next(_NUMBERS)}", growth_percent=str(growth), criteria=[],
        money={"opening_reserve": usd(f"{opening / 100:.2f}"), "interest_percent": "2.35"},
    )  # fmt: skip
    for number, (cost, place) in enumerate(zip(costs, places, strict=False)):
        a_plan_project(api, plan, f"Project {number}", f"{cost / 100:.2f}", year=2027 + place)
    packet = packet_of(api, plan)
    spent = got(api, f"{PLANS}/{plan['id']}/figures")["spent_over_plan"]["amount"]
    assert packet.cell("work-by-year", "total", "cost") == Decimal(spent)
