"""Assignment rules: which postings go to which budget line, or are split over which."""

from collections.abc import Iterable, Sequence
from datetime import date
from decimal import Decimal
from typing import Any
from uuid import UUID

from pydantic import ValidationError
from pydantic_core import PydanticCustomError
from sqlalchemy import Row, delete, insert, select
from swardcost_model import problems
from swardcost_model.ledger_assignment import (
    NewRule,
    Rule,
    RuleChange,
    RuleConditions,
    RuleFields,
)
from swardcost_model.ledger_assignment import Share as ShareOfRule
from swardcost_model.paging import Page
from swardcost_model.problems import ProblemError
from swardcost_model.values import Money, from_micros, from_minor, to_micros, to_minor

from swardcost_api.access.service import read_club, record
from swardcost_api.budgets.service import read_budget
from swardcost_api.engine.control.assignment import AssignmentRule, Share
from swardcost_api.ledger.tables import AssignmentRuleRow as RuleRow
from swardcost_api.ledger.tables import RuleShareRow as ShareRow
from swardcost_api.storage.paging import read_page
from swardcost_api.storage.rows import delete_row, edit_row, missing
from swardcost_api.storage.work import UnitOfWork

_RULE = tuple(c for c in RuleRow.__table__.c if c.name != "club_id")
_PLAIN = (
    "account", "account_prefix", "text_contains", "vendor_contains", "project_code", "date_from", "date_to",
)  # fmt: skip
_AMOUNTS = ("amount_min", "amount_max")


def create_rule(work: UnitOfWork, new: NewRule) -> Rule:
    """Add a rule to a budget. Raises `duplicate` where the budget has one of that name."""
    currency = read_club(work).currency
    refuse_unusable(work, new.budget_id, new, currency, budget_named=True)
    _refuse_taken_name(work, new.budget_id, new.name)
    rule = _rule(work.new_id(), new.budget_id, new, version=1)
    work.session.execute(
        insert(RuleRow).values(
            club_id=work.club_id, id=rule.id, budget_id=new.budget_id, version=1, **_columns(new, currency)
        )
    )
    _add_shares(work, rule.id, new)
    record(work, "create", "assignment_rule", rule.id, after=rule)
    return rule


def list_rules(work: UnitOfWork, limit: int, cursor: str | None, budget_id: UUID | None) -> Page[Rule]:
    """The club's rules, or those of a budget, in the order in which they are tried."""
    statement = select(*_RULE).where(RuleRow.club_id == work.club_id)
    if budget_id is not None:
        statement = statement.where(RuleRow.budget_id == budget_id)
    rows, following = read_page(work, statement, (RuleRow.priority, RuleRow.id), limit, cursor)
    return Page[Rule](items=_rules_of(work, rows), next=following)


def read_rule(work: UnitOfWork, rule_id: UUID) -> Rule:
    """One rule."""
    row = work.session.execute(
        select(*_RULE).where(RuleRow.club_id == work.club_id, RuleRow.id == rule_id)
    ).first()
    if row is None:
        raise missing("assignment rule")
    return _rules_of(work, [row])[0]


def change_rule(work: UnitOfWork, rule_id: UUID, change: RuleChange, if_match: int) -> Rule:
    """Replace a rule; it stays in its budget."""
    before = read_rule(work, rule_id)
    currency = read_club(work).currency
    refuse_unusable(work, before.budget_id, change, currency)
    if change.name != before.name:
        _refuse_taken_name(work, before.budget_id, change.name)
    edit_row(work, RuleRow, rule_id, if_match, "assignment rule", **_columns(change, currency))
    _remove_shares(work, rule_id)
    _add_shares(work, rule_id, change)
    after = _rule(rule_id, before.budget_id, change, version=if_match + 1)
    record(work, "change", "assignment_rule", rule_id, before, after)
    return after


def delete_rule(work: UnitOfWork, rule_id: UUID, if_match: int) -> None:
    """Delete a rule. Postings that it assigned stay where they are."""
    before = read_rule(work, rule_id)
    _remove_shares(work, rule_id)
    delete_row(work, RuleRow, rule_id, if_match, "assignment rule")
    record(work, "delete", "assignment_rule", rule_id, before)


def rules_in_force(work: UnitOfWork) -> list[AssignmentRule]:
    """All rules of the club, ready for the matcher."""
    rows = work.session.execute(select(*_RULE).where(RuleRow.club_id == work.club_id)).all()
    currency = read_club(work).currency
    return [matching(rule.id, rule, currency) for rule in _rules_of(work, rows)]


