"""Whatever is proposed and decided in whatever order, the budget reconciles on every day, and money is conserved.

The use cases are driven in one transaction that is undone after each example, so that many orders can be tried.
"""

from dataclasses import dataclass, field
from datetime import date, timedelta
from decimal import Decimal
from typing import Any
from uuid import UUID, uuid4

from budget_factories import CLOSURE, adjustment_body, entry, reconciles
from conftest import Api
from estimate_factories import (
    LUMP,
    Document,
    a_project,
    a_scope_item,
    an_edition,
    an_item,
    budget_of,
    money,
    priced,
    stated,
)
from hypothesis import given, settings
from hypothesis import strategies as st
from swardcost_api.budgets import adjustments
from swardcost_api.budgets.contingency import contingency_log
from swardcost_api.budgets.state_answers import read_state
from swardcost_api.storage.work import OPERATOR, UnitOfWork
from swardcost_model import problems
from swardcost_model.adjustments import AdjustmentDecision, NewAdjustment
from swardcost_model.problems import ProblemError

MONTHS = ("2026-09", "2026-10", "2026-11")
DAYS = [date(2026, 9, 1) + timedelta(days=20 * n) for n in range(4)]
KINDS = ("transfer", "addition", "reduction", "contingency_draw", "change_order")
BALANCED = {"transfer", "contingency_draw"}
CONTINGENCY = 3
NEW = "new"

Cell = tuple[int | str, str]
"""A line by its number, or a line to be opened, and a month."""


@dataclass
class Ledger:
    """The test's own book of a budget: what was planned, and what was approved, as decimals."""

    original: dict[Cell, Decimal]
    approved: list[tuple[date, Cell, Decimal]] = field(default_factory=list)
    pending: dict[UUID, Document] = field(default_factory=dict)

    def at(self, day: date, cells: list[Cell]) -> Decimal:
        """What cells hold on a day."""
        planned = sum((self.original.get(cell, Decimal(0)) for cell in cells), Decimal(0))
        return planned + sum(
            (amount for on, cell, amount in self.approved if on <= day and cell in cells), Decimal(0)
        )

    def cells(self) -> list[Cell]:
        return list({*self.original, *(cell for _, cell, _ in self.approved)})


def a_budget(api: Api) -> Document:
    """Three lines; small amounts, so that taking too much is likely."""
    project = a_project(api, **CLOSURE)
    a_scope_item(
        api, project, LUMP, [], stated("SAND", "1", "each"), stated("CREW", "1", "each"), name="Dress"
    )
    items = [an_item("SAND", "60", unit="each"), an_item("CREW", "40", unit="each", account="1510")]
    reserve = {"kind": "contingency", "percent": "30", "account": "1599"}
    return budget_of(api, priced(api, project, an_edition(api, items), reserve))


_AMOUNTS = st.integers(-3000, 3000).map(lambda cents: Decimal(cents).scaleb(-2))
_PLACES = st.tuples(st.sampled_from([1, 2, CONTINGENCY, NEW]), st.sampled_from(MONTHS))


@st.composite
def proposals(draw: st.DrawFn) -> Document:
    """A proposal that mostly keeps the rules of its kind, and may well take too much."""
    kind = draw(st.sampled_from(KINDS))
    places = draw(st.lists(_PLACES, min_size=1, max_size=3, unique=True))
    amounts = [draw(_AMOUNTS) or Decimal("0.01") for _ in places]
    if kind == "addition":
        amounts = [abs(amount) for amount in amounts]
    if kind == "reduction":
        amounts = [-abs(amount) for amount in amounts]
    if kind in BALANCED and draw(st.integers(0, 9)):
        balancing = (CONTINGENCY if kind == "contingency_draw" else 2, draw(st.sampled_from(MONTHS)))
        if kind == "contingency_draw":
            kept = [(place, abs(amount)) for place, amount in zip(places, amounts, strict=True)]
            kept = [one for one in kept if one[0][0] != CONTINGENCY] or [((1, MONTHS[0]), Decimal("0.01"))]
            places, amounts = [place for place, _ in kept], [amount for _, amount in kept]
        places, amounts = [*places, balancing], [*amounts, -sum(amounts)]
    return {
        "kind": kind,
        "on": draw(st.sampled_from(DAYS)),
        "entries": list(zip(places, amounts, strict=True)),
    }


_ACTIONS = st.lists(
    st.one_of(
        proposals().map(lambda one: ("propose", one)),
        st.tuples(
            st.sampled_from(["approve", "approve", "approve", "decline", "withdraw"]), st.integers(0, 5)
        ),
    ),
    min_size=4,
    max_size=14,
)


