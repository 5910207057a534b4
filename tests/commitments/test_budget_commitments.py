"""What other rooms read of commitments: each line under its budget line, and accruals at month ends."""

from datetime import date
from decimal import Decimal
from typing import Any
from uuid import UUID

from commitment_factories import (
    a_budget,
    a_line,
    an_order,
    billed,
    done,
    extra,
    invoiced,
    match_of,
    received,
    released,
)
from conftest import Api
from estimate_factories import Document
from sqlalchemy import event
from swardcost_api.commitments.invoices import InvoiceFilter
from swardcost_api.commitments.receipts import ReceiptFilter, receipt_register
from swardcost_api.commitments.registers import commitment_register, invoice_register
from swardcost_api.commitments.service import (
    Accrual,
    LineCommitment,
    accruals_by_month,
    committed_by_line,
)
from swardcost_api.commitments.standing import Wanted
from swardcost_api.ledger.service import posted_references
from swardcost_api.storage.work import OPERATOR, UnitOfWork

COLUMNS = {name: name for name in ("date", "account", "description", "amount", "vendor", "reference")}


def post(api: Api, *rows: str) -> None:
    """Postings of these dates, vendors, references and amounts."""
    profile = api.created("/ledger/profiles", {"name": f"Export {len(rows)}", "columns": COLUMNS})["id"]
    lines = []
    for row in rows:
        day, vendor, reference, amount = row.split(",")
        lines.append(f"{day},1520-10,Sand,{amount},{vendor},{reference}\r\n")
    response = api.upload(
        "/ledger/imports/upload", "date,account,description,amount,vendor,reference\r\n" + "".join(lines),
        params={"profile_id": profile},
    )  # fmt: skip
    assert response.status_code == 201, response.text


def committed(api: Api, budget: Document, on: str | None = None) -> list[LineCommitment]:
    with api.database.reading() as session:
        work = UnitOfWork(session, api.club, OPERATOR, api.clock())
        return committed_by_line(work, UUID(budget["id"]), date.fromisoformat(on) if on else None)


def accrued(api: Api, budget: Document, through: str) -> list[Accrual]:
    with api.database.reading() as session:
        return accruals_by_month(
            UnitOfWork(session, api.club, OPERATOR, api.clock()), UUID(budget["id"]), through
        )


def told(rows: list[Accrual], kind: str) -> dict[str, int]:
    return {one.month: one.amount_minor for one in rows if one.kind == kind}


def a_season(api: Api, budget: Document) -> Document:
    """100 tons ordered at 40.50 with ten percent held back; 60 came and 50 were billed in September, then 20 came."""
    order = an_order(api, budget, retainage_percent="10")
    received(api, order, "T-1", "60", received_on="2026-09-04")
    invoiced(api, order, "I-1", billed("50", "41.00"), extra(budget, "35.00", 1), invoiced_on="2026-09-30")
    received(api, order, "T-2", "20", received_on="2026-10-02")
    return order


def test_each_line_stands_under_its_budget_line(api: Api) -> None:
    budget = a_budget(api)
    order = a_season(api, budget)
    line, freight = committed(api, budget)
    assert line == LineCommitment(
        budget_line_id=UUID(budget["lines"][0]["id"]), commitment_id=UUID(order["id"]), commitment_number="PO-1",
        vendor="Alder Creek", status=line.status, line_number=1, description="Topdressing sand", unit="short_ton",
        ordered_quantity=Decimal(100), ordered_minor=405000, received_quantity=Decimal(80), received_minor=324000,
        billed_quantity=Decimal(50), billed_minor=205000, retained_minor=20500, received_not_invoiced_minor=121500,
        invoiced_not_posted_minor=184500, open_minor=81000, expected_month="2026-09",
    )  # fmt: skip
    assert line.status == "open"
    assert (freight.line_number, freight.budget_line_id) == (0, UUID(budget["lines"][1]["id"]))
    assert (freight.billed_minor, freight.retained_minor, freight.invoiced_not_posted_minor) == (
        3500,
        0,
        3500,
    )
    assert (freight.ordered_minor, freight.received_minor, freight.open_minor) == (0, 0, 0)