def matching(rule_id: UUID, fields: RuleFields, currency: str) -> AssignmentRule:
    """A rule as it would be tried once it is saved."""
    conditions = fields.conditions
    amounts = {
        name: to_minor(money.amount, currency) if (money := getattr(conditions, name)) is not None else None
        for name in _AMOUNTS
    }
    return AssignmentRule(
        id=rule_id, priority=fields.priority, budget_line_id=fields.budget_line_id, account=conditions.account,
        account_prefix=conditions.account_prefix, text_contains=conditions.text_contains,
        vendor_contains=conditions.vendor_contains, date_from=_iso(conditions.date_from),
        date_to=_iso(conditions.date_to), project_code=conditions.project_code, **amounts,
        shares=tuple(Share(one.budget_line_id, to_micros(one.percent)) for one in fields.shares or ()),
    )  # fmt: skip


def names_of_rules(work: UnitOfWork) -> dict[UUID, str]:
    """The names of the club's rules, in the order in which they are tried."""
    rows = work.session.execute(
        select(RuleRow.id, RuleRow.name)
        .where(RuleRow.club_id == work.club_id)
        .order_by(RuleRow.priority, RuleRow.id)
    )
    return {row.id: row.name for row in rows}


def _iso(day: date | None) -> str | None:
    return day.isoformat() if day is not None else None


def _rule(rule_id: UUID, budget_id: UUID, fields: RuleFields, version: int) -> Rule:
    stated = {name: getattr(fields, name) for name in RuleFields.model_fields}
    return Rule.model_construct(id=rule_id, budget_id=budget_id, version=version, **stated)


def _rules_of(work: UnitOfWork, rows: Sequence[Row[*tuple[Any, ...]]]) -> list[Rule]:
    currency = read_club(work).currency
    shares = _shares_of(work, [row.id for row in rows if row.budget_line_id is None])
    return [_rule_of(row, shares.get(row.id), currency) for row in rows]


def _shares_of(work: UnitOfWork, rule_ids: Iterable[UUID]) -> dict[UUID, list[ShareOfRule]]:
    """The shares of rules that split."""
    found: dict[UUID, list[ShareOfRule]] = {rule_id: [] for rule_id in rule_ids}
    if found:
        statement = (
            select(ShareRow.rule_id, ShareRow.budget_line_id, ShareRow.percent_micros)
            .where(ShareRow.club_id == work.club_id)
            .order_by(ShareRow.rule_id, ShareRow.number)
        )
        for rule_id, line, percent in work.session.execute(statement):
            if rule_id in found:
                share = ShareOfRule.model_construct(budget_line_id=line, percent=from_micros(percent))
                found[rule_id].append(share)
    return found


def _add_shares(work: UnitOfWork, rule_id: UUID, fields: RuleFields) -> None:
    rows = [
        {"club_id": work.club_id, "rule_id": rule_id, "number": number, "budget_line_id": share.budget_line_id,
         "percent_micros": to_micros(share.percent)}
        for number, share in enumerate(fields.shares or (), start=1)
    ]  # fmt: skip
    if rows:
        work.session.execute(insert(ShareRow), rows)


def _remove_shares(work: UnitOfWork, rule_id: UUID) -> None:
    work.session.execute(
        delete(ShareRow).where(ShareRow.club_id == work.club_id, ShareRow.rule_id == rule_id)
    )


def _rule_of(row: Row[*tuple[Any, ...]], shares: list[ShareOfRule] | None, currency: str) -> Rule:
    conditions: dict[str, Any] = {name: getattr(row, name) for name in _PLAIN}
    for name in _AMOUNTS:
        minor = getattr(row, f"{name}_minor")
        conditions[name] = Money.of_minor(minor, currency) if minor is not None else None
    return Rule.model_construct(
        id=row.id, budget_id=row.budget_id, version=row.version, name=row.name, priority=row.priority,
        budget_line_id=row.budget_line_id, shares=shares, conditions=RuleConditions.model_construct(**conditions),
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


def refuse_unusable(
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
    if fields.budget_line_id is not None and fields.budget_line_id not in lines:
        raise unusable(("budget_line_id",), "the id of a line of this budget", fields.budget_line_id)
    for number, share in enumerate(fields.shares or ()):
        if share.budget_line_id not in lines:
            place = ("shares", number, "budget_line_id")
            raise unusable(place, "the id of a line of this budget", share.budget_line_id)


def unusable(place: tuple[str | int, ...], expected: str, got: object) -> ValidationError:
    """A validation error at one place of the body."""
    error = PydanticCustomError("unusable", "{expected}", {"expected": expected})
    return ValidationError.from_exception_data("Body", [{"type": error, "loc": place, "input": str(got)}])


def _refuse_taken_name(work: UnitOfWork, budget_id: UUID, name: str) -> None:
    taken = select(RuleRow.id).where(
        RuleRow.club_id == work.club_id, RuleRow.budget_id == budget_id, RuleRow.name == name
    )
    if work.session.scalar(taken) is not None:
        raise ProblemError(problems.DUPLICATE, f"This budget has a rule named {name!r} already.")
