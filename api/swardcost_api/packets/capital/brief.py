"""The head of a capital plan packet: what is to be decided, the plan in three sentences and in three figures."""

from collections import Counter
from collections.abc import Iterator

from swardcost_model.capital_plans import Decided, PlanStatus
from swardcost_model.plan_figures import PlanYear

from swardcost_api.engine.capital.reserve import lowest
from swardcost_api.packets.capital.reserve_words import reserve_words
from swardcost_api.packets.capital.telling import BALANCE, YEARS, Telling, why_year, year_key
from swardcost_api.packets.document import Figure, Figures, Paragraph, Part, Section
from swardcost_api.packets.values import MonthOf, Share


def brief(telling: Telling) -> Iterator[Part]:
    """What is asked, and what the plan comes to."""
    yield Section("decision", telling.say("What is to be decided"))
    yield from _decision(telling)
    yield Section("brief", telling.say("The plan in short"))
    for sentence in (_spending(telling), _reserve(telling), _funding(telling)):
        yield Paragraph(sentence, "lead")
    yield Figures(tuple(_figures(telling)))
    yield from _beside_decisions(telling)
    unknown = len(telling.facts.figures.missing) + len(telling.facts.figures.not_dated)
    if unknown:
        yield Paragraph(telling.counted(
            "One thing that the figures need is not known or not dated, and is in no sum; it is named under missing "
            "figures.",
            "%(number)s things that the figures need are not known or not dated, and are in no sum; they are named "
            "under missing figures.",
            unknown,
        ))  # fmt: skip


def _beside_decisions(telling: Telling) -> Iterator[Part]:
    """That the figures are as dated, and what the decisions make of them, where they differ."""
    facts, say = telling.facts, telling.say
    decided = [one.decision.decided for one in facts.stated.values() if one.decision is not None]
    standing = facts.standing
    if standing is None:
        if any(one is not Decided.APPROVED for one in decided):
            yield Paragraph(say(
                "These figures are those of the plan as dated, with what was deferred or declined so far still in it."
            ))  # fmt: skip
        return
    least = standing.years[lowest([one.closing_expected.amount for one in standing.years])]
    told = {
        "month": telling.shown(MonthOf.named(standing.through)), "cost": telling.shown(standing.expected),
        "year": least.year, "least": telling.shown(least.closing_expected),
    }  # fmt: skip
    yield Paragraph(
        say(
            "These figures are those of the plan as dated, whatever was decided. With the decisions, and the money "
            "through %(month)s, projects are expected to cost %(cost)s, and the reserve to hold %(least)s at the end "
            "of %(year)s.",
            **told,
        ) if telling.one_year else
        say(
            "These figures are those of the plan as dated, whatever was decided. With the decisions, and the money "
            "through %(month)s, projects are expected to cost %(cost)s, and the reserve to be least at the end of "
            "%(year)s, with %(least)s.",
            **told,
        )
    )  # fmt: skip


def _decision(telling: Telling) -> Iterator[Part]:
    """The readers' own question where there is one, and what follows from how far the plan has come."""
    own = telling.writing.decision_asked
    if own:
        yield Paragraph(own, "ask")
    yield Paragraph(_state(telling), "plain" if own else "ask")


def _state(telling: Telling) -> str:
    plan, projects = telling.facts.plan, telling.facts.stated.values()
    if plan.status is PlanStatus.DRAFT:
        return telling.say(
            "To be discussed: the plan is a draft, and no decision is asked for yet. Its figures may still change."
        )
    decided = Counter(None if one.decision is None else one.decision.decided for one in projects)
    told = telling.say(
        "Approved: %(approved)s. Deferred: %(deferred)s. Declined: %(declined)s.",
        approved=decided[Decided.APPROVED], deferred=decided[Decided.DEFERRED], declined=decided[Decided.DECLINED],
    )  # fmt: skip
    if plan.status is PlanStatus.LOCKED:
        assert plan.locked_at is not None
        locked = telling.say(
            "Decided: the plan was locked on %(day)s by %(who)s.",
            day=telling.day(plan.locked_at.date()), who=plan.locked_by,
        )  # fmt: skip
        return f"{locked} {told}"
    if not decided[None]:
        done = telling.say("To be locked: every project of the plan is decided.")
        return f"{done} {told}"
    asked = telling.counted(
        "To be decided line by line: approve, defer or decline the project of the plan.",
        "To be decided line by line: approve, defer or decline each of the %(number)s projects.",
        len(projects),
    )
    if decided.total() == decided[None]:
        return asked
    waiting = telling.counted(
        "One project waits for a decision.", "%(number)s projects wait for a decision.", decided[None]
    )
    return f"{asked} {told} {waiting}"


