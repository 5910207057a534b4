"""The steps behind the difference of a line: what each cause is computed of."""

from collections.abc import Iterator
from decimal import Decimal

from swardcost_api.engine.control.explanation import FORMULAS, Cause
from swardcost_api.engine.control.rounding import places
from swardcost_api.packets.budget.reason_words import cause_title
from swardcost_api.packets.budget.telling import Telling, line_key
from swardcost_api.packets.document import Given, Step
from swardcost_api.packets.values import Measured, Share, UnitPrice
from swardcost_api.reports.service import LineCauses

_PRICE_PLACES = 6


def why_different(telling: Telling, found: LineCauses) -> str | None:
    """How the difference of a line, and each of its causes, came about."""
    say, facts = telling.say, found.facts
    money, state = telling.facts.money, found.line.state
    steps = [
        Step(
            cause_title(telling, cause.reason), money(cause.amount_minor), FORMULAS[cause.reason],
            tuple(_inputs(telling, found, cause)), say("budget, measured progress, orders and postings by the day"),
        )
        for cause in found.causes
    ]  # fmt: skip
    steps.append(telling.step(
        say("Difference"), money(facts.cost_minor - facts.original_minor), say("cost so far - planned by now"),
        say("the causes sum to it"), (say("Cost so far"), money(facts.cost_minor)),
        (say("Planned by now"), money(facts.original_minor)),
    ))  # fmt: skip
    title = say("%(line)s: why it is different", line=telling.label(state))
    return telling.why_typed(f"why-{line_key(state)}", title, *steps)


def _inputs(telling: Telling, found: LineCauses, cause: Cause) -> Iterator[Given]:
    """What a cause is computed of, as far as it is known."""
    say, facts, money = telling.say, found.facts, telling.facts.money
    planned = Given(say("Original plan to date"), money(facts.original_minor))
    adjusted = Given(say("Adjusted plan to date"), money(facts.adjusted_minor))
    budget = Given(say("Adjusted budget"), money(facts.budget_minor))
    name = (
        say("Share done")
        if facts.done == found.line.done
        else say("Share done, and what it cost since as on budget")
    )
    done = None if facts.done is None else Given(name, Share(places(facts.done * 100, 2)))
    match cause.reason:
        case "scope":
            yield from (adjusted, planned)
        case "timing":
            yield from (budget, adjusted)
            yield from () if done is None else (done,)
        case "quantity" | "price":
            yield from _quantities(telling, found)
            yield from () if done is None or cause.reason == "price" else (done,)
        case "spending":
            yield Given(
                say("Cost on the line's own account"), money(facts.cost_minor - facts.other_accounts_minor)
            )
            if facts.priced_minor is not None:
                yield Given(say("What the quantity used cost"), money(facts.priced_minor))
            elif done is None:
                yield adjusted
            else:
                yield from (budget, done)
        case "coding":
            yield Given(say("Charged from other accounts"), money(facts.other_accounts_minor))


def _quantities(telling: Telling, found: LineCauses) -> Iterator[Given]:
    say, facts, unit = telling.say, found.facts, found.line.state.unit
    if unit is None or facts.used is None or not facts.quantity:
        return
    yield Given(say("Quantity used"), Measured(facts.used, unit, as_bought=True))
    yield Given(say("Adjusted quantity"), Measured(facts.quantity, unit, as_bought=True))
    price = telling.facts.money(facts.budget_minor).amount / facts.quantity
    step = Decimal(1).scaleb(-_PRICE_PLACES)
    yield Given(say("Planned unit price"), UnitPrice(price.quantize(step), telling.facts.currency, unit))
    if facts.priced_minor is not None:
        yield Given(say("What the quantity used cost"), telling.facts.money(facts.priced_minor))
