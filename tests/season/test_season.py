"""A whole closure season entered through the API; every report is the one computed from its data by other means."""

import csv
import io
from decimal import Decimal
from typing import Any

from conftest import Api
from estimate_factories import LUMP, a_project, a_scope_item, an_edition, an_item, budget_of, priced, stated
from season_data import ORDERS, PLANNED, POSTINGS, Season, a_season
from season_recomputed import (
    CONTINGENCY,
    PUMP,
    ZERO,
    Line,
    at_completion,
    at_end_of,
    causes,
    earned,
    month_of,
    percent,
    up_to,
)

Document = dict[str, Any]
HEADER = ("date", "account", "description", "amount", "vendor", "reference")
MONTHS = ("2026-08", "2026-09", "2026-10", "2026-11")


def money(amount: Decimal) -> Document:
    return {"amount": f"{amount:.2f}", "currency": "USD"}


def amount(document: Document) -> Decimal:
    return Decimal(document["amount"])


class Entered:
    """The season as the service has it: ids of the budget and of its lines by their keys."""

    def __init__(self, api: Api, season: Season) -> None:
        self.api, self.season = api, season
        self.budget = self._budget()
        self.lines: dict[str, str] = {}
        keys = [one.key for one in PLANNED] + [CONTINGENCY]
        for key, line in zip(keys, self.budget["lines"], strict=True):
            self.lines[key] = line["id"]
        self._changes()
        self._orders()
        for key, on, done in season.measures:
            body = {"budget_line_id": self.lines[key], "measured_on": on.isoformat(), "done": str(done)}
            api.created(f"{self.path}/measures", body)
        self._rules()
        self._postings()

    @property
    def path(self) -> str:
        return f"/budgets/{self.budget['id']}"

    def _budget(self) -> Document:
        project = a_project(self.api, starts_on="2026-08-01", ends_on="2026-10-31")
        items = [
            an_item(one.key.upper(), str(one.price), unit=one.unit, account=one.account, taxable=False)
            for one in PLANNED
        ]
        for one in PLANNED:
            resource = stated(one.key.upper(), str(one.quantity), one.unit)
            a_scope_item(self.api, project, LUMP, [], resource, name=one.key.title())
        markup = {"kind": "contingency", "percent": "8", "account": "1590"}
        budget: Document = budget_of(self.api, priced(self.api, project, an_edition(self.api, items), markup))
        return budget

    def _changes(self) -> None:
        for number, change in enumerate(self.season.changes, start=1):
            new = [{"label": "Pump failure", "account": "1550"}] if change.unplanned else []
            entries = []
            for entry in change.entries:
                line = {"new_line": 1} if entry.key == PUMP else {"budget_line_id": self.lines[entry.key]}
                quantity = {} if entry.quantity is None else {"quantity": str(entry.quantity)}
                entries.append(line | quantity | {"month": entry.month, "amount": money(entry.amount)})
            made = self.api.created(
                f"{self.path}/adjustments",
                {"kind": change.kind, "effective_on": change.effective_on.isoformat(), "reason": f"Change {number}",
                 "unplanned": change.unplanned, "new_lines": new, "entries": entries},
            )  # fmt: skip
            assert made["number"] == number
            decision = "approve" if change.approved else "decline"
            decided = self.api.post(f"/adjustments/{made['id']}/{decision}", json={})
            assert decided.status_code == 200, decided.text
            if change.unplanned:
                self.lines[PUMP] = decided.json()["entries"][1]["budget_line_id"]

    def _orders(self) -> None:
        units = {one.key: one.unit for one in PLANNED}
        for order in ORDERS:
            line = {
                "number": 1, "budget_line_id": self.lines[order.key], "description": order.key.title(),
                "quantity": str(order.quantity), "unit": units[order.key], "unit_price": str(order.price),
                "expected_month": "2026-10",
            }  # fmt: skip
            kind = "contract" if order.number.startswith("K") else "purchase_order"
            made = self.api.created(
                "/commitments",
                {"number": order.number, "kind": kind, "vendor": order.vendor, "budget_id": self.budget["id"],
                 "title": order.key, "signed_on": "2026-07-15", "retainage_percent": str(order.retainage),
                 "lines": [line]},
            )  # fmt: skip
            path = f"/commitments/{made['id']}"
            for ticket in (one for one in self.season.tickets if one.key == order.key):
                received = {"line_number": 1, "quantity": str(ticket.quantity), "unit": units[order.key]}
                self.api.created(
                    f"{path}/receipts",
                    {"ticket": ticket.number, "received_on": ticket.on.isoformat(), "lines": [received]},
                )
            for bill in (one for one in self.season.bills if one.key == order.key):
                billed: list[Document] = [
                    {"line_number": 1, "description": order.key, "quantity": str(bill.quantity),
                     "unit_price": str(bill.price)}
                ]  # fmt: skip
                if bill.freight:
                    billed.append(
                        {"budget_line_id": self.lines[order.key], "description": "Freight", "amount": str(bill.freight)}
                    )  # fmt: skip
                entered = self.api.created(
                    f"{path}/invoices",
                    {"number": bill.number, "invoiced_on": bill.on.isoformat(), "lines": billed},
                )
                assert amount(entered["to_pay"]) == bill.to_pay

    def _rules(self) -> None:
        conditions = {order.key: {"vendor_contains": order.vendor} for order in ORDERS}
        conditions["crew"] = {"account": "6110"}
        for key, condition in [*conditions.items(), ("haul", {"text_contains": "spotter for hauling"})]:
            self.api.created(
                "/ledger/rules",
                {"budget_id": self.budget["id"], "budget_line_id": self.lines[key], "name": f"{key} {condition}",
                 "conditions": condition},
            )  # fmt: skip

    def _postings(self) -> None:
        out = io.StringIO()
        writer = csv.writer(out)
        writer.writerow(HEADER)
        for row in self.season.postings:
            writer.writerow((row.on, row.account, row.text, row.amount, row.vendor, row.reference))
        columns = {name: name for name in HEADER}
        profile = self.api.created("/ledger/profiles", {"name": "Detail", "columns": columns})["id"]
        halves = out.getvalue().splitlines(keepends=True)
        # Two files that overlap: every row counts once.
        for lines in (halves[:800], halves[:1] + halves[500:]):
            response = self.api.upload(
                "/ledger/imports/upload", "".join(lines), params={"profile_id": profile}
            )
            assert response.status_code == 201, response.text

    def report(self, name: str, month: str, **query: str) -> Document:
        response = self.api.get(f"{self.path}/{name}", params={"through": month, **query})
        assert response.status_code == 200, response.text
        document: Document = response.json()
        return document

    def by_key(self, report: Document) -> dict[str, Document]:
        keys = {line_id: key for key, line_id in self.lines.items()}
        return {keys[line["id"]]: line for line in report["lines"]}