def _spending(telling: Telling) -> str:
    figures = telling.facts.figures
    span = {"first": figures.first_year, "last": figures.last_year}
    dated = len(telling.facts.counted.dated)
    if not figures.projects:
        return telling.no_projects()
    if not dated and telling.one_year:
        return telling.say(
            "In %(first)s nothing is spent on projects: none has both a year and a cost.", **span
        )
    if not dated:
        return telling.say(
            "From %(first)s to %(last)s nothing is spent on projects: none has both a year and a cost.",
            **span,
        )
    if telling.one_year:
        return telling.counted(
            "In %(first)s the plan spends %(total)s on one project.",
            "In %(first)s the plan spends %(total)s on %(number)s projects.",
            dated, **span, total=telling.shown(figures.spent_over_plan),
        )  # fmt: skip
    most = max(figures.years, key=lambda one: (one.spending.amount, -one.year))
    return telling.counted(
        "From %(first)s to %(last)s the plan spends %(total)s on one project; the most in a year is %(most)s, in "
        "%(year)s.",
        "From %(first)s to %(last)s the plan spends %(total)s on %(number)s projects; the most in a year is %(most)s, "
        "in %(year)s.",
        dated, **span, total=telling.shown(figures.spent_over_plan), most=telling.shown(most.spending), year=most.year,
    )  # fmt: skip


def _reserve(telling: Telling) -> str:
    years = telling.facts.figures.years
    return reserve_words(telling, [(one.year, one.closing) for one in years], years[0].floor)


def _known_funding(telling: Telling) -> list[PlanYear]:
    return [one for one in telling.facts.figures.years if one.percent_funded is not None]


def _funding(telling: Telling) -> str:
    known = _known_funding(telling)
    if not telling.facts.counted.assets:
        return telling.say("How well the reserve is funded is not known: the register has no assets.")
    if not known and any(one.fully_funded is not None for one in telling.facts.figures.years):
        return telling.say("The assets have no wear yet that the reserve would have to be funded for.")
    if not known:
        return telling.say(
            "How well the reserve is funded is not known: of no asset are the cost, the life and the age all known."
        )
    first, last = known[0], known[-1]
    assert first.percent_funded is not None
    assert last.percent_funded is not None
    told = {"first": first.year, "begins": telling.shown(Share(first.percent_funded))}
    if first is last:
        return telling.say(
            "At the end of %(first)s the reserve holds %(begins)s of what should have been set aside by then "
            "for the wear of all assets.",
            **told,
        )
    return telling.say(
        "At the end of %(first)s the reserve holds %(begins)s of what should have been set aside by then for "
        "the wear of all assets, and %(ends)s at the end of %(last)s.",
        **told, ends=telling.shown(Share(last.percent_funded)), last=last.year,
    )  # fmt: skip


def _figures(telling: Telling) -> Iterator[Figure]:
    figures, say = telling.facts.figures, telling.say
    span = telling.span(figures.first_year, figures.last_year)
    yield Figure(
        say("Spent on projects, %(years)s", years=span), figures.spent_over_plan,
        same_as=(YEARS, "total", "spending"),
    )  # fmt: skip
    least = telling.facts.least_year
    yield Figure(
        say("Reserve at the end of %(year)s", year=least.year) if telling.one_year
        else say("Least reserve, at the end of %(year)s", year=least.year), least.closing,
        why_year(telling, least), (YEARS, year_key(least.year), "closing"),
        say("Floor: %(floor)s", floor=telling.shown(least.floor)),
    )  # fmt: skip
    known = _known_funding(telling)
    if known:
        first, last = known[0], known[-1]
        assert first.percent_funded is not None
        assert last.percent_funded is not None
        yield Figure(
            say("Percent funded, at the end of %(year)s", year=last.year), Share(last.percent_funded),
            why_year(telling, last), (BALANCE, year_key(last.year), "funded"),
            "" if first is last else
            say(
                "%(begins)s at the end of %(first)s",
                begins=telling.shown(Share(first.percent_funded)), first=first.year,
            ),
        )  # fmt: skip
