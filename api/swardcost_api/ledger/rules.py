"""Assignment rules: which postings go to which budget line, and applying them to what is unassigned."""

from collections import Counter
from collections.abc import Iterator, Sequence
from decimal import Decimal
from typing import Any
from uuid import UUID

from pydantic import ValidationError
from pydantic_core import PydanticCustomError
from sqlalchemy import Row, bindparam, insert, select, tuple_, update
from swardcost_model import problems
from swardcost_model.ledger import (
    NewRule,
    Rule,
    RuleChange,
    RuleConditions,
    RuleCount,
    RuleFields,
    RulesApplied,
)
from swardcost_model.paging import Page
from swardcost_model.problems import ProblemError
from swardcost_model.values import Money, from_minor, to_minor

from swardcost_api.access.service import read_club, record
from swardcost_api.budgets.service import read_budget
from swardcost_api.engine.control.assignment import AssignmentRule, matcher
from swardcost_api.ledger.tables import AssignmentRuleRow as RuleRow
from swardcost_api.ledger.tables import PostingRow
from swardcost_api.storage.paging import read_page
from swardcost_api.storage.rows import delete_row, edit_row, missing
from swardcost_api.storage.work import UnitOfWork

BATCH = 5000
_RULE = tuple(c for c in RuleRow.__table__.c if c.name != "club_id")
_PLAIN = ("account", "account_prefix", "text_contains", "vendor_contains", "date_from", "date_to")
_AMOUNTS = ("amount_min", "amount_max")


def create_rule(work: UnitOfWork, new: NewRule) -> Rule:
    """Add a rule to a budget. Raises `duplicate` where the budget has one of that name."""
    currency = read_club(work).currency
    _refuse_unusable(work, new.budget_id, new, currency, budget_named=True)
    _refuse_taken_name(work, new.budget_id, new.name)
    rule = _rule(work.new_id(), new.budget_id, new, version=1)
    work.session.execute(
        insert(RuleRow).values(
            club_id=work.club_id, id=rule.id, budget_id=new.budget_id, version=1, **_columns(new, currency)
        )
    )
    record(work, "create", "assignment_rule", rule.id, after=rule)
    return rule


def list_rules(work: UnitOfWork, limit: int, cursor: str | None, budget_id: UUID | None) -> Page[Rule]:
    """The club's rules, or those of a budget, in the order in which they are tried."""
    statement = select(*_RULE).where(RuleRow.club_id == work.club_id)
    if budget_id is not None:
        statement = statement.where(RuleRow.budget_id == budget_id)
    rows, following = read_page(work, statement, (RuleRow.priority, RuleRow.id), limit, cursor)
    currency = read_club(work).currency
    return Page[Rule](items=[_rule_of(row, currency) for row in rows], next=following)


def read_rule(work: UnitOfWork, rule_id: UUID) -> Rule:
    """One rule."""
    row = work.session.execute(
        select(*_RULE).where(RuleRow.club_id == work.club_id, RuleRow.id == rule_id)
    ).first()
    if row is None:
        raise missing("assignment rule")
    return _rule_of(row, read_club(work).currency)


def change_rule(work: UnitOfWork, rule_id: UUID, change: RuleChange, if_match: int) -> Rule:
    """Replace a rule; it stays in its budget."""
    before = read_rule(work, rule_id)
    currency = read_club(work).currency
    _refuse_unusable(work, before.budget_id, change, currency)
    if change.name != before.name:
        _refuse_taken_name(work, before.budget_id, change.name)
    edit_row(work, RuleRow, rule_id, if_match, "assignment rule", **_columns(change, currency))
    after = _rule(rule_id, before.budget_id, change, version=if_match + 1)
    record(work, "change", "assignment_rule", rule_id, before, after)
    return after


def delete_rule(work: UnitOfWork, rule_id: UUID, if_match: int) -> None:
    """Delete a rule. Postings that it assigned stay where they are."""
    before = read_rule(work, rule_id)
    delete_row(work, RuleRow, rule_id, if_match, "assignment rule")
    record(work, "delete", "assignment_rule", rule_id, before)


def rules_in_force(work: UnitOfWork) -> list[AssignmentRule]:
    """All rules of the club, ready for the matcher."""
    rows = work.session.execute(select(*_RULE).where(RuleRow.club_id == work.club_id))
    return [
        AssignmentRule(
            id=row.id, priority=row.priority, budget_line_id=row.budget_line_id, account=row.account,
            account_prefix=row.account_prefix, text_contains=row.text_contains, vendor_contains=row.vendor_contains,
            date_from=row.date_from.isoformat() if row.date_from else None,
            date_to=row.date_to.isoformat() if row.date_to else None,
            amount_min=row.amount_min_minor, amount_max=row.amount_max_minor,
        )
        for row in rows
    ]  # fmt: skip


