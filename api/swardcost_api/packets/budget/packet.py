"""The budget-versus-actual packet: where the money stands, why it differs, where it goes, and how sure that is."""

from collections.abc import Iterator

from swardcost_model.packets import NewPacket

from swardcost_api.packets.budget.books import books, cautions
from swardcost_api.packets.budget.brief import brief
from swardcost_api.packets.budget.changes import adjustments, contingency, orders
from swardcost_api.packets.budget.facts import BudgetFacts, read_facts
from swardcost_api.packets.budget.future import future
from swardcost_api.packets.budget.lines import lines
from swardcost_api.packets.budget.reasons import reasons
from swardcost_api.packets.budget.telling import Telling
from swardcost_api.packets.composing import Content, Writing
from swardcost_api.packets.document import Part, Section, Signature, SignOff
from swardcost_api.storage.work import UnitOfWork

_PARTS = (brief, lines, reasons, future, contingency, adjustments, orders, books, cautions)
"""In the order in which they are read."""


def read(work: UnitOfWork, asked: NewPacket) -> BudgetFacts:
    """A budget with all that a packet of it tells, read at one moment. Raises `not-found`."""
    return read_facts(work, asked)


def compose(facts: BudgetFacts, writing: Writing) -> Content:
    """What the packet tells."""
    telling = Telling(facts, writing)
    parts: list[Part] = [part for tell in _PARTS for part in tell(telling)]
    parts += _sign_off(telling)
    parts += telling.appendix()
    return Content(facts.gathered.budget.name, _subtitle(telling), tuple(parts))


def _subtitle(telling: Telling) -> str:
    if telling.facts.month_is_over:
        return telling.say("Budget and actual to the end of %(month)s", month=telling.month)
    return telling.say(
        "Budget and actual to the end of %(month)s, as known on %(day)s",
        month=telling.month,
        day=telling.today,
    )


def _sign_off(telling: Telling) -> Iterator[Part]:
    say = telling.say
    yield Section("sign-off", say("Sign-off"))
    yield SignOff(
        say(
            "This packet was read as the state of the budget at the end of %(month)s. Signing it approves no "
            "adjustment and no payment.",
            month=telling.month,
        ),
        (
            Signature(say("Superintendent")), Signature(say("Controller")),
            Signature(say("For the finance committee")),
        ),
    )  # fmt: skip
