"""Scenarios and simulated futures in a capital plan packet, held against the answers of the API."""

from decimal import Decimal

import pytest
from capital_packet_factories import (
    MONEY,
    PLANS,
    Packet,
    a_plan,
    a_plan_project,
    a_season,
    a_whole_plan,
    amount,
    amounts,
    decide,
    got,
    issue,
    packet_of,
    usd,
)
from conftest import Api
from estimate_factories import Document
from swardcost_api.packets.document import Figures
from swardcost_api.packets.relations import SameAs
from swardcost_api.packets.values import Measured, Share


def asked(api: Api, plan: Document, what: str, body: Document) -> Document:
    answer = api.post(f"{PLANS}/{plan['id']}/{what}", json=body)
    assert answer.status_code == 200, answer.text
    found: Document = answer.json()
    return found


def texts(packet: Packet) -> str:
    return " ".join(packet.texts())


def test_the_usual_scenarios_are_those_of_the_api(api: Api) -> None:
    plan, _ = a_whole_plan(api)
    packet = packet_of(api, plan)
    least = {"contribution": {"kind": "least", "percent_a_year": "2.5"}}
    found = asked(api, plan, "scenarios", {"scenarios": [
        {"name": "As dated"}, {"name": "Least contribution", "money": least},
        {"name": "A year later", "projects": {"deferred_by": 1}},
        {"name": "Costs grow faster", "money": {"growth_points": "1"}},
    ]})["scenarios"]  # fmt: skip
    assert packet.column("scenario-totals", "name") == [one["name"] for one in found]
    totals = [one["totals"] for one in found]
    for column, field in (
        ("first", "contribution_first_year"), ("contributions", "contributions"), ("spending", "spending"),
        ("least", "least_balance"), ("closing", "closing"),
    ):  # fmt: skip
        assert packet.column("scenario-totals", column) == amounts(totals, field), column
    assert packet.column("scenario-totals", "funded") == [
        Share(Decimal(one["percent_funded"])) for one in totals
    ]
    closing = [Decimal(one["closing"]["amount"]) for one in totals]
    assert packet.column("scenario-totals", "difference") == [one - closing[0] for one in closing]
    for place, one in enumerate(found, start=1):
        assert packet.column("scenario-years", f"s{place}") == amounts(one["years"], "closing")
    assert packet.table("scenario-years").cell("y2030", "s1").computed == SameAs(
        "plan-by-year", "y2030", "closing"
    )
    assert packet.table("scenario-years").cell("y2030", "s3").computed is None
    assert packet.column("scenario-projects", "moved") == [one["projects_moved"] for one in totals]
    assert packet.column("scenario-projects", "cost") == amounts(totals, "cost_of_moving")


def test_a_decided_plan_is_shown_as_decided_too(api: Api) -> None:
    plan, _ = a_season(api)
    packet = packet_of(api, plan)
    found = asked(api, plan, "scenarios", {"scenarios": [{"name": "As decided", "start": "as_decided"}]})
    assert packet.column("scenario-totals", "name")[:2] == ["As dated", "As decided"]
    assert packet.cell("scenario-totals", "s2", "spending") == amount(
        found["scenarios"][0]["totals"]["spending"]
    )


