"""Keyset paging: a list is read from just after the last row of the page before, never by offset."""

import base64
import binascii
import json
from collections.abc import Sequence
from datetime import date, datetime
from typing import Any
from uuid import UUID

from sqlalchemy import ColumnElement, Row, Select, tuple_
from sqlalchemy.orm import InstrumentedAttribute
from swardcost_model import problems
from swardcost_model.problems import ProblemError

from swardcost_api.storage.work import UnitOfWork

Ordering = Sequence[InstrumentedAttribute[Any]]


def read_page(
    work: UnitOfWork,
    statement: Select[*tuple[Any, ...]],
    ordering: Ordering,
    limit: int,
    cursor: str | None,
    *,
    descending: bool = False,
) -> tuple[list[Row[*tuple[Any, ...]]], str | None]:
    """The rows of one page and the cursor of the next.

    `ordering` are the selected columns to sort by; together they must be unique and never null.
    A cursor of another list or ordering raises the problem `unknown-cursor`.
    """
    names = [column.key for column in ordering]
    columns: list[ColumnElement[Any]] = [column.expression for column in ordering]
    if cursor is not None:
        last = _decode(cursor, ordering, descending)
        edge, wanted = tuple_(*columns), tuple_(*last)
        statement = statement.where(edge < wanted if descending else edge > wanted)
    statement = statement.order_by(*(c.desc() if descending else c for c in columns)).limit(limit + 1)
    rows = list(work.session.execute(statement))
    if len(rows) <= limit:
        return rows, None
    rows = rows[:limit]
    return rows, _encode([getattr(rows[-1], name) for name in names], ordering, descending)


def _signature(ordering: Ordering, descending: bool) -> str:
    return ("-" if descending else "+") + ",".join(str(column) for column in ordering)


def _encode(values: list[Any], ordering: Ordering, descending: bool) -> str:
    document = json.dumps(
        [_signature(ordering, descending), [_text(v) for v in values]], separators=(",", ":")
    )
    return base64.urlsafe_b64encode(document.encode()).decode().rstrip("=")


def _text(value: Any) -> Any:
    return (
        value.isoformat()
        if isinstance(value, (date, datetime))
        else value
        if isinstance(value, int)
        else str(value)
    )


def _decode(cursor: str, ordering: Ordering, descending: bool) -> list[Any]:
    try:
        document = base64.b64decode(cursor + "=" * (-len(cursor) % 4), altchars=b"-_", validate=True)
        signature, values = json.loads(document)
        if signature != _signature(ordering, descending) or len(values) != len(ordering):
            raise ValueError("another list")
        return [_typed(value, column) for value, column in zip(values, ordering, strict=True)]
    except (ValueError, TypeError, RecursionError, binascii.Error):
        raise ProblemError(
            problems.UNKNOWN_CURSOR, "This cursor does not belong to this list and order."
        ) from None


def _typed(value: Any, column: InstrumentedAttribute[Any]) -> Any:
    kind = column.type.python_type
    if kind is int:
        if type(value) is not int or abs(value) > 2**62:
            raise ValueError("not a whole number")
        return value
    if not isinstance(value, str) or "\x00" in value:
        raise ValueError("not text")
    value.encode()  # raises for a lone surrogate, which no database stores
    if kind is UUID:
        return UUID(value)
    if kind is datetime:
        return datetime.fromisoformat(value)
    if kind is date:
        return date.fromisoformat(value)
    return value
