"""Where the money goes: the cost at completion by line and by method, and the cash through the months."""

from collections.abc import Iterator

from swardcost_model.control import ForecastLine, ForecastMethod

from swardcost_api.charts import vega_lite_of
from swardcost_api.commitments.service import LUMP_SUM
from swardcost_api.engine.control.forecast import FORMULAS
from swardcost_api.engine.control.rounding import places
from swardcost_api.packets.budget.brief import unspent_contingency, why_cost, why_end
from swardcost_api.packets.budget.drawings import Series, lines_by_month
from swardcost_api.packets.budget.facts import OWN_FIGURE
from swardcost_api.packets.budget.reason_words import rounded
from swardcost_api.packets.budget.telling import AT_END, TOTAL, Telling, line_key, total_row
from swardcost_api.packets.document import (
    Cell,
    Chart,
    Column,
    Kind,
    Paragraph,
    Part,
    Row,
    Section,
    Step,
    Table,
    Weight,
)
from swardcost_api.packets.relations import Columns, SameAs
from swardcost_api.packets.telling import as_sentence, money_sum
from swardcost_api.packets.values import Measured, MonthOf, Share
from swardcost_api.reports.service import METHODS, LineFigures, LineForecast

_OVER = Columns(("budget",), ("end",))


def future(telling: Telling) -> Iterator[Part]:
    """The forecast and the cash."""
    say = telling.say
    yield Section("forecast", say("What it will cost in the end"))
    yield Paragraph(_how(telling))
    unused = unspent_contingency(telling)
    if unused.amount > 0:
        yield Paragraph(say(
            "Contingency that was not spent is taken as spent: the %(amount)s of it are part of what is expected.",
            amount=telling.shown(unused),
        ))  # fmt: skip
    yield _line_table(telling)
    yield Section("methods", say("By other methods"), 3)
    yield Paragraph(say(
        "What the same budget would come to if each method were held to all lines. A line where a method has no answer "
        "counts at budget prices in it, and no line counts less than what was spent and ordered on it."
    ))  # fmt: skip
    yield _method_table(telling)
    yield Section("cash", say("Cash by month"))
    yield from _cash(telling)


def _how(telling: Telling) -> str:
    """Which method counts for how many lines."""
    facts = telling.facts
    own = sum(one.method == OWN_FIGURE for one in facts.forecast.lines)
    told = telling.say(
        "What is expected on a line is what was spent and accrued on it, and what is still to do at budget prices."
    )
    if own:
        stated = telling.counted(
            "On one line it is the superintendent's own figure.",
            "On %(number)s lines it is the superintendent's own figure.",
            own,
        )
        told = f"{told} {stated}"
    if facts.forecast.unmeasured:
        unknown = telling.counted(
            "On one line nobody measured how much is done; it is taken to be on budget so far.",
            "On %(number)s lines nobody measured how much is done; they are taken to be on budget so far.",
            facts.forecast.unmeasured,
        )
        told = f"{told} {unknown}"
    return told


def method_title(telling: Telling, method: ForecastMethod) -> str:
    """What a method is called."""
    say = telling.say
    return {
        "as_budgeted": say("If the rest costs what was budgeted"),
        "current_rate": say("If the rest costs as much as the work so far"),
        "cost_and_schedule_rate": say("If the rest costs as much and takes as long as the work so far"),
        "own_figure": say("The superintendent's own figure where there is one; the other lines as budgeted"),
    }[method]  # fmt: skip


def _line_table(telling: Telling) -> Table:
    say, forecast, money = telling.say, telling.facts.forecast, telling.money
    columns = (
        Column("line", say("Line")), Column("done", say("Done"), Kind.PERCENT), money("budget", say("Adjusted budget")),
        money("cost", say("Cost so far")), money("rest", say("To come")), money("end", say("Expected")),
        money("left", say("Difference")),
    )  # fmt: skip
    by_id = {one.line.state.id: one for one in telling.facts.by_method[telling.facts.method]}
    rows = [
        Row(line_key(one), (
            Cell(telling.label(one)), _done(by_id[one.id]), Cell(one.budget_at_completion), Cell(one.cost),
            Cell(one.to_complete), Cell(one.at_completion, _why(telling, one), Columns(("cost", "rest"))),
            Cell(one.variance_at_completion, None, _OVER),
        ), note=_note(telling, one, by_id[one.id]))
        for one in forecast.lines
    ]  # fmt: skip
    total = forecast.total
    totals = {
        "budget": Cell(total.budget_at_completion), "cost": Cell(total.cost, why_cost(telling)),
        "rest": Cell(total.to_complete), "end": Cell(total.at_completion, why_end(telling)),
        "left": Cell(total.variance_at_completion),
    }  # fmt: skip
    rows.append(total_row(telling, columns, totals, rows))
    notes = [say(
        "Difference is the adjusted budget less what is expected: below zero is more than the budget. Where the share "
        "done is empty it was not measured; it is that of %(day)s where no other day is said.",
        day=telling.day(telling.facts.gathered.on),
    )]  # fmt: skip
    return Table(AT_END, say("Expected at completion by line"), columns, tuple(rows), tuple(notes))


