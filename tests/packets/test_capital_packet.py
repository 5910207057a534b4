"""The capital plan packet of a draft, held against the figures that the API gives for the same plan."""

import json
from collections.abc import Iterator
from decimal import Decimal
from typing import Any
from uuid import UUID

import pytest
from capital_packet_factories import (
    MONEY,
    PLANS,
    PROJECTS,
    a_plan,
    a_plan_project,
    a_whole_plan,
    acted,
    amount,
    amounts,
    an_asset,
    decide,
    got,
    issue,
    packet_of,
    usd,
)
from conftest import Api
from swardcost_api.packets.capital import packet as capital_packet
from swardcost_api.packets.document import Chart, SignOff
from swardcost_api.packets.relations import Columns, Ratio, SameAs
from swardcost_api.packets.values import Measured, Share
from swardcost_api.storage.work import OPERATOR, UnitOfWork
from swardcost_model.packets import NewPacket, PacketKind
from swardcost_model.problems import ProblemError
from swardcost_model.values import Money


def test_the_years_are_those_of_the_figures_to_the_cent_and_follow_from_each_other(api: Api) -> None:
    plan, _ = a_whole_plan(api)
    figures = got(api, f"{PLANS}/{plan['id']}/figures")
    packet = packet_of(api, plan)
    years = figures["years"]
    for column, field in (
        ("opening", "opening"), ("interest", "interest"), ("capital_spending", "capital_spending"),
        ("operating_spending", "operating_spending"), ("spending", "spending"), ("closing", "closing"),
        ("drawn", "loans_drawn"), ("payments", "loan_payments"),
    ):  # fmt: skip
        assert packet.column("plan-by-year", column)[:-1] == amounts(years, field), column
    incomes = ("contributions", "dues", "initiation_fees", "assessments")
    assert packet.column("plan-by-year", "income")[:-1] == [
        sum(Decimal(one[kind]["amount"]) for kind in incomes) for one in years
    ]
    assert packet.cell("plan-by-year", "total", "spending") == amount(figures["spent_over_plan"])
    closing = packet.table("plan-by-year").cell("y2031", "closing")
    assert closing.computed == Columns(("opening", "income", "drawn", "interest"), ("spending", "payments"))
    assert packet.table("plan-by-year").cell("y2031", "opening").computed == SameAs(
        "plan-by-year", "y2030", "closing"
    )
    assert packet.column("reserve-and-floor", "floor") == amounts(years, "floor")
    assert packet.column("reserve-and-floor", "full") == amounts(years, "fully_funded")
    funded = packet.table("reserve-and-floor").cell("y2031", "funded")
    assert (funded.value, funded.computed) == (
        Share(Decimal(years[4]["percent_funded"])), Ratio("closing", "full", 2)
    )  # fmt: skip
    assert packet.column("limits", "closed") == [one["closure_days"] for one in years]
    assert packet.column("limits", "limit") == amounts(years, "spending_limit")


def test_every_project_stands_in_its_line_with_its_cost_and_score(api: Api) -> None:
    plan, _ = a_whole_plan(api)
    figures = got(api, f"{PLANS}/{plan['id']}/figures")
    packet = packet_of(api, plan)
    projects = figures["projects"]
    assert packet.column("projects-by-line", "cost")[:-1] == amounts(projects, "cost")
    assert packet.column("projects-by-line", "then")[:-1] == amounts(projects, "cost_at_price_year")
    assert packet.column("projects-by-line", "name")[0] == "1. Irrigation"
    assert packet.column("projects-by-line", "years")[:4] == ["2029 to 2030", "2028", "2028", "not dated"]
    assert packet.column("projects-by-line", "kind")[:3] == ["Capital", "Capital", "Operating"]
    assert packet.column("projects-by-line", "from")[:2] == ["stated", "its assets"]
    assert packet.cell("projects-by-line", "p1", "score") == Measured(Decimal("7.50"), "each")
    assert packet.cell("projects-by-line", "p4", "score") is None
    notes = " ".join(packet.table("projects-by-line").notes)
    assert "Without a cost, and so in no sum: 5. Old pumps." in notes
    assert "Without a year, and so in no sum of costs as dated: 4. Not dated." in notes


def test_the_work_of_a_year_sums_to_its_spending(api: Api) -> None:
    plan, _ = a_whole_plan(api)
    packet = packet_of(api, plan)
    work = packet.table("work-by-year")
    assert [one.key for one in work.rows if one.key.startswith("y2028")] == ["y2028-head", "y2028-all"]
    for year in range(2027, 2037):
        spent = packet.cell("plan-by-year", f"y{year}", "spending")
        if f"y{year}-all" in work.row_index:
            assert packet.cell("work-by-year", f"y{year}-all", "cost") == spent
        else:
            assert spent == 0
    assert packet.cell("work-by-year", "total", "cost") == packet.cell("plan-by-year", "total", "spending")
    assert packet.cell("work-by-year", "p1-1", "phase") == "1. Irrigation, phase 1"
    assert packet.cell("work-by-year", "p1-1", "closed") == 30
    assert packet.cell("work-by-year", "p4-1", "cost") is None