def test_scenarios_that_are_asked_for_take_the_place_of_the_usual(api: Api) -> None:
    plan, projects = a_whole_plan(api)
    loan = MONEY["loans"][0] | {"name": "Second loan", "years": 1}
    packet = packet_of(api, plan, scenarios={"scenarios": [
        {"name": "Lean", "projects": {
            "left_out": [projects[2]["id"]], "deferred_by": 2,
            "moved": [{"project_id": projects[0]["id"], "year": 2031}], "capital_threshold": usd("9000.00"),
        }},
        {"name": "Paid", "money": {
            "contribution": {"kind": "by_percent", "percent": "-10"}, "loans": [loan], "interest_points": "-0.5",
            "assessments": [{"name": "Path", "year": 2028, "amount": usd("50000.00")}], "without_spending_limit": True,
            "least_balance": usd("0.00"),
        }},
        {"name": "Best", "start": "best_timing"},
    ]})  # fmt: skip
    assert packet.column("scenario-totals", "name") == ["Lean", "Paid", "Best"]
    said = texts(packet)
    assert (
        "Lean: Projects as dated. Left out: 3. Benches. Every dated project 2 years later, but those that are moved by "
        "themselves. Moved: 1. Irrigation to 2031. Projects are capital from $9,000.00."
    ) in said
    assert (
        "Paid: Projects as dated. The contribution of every year 10% less. Path: $50,000.00 assessed in 2028. Second "
        "loan: $800,000.00 borrowed in 2029 at 5.75% for a year. The reserve earns less, percentage points a year: "
        "0.5. The floor of the reserve is $0.00. There is no limit of spending."
    ) in said
    assert packet.cell("scenario-totals", "s3", "first") == Decimal(150000)


def test_a_scenario_that_cannot_be_says_so_and_has_no_figures(api: Api) -> None:
    plan = a_plan(api, criteria=[], closure_days_a_year=1)
    a_plan_project(
        api,
        plan,
        "Bridge",
        "60000.00",
        required=True,
        year=2029,
        phases=[{"percent": "100", "closure_days": 9}],
    )
    packet = packet_of(
        api, plan, scenarios={"scenarios": [{"name": "As dated"}, {"name": "Best", "start": "best_timing"}]}
    )
    best = packet.table("scenario-totals").rows[1]
    assert best.cells[1].value is None
    assert best.note == (
        "Not possible: no timing of the projects keeps all of these: the days of closure of 2027 to 2036; 1. Bridge, "
        "which must be done."
    )


def test_a_moved_project_that_cannot_be_placed_is_named(api: Api) -> None:
    plan = a_plan(api)
    bridge = a_plan_project(api, plan, "Bridge", year=2029)
    moved = {"moved": [{"project_id": bridge["id"], "year": 2030}]}
    packet = packet_of(
        api, plan, scenarios={"scenarios": [{"name": "Best", "start": "best_timing", "projects": moved}]}
    )
    assert packet.table("scenario-totals").rows[0].note == (
        "Not possible: these projects are moved, and a best timing cannot place them: 1. Bridge."
    )


def test_what_speaks_against_each_scenario_is_counted_and_told(api: Api) -> None:
    """As many warnings as the API has, but for the scores, of which the packet tells nothing."""
    plan, projects = a_whole_plan(api)
    late = {"moved": [{"project_id": projects[0]["id"], "year": 2036}], "left_out": [projects[1]["id"]]}
    scenarios = {"scenarios": [
        {"name": "As dated"}, {"name": "Late", "projects": late},
        {"name": "Less", "money": {"contribution": {"kind": "by_amount", "amount": usd("-160000.00")}}},
    ]}  # fmt: skip
    said = packet_of(api, plan, scenarios=scenarios).texts()
    for one in asked(api, plan, "scenarios", scenarios)["scenarios"]:
        warned = [words for words in one["warnings"] if "scored by every" not in words]
        told = next(text for text in said if text.startswith(f"{one['name']}, "))
        number = "one warning" if len(warned) == 1 else f"{len(warned)} warnings"
        assert told.startswith(f"{one['name']}, {number}: "), (told, warned)
    (dated_told,) = [text for text in said if text.startswith("As dated, ")]
    # The pumps of 2028 need the irrigation of 2029 a year before them.
    assert "2. Pumps begins in 2028; 1. Irrigation, which it needs first," in dated_told
    assert "Required, and not dated: 4. Not dated." in dated_told
    (late_told,) = [text for text in said if text.startswith("Late, ")]
    assert "Not finished within the plan: 1. Irrigation." in late_told
    (less_told,) = [text for text in said if text.startswith("Less, ")]
    assert "none is left in: 2027 to 2029." in less_told


