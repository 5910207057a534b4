"""Layouts of files for the club's accounts."""

from typing import Any
from uuid import UUID

from sqlalchemy import Row, insert, select
from swardcost_model import problems
from swardcost_model.account_files import Layout, LayoutChange, LayoutFields, NewLayout
from swardcost_model.paging import Page
from swardcost_model.problems import ProblemError

from swardcost_api.access.service import record
from swardcost_api.reports.tables import LayoutRow
from swardcost_api.storage.paging import read_page
from swardcost_api.storage.rows import by_id, delete_row, edit_row, read_row
from swardcost_api.storage.work import UnitOfWork

_LAYOUT = (LayoutRow.id, LayoutRow.name, LayoutRow.layout, LayoutRow.version)
_LAYOUT_BY_ID = by_id(LayoutRow, _LAYOUT)
_KIND = "layout"


def create_layout(work: UnitOfWork, new: NewLayout) -> Layout:
    """Save a layout. Raises `duplicate` where the club has one of that name."""
    _refuse_taken_name(work, new.name)
    layout = Layout(id=work.new_id(), version=1, **new.model_dump())
    work.session.execute(
        insert(LayoutRow).values(club_id=work.club_id, id=layout.id, version=1, **_columns(new))
    )
    record(work, "create", _KIND, layout.id, after=layout)
    return layout


def list_layouts(work: UnitOfWork, limit: int, cursor: str | None) -> Page[Layout]:
    """The club's layouts, by name."""
    statement = select(*_LAYOUT).where(LayoutRow.club_id == work.club_id)
    rows, following = read_page(work, statement, (LayoutRow.name,), limit, cursor)
    return Page[Layout](items=[_layout(row) for row in rows], next=following)


def read_layout(work: UnitOfWork, layout_id: UUID) -> Layout:
    """One layout."""
    return _layout(read_row(work, _LAYOUT_BY_ID, layout_id, _KIND))


def change_layout(work: UnitOfWork, layout_id: UUID, change: LayoutChange, if_match: int) -> Layout:
    """Replace a layout."""
    before = read_layout(work, layout_id)
    if change.name != before.name:
        _refuse_taken_name(work, change.name)
    edit_row(work, LayoutRow, layout_id, if_match, _KIND, **_columns(change))
    after = Layout(id=layout_id, version=if_match + 1, **change.model_dump())
    record(work, "change", _KIND, layout_id, before, after)
    return after


def delete_layout(work: UnitOfWork, layout_id: UUID, if_match: int) -> None:
    """Delete a layout; files written with it are not kept, so nothing refers to it."""
    before = read_layout(work, layout_id)
    delete_row(work, LayoutRow, layout_id, if_match, _KIND)
    record(work, "delete", _KIND, layout_id, before)


def _layout(row: Row[*tuple[Any, ...]]) -> Layout:
    return Layout(id=row.id, version=row.version, name=row.name, **row.layout)


def _columns(fields: LayoutFields) -> dict[str, Any]:
    layout = fields.model_dump(mode="json", include=set(LayoutFields.model_fields) - {"name"})
    return {"name": fields.name, "layout": layout}


def _refuse_taken_name(work: UnitOfWork, name: str) -> None:
    taken = select(LayoutRow.id).where(LayoutRow.club_id == work.club_id, LayoutRow.name == name)
    if work.session.scalar(taken) is not None:
        raise ProblemError(problems.DUPLICATE, f"There is already a layout named {name!r}.")