def test_a_day_is_rebuilt_as_it_was(api: Api) -> None:
    budget = a_budget(api)
    order = a_season(api, budget)
    body = {"reason": "Enough", "since": "2026-10-20"}
    done(api.post(f"/commitments/{order['id']}/close", json=body))

    def figures(on: str | None) -> list[tuple[str, int, int, int, int]]:
        return [
            (
                one.status.value,
                one.received_minor,
                one.billed_minor,
                one.received_not_invoiced_minor,
                one.open_minor,
            )
            for one in committed(api, budget, on)
            if one.line_number
        ]

    assert figures("2026-08-02") == []
    assert figures("2026-08-03") == [("open", 0, 0, 0, 405000)]
    assert figures("2026-09-29") == [("open", 243000, 0, 243000, 162000)]
    assert figures("2026-09-30") == [("open", 243000, 205000, 40500, 162000)]
    assert figures("2026-10-19") == [("open", 324000, 205000, 121500, 81000)]
    assert figures("2026-10-20") == figures(None) == [("closed", 324000, 205000, 121500, 0)]


def test_another_budget_has_none_of_it(api: Api) -> None:
    budget, other = a_budget(api), a_budget(api)
    a_season(api, budget)
    assert committed(api, other) == accrued(api, other, "2026-12") == []


def test_accruals_are_balances_of_month_ends(api: Api) -> None:
    budget = a_budget(api)
    order = a_season(api, budget)
    released(api, order, "R-1", "100.00", invoiced_on="2026-11-02")
    rows = accrued(api, budget, "2026-11")
    assert told(rows, "received_not_invoiced") == {"2026-09": 40500, "2026-10": 121500, "2026-11": 121500}
    assert told(rows, "retainage_held") == {"2026-09": 20500, "2026-10": 20500, "2026-11": 10500}
    sand = [one for one in rows if one.account == "1520-10"]
    assert told(sand, "invoiced_not_posted") == {"2026-09": 184500, "2026-10": 184500, "2026-11": 194500}
    sod = [one for one in rows if one.account == "1520-20"]
    assert {one.kind for one in sod} == {"invoiced_not_posted"}
    assert [one.amount_minor for one in sod] == [3500, 3500, 3500]
    assert accrued(api, budget, "2026-08") == accrued(api, budget, "0000-12") == []


def test_an_invoice_is_accrued_until_a_posting_of_its_vendor_has_its_number(api: Api) -> None:
    budget = a_budget(api)
    a_season(api, budget)
    post(api, "2026-10-05,Briar Hill,I-1,10.00", "2026-10-06,Alder Creek,I-11,10.00")
    assert told(accrued(api, budget, "2026-10"), "invoiced_not_posted") != {}
    before = [one.invoiced_not_posted_minor for one in committed(api, budget)]
    post(api, "2026-11-05,ALDER CREEK,i-1,10.00", "2026-10-09,alder creek,I-1,10.00", "2026-12-01,,I-1,1.00")
    assert before == [184500, 3500]
    assert [one.invoiced_not_posted_minor for one in committed(api, budget)] == [0, 0]
    assert [one.invoiced_not_posted_minor for one in committed(api, budget, "2026-09-30")] == before
    posted = {one.month for one in accrued(api, budget, "2026-12") if one.kind == "invoiced_not_posted"}
    assert posted == {"2026-09"}


def test_a_posting_that_names_no_vendor_answers_for_its_reference(api: Api) -> None:
    budget = a_budget(api)
    a_season(api, budget)
    post(api, "2026-10-05,,I-1,10.00")
    assert {one.month for one in accrued(api, budget, "2026-11") if one.kind == "invoiced_not_posted"} == {
        "2026-09"
    }


def test_references_are_found_whatever_their_case(api: Api) -> None:
    post(
        api,
        "2026-10-05,Alder,É-1,1.00",
        "2026-11-05,ALDER,é-1,1.00",
        "2026-10-05,Briar,STRASSE,1.00",
        "2026-10-05,,x,1",
    )
    with api.database.reading() as session:
        work = UnitOfWork(session, api.club, OPERATOR, api.clock())
        assert posted_references(work, ["É-1", "X", "none"]) == {
            ("alder", "é-1"): "2026-10",
            ("", "x"): "2026-10",
        }
        assert posted_references(work, ["strasse"]) == {("briar", "strasse"): "2026-10"}
        assert posted_references(work, []) == {}


