"""Alternates of a project's scope: what taking each brings in and leaves out, and how they depend on one another."""

from collections.abc import Iterator, Sequence
from typing import Any
from uuid import UUID

from sqlalchemy import Row, delete, func, insert, select
from swardcost_model import problems
from swardcost_model.alternates import (
    MOST_ALTERNATES,
    Alternate,
    AlternateChange,
    AlternateFields,
    NewAlternate,
)
from swardcost_model.paging import Page
from swardcost_model.problems import Fault, ProblemError

from swardcost_api.access.service import record
from swardcost_api.estimates.options import Contradiction, Option, Options
from swardcost_api.estimates.projects import hold_project, read_project
from swardcost_api.estimates.tables import AlternateNeedRow, AlternateRow, AlternateScopeRow, ScopeItemRow
from swardcost_api.storage.paging import read_page
from swardcost_api.storage.rows import by_id, delete_row, edit_row, read_row
from swardcost_api.storage.work import UnitOfWork

_ALTERNATE = (
    AlternateRow.id, AlternateRow.project_id, AlternateRow.number, AlternateRow.name, AlternateRow.choose_one,
    AlternateRow.note, AlternateRow.version,
)  # fmt: skip
_ALTERNATE_BY_ID = by_id(AlternateRow, _ALTERNATE)


def create_alternate(work: UnitOfWork, project_id: UUID, new: NewAlternate) -> Alternate:
    """Add an alternate to a project.

    Raises `duplicate` for a name that the project has, and `invalid-values` with the place of what contradicts itself,
    the scope, or another alternate, or where the project has as many as it can have.
    """
    hold_project(work, project_id)
    _refuse_taken_name(work, project_id, new.name)
    option = _option(work.new_id(), _next_number(work, project_id), new)
    _refuse_unusable(work, project_id, option, new)
    work.session.execute(
        insert(AlternateRow).values(
            club_id=work.club_id, id=option.id, project_id=project_id, number=option.number, name=new.name,
            choose_one=new.choose_one, note=new.note, version=1,
        )
    )  # fmt: skip
    _put_parts(work, option.id, new)
    alternate = _alternate(option, project_id, new, version=1)
    record(work, "create", "alternate", alternate.id, after=alternate)
    return alternate


def list_alternates(work: UnitOfWork, project_id: UUID, limit: int, cursor: str | None) -> Page[Alternate]:
    """The alternates of a project, in the order of their numbers. Raises `not-found`."""
    read_project(work, project_id)
    statement = select(*_ALTERNATE).where(
        AlternateRow.club_id == work.club_id, AlternateRow.project_id == project_id
    )
    rows, following = read_page(work, statement, (AlternateRow.number,), limit, cursor)
    fields = _fields_of(work, rows)
    return Page[Alternate](items=[_read(row, fields[row.id]) for row in rows], next=following)


def read_alternate(work: UnitOfWork, alternate_id: UUID) -> Alternate:
    """One alternate. Raises `not-found`."""
    row = read_row(work, _ALTERNATE_BY_ID, alternate_id, "alternate")
    return _read(row, _fields_of(work, [row])[row.id])


def change_alternate(
    work: UnitOfWork, alternate_id: UUID, change: AlternateChange, if_match: int
) -> Alternate:
    """Replace an alternate; estimates already made stay as they are.

    Raises `not-found`, `stale-version`, and as `create_alternate`.
    """
    before = read_alternate(work, alternate_id)
    hold_project(work, before.project_id)
    if change.name != before.name:
        _refuse_taken_name(work, before.project_id, change.name)
    option = _option(alternate_id, before.number, change)
    _refuse_unusable(work, before.project_id, option, change)
    columns = {"name": change.name, "choose_one": change.choose_one, "note": change.note}
    edit_row(work, AlternateRow, alternate_id, if_match, "alternate", **columns)
    _drop_parts(work, alternate_id)
    _put_parts(work, alternate_id, change)
    after = _alternate(option, before.project_id, change, version=if_match + 1)
    record(work, "change", "alternate", alternate_id, before, after)
    return after


