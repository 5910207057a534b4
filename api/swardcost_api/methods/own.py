"""The club's own methods: keeping them, revising them, and finding the one that a scope item uses."""

import json
import re
from collections.abc import Iterable, Mapping
from typing import Any

from sqlalchemy import Row, delete, insert, select, tuple_, update
from sqlalchemy.exc import IntegrityError
from swardcost_model import problems
from swardcost_model.club_methods import (
    ClubMethod,
    ClubMethodChange,
    ClubMethodFields,
    ClubMethodRevision,
    ClubMethodSummary,
    NewClubMethod,
)
from swardcost_model.methods import MeasureDescription
from swardcost_model.paging import Page
from swardcost_model.problems import Fault, ProblemError

from swardcost_api.access.service import record
from swardcost_api.methods.club_checks import faults_in
from swardcost_api.methods.club_methods import club_method
from swardcost_api.methods.frame import AnyMethod
from swardcost_api.methods.registry import METHODS
from swardcost_api.methods.tables import ClubMethodRevisionRow, ClubMethodRow
from swardcost_api.storage.paging import read_page
from swardcost_api.storage.work import UnitOfWork

_NAME = re.compile(r"[a-z0-9_]{1,60}")
_MOST_REVISIONS = 2**31 - 1
_REVISION = (
    ClubMethodRevisionRow.name, ClubMethodRevisionRow.number, ClubMethodRevisionRow.fields,
    ClubMethodRevisionRow.created_at, ClubMethodRevisionRow.created_by,
)  # fmt: skip


def create_club_method(work: UnitOfWork, new: NewClubMethod) -> ClubMethod:
    """Keep a method as its revision 1. Raises `duplicate` or, with each fault's place, `invalid-values`."""
    fields = ClubMethodFields.model_validate(new.model_dump(exclude={"name"}))
    faults = faults_in(fields)
    if new.name in METHODS:
        faults.insert(
            0, Fault(pointer="/name", expected="a name other than a built-in method's", got=new.name)
        )
    _refuse(faults)
    taken = select(ClubMethodRow.name).where(*_is(work, new.name))
    if work.session.scalar(taken) is not None:
        raise ProblemError(problems.DUPLICATE, f"There is already a method named {new.name}.")
    work.session.execute(insert(ClubMethodRow).values(club_id=work.club_id, name=new.name, version=1))
    _add_revision(work, new.name, 1, fields)
    record(work, "create", "club_method", new.name, after=_audited(fields, 1))
    return read_club_method(work, new.name)


def list_club_methods(work: UnitOfWork, limit: int, cursor: str | None) -> Page[ClubMethodSummary]:
    """The club's own methods, by name, each in its latest revision."""
    rows, following = read_page(work, _latest(work), (ClubMethodRevisionRow.name,), limit, cursor)
    return Page[ClubMethodSummary](
        items=[
            ClubMethodSummary(
                name=row.name, title=row.fields["title"], summary=row.fields["summary"], revision=row.number
            )
            for row in rows
        ],
        next=following,
    )


def read_club_method(work: UnitOfWork, name: str) -> ClubMethod:
    """A method in its latest revision."""
    row = _latest_row(work, name)
    return ClubMethod(**_described(row), version=row.number)


def read_club_method_revision(work: UnitOfWork, name: str, number: int) -> ClubMethodRevision:
    """A revision as it was kept."""
    row = None
    if _NAME.fullmatch(name) and 0 < number <= _MOST_REVISIONS:
        wanted = select(*_REVISION).where(
            ClubMethodRevisionRow.club_id == work.club_id, ClubMethodRevisionRow.name == name,
            ClubMethodRevisionRow.number == number,
        )  # fmt: skip
        row = work.session.execute(wanted).first()
    if row is None:
        raise ProblemError(problems.NOT_FOUND, "This club has no such revision of a method of its own.")
    return ClubMethodRevision(**_described(row))


def change_club_method(work: UnitOfWork, name: str, change: ClubMethodChange, if_match: int) -> ClubMethod:
    """Keep the next revision. Scope items and estimates stay with the one they have."""
    before = _fields(_latest_row(work, name))
    fields = ClubMethodFields.model_validate(change.model_dump())
    _refuse(faults_in(fields))
    done = work.session.execute(
        update(ClubMethodRow)
        .where(*_is(work, name), ClubMethodRow.version == if_match)
        .values(version=if_match + 1)
    )
    if done.rowcount != 1:  # type: ignore[attr-defined]
        raise _stale(work, name, if_match)
    _add_revision(work, name, if_match + 1, fields)
    record(work, "revise", "club_method", name, _audited(before, if_match), _audited(fields, if_match + 1))
    return read_club_method(work, name)


