"""The estimate packet: what is asked, what it costs, alternates, days, risks, what it rests on, and who approves it."""

from swardcost_model.estimates import EstimateStatus
from swardcost_model.packets import NewPacket

from swardcost_api.packets.composing import Content, Writing
from swardcost_api.packets.document import Part
from swardcost_api.packets.estimate.alternates import alternates, other_headings
from swardcost_api.packets.estimate.basis import basis, quotes
from swardcost_api.packets.estimate.brief import decision, included
from swardcost_api.packets.estimate.facts import EstimateFacts, read_facts
from swardcost_api.packets.estimate.gaps import cautions, sign_off, warnings
from swardcost_api.packets.estimate.risks import risks
from swardcost_api.packets.estimate.schedule import schedule
from swardcost_api.packets.estimate.tables import itemised
from swardcost_api.packets.telling import Told
from swardcost_api.storage.work import UnitOfWork

_PARTS = (
    decision, included, itemised, other_headings, alternates, schedule, risks, quotes, basis, warnings, cautions,
    sign_off,
)  # fmt: skip
"""In the order in which they are read."""


def read(work: UnitOfWork, asked: NewPacket) -> EstimateFacts:
    """An estimate with all that a packet of it tells, read at one moment. Raises `not-found`."""
    return read_facts(work, asked)


def compose(facts: EstimateFacts, writing: Writing) -> Content:
    """What the packet tells. Raises `unavailable` while other schedules are solved."""
    telling = Told(facts, writing)
    parts: list[Part] = [part for tell in _PARTS for part in tell(telling)]
    parts += telling.appendix()
    title = telling.say("%(project)s: %(estimate)s", project=facts.project.name, estimate=facts.estimate.name)
    return Content(title, _subtitle(telling), tuple(parts))


def _subtitle(telling: Told[EstimateFacts]) -> str:
    say, estimate = telling.say, telling.facts.estimate
    superseded = estimate.superseded_by is not None and estimate.decided_at is None
    state = say("superseded by a later revision") if superseded else {
        EstimateStatus.DRAFT: say("draft"), EstimateStatus.ISSUED: say("issued for decision"),
        EstimateStatus.ACCEPTED: say("accepted"), EstimateStatus.DECLINED: say("declined"),
    }[estimate.status]  # fmt: skip
    return say(
        "Estimate %(number)s, revision %(revision)s: %(state)s", number=estimate.number, revision=estimate.revision,
        state=state,
    )  # fmt: skip
