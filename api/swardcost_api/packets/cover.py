"""What somebody sees who follows a link: the cover of a packet, with its files and whether it still counts."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from uuid import UUID

from swardcost_model.packets import Packet

from swardcost_api.access.service import read_club
from swardcost_api.packets.formatter import Formatter
from swardcost_api.packets.issued import read_packet
from swardcost_api.storage.work import UnitOfWork


@dataclass(frozen=True, slots=True)
class SharedFile:
    """A file as the cover names it."""

    name: str
    words: str
    size: str
    sha256: str


@dataclass(frozen=True)
class SharedPacket:
    """The cover of a packet, in the language of the packet."""

    packet: Packet
    language: str
    club: str
    title: str
    issued: str
    mark: str
    superseded: bool
    expires: str
    read: str
    check: str
    files: tuple[SharedFile, ...]


def shared_packet(work: UnitOfWork, packet_id: UUID, expires_at: datetime) -> SharedPacket:
    """The cover of a packet for whoever followed a link that works until a moment. Raises `not-found`."""
    packet = read_packet(work, packet_id)
    written = Formatter(packet.locale)
    say = written.words.say
    later = None if packet.superseded_by is None else read_packet(work, packet.superseded_by)
    if later is None:
        mark = say("Packet %(number)s, issued. No other has taken its place.", number=packet.number)
    else:
        mark = say(
            "Packet %(number)s was superseded by packet %(later)s on %(day)s.", number=packet.number,
            later=later.number, day=written.day(later.issued_at.date()),
        )  # fmt: skip
    names = {
        "html": say("Read it here"), "pdf": say("PDF, to print"), "xlsx": say("Workbook with its formulas"),
        "csv": say("Tables as CSV"), "json": say("Data as JSON"),
    }  # fmt: skip
    order = list(names)
    files = sorted(packet.files, key=lambda one: order.index(one.name.rpartition(".")[2]))
    return SharedPacket(
        packet, written.words.language, read_club(work).name, packet.title,
        say("Issued on %(moment)s by %(name)s.", moment=written.moment(packet.issued_at), name=packet.issued_by),
        mark, later is not None,
        say("This link works until %(moment)s.", moment=written.moment(expires_at)),
        say("Its files"),
        say("They never change: whoever has a file can check it by its SHA-256, and minutes can quote that."),
        tuple(
            SharedFile(
                one.name, names[one.name.rpartition(".")[2]],
                say("%(size)s kB", size=written.number(_thousands(one.size))), one.sha256,
            )
            for one in files
        ),
    )  # fmt: skip


def _thousands(size: int) -> Decimal:
    return (Decimal(size) / 1000).quantize(Decimal("0.1"))