def test_the_plan_in_short_says_what_the_figures_say(api: Api) -> None:
    plan, _ = a_whole_plan(api, money=MONEY | {"least_balance": usd("900000.00")})
    figures = got(api, f"{PLANS}/{plan['id']}/figures")
    packet = packet_of(api, plan)
    years = figures["years"]
    least = min(years, key=lambda one: (Decimal(one["closing"]["amount"]), one["year"]))
    first_below = next(one for one in years if one["below_floor"])
    short = Decimal(first_below["floor"]["amount"]) - Decimal(first_below["closing"]["amount"])
    spending, reserve, funding = packet.paragraphs("lead")
    assert f"${Decimal(figures['spent_over_plan']['amount']):,} on 4 projects" in spending
    assert (
        f"first at the end of {first_below['year']}, by ${short:,}; it is least at the end of {least['year']}"
        in reserve
    )
    assert f"{years[0]['percent_funded']}%" in funding
    assert f"{years[-1]['percent_funded']}%" in funding
    spent, lowest, funded = packet.document.figures[:3]
    assert (spent.value, lowest.value) == (
        Money(amount=Decimal(figures["spent_over_plan"]["amount"]), currency="USD"),
        Money(amount=Decimal(least["closing"]["amount"]), currency="USD"),
    )
    assert lowest.why == f"y{least['year']}"
    assert funded.value == Share(Decimal(years[-1]["percent_funded"]))


def test_what_is_asked_follows_from_how_far_the_plan_has_come(api: Api) -> None:
    plan, _ = a_whole_plan(api)
    assert "no decision is asked for yet" in packet_of(api, plan).paragraphs("ask")[0]
    own = packet_of(api, plan, decision_asked="Raise the dues by 3 percent?")
    assert own.paragraphs("ask") == ["Raise the dues by 3 percent?"]
    assert "no decision is asked for yet" in own.paragraphs("plain")[0]
    issue(api, plan)
    assert packet_of(api, plan).paragraphs("ask") == [
        "To be decided line by line: approve, defer or decline each of the 6 projects."
    ]
    decide(api, plan, {1: {"decided": "approved"}, 3: {"decided": "declined"}}, lock=False)
    (asked,) = packet_of(api, plan).paragraphs("ask")
    assert asked.endswith("Approved: 1. Deferred: 0. Declined: 1. 4 projects wait for a decision.")
    decide(api, plan, {number: {"decided": "approved"} for number in (2, 4, 5, 6)}, lock=False)
    assert packet_of(api, plan).paragraphs("ask") == [
        "To be locked: every project of the plan is decided. Approved: 5. Deferred: 0. Declined: 1."
    ]
    decide(api, plan, {})
    (asked,) = packet_of(api, plan).paragraphs("ask")
    assert asked.startswith("Decided: the plan was locked on ")
    assert "Approved: 6." in asked


def test_the_least_contribution_is_that_of_the_api(api: Api) -> None:
    plan, _ = a_whole_plan(api)
    packet = packet_of(api, plan)
    least = got(api, f"{PLANS}/{plan['id']}/least-contribution?percent_a_year=2.5")
    assert packet.column("contributions", "least") == amounts(least["years"], "contribution")
    assert packet.column("contributions", "closing") == amounts(least["years"], "closing")
    assert packet.cell("contributions", "y2027", "more") == amount(least["more_than_today"])
    assert any(
        f"{least['binding_year']} is the year that requires it." in one for one in packet.paragraphs("plain")
    )


def test_a_years_delay_is_that_of_the_api_and_no_upkeep_is_not_zero(api: Api) -> None:
    plan, _ = a_whole_plan(api)
    packet = packet_of(api, plan)
    items = got(api, f"{PLANS}/{plan['id']}/deferrals?years=1")["items"]
    for column, field in (("growth", "growth"), ("interest", "interest_kept"), ("net", "net")):
        assert packet.column("delays", column) == amounts(items, field)
    assert packet.column("delays", "upkeep") == [
        amount(one["upkeep"]) if one["upkeep_stated"] else None for one in items
    ]
    assert packet.table("delays").cell("p1", "net").computed == Columns(("growth", "upkeep"), ("interest",))
    assert packet.table("delays").cell("p2", "net").computed == Columns(("growth",), ("interest",))


