"""The capital plan packet of a locked plan and of the plan that follows it: decisions, money, and what moved."""

from datetime import UTC, datetime
from decimal import Decimal

from capital_packet_factories import (
    PLANS,
    PROJECTS,
    a_plan,
    a_plan_project,
    a_season,
    a_whole_plan,
    acted,
    amount,
    amounts,
    an_asset,
    decide,
    got,
    issue,
    it_is,
    packet_of,
    usd,
)
from conftest import Api
from estimate_factories import Document
from swardcost_api.packets.document import Chart
from swardcost_api.packets.relations import Columns, Rows


def continued(api: Api, plan: Document, **more: object) -> Document:
    body = {"name": "The year after", "opening_reserve": usd("190000.00")} | more
    found: Document = acted(api, f"{PLANS}/{plan['id']}/continue", **body)["plan"]
    return found


def test_decisions_are_summed_by_what_was_decided(api: Api) -> None:
    plan, _ = a_season(api)
    packet = packet_of(api, plan)
    figures = got(api, f"{PLANS}/{plan['id']}/figures")
    costs = amounts(figures["projects"], "cost")
    for group, due in (("approved", costs[0] + costs[1]), ("deferred", costs[2]), ("declined", costs[3])):
        assert packet.cell("decisions-by-line", f"{group}-all", "cost") == due
    assert packet.cell("decisions-by-line", "total", "cost") == sum(costs)
    assert packet.table("decisions-by-line").cell("total", "cost").computed == Rows(
        ("approved-all", "deferred-all", "declined-all")
    )
    assert packet.cell("decisions-by-line", "p3", "to") == "2028"
    assert packet.cell("decisions-by-line", "p3", "conditions") == "After the bridge"
    assert packet.cell("decisions-by-line", "p3", "on") == datetime(2026, 5, 2, tzinfo=UTC).date()
    assert packet.column("projects-by-line", "decision")[:4] == [
        "Approved", "Approved", "Deferred to 2028", "Declined"
    ]  # fmt: skip


def test_the_money_of_the_projects_is_that_of_the_standing(api: Api) -> None:
    plan, _ = a_season(api)
    packet = packet_of(api, plan, through="2026-06")
    standing = got(api, f"{PLANS}/{plan['id']}/standing?through=2026-06")
    projects, years = standing["projects"], standing["years"]
    for column in ("planned", "budget", "actual", "accrued", "to_come", "expected", "difference"):
        assert packet.column("standing", column)[:-1] == amounts(projects, column), column
    assert packet.cell("standing", "total", "planned") == amount(standing["planned"])
    assert packet.cell("standing", "total", "expected") == amount(standing["expected"])
    spent = packet.cell("standing", "total", "actual") + packet.cell("standing", "total", "accrued")
    assert spent == amount(standing["actual"]) == Decimal(30000)
    assert packet.table("standing").cell("p1", "expected").computed == Columns(
        ("actual", "accrued", "to_come")
    )
    assert packet.table("standing").cell("p2", "expected").computed == Columns(("to_come",))
    assert packet.table("standing").cell("p1", "expected").why == "standing-1"
    assert packet.column("standing", "stage")[:4] == ["Under way", "Approved", "Deferred to 2028", "Declined"]
    for column, field in (
        ("planned", "planned_spending"), ("actual", "actual_spending"), ("to_come", "to_come"),
        ("expected", "expected_spending"), ("closing", "closing_planned"), ("closing_expected", "closing_expected"),
    ):  # fmt: skip
        assert packet.column("standing-by-year", column) == amounts(years, field), column
    least = min(years, key=lambda one: (Decimal(one["closing_expected"]["amount"]), one["year"]))
    told = next(
        one
        for one in packet.paragraphs("plain")
        if one.startswith("These figures are those of the plan as dated")
    )
    assert f"the reserve to be least at the end of {least['year']}" in told
    assert "Jun 2026" in told


def test_a_project_finished_without_a_budget_is_told_to_count_as_planned(api: Api) -> None:
    plan, projects = a_season(api)
    assert not packet_of(api, plan).table("standing-by-year").column_index.keys() & {"finished"}
    acted(api, f"{PROJECTS}/{projects[1]['id']}/open")
    acted(api, f"{PROJECTS}/{projects[1]['id']}/complete", year=2026)
    packet = packet_of(api, plan)
    table = packet.table("standing")
    planned = packet.cell("standing", "p2", "planned")
    assert [packet.cell("standing", "p2", name) for name in ("actual", "to_come", "expected")] == [
        None,
        0,
        planned,
    ]
    assert table.cell("p2", "expected").computed == Columns(("planned",))
    note = next(one.note for one in table.rows if one.key == "p2")
    assert note.endswith("what it cost is not known here, so it counts as planned.")
    assert packet.column("standing-by-year", "finished") == [0, planned, 0, 0]


