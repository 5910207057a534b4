"""Clubs, keys and the audit trail."""

import hashlib
import re
import secrets
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from pydantic import BaseModel
from sqlalchemy import bindparam, insert, select, update
from sqlalchemy.orm import Session
from swardcost_model import problems
from swardcost_model.access import AuditEntry, Club, ClubChange, IssuedKey, Key, NewKey, Role
from swardcost_model.paging import Page
from swardcost_model.problems import ProblemError

from swardcost_api.access.tables import AuditRow, ClubRow, KeyRow
from swardcost_api.storage.paging import read_page
from swardcost_api.storage.rows import missing
from swardcost_api.storage.work import Caller, UnitOfWork

_SECRET = re.compile(r"sward_([a-z0-9][a-z0-9-]{1,39})_[A-Za-z0-9_-]{43}")
"""A secret: recognisable when leaked, and naming its club, so that the key is looked up there alone."""

_KEY = (KeyRow.id, KeyRow.name, KeyRow.role, KeyRow.created_at, KeyRow.expires_at, KeyRow.revoked_at)
_KEY_BY_SECRET = select(KeyRow.id, KeyRow.name, KeyRow.role, KeyRow.expires_at, KeyRow.revoked_at).where(
    KeyRow.club_id == bindparam("club"), KeyRow.secret_hash == bindparam("secret_hash")
)


def hash_secret(secret: str) -> str:
    """SHA-256 of a secret: it has 256 random bits, so a slow hash would add nothing."""
    return hashlib.sha256(secret.encode("utf-8", "surrogateescape")).hexdigest()


@dataclass(frozen=True, slots=True)
class FoundKey:
    """A key that is not revoked: whose it is, in which club, and until when it is valid."""

    caller: Caller
    club_id: str
    expires_at: datetime


def find_key(session: Session, secret: str) -> FoundKey | None:
    """The key of a secret, looked for in the club that the secret names; `None` where unknown or revoked."""
    match = _SECRET.fullmatch(secret)
    if match is None:
        return None
    club_id = match.group(1)
    wanted = {"club": club_id, "secret_hash": hash_secret(secret)}
    row = session.connection().execute(_KEY_BY_SECRET, wanted).first()
    if row is None or row.revoked_at is not None:
        return None
    return FoundKey(Caller(row.name, row.role, row.id), club_id, row.expires_at)


def record(
    work: UnitOfWork,
    action: str,
    subject: str,
    subject_id: object,
    before: BaseModel | dict[str, Any] | None = None,
    after: BaseModel | dict[str, Any] | None = None,
) -> None:
    """Leave an audit row for a change made in this unit of work."""
    work.session.execute(
        insert(AuditRow).values(
            club_id=work.club_id, id=work.new_id(), at=work.now, key_id=work.caller.key_id, actor=work.caller.name,
            action=action, subject=subject, subject_id=str(subject_id), before=_document(before),
            after=_document(after),
        )
    )  # fmt: skip


def record_all(
    work: UnitOfWork,
    action: str,
    subject: str,
    changes: Iterable[tuple[object, BaseModel | None, BaseModel | None]],
) -> None:
    """Leave an audit row for each change of one kind: the id of what was changed, its state before and after."""
    common = {
        "club_id": work.club_id, "at": work.now, "key_id": work.caller.key_id, "actor": work.caller.name,
        "action": action, "subject": subject,
    }  # fmt: skip
    rows = [
        common
        | {
            "id": work.new_id(), "subject_id": str(subject_id), "before": _document(before), "after": _document(after),
        }
        for subject_id, before, after in changes
    ]  # fmt: skip
    if rows:
        work.session.execute(insert(AuditRow), rows)


def _document(state: BaseModel | dict[str, Any] | None) -> dict[str, Any] | None:
    return state.model_dump(mode="json") if isinstance(state, BaseModel) else state


def create_club(
    work: UnitOfWork, name: str, currency: str, locale: str = "en-US", unit_system: str = "us_customary"
) -> Club:
    """Make the club of this unit of work. Raises `duplicate` where its id is taken."""
    if work.session.scalar(select(ClubRow.id).where(ClubRow.id == work.club_id)) is not None:
        raise ProblemError(problems.DUPLICATE, f"There is already a club {work.club_id}.")
    ton = "short_ton" if unit_system == "us_customary" else "metric_ton"
    work.session.execute(
        insert(ClubRow).values(
            id=work.club_id, name=name, currency=currency, locale=locale, unit_system=unit_system, ton=ton,
            created_at=work.now, version=1,
        )
    )  # fmt: skip
    club = read_club(work)
    record(work, "create", "club", club.id, after=club)
    return club


