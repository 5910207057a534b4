"""Packets as they are issued: their files made once, kept byte for byte, and told to be superseded by others."""

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from sqlalchemy import Row, func, insert, select
from sqlalchemy.orm import aliased
from swardcost_model import problems
from swardcost_model.packets import NewPacket, Packet, PacketFile, PacketKind, PacketStatus
from swardcost_model.paging import Page
from swardcost_model.problems import Fault, ProblemError

from swardcost_api.access.service import hold_club, record
from swardcost_api.packets.faces.forms import FACES, PacketFace
from swardcost_api.packets.making import Composed, Question, composed, read_question
from swardcost_api.packets.tables import PacketFileRow, PacketRow
from swardcost_api.storage.paging import read_page
from swardcost_api.storage.rows import edit_row, missing
from swardcost_api.storage.work import UnitOfWork

PACKET = "packet"
_LATER = aliased(PacketRow)
_SUPERSEDED_BY = (
    select(_LATER.id)
    .where(_LATER.club_id == PacketRow.club_id, _LATER.supersedes == PacketRow.id)
    .correlate(PacketRow)
    .scalar_subquery()
)
_PACKET: tuple[Any, ...] = (
    PacketRow.id, PacketRow.number, PacketRow.kind, PacketRow.subject_id, PacketRow.title, PacketRow.through,
    PacketRow.locale, PacketRow.unit_system, PacketRow.status, PacketRow.issued_at, PacketRow.issued_by,
    PacketRow.supersedes, _SUPERSEDED_BY.label("superseded_by"), PacketRow.version,
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class ToBeIssued:
    """A packet whose files are made, and the number that they bear."""

    number: int
    composed: Composed
    files: Mapping[str, tuple[PacketFace, bytes]]
    """By the name of the file."""


@dataclass(frozen=True, slots=True)
class KeptFile:
    """A file of a packet with its bytes."""

    name: str
    media_type: str
    sha256: str
    content: bytes


def read_to_issue(work: UnitOfWork, data: NewPacket) -> tuple[int, Question]:
    """All that the packet tells, read at one moment; and the number that the next packet bears.

    Raises `not-found` for a subject that the club does not have, `wrong-state` for one that has nothing to tell yet,
    `invalid-values` for a packet that cannot be superseded by this one.
    """
    _refuse_other_subject(work, data)
    number = _next_number(work)
    return number, read_question(work, data, number)


def make_files(asked: tuple[int, Question]) -> ToBeIssued:
    """Compose the packet and write all its forms."""
    number, question = asked
    found = composed(question)
    files = {f"packet-{number}.{face.ending}": (face, face.write(found.document)) for face in FACES}
    return ToBeIssued(number, found, files)


def issue_packet(work: UnitOfWork, asked: NewPacket, solved: ToBeIssued) -> Packet:
    """Keep a packet whose files were made.

    Raises `wrong-state` where another packet was issued meanwhile, so that the number in the files is taken.
    """
    hold_club(work)
    if _next_number(work) != solved.number:
        raise ProblemError(
            problems.WRONG_STATE, "Another packet was issued while this one was made; issue it once more."
        )
    _refuse_other_subject(work, asked)
    packet_id = work.new_id()
    found = solved.composed
    work.session.execute(
        insert(PacketRow).values(
            club_id=work.club_id, id=packet_id, number=solved.number, kind=asked.kind.value,
            subject_id=asked.subject_id, title=found.document.title[:300], through=found.through,
            locale=found.document.locale, unit_system=found.document.unit_system, status=PacketStatus.ISSUED,
            issued_at=found.document.created, issued_by=work.caller.name, supersedes=asked.supersedes, version=1,
        )
    )  # fmt: skip
    work.session.execute(
        insert(PacketFileRow),
        [
            {
                "club_id": work.club_id, "packet_id": packet_id, "name": name, "media_type": face.media_type,
                "size": len(content), "sha256": hashlib.sha256(content).hexdigest(), "content": content,
            }
            for name, (face, content) in solved.files.items()
        ],
    )  # fmt: skip
    if asked.supersedes is not None:
        before = read_packet(work, asked.supersedes)
        edit_row(
            work, PacketRow, before.id, before.version, PACKET, status=PacketStatus.SUPERSEDED
        )  # fmt: skip
        record(
            work, "supersede", "packet", before.id, {"status": before.status.value}, {"by": str(packet_id)}
        )
    packet = read_packet(work, packet_id)
    record(work, "issue", "packet", packet_id, after=packet)
    return packet


def list_packets(
    work: UnitOfWork, limit: int, cursor: str | None, kind: PacketKind | None, subject_id: UUID | None
) -> Page[Packet]:
    """The club's packets in the order in which they were issued; all, or those of a kind or subject."""
    statement = select(*_PACKET).where(PacketRow.club_id == work.club_id)
    if kind is not None:
        statement = statement.where(PacketRow.kind == kind)
    if subject_id is not None:
        statement = statement.where(PacketRow.subject_id == subject_id)
    rows, following = read_page(work, statement, (PacketRow.number,), limit, cursor)
    files = _files(work, [row.id for row in rows])
    return Page[Packet](items=[_packet(row, files.get(row.id, [])) for row in rows], next=following)


def read_packet(work: UnitOfWork, packet_id: UUID) -> Packet:
    """One packet with its files, without their bytes. Raises `not-found`."""
    row = work.session.execute(
        select(*_PACKET).where(PacketRow.club_id == work.club_id, PacketRow.id == packet_id)
    ).first()
    if row is None:
        raise missing(PACKET)
    return _packet(row, _files(work, [packet_id]).get(packet_id, []))


def read_files(work: UnitOfWork, packet_id: UUID) -> Mapping[str, bytes]:
    """All forms of a packet by their media type, byte for byte as they were issued. Raises `not-found`."""
    rows = work.session.execute(
        select(PacketFileRow.media_type, PacketFileRow.content)
        .where(PacketFileRow.club_id == work.club_id, PacketFileRow.packet_id == packet_id)
    )  # fmt: skip
    files = {row.media_type: row.content for row in rows}
    if not files:
        raise missing(PACKET)
    return files


def read_named_file(work: UnitOfWork, packet_id: UUID, name: str) -> KeptFile:
    """A form of a packet by the name of its file. Raises `not-found`."""
    row = work.session.execute(
        select(
            PacketFileRow.name, PacketFileRow.media_type, PacketFileRow.sha256, PacketFileRow.content
        ).where(
            PacketFileRow.club_id == work.club_id, PacketFileRow.packet_id == packet_id,
            PacketFileRow.name == name,
        )
    ).first()  # fmt: skip
    if row is None:
        raise missing("file of a packet")
    return KeptFile(*row)


def _next_number(work: UnitOfWork) -> int:
    highest = work.session.scalar(select(func.max(PacketRow.number)).where(PacketRow.club_id == work.club_id))
    return (highest or 0) + 1


def _refuse_other_subject(work: UnitOfWork, asked: NewPacket) -> None:
    """Raise `invalid-values` where the packet to be superseded is none, is of something else, or is superseded."""
    if asked.supersedes is None:
        return
    before = work.session.execute(
        select(*_PACKET).where(PacketRow.club_id == work.club_id, PacketRow.id == asked.supersedes)
    ).first()
    expected = None
    if before is None:
        expected = "a packet of this club"
    elif (before.kind, before.subject_id) != (asked.kind.value, asked.subject_id):
        expected = f"a packet of the same kind and subject, {asked.kind.value} {asked.subject_id}"
    elif before.status == PacketStatus.SUPERSEDED:
        expected = f"a packet that is not superseded; {before.number} is"
    if expected is not None:
        fault = Fault(pointer="/supersedes", expected=expected, got=str(asked.supersedes))
        raise ProblemError(problems.INVALID_VALUES, "No packet was issued.", [fault])


def _files(work: UnitOfWork, packet_ids: list[UUID]) -> dict[UUID, list[PacketFile]]:
    if not packet_ids:
        return {}
    rows = work.session.execute(
        select(
            PacketFileRow.packet_id, PacketFileRow.name, PacketFileRow.media_type, PacketFileRow.size,
            PacketFileRow.sha256,
        ).where(PacketFileRow.club_id == work.club_id, PacketFileRow.packet_id.in_(packet_ids))
        .order_by(PacketFileRow.name)
    )  # fmt: skip
    found: dict[UUID, list[PacketFile]] = {}
    for row in rows:
        mine = {name: value for name, value in row._mapping.items() if name != "packet_id"}
        found.setdefault(row.packet_id, []).append(PacketFile(**mine))
    return found


def _packet(row: Row[*tuple[Any, ...]], files: list[PacketFile]) -> Packet:
    return Packet(**row._mapping, files=files)