def test_nothing_speaks_against_scenarios_that_keep_everything(api: Api) -> None:
    plan = a_plan(api, criteria=[], capital_threshold=None)
    a_plan_project(api, plan, "Bridge", "60000.00", year=2029, spending="capital")
    assert "speaks against each scenario" not in texts(packet_of(api, plan))


def test_a_figure_that_is_not_known_has_no_steps(api: Api) -> None:
    plan = a_plan(api)
    a_plan_project(api, plan, "Bridge", "60000.00", year=2029)
    for table in packet_of(api, plan).document.tables:
        for row in table.rows:
            assert not [cell for cell in row.cells if cell.value is None and cell.why is not None], table.id


def test_scenarios_are_refused_where_they_name_what_is_not_there(api: Api) -> None:
    plan, projects = a_whole_plan(api)
    other = a_plan(api, name="Other")
    strange = a_plan_project(api, other, "Elsewhere", year=2028)
    scenarios = {"scenarios": [{"name": "Odd", "projects": {"left_out": [strange["id"]]}}]}
    body = {"kind": "capital_plan", "subject_id": plan["id"], "scenarios": scenarios}
    answer = api.post("/packets", json=body)
    assert answer.status_code == 422, answer.text
    assert answer.json()["faults"][0]["pointer"] == "/scenarios/scenarios/0/projects/left_out/0"
    answer = api.post("/packets", json=body | {"kind": "budget"})
    assert answer.status_code == 422, answer.text
    assert answer.json()["faults"][0]["pointer"] == "/scenarios"
    assert got(api, "/packets")["items"] == []
    scenarios["scenarios"][0]["projects"]["left_out"] = [projects[0]["id"]]
    packet = api.created("/packets", body)
    assert "Left out: 1. Irrigation." in api.get(f"/packets/{packet['id']}/document").text


def test_the_futures_are_those_of_the_api(api: Api) -> None:
    plan, _ = a_whole_plan(api, money=MONEY | {"least_balance": usd("400000.00")})
    packet = packet_of(api, plan)
    found = asked(api, plan, "futures", {"at_most_percent": "10"})
    years = found["years"]
    assert packet.column("futures-by-year", "plan") == amounts(years, "closing_in_plan")
    for column, name in (("p10", "p10"), ("p50", "p50"), ("p90", "p90")):
        assert packet.column("futures-by-year", column) == amounts([one["closing"] for one in years], name)
    assert packet.column("futures-by-year", "unplanned") == amounts(years, "unplanned")
    for column, name in (("below", "below_floor"), ("by_then", "below_floor_by_then")):
        assert packet.column("futures-by-year", column) == [
            Share(Decimal(one[name]["percent"])) for one in years
        ]
    assert packet.column("futures-drivers", "correlation") == [
        Measured(Decimal(one["rank_correlation"]), "each") for one in found["drivers"]
    ]
    assert packet.column("futures-drivers", "what")[0].startswith(("How long PUMP-", "What PUMP-"))
    assert packet.column("fan-data", "p95") == amounts([one["closing"] for one in years], "p95")
    shown = {
        one.label: one.value
        for part in packet.document.parts
        if isinstance(part, Figures)
        for one in part.items
    }
    assert shown["Futures below the floor"] == Share(Decimal(found["below_floor"]["percent"]))
    assert getattr(shown["More a year that would be enough"], "amount", None) == amount(
        found["enough"]["more_a_year"]
    )
    assert (
        f"the reserve falls below its floor of $400,000.00 in some year from {found['first_year']}"
        in texts(packet)
    )
    assert packet.table("futures-by-year").cell("y2030", "plan").computed == SameAs(
        "plan-by-year", "y2030", "closing"
    )


def test_a_locked_plan_has_the_futures_of_what_was_decided(api: Api) -> None:
    plan, _ = a_whole_plan(api)
    issue(api, plan)
    decide(api, plan, {1: {"decided": "declined"}})
    packet = packet_of(api, plan)
    found = asked(api, plan, "futures", {"at_most_percent": "10", "basis": "as_decided"})
    assert packet.column("futures-by-year", "plan") == amounts(found["years"], "closing_in_plan")
    assert packet.column("futures-by-year", "p50") == amounts(
        [one["closing"] for one in found["years"]], "p50"
    )
    assert packet.column("futures-by-year", "plan") != packet.column("plan-by-year", "closing")[:-1]
    assert "those declined not at all" in texts(packet)


