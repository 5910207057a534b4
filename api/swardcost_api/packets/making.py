"""A packet from its subject: what is read in one transaction, and the document that is composed of it after."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from swardcost_model import problems
from swardcost_model.access import Club
from swardcost_model.packets import NewPacket, PacketKind
from swardcost_model.problems import Fault, ProblemError
from swardcost_model.values import Money

from swardcost_api.access.service import read_club
from swardcost_api.packets.budget import packet as budget_packet
from swardcost_api.packets.capital import packet as capital_packet
from swardcost_api.packets.composing import Composer, Writing
from swardcost_api.packets.document import Document, Mark
from swardcost_api.packets.estimate import packet as estimate_packet
from swardcost_api.packets.formatter import Formatter
from swardcost_api.packets.months import refuse_far_ahead
from swardcost_api.packets.reader_units import in_reader_units
from swardcost_api.packets.values import UnitPrice
from swardcost_api.packets.work import report as work_report
from swardcost_api.storage.work import UnitOfWork

COMPOSERS = {
    PacketKind.ESTIMATE: Composer(estimate_packet.read, estimate_packet.compose),
    PacketKind.BUDGET: Composer(budget_packet.read, budget_packet.compose),
    PacketKind.CAPITAL_PLAN: Composer(capital_packet.read, capital_packet.compose),
    PacketKind.WORK_REPORT: Composer(work_report.read, work_report.compose),
}


@dataclass(frozen=True, slots=True)
class Question:
    """All that a packet is composed of."""

    asked: NewPacket
    number: int | None
    club: Club
    locale: str
    facts: Any
    now: datetime


@dataclass(frozen=True, slots=True)
class Composed:
    """A packet as a document."""

    document: Document
    through: str | None


def read_question(work: UnitOfWork, asked: NewPacket, number: int | None = None) -> Question:
    """All that a packet is composed of, read at one moment; a draft bears no number.

    Raises `not-found` for a subject that the club does not have, `wrong-state` for one that has nothing to tell yet,
    `invalid-values` for a month or scenarios where the subject has none, for a month years ahead, and for one in which
    the budget, or the locked plan, had nothing yet.
    """
    without = _without_months(work, asked)
    if asked.through is not None and without:
        fault = Fault(pointer="/through", expected=f"null for {without}", got=asked.through)
        raise ProblemError(
            problems.INVALID_VALUES, f"{without.capitalize()} has no months that count.", [fault]
        )
    if asked.scenarios is not None and asked.kind is not PacketKind.CAPITAL_PLAN:
        fault = Fault(pointer="/scenarios", expected=f"null for {asked.kind.value}", got="scenarios")
        raise ProblemError(problems.INVALID_VALUES, "Only a capital plan has scenarios.", [fault])
    this_month = work.now.date().isoformat()[:7]
    if asked.through is None and not without:
        asked = asked.model_copy(update={"through": this_month})
    if asked.through is not None:
        refuse_far_ahead(asked.through, this_month)
    club = read_club(work)
    facts = COMPOSERS[asked.kind].read(work, asked)
    return Question(asked, number, club, asked.locale or club.locale, facts, work.now)


def _without_months(work: UnitOfWork, asked: NewPacket) -> str:
    """What the subject is called where no month counts in it; empty where one does."""
    if asked.kind is PacketKind.ESTIMATE:
        return "an estimate"
    if asked.kind is PacketKind.CAPITAL_PLAN and not capital_packet.has_months(work, asked):
        return "a capital plan that is not locked"
    return ""


def composed(question: Question) -> Composed:
    """The document of a packet, in the language and units that were asked for."""
    asked, club = question.asked, question.club
    writing = Writing(club, Formatter(question.locale), asked.decision_asked)
    content = COMPOSERS[asked.kind].compose(question.facts, writing)
    mark = Mark("draft") if question.number is None else Mark("issued", str(question.number))
    document = Document(
        title=asked.title or content.title, subtitle=content.subtitle, club=club.name, locale=question.locale,
        unit_system=asked.unit_system or club.unit_system, ton=club.ton, created=question.now.replace(microsecond=0),
        mark=mark, parts=content.parts,
    )  # fmt: skip
    if asked.kind is PacketKind.WORK_REPORT:
        _refuse_money(document)
    return Composed(in_reader_units(document), asked.through)


def _refuse_money(document: Document) -> None:
    """Hold a work report to what its readers may know: money in it is a defect, and nothing of it is told."""
    found = sum(isinstance(value, Money | UnitPrice) for value in document.values())
    if found:
        raise AssertionError(f"money stands in {found} places of a work report")
