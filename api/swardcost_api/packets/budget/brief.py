"""The head of a budget packet: what is to be decided, and where we stand in three sentences and three figures."""

from collections.abc import Iterator
from decimal import Decimal

from swardcost_model.values import Money

from swardcost_api.packets.budget.telling import AT_END, CONTINGENCY, LINES, TOTAL, Telling
from swardcost_api.packets.document import Figure, Figures, Paragraph, Part, Section
from swardcost_api.packets.telling import as_sentence
from swardcost_api.packets.values import Share


def brief(telling: Telling) -> Iterator[Part]:
    """What is asked, and where we stand."""
    yield Section("decision", telling.say("What is to be decided"))
    yield from _decision(telling)
    yield Section("brief", telling.say("Where we stand"))
    for words in (_money(telling), _end(telling), _contingency(telling)):
        yield Paragraph(words, "lead")
    yield Figures((_spent(telling), _expected(telling), _reserve(telling)))
    doubt = _doubt(telling)
    if doubt:
        yield Paragraph(doubt)


def _decision(telling: Telling) -> Iterator[Part]:
    """The readers' own question where there is one, and what follows from where the budget stands."""
    own = telling.writing.decision_asked
    if own:
        yield Paragraph(own, "ask")
    pending = telling.facts.pending
    if pending:
        yield Paragraph(_pending(telling), "plain" if own else "ask")
        return
    over = telling.facts.forecast.total.variance_at_completion
    if over.amount < 0:
        yield Paragraph(telling.say(
            "To be discussed: the work is expected to cost %(over)s more than the adjusted budget, and no adjustment "
            "has been proposed for it.",
            over=telling.size(over),
        ), "plain" if own else "ask")  # fmt: skip
    elif not own:
        yield Paragraph(telling.say("Nothing is to be decided: this packet is for information."), "ask")


def _pending(telling: Telling) -> str:
    pending = telling.facts.pending
    names = telling.listed(
        telling.say("%(number)s (%(reason)s)", number=one.number, reason=one.reason) for one in pending
    )
    asked = telling.counted(
        "To be decided: the proposed adjustment %(names)s.",
        "To be decided: %(number)s proposed adjustments: %(names)s.",
        len(pending), names=names,
    )  # fmt: skip
    net = sum((one.net.amount for one in pending), Decimal())
    changed = telling.size(Money(amount=net, currency=telling.facts.currency))
    if not net:
        told = telling.say("The total of the budget stays as it is.")
    elif net > 0:
        told = telling.say("If all are approved, the budget grows by %(amount)s.", amount=changed)
    else:
        told = telling.say("If all are approved, the budget shrinks by %(amount)s.", amount=changed)
    return f"{asked} {told}"


def _money(telling: Telling) -> str:
    total = telling.facts.standing.total
    told = {
        "when": telling.by_then, "cost": telling.minor(telling.facts.cost_minor),
        "budget": telling.shown(total.adjusted), "ordered": telling.shown(total.open_commitments),
        "left": telling.size(total.available),
    }  # fmt: skip
    if total.percent is None:
        so_far = telling.say(
            "%(when)s %(cost)s were spent or accrued, of an adjusted budget of %(budget)s",
            **told,
        )
    else:
        so_far = telling.say(
            "%(when)s %(cost)s were spent or accrued, %(percent)s of the adjusted budget of %(budget)s",
            **told, percent=telling.shown(Share(total.percent)),
        )  # fmt: skip
    told["so_far"] = so_far
    if total.available.amount < 0:
        return telling.say(
            "%(so_far)s; with the %(ordered)s still on order, that is %(left)s more than the budget.", **told
        )
    return telling.say("%(so_far)s; %(ordered)s more are on order, and %(left)s are still free.", **told)


def _end(telling: Telling) -> str:
    total = telling.facts.forecast.total
    told = {
        "end": telling.shown(total.at_completion), "budget": telling.shown(total.budget_at_completion),
        "by": telling.size(total.variance_at_completion),
    }  # fmt: skip
    if total.variance_at_completion.amount < 0:
        first = telling.say(
            "When all is done, %(end)s are expected to be spent: %(by)s more than the adjusted budget", **told
        )
    elif total.variance_at_completion.amount > 0:
        first = telling.say(
            "When all is done, %(end)s are expected to be spent: %(by)s less than the adjusted budget", **told
        )
    else:
        first = telling.say(
            "When all is done, %(end)s are expected to be spent, as much as the adjusted budget", **told
        )
    unused = unspent_contingency(telling)
    if unused.amount > 0:
        return telling.say(
            "%(first)s; this takes the %(unused)s of contingency that are not spent as spent.",
            first=first, unused=telling.shown(unused),
        )  # fmt: skip
    return f"{first}."