def test_reports_and_registers_ask_as_much_for_many_orders_as_for_one(api: Api) -> None:
    budget = a_budget(api)

    def an_order_with_all(number: str) -> None:
        order = an_order(api, budget, number=number, vendor=number)
        received(api, order, "T-1", "3")
        invoiced(api, order, "I-1", billed("2"))

    def statements() -> list[int]:
        counts = []
        wanted = Wanted(budget_id=UUID(budget["id"]))
        for ask in (
            lambda work: committed_by_line(work, UUID(budget["id"])),
            lambda work: committed_by_line(work, UUID(budget["id"]), date(2026, 9, 30)),
            lambda work: accruals_by_month(work, UUID(budget["id"]), "2026-12"),
            lambda work: commitment_register(work, wanted, None),
            lambda work: invoice_register(work, InvoiceFilter(wanted)),
            lambda work: receipt_register(work, ReceiptFilter(wanted)),
        ):
            seen: list[str] = []

            def note(*arguments: Any, seen: list[str] = seen) -> None:
                seen.append(arguments[2])

            event.listen(api.database.engine, "before_cursor_execute", note)
            try:
                with api.database.reading() as session:
                    ask(UnitOfWork(session, api.club, OPERATOR, api.clock()))
            finally:
                event.remove(api.database.engine, "before_cursor_execute", note)
            counts.append(len(seen))
        return counts

    an_order_with_all("PO-1")
    for_one = statements()
    for number in range(2, 5):
        an_order_with_all(f"PO-{number}")
    assert statements() == for_one
    assert max(for_one) <= 13


def test_accruals_are_read_and_had_as_csv(api: Api) -> None:
    budget = a_budget(api)
    a_season(api, budget)
    path = f"/budgets/{budget['id']}/accruals"
    answer = api.get(path, params={"through": "2026-09"}).json()
    assert [(row["kind"], row["amount"]["amount"]) for row in answer["rows"]] == [
        (row.kind, f"{row.amount_minor / 100:.2f}") for row in accrued(api, budget, "2026-09")
    ]
    csv = api.get(path, params={"through": "2026-09"}, headers={"Accept": "text/csv"}).text.splitlines()
    assert csv[0] == "month,kind,commitment,vendor,line,label,account,amount,currency"
    assert len(csv) == 1 + len(answer["rows"])
    first, row = budget["lines"][0], answer["rows"][0]
    assert (row["line"], row["label"]) == (first["number"], first["label"])
    assert csv[1].split(",")[4:] == ["1", first["label"], "1520-10", row["amount"]["amount"], "USD"]
    assert api.get("/budgets/00000000-0000-7000-8000-000000000000/accruals").status_code == 404
    assert api.of_new_club("stone-weir").get(path).status_code == 404


def test_an_invoice_posted_before_its_date_is_not_accrued_as_well(api: Api) -> None:
    budget = a_budget(api)
    order = an_order(api, budget, retainage_percent="10")
    received(api, order, "T-1", "20", received_on="2026-09-28")
    invoiced(api, order, "A-1", billed("20"), invoiced_on="2026-10-02")
    before = committed(api, budget, "2026-09-30")[0]
    assert (before.received_not_invoiced_minor, before.retained_minor) == (81000, 0)
    post(api, "2026-09-30,Alder Creek,A-1,729.00")
    # 729.00 is in September's accounts, so that of the 810.00 received only the retainage is left to accrue.
    (line,) = committed(api, budget, "2026-09-30")
    assert (line.received_not_invoiced_minor, line.invoiced_not_posted_minor, line.retained_minor) == (
        0,
        0,
        8100,
    )
    assert [(one.month, one.kind.value, one.amount_minor) for one in accrued(api, budget, "2026-10")] == [
        ("2026-09", "retainage_held", 8100), ("2026-10", "retainage_held", 8100),
    ]  # fmt: skip
    assert match_of(api, order, "2026-09-30")["billed"]["amount"] == "0.00"


def test_a_line_moved_to_another_budget_line_moves_with_all_that_came_of_it(api: Api) -> None:
    budget = a_budget(api)
    order = a_season(api, budget)
    moved = a_line(budget) | {"budget_line_id": budget["lines"][1]["id"]}
    body: dict[str, Any] = {
        "revises": 1,
        "made_on": "2026-10-15",
        "reason": "Wrong account",
        "lines": [moved],
    }
    api.created(f"/commitments/{order['id']}/revisions", body)
    sand, sod = (UUID(line["id"]) for line in budget["lines"])
    assert {one.budget_line_id for one in committed(api, budget)} == {sod}
    assert committed(api, budget, "2026-10-14")[0].budget_line_id == sand
    by_month = {
        one.month: one.budget_line_id
        for one in accrued(api, budget, "2026-10")
        if one.kind == "received_not_invoiced"
    }
    assert by_month == {"2026-09": sand, "2026-10": sod}
