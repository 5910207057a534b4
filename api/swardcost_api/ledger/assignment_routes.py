"""HTTP operations of assigning postings: by hand, by rules, and by confirmed reversals."""

from typing import Annotated
from uuid import UUID

from swardcost_model import problems
from swardcost_model.ledger import Posting
from swardcost_model.ledger_assignment import (
    AssignmentPreview,
    HandAssignment,
    NewRule,
    PreviewRequest,
    Rule,
    RuleChange,
    RulesApplied,
    Splitting,
    Unsplitting,
)
from swardcost_model.ledger_reversals import NewReversal, Reversal, ReversalProposals, UndoneReversal
from swardcost_model.paging import Page
from swardcost_model.values import Month

from swardcost_api.ledger import applying, previews, reversals, rules, splits
from swardcost_api.ledger.routes import BOOKKEEPERS, POSTINGS
from swardcost_api.operations import CLUB, EVERYONE, Cursor, Limit, Query, Room
from swardcost_api.storage.work import UnitOfWork

room = Room(
    "Assignment",
    "What postings are assigned to: by hand, by rules, split over budget lines, and by confirmed reversals.",
)
RULES = CLUB + "/ledger/rules"
REVERSALS = CLUB + "/ledger/reversals"


@room.act(
    POSTINGS + "/{posting_id}/assign", "Assign a posting by hand", needs=BOOKKEEPERS,
    problems=[problems.WRONG_STATE],
)  # fmt: skip
def assign_posting(work: UnitOfWork, posting_id: str, data: HandAssignment) -> Posting:
    """Who did it, when and why stays readable with the posting. Refused in a closed month, and for a reversal."""
    return splits.assign_posting(work, posting_id, data)


@room.act(
    POSTINGS + "/{posting_id}/split", "Split a posting over budget lines", needs=BOOKKEEPERS,
    problems=[problems.WRONG_STATE],
)  # fmt: skip
def split_posting(work: UnitOfWork, posting_id: str, data: Splitting) -> Posting:
    """By shares that sum to 100 percent, the odd cents by largest remainder, or by amounts that sum to the posting.

    Its parts count for their budget lines in every report and list. Rules leave the posting alone afterwards.
    """
    return splits.split_posting(work, posting_id, data)


@room.act(
    POSTINGS + "/{posting_id}/unsplit", "Make a split posting whole again", needs=BOOKKEEPERS,
    problems=[problems.WRONG_STATE],
)  # fmt: skip
def unsplit_posting(work: UnitOfWork, posting_id: str, data: Unsplitting) -> Posting:
    """It is unassigned by hand then; to give it to one line, assign it instead."""
    return splits.unsplit_posting(work, posting_id, data)


@room.create(RULES, "Add an assignment rule", needs=BOOKKEEPERS)
def create_assignment_rule(work: UnitOfWork, data: NewRule) -> Rule:
    """The rules of all budgets are tried on every posting that an import adds, lowest priority number first."""
    return rules.create_rule(work, data)


@room.read(RULES, "List the assignment rules")
def list_assignment_rules(
    work: UnitOfWork,
    limit: Limit = 50,
    cursor: Cursor = None,
    budget_id: Annotated[UUID | None, Query("Only rules of this budget.")] = None,
) -> Page[Rule]:
    """In the order in which they are tried."""
    return rules.list_rules(work, limit, cursor, budget_id)


@room.read(RULES + "/{rule_id}", "Read an assignment rule")
def read_assignment_rule(work: UnitOfWork, rule_id: UUID) -> Rule:
    return rules.read_rule(work, rule_id)


@room.edit(RULES + "/{rule_id}", "Edit an assignment rule", needs=BOOKKEEPERS)
def change_assignment_rule(work: UnitOfWork, rule_id: UUID, data: RuleChange, if_match: int) -> Rule:
    return rules.change_rule(work, rule_id, data, if_match)


@room.remove(RULES + "/{rule_id}", "Delete an assignment rule", needs=BOOKKEEPERS)
def delete_assignment_rule(work: UnitOfWork, rule_id: UUID, if_match: int) -> None:
    rules.delete_rule(work, rule_id, if_match)


@room.ask(CLUB + "/ledger/assignments/preview", "See what rules would do", needs=EVERYONE)
def preview_assignment(work: UnitOfWork, data: PreviewRequest) -> AssignmentPreview:
    """What a rule that is not saved would take of the unassigned postings, or what all saved rules would take.

    Says which other rules have postings that meet the same conditions, or would take them first. Nothing is changed.
    """
    return previews.preview(work, data)


@room.act(CLUB + "/ledger/assignments/apply", "Apply the rules to unassigned postings", needs=BOOKKEEPERS)
def apply_assignment_rules(work: UnitOfWork) -> RulesApplied:
    """Postings assigned or left unassigned by hand stay as they are, and so do those of closed months."""
    return applying.apply_rules(work)


@room.read(REVERSALS + "/proposals", "Look for reversals")
def propose_reversals(
    work: UnitOfWork,
    within_days: Annotated[
        int, Query("Days from an original to its reversal, at most.", ge=0, le=366, example=90)
    ] = 90,
    month: Annotated[
        Month | None, Query("Only reversals of this accounting month; without it, of all open ones.")
    ] = None,
    account: Annotated[str | None, Query("Only postings to this account.")] = None,
    limit: Annotated[int, Query("Pairs to show.", ge=1, le=200)] = 50,
) -> ReversalProposals:
    """Postings of one account with exactly opposite amounts, tied by a reference, a journal entry, a vendor or words.

    Each posting is in one pair at most, and the best match comes first. They are proposals: only a pair that is
    confirmed has an effect.
    """
    return reversals.propose_reversals(work, within_days, month, account, limit)


@room.create(REVERSALS, "Confirm a reversal", needs=BOOKKEEPERS, problems=[problems.WRONG_STATE])
def confirm_reversal(work: UnitOfWork, data: NewReversal) -> Reversal:
    """The reversal is assigned as its original is, also split, now and whenever the original is assigned otherwise.

    The original may be in a closed month; the reversal may not, because its assignment changes.
    """
    return reversals.confirm_reversal(work, data)


@room.read(REVERSALS, "List the confirmed reversals")
def list_reversals(work: UnitOfWork, limit: Limit = 50, cursor: Cursor = None) -> Page[Reversal]:
    return reversals.list_reversals(work, limit, cursor)


@room.read(REVERSALS + "/{reversal_id}", "Read a confirmed reversal")
def read_reversal(work: UnitOfWork, reversal_id: UUID) -> Reversal:
    return reversals.read_reversal(work, reversal_id)


@room.act(
    REVERSALS + "/{reversal_id}/undo", "Undo a reversal", needs=BOOKKEEPERS, problems=[problems.WRONG_STATE]
)
def undo_reversal(work: UnitOfWork, reversal_id: UUID, data: UndoneReversal) -> Reversal:
    """The two are a pair no longer, and the reversal is assigned again as it was before. Answers the pair that was."""
    return reversals.undo_reversal(work, reversal_id, data)
