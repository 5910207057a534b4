"""What postings are assigned to: a budget line, parts of several, or nothing; and by whom, when and why.

Whoever changes an assignment holds the assignments first (see `open_months`).
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any
from uuid import UUID

from pydantic import TypeAdapter
from sqlalchemy import Row, Select, bindparam, delete, insert, select, tuple_, update

from swardcost_api.engine.control.assignment import AssignmentRule, split_by_shares
from swardcost_api.ledger.tables import PostingPartRow as PartRow
from swardcost_api.ledger.tables import PostingRow
from swardcost_api.storage.work import UnitOfWork

Key = tuple[UUID, int]
"""A posting: its fingerprint and occurrence."""

BATCH = 5000
ORDER = (PostingRow.month, PostingRow.posted_on, PostingRow.fingerprint, PostingRow.occurrence)
"""The order of postings: by accounting month, then by day."""
_KEYS_AT_ONCE = 400


@dataclass(frozen=True, slots=True)
class Part:
    """What of a split posting goes to a line, in minor units; in millionths of a percent, where it was split so."""

    budget_line_id: UUID
    amount_minor: int
    percent_micros: int | None


@dataclass(frozen=True, slots=True)
class Assignment:
    """How a posting is assigned: to a line, or in parts, or not."""

    budget_line_id: UUID | None = None
    rule_id: UUID | None = None
    assigned_by: str | None = None
    decided_at: datetime | None = None
    decided_by: str | None = None
    reason: str | None = None
    parts: tuple[Part, ...] = field(default=())

    def opposite(self) -> tuple[Part, ...]:
        """The parts of a posting of the opposite amount that is split alike."""
        return tuple(Part(one.budget_line_id, -one.amount_minor, one.percent_micros) for one in self.parts)


ASSIGNMENT = TypeAdapter(Assignment)
"""Turns an assignment into a document and back."""

_COLUMNS = (
    PostingRow.fingerprint, PostingRow.occurrence, PostingRow.split, PostingRow.budget_line_id, PostingRow.rule_id,
    PostingRow.assigned_by, PostingRow.decided_at, PostingRow.decided_by, PostingRow.reason,
)  # fmt: skip


def assignments_of(work: UnitOfWork, keys: Iterable[Key]) -> dict[Key, Assignment]:
    """How these postings are assigned; those that the club does not have are not there."""
    found: dict[Key, Assignment] = {}
    for batch in _batches(list(keys)):
        statement = select(*_COLUMNS).where(PostingRow.club_id == work.club_id, _is_one_of(PostingRow, batch))
        rows = work.session.execute(statement).all()
        parts = parts_of(work, [(row.fingerprint, row.occurrence) for row in rows if row.split])
        for row in rows:
            key = row.fingerprint, row.occurrence
            found[key] = Assignment(
                row.budget_line_id, row.rule_id, row.assigned_by, row.decided_at, row.decided_by, row.reason,
                tuple(parts.get(key, ())),
            )  # fmt: skip
    return found


def parts_of(work: UnitOfWork, keys: Sequence[Key]) -> dict[Key, list[Part]]:
    """The parts of split postings, in their order."""
    found: dict[Key, list[Part]] = {}
    for batch in _batches(keys):
        statement = (
            select(PartRow.fingerprint, PartRow.occurrence, PartRow.budget_line_id, PartRow.amount_minor,
                   PartRow.percent_micros)
            .where(PartRow.club_id == work.club_id, _is_one_of(PartRow, batch))
            .order_by(PartRow.fingerprint, PartRow.occurrence, PartRow.number)
        )  # fmt: skip
        for fingerprint, occurrence, line, amount, percent in work.session.execute(statement):
            found.setdefault((fingerprint, occurrence), []).append(Part(line, amount, percent))
    return found


def set_assignments(work: UnitOfWork, wanted: Mapping[Key, Assignment]) -> None:
    """Assign postings otherwise, whatever they were assigned to before."""
    if not wanted:
        return
    connection = work.session.connection()
    for batch in _batches(list(wanted)):
        connection.execute(delete(PartRow).where(PartRow.club_id == work.club_id, _is_one_of(PartRow, batch)))
    assign = (
        update(PostingRow.__table__)  # type: ignore[arg-type]
        .where(
            PostingRow.club_id == work.club_id,
            PostingRow.fingerprint == bindparam("of_fingerprint"),
            PostingRow.occurrence == bindparam("of_occurrence"),
        )
        .values(
            budget_line_id=bindparam("line"), split=bindparam("is_split"), rule_id=bindparam("rule"),
            assigned_by=bindparam("by"), decided_at=bindparam("at"), decided_by=bindparam("who"),
            reason=bindparam("why"),
        )
    )  # fmt: skip
    changes = [
        {"of_fingerprint": key[0], "of_occurrence": key[1], "line": one.budget_line_id, "is_split": bool(one.parts),
         "rule": one.rule_id, "by": one.assigned_by, "at": one.decided_at, "who": one.decided_by, "why": one.reason}
        for key, one in wanted.items()
    ]  # fmt: skip
    connection.execute(assign, changes)
    add_parts(work, {key: one.parts for key, one in wanted.items() if one.parts})


def add_parts(work: UnitOfWork, parts: Mapping[Key, Iterable[Part]]) -> None:
    """Add the parts of postings that have none yet."""
    rows: list[dict[str, Any]] = [
        {"club_id": work.club_id, "fingerprint": fingerprint, "occurrence": occurrence, "number": number,
         "budget_line_id": part.budget_line_id, "amount_minor": part.amount_minor,
         "percent_micros": part.percent_micros}
        for (fingerprint, occurrence), of_one in parts.items()
        for number, part in enumerate(of_one, start=1)
    ]  # fmt: skip
    if rows:
        work.session.connection().execute(insert(PartRow), rows)


def parts_by(rule: AssignmentRule, amount_minor: int) -> tuple[Part, ...]:
    """What a rule splits a posting of this amount into; nothing where it gives postings to one line."""
    if not rule.shares:
        return ()
    amounts = split_by_shares(amount_minor, rule.shares)
    return tuple(
        Part(share.budget_line_id, amount, share.percent_micros)
        for share, amount in zip(rule.shares, amounts, strict=True)
    )


def split_imported(work: UnitOfWork, came_with_import: Any, rules: Iterable[AssignmentRule]) -> None:
    """Give the postings that came with an import, and that a rule splits, their parts."""
    splitting = {rule.id: rule for rule in rules if rule.shares}
    if not splitting:
        return
    statement = select(*ORDER, PostingRow.amount_minor, PostingRow.rule_id).where(
        came_with_import, PostingRow.split
    )
    for rows in in_batches(work, statement):
        add_parts(
            work,
            {
                (row.fingerprint, row.occurrence): parts_by(splitting[row.rule_id], row.amount_minor)
                for row in rows
            },
        )


def in_batches(
    work: UnitOfWork, statement: Select[*tuple[Any, ...]], size: int | None = None
) -> Iterator[Sequence[Row[*tuple[Any, ...]]]]:
    """The rows of a statement that selects postings with the columns of `ORDER`, in that order, a batch at a time.

    Each batch is a statement of its own, so that what was read may be changed before the next.
    """
    limit = size or BATCH
    statement = statement.order_by(*ORDER).limit(limit)
    batch = work.session.execute(statement).all()
    while batch:
        yield batch
        if len(batch) < limit:
            return
        after = tuple_(*ORDER) > tuple_(*(getattr(batch[-1], column.key) for column in ORDER))
        batch = work.session.execute(statement.where(after)).all()


def _batches(keys: Sequence[Key]) -> Iterable[Sequence[Key]]:
    for start in range(0, len(keys), _KEYS_AT_ONCE):
        yield keys[start : start + _KEYS_AT_ONCE]


def _is_one_of(table: Any, keys: Sequence[Key]) -> Any:
    return tuple_(table.fingerprint, table.occurrence).in_(keys)
