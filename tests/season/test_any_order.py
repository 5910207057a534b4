"""Adjustments, tickets, invoices, imports, assignments, closings and voidings in any order: money is conserved."""

from decimal import Decimal
from itertools import count
from typing import Any

from conftest import Api
from estimate_factories import LUMP, a_project, a_scope_item, an_edition, an_item, budget_of, priced, stated
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule, run_state_machine_as_test

Document = dict[str, Any]
HEADER = "date,account,description,amount,vendor,reference\r\n"
MONTHS = ("2026-08", "2026-09", "2026-10")
ROWS = [
    f"2026-{8 + number % 3:02d}-{number % 27 + 1:02d},1520-10,Sand {number // 2},{number * 13 % 97}.{number % 10}5,"
    f"{'Alder Creek' if number % 2 else 'Briar Hill'},R-{number // 3}\r\n"
    for number in range(24)
] + ["2026-09-09,1520-10,Twice,10.00,Alder Creek,\r\n"] * 2
AMOUNT = st.decimals(min_value=1, max_value=4000, places=2)
SPAN = st.tuples(st.integers(0, len(ROWS)), st.integers(0, len(ROWS))).map(sorted)
_clubs = count(1)


def amount(document: Document) -> Decimal:
    return Decimal(document["amount"])