def unspent_contingency(telling: Telling) -> Money:
    """What the estimate at completion puts in for contingency that nothing was charged to yet."""
    own = {one.state.id for one in telling.facts.contingency}
    found = [one for one in telling.facts.forecast.lines if one.id in own]
    total = sum((one.to_complete.amount for one in found), Decimal())
    return Money(amount=total, currency=telling.facts.currency)


def _contingency(telling: Telling) -> str:
    facts = telling.facts
    if not facts.has_contingency:
        return telling.say("The budget has no contingency.")
    left, opening = facts.contingency_left, facts.log.opening
    drawn = sum((-one.amount.amount for one in facts.moves if one.amount.amount < 0), Decimal())
    told = {
        "opening": telling.shown(opening), "left": telling.shown(left),
        "drawn": telling.shown(Money(amount=drawn, currency=facts.currency)),
    }  # fmt: skip
    if not facts.moves:
        return telling.say("Nothing was drawn from the contingency of %(opening)s.", **told)
    came = sum((one.amount.amount for one in facts.moves if one.amount.amount > 0), Decimal())
    if came:
        return telling.say(
            "Of the contingency of %(opening)s, %(drawn)s were drawn and %(came)s came back or were added; %(left)s "
            "are left.",
            **told, came=telling.shown(Money(amount=came, currency=facts.currency)),
        )  # fmt: skip
    return telling.say("Of the contingency of %(opening)s, %(drawn)s were drawn; %(left)s are left.", **told)


def _spent(telling: Telling) -> Figure:
    say, total = telling.say, telling.facts.standing.total
    budget = telling.shown(total.adjusted)
    if total.percent is None:
        note = say("Of an adjusted budget of %(budget)s", budget=budget)
    else:
        note = say(
            "%(percent)s of the adjusted budget of %(budget)s",
            percent=telling.shown(Share(total.percent)), budget=budget,
        )  # fmt: skip
    return Figure(
        say("Spent and accrued so far"), telling.facts.money(telling.facts.cost_minor), why_cost(telling),
        (AT_END, TOTAL, "cost"), note,
    )  # fmt: skip


def why_cost(telling: Telling) -> str | None:
    """How what was spent and accrued in all came about."""
    say, total = telling.say, telling.facts.standing.total
    cost = telling.facts.money(telling.facts.cost_minor)
    source = say("sums of the lines at the end of %(month)s", month=telling.month)
    steps = [
        telling.step(
            say("Spent and accrued so far"), cost, say("posted + accrued"), source,
            (say("Posted"), total.actual), (say("Accrued"), total.accrued),
        )
    ]  # fmt: skip
    if total.percent is not None:
        steps.append(telling.step(
            say("In percent of the adjusted budget"), Share(total.percent),
            say("spent and accrued / adjusted x 100, rounded half up to 0.1"), source,
            (say("Spent and accrued so far"), cost), (say("Adjusted budget"), total.adjusted),
        ))  # fmt: skip
    return telling.why_typed("cost-so-far", say("Spent and accrued so far"), *steps)


def _expected(telling: Telling) -> Figure:
    say, total = telling.say, telling.facts.forecast.total
    by = total.variance_at_completion
    told = {"budget": telling.shown(total.budget_at_completion), "by": telling.size(by)}
    if by.amount < 0:
        note = say("%(by)s more than the adjusted budget of %(budget)s", **told)
    elif by.amount > 0:
        note = say("%(by)s less than the adjusted budget of %(budget)s", **told)
    else:
        note = say("As much as the adjusted budget", **told)
    return Figure(
        say("Expected at completion"), total.at_completion, why_end(telling), (AT_END, TOTAL, "end"), note
    )


def why_end(telling: Telling) -> str | None:
    """How the estimate at completion in all came about."""
    say, total = telling.say, telling.facts.forecast.total
    return telling.why_typed("expected-at-completion", say("Expected at completion"),
        telling.step(
            say("Expected at completion"), total.at_completion, say("spent and accrued + still to spend"),
            say("sums of the lines; how each line was forecast stands with it"),
            (say("Spent and accrued so far"), total.cost), (say("Still to spend"), total.to_complete),
        ),
        telling.step(
            say("Budget less expected"), total.variance_at_completion,
            say("adjusted budget - expected at completion"), say("below zero is more than the budget"),
            (say("Adjusted budget"), total.budget_at_completion),
            (say("Expected at completion"), total.at_completion),
        ),
    )  # fmt: skip


def _reserve(telling: Telling) -> Figure:
    """What is left of contingency, or of the budget where there is none."""
    say, facts = telling.say, telling.facts
    if not facts.has_contingency:
        return Figure(
            say("Available"), facts.standing.total.available, same_as=(LINES, TOTAL, "available"),
            note=say("Neither spent, accrued nor on order; there is no contingency"),
        )  # fmt: skip
    return Figure(
        say("Contingency left"), facts.contingency_left, why_contingency(telling),
        (CONTINGENCY, "left", "amount"),
        say("Of %(opening)s at the start", opening=telling.shown(facts.log.opening)),
    )  # fmt: skip