def _done(found: LineForecast) -> Cell:
    """The share of a line that is done, where it was measured."""
    share = found.line.done
    return Cell() if share is None else Cell(Share(places(share * 100, 1)))


def _measured(telling: Telling, found: LineForecast) -> str:
    """How much of what a line plans was measured, and when if not at the end of the month."""
    measured, state = found.line.measured, found.line.state
    if measured is None:
        return ""
    told = {"day": telling.day(measured.measured_on)}
    at_end = measured.measured_on == telling.facts.gathered.on
    if state.unit in (None, LUMP_SUM) or not state.adjusted_quantity:
        return "" if at_end else telling.say("Measured on %(day)s.", **told)
    for name, quantity in (("done", measured.done), ("planned", state.adjusted_quantity)):
        told[name] = telling.shown(Measured(rounded(quantity), state.unit, as_bought=True))
    if at_end:
        return telling.say("%(done)s of %(planned)s are done.", **told)
    return telling.say("%(done)s of %(planned)s were done on %(day)s.", **told)


def _note(telling: Telling, line: ForecastLine, forecast: LineForecast) -> str:
    """What was measured, and why a line has the figure that it has where it is not budget prices."""
    found = [one for one in [_measured(telling, forecast)] if one]
    own = telling.facts.own_by_line.get(line.id)
    if line.method == OWN_FIGURE and own is not None:
        found.append(telling.say(
            "Own figure: %(amount)s still to spend, said %(who)s on %(day)s. %(reason)s",
            amount=telling.shown(own.to_complete), who=own.stated_by, day=telling.day(own.stated_on),
            reason=as_sentence(own.reason),
        ))  # fmt: skip
    since = forecast.line.cost_since_measured_minor
    if forecast.line.outdated:
        found.append(telling.say(
            "%(amount)s were spent or accrued since, and are taken for work done at budget prices as far as the budget "
            "goes.",
            amount=telling.minor(since),
        ))  # fmt: skip
    if line.committed_floor:
        found.append(
            telling.say("What was spent and ordered is more than the method gave, and stands in its place.")
        )
    return " ".join(found)


def _why(telling: Telling, line: ForecastLine) -> str | None:
    """How the figure of a line came about."""
    say = telling.say
    inputs = [(say("Spent and accrued"), line.cost)]
    own = telling.facts.own_by_line.get(line.id)
    if line.method == OWN_FIGURE and own is not None:
        inputs.append((say("Own figure to complete"), own.to_complete))
    else:
        inputs += [
            (say("Adjusted budget"), line.budget_at_completion),
            (_earned_name(telling, telling.facts.lines[line.id]), line.earned),
        ]
    source = say(
        "%(method)s; where more was spent and ordered, that counts", method=method_title(telling, line.method)
    )
    if line.committed_floor:
        inputs.append((say("On order"), telling.facts.money(telling.facts.lines[line.id].open_minor)))
    step = telling.step(
        say("Expected at completion"), line.at_completion, FORMULAS[line.method], source, *inputs
    )
    title = say("%(line)s: what it is expected to cost", line=telling.label(line))
    return telling.why_typed(f"end-{line_key(line)}", title, step)


def _earned_name(telling: Telling, line: LineFigures) -> str:
    """How what a line has earned came about."""
    if line.done is None:
        return telling.say("Earned: as much as the cost, at most the budget, since it was never measured")
    if line.done_as_counted != line.done:
        return telling.say("Earned: adjusted budget x share done, and what it cost since as on budget")
    return telling.say("Earned: adjusted budget x share done")


