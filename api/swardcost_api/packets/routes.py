"""HTTP operations of packets: read as drafts, issued, and shared by links."""

from typing import Annotated
from uuid import UUID

from swardcost_model import problems
from swardcost_model.access import Role, UnitSystem
from swardcost_model.packets import (
    NewLinkWithToken,
    NewPacket,
    NewPacketLink,
    Packet,
    PacketDocument,
    PacketDraft,
    PacketKind,
    PacketLink,
    PacketLocale,
)
from swardcost_model.paging import Page
from swardcost_model.values import Month

from swardcost_api.operations import CLUB, JSON, Cursor, Face, Limit, Query, Room
from swardcost_api.packets import drafts, issued, links
from swardcost_api.packets.faces.forms import FACES, PacketFace
from swardcost_api.packets.issued import ToBeIssued
from swardcost_api.packets.making import Question
from swardcost_api.storage.work import UnitOfWork

room = Room(
    "Packets",
    "What a committee and the members read: one document as page, PDF, workbook and tables; issued, frozen and shared.",
)
ISSUERS = frozenset({Role.SUPERINTENDENT, Role.CONTROLLER, Role.OWNER})
PACKETS = CLUB + "/packets"
LINKS = CLUB + "/packet-links"

Through = Annotated[
    Month | None, Query("The last month that counts; this month where none is given.", example="2026-09")
]
ThroughOfLocked = Annotated[
    Month | None,
    Query(
        "The last month that counts, of a locked plan alone; this month where none is given.",
        example="2026-09",
    ),
]
InLocale = Annotated[
    PacketLocale | None,
    Query("Form of numbers, and language; the club's where none is given.", example="fr-CA"),
]
InUnits = Annotated[UnitSystem | None, Query("The club's where none is given.", example="metric")]


def _of_draft(face: PacketFace) -> Face:
    return Face(face.media_type, lambda draft: face.write(draft.composed))


def _as_issued(face: PacketFace) -> Face:
    return Face(face.media_type, lambda kept: kept.bytes_of(face.media_type))


_DRAFT_FACES = tuple(_of_draft(one) for one in FACES if one.media_type != JSON)
_ISSUED_FACES = tuple(_as_issued(one) for one in FACES)


def read_estimate_packet_question(
    work: UnitOfWork, estimate_id: UUID, locale: InLocale = None, unit_system: InUnits = None
) -> Question:
    """What an estimate's packet is composed of."""
    return drafts.read_draft(work, PacketKind.ESTIMATE, estimate_id, None, locale, unit_system)


def read_budget_packet_question(
    work: UnitOfWork,
    budget_id: UUID,
    through: Through = None,
    locale: InLocale = None,
    unit_system: InUnits = None,
) -> Question:
    """What a budget's packet is composed of."""
    return drafts.read_draft(work, PacketKind.BUDGET, budget_id, through, locale, unit_system)


def read_work_report_question(
    work: UnitOfWork,
    budget_id: UUID,
    through: Through = None,
    locale: InLocale = None,
    unit_system: InUnits = None,
) -> Question:
    """What a work report is composed of."""
    return drafts.read_draft(work, PacketKind.WORK_REPORT, budget_id, through, locale, unit_system)


def read_plan_packet_question(
    work: UnitOfWork,
    plan_id: UUID,
    through: ThroughOfLocked = None,
    locale: InLocale = None,
    unit_system: InUnits = None,
) -> Question:
    """What a capital plan's packet is composed of."""
    return drafts.read_draft(work, PacketKind.CAPITAL_PLAN, plan_id, through, locale, unit_system)


@room.read(
    CLUB + "/estimates/{estimate_id}/packet", "Read an estimate's packet", reads=read_estimate_packet_question,
    faces=_DRAFT_FACES, problems=[problems.WRONG_STATE],
)  # fmt: skip
def read_estimate_packet(question: Question) -> PacketDraft:
    """The decision asked, total and class, what is included and what not, itemised tables, alternatives, schedule,
    risks, cautions, basis and approvals: as page, PDF, workbook, tables and data."""
    return drafts.draft_of(question)


