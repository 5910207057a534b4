"""HTTP operations of clubs, keys and the audit trail."""

from typing import Annotated
from uuid import UUID

from swardcost_model import problems
from swardcost_model.access import AuditEntry, Club, ClubChange, IssuedKey, Key, NewKey, Role
from swardcost_model.paging import Page

from swardcost_api.access import service
from swardcost_api.operations import CLUB, Cursor, Limit, Query, Room
from swardcost_api.storage.work import UnitOfWork

room = Room("Access", "Clubs, keys with their roles, and the audit trail.")
OWNER = frozenset({Role.OWNER})
AUDITORS = frozenset({Role.OWNER, Role.CONTROLLER})


@room.read(CLUB, "Read the club")
def read_club(work: UnitOfWork) -> Club:
    return service.read_club(work)


@room.edit(CLUB, "Change the club", needs=OWNER, verb="PATCH")
def change_club(work: UnitOfWork, data: ClubChange, if_match: int) -> Club:
    return service.change_club(work, data, if_match)


@room.create(CLUB + "/keys", "Issue a key", needs=OWNER, confidential=True)
def issue_key(work: UnitOfWork, data: NewKey) -> IssuedKey:
    return service.issue_key(work, data)


@room.read(CLUB + "/keys", "List the keys", needs=OWNER)
def list_keys(work: UnitOfWork, limit: Limit = 50, cursor: Cursor = None) -> Page[Key]:
    return service.list_keys(work, limit, cursor)


@room.act(CLUB + "/keys/{key_id}/revoke", "Revoke a key", needs=OWNER, problems=[problems.WRONG_STATE])
def revoke_key(work: UnitOfWork, key_id: UUID) -> Key:
    """At once in this process, within a second in others. The last valid key of an owner stays."""
    return service.revoke_key(work, key_id)


@room.read(CLUB + "/audit", "Read the audit trail", needs=AUDITORS)
def list_audit(
    work: UnitOfWork,
    limit: Limit = 50,
    cursor: Cursor = None,
    subject: Annotated[str | None, Query("Only changes to this kind of thing.", example="area")] = None,
    subject_id: Annotated[str | None, Query("Only changes to the thing with this id.")] = None,
) -> Page[AuditEntry]:
    return service.list_audit(work, limit, cursor, subject, subject_id)
