"""The days of the work in an estimate packet: when it is done, when the course reopens, and what a day costs."""

from collections.abc import Iterator

from swardcost_model.schedule import Schedule

from swardcost_api.packets.days.told import told_days
from swardcost_api.packets.document import (
    Cell,
    Column,
    Kind,
    Paragraph,
    Part,
    Row,
    Section,
    Table,
)
from swardcost_api.packets.estimate.telling import Telling


def schedule(telling: Telling) -> Iterator[Part]:
    """When the work is done and when the course reopens."""
    say, days = telling.say, telling.facts.days
    yield Section("schedule", say("When it is done"))
    if days is None or not days.any:
        estimate = telling.facts.estimate
        yield Paragraph(
            say(
                "No schedule was made. The work is planned between %(first)s and %(last)s.",
                first=telling.shown(estimate.starts_on), last=telling.shown(estimate.ends_on),
            )
        )  # fmt: skip
        return
    found = days.schedule
    if found is None:
        yield Paragraph(say("No schedule can be made with the days of its calendar."))
        return
    yield from told_days(telling, found)
    yield from _cost_of_days(telling, found)


def _cost_of_days(telling: Telling, found: Schedule) -> Iterator[Part]:
    say = telling.say
    if not found.tasks:
        return
    if found.revenue_lost is None:
        yield Paragraph(
            say("What the club loses on a closed day is not stated, so no cost of the closure is told.")
        )
        return
    yield Section("closed-days", say("What closed days cost"), 3)
    yield Paragraph(
        say(
            "Until the reopening the closure costs %(lost)s in revenue. It is not part of the estimate.",
            lost=telling.shown(found.revenue_lost),
        )
    )
    columns = (
        Column("day", say("Open again on"), Kind.DATE), Column("later", say("Days later"), Kind.COUNT),
        telling.money("more", say("Revenue of that further day")), telling.money("lost", say("Revenue lost in all")),
    )  # fmt: skip
    rows = tuple(
        Row(f"later-{one.days_later}", (
            Cell(one.opens_on), Cell(one.days_later), Cell(one.revenue_of_the_day), Cell(one.revenue_lost),
        ))
        for one in found.later
    )  # fmt: skip
    yield Table("later-reopening", say("What each further lost day costs"), columns, rows)
