"""What a budget packet says of what is not sure: work measured long ago, months not over, gaps that were accepted."""

from budget_packet_factories import (
    HEADER,
    VENDOR,
    Answer,
    a_budget,
    a_reading_of,
    amount,
    packet_of,
    report_of,
    table_of,
    texts_of,
)
from conftest import Api
from estimate_factories import (
    LUMP,
    a_project,
    a_scope_item,
    an_edition,
    an_item,
    budget_of,
    issued,
    priced,
    stated,
)
from swardcost_api.packets.formatter import Formatter

SEPTEMBER, OCTOBER, NOVEMBER = "2026-09", "2026-10", "2026-11"


def half_measured(api: Api) -> tuple[Answer, str]:
    """100 tons of sand at 10.00, of which 50 were measured at the end of September, and the profile of its ledger."""
    project = a_project(api)
    a_scope_item(api, project, LUMP, [], stated("SAND", "100", "short_ton"), name="Dress")
    budget: Answer = budget_of(
        api, priced(api, project, an_edition(api, [an_item("SAND", "10", taxable=False)]))
    )
    line = budget["lines"][0]["id"]
    body = {"budget_line_id": line, "measured_on": "2026-09-30", "done": "50"}
    api.created(f"/budgets/{budget['id']}/measures", body)
    rule = {
        "budget_id": budget["id"],
        "budget_line_id": line,
        "name": "Sand",
        "conditions": {"text_contains": "sand"},
    }
    api.created("/ledger/rules", rule)
    columns = {one: one for one in HEADER.strip().split(",")}
    return budget, api.created("/ledger/profiles", {"name": "Detail", "columns": columns})["id"]


def post(api: Api, profile: str, day: str, amount: str, reference: str = "") -> None:
    row = f'{day},1520-10,Sand,{amount},"{VENDOR}",{reference}\r\n'
    response = api.upload("/ledger/imports/upload", HEADER + row, params={"profile_id": profile})
    assert response.status_code == 201, response.text


def order_of(api: Api, budget: Answer, price: str) -> str:
    line = {
        "number": 1, "budget_line_id": budget["lines"][0]["id"], "description": "Sand", "quantity": "50",
        "unit": "short_ton", "unit_price": price, "expected_month": "2026-11",
    }  # fmt: skip
    body = {"number": f"PO-{price}", "kind": "purchase_order", "vendor": VENDOR, "budget_id": budget["id"],
            "title": "Sand", "signed_on": "2026-07-20", "lines": [line]}  # fmt: skip
    return f"/commitments/{api.created('/commitments', body)['id']}"


def delivered_and_billed(
    api: Api, budget: Answer, price: str, tons: str, received_on: str, number: str, invoiced_on: str
) -> None:
    """An order of sand at a price, of which so many tons came on a day and were billed on another."""
    order = order_of(api, budget, price)
    received = {"line_number": 1, "quantity": tons, "unit": "short_ton"}
    api.created(f"{order}/receipts", {"ticket": "T-1", "received_on": received_on, "lines": [received]})
    billed = {"line_number": 1, "description": "Sand", "quantity": tons, "unit_price": price}
    api.created(f"{order}/invoices", {"number": number, "invoiced_on": invoiced_on, "lines": [billed]})


def sand_by(api: Api, budget: Answer, month: str) -> Answer:
    line: Answer = report_of(api, budget, "forecast", through=month)["lines"][0]
    return line


def test_what_work_cost_since_it_was_measured_counts_as_on_budget(api: Api) -> None:
    budget, profile = half_measured(api)
    post(api, profile, "2026-09-20", "500.00")
    assert "was last measured" not in a_reading_of(packet_of(api, budget))
    post(api, profile, "2026-10-09", "300.00")
    line = sand_by(api, budget, OCTOBER)
    assert [amount(line[name]) for name in ("cost_since_measured", "earned", "at_completion")] == [
        300,
        800,
        1000,
    ]
    assert sand_by(api, budget, SEPTEMBER)["cost_since_measured"] is None
    document = packet_of(api, budget)
    told = "On one line $300.00 were spent or accrued after its work was last measured: 1. Dress."
    assert a_reading_of(document).count(told) == 2, "in the brief and among the cautions"
    row = table_of(document, "at-completion").rows[0].note.replace("\N{NO-BREAK SPACE}", " ")
    assert "$300.00 were spent or accrued since" in row
    assert report_of(api, budget, "forecast")["outdated"] == 1


def test_a_bill_for_work_that_was_measured_moves_nothing(api: Api) -> None:
    budget, profile = half_measured(api)
    delivered_and_billed(api, budget, "14", "50", "2026-09-20", "I-5", "2026-10-18")
    post(api, profile, "2026-10-20", "700.00", "I-5")
    for month in (SEPTEMBER, OCTOBER):
        line = sand_by(api, budget, month)
        assert [amount(line[name]) for name in ("cost", "earned", "at_completion")] == [700, 500, 1200], month
    assert sand_by(api, budget, OCTOBER)["cost_since_measured"] is None
    causes = report_of(api, budget, "explanation", through=OCTOBER)["lines"][0]["causes"]
    assert "quantity" not in {one["cause"] for one in causes}


def test_what_came_since_counts_alike_whether_or_not_it_is_posted(api: Api) -> None:
    budget, profile = half_measured(api)
    post(api, profile, "2026-09-20", "500.00")
    delivered_and_billed(api, budget, "10", "30", "2026-10-12", "I-6", "2026-10-30")
    post(api, profile, "2026-11-03", "300.00", "I-6")
    for month in (OCTOBER, NOVEMBER):
        line = sand_by(api, budget, month)
        assert [amount(line[name]) for name in ("cost", "earned", "at_completion")] == [800, 800, 1000], month


