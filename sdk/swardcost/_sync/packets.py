"""Packets: what a committee and the members read, as drafts, as issued, and shared by links."""

from collections.abc import Iterator
from typing import Literal
from uuid import UUID

from swardcost_model.packets import (
    NewLinkWithToken,
    NewPacket,
    NewPacketLink,
    Packet,
    PacketDraft,
    PacketKind,
    PacketLink,
)

from swardcost._sync.session import Session

_PACKETS = "/v1/clubs/{club}/packets"
_LINKS = "/v1/clubs/{club}/packet-links"
_SUBJECTS = {
    PacketKind.ESTIMATE: "estimates/{}/packet",
    PacketKind.BUDGET: "budgets/{}/packet",
    PacketKind.CAPITAL_PLAN: "capital-plans/{}/packet",
    PacketKind.WORK_REPORT: "budgets/{}/work-report",
}
Form = Literal["html", "pdf", "xlsx", "csv", "json"]
_MEDIA: dict[str, str] = {
    "html": "text/html", "pdf": "application/pdf", "csv": "text/csv", "json": "application/json",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}  # fmt: skip


class Packets:
    """Packets of estimates, budgets and capital plans, and work reports."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def draft(
        self,
        kind: PacketKind,
        subject_id: UUID,
        *,
        through: str | None = None,
        locale: str | None = None,
        unit_system: str | None = None,
    ) -> PacketDraft:
        """The packet as it would be issued now, as data."""
        content = self.draft_file(
            kind, subject_id, "json", through=through, locale=locale, unit_system=unit_system
        )
        return PacketDraft.model_validate_json(content)

    def draft_file(
        self,
        kind: PacketKind,
        subject_id: UUID,
        form: Form,
        *,
        through: str | None = None,
        locale: str | None = None,
        unit_system: str | None = None,
    ) -> bytes:
        """The same as a page, PDF, workbook, tables or data."""
        path = f"/v1/clubs/{{club}}/{_SUBJECTS[kind].format(subject_id)}"
        query = {"through": through, "locale": locale, "unit_system": unit_system}
        response = self._session.send("GET", path, query=query, accept=_MEDIA[form])
        return response.content

    def issue(self, new: NewPacket) -> Packet:
        """Make the files of a packet, which never change from then on."""
        return self._session.post(Packet, _PACKETS, new)

    def list(self, kind: PacketKind | None = None, subject_id: UUID | None = None) -> Iterator[Packet]:
        """Every issued packet, or those of a kind or subject."""
        return self._session.pages(Packet, _PACKETS, kind=kind, subject_id=subject_id)

    def read(self, packet_id: UUID) -> Packet:
        """One packet, with the SHA-256 of its files."""
        return self._session.get(Packet, f"{_PACKETS}/{packet_id}")

    def file(self, packet_id: UUID, form: Form) -> bytes:
        """A file of an issued packet, byte for byte; its SHA-256 is that which the packet states."""
        path = f"{_PACKETS}/{packet_id}/document"
        return (self._session.send("GET", path, accept=_MEDIA[form])).content

    def share(self, packet_id: UUID, new: NewPacketLink) -> NewLinkWithToken:
        """Make a link by which somebody without a key reads this packet."""
        return self._session.post(NewLinkWithToken, f"{_PACKETS}/{packet_id}/links", new)

    def links(self, packet_id: UUID) -> Iterator[PacketLink]:
        """The links to a packet, without their tokens."""
        return self._session.pages(PacketLink, f"{_PACKETS}/{packet_id}/links")

    def revoke(self, packet_link_id: UUID) -> PacketLink:
        """Have a link open nothing any more."""
        return self._session.post(PacketLink, f"{_LINKS}/{packet_link_id}/revoke")
