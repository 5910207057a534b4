"""The own days of scope items, set all at once by what plans the work."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

from sqlalchemy import bindparam, select, update
from swardcost_model.schedule_dates import OwnDays

from swardcost_api.access.service import record
from swardcost_api.estimates.projects import hold_project
from swardcost_api.estimates.tables import ScopeItemRow
from swardcost_api.storage.work import UnitOfWork


@dataclass(frozen=True, slots=True)
class DaysSet:
    """The own days of a scope item before and after, and its version now."""

    before: OwnDays
    after: OwnDays
    version: int

    @property
    def changed(self) -> bool:
        """Whether it has other days than before."""
        return self.before != self.after


def set_scope_days(
    work: UnitOfWork, project_id: UUID, days: Mapping[UUID, tuple[date, date]]
) -> dict[UUID, DaysSet]:
    """Give scope items of a project their first and last day, and tell the days of all its scope items.

    Only what gets other days is written, with a new version and an audit row.
    """
    hold_project(work, project_id)
    statement = select(
        ScopeItemRow.id, ScopeItemRow.starts_on, ScopeItemRow.ends_on, ScopeItemRow.version
    ).where(ScopeItemRow.club_id == work.club_id, ScopeItemRow.project_id == project_id)
    found = {}
    for scope_item_id, starts_on, ends_on, version in work.session.execute(statement).all():
        before = OwnDays(starts_on=starts_on, ends_on=ends_on)
        first, last = days.get(scope_item_id, (starts_on, ends_on))
        after = OwnDays(starts_on=first, ends_on=last)
        found[scope_item_id] = DaysSet(before, after, version + (before != after))
    changed = {scope_item_id: one for scope_item_id, one in found.items() if one.changed}
    _write(work, changed)
    for scope_item_id, one in changed.items():
        was = {**one.before.model_dump(mode="json"), "version": one.version - 1}
        now = {**one.after.model_dump(mode="json"), "version": one.version}
        record(work, "take_dates", "scope_item", scope_item_id, was, now)
    return found


def _write(work: UnitOfWork, changed: Mapping[UUID, DaysSet]) -> None:
    if not changed:
        return
    statement = update(ScopeItemRow).where(
        ScopeItemRow.club_id == bindparam("club"), ScopeItemRow.id == bindparam("scope_item")
    )
    rows = [
        {
            "club": work.club_id, "scope_item": scope_item_id, "starts_on": one.after.starts_on,
            "ends_on": one.after.ends_on, "version": one.version,
        }
        for scope_item_id, one in changed.items()
    ]  # fmt: skip
    changes: dict[str, Any] = {name: bindparam(name) for name in ("starts_on", "ends_on", "version")}
    work.session.connection().execute(statement.values(changes), rows)