def why_contingency(telling: Telling) -> str | None:
    """How what is left of contingency came about."""
    say, facts = telling.say, telling.facts
    zero = Decimal()
    drawn = sum((-one.amount.amount for one in facts.moves if one.amount.amount < 0), zero)
    came = sum((one.amount.amount for one in facts.moves if one.amount.amount > 0), zero)

    def money(amount: Decimal) -> Money:
        return Money(amount=amount, currency=facts.currency)

    return telling.why_typed("contingency-left", say("Contingency left"),
        telling.step(
            say("Contingency left"), facts.contingency_left, say("opening - drawn + came back or added"),
            say("approved adjustments in effect by %(day)s", day=telling.day(facts.gathered.on)),
            (say("Opening"), facts.log.opening), (say("Drawn"), money(drawn)),
            (say("Came back or added"), money(came)),
        )
    )  # fmt: skip


def gaps_accepted(telling: Telling) -> str:
    """That the budget was opened by an estimate with gaps, so that what it lacks is in no figure."""
    told = telling.say(
        "The accepted estimate had gaps: what had no price, no size or no rate is in no line of this budget, and in "
        "nothing that is expected."
    )
    because = telling.facts.estimate.incomplete_because
    if not because:
        return told
    return telling.say(
        "%(told)s It was issued so because: %(reason)s", told=told, reason=as_sentence(because)
    )


def ahead_of_cost(telling: Telling) -> str:
    """That more work is measured than was paid or accrued for, so that bills may be to come."""
    facts = telling.facts
    more = sum(one.value.earned_minor - one.value.actual_minor for one in facts.ahead_of_cost)
    return telling.counted(
        "On one line the measured work is worth %(amount)s more than was spent or accrued: %(names)s. Where bills for "
        "it are still to come, more will be spent than is expected here.",
        "On %(number)s lines the measured work is worth %(amount)s more than was spent or accrued: %(names)s. "
        "Where bills for it are still to come, more will be spent than is expected here.",
        len(facts.ahead_of_cost), amount=telling.minor(more),
        names=telling.listed(telling.label(one.line.state) for one in facts.ahead_of_cost),
    )  # fmt: skip


def outdated(telling: Telling) -> str:
    """That work cost more since it was measured, and what that is taken for."""
    facts = telling.facts
    since = sum(one.cost_since_measured_minor for one in facts.outdated)
    return telling.counted(
        "On one line %(amount)s were spent or accrued after its work was last measured: %(names)s. Until it is "
        "measured again, that is taken for work done at budget prices, as far as its budget goes.",
        "On %(number)s lines %(amount)s were spent or accrued after their work was last measured: %(names)s. Until "
        "they are measured again, that is taken for work done at budget prices, as far as their budget goes.",
        len(facts.outdated), amount=telling.minor(since),
        names=telling.listed(telling.label(one.state) for one in facts.outdated),
    )  # fmt: skip


def _doubt(telling: Telling) -> str:
    """What in these figures is not sure, in short; each is told of further below."""
    facts, found = telling.facts, []
    if not facts.month_is_over:
        found.append(telling.say(
            "%(month)s is not over: what was planned for all of it stands beside what is known on %(day)s.",
            month=telling.month, day=telling.today,
        ))  # fmt: skip
    if not facts.estimate.complete:
        found.append(gaps_accepted(telling))
    if facts.outdated:
        found.append(outdated(telling))
    if facts.ahead_of_cost:
        found.append(ahead_of_cost(telling))
    if facts.gathered.unassigned_postings:
        found.append(telling.counted(
            "One posting of %(amount)s in all is assigned to no budget and is in none of these figures.",
            "%(number)s postings of %(amount)s in all are assigned to no budget and are in none of these figures.",
            facts.gathered.unassigned_postings, amount=telling.minor(facts.gathered.unassigned_minor),
        ))  # fmt: skip
    opened = [one for one in facts.books if one.month.status == "open"]
    if opened:
        found.append(telling.counted(
            "The books of one month are not closed yet, so that the figures may still change.",
            "The books of %(number)s months are not closed yet, so that the figures may still change.",
            len(opened),
        ))  # fmt: skip
    if facts.overdrawn:
        found.append(telling.counted(
            "On one line more was spent and ordered than it has: %(names)s.",
            "On %(number)s lines more was spent and ordered than they have: %(names)s.",
            len(facts.overdrawn), names=telling.listed(telling.label(one) for one in facts.overdrawn),
        ))  # fmt: skip
    return " ".join(found)