def delete_alternate(work: UnitOfWork, alternate_id: UUID, if_match: int) -> None:
    """Delete an alternate that no other needs; what it brings is in the scope again. Estimates stay as they are.

    Raises `not-found`, `stale-version`, and `in-use` where another needs it.
    """
    before = read_alternate(work, alternate_id)
    hold_project(work, before.project_id)
    needing = [one.name for one in options_of(work, before.project_id) if alternate_id in one.needs]
    if needing:
        raise ProblemError(
            problems.IN_USE, f"The alternate {before.name!r} is needed by {', '.join(map(repr, needing))}."
        )
    _drop_parts(work, alternate_id)
    delete_row(work, AlternateRow, alternate_id, if_match, "alternate")
    record(work, "delete", "alternate", alternate_id, before)


def options_of(work: UnitOfWork, project_id: UUID) -> Options:
    """All alternates of a project, in three queries."""
    rows = work.session.execute(
        select(*_ALTERNATE)
        .where(AlternateRow.club_id == work.club_id, AlternateRow.project_id == project_id)
        .order_by(AlternateRow.number)
    ).all()
    if not rows:
        return Options()
    fields = _fields_of(work, rows)
    return Options([_option(row.id, row.number, fields[row.id]) for row in rows])


def _next_number(work: UnitOfWork, project_id: UUID) -> int:
    """The number after the highest. Raises `invalid-values` where the project can have no more alternates."""
    count, highest = work.session.execute(
        select(func.count(), func.max(AlternateRow.number)).where(
            AlternateRow.club_id == work.club_id, AlternateRow.project_id == project_id
        )
    ).one()
    if count >= MOST_ALTERNATES:
        fault = Fault(pointer="", expected=f"at most {MOST_ALTERNATES} alternates in a project")
        raise ProblemError(problems.INVALID_VALUES, "The project can have no more alternates.", [fault])
    return (highest or 0) + 1


def _option(alternate_id: UUID, number: int, fields: AlternateFields) -> Option:
    return Option(
        alternate_id, number, fields.name, frozenset(fields.brings), frozenset(fields.leaves_out),
        frozenset(fields.needs), fields.choose_one,
    )  # fmt: skip


def _alternate(option: Option, project_id: UUID, fields: AlternateFields, version: int) -> Alternate:
    return Alternate(
        id=option.id, project_id=project_id, number=option.number, name=fields.name, kind=option.kind,
        brings=sorted(fields.brings), leaves_out=sorted(fields.leaves_out), needs=sorted(fields.needs),
        choose_one=fields.choose_one, note=fields.note, version=version,
    )  # fmt: skip


def _read(row: Row[*tuple[Any, ...]], fields: AlternateFields) -> Alternate:
    return _alternate(_option(row.id, row.number, fields), row.project_id, fields, row.version)


def _fields_of(work: UnitOfWork, rows: Sequence[Row[*tuple[Any, ...]]]) -> dict[UUID, AlternateFields]:
    """What is said of each alternate, with the scope items and alternates that it names, in a steady order."""
    ids = [row.id for row in rows]
    parts: dict[UUID, dict[str, list[UUID]]] = {
        one: {"brings": [], "leaves_out": [], "needs": []} for one in ids
    }
    scope, needs = AlternateScopeRow, AlternateNeedRow
    for alternate_id, item, brings in work.session.execute(
        select(scope.alternate_id, scope.scope_item_id, scope.brings)
        .where(scope.club_id == work.club_id, scope.alternate_id.in_(ids))
        .order_by(scope.scope_item_id)
    ):
        parts[alternate_id]["brings" if brings else "leaves_out"].append(item)
    for alternate_id, needed in work.session.execute(
        select(needs.alternate_id, needs.needed_id)
        .where(needs.club_id == work.club_id, needs.alternate_id.in_(ids))
        .order_by(needs.needed_id)
    ):
        parts[alternate_id]["needs"].append(needed)
    return {
        row.id: AlternateFields(name=row.name, choose_one=row.choose_one, note=row.note, **parts[row.id])
        for row in rows
    }