def check_standing(entered: Entered, month: str, expected: dict[str, Line]) -> None:
    report = entered.report("standing", month)
    found = entered.by_key(report)
    sums = dict.fromkeys(("original", "adjusted", "actual", "accrued", "open_commitments"), ZERO)
    for key, line in expected.items():
        if key not in found:
            assert key == PUMP
            assert not line.adjusted
            continue
        told = {
            "original": sum(line.original.values(), ZERO), "adjusted": line.budget, "actual": line.actual,
            "accrued": line.accrued, "open_commitments": line.open,
        }  # fmt: skip
        assert {name: amount(found[key][name]) for name in told} == told, (month, key)
        exposure = line.cost + line.open
        assert (amount(found[key]["exposure"]), amount(found[key]["available"])) == (
            exposure,
            line.budget - exposure,
        )
        assert found[key]["percent"] == (None if line.budget == 0 else str(percent(line.cost, line.budget)))
        for name, part in told.items():
            sums[name] += part
    assert {name: amount(report["total"][name]) for name in sums} == sums
    unassigned = [
        row.amount for row in entered.season.postings if row.key is None and month_of(row.on) <= month
    ]
    assert (amount(report["unassigned"]), report["unassigned_postings"]) == (
        sum(unassigned, ZERO),
        len(unassigned),
    )