class AnyOrder(RuleBasedStateMachine):
    """One club's budget under whatever comes; what the service accepts is also kept here, in plain sums."""

    api: Api

    @initialize()
    def found(self) -> None:
        self.club = self.api.of_new_club(f"any-order-{next(_clubs)}")
        api = self.club
        project = a_project(api, starts_on="2026-08-01", ends_on="2026-10-31")
        a_scope_item(api, project, LUMP, [], stated("SAND", "100", "short_ton"), name="Sand")
        a_scope_item(api, project, LUMP, [], stated("SOD", "5000", "square_foot"), name="Sod")
        items = [
            an_item("SAND", "40.00", taxable=False),
            an_item("SOD", "0.80", unit="square_foot", taxable=False),
        ]
        markup = {"kind": "contingency", "percent": "10"}
        self.budget = budget_of(api, priced(api, project, an_edition(api, items), markup))
        self.lines = [line["id"] for line in self.budget["lines"]]
        self.total = sum(amount(line["amount"]) for line in self.budget["lines"])
        columns = {name: name for name in HEADER.strip().split(",")}
        self.profile = api.created("/ledger/profiles", {"name": "Detail", "columns": columns})["id"]
        ordered = {
            "number": 1, "budget_line_id": self.lines[0], "description": "Sand", "quantity": "100",
            "unit": "short_ton", "unit_price": "41.00", "expected_month": "2026-09",
        }  # fmt: skip
        self.order = api.created(
            "/commitments",
            {"number": "PO-1", "kind": "purchase_order", "vendor": "Alder Creek", "budget_id": self.budget["id"],
             "title": "Sand", "signed_on": "2026-07-15", "retainage_percent": "10", "lines": [ordered]},
        )  # fmt: skip
        self.imports: list[str] = []
        self.tickets = count(1)
        self.added = Decimal(0)

    @rule(kind=st.sampled_from(["transfer", "addition", "reduction", "contingency_draw"]), sum_=AMOUNT,
          month=st.sampled_from(MONTHS))  # fmt: skip
    def adjust(self, kind: str, sum_: Decimal, month: str) -> None:
        sand, sod, contingency = self.lines[:3]
        entries = {
            "transfer": [(sand, -sum_), (sod, sum_)],
            "addition": [(sod, sum_)],
            "reduction": [(sand, -sum_)],
            "contingency_draw": [(contingency, -sum_), (sand, sum_)],
        }[kind]
        body = {
            "kind": kind, "effective_on": "2026-08-15", "reason": "Any",
            "entries": [
                {"budget_line_id": line, "month": month, "amount": {"amount": f"{part:.2f}", "currency": "USD"}}
                for line, part in entries
            ],
        }  # fmt: skip
        proposed = self.club.post(f"/budgets/{self.budget['id']}/adjustments", json=body)
        if proposed.status_code != 201:
            assert proposed.status_code == 422, proposed.text
            return
        approved = self.club.post(f"/adjustments/{proposed.json()['id']}/approve", json={})
        assert approved.status_code == 200, approved.text
        self.added += sum(part for _, part in entries)

    @rule(tons=st.decimals(min_value="0.5", max_value=60, places=2), returned=st.booleans())
    def receive(self, tons: Decimal, returned: bool) -> None:
        kind = "return" if returned else "delivery"
        body = {
            "ticket": f"T-{next(self.tickets)}", "kind": kind, "received_on": "2026-09-01",
            "lines": [{"line_number": 1, "quantity": str(tons), "unit": "short_ton"}],
        }  # fmt: skip
        received = self.club.post(f"/commitments/{self.order['id']}/receipts", json=body)
        assert received.status_code == 201 or (returned and received.status_code == 422), received.text

    @rule(tons=st.decimals(min_value="0.5", max_value=60, places=2), dearer=st.booleans())
    def bill(self, tons: Decimal, dearer: bool) -> None:
        line = {
            "line_number": 1, "description": "Sand", "quantity": str(tons),
            "unit_price": "42.15" if dearer else "41.00",
        }  # fmt: skip
        body = {"number": f"I-{next(self.tickets)}", "invoiced_on": "2026-09-05", "lines": [line]}
        self.club.created(f"/commitments/{self.order['id']}/invoices", body)

    @rule(span=SPAN)
    def import_rows(self, span: list[int]) -> None:
        first, last = span
        if first == last:
            return
        file = HEADER + "".join(ROWS[first:last])
        made = self.club.upload("/ledger/imports/upload", file, params={"profile_id": self.profile})
        assert made.status_code == 201, made.text
        self.imports.append(made.json()["id"])

    @rule(at=st.integers(0, 20))
    def void(self, at: int) -> None:
        if self.imports:
            import_id = self.imports.pop(at % len(self.imports))
            voided = self.club.post(f"/ledger/imports/{import_id}/void", json={"reason": "Any"})
            assert voided.status_code in (200, 409), voided.text

    @rule(at=st.integers(0, 200), line=st.integers(0, 3))
    def assign(self, at: int, line: int) -> None:
        postings = self._postings()
        if not postings:
            return
        posting = postings[at % len(postings)]
        chosen = self.lines[line] if line < len(self.lines) else None
        answer = self.club.post(
            f"/ledger/postings/{posting['id']}/assign", json={"budget_line_id": chosen, "reason": "Any"}
        )
        refused = posting["month"] <= self._closed_through()
        assert answer.status_code == (409 if refused else 200), answer.text

    @rule(at=st.integers(0, 200), part=st.integers(1, 99))
    def split(self, at: int, part: int) -> None:
        postings = self._postings()
        if not postings:
            return
        posting = postings[at % len(postings)]
        shares = [
            {"budget_line_id": self.lines[0], "percent": str(part)},
            {"budget_line_id": self.lines[1], "percent": str(100 - part)},
        ]
        answer = self.club.post(
            f"/ledger/postings/{posting['id']}/split", json={"shares": shares, "reason": "Any"}
        )
        refused = posting["month"] <= self._closed_through()
        assert answer.status_code == (409 if refused else 200), answer.text

    @rule()
    def close(self) -> None:
        postings = [one for one in self._postings() if one["month"] > self._closed_through()]
        if not postings:
            return
        month = postings[0]["month"]
        moved = sum(amount(one["amount"]) for one in postings if one["month"] == month)
        path = f"/ledger/months/{month}"
        uploaded = self.club.upload(
            f"{path}/trial-balance/upload", f"account,balance\r\n1520-10,{moved:.2f}\r\n",
            params={"basis": "movement", "replace": "true"},
        )  # fmt: skip
        assert uploaded.status_code == 201, uploaded.text
        closed = self.club.post(f"{path}/close", json={"accept_unassigned": "Any"})
        assert closed.status_code == 200, closed.text
        assert self._closed_through() == month

    @rule()
    def reopen(self) -> None:
        last = self._closed_through()
        if last:
            answer = self.club.post(f"/ledger/months/{last}/reopen", json={"reason": "Any"})
            assert answer.status_code == 200, answer.text
            assert self._closed_through() < last

    @invariant()
    def the_budget_is_what_was_given(self) -> None:
        report = self.club.get(f"/budgets/{self.budget['id']}/standing", params={"through": "2026-12"}).json()
        assert amount(report["total"]["adjusted"]) == self.total + self.added
        for name in ("original", "adjusted", "actual", "accrued", "open_commitments", "available"):
            assert sum(amount(line[name]) for line in report["lines"]) == amount(report["total"][name])
        assert all(amount(line["adjusted"]) >= 0 for line in report["lines"])
        posted = sum(amount(one["amount"]) for one in self._postings())
        assert amount(report["total"]["actual"]) + amount(report["unassigned"]) == posted

    @invariant()
    def differences_are_explained_to_the_cent(self) -> None:
        report = self.club.get(
            f"/budgets/{self.budget['id']}/explanation", params={"through": "2026-12"}
        ).json()
        for line in report["lines"]:
            assert sum(amount(one["amount"]) for one in line["causes"]) == amount(line["difference"])

    @invariant()
    def the_order_matches_three_ways(self) -> None:
        match = self.club.get(f"/commitments/{self.order['id']}/match").json()
        for line in match["lines"]:
            left = sum(amount(line[name]) for name in ("ordered", "over_delivered", "price_difference"))
            right = sum(amount(line[name]) for name in ("billed", "received_not_billed", "to_come"))
            assert left == right

    @invariant()
    def no_row_counts_twice(self) -> None:
        raws = [one["raw"] for one in self._postings()]
        pool = [row.strip() for row in ROWS]
        assert all(raws.count(raw) <= pool.count(raw) for raw in set(raws))

    def _closed_through(self) -> str:
        """The last closed month, or nothing."""
        return self.club.get("/ledger/months").json()["closed_through"] or ""

    def _postings(self) -> list[Document]:
        answer = self.club.get("/ledger/postings", params={"limit": 200})
        assert answer.status_code == 200, answer.text
        items: list[Document] = answer.json()["items"]
        return items


def test_money_is_conserved_in_any_order(api: Api) -> None:
    def machine() -> AnyOrder:
        AnyOrder.api = api
        return AnyOrder()

    run_state_machine_as_test(
        machine, settings=settings(max_examples=4, stateful_step_count=12, deadline=None)
    )
