"""What the reserve of a capital plan does through its years, in a sentence."""

from collections.abc import Sequence

from swardcost_model.values import Money

from swardcost_api.engine.capital.reserve import first_below, lowest
from swardcost_api.packets.capital.telling import Telling


def reserve_words(telling: Telling, closings: Sequence[tuple[int, Money]], floor: Money) -> str:
    """Whether it stays at or above its floor, from what is left at the end of each year."""
    amounts = [closing.amount for _, closing in closings]
    year, least = closings[lowest(amounts)]
    told = {"least": telling.shown(least), "year": year, "floor": telling.shown(floor)}
    below = first_below(amounts, floor.amount)
    if below is not None:
        first, closing = closings[below]
        told |= {"first": first, "short": telling.shown(floor - closing)}
    words = _one_year if len(closings) == 1 else _years
    return words(telling, told, below=below is not None, floor=bool(floor.amount))


def _one_year(telling: Telling, told: dict[str, object], *, below: bool, floor: bool) -> str:
    say = telling.say
    if below and floor:
        return say(
            "At the end of %(year)s the reserve holds %(least)s, which is %(short)s below its floor of %(floor)s.",
            **told,
        )
    if below:
        return say("The reserve runs out: at the end of %(year)s it is short by %(short)s.", **told)
    if floor:
        return say("At the end of %(year)s the reserve holds %(least)s; its floor is %(floor)s.", **told)
    return say("At the end of %(year)s the reserve holds %(least)s.", **told)


def _years(telling: Telling, told: dict[str, object], *, below: bool, floor: bool) -> str:
    say = telling.say
    if below and floor:
        return say(
            "The reserve falls below its floor of %(floor)s: first at the end of %(first)s, by "
            "%(short)s; it is least at the end of %(year)s, with %(least)s.",
            **told,
        )
    if below:
        return say(
            "The reserve runs out: first at the end of %(first)s, by %(short)s; it is least at the end of %(year)s, "
            "with %(least)s.",
            **told,
        )
    if floor:
        return say(
            "The reserve never falls below its floor of %(floor)s; it is least at the end of %(year)s, with %(least)s.",
            **told,
        )
    return say("The reserve never runs out; it is least at the end of %(year)s, with %(least)s.", **told)
