"""Packets as they would be issued now, read without being kept."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from pydantic import PrivateAttr
from swardcost_model.access import UnitSystem
from swardcost_model.packets import NewPacket, PacketDocument, PacketDraft, PacketKind, PacketLocale

from swardcost_api.operations import JSON
from swardcost_api.packets.document import Document
from swardcost_api.packets.faces.json_face import json_data
from swardcost_api.packets.issued import read_files
from swardcost_api.packets.making import Composed, Question, composed, read_question
from swardcost_api.storage.work import UnitOfWork


class Draft(PacketDraft):
    """A draft with the document that its other forms are written from."""

    _document: Document = PrivateAttr()

    @classmethod
    def of(cls, found: Composed) -> "Draft":
        """The draft of a composed packet."""
        document = PacketDocument(**json_data(found.document))
        draft = cls(title=found.document.title, through=found.through, document=document)
        draft._document = found.document
        return draft

    @property
    def composed(self) -> Document:
        """The document itself."""
        return self._document


class IssuedDocument(PacketDocument):
    """The document of an issued packet, with its files."""

    _files: Mapping[str, bytes] = PrivateAttr()

    @classmethod
    def of(cls, files: Mapping[str, bytes]) -> "IssuedDocument":
        """The document whose files, by their media type, these are."""
        found = cls.model_validate_json(files[JSON])
        found._files = files
        return found

    @property
    def file_name(self) -> str:
        """What its files are called, without their ending."""
        return f"packet-{self.mark.number}"

    def bytes_of(self, media_type: str) -> bytes:
        """A file, byte for byte as it was issued."""
        return self._files[media_type]


def issued_document(work: UnitOfWork, packet_id: UUID) -> IssuedDocument:
    """The document of an issued packet with its files. Raises `not-found`."""
    return IssuedDocument.of(read_files(work, packet_id))


def read_draft(
    work: UnitOfWork,
    kind: PacketKind,
    subject_id: UUID,
    through: str | None,
    locale: PacketLocale | None,
    unit_system: UnitSystem | None,
) -> Question:
    """All that a packet of a subject is composed of."""
    asked: dict[str, Any] = {"through": through, "locale": locale, "unit_system": unit_system}
    return read_question(work, NewPacket(kind=kind, subject_id=subject_id, **asked))


def draft_of(question: Question) -> Draft:
    """The packet as it would be issued now."""
    return Draft.of(composed(question))