@room.read(
    CLUB + "/budgets/{budget_id}/packet", "Read a budget's packet", reads=read_budget_packet_question,
    faces=_DRAFT_FACES, problems=[problems.INVALID_VALUES, problems.WRONG_STATE],
)  # fmt: skip
def read_budget_packet(question: Question) -> PacketDraft:
    """Where the money stands in three sentences and three figures, the table, the bridge of the difference, the largest
    differences explained, forecast, contingency and open orders."""
    return drafts.draft_of(question)


@room.read(
    CLUB + "/capital-plans/{plan_id}/packet", "Read a capital plan's packet", reads=read_plan_packet_question,
    faces=_DRAFT_FACES, problems=[problems.INVALID_VALUES, problems.WRONG_STATE],
)  # fmt: skip
def read_capital_plan_packet(question: Question) -> PacketDraft:
    """The decision asked, the reserve by year, projects by year and by line, what is deferred and what that costs, what
    was decided, and what moved since the plan before."""
    return drafts.draft_of(question)


@room.read(
    CLUB + "/budgets/{budget_id}/work-report", "Read a work report for the members",
    reads=read_work_report_question, faces=_DRAFT_FACES, problems=[problems.INVALID_VALUES, problems.WRONG_STATE],
)  # fmt: skip
def read_work_report(question: Question) -> PacketDraft:
    """What was done, in plain words and without money: areas, tons, loads, trips, holes, cores, before and after."""
    return drafts.draft_of(question)


@room.create(
    PACKETS, "Issue a packet", needs=ISSUERS, reads=issued.read_to_issue, solves=issued.make_files,
    problems=[problems.UNAVAILABLE, problems.WRONG_STATE],
)  # fmt: skip
def issue_packet(work: UnitOfWork, data: NewPacket, solved: ToBeIssued) -> Packet:
    """Its files are made now and never change, so minutes can quote their SHA-256; one that it supersedes says so from
    then on."""
    return issued.issue_packet(work, data, solved)


@room.read(PACKETS, "List issued packets")
def list_packets(
    work: UnitOfWork,
    limit: Limit = 50,
    cursor: Cursor = None,
    kind: Annotated[PacketKind | None, Query("Only packets of this kind.", example="budget")] = None,
    subject_id: Annotated[UUID | None, Query("Only packets of this estimate, budget or plan.")] = None,
) -> Page[Packet]:
    """In the order in which they were issued."""
    return issued.list_packets(work, limit, cursor, kind, subject_id)


@room.read(PACKETS + "/{packet_id}", "Read an issued packet")
def read_packet(work: UnitOfWork, packet_id: UUID) -> Packet:
    """Its files with their size and SHA-256, and whether another took its place."""
    return issued.read_packet(work, packet_id)


@room.read(PACKETS + "/{packet_id}/document", "Read a file of an issued packet", faces=_ISSUED_FACES)
def read_packet_document(work: UnitOfWork, packet_id: UUID) -> PacketDocument:
    """Byte for byte as they were issued, by what is accepted: page, PDF, workbook, tables or data."""
    return drafts.issued_document(work, packet_id)


@room.create(
    PACKETS + "/{packet_id}/links", "Share a packet by a link", needs=ISSUERS, confidential=True, collection=LINKS
)  # fmt: skip
def create_packet_link(work: UnitOfWork, packet_id: UUID, data: NewPacketLink) -> NewLinkWithToken:
    """Whoever has the link reads this one packet, without a key, until it expires or is revoked. The token is shown
    once."""
    return links.create_link(work, packet_id, data)


@room.read(PACKETS + "/{packet_id}/links", "List the links to a packet")
def list_packet_links(
    work: UnitOfWork, packet_id: UUID, limit: Limit = 50, cursor: Cursor = None
) -> Page[PacketLink]:
    """Oldest first, without their tokens."""
    return links.list_links(work, packet_id, limit, cursor)


@room.act(
    LINKS + "/{packet_link_id}/revoke", "Revoke a link to a packet", needs=ISSUERS, problems=[problems.WRONG_STATE]
)  # fmt: skip
def revoke_packet_link(work: UnitOfWork, packet_link_id: UUID) -> PacketLink:
    """It opens nothing any more; other links to the packet go on."""
    return links.revoke_link(work, packet_link_id)