def check_forecast(entered: Entered, month: str, expected: dict[str, Line], method: str) -> Decimal:
    report = entered.report("forecast", month, method=method)
    found = entered.by_key(report)
    total = ZERO
    for key, line in expected.items():
        if key not in found:
            continue
        told = found[key]
        worth = earned(line)
        assert [amount(told[name]) for name in ("planned", "earned", "cost", "budget_at_completion")] == [
            up_to(line.adjusted, month), worth, line.cost, line.budget,
        ], (month, key)  # fmt: skip
        assert amount(told["schedule_variance"]) == worth - up_to(line.adjusted, month)
        assert amount(told["cost_variance"]) == worth - line.cost
        by_method, reported = at_completion(line, method)
        answers = {one["method"]: one["at_completion"] for one in told["forecasts"]}
        assert answers[method] == (None if by_method is None else money(by_method)), (month, key)
        assert amount(told["at_completion"]) == reported, (month, key)
        total += reported
    assert amount(report["total"]["at_completion"]) == total
    return total


def check_explanation(entered: Entered, month: str, expected: dict[str, Line]) -> None:
    report = entered.report("explanation", month)
    found = entered.by_key(report)
    totals: dict[str, Decimal] = {}
    for key, line in expected.items():
        if key not in found:
            continue
        told = {one["cause"]: amount(one["amount"]) for one in found[key]["causes"]}
        assert told == causes(line, month), (month, key)
        for cause, part in told.items():
            totals[cause] = totals.get(cause, ZERO) + part
    assert {
        one["cause"]: amount(one["amount"]) for one in report["causes"] if amount(one["amount"])
    } == totals
    assert amount(report["difference"]) == sum(totals.values(), ZERO)


def check_cash(entered: Entered, month: str, expected: dict[str, Line], at_end: Decimal) -> None:
    report = entered.report("cash-flow", month)
    rows = {row["month"]: row for row in report["months"]}
    planned: dict[str, Decimal] = {}
    for line in expected.values():
        for one, part in line.adjusted.items():
            planned[one] = planned.get(one, ZERO) + part
    assert {one: amount(row["planned"]) for one, row in rows.items() if amount(row["planned"])} == planned
    assert amount(report["paid"]) == sum((line.actual for line in expected.values()), ZERO)
    assert amount(report["months"][-1]["money_so_far"]) == at_end


def check_contingency(entered: Entered) -> None:
    log = entered.api.get(f"{entered.path}/contingency").json()
    drawn = [
        (number, entry.amount)
        for number, change in enumerate(entered.season.changes, start=1)
        if change.approved
        for entry in change.entries
        if entry.key == CONTINGENCY
    ]
    assert [(move["adjustment_number"], amount(move["amount"])) for move in log["moves"]] == drawn
    left = entered.season.contingency
    for move, (_, part) in zip(log["moves"], drawn, strict=True):
        left += part
        assert amount(move["balance"]) == left


def test_every_report_of_a_season_is_the_one_recomputed(api: Api) -> None:
    season = a_season()
    assert (len(season.orders), len(season.tickets), len(season.bills), len(season.changes)) == (
        9,
        120,
        60,
        14,
    )
    assert len(season.postings) == POSTINGS
    entered = Entered(api, season)
    listed = entered.api.get("/ledger/imports").json()["items"]
    assert sum(one["rows_posted"] for one in listed) == POSTINGS
    for month in MONTHS:
        expected = at_end_of(season, month)
        check_standing(entered, month, expected)
        check_forecast(entered, month, expected, "current_rate")
        total = check_forecast(entered, month, expected, "as_budgeted")
        check_explanation(entered, month, expected)
        check_cash(entered, month, expected, total)
    check_contingency(entered)
