"""What people read of the club: four packets, issued and written to files, one of them shared and taken back."""

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Literal
from uuid import UUID

import httpx
from swardcost import Client
from swardcost_model.packets import NewPacket, NewPacketLink, Packet, PacketKind

from swardcost_api.demo import control

FOLDER = "packets"
FORMS: tuple[Literal["html", "pdf", "xlsx"], ...] = ("html", "pdf", "xlsx")


def issue_all(client: Client, budget_id: UUID, plan_id: UUID) -> list[Packet]:
    """Issue the packet of the estimate, of the budget, for the members, and of the capital plan."""
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
    return [client.packets.issue(one) for one in asked]


def write_files(client: Client, packets: Iterable[Packet], folder: Path) -> Path:
    """Write each packet as page, PDF and workbook; gives the folder that they are in."""
    into = folder / FOLDER
    into.mkdir()
    for packet in packets:
        for form in FORMS:
            (into / f"packet-{packet.number}.{form}").write_bytes(client.packets.file(packet.id, form))
    return into


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