def test_assets_due_stand_with_what_replaces_them_and_gaps_are_told(api: Api) -> None:
    plan, _ = a_whole_plan(api)
    packet = packet_of(api, plan)
    rows = packet.table("assets-due").rows
    assert packet.column("assets-due", "due") == ["2028", "2028", "2031", None]
    assert packet.column("assets-due", "cost") == [Decimal(180000), None, Decimal(180000), Decimal(360000)]
    assert packet.column("assets-due", "project")[:3] == [
        "2. Pumps, 2028",
        "5. Old pumps, 2033",
        "No project",
    ]
    assert [one.cells[5].value for one in rows[:3]] == ["Not looked at"] * 3
    texts = packet.texts()
    assert "4. Not dated: not dated; it is in no year and no sum." in texts
    assert (
        "5. Old pumps: no cost, since it is not known what another one costs of: PUMP-2 Pumps PUMP-2."
        in texts
    )
    assert "3. Benches: not scored by Safety." in texts
    assert (
        "PUMP-2 Pumps PUMP-2: in no fully funded balance, since it is not known what another one costs."
        in texts
    )
    assert any(
        "begins in 2028; 1. Irrigation, which it needs first, lets it begin in 2030" in one for one in texts
    )
    assert "Required, and not dated: 4. Not dated." in texts
    assert any("no dated project replaces them: PUMP-3 Pumps PUMP-3, in 2031" in one for one in texts)


def test_the_condition_of_an_asset_is_told_with_who_looked_and_when(api: Api) -> None:
    condition = {
        "grade": 2,
        "on": "2026-04-20",
        "by": "J. Alder",
        "years_left": "1.5",
        "note": "Rust at the footing",
    }
    plan = a_plan(api)
    body = {"code": "B-1", "name": "Bridge", "kind": "bridge", "condition": condition,
            "replacement": {"by": "stated", "cost": usd("88000.00")}}  # fmt: skip
    api.created("/assets", body)
    packet = packet_of(api, plan)
    (first, _) = packet.column("assets-due", "condition")
    assert first == "2 of 5, poor, April 20, 2026, J. Alder; judged to last 1.5 years more"
    assert packet.table("assets-due").rows[0].note == "Rust at the footing"


@pytest.mark.parametrize("years", [1, 10])
def test_an_empty_plan_says_so(api: Api, years: int) -> None:
    plan = a_plan(api, money={"opening_reserve": usd("0.00")}, growth_groups=[], criteria=[], years=years)
    packet = packet_of(api, plan)
    texts = packet.texts()
    no_projects = "The plan has no projects yet."
    assert packet.paragraphs("lead")[0] == no_projects
    assert packet.paragraphs("lead")[2] == (
        "How well the reserve is funded is not known: the register has no assets."
    )
    assert f"{no_projects} The register has no assets." in texts
    assert texts.count(no_projects) == 3
    assert "Nothing is spent on projects." in texts
    assert not any("Nothing is missing" in one or "every project" in one.lower() for one in texts)
    assert "spending-bars" not in [one.id for one in packet.document.charts]
    assert "funding" not in packet.sections()
    assert packet.column("limits", "days") == [25] * years
    assert not packet.has("assets-due")
    assert packet.column("scenario-totals", "name") == ["As dated", "Least contribution"]
    assert (
        "No income, assessment or loan is stated, and the reserve is empty: the plan has no money." in texts
    )


def test_a_plan_of_one_year_speaks_of_one_year(api: Api) -> None:
    pumps = an_asset(api, "PUMP-1", in_use_since=2010)
    an_asset(api, "PUMP-2", in_use_since=2020)
    plan = a_plan(
        api, years=1, price_year=None, growth_percent="0", growth_groups=[], criteria=[],
        money={
            "opening_reserve": usd("200000.00"), "least_balance": usd("50000.00"),
            "spending_limit": usd("300000.00"), "spending_limit_percent_a_year": "3",
        },
    )  # fmt: skip
    a_plan_project(api, plan, "Pumps", None, asset_ids=[pumps["id"]], year=2027)
    packet = packet_of(api, plan)
    spending, reserve, funding = packet.paragraphs("lead")
    assert spending == "In 2027 the plan spends $180,000.00 on one project."
    assert reserve == (
        "At the end of 2027 the reserve holds $20,000.00, which is $30,000.00 below its floor of $50,000.00."
    )
    assert funding.startswith("At the end of 2027 the reserve holds ")
    texts = packet.texts()
    assert (
        "The least contribution that keeps the reserve at or above the floor of $50,000.00 at the end of 2027 is "
        "$30,000.00."
    ) in texts
    assert "A bar of what is spent on projects: $180,000.00 in 2027." in texts
    for odd in ("2027 to 2027", " in every year", "some year", "first at the end"):
        assert not [one for one in texts if odd in one], odd
    assert {one.id for one in packet.document.charts}.isdisjoint(
        {"reserve-curve", "funded-curve", "scenario-curves"}
    )
    assert packet.document.figures[1].label == "Reserve at the end of 2027"


