"""Applying the assignment rules to what is unassigned."""

from collections import Counter
from uuid import UUID

from sqlalchemy import func, select
from swardcost_model.ledger_assignment import RuleCount, RulesApplied

from swardcost_api.access.service import record
from swardcost_api.engine.control.assignment import matcher
from swardcost_api.ledger.assignments import ORDER, Assignment, Key, in_batches, parts_by, set_assignments
from swardcost_api.ledger.open_months import first_open, hold_assignments
from swardcost_api.ledger.reversals import follow_originals, reversal_months
from swardcost_api.ledger.rules import names_of_rules, rules_in_force
from swardcost_api.ledger.tables import PostingRow
from swardcost_api.storage.work import UnitOfWork


def apply_rules(work: UnitOfWork) -> RulesApplied:
    """Try the rules on every posting of an open month that is neither assigned nor was left unassigned by hand.

    The reversal of a posting that finds a rule follows it; where that one's month is closed, both stay as they are.
    """
    hold_assignments(work)
    opened = first_open(work)
    rule_for = matcher(rules_in_force(work))
    unassigned = (PostingRow.club_id == work.club_id, PostingRow.assigned_by.is_(None))
    closed = work.session.scalar(select(func.count()).where(*unassigned, PostingRow.month < opened)) or 0
    statement = select(
        *ORDER, PostingRow.account, PostingRow.amount_minor, PostingRow.description, PostingRow.vendor,
        PostingRow.project, PostingRow.pair_id,
    ).where(*unassigned, PostingRow.month >= opened)  # fmt: skip
    tried, counts = 0, Counter[UUID]()
    for batch in in_batches(work, statement):
        months = reversal_months(work, [row.pair_id for row in batch if row.pair_id is not None])
        stuck = {pair_id for pair_id, month in months.items() if month < opened}
        changes: dict[Key, Assignment] = {}
        for row in batch:
            if row.pair_id in stuck:
                closed += 1
                continue
            tried += 1
            rule = rule_for(
                row.posted_on.isoformat(), row.account, row.amount_minor, row.description, row.vendor or "",
                row.project or "",
            )  # fmt: skip
            if rule is not None:
                counts[rule.id] += 1
                changes[row.fingerprint, row.occurrence] = Assignment(
                    rule.budget_line_id, rule.id, "rule", parts=parts_by(rule, row.amount_minor)
                )
        set_assignments(work, changes)
        follow_originals(work, [row.pair_id for row in batch if (row.fingerprint, row.occurrence) in changes])
    named = [
        RuleCount(rule_id=rule_id, name=name, postings=counts[rule_id])
        for rule_id, name in names_of_rules(work).items()
    ]
    applied = RulesApplied(tried=tried, assigned=counts.total(), in_closed_months=closed, rules=named)
    if counts:
        record(work, "apply", "assignment_rules", work.club_id, after=applied)
    return applied
