"""Assigning a posting by hand: to a budget line, to several in parts that sum to it, or to none."""

from typing import Any
from uuid import UUID

from sqlalchemy import Row
from swardcost_model import problems
from swardcost_model.ledger import Posting
from swardcost_model.ledger_assignment import HandAssignment, Splitting, Unsplitting
from swardcost_model.problems import ProblemError
from swardcost_model.values import from_minor, plain, to_micros, to_minor

from swardcost_api.access.service import read_club, record
from swardcost_api.budgets.service import line_named
from swardcost_api.engine.control.assignment import Share, split_by_shares
from swardcost_api.ledger.assignments import Assignment, Part, set_assignments
from swardcost_api.ledger.open_months import hold_assignments, refuse_closed
from swardcost_api.ledger.postings import posting_row, read_posting
from swardcost_api.ledger.reversals import follow_originals, reversal_months
from swardcost_api.ledger.rules import unusable
from swardcost_api.storage.work import UnitOfWork


def assign_posting(work: UnitOfWork, posting_id: str, assignment: HandAssignment) -> Posting:
    """Assign a posting by hand, or keep it unassigned; rules leave it alone from now on. A split one is whole again."""
    row = _to_be_decided(work, posting_id)
    line = assignment.budget_line_id
    if line is not None:
        line_named(work, line, "/budget_line_id")
    return _decide(work, "assign", posting_id, row, assignment.reason, line)


def split_posting(work: UnitOfWork, posting_id: str, splitting: Splitting) -> Posting:
    """Split a posting over budget lines; rules leave it alone from now on.

    Refused with `invalid-values` for lines that the club does not have, and for amounts that do not sum to it.
    """
    row = _to_be_decided(work, posting_id)
    by_shares = splitting.shares is not None
    lines = [share.budget_line_id for share in splitting.shares or ()]
    lines += [part.budget_line_id for part in splitting.amounts or ()]
    for number, line in enumerate(lines):
        line_named(work, line, f"/{'shares' if by_shares else 'amounts'}/{number}/budget_line_id")
    parts = _by_shares(row, splitting) if by_shares else _by_amounts(work, row, splitting)
    return _decide(work, "split", posting_id, row, splitting.reason, None, parts)


def unsplit_posting(work: UnitOfWork, posting_id: str, unsplitting: Unsplitting) -> Posting:
    """Make a split posting whole again; it is unassigned by hand then. Raises `wrong-state` where it is not split."""
    row = _to_be_decided(work, posting_id)
    if not row.split:
        raise ProblemError(problems.WRONG_STATE, "The posting is not split.")
    return _decide(work, "unsplit", posting_id, row, unsplitting.reason, None)


def _to_be_decided(work: UnitOfWork, posting_id: str) -> Row[*tuple[Any, ...]]:
    """The posting, which may be assigned otherwise. Raises `wrong-state` where it may not."""
    hold_assignments(work)
    row = posting_row(work, posting_id)
    if row.assigned_by == "pair":
        raise ProblemError(
            problems.WRONG_STATE,
            f"The posting takes back another one and follows its assignment; undo the reversal {row.pair_id} first.",
            reversal_id=str(row.pair_id),
        )
    paired = reversal_months(work, [row.pair_id]).values() if row.pair_id is not None else ()
    refuse_closed(work, row.month, *paired)
    return row


def _decide(
    work: UnitOfWork,
    action: str,
    posting_id: str,
    row: Row[*tuple[Any, ...]],
    reason: str,
    line: UUID | None,
    parts: tuple[Part, ...] = (),
) -> Posting:
    before = read_posting(work, posting_id)
    decided = Assignment(line, None, "hand", work.now, work.caller.name, reason, parts)
    set_assignments(work, {(row.fingerprint, row.occurrence): decided})
    follow_originals(work, [row.pair_id])
    after = read_posting(work, posting_id)
    record(work, action, "posting", posting_id, _told(before), _told(after) | {"reason": reason})
    return after


def _by_shares(row: Row[*tuple[Any, ...]], splitting: Splitting) -> tuple[Part, ...]:
    shares = [Share(one.budget_line_id, to_micros(one.percent)) for one in splitting.shares or ()]
    amounts = split_by_shares(row.amount_minor, shares)
    return tuple(
        Part(share.budget_line_id, amount, share.percent_micros)
        for share, amount in zip(shares, amounts, strict=True)
    )


def _by_amounts(work: UnitOfWork, row: Row[*tuple[Any, ...]], splitting: Splitting) -> tuple[Part, ...]:
    currency = read_club(work).currency
    parts = []
    for number, one in enumerate(splitting.amounts or ()):
        place, amount = ("amounts", number, "amount"), one.amount.amount
        if one.amount.currency != currency:
            raise unusable((*place, "currency"), f"the club's currency, {currency}", one.amount.currency)
        minor = to_minor(amount, currency)
        if from_minor(minor, currency) != amount:
            raise unusable((*place, "amount"), f"no more decimal places than {currency} has", amount)
        if minor * row.amount_minor <= 0:
            raise unusable((*place, "amount"), "an amount of the posting's own sign, not zero", amount)
        parts.append(Part(one.budget_line_id, minor, None))
    total = sum(part.amount_minor for part in parts)
    if total != row.amount_minor:
        expected = plain(from_minor(row.amount_minor, currency))
        raise unusable(
            ("amounts",), f"amounts that sum to the posting, {expected}", plain(from_minor(total, currency))
        )
    return tuple(parts)


def _told(posting: Posting) -> dict[str, Any]:
    told = posting.model_dump(mode="json", include={"budget_line_id", "rule_id", "assigned_by"})
    return told | ({"parts": posting.model_dump(mode="json")["parts"]} if posting.parts else {})