def test_a_project_says_which_assets_it_replaces_and_when_they_are_due(api: Api) -> None:
    old, pumps = an_asset(api, "PUMP-0", in_use_since=1999), an_asset(api, "PUMP-1", in_use_since=2010)
    unknown = an_asset(api, "PUMP-2", in_use_since=None)
    plan = a_plan(api, criteria=[])
    acted(api, f"{PLANS}/{plan['id']}/projects/from-assets")
    a_plan_project(api, plan, "All", asset_ids=[one["id"] for one in (old, pumps, unknown)], note="Ask twice")
    for locale, overdue, every in (
        ("en-US", "Replaces: PUMP-0 Pumps PUMP-0, overdue since 2019.",
         "Replaces: PUMP-0 Pumps PUMP-0, overdue since 2019; PUMP-1 Pumps PUMP-1, due in 2030; PUMP-2 Pumps PUMP-2, "
         "not known when due. Ask twice."),
        ("es-ES", "Repone: PUMP-0 Pumps PUMP-0, con atraso desde 2019.", None),
        ("fr-FR", "Remplace\u202f: PUMP-0 Pumps PUMP-0, en retard depuis 2019.", None),
    ):  # fmt: skip
        rows = packet_of(api, plan, locale).table("projects-by-line").rows
        assert rows[0].note == overdue
        assert every is None or rows[2].note == every


def test_a_floor_of_zero_is_running_out(api: Api) -> None:
    plan = a_plan(api, money={"opening_reserve": usd("50000.00")}, growth_percent="0", price_year=None)
    a_plan_project(api, plan, "Bridge", "60000.00", year=2029)
    packet = packet_of(api, plan)
    assert packet.paragraphs("lead")[1] == (
        "The reserve runs out: first at the end of 2029, by $10,000.00; it is least at the end of 2029, "
        "with -$10,000.00."
    )


def amount_axes(drawn: Any) -> Iterator[Any]:
    """The upright axes of a chart and of its layers."""
    if "y" in drawn.get("encoding", {}):
        yield drawn["encoding"]["y"]
    for layer in drawn.get("layer", []):
        yield from amount_axes(layer)


def test_every_chart_has_its_data_beside_it_and_begins_at_zero(api: Api) -> None:
    plan, _ = a_whole_plan(api)
    packet = packet_of(api, plan)
    charts = {one.id: one for one in packet.document.parts if isinstance(one, Chart)}
    assert list(charts) == [
        "reserve-curve",
        "spending-bars",
        "funded-curve",
        "scenario-curves",
        "futures-fan",
    ]
    for chart in charts.values():
        assert len(chart.data.rows) == 10
        assert chart.alternative
        axes = list(amount_axes(json.loads(chart.specification)))
        assert axes
        assert all(one.get("scale", {}).get("zero", True) for one in axes)
    lines = json.loads(charts["reserve-curve"].specification)["layer"][1]
    assert lines["encoding"]["y"]["stack"] is None
    whole = json.loads(charts["spending-bars"].specification)
    bars = whole["layer"][0]
    assert bars["encoding"]["y"]["stack"] == "zero"
    drawn = sum(one["amount"] for one in whole["datasets"][bars["data"]["name"]])
    assert drawn == pytest.approx(float(packet.cell("plan-by-year", "total", "spending")))


def test_the_plan_of_another_club_is_not_found(api: Api) -> None:
    plan = a_plan(api)
    stranger = api.of_new_club("briar-hill")
    asked = NewPacket(kind=PacketKind.CAPITAL_PLAN, subject_id=UUID(plan["id"]))
    with stranger.database.reading() as session, pytest.raises(ProblemError) as refused:
        capital_packet.read(UnitOfWork(session, stranger.club, OPERATOR, api.clock()), asked)
    assert refused.value.kind.slug == "not-found"


def test_the_sign_off_names_who_issued_and_who_is_to_sign(api: Api) -> None:
    plan, _ = a_whole_plan(api)
    issue(api, plan)
    (sign_off,) = (one for one in packet_of(api, plan).document.parts if isinstance(one, SignOff))
    assert [one.role for one in sign_off.signatures] == [
        "Issued by",
        "For the finance committee",
        "For the board",
    ]
    assert sign_off.signatures[0].name


def test_a_reason_that_ends_without_a_full_stop_gets_one(api: Api) -> None:
    plan, projects = a_whole_plan(api)
    issue(api, plan)
    acted(api, f"{PROJECTS}/{projects[0]['id']}/decide", decided="approved", conditions="If the dues rise")
    packet = packet_of(api, plan)
    assert packet.table("projects-by-line").rows[0].note == "Conditions: If the dues rise."
    assert packet.cell("decisions-by-line", "p1", "conditions") == "If the dues rise"
    assert packet.cell("projects-by-line", "p1", "decision") == "Approved with conditions"