def read_club(work: UnitOfWork) -> Club:
    """The club of this unit of work."""
    row = work.session.execute(select(*ClubRow.__table__.c).where(ClubRow.id == work.club_id)).first()
    if row is None:
        raise missing("club")
    return Club(**row._mapping)


def hold_club(work: UnitOfWork) -> None:
    """Keep others who count something up in this club waiting until this transaction ends."""
    work.session.execute(select(ClubRow.id).where(ClubRow.id == work.club_id).with_for_update(key_share=True))


def change_club(work: UnitOfWork, change: ClubChange, if_match: int) -> Club:
    """Change the fields of the club that are given."""
    before = read_club(work)
    given = change.model_dump(exclude_none=True)
    statement = update(ClubRow).where(ClubRow.id == work.club_id, ClubRow.version == if_match)
    done = work.session.execute(statement.values(version=if_match + 1, **given))
    if done.rowcount != 1:  # type: ignore[attr-defined]
        raise ProblemError(
            problems.STALE_VERSION, f"The club is at version {before.version}, not {if_match}."
        )
    after = read_club(work)
    record(work, "change", "club", work.club_id, before, after)
    return after


def issue_key(work: UnitOfWork, new: NewKey) -> IssuedKey:
    """Make a key; its secret is in the answer and nowhere else."""
    secret = f"sward_{work.club_id}_{secrets.token_urlsafe(32)}"
    key = Key(
        id=work.new_id(), name=new.name, role=new.role, created_at=work.now,
        expires_at=work.now + timedelta(days=new.valid_days), revoked_at=None,
    )  # fmt: skip
    work.session.execute(
        insert(KeyRow).values(club_id=work.club_id, secret_hash=hash_secret(secret), **key.model_dump())
    )
    record(work, "issue", "key", key.id, after=key)
    return IssuedKey(**key.model_dump(), secret=secret)


def list_keys(work: UnitOfWork, limit: int, cursor: str | None) -> Page[Key]:
    """The club's keys, oldest first, without their secrets."""
    statement = select(*_KEY).where(KeyRow.club_id == work.club_id)
    rows, following = read_page(work, statement, (KeyRow.id,), limit, cursor)
    return Page[Key](items=[Key(**row._mapping) for row in rows], next=following)


def revoke_key(work: UnitOfWork, key_id: UUID) -> Key:
    """Close a key from now on. A key that is closed already stays closed since when it was."""
    mine = (KeyRow.club_id == work.club_id, KeyRow.id == key_id)
    row = work.session.execute(select(*_KEY).where(*mine)).first()
    if row is None:
        raise missing("key")
    before = Key(**row._mapping)
    if before.revoked_at is not None:
        return before
    if before.role == Role.OWNER and not _other_owner_keys(work, key_id):
        raise ProblemError(
            problems.WRONG_STATE, "This is the last valid key of an owner; issue another one first."
        )
    work.session.execute(update(KeyRow).where(*mine).values(revoked_at=work.now))
    after = before.model_copy(update={"revoked_at": work.now})
    record(work, "revoke", "key", key_id, before, after)
    return after


def _other_owner_keys(work: UnitOfWork, key_id: UUID) -> bool:
    statement = select(KeyRow.id).where(
        KeyRow.club_id == work.club_id,
        KeyRow.id != key_id,
        KeyRow.role == Role.OWNER,
        KeyRow.revoked_at.is_(None),
        KeyRow.expires_at > work.now,
    )
    return work.session.scalars(statement).first() is not None


def list_audit(
    work: UnitOfWork, limit: int, cursor: str | None, subject: str | None, subject_id: str | None
) -> Page[AuditEntry]:
    """The audit trail, latest first."""
    columns = [c for c in AuditRow.__table__.c if c.name != "club_id"]
    statement = select(*columns).where(AuditRow.club_id == work.club_id)
    if subject is not None:
        statement = statement.where(AuditRow.subject == subject)
    if subject_id is not None:
        statement = statement.where(AuditRow.subject_id == subject_id)
    rows, following = read_page(work, statement, (AuditRow.id,), limit, cursor, descending=True)
    return Page[AuditEntry](items=[AuditEntry(**row._mapping) for row in rows], next=following)
