"""How sure the figures are: the months of the books, postings that no budget has, and what is to be minded."""

from collections.abc import Iterator

from swardcost_api.packets.budget.brief import ahead_of_cost, gaps_accepted, outdated
from swardcost_api.packets.budget.facts import BooksMonth
from swardcost_api.packets.budget.telling import Telling
from swardcost_api.packets.document import Cautions, Cell, Column, Kind, Paragraph, Part, Row, Section, Table
from swardcost_api.packets.telling import as_sentence
from swardcost_api.packets.values import MonthOf


def books(telling: Telling) -> Iterator[Part]:
    """The months of the club's books, and what is not assigned."""
    say, facts = telling.say, telling.facts
    yield Section("books", say("How far the books are closed"))
    yield Paragraph(_closed(telling))
    if facts.books:
        yield _months(telling)
    gathered = facts.gathered
    if gathered.unassigned_postings:
        yield Paragraph(telling.counted(
            "Up to %(month)s one posting of the club, of %(amount)s, is assigned to no budget. It may belong to this "
            "one, and it is in none of its figures.",
            "Up to %(month)s %(number)s postings of the club, of %(amount)s in all, are assigned to no budget. They "
            "may belong to this one, and they are in none of its figures.",
            gathered.unassigned_postings, month=telling.month, amount=telling.minor(gathered.unassigned_minor),
        ))  # fmt: skip
    elif not any(one.month.postings for one in facts.books):
        yield Paragraph(say("Nothing is posted in these months yet."))
    else:
        yield Paragraph(
            say("Every posting of the club up to %(month)s is assigned to a budget.", month=telling.month)
        )


def _closed(telling: Telling) -> str:
    facts, say = telling.facts, telling.say
    if facts.closed_through is None:
        return say("No month of the books is closed: the figures may still change.")
    closed = telling.shown(MonthOf.named(facts.closed_through))
    if facts.closed_through >= facts.gathered.through:
        return say("The books are closed up to %(month)s.", month=closed)
    return say("The books are closed up to %(month)s; what comes after may still change.", month=closed)


def _months(telling: Telling) -> Table:
    say = telling.say
    columns = (
        Column("month", say("Month"), Kind.MONTH), Column("state", say("State")),
        Column("postings", say("Postings"), Kind.COUNT), Column("unassigned", say("Unassigned"), Kind.COUNT),
        telling.money("ledger", say("Postings in all")), telling.money("stated", say("Trial balance")),
        telling.money("difference", say("Difference")), Column("differing", say("Accounts differing"), Kind.COUNT),
    )  # fmt: skip
    rows = tuple(_month(telling, one) for one in telling.facts.books)
    notes = [say("The months are those of the whole club, of all its budgets; debits less credits.")]
    if any(not one.reconciled.trial_balance for one in telling.facts.books):
        notes.append(say("Where the trial balance is empty none was stated, so that nothing was compared."))
    return Table("months", say("Months of the books"), columns, rows, tuple(notes))


def _month(telling: Telling, one: BooksMonth) -> Row:
    month, found = one.month, one.reconciled
    stated = found.trial_balance
    return Row(month.month, (
        Cell(MonthOf.named(month.month)), Cell(_state(telling, one)), Cell(month.postings),
        Cell(month.unassigned_postings), Cell(found.ledger), Cell(found.stated), Cell(found.difference),
        Cell(found.differing if stated else None),
    ), note=_note(telling, one))  # fmt: skip


def _state(telling: Telling, one: BooksMonth) -> str:
    month, say = one.month, telling.say
    if month.status == "open":
        return say("Open")
    if month.closed_by is None or month.closed_at is None:
        return say("Closed with a later month")
    return say("Closed")


def _note(telling: Telling, one: BooksMonth) -> str:
    """Why accounts differ, and what came late."""
    month, found = one.month, list[str]()
    if month.closed_by is not None and month.closed_at is not None and month.status == "closed":
        found.append(telling.say(
            "Closed by %(who)s on %(day)s.", who=month.closed_by, day=telling.day(month.closed_at.date())
        ))  # fmt: skip
    for account in one.reconciled.accounts:
        if account.reason and account.difference is not None:
            found.append(telling.say(
                "Account %(account)s differs by %(amount)s: %(reason)s", account=account.account,
                amount=telling.shown(account.difference), reason=as_sentence(account.reason),
            ))  # fmt: skip
    if month.late_postings:
        found.append(telling.counted(
            "One posting of an earlier day came late.", "%(number)s postings of earlier days came late.",
            month.late_postings,
        ))  # fmt: skip
    if month.unchanged is False:
        found.append(telling.say("Its totals are no longer those with which it was closed."))
    return " ".join(found)


def cautions(telling: Telling) -> Iterator[Part]:
    """What could mislead."""
    yield Section("cautions", telling.say("Cautions"))
    yield Cautions(tuple(_cautions(telling)))


def _cautions(telling: Telling) -> Iterator[str]:
    say, facts = telling.say, telling.facts
    yield say(
        "Costs are estimates for planning, not an offer. Local codes and licensed practice come first, and nothing "
        "here takes the place of either."
    )
    yield say(
        "What is expected at completion rests on measured progress, on orders and on stated figures; it is no promise."
    )
    if facts.gathered.unassigned_postings:
        yield say(
            "Postings that are assigned to no budget are left out: the cost may be more, or less, than is shown."
        )
    if any(one.month.status == "open" for one in facts.books):
        yield say("Months that are not closed may still take postings.")
    if not facts.estimate.complete:
        yield gaps_accepted(telling)
    if facts.outdated:
        yield outdated(telling)
    if facts.ahead_of_cost:
        yield ahead_of_cost(telling)
    yield say(
        "Adjustments count from the day on which they take effect, also where they were decided after it. Which of "
        "them wait for a decision is told as of %(day)s.",
        day=telling.today,
    )
    if facts.overdrawn:
        names = telling.listed(
            say("%(line)s by %(amount)s", line=telling.label(one), amount=telling.size(one.available))
            for one in facts.overdrawn
        )
        yield telling.counted(
            "More was spent and ordered on one line than its adjusted budget: %(names)s.",
            "More was spent and ordered on %(number)s lines than their adjusted budget: %(names)s.",
            len(facts.overdrawn), names=names,
        )  # fmt: skip
    if facts.forecast.unmeasured:
        yield telling.counted(
            "One line was not measured by %(day)s. Its work is assumed to be worth what it cost, so that it shows "
            "neither a saving nor an overrun before its budget is spent.",
            "%(number)s lines were not measured by %(day)s. Their work is assumed to be worth what it cost, so that "
            "they show neither a saving nor an overrun before their budget is spent.",
            facts.forecast.unmeasured,
            day=telling.day(facts.gathered.on),
        )
    if facts.later:
        yield telling.counted(
            "One approved adjustment takes effect only later and is in no figure here.",
            "%(number)s approved adjustments take effect only later and are in no figure here.",
            len(facts.later),
        )
    if facts.pending:
        yield say("Proposed adjustments are in no figure here until they are approved and in effect.")
    if facts.orders.retainage_held.amount:
        yield say(
            "Postings of invoices are taken to be net of the retainage held back, which is posted when it is paid. "
            "Where the accounts book the whole invoice at once, retainage counts twice."
        )
