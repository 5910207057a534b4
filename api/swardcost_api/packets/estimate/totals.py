"""What is said of the total of an estimate: so much, so much for what is priced, or that it cannot be told yet."""

from swardcost_api.packets.estimate.telling import Telling


def with_total(telling: Telling) -> str:
    """The total as a part of a sentence about the estimate."""
    say, estimate = telling.say, telling.facts.estimate
    if telling.facts.nothing_priced:
        return say("with a total that cannot be told yet")
    total = telling.shown(estimate.total)
    if estimate.complete:
        return say("with a total of %(total)s", total=total)
    return say("with %(total)s for what is priced of it", total=total)


def estimated(telling: Telling) -> str:
    """What the project is estimated at, or why that cannot be told."""
    say, facts = telling.say, telling.facts
    estimate, project = facts.estimate, facts.project.name
    if not facts.lines:
        return say(
            "The cost of %(project)s cannot be told yet, because its scope names nothing to price.",
            project=project,
        )
    if facts.nothing_priced and all(line.quantity is not None for line in facts.lines):
        return say(
            "The cost of %(project)s cannot be told yet, because nothing in it has a price.", project=project
        )
    if facts.nothing_priced:
        return say(
            "The cost of %(project)s cannot be told yet, because what it takes has no price or no size.",
            project=project,
        )
    names = {
        "total": telling.shown(estimate.total), "cash": telling.shown(estimate.cash_total), "project": project,
    }  # fmt: skip
    if estimate.complete:
        return say(
            "%(project)s is estimated at %(total)s, of which %(cash)s is cash beyond the operating budget.",
            **names,
        )
    return say(
        "What is priced of %(project)s comes to %(total)s, of which %(cash)s is cash beyond the operating budget.",
        **names,
    )


def not_whole(telling: Telling) -> str:
    """A note on a total of which a part is missing; empty where it is whole.

    Not that it is too low: where a price break holds for the whole quantity, more of an item may cost less in all.
    """
    if telling.facts.estimate.complete:
        return ""
    return telling.say("What has no price, no size or no rate is not in it.")
