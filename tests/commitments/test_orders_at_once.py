"""Many hands on one order: tickets, invoices and revisions at once, and in any order."""

from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any
from uuid import UUID

from commitment_factories import (
    a_budget,
    a_line,
    an_order,
    billed,
    invoice_body,
    invoiced,
    match_of,
    order_body,
    received,
    ticket_body,
)
from conftest import Api
from estimate_factories import Document
from hypothesis import given, settings
from hypothesis import strategies as st
from swardcost_api.commitments.invoices import enter_invoice, void_invoice
from swardcost_api.commitments.orders import create_commitment
from swardcost_api.commitments.receipts import receive, void_receipt
from swardcost_api.commitments.service import committed_by_line
from swardcost_api.storage.work import OPERATOR, UnitOfWork
from swardcost_model.commitments import NewCommitment
from swardcost_model.deliveries import DeliveryVoiding, NewInvoice, NewReceipt
from swardcost_model.problems import ProblemError

HANDS = 4


def at_once(api: Api, path: str, bodies: list[Document]) -> list[int]:
    with ThreadPoolExecutor(HANDS) as pool:
        return sorted(pool.map(lambda body: api.post(path, json=body).status_code, bodies))


def test_goods_go_back_once_whoever_enters_it(api: Api) -> None:
    order = an_order(api, a_budget(api))
    received(api, order, "T-1", "10")
    bodies = [ticket_body(f"R-{n}", "6", kind="return") for n in range(HANDS)]
    assert at_once(api, f"/commitments/{order['id']}/receipts", bodies) == [201, 422, 422, 422]
    assert match_of(api, order)["lines"][0]["received_quantity"] == "4.00"


def test_retainage_is_paid_out_once_whoever_enters_it(api: Api) -> None:
    order = an_order(api, a_budget(api), retainage_percent="10")
    invoiced(api, order, "I-1", billed("10"))
    release = {"kind": "retainage_release", "invoiced_on": "2026-11-01", "retainage": "30.00"}
    bodies = [release | {"number": f"R-{n}"} for n in range(HANDS)]
    assert at_once(api, f"/commitments/{order['id']}/invoices", bodies) == [201, 422, 422, 422]
    assert match_of(api, order)["retainage_held"]["amount"] == "10.50"


def test_a_vendors_number_is_used_once_over_orders_entered_at_once(api: Api) -> None:
    budget = a_budget(api)
    orders = [an_order(api, budget, number=f"PO-{n}") for n in range(HANDS)]
    with ThreadPoolExecutor(HANDS) as pool:
        codes = pool.map(
            lambda one: (
                api.post(
                    f"/commitments/{one['id']}/invoices", json=invoice_body("I-1", billed("1"))
                ).status_code
            ),
            orders,
        )
        assert sorted(codes) == [201, 409, 409, 409]


def test_a_revision_and_its_rival_do_not_both_stand(api: Api) -> None:
    budget = a_budget(api)
    order = an_order(api, budget)
    body = {"revises": 1, "made_on": "2026-09-01", "reason": "More"}
    bodies = [body | {"lines": [a_line(budget, quantity=str(110 + n))]} for n in range(HANDS)]
    assert at_once(api, f"/commitments/{order['id']}/revisions", bodies) == [201, 412, 412, 412]


@dataclass
class Books:
    """The same order kept by hand: tons by ticket; tons, price and release by invoice."""

    tickets: dict[UUID, Decimal] = field(default_factory=dict)
    invoices: dict[UUID, tuple[Decimal, Decimal, Decimal]] = field(default_factory=dict)

    @property
    def received(self) -> Decimal:
        return sum(self.tickets.values(), Decimal(0))

    @property
    def billed(self) -> Decimal:
        return sum((tons for tons, _, _ in self.invoices.values()), Decimal(0))

    @property
    def money(self) -> Decimal:
        return sum((tons * price for tons, price, _ in self.invoices.values()), Decimal(0))

    @property
    def held(self) -> Decimal:
        return sum((withheld for _, _, withheld in self.invoices.values()), Decimal(0))