def test_original_and_adjustments_are_the_budget_whatever_the_order(api: Api) -> None:
    budget = a_budget(api)
    planned = {
        (line["number"], month["month"]): money(month["amount"])
        for line in budget["lines"]
        for month in line["months"]
    }

    @settings(max_examples=15)
    @given(actions=_ACTIONS)
    def whatever_is_done(actions: list[Any]) -> None:
        with api.database.writing() as session:
            work = UnitOfWork(session, api.club, OPERATOR, api.clock())
            told(work, UUID(budget["id"]), Ledger(planned), actions)
            session.rollback()

    whatever_is_done()


def told(work: UnitOfWork, budget_id: UUID, book: Ledger, actions: list[Any]) -> None:
    before = state_on(work, budget_id, DAYS[-1])
    for action, what in actions:
        did = (
            propose(work, budget_id, book, what) if action == "propose" else decide(work, book, action, what)
        )
        after = state_on(work, budget_id, DAYS[-1])
        if not did:
            assert after == before
        before = after
    holds(work, budget_id, book)


def state_on(work: UnitOfWork, budget_id: UUID, day: date) -> Document:
    state = read_state(work, budget_id, day, None).model_dump(mode="json")
    reconciles(state)
    return state


def propose(work: UnitOfWork, budget_id: UUID, book: Ledger, proposal: Document) -> bool:
    lines = {line["number"]: line for line in state_on(work, budget_id, DAYS[0])["lines"]}
    entries = [
        entry(1 if number == NEW else lines[number], month, f"{amount:.2f}")
        for (number, month), amount in proposal["entries"]
    ]
    opened = [{"label": "Later"}] if any(number == NEW for (number, _), _ in proposal["entries"]) else []
    more = {"effective_on": proposal["on"].isoformat(), "new_lines": opened}
    body = adjustment_body(proposal["kind"], *entries, **more)
    new = NewAdjustment.model_validate(body)
    try:
        made = adjustments.propose(work, budget_id, new)
    except ProblemError as error:
        outcome = error.kind
    else:
        outcome = None
    if outcome is not None:
        assert outcome is problems.INVALID_VALUES
        return False
    assert not overdraws(book, proposal)
    assert proposal["kind"] not in BALANCED or sum(amount for _, amount in proposal["entries"]) == 0
    book.pending[made.id] = proposal
    return True


def decide(work: UnitOfWork, book: Ledger, verb: str, which: int) -> bool:
    """Decide one of the pending adjustments; where there are fewer, an id that nobody has."""
    chosen = list(book.pending)[which] if which < len(book.pending) else uuid4()
    decision = getattr(adjustments, verb)
    try:
        done = decision(work, chosen, AdjustmentDecision())
    except ProblemError as error:
        outcome = error.kind
    else:
        outcome = None
    if chosen not in book.pending:
        assert outcome is problems.NOT_FOUND
        return False
    if outcome is not None:
        assert (outcome, verb) == (problems.WRONG_STATE, "approve")
        assert overdraws(book, book.pending[chosen])
        return False
    proposal = book.pending.pop(chosen)
    if verb == "approve":
        assert not overdraws(book, proposal)
        opened = next((one.line_number for one in done.entries if one.new_line), None)
        book.approved += [
            (proposal["on"], (opened if line == NEW else line, month), amount)
            for (line, month), amount in proposal["entries"]
        ]
    return True


def overdraws(book: Ledger, proposal: Document) -> bool:
    """Whether a cell that a proposal touches would be below zero on some day."""
    changes = [(proposal["on"], cell, amount) for cell, amount in proposal["entries"]]
    tried = Ledger(book.original, [*book.approved, *changes])
    return any(tried.at(day, [cell]) < 0 for cell, _ in proposal["entries"] for day in DAYS)


def holds(work: UnitOfWork, budget_id: UUID, book: Ledger) -> None:
    """The budget on every day is what the book says: by month, by line and in total, and contingency with it."""
    for day in [DAYS[0] - timedelta(days=1), *DAYS]:
        state = state_on(work, budget_id, day)
        cells = book.cells()
        assert money(state["original"]) == sum(book.original.values())
        assert money(state["adjusted"]) == book.at(day, cells)
        assert money(state["current"]) == book.at(DAYS[-1], cells)
        for line in state["lines"]:
            for month in line["months"]:
                assert money(month["adjusted"]) == book.at(day, [(line["number"], month["month"])])
    log = contingency_log(work, budget_id).model_dump(mode="json")
    balances = [money(log["opening"]), *(money(move["balance"]) for move in log["moves"])]
    assert min(balances) >= 0
    assert (
        money(log["left"])
        == balances[-1]
        == money(log["opening"]) - money(log["drawn"]) + money(log["returned"])
    )
    assert money(log["left"]) == book.at(DAYS[-1], [(CONTINGENCY, month) for month in MONTHS])
    for earlier, move in zip(balances, log["moves"], strict=False):
        assert earlier + money(move["amount"]) == money(move["balance"])