def test_what_moves_no_share_done_is_not_told_as_taken_for_work(api: Api) -> None:
    budget, profile = half_measured(api)
    post(api, profile, "2026-09-20", "500.00")
    post(api, profile, "2026-10-09", "-200.00")
    line = sand_by(api, budget, OCTOBER)
    assert line["cost_since_measured"] is None
    assert [amount(line[name]) for name in ("earned", "at_completion")] == [500, 800]
    assert report_of(api, budget, "forecast")["outdated"] == 0
    assert "was last measured" not in a_reading_of(packet_of(api, budget))


def test_a_month_that_is_not_over_is_not_told_as_past(api: Api) -> None:
    budget = a_budget(api)
    today = api.clock().date()
    ahead = f"{today.year + 1}-01"
    over, running = packet_of(api, budget), packet_of(api, budget, through=ahead)
    assert "By the end of Oct 2026 " in texts_of(over)
    assert "is not over" not in texts_of(over)
    day = Formatter("en-US").day(today)
    assert f"By {day} " in texts_of(running)
    assert "By the end of" not in texts_of(running)
    assert f"is not over: what was planned for all of it stands beside what is known on {day}." in texts_of(
        running
    )
    assert running.subtitle.endswith(f", as known on {day}")


def test_without_postings_no_posting_is_said_to_be_assigned(api: Api) -> None:
    project = a_project(api)
    a_scope_item(api, project, LUMP, [], stated("SAND", "10", "short_ton"))
    budget = budget_of(api, priced(api, project, an_edition(api, [an_item("SAND", "40.50")])))
    told = texts_of(packet_of(api, budget))
    assert "Nothing is posted in these months yet." in told
    assert "Every posting" not in told


def test_markups_have_names_in_each_language(api: Api) -> None:
    table = table_of(packet_of(api, a_budget(api), "es-MX"), "lines")
    assert table.rows[1].cells[0].value == "2. Contingencia"


def test_a_lump_sum_is_not_counted_in_lump_sums(api: Api) -> None:
    project = a_project(api)
    a_scope_item(api, project, LUMP, [], stated("FENCE", "1", "lump_sum"))
    item = an_item("FENCE", "900", unit="lump_sum")
    budget = budget_of(api, priced(api, project, an_edition(api, [item])))
    body = {"budget_line_id": budget["lines"][0]["id"], "measured_on": "2026-09-30", "done": "1"}
    api.created(f"/budgets/{budget['id']}/measures", body)
    row = table_of(packet_of(api, budget), "at-completion").rows[0]
    assert row.note == "Measured on September 30, 2026."


def test_measured_work_that_is_not_billed_is_told_of(api: Api) -> None:
    budget, profile = half_measured(api)
    told = "On one line the measured work is worth $500.00 more than was spent or accrued: 1. Dress."
    assert a_reading_of(packet_of(api, budget)).count(told) == 2, "in the brief and among the cautions"
    post(api, profile, "2026-09-20", "500.00")
    assert "is worth" not in a_reading_of(packet_of(api, budget)).replace("assumed to be worth", "")


def test_gaps_of_the_accepted_estimate_are_told_of(api: Api) -> None:
    whole, _ = half_measured(api)
    assert "had gaps" not in a_reading_of(packet_of(api, whole))
    project = a_project(api)
    a_scope_item(api, project, LUMP, [], stated("SAND", "100", "short_ton"), name="Dress")
    a_scope_item(api, project, LUMP, [], stated("SOD", "100", "square_foot"), name="Lay")
    estimate = priced(api, project, an_edition(api, [an_item("SAND", "10")]))
    issued(api, estimate["id"], incomplete_because="The sod is bought in spring")
    taken = api.post(f"/estimates/{estimate['id']}/accept", json={}).json()
    budget = api.get(f"/budgets/{taken['budget_id']}").json()
    said = a_reading_of(packet_of(api, budget))
    assert said.count("is in no line of this budget, and in nothing that is expected.") == 2
    assert "It was issued so because: The sod is bought in spring." in said


def test_a_line_whose_budget_was_taken_away_is_not_told_as_never_measured(api: Api) -> None:
    project = a_project(api)
    for name in ("Dress", "Level"):
        a_scope_item(api, project, LUMP, [], stated("SAND", "100", "short_ton"), name=name)
    budget: Answer = budget_of(api, priced(api, project, an_edition(api, [an_item("SAND", "10")])))
    first, second = budget["lines"]
    body = {"budget_line_id": first["id"], "measured_on": "2026-09-20", "done": "50"}
    api.created(f"/budgets/{budget['id']}/measures", body)
    month = first["months"][0]["month"]
    entries = [
        {"budget_line_id": first["id"], "month": one["month"], "quantity": f"-{part}",
         "amount": {"amount": f"-{one['amount']['amount']}", "currency": "USD"}}
        for one, part in zip(first["months"], parts_of("100", len(first["months"])), strict=True)
    ]  # fmt: skip
    entries.append(
        {"budget_line_id": second["id"], "month": month, "amount": {"amount": "1000.00", "currency": "USD"}}
    )
    change = {
        "kind": "transfer",
        "effective_on": "2026-09-21",
        "reason": "Done otherwise",
        "entries": entries,
    }
    made = api.created(f"/budgets/{budget['id']}/adjustments", change)
    assert api.post(f"/adjustments/{made['id']}/approve", json={}).status_code == 200
    assert report_of(api, budget, "forecast")["unmeasured"] == 1
    note = table_of(packet_of(api, budget), "at-completion").rows[0].note
    assert note == "Measured on September 20, 2026."


def parts_of(whole: str, count: int) -> list[str]:
    """A quantity in so many parts that sum to it."""
    return [whole, *["0"] * (count - 1)]