def _put_parts(work: UnitOfWork, alternate_id: UUID, fields: AlternateFields) -> None:
    mine = {"club_id": work.club_id, "alternate_id": alternate_id}
    named = [(item, True) for item in fields.brings] + [(item, False) for item in fields.leaves_out]
    work.session.execute(
        insert(AlternateScopeRow),
        [mine | {"scope_item_id": item, "brings": brings} for item, brings in named],
    )
    if fields.needs:
        work.session.execute(insert(AlternateNeedRow), [mine | {"needed_id": one} for one in fields.needs])


def _drop_parts(work: UnitOfWork, alternate_id: UUID) -> None:
    for table in (AlternateScopeRow, AlternateNeedRow):
        work.session.execute(
            delete(table).where(table.club_id == work.club_id, table.alternate_id == alternate_id)
        )


def _refuse_unusable(work: UnitOfWork, project_id: UUID, option: Option, fields: AlternateFields) -> None:
    options = options_of(work, project_id)
    faults = list(_own_faults(work, project_id, option, fields, options))
    if not faults:
        others = [one for one in options if one.id != option.id]
        after = Options(sorted([*others, option], key=lambda one: one.number))
        faults = [
            Fault(
                pointer=_where(option, found),
                expected=f"alternates that can be taken: {found.words}",
                got=option.name,
            )
            for found in after.contradictions()
        ]
    if faults:
        raise ProblemError(
            problems.INVALID_VALUES, "The alternate cannot be used; nothing was changed.", faults
        )


def _where(option: Option, found: Contradiction) -> str:
    """Where in this alternate a contradiction is mended; the whole of it where that cannot be told.

    What is found may be of another alternate, which this one would make impossible.
    """
    if found.kind == "choose_one":
        return "/choose_one" if option.id in found.by else "/needs"
    if found.kind == "needs" or found.of.id == option.id:
        return f"/{found.kind}"
    return "/brings" if option.id in found.by else ""


def _own_faults(
    work: UnitOfWork, project_id: UUID, option: Option, fields: AlternateFields, options: Options
) -> Iterator[Fault]:
    """Scope items and alternates that the project does not have, or that are named twice."""
    scope = set(
        work.session.scalars(
            select(ScopeItemRow.id).where(
                ScopeItemRow.club_id == work.club_id, ScopeItemRow.project_id == project_id
            )
        )
    )
    seen: set[UUID] = set()
    for name, named in (("brings", fields.brings), ("leaves_out", fields.leaves_out)):
        for place, item in enumerate(named):
            pointer = f"/{name}/{place}"
            if item not in scope:
                yield Fault(pointer=pointer, expected="a scope item of this project", got=str(item))
            elif item in seen:
                yield Fault(pointer=pointer, expected="each scope item once", got=str(item))
            seen.add(item)
    needed: set[UUID] = set()
    for place, one in enumerate(fields.needs):
        pointer = f"/needs/{place}"
        if one == option.id or one not in options.by_id:
            yield Fault(pointer=pointer, expected="another alternate of this project", got=str(one))
        elif one in needed:
            yield Fault(pointer=pointer, expected="each alternate once", got=str(one))
        needed.add(one)


def _refuse_taken_name(work: UnitOfWork, project_id: UUID, name: str) -> None:
    taken = select(AlternateRow.id).where(
        AlternateRow.club_id == work.club_id, AlternateRow.project_id == project_id, AlternateRow.name == name
    )
    if work.session.scalar(taken) is not None:
        raise ProblemError(
            problems.DUPLICATE, f"There is already an alternate named {name!r} in this project."
        )