def _method_table(telling: Telling) -> Table:
    say, facts = telling.say, telling.facts
    columns = (
        Column("method", say("Method")), Column("lines", say("Lines with an answer"), Kind.COUNT),
        telling.money("budget", say("Adjusted budget")), telling.money("end", say("Expected")),
        telling.money("left", say("Difference")),
    )  # fmt: skip

    def row(method: ForecastMethod) -> Row:
        forecast = facts.forecasts[method]
        total = forecast.total
        answered = sum(one.by_method[method] is not None for one in facts.by_method[method])
        why = telling.why_typed(f"method-{method.replace('_', '-')}", method_title(telling, method),
            Step(say("Expected"), total.at_completion, FORMULAS[method], (), say("each line so, and their sum"))
        )  # fmt: skip
        counts, chosen = method == facts.method, say("This one counts in this packet.")
        end = SameAs(AT_END, TOTAL, "end") if counts else None
        return Row(method, (
            Cell(method_title(telling, method)), Cell(answered), Cell(total.budget_at_completion),
            Cell(total.at_completion, why, end), Cell(total.variance_at_completion, None, _OVER),
        ), Weight.SUBTOTAL if counts else Weight.ITEM, chosen if counts else "")  # fmt: skip

    rows = [row(one) for one in METHODS if one != OWN_FIGURE or facts.own]
    notes = (
        [] if facts.own else [say("The superintendent has stated no figure of his or her own by this day.")]
    )
    return Table("methods-table", say("Expected at completion by method"), columns, tuple(rows), tuple(notes))


def _cash(telling: Telling) -> Iterator[Part]:
    say, cash = telling.say, telling.facts.cash
    if not cash.months:
        yield Paragraph(say("No month has money planned, spent or expected."))
        return
    yield Paragraph(say(
        "Paid is what was posted. What is owed at the end of %(month)s is taken to be paid in the month after; orders "
        "in the month in which they are expected; the rest of what is expected by the months of the plan.",
        month=telling.month,
    ))  # fmt: skip
    yield _cash_chart(telling)
    yield _cash_table(telling)


def _cash_chart(telling: Telling) -> Chart:
    say, cash = telling.say, telling.facts.cash
    title = say("Money through the months, added up")
    plan, money = say("Planned so far"), say("Paid and expected so far")
    names = {one.month: telling.shown(MonthOf.named(one.month)) for one in cash.months}
    months = list(names.values())
    series = [
        Series(plan, [(names[one.month], one.planned_so_far.amount) for one in cash.months]),
        Series(money, [(names[one.month], one.money_so_far.amount) for one in cash.months]),
    ]
    columns = (
        Column("month", say("Month"), Kind.MONTH),
        telling.money("plan", plan),
        telling.money("money", money),
    )
    rows = [
        Row(one.month, (
            Cell(MonthOf.named(one.month)), Cell(one.planned_so_far), Cell(one.money_so_far),
        ))
        for one in cash.months
    ]  # fmt: skip
    last = cash.months[-1]
    return Chart(
        "cash-chart", title, vega_lite_of(lines_by_month(title, telling.facts.currency, months, series)),
        say(
            "Two lines through the months from %(first)s to %(last)s: the plan rises to %(plan)s, and what was paid "
            "and is expected to %(money)s. What comes after %(month)s is expected.",
            first=months[0], last=months[-1], plan=telling.shown(last.planned_so_far),
            money=telling.shown(last.money_so_far), month=telling.month,
        ),
        Table("cash-data", title, columns, tuple(rows)), "line",
    )  # fmt: skip


def _cash_table(telling: Telling) -> Table:
    say, cash, money = telling.say, telling.facts.cash, telling.money
    columns = (
        Column("month", say("Month"), Kind.MONTH), money("planned", say("Planned")), money("paid", say("Paid")),
        money("accrued", say("Owed")), money("ordered", say("On order")), money("rest", say("Not ordered yet")),
        money("all", say("Paid and expected")),
    )  # fmt: skip
    parts = ("paid", "accrued", "ordered", "rest")
    rows = [
        Row(one.month, (
            Cell(MonthOf.named(one.month)), Cell(one.planned), Cell(one.paid), Cell(one.accrued), Cell(one.committed),
            Cell(one.not_ordered),
            Cell(one.paid + one.accrued + one.committed + one.not_ordered, None, Columns(parts)),
        ))
        for one in cash.months
    ]  # fmt: skip
    summed = {
        "planned": [one.planned for one in cash.months], "paid": [one.paid for one in cash.months],
        "accrued": [one.accrued for one in cash.months], "ordered": [one.committed for one in cash.months],
        "rest": [one.not_ordered for one in cash.months],
    }  # fmt: skip
    totals = {key: Cell(money_sum(amounts, telling.facts.currency)) for key, amounts in summed.items()}
    totals["all"] = Cell(cash.paid + cash.expected, why_end(telling))
    rows.append(total_row(telling, columns, totals, rows))
    return Table("cash-by-month", say("Cash by month"), columns, tuple(rows))
