"""Packets: what a committee and the members read, as it was issued, and the links by which it is shared."""

from datetime import datetime
from enum import StrEnum
from typing import Any, Literal
from uuid import UUID

from pydantic import Field

from swardcost_model.access import Ton, UnitSystem
from swardcost_model.plan_scenarios import ScenarioQuestion
from swardcost_model.values import Answer, Month, Name, Request, Text, Timestamp

PacketLocale = Literal[
    "en-US", "en-CA", "en-GB", "fr-CA", "fr-FR", "es-MX", "es-ES", "es-US", "de-DE", "ja-JP"
]
"""Forms of numbers, money and days; texts are in English, Spanish or French, and English for the others."""


class PacketKind(StrEnum):
    """What a packet tells."""

    ESTIMATE = "estimate"
    BUDGET = "budget"
    CAPITAL_PLAN = "capital_plan"
    WORK_REPORT = "work_report"


class PacketStatus(StrEnum):
    """Whether a packet is the one that counts, or another took its place."""

    ISSUED = "issued"
    SUPERSEDED = "superseded"


class NewPacket(Request):
    """A packet to be issued: its files are made now and stay as they are."""

    kind: PacketKind
    subject_id: UUID = Field(
        description="The estimate, budget or capital plan; for a work report, the budget."
    )
    through: Month | None = Field(
        default=None,
        description="The last month that counts, for a budget, a work report, or a locked capital plan, null for this "
        "month; always null for others.",
    )
    locale: PacketLocale | None = Field(default=None, description="Null for the club's.", examples=["en-US"])
    unit_system: UnitSystem | None = Field(default=None, description="Null for the club's.")
    title: Name | None = Field(default=None, description="Null for one that says what it is of.")
    decision_asked: Text = Field(
        default="",
        description="What the readers are asked to decide, in your words; empty for what follows from its state.",
        examples=["To approve the estimate and the draw on contingency"],
    )
    scenarios: ScenarioQuestion | None = Field(
        default=None,
        description="Of a capital plan, what is shown side by side, the others beside the first; null for the plan as "
        "dated, as decided, with the least contribution, a year later, and with costs that grow faster.",
    )
    supersedes: UUID | None = Field(
        default=None, description="A packet of the same kind and subject whose place it takes."
    )


class PacketFile(Answer):
    """A form of a packet; its bytes never change, so minutes can quote its SHA-256."""

    name: str = Field(examples=["packet-7.pdf"])
    media_type: str
    size: int = Field(description="Bytes.")
    sha256: str = Field(description="In hexadecimal digits.")


class Packet(Answer):
    """An issued packet."""

    id: UUID
    number: int = Field(description="Counted up in the club.")
    kind: PacketKind
    subject_id: UUID
    title: str
    through: Month | None = Field(
        description="The last month that counts; null for an estimate, and a capital plan that is not locked."
    )
    locale: str
    unit_system: UnitSystem
    status: PacketStatus
    issued_at: Timestamp
    issued_by: str
    supersedes: UUID | None
    superseded_by: UUID | None
    files: list[PacketFile]
    version: int


class NewPacketLink(Request):
    """A link by which somebody without a key reads one packet."""

    name: Name = Field(description="For whom it is.", examples=["Finance committee, spring meeting"])
    valid_days: int = Field(default=30, ge=1, le=365, strict=True)


class PacketLink(Answer):
    """A link to an issued packet; the token itself is not kept."""

    id: UUID
    packet_id: UUID
    name: str
    created_at: Timestamp
    created_by: str
    expires_at: Timestamp
    revoked_at: Timestamp | None
    version: int

    def works_at(self, moment: datetime) -> bool:
        """Whether it opens its packet at a moment."""
        return self.revoked_at is None and moment < self.expires_at


class NewLinkWithToken(PacketLink):
    """A new link with its token, shown this once."""

    token: str = Field(description="It is shown once and stored only as a hash.")
    path: str = Field(description="Where the packet is read, on this service.", examples=["/p/view_2f1c9a…"])


class PacketMark(Answer):
    """Whether a document is a draft or was issued, and then its number."""

    state: Literal["draft", "issued"]
    number: str


class PacketDocument(Answer):
    """All that a packet tells, as data."""

    title: str
    subtitle: str
    club: str
    locale: str
    unit_system: UnitSystem
    ton: Ton
    created: Timestamp
    mark: PacketMark
    parts: list[dict[str, Any]] = Field(
        description="In the order in which they are read, each with its `kind`: sections, texts, figures, tables, "
        "charts, and the steps behind the figures; values typed, with their units, and as they are printed."
    )


class PacketDraft(Answer):
    """A packet as it would be issued now."""

    title: str
    through: Month | None
    document: PacketDocument
