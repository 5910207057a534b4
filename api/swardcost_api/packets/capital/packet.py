"""The capital plan packet: what is asked, the plan in short, years, projects, money, scenarios, futures and gaps."""

from collections.abc import Iterator

from swardcost_model.capital_plans import PlanStatus
from swardcost_model.packets import NewPacket

from swardcost_api.capital.service import read_plan
from swardcost_api.packets.capital.assets import assets
from swardcost_api.packets.capital.brief import brief
from swardcost_api.packets.capital.decisions import decisions
from swardcost_api.packets.capital.facts import CapitalFacts, read_facts
from swardcost_api.packets.capital.funding import deferral, least_contribution
from swardcost_api.packets.capital.futures import futures
from swardcost_api.packets.capital.gaps import cautions, missing
from swardcost_api.packets.capital.moves import moves
from swardcost_api.packets.capital.projects import projects
from swardcost_api.packets.capital.scenarios import scenarios
from swardcost_api.packets.capital.standing import standing
from swardcost_api.packets.capital.telling import Telling
from swardcost_api.packets.capital.terms import terms
from swardcost_api.packets.capital.work import work_by_year
from swardcost_api.packets.capital.years import plan_by_year
from swardcost_api.packets.composing import Content, Writing
from swardcost_api.packets.document import Part, Section, Signature, SignOff
from swardcost_api.storage.work import UnitOfWork

_PARTS = (
    brief, terms, plan_by_year, work_by_year, projects, decisions, standing, assets, least_contribution, scenarios,
    deferral, futures, moves, missing, cautions,
)  # fmt: skip
"""In the order in which they are read; each tells nothing where it has nothing to tell."""


def has_months(work: UnitOfWork, asked: NewPacket) -> bool:
    """Whether money up to a month is told: of a locked plan alone. Raises `not-found`."""
    return read_plan(work, asked.subject_id).status is PlanStatus.LOCKED


def read(work: UnitOfWork, asked: NewPacket) -> CapitalFacts:
    """A plan with all that a packet of it tells, read at one moment. Raises as `read_facts`."""
    return read_facts(work, asked)


def compose(facts: CapitalFacts, writing: Writing) -> Content:
    """What the packet tells. Raises `wrong-state` for amounts that cannot be meant."""
    telling = Telling(facts, writing)
    parts: list[Part] = [part for tell in _PARTS for part in tell(telling)]
    parts += _sign_off(telling)
    parts += telling.appendix()
    return Content(facts.plan.name, _subtitle(telling), tuple(parts))


def _subtitle(telling: Telling) -> str:
    figures, say = telling.facts.figures, telling.say
    words = {
        PlanStatus.DRAFT: say("Capital plan, draft"), PlanStatus.ISSUED: say("Capital plan, issued for decision"),
        PlanStatus.LOCKED: say("Capital plan, decided and locked"),
    }  # fmt: skip
    return say(
        "%(state)s: %(years)s",
        state=words[figures.status],
        years=telling.span(figures.first_year, figures.last_year),
    )


def _sign_off(telling: Telling) -> Iterator[Part]:
    say, plan = telling.say, telling.facts.plan
    yield Section("sign-off", say("Sign-off"))
    signatures = []
    if plan.issued_at is not None:
        signatures.append(Signature(say("Issued by"), plan.issued_by or "", plan.issued_at.date()))
    if plan.locked_at is not None:
        signatures.append(Signature(say("Locked by"), plan.locked_by or "", plan.locked_at.date()))
    signatures += [Signature(say("For the finance committee")), Signature(say("For the board"))]
    statements = {
        PlanStatus.DRAFT: say("The plan was looked through as a draft. Signing it approves no spending."),
        PlanStatus.ISSUED: say(
            "The decisions line by line are taken as they stand in this packet. Approval of a project is not yet an "
            "order: its estimate and budget follow."
        ),
        PlanStatus.LOCKED: say("The plan is locked with the decisions that stand in this packet."),
    }
    yield SignOff(statements[plan.status], tuple(signatures))
