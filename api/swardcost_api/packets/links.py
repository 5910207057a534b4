"""Links by which one packet is read without a key: made, listed, revoked, and followed."""

import re
import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from sqlalchemy import insert, select
from sqlalchemy.orm import Session
from swardcost_model import problems
from swardcost_model.packets import NewLinkWithToken, NewPacketLink, PacketLink
from swardcost_model.paging import Page
from swardcost_model.problems import ProblemError

from swardcost_api.access.service import hash_secret, record
from swardcost_api.packets.issued import read_packet
from swardcost_api.packets.tables import PacketLinkRow
from swardcost_api.storage.paging import read_page
from swardcost_api.storage.rows import by_id, edit_row, read_row
from swardcost_api.storage.work import UnitOfWork

LINK = "link to a packet"
_TOKEN = re.compile(r"view_([a-z0-9][a-z0-9-]{1,39})_[A-Za-z0-9_-]{43}")
"""A token names its club, so that the link is looked up there alone; it is no key, and opens one packet."""
_COLUMNS: tuple[Any, ...] = (
    PacketLinkRow.id, PacketLinkRow.packet_id, PacketLinkRow.name, PacketLinkRow.created_at, PacketLinkRow.created_by,
    PacketLinkRow.expires_at, PacketLinkRow.revoked_at, PacketLinkRow.version,
)  # fmt: skip
_LINK_BY_ID = by_id(PacketLinkRow, _COLUMNS)


@dataclass(frozen=True, slots=True)
class FoundLink:
    """The packet that a token opens, and its club."""

    club_id: str
    packet_id: UUID
    expires_at: datetime


def create_link(work: UnitOfWork, packet_id: UUID, new: NewPacketLink) -> NewLinkWithToken:
    """Make a link to an issued packet. Raises `not-found`."""
    read_packet(work, packet_id)
    token = f"view_{work.club_id}_{secrets.token_urlsafe(32)}"
    link = PacketLink(
        id=work.new_id(), packet_id=packet_id, name=new.name, created_at=work.now, created_by=work.caller.name,
        expires_at=work.now + timedelta(days=new.valid_days), revoked_at=None, version=1,
    )  # fmt: skip
    work.session.execute(
        insert(PacketLinkRow).values(club_id=work.club_id, token_hash=hash_secret(token), **link.model_dump())
    )
    record(work, "create", "packet_link", link.id, after=link)
    return NewLinkWithToken(**link.model_dump(), token=token, path=f"/p/{token}")


def list_links(work: UnitOfWork, packet_id: UUID, limit: int, cursor: str | None) -> Page[PacketLink]:
    """The links to a packet, oldest first, those that no longer work among them; without their tokens."""
    read_packet(work, packet_id)
    statement = select(*_COLUMNS).where(
        PacketLinkRow.club_id == work.club_id, PacketLinkRow.packet_id == packet_id
    )
    rows, following = read_page(work, statement, (PacketLinkRow.id,), limit, cursor)
    return Page[PacketLink](items=[PacketLink(**row._mapping) for row in rows], next=following)


def revoke_link(work: UnitOfWork, packet_link_id: UUID) -> PacketLink:
    """Have a link open nothing any more. Raises `not-found`, and `wrong-state` for one that is revoked."""
    before = PacketLink(**read_row(work, _LINK_BY_ID, packet_link_id, LINK)._mapping)
    if before.revoked_at is not None:
        raise ProblemError(problems.WRONG_STATE, "This link is revoked already.")
    edit_row(work, PacketLinkRow, packet_link_id, before.version, LINK, revoked_at=work.now)
    after = PacketLink(**read_row(work, _LINK_BY_ID, packet_link_id, LINK)._mapping)
    record(work, "revoke", "packet_link", packet_link_id, before, after)
    return after


def find_link(session: Session, token: str, now: datetime) -> FoundLink | None:
    """What a token opens at a moment; nothing where it is unknown, has expired or is revoked."""
    match = _TOKEN.fullmatch(token)
    if match is None:
        return None
    row = session.execute(
        select(PacketLinkRow.packet_id, PacketLinkRow.expires_at).where(
            PacketLinkRow.club_id == match.group(1),
            PacketLinkRow.token_hash == hash_secret(token),
            PacketLinkRow.revoked_at.is_(None),
        )
    ).first()
    if row is None or row.expires_at <= now:
        return None
    return FoundLink(match.group(1), row.packet_id, row.expires_at)