def test_what_was_deferred_is_counted_to_the_year_it_was_deferred_to(api: Api) -> None:
    plan, _ = a_season(api)
    packet = packet_of(api, plan)
    (due,) = (
        one for one in got(api, f"{PLANS}/{plan['id']}/deferrals?years=2")["items"] if one["number"] == 3
    )
    assert packet.column("deferred", "name") == ["3. Path, from 2026 to 2028"]
    assert packet.column("deferred", "net") == [amount(due["net"])]
    assert "One project was deferred by decision: 3. Path." in packet.texts()


def test_deferring_to_no_year_is_told_and_not_counted(api: Api) -> None:
    plan = a_plan(api)
    a_plan_project(api, plan, "Bridge", year=2030)
    issue(api, plan)
    decide(api, plan, {1: {"decided": "deferred"}})
    packet = packet_of(api, plan)
    assert not packet.has("deferred")
    assert any("What this costs is not counted" in one and "1. Bridge" in one for one in packet.texts())


def test_nothing_of_money_and_moves_stands_in_a_plan_that_has_none(api: Api) -> None:
    plan, _ = a_whole_plan(api)
    assert not {"standing-of-projects", "since", "decisions"} & set(packet_of(api, plan).sections())
    issue(api, plan)
    sections = packet_of(api, plan).sections()
    assert "decisions" in sections
    assert "standing-of-projects" not in sections


def test_what_moved_is_that_of_the_moves_and_says_why(api: Api) -> None:
    before, _ = a_season(api)
    it_is(api, "2027-02-01")
    plan = continued(api, before)
    a_plan_project(api, plan, "New fence", "3000.00", year=2028)
    moves = got(api, f"{PLANS}/{plan['id']}/moves")
    packet = packet_of(api, plan)
    projects, years = moves["projects"], moves["years"]
    for column, field in (
        ("cost_before", "cost_before"), ("cost", "cost"), ("spent_before", "spent_before"), ("spent", "spent")
    ):  # fmt: skip
        assert packet.column("moves", column)[:-1] == amounts(projects, field), column
    for row, field in (
        ("before", "spent_before"), ("timing", "by_timing"), ("cost", "by_cost"), ("new", "by_new"),
        ("finished", "by_finished"), ("out", "by_left_out"), ("now", "spent"),
    ):  # fmt: skip
        assert packet.cell("causes", row, "amount") == amount(moves[field]), row
    for column in ("by_opening", "by_incomes", "by_interest", "by_spending", "closing"):
        assert packet.column("beside-by-year", column) == amounts(years, column), column
    notes = {row.cells[0].value: row.note for row in packet.table("moves").rows}
    # 10,000.00 are to come in 2027, which are 9,615.38 at the prices of 2026 with growth of 4 percent.
    assert notes["1. Sand"] == (
        "Its year, 2026, has passed; it is under way. What is to come of its budget is $9,615.38 at the plan's prices, "
        "in place of a cost of $40,000.00."
    )
    assert notes["3. Path"].startswith("Deferred to 2028 by ")
    assert notes["3. Path"].endswith(
        " on May 2, 2026. Conditions: After the bridge. Its year, 2026, has passed; it is not begun."
    )
    assert notes["4. Shed"].startswith("Declined by ")
    kinds = dict(zip(packet.column("moves", "name"), packet.column("moves", "kind"), strict=True))
    assert kinds["4. Shed"] == "Declined"
    assert "New" in kinds.values()
    curve = next(one for one in packet.document.parts if isinstance(one, Chart) and one.id == "beside-curve")
    assert len(curve.data.rows) == len(years)


