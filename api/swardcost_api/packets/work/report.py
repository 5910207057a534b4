"""The work report for members: what was done and measured, in plain words, with no money in it."""

from collections.abc import Iterator

from swardcost_model.packets import NewPacket

from swardcost_api.packets.composing import Content, Writing
from swardcost_api.packets.days.told import told_days
from swardcost_api.packets.document import Cautions, Figure, Figures, Paragraph, Part, Section
from swardcost_api.packets.telling import Told
from swardcost_api.packets.work.facts import KnownAs, WorkFacts, read_facts
from swardcost_api.packets.work.ground import ground, progress, surface
from swardcost_api.packets.work.quantities import headline, quantities
from swardcost_api.storage.work import UnitOfWork

_HEADLINE = ("holes", "sand", "trips", "sod")


def read(work: UnitOfWork, asked: NewPacket) -> WorkFacts:
    """The work of a budget with what was measured of it, read at one moment. Raises `not-found`."""
    return read_facts(work, asked)


def compose(facts: WorkFacts, writing: Writing) -> Content:
    """What the report tells. Raises `unavailable` while other schedules are solved."""
    telling = Told(facts, writing)
    parts: list[Part] = [
        part
        for tell in (_short, progress, quantities, ground, surface, _days, _cautions)
        for part in tell(telling)
    ]
    parts += telling.appendix()
    subtitle = telling.say("Work report for members, to %(day)s", day=telling.shown(facts.until))
    return Content(facts.project.name, subtitle, tuple(parts))


def _short(telling: Told[WorkFacts]) -> Iterator[Part]:
    say, facts = telling.say, telling.facts
    yield Section("in-short", say("In short"))
    if telling.writing.decision_asked:
        yield Paragraph(telling.writing.decision_asked, "ask")
    yield Paragraph(_lead(telling), "lead")
    figures = tuple(_figures(telling))
    if figures:
        yield Figures(figures)
        yield Paragraph(say("These figures are those planned; what was measured stands below."))
    if facts.known_as is not KnownAs.ACCEPTED:
        yield Paragraph(
            say(
                "What was accepted has changed since. Figures of the work are those of the scope as it stands now."
            )
        )
    if facts.known_as is KnownAs.NOW_WITH_ALL:
        yield Paragraph(say("Alternates that were not taken are among them."))


def _lead(telling: Told[WorkFacts]) -> str:
    say, facts = telling.say, telling.facts
    day = telling.shown(facts.until)
    lines = {one.id for one in facts.work_lines}
    measured = [one for one in facts.now.lines if one.budget_line_id in lines]
    if not measured:
        return say(
            "%(project)s, as it stood on %(day)s: nothing was measured yet.",
            project=facts.project.name,
            day=day,
        )
    done = sum(one.percent is not None and one.percent >= 100 for one in measured)
    counted = telling.counted(
        "%(measured)s of %(number)s line of work is measured, and %(done)s of them is done in full.",
        "%(measured)s of %(number)s lines of work are measured, and %(done)s of them are done in full.",
        len(lines), measured=telling.shown(len(measured)), done=telling.shown(done),
    )  # fmt: skip
    return say(
        "%(project)s, as it stood on %(day)s: %(counted)s",
        project=facts.project.name,
        day=day,
        counted=counted,
    )


def _figures(telling: Told[WorkFacts]) -> Iterator[Figure]:
    areas = {area.id: area for entry, _ in telling.facts.scope for area in entry.areas}
    if areas:
        yield Figure(telling.say("Areas worked on"), len(areas))
    yield from headline(telling, _HEADLINE)


def _days(telling: Told[WorkFacts]) -> Iterator[Part]:
    say, days = telling.say, telling.facts.days
    yield Section("days", say("The days of the work"))
    found = None if days is None or not days.any else days.schedule
    if days is None or found is None:
        yield Paragraph(
            say(
                "No schedule was made. The work is planned between %(first)s and %(last)s.",
                first=telling.shown(telling.facts.estimate.starts_on),
                last=telling.shown(telling.facts.estimate.ends_on),
            )
        )
        return
    yield from told_days(telling, found)


def _cautions(telling: Told[WorkFacts]) -> Iterator[Part]:
    say = telling.say
    yield Section("cautions", say("How to read this"))
    yield Cautions((
        say("Planned figures are estimates; the ground, the weather and growth decide what comes of them."),
        say("What is not measured is not told as done, and not as zero either."),
    ))  # fmt: skip