def delete_club_method(work: UnitOfWork, name: str, if_match: int) -> None:
    """Delete a method with all its revisions; refused with `in-use` while a scope uses one of them."""
    if not _NAME.fullmatch(name):
        raise _missing()
    held = select(ClubMethodRow.version).where(*_is(work, name)).with_for_update()
    if work.session.scalar(held) != if_match:
        raise _stale(work, name, if_match)
    before = _fields(_latest_row(work, name))
    try:
        work.session.execute(
            delete(ClubMethodRevisionRow).where(
                ClubMethodRevisionRow.club_id == work.club_id, ClubMethodRevisionRow.name == name
            )
        )
    except IntegrityError:
        raise ProblemError(
            problems.IN_USE, f"Scope items use {name}; give them another method or delete them first."
        ) from None
    work.session.execute(delete(ClubMethodRow).where(*_is(work, name)))
    record(work, "delete", "club_method", name, _audited(before, if_match))


def method_to_use(work: UnitOfWork, name: str) -> AnyMethod | None:
    """What a scope item that is saved now means by a name: the club's own method in its latest revision, or a
    built-in one. The club's own is not deleted before this transaction ends."""
    if not _NAME.fullmatch(name):
        return None
    held = select(ClubMethodRow.version).where(*_is(work, name)).with_for_update(read=True, key_share=True)
    number = work.session.scalar(held)
    if number is None:
        return METHODS.get(name)
    return pinned_methods(work, {(name, number)})[name, number]


def pinned_methods(
    work: UnitOfWork, wanted: Iterable[tuple[str, int]]
) -> Mapping[tuple[str, int], AnyMethod]:
    """Revisions of the club's own methods by name and number, in one query, or in none where none is wanted."""
    pairs = sorted(set(wanted))
    if not pairs:
        return {}
    statement = select(*_REVISION).where(
        ClubMethodRevisionRow.club_id == work.club_id,
        tuple_(ClubMethodRevisionRow.name, ClubMethodRevisionRow.number).in_(pairs),
    )
    return {(row.name, row.number): _method(row) for row in work.session.execute(statement)}


def _is(work: UnitOfWork, name: str) -> tuple[Any, ...]:
    return ClubMethodRow.club_id == work.club_id, ClubMethodRow.name == name


def _latest(work: UnitOfWork) -> Any:
    return (
        select(*_REVISION)
        .join(
            ClubMethodRow,
            (ClubMethodRow.club_id == ClubMethodRevisionRow.club_id)
            & (ClubMethodRow.name == ClubMethodRevisionRow.name)
            & (ClubMethodRow.version == ClubMethodRevisionRow.number),
        )
        .where(ClubMethodRevisionRow.club_id == work.club_id)
    )


def _latest_row(work: UnitOfWork, name: str) -> Row[*tuple[Any, ...]]:
    row = None
    if _NAME.fullmatch(name):
        row = work.session.execute(_latest(work).where(ClubMethodRevisionRow.name == name)).first()
    if row is None:
        raise _missing()
    return row


def _missing() -> ProblemError:
    return ProblemError(problems.NOT_FOUND, "This club has no method of its own of this name.")


def _stale(work: UnitOfWork, name: str, if_match: int) -> ProblemError:
    current = work.session.scalar(select(ClubMethodRow.version).where(*_is(work, name)))
    if current is None:
        return _missing()
    return ProblemError(
        problems.STALE_VERSION, f"This method is at revision {current}; the edit was made against {if_match}."
    )


def _refuse(faults: list[Fault]) -> None:
    if faults:
        raise ProblemError(problems.INVALID_VALUES, "The method cannot be used; nothing was changed.", faults)


def _add_revision(work: UnitOfWork, name: str, number: int, fields: ClubMethodFields) -> None:
    work.session.execute(
        insert(ClubMethodRevisionRow).values(
            club_id=work.club_id, name=name, number=number, fields=fields.model_dump(mode="json"),
            created_at=work.now, created_by=work.caller.name,
        )
    )  # fmt: skip


def _fields(row: Row[*tuple[Any, ...]]) -> ClubMethodFields:
    return ClubMethodFields.model_validate(row.fields)


def _method(row: Row[*tuple[Any, ...]]) -> AnyMethod:
    return club_method(row.name, row.number, json.dumps(row.fields))


def _audited(fields: ClubMethodFields, revision: int) -> dict[str, Any]:
    return {"revision": revision, **fields.model_dump(mode="json")}


def _described(row: Row[*tuple[Any, ...]]) -> dict[str, Any]:
    method = _method(row)
    return {
        **row.fields, "name": row.name, "revision": row.number, "created_at": row.created_at,
        "created_by": row.created_by, "needs_areas": method.needs_areas, "parameters": asked_of(method),
        "measures": [MeasureDescription(name=m.name, unit=m.unit, meaning=m.meaning) for m in method.measures],
        "all_cautions": list(method.cautions),
    }  # fmt: skip


def asked_of(method: AnyMethod) -> dict[str, Any]:
    """The JSON Schema of what a scope item gives: presets are left out, or are defaults where they may change."""
    schema = method.parameters.model_json_schema()
    properties = schema.get("properties", {})
    schema["required"] = [name for name in schema.get("required", ()) if name not in method.presets]
    for name, value in method.presets.items():
        if method.presets_may_change:
            properties[name] = {**properties[name], "default": value}
        else:
            properties.pop(name)
    return schema