def apply_rules(work: UnitOfWork) -> RulesApplied:
    """Try the rules on every posting that is neither assigned nor was left unassigned by hand."""
    rule_for = matcher(rules_in_force(work))
    assign = (
        update(PostingRow)
        .where(
            PostingRow.club_id == work.club_id,
            PostingRow.fingerprint == bindparam("of_fingerprint"),
            PostingRow.occurrence == bindparam("of_occurrence"),
        )
        .values(budget_line_id=bindparam("line"), rule_id=bindparam("rule"), assigned_by="rule")
    )
    tried, counts = 0, Counter[UUID]()
    for batch in _unassigned(work):
        tried += len(batch)
        changes = []
        for row in batch:
            rule = rule_for(
                row.posted_on.isoformat(), row.account, row.amount_minor, row.description, row.vendor or ""
            )
            if rule is not None:
                counts[rule.id] += 1
                changes.append(
                    {"of_fingerprint": row.fingerprint, "of_occurrence": row.occurrence, "line": rule.budget_line_id,
                     "rule": rule.id}
                )  # fmt: skip
        if changes:
            work.session.connection().execute(assign, changes)
    applied = RulesApplied(tried=tried, assigned=counts.total(), rules=_counted(work, counts))
    if counts:
        record(work, "apply", "assignment_rules", work.club_id, after=applied)
    return applied


def _unassigned(work: UnitOfWork) -> Iterator[Sequence[Row[*tuple[Any, ...]]]]:
    """The postings that rules may assign, in batches, locked until the end of the transaction."""
    key = (PostingRow.posted_on, PostingRow.fingerprint, PostingRow.occurrence)
    statement: Any = (
        select(*key, PostingRow.account, PostingRow.amount_minor, PostingRow.description, PostingRow.vendor)
        .where(PostingRow.club_id == work.club_id, PostingRow.assigned_by.is_(None))
        .order_by(*key)
        .limit(BATCH)
        .with_for_update()
    )
    batch = work.session.execute(statement).all()
    while batch:
        yield batch
        last = batch[-1]
        after = tuple_(*key) > tuple_(last.posted_on, last.fingerprint, last.occurrence)
        batch = work.session.execute(statement.where(after)).all()


def _counted(work: UnitOfWork, counts: Counter[UUID]) -> list[RuleCount]:
    rows = work.session.execute(
        select(RuleRow.id, RuleRow.name)
        .where(RuleRow.club_id == work.club_id)
        .order_by(RuleRow.priority, RuleRow.id)
    )
    return [RuleCount(rule_id=row.id, name=row.name, postings=counts[row.id]) for row in rows]


def _rule(rule_id: UUID, budget_id: UUID, fields: RuleFields, version: int) -> Rule:
    stated = {name: getattr(fields, name) for name in RuleFields.model_fields}
    return Rule.model_construct(id=rule_id, budget_id=budget_id, version=version, **stated)


def _rule_of(row: Row[*tuple[Any, ...]], currency: str) -> Rule:
    conditions: dict[str, Any] = {name: getattr(row, name) for name in _PLAIN}
    for name in _AMOUNTS:
        minor = getattr(row, f"{name}_minor")
        conditions[name] = Money.of_minor(minor, currency) if minor is not None else None
    return Rule.model_construct(
        id=row.id, budget_id=row.budget_id, version=row.version, name=row.name, priority=row.priority,
        budget_line_id=row.budget_line_id, conditions=RuleConditions.model_construct(**conditions),
    )  # fmt: skip


def _columns(fields: RuleFields, currency: str) -> dict[str, Any]:
    columns = {name: getattr(fields.conditions, name) for name in _PLAIN}
    for name in _AMOUNTS:
        money = getattr(fields.conditions, name)
        columns[f"{name}_minor"] = to_minor(money.amount, currency) if money is not None else None
    return columns | {
        "name": fields.name,
        "priority": fields.priority,
        "budget_line_id": fields.budget_line_id,
    }


def _refuse_unusable(
    work: UnitOfWork, budget_id: UUID, fields: RuleFields, currency: str, *, budget_named: bool = False
) -> None:
    """Raise a validation error for a budget, a line or an amount that this club's rule cannot have."""
    for name in _AMOUNTS:
        money: Money | None = getattr(fields.conditions, name)
        if money is None:
            continue
        if money.currency != currency:
            raise unusable(
                ("conditions", name, "currency"), f"the club's currency, {currency}", money.currency
            )
        if Decimal(from_minor(to_minor(money.amount, currency), currency)) != money.amount:
            raise unusable(
                ("conditions", name, "amount"), f"no more decimal places than {currency} has", money.amount
            )
    try:
        lines = {line.id for line in read_budget(work, budget_id).lines}
    except ProblemError as error:
        if budget_named and error.kind is problems.NOT_FOUND:
            raise unusable(("budget_id",), "the id of a budget of this club", budget_id) from None
        raise
    if fields.budget_line_id not in lines:
        raise unusable(("budget_line_id",), "the id of a line of this budget", fields.budget_line_id)


def unusable(place: tuple[str, ...], expected: str, got: object) -> ValidationError:
    """A validation error at one place of the body."""
    error = PydanticCustomError("unusable", "{expected}", {"expected": expected})
    return ValidationError.from_exception_data("Body", [{"type": error, "loc": place, "input": str(got)}])


def _refuse_taken_name(work: UnitOfWork, budget_id: UUID, name: str) -> None:
    taken = select(RuleRow.id).where(
        RuleRow.club_id == work.club_id, RuleRow.budget_id == budget_id, RuleRow.name == name
    )
    if work.session.scalar(taken) is not None:
        raise ProblemError(problems.DUPLICATE, f"This budget has a rule named {name!r} already.")
