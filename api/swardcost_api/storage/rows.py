"""The few things that every room does with a row that has a club, an id and a version."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any
from uuid import UUID

from sqlalchemy import Row, Select, bindparam, delete, select, update
from sqlalchemy.exc import IntegrityError
from swardcost_model import problems
from swardcost_model.problems import Fault, ProblemError

from swardcost_api.storage.work import UnitOfWork


def missing(kind: str) -> ProblemError:
    """The refusal for an id that this club does not have."""
    return ProblemError(problems.NOT_FOUND, f"There is no {kind} with this id.")


@contextmanager
def named_in_request(pointer: str, expected: str, got: UUID, detail: str) -> Iterator[None]:
    """While reading what a request names: refuse with `invalid-values` at its place what the club does not have."""
    try:
        yield
    except ProblemError as error:
        if error.kind is not problems.NOT_FOUND:
            raise
        fault = Fault(pointer=pointer, expected=expected, got=str(got))
        raise ProblemError(problems.INVALID_VALUES, detail, [fault]) from None


def by_id(table: Any, columns: Sequence[Any]) -> Select[*tuple[Any, ...]]:
    """The statement that reads one row of a club, built once: building costs more than running it."""
    return select(*columns).where(table.club_id == bindparam("club"), table.id == bindparam("id"))


def read_row(
    work: UnitOfWork, statement: Select[*tuple[Any, ...]], row_id: UUID, kind: str
) -> Row[*tuple[Any, ...]]:
    """The row that a statement made by `by_id` finds. Raises `not-found`."""
    # Straight to the connection: with columns and no entities, what a session adds is time alone.
    row = work.session.connection().execute(statement, {"club": work.club_id, "id": row_id}).first()
    if row is None:
        raise missing(kind)
    return row


def edit_row(work: UnitOfWork, table: Any, row_id: UUID, if_match: int, kind: str, /, **changes: Any) -> None:
    """Change a row if its version is still `if_match`; its version grows by one.

    Raises `not-found` where there is no such row, `stale-version` where it has changed since.
    """
    statement = (
        update(table)
        .where(table.club_id == work.club_id, table.id == row_id, table.version == if_match)
        .values(version=if_match + 1, **changes)
    )
    if work.session.execute(statement).rowcount == 1:  # type: ignore[attr-defined]
        return
    raise stale_or_missing(work, table, row_id, if_match, kind)


def delete_row(work: UnitOfWork, table: Any, row_id: UUID, if_match: int, kind: str) -> None:
    """Delete a row if its version is still `if_match`; refused with `in-use` while others refer to it."""
    statement = delete(table).where(
        table.club_id == work.club_id, table.id == row_id, table.version == if_match
    )
    try:
        gone = work.session.execute(statement).rowcount  # type: ignore[attr-defined]
    except IntegrityError:
        raise ProblemError(
            problems.IN_USE, f"This {kind} is still referred to and cannot be deleted."
        ) from None
    if gone != 1:
        raise stale_or_missing(work, table, row_id, if_match, kind)


def stale_or_missing(work: UnitOfWork, table: Any, row_id: UUID, if_match: int, kind: str) -> ProblemError:
    """Why an edit at version `if_match` found no row."""
    current = work.session.scalar(
        select(table.version).where(table.club_id == work.club_id, table.id == row_id)
    )
    return missing(kind) if current is None else stale(kind, current, if_match)


def stale(kind: str, current: int, if_match: int) -> ProblemError:
    """The refusal of an edit of something that has changed since it was read."""
    return ProblemError(
        problems.STALE_VERSION, f"This {kind} is at version {current}; the edit was made against {if_match}."
    )
