"""What assignment rules would do, before they do it: nothing is changed."""

from bisect import insort
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from operator import itemgetter
from typing import Any
from uuid import UUID

from sqlalchemy import ColumnElement, Row, func, select
from swardcost_model.ledger_assignment import (
    SAMPLES,
    AssignmentPreview,
    OtherRule,
    PreviewRequest,
    RulePreview,
    SampledPosting,
)
from swardcost_model.values import Money

from swardcost_api.access.service import read_club
from swardcost_api.engine.control.assignment import AssignmentRule, matcher_of_all
from swardcost_api.ledger.open_months import first_open
from swardcost_api.ledger.postings import id_of
from swardcost_api.ledger.rules import matching, names_of_rules, read_rule, refuse_unusable, rules_in_force
from swardcost_api.ledger.tables import PostingRow
from swardcost_api.storage.rows import named_in_request
from swardcost_api.storage.work import UnitOfWork

NOT_SAVED = UUID(int=2**128 - 1)
"""Stands for the rule that is not saved: the youngest of all, so that it is tried after those of its priority."""
_ROWS_AT_ONCE = 5000


_Order = tuple[date, UUID, int]
"""What orders samples: the day, then the posting's key."""


@dataclass
class _Findings:
    """What is found about one rule while the postings go by."""

    postings: int = 0
    amount_minor: int = 0
    samples: list[tuple[_Order, Row[*tuple[Any, ...]]]] = field(default_factory=list)
    assigned: Counter[UUID] = field(default_factory=Counter)
    comes_first: Counter[UUID] = field(default_factory=Counter)
    by_hand: int = 0
    in_closed_months: int = 0


def preview(work: UnitOfWork, asked: PreviewRequest) -> AssignmentPreview:
    """What a rule that is not saved would do beside the others, or what all rules would do, were they applied now."""
    currency, names, rules = read_club(work).currency, names_of_rules(work), rules_in_force(work)
    conditions: list[ColumnElement[bool]] = []
    wanted = list(names)
    if asked.rule is not None:
        refuse_unusable(work, asked.rule.budget_id, asked.rule, currency, budget_named=True)
        replaced = _replaced(work, asked.in_place_of)
        new = matching(replaced or NOT_SAVED, asked.rule, currency)
        rules = [rule for rule in rules if rule.id != replaced] + [new]
        names[new.id] = asked.rule.name
        wanted, conditions = [new.id], _narrowing(new)
    findings = {rule_id: _Findings() for rule_id in wanted}
    _go_through(work, rules, findings, conditions)
    return AssignmentPreview(
        tried=_unassigned_in_open_months(work),
        rules=[_preview_of(rule_id, findings[rule_id], names, currency) for rule_id in wanted],
    )


def _replaced(work: UnitOfWork, rule_id: UUID | None) -> UUID | None:
    if rule_id is None:
        return None
    expected = "the id of an assignment rule of this club"
    with named_in_request("/in_place_of", expected, rule_id, "There is no such rule to replace."):
        return read_rule(work, rule_id).id


def _go_through(
    work: UnitOfWork,
    rules: Iterable[AssignmentRule],
    findings: dict[UUID, _Findings],
    conditions: Iterable[ColumnElement[bool]],
) -> None:
    """Show every posting that may matter to all rules, and note what comes of it."""
    opened, rules_for = first_open(work), matcher_of_all(rules)
    columns = (
        PostingRow.month, PostingRow.posted_on, PostingRow.fingerprint, PostingRow.occurrence, PostingRow.account,
        PostingRow.amount_minor, PostingRow.description, PostingRow.vendor, PostingRow.project,
        PostingRow.assigned_by, PostingRow.rule_id,
    )  # fmt: skip
    statement = select(*columns).where(PostingRow.club_id == work.club_id, *conditions)
    statement = statement.execution_options(yield_per=_ROWS_AT_ONCE)
    for row in work.session.connection().execute(statement):
        met = rules_for(
            row.posted_on.isoformat(), row.account, row.amount_minor, row.description, row.vendor or "",
            row.project or "",
        )  # fmt: skip
        for rule in met:
            if rule.id in findings:
                _note(findings[rule.id], rule, met[0], row, row.month >= opened)


def _note(
    found: _Findings,
    rule: AssignmentRule,
    first: AssignmentRule,
    row: Row[*tuple[Any, ...]],
    is_open: bool,
) -> None:
    """Count a posting that meets a rule's conditions; `first` is the rule that is tried first of those it meets."""
    if row.assigned_by == "rule":
        if is_open and row.rule_id != rule.id and row.rule_id is not None:
            found.assigned[row.rule_id] += 1
    elif row.assigned_by is not None:
        found.by_hand += is_open
    elif not is_open:
        found.in_closed_months += 1
    elif first is not rule:
        found.comes_first[first.id] += 1
    else:
        found.postings += 1
        found.amount_minor += row.amount_minor
        order = row.posted_on, row.fingerprint, row.occurrence
        if len(found.samples) < SAMPLES or order < found.samples[-1][0]:
            insort(found.samples, (order, row), key=itemgetter(0))
            del found.samples[SAMPLES:]


def _narrowing(rule: AssignmentRule) -> list[ColumnElement[bool]]:
    """What the database can tell of a rule's conditions, so that fewer postings need looking at."""
    found: list[ColumnElement[bool]] = []
    if rule.account is not None:
        found.append(PostingRow.account == rule.account)
    if rule.account_prefix is not None:
        found.append(PostingRow.account.startswith(rule.account_prefix, autoescape=True))
    if rule.project_code is not None:
        found.append(PostingRow.project == rule.project_code)
    if rule.date_from is not None:
        found.append(PostingRow.posted_on >= date.fromisoformat(rule.date_from))
    if rule.date_to is not None:
        found.append(PostingRow.posted_on <= date.fromisoformat(rule.date_to))
    if rule.amount_min is not None:
        found.append(PostingRow.amount_minor >= rule.amount_min)
    if rule.amount_max is not None:
        found.append(PostingRow.amount_minor <= rule.amount_max)
    return found


def _unassigned_in_open_months(work: UnitOfWork) -> int:
    unassigned = [PostingRow.club_id == work.club_id, PostingRow.assigned_by.is_(None)]
    if opened := first_open(work):
        unassigned.append(PostingRow.month >= opened)
    return work.session.scalar(select(func.count()).where(*unassigned)) or 0


def _preview_of(rule_id: UUID, found: _Findings, names: dict[UUID, str], currency: str) -> RulePreview:
    others = [
        OtherRule(
            rule_id=other, name=names.get(other), assigned=found.assigned[other], comes_first=found.comes_first[other]
        )
        for other in sorted({*found.assigned, *found.comes_first}, key=lambda one: (names.get(one, ""), one))
    ]  # fmt: skip
    return RulePreview(
        rule_id=rule_id if rule_id != NOT_SAVED else None, name=names[rule_id], postings=found.postings,
        amount=Money.of_minor(found.amount_minor, currency),
        samples=[_sample(row, currency) for _, row in found.samples], others=others,
        decided_by_hand=found.by_hand, in_closed_months=found.in_closed_months,
    )  # fmt: skip


def _sample(row: Row[*tuple[Any, ...]], currency: str) -> SampledPosting:
    return SampledPosting(
        id=id_of(row.fingerprint, row.occurrence), posted_on=row.posted_on, account=row.account,
        amount=Money.of_minor(row.amount_minor, currency), description=row.description, vendor=row.vendor,
    )  # fmt: skip
