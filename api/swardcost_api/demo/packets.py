"""What people read of the club: four packets, issued and written to files, one of them shared and taken back."""

from dataclasses import dataclass
from pathlib import Path
from uuid import UUID

import httpx
from swardcost import Client
from swardcost_model.packets import NewPacket, NewPacketLink, Packet, PacketKind

from swardcost_api.demo import control

FOLDER = "packets"


@dataclass(frozen=True)
class Written:
    """An issued packet and the files that were written of it."""

    packet: Packet
    pages: Path
    print: Path
    workbook: Path


def issue_all(client: Client, budget_id: UUID, plan_id: UUID, folder: Path) -> list[Written]:
    """Issue the packet of the estimate, of the budget, for the members, and of the capital plan, and write them."""
    estimate_id = client.budgets.read(budget_id).estimate_id
    asked = [
        NewPacket(kind=PacketKind.ESTIMATE, subject_id=estimate_id),
        NewPacket(
            kind=PacketKind.BUDGET, subject_id=budget_id, through=control.MONTH,
            decision_asked="To take note of where the season stands, and to approve the next draw line by line.",
        ),
        NewPacket(kind=PacketKind.WORK_REPORT, subject_id=budget_id, through=control.MONTH, locale="es-MX"),
        NewPacket(kind=PacketKind.CAPITAL_PLAN, subject_id=plan_id, through=control.MONTH),
    ]  # fmt: skip
    into = folder / FOLDER
    into.mkdir()
    return [_written(client, client.packets.issue(one), into) for one in asked]


def _written(client: Client, packet: Packet, into: Path) -> Written:
    name = f"packet-{packet.number}"
    written = Written(packet, into / f"{name}.html", into / f"{name}.pdf", into / f"{name}.xlsx")
    written.pages.write_bytes(client.packets.file(packet.id, "html"))
    written.print.write_bytes(client.packets.file(packet.id, "pdf"))
    written.workbook.write_bytes(client.packets.file(packet.id, "xlsx"))
    return written


@dataclass(frozen=True)
class Shared:
    """A link, what it opened, and what it opens since it was taken back."""

    path: str
    opened: int
    since: int


def share_and_take_back(client: Client, url: str, packet: Packet) -> Shared:
    """Share a packet by a link, open it without a key, and take the link back."""
    link = client.packets.share(packet.id, NewPacketLink(name="Autumn meeting of the members", valid_days=14))
    opened = httpx.get(url + link.path).status_code
    client.packets.revoke(link.id)
    return Shared(link.path, opened, httpx.get(url + link.path).status_code)


def pdf_digest(packet: Packet) -> str:
    """The SHA-256 of a packet's PDF, as minutes may quote it."""
    return next(one.sha256 for one in packet.files if one.name.endswith(".pdf"))