def test_without_ranges_nothing_is_said_of_probabilities(api: Api) -> None:
    plan = a_plan(api, money={"opening_reserve": usd("50000.00")}, growth_percent="0", price_year=None)
    a_plan_project(api, plan, "Bridge", "80000.00", year=2029)
    packet = packet_of(api, plan)
    assert (
        "So there is one future only, the plan itself, and nothing can be said of how probable a shortfall is; that "
        "does not make the plan certain. The reserve runs out: first at the end of 2029, by $30,000.00; it is least at "
        "the end of 2029, with -$30,000.00. $10,000.00 more in every year would keep it from that."
    ) in texts(packet)
    assert not packet.has("futures-by-year")
    assert "futures-fan" not in [one.id for one in packet.document.charts]


@pytest.mark.parametrize(("percent", "shown"), [("99", True), ("99.5", False)])
def test_costs_grow_faster_only_where_they_can(api: Api, percent: str, shown: bool) -> None:
    plan = a_plan(
        api, growth_percent=percent, growth_groups=[], price_year=2027, years=3,
        money={"opening_reserve": usd("500000.00")},
    )  # fmt: skip
    a_plan_project(api, plan, "Bridge", "60000.00", year=2028)
    names = packet_of(api, plan).column("scenario-totals", "name")
    assert ("Costs grow faster" in names) is shown
    assert len(names) == 3 + shown


def test_scenarios_beyond_what_can_be_counted_leave_the_packet_as_it_is(api: Api) -> None:
    """In 40 years 1 percent a year make 1.47 of 1, and 2 percent 2.16: more than a million million."""
    plan = a_plan(
        api, growth_percent="1", growth_groups=[], price_year=2027, years=40, criteria=[],
        money={"opening_reserve": usd("0.00")},
    )  # fmt: skip
    a_plan_project(api, plan, "Bridge", "610000000000.00", year=2066)
    packet = packet_of(api, plan)
    assert not packet.has("scenario-totals")
    assert "grow beyond what can be counted" in texts(packet)
    assert packet.has("plan-by-year")


def test_a_plan_of_one_year_in_a_currency_without_cents(api: Api) -> None:
    club = api.of_new_club("kaede-hills", "JPY")
    body = {
        "code": "PUMP", "name": "Pumps", "kind": "pump_station", "in_use_since": 2010,
        "life": {"low": "15", "likely": "18", "high": "30"},
        "replacement": {"by": "stated", "cost": {"amount": "18000000", "currency": "JPY"}},
    }  # fmt: skip
    club.created("/assets", body)
    plan = club.created(PLANS, {
        "name": "One year", "first_year": 2027, "years": 1,
        "money": {"opening_reserve": {"amount": "20000000", "currency": "JPY"}},
    })  # fmt: skip
    club.created(f"{PLANS}/{plan['id']}/projects", {
        "name": "Bridge", "cost": {"amount": "5000000", "currency": "JPY"}, "year": 2027
    })  # fmt: skip
    packet = packet_of(club, plan, "ja-JP")
    found = asked(club, plan, "futures", {"at_most_percent": "10"})
    assert packet.column("futures-by-year", "p50") == [Decimal(found["years"][0]["closing"]["p50"]["amount"])]
    assert packet.column("scenario-totals", "closing")[0] == Decimal(15_000_000)
    taken = club.post(f"{PLANS}/{plan['id']}/take-timing", json={})
    assert (taken.status_code, taken.json()["projects_changed"]) == (200, 0)
    for form in ("text/html", "application/pdf", "text/csv"):
        answer = club.get(f"{PLANS}/{plan['id']}/packet", headers={"Accept": form})
        assert answer.status_code == 200, answer.text