def test_each_cause_has_a_sentence_of_its_own(api: Api) -> None:
    it_is(api, "2026-05-02")
    pumps = an_asset(api, "PUMP-1")
    plan = a_plan(api, first_year=2026, years=6, price_year=None, criteria=[], growth_groups=[])
    projects = [
        a_plan_project(api, plan, "Pumps", None, asset_ids=[pumps["id"]], year=2029),
        a_plan_project(api, plan, "Bridge", "20000.00", year=2028),
        a_plan_project(api, plan, "Walls", "30000.00", year=2029),
    ]
    issue(api, plan)
    decide(api, plan, {})
    after = continued(api, plan, first_year=2027, years=6)
    fields = {one: pumps[one] for one in pumps if one not in ("id", "version")}
    change = fields | {"in_use_since": 2010, "replacement": {"by": "stated", "cost": usd("200000.00")}}
    answer = api.put(f"/assets/{pumps['id']}", json=change, headers={"If-Match": f'"{pumps["version"]}"'})
    assert answer.status_code == 200, answer.text
    _change(api, after, "Pumps", year=2030)
    _change(api, after, "Bridge", cost=usd("26000.00"), moved_because="The abutment is worn too")
    _change(api, after, "Walls", year=2030)
    notes = {row.cells[0].value: row.note for row in packet_of(api, after).table("moves").rows}
    assert len(projects) == 3
    assert "PUMP-1 Pumps PUMP-1 is due in 2030, not in 2028." in notes["1. Pumps"]
    assert "PUMP-1 Pumps PUMP-1 costs $200,000.00, in place of $180,000.00." in notes["1. Pumps"]
    assert notes["2. Bridge"] == (
        "Its cost is stated as $26,000.00, in place of $20,000.00. The abutment is worn too."
    )
    assert notes["3. Walls"] == "Nobody has said why it moved from 2029 to 2030."


def _change(api: Api, plan: Document, name: str, **changes: object) -> None:
    kept = {
        "id",
        "version",
        "plan_id",
        "number",
        "decision",
        "carried_from",
        "opened_project_id",
        "completion",
    }
    found = got(api, f"{PLANS}/{plan['id']}/projects?limit=200")["items"]
    one = next(one for one in found if one["name"] == name)
    body = {key: value for key, value in one.items() if key not in kept} | changes
    answer = api.put(f"{PROJECTS}/{one['id']}", json=body, headers={"If-Match": f'"{one["version"]}"'})
    assert answer.status_code == 200, answer.text


def test_a_plan_with_no_year_in_common_with_the_one_before_says_so(api: Api) -> None:
    plan = a_plan(api, first_year=2026, years=2, price_year=None, criteria=[], growth_groups=[], money={
        "opening_reserve": usd("10000.00")
    })  # fmt: skip
    a_plan_project(api, plan, "Bridge", "2000.00", year=2027)
    issue(api, plan)
    decide(api, plan, {1: {"decided": "declined"}})
    after = continued(api, plan, first_year=2027, years=3)
    kept = {"id", "version", "status", "follows", "issued_at", "issued_by", "locked_at", "locked_by"}
    body = {key: value for key, value in after.items() if key not in kept} | {"first_year": 2030}
    answer = api.put(f"{PLANS}/{after['id']}", json=body, headers={"If-Match": f'"{after["version"]}"'})
    assert answer.status_code == 200, answer.text
    packet = packet_of(api, after)
    assert not packet.has("moves")
    assert any("with which it has no year in common" in one for one in packet.texts())


def test_only_a_locked_plan_has_a_month_that_counts_and_none_before_the_year_of_locking(api: Api) -> None:
    it_is(api, "2026-05-02")
    plan = a_plan(api)
    a_plan_project(api, plan, "Bridge", year=2028)
    place = f"{PLANS}/{plan['id']}/packet"
    assert got(api, place)["through"] is None
    issue(api, plan)
    asked = {"kind": "capital_plan", "subject_id": plan["id"], "through": "2026-05"}
    for answer in (api.get(f"{place}?through=2026-05"), api.post("/packets", json=asked)):
        assert (answer.status_code, answer.json()["type"]) == (422, "/problems/invalid-values")
        assert answer.json()["faults"] == [
            {
                "pointer": "/through",
                "expected": "null for a capital plan that is not locked",
                "got": "2026-05",
            }
        ]
    assert api.get("/packets").json()["items"] == []
    decide(api, plan, {})
    # The plan begins in 2027; what was opened at once is spent on before.
    assert got(api, place)["through"] == got(api, f"{place}?through=2026-05")["through"] == "2026-05"
    assert api.get(f"{place}?through=2026-01").status_code == 200
    answer = api.get(f"{place}?through=2025-12")
    assert (answer.status_code, answer.json()["type"]) == (422, "/problems/invalid-values")
    assert answer.json()["faults"][0]["expected"] == "2026-01, the first month of the plan, or later"
