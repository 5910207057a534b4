"""Why a line is different, in a sentence: so much more was used than planned, each was so much dearer."""

from decimal import ROUND_HALF_UP, Decimal

from swardcost_model.control import Cause as CauseName
from swardcost_model.values import minor_unit

from swardcost_api.engine.control.explanation import Cause
from swardcost_api.packets.budget.telling import Telling
from swardcost_api.packets.values import Measured, UnitPrice
from swardcost_api.reports.service import LineCauses

_HUNDREDTH = Decimal("0.01")


def cause_title(telling: Telling, cause: CauseName) -> str:
    """What a cause is called."""
    say = telling.say
    return {
        "scope": say("Scope"), "timing": say("Timing"), "quantity": say("Quantity"), "price": say("Price"),
        "spending": say("Spending"), "coding": say("Account coding"),
    }[cause]  # fmt: skip


def explained(telling: Telling, found: LineCauses) -> str:
    """Why a line is different, in a sentence."""
    facts, money = found.facts, telling.facts.money
    difference = money(facts.cost_minor - facts.original_minor)
    told = {
        "line": telling.label(found.line.state), "cost": telling.minor(facts.cost_minor),
        "planned": telling.minor(facts.original_minor), "by": telling.size(difference),
        "causes": telling.joined(_cause(telling, found, one) for one in found.causes),
    }  # fmt: skip
    if difference.amount > 0:
        return telling.say(
            "%(line)s: %(cost)s where %(planned)s were planned by now, %(by)s more, in parts: %(causes)s.",
            **told,
        )
    if difference.amount < 0:
        return telling.say(
            "%(line)s: %(cost)s where %(planned)s were planned by now, %(by)s less, in parts: %(causes)s.",
            **told,
        )
    return telling.say(
        "%(line)s: %(cost)s, as planned by now, because what differs evens out: %(causes)s.", **told
    )


def _cause(telling: Telling, found: LineCauses, cause: Cause) -> str:
    """A cause with its amount: so much was used more than planned, each was so much dearer."""
    say, more = telling.say, cause.amount_minor > 0
    state, currency = found.line.state, telling.facts.currency
    amount = telling.size(telling.facts.money(cause.amount_minor))
    if cause.reason == "quantity" and cause.units is not None and state.unit is not None:
        units = telling.shown(Measured(rounded(abs(cause.units)), state.unit, as_bought=True))
        if more:
            return say("%(units)s more than planned: %(amount)s more", units=units, amount=amount)
        return say("%(units)s fewer than planned: %(amount)s less", units=units, amount=amount)
    if cause.reason == "price" and cause.unit_price is not None and state.unit is not None:
        dearer = abs(cause.unit_price).quantize(minor_unit(currency), ROUND_HALF_UP)
        if dearer:
            each = telling.shown(UnitPrice(dearer, currency, state.unit))
            if more:
                return say("dearer by %(each)s: %(amount)s more", each=each, amount=amount)
            return say("cheaper by %(each)s: %(amount)s less", each=each, amount=amount)
    return _plainly(telling, cause, state.markup == "contingency", amount)


def _plainly(telling: Telling, cause: Cause, contingency: bool, amount: str) -> str:
    """A cause that no quantity goes with."""
    say, more = telling.say, cause.amount_minor > 0
    if cause.reason == "spending" and contingency and not more:
        return say("contingency planned by now and not drawn: %(amount)s less", amount=amount)
    if more:
        return {
            "scope": say("approved changes of the budget: %(amount)s more", amount=amount),
            "timing": say("work done earlier than planned: %(amount)s more", amount=amount),
            "quantity": say("more used than planned: %(amount)s more", amount=amount),
            "price": say("dearer than planned: %(amount)s more", amount=amount),
            "spending": say("spent beyond the plan, with no quantity to explain it: %(amount)s more", amount=amount),
            "coding": say("charged from accounts that are not the line's own: %(amount)s more", amount=amount),
        }[cause.reason]  # fmt: skip
    return {
        "scope": say("approved changes of the budget: %(amount)s less", amount=amount),
        "timing": say("work planned by now that is still to be done: %(amount)s less", amount=amount),
        "quantity": say("less used than planned: %(amount)s less", amount=amount),
        "price": say("cheaper than planned: %(amount)s less", amount=amount),
        "spending": say("not spent, with no quantity to explain it: %(amount)s less", amount=amount),
        "coding": say("credited from accounts that are not the line's own: %(amount)s less", amount=amount),
    }[cause.reason]  # fmt: skip


def rounded(number: Decimal) -> Decimal:
    """A quantity to hundredths at most, without zeros at its end."""
    found = number.quantize(_HUNDREDTH, ROUND_HALF_UP).normalize() or number
    return Decimal(format(found, "f"))