TONS = st.integers(1, 40).map(Decimal)
STEPS = st.lists(
    st.one_of(
        st.tuples(st.sampled_from(["deliver", "return"]), TONS),
        st.tuples(st.sampled_from(["bill", "credit"]), TONS, st.sampled_from([Decimal("40"), Decimal("42")])),
        st.tuples(st.just("release"), st.integers(1, 300).map(Decimal)),
        st.tuples(st.sampled_from(["void ticket", "void invoice"]), st.integers(0, 5)),
    ),
    min_size=4, max_size=12,
)  # fmt: skip


def step(work: UnitOfWork, order: UUID, books: Books, number: int, step: tuple[Any, ...]) -> None:
    """Do one thing, and the same in the books; what is refused changes neither."""
    action, amount, *rest = step
    if action in ("deliver", "return"):
        kind = "delivery" if action == "deliver" else "return"
        new = NewReceipt.model_validate(ticket_body(f"T-{number}", str(amount), kind=kind))
        sign = 1 if action == "deliver" else -1
        books.tickets[receive(work, order, new).id] = sign * amount
    elif action in ("bill", "credit"):
        kind, sign = ("invoice", 1) if action == "bill" else ("credit_note", -1)
        body = invoice_body(f"I-{number}", billed(str(amount), str(rest[0])), kind=kind)
        invoice = enter_invoice(work, order, NewInvoice.model_validate(body))
        books.invoices[invoice.id] = (sign * amount, rest[0], invoice.withheld.amount)
        if action == "bill":
            assert invoice.withheld.amount == amount * rest[0] / 10
        assert invoice.withheld.amount + invoice.to_pay.amount == invoice.billed.amount
    elif action == "release":
        body = {"number": f"I-{number}", "kind": "retainage_release", "invoiced_on": "2026-11-01"}
        release = enter_invoice(work, order, NewInvoice.model_validate(body | {"retainage": str(amount)}))
        books.invoices[release.id] = (Decimal(0), Decimal(0), -amount)
    else:
        kept = list(books.tickets if action == "void ticket" else books.invoices)
        if not kept:
            return
        which, reason = kept[amount % len(kept)], DeliveryVoiding(reason="Wrong")
        if action == "void ticket":
            void_receipt(work, which, reason)
            del books.tickets[which]
        else:
            void_invoice(work, which, reason)
            del books.invoices[which]


def test_money_is_conserved_whatever_happens_in_whatever_order(api: Api) -> None:
    budget = a_budget(api)
    numbers = iter(range(10_000))

    @given(STEPS)
    @settings(max_examples=8)
    def walk(steps: list[tuple[Any, ...]]) -> None:
        number, books, refused = next(numbers), Books(), []
        order = order_body(
            budget, a_line(budget, price="40"), number=f"PO-{number}", vendor=f"Vendor {number}",
            retainage_percent="10",
        )  # fmt: skip
        with api.database.writing() as session:
            work = UnitOfWork(session, api.club, OPERATOR, api.clock())
            order_id = create_commitment(work, NewCommitment.model_validate(order)).id
            for one in enumerate(steps):
                try:
                    with session.begin_nested():
                        step(work, order_id, books, *one)
                except ProblemError as error:
                    refused.append((one[1][0], error.kind.status))
            (line,) = [
                each for each in committed_by_line(work, UUID(budget["id"])) if each.commitment_id == order_id
            ]
        assert {status for _, status in refused} <= {409, 422}
        assert not {action for action, _ in refused} & {"deliver", "bill"}
        assert (line.received_quantity, line.billed_quantity) == (books.received, books.billed)
        assert (line.billed_minor, line.retained_minor) == (books.money * 100, books.held * 100)
        assert line.invoiced_not_posted_minor == line.billed_minor - line.retained_minor
        assert min(line.received_quantity, line.billed_quantity, line.billed_minor, line.retained_minor) >= 0
        assert line.received_not_invoiced_minor == max(books.received - books.billed, Decimal(0)) * 4000
        assert line.open_minor == max(100 - max(books.received, books.billed), Decimal(0)) * 4000

    walk()
