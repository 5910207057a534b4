"""How far off an estimate may be: what the trials of its latest simulation say, and what moves its total."""

from collections.abc import Iterator
from decimal import Decimal

from swardcost_model.simulations import Reopening, Sensitivity, SimulatedFigures, Simulation
from swardcost_model.values import Money

from swardcost_api.charts import Mark, vega_lite_of
from swardcost_api.packets.document import (
    Cell,
    Chart,
    Column,
    Kind,
    Listing,
    Paragraph,
    Part,
    Row,
    Section,
    Table,
)
from swardcost_api.packets.estimate.contingency import (
    contingency,
    contingency_parts,
    contingency_words,
    item_name,
)
from swardcost_api.packets.estimate.drawings import SwingBar, likelihood_curve, swing_bars
from swardcost_api.packets.estimate.telling import Telling
from swardcost_api.packets.relations import Columns
from swardcost_api.packets.values import Share, one_place, share

_MOST_SWINGS = 15
_EVERY = 5
"""Of the hundred points of the curve every fifth is printed and drawn."""
_TICKS = 4


def risks(telling: Telling) -> Iterator[Part]:
    """What the total may turn out to be, and why."""
    say, simulation = telling.say, telling.facts.simulation
    yield Section("risks", say("How far off it may be"))
    if telling.facts.nothing_priced:
        yield Paragraph(say("Nothing in it is priced, so it cannot be told how far off it may be."))
        return
    if simulation is None:
        yield Paragraph(say("No simulation of this estimate was run, so no likelihood is told."))
    else:
        yield from _simulated(telling, simulation)
    sensitivity = telling.facts.sensitivity
    if sensitivity is not None and sensitivity.swings:
        yield from _swings(telling, sensitivity)
    elif telling.facts.fitted is None:
        yield Paragraph(
            say(
                "What the estimate was priced from has changed since, so what moves its total cannot be told."
            )
        )
    elif simulation is None:
        yield Paragraph(say("Nothing of this estimate is said to be uncertain."))


def _simulated(telling: Telling, simulation: Simulation) -> Iterator[Part]:
    say, figures = telling.say, simulation.figures
    needed = figures.contingency
    enough = Share(one_place(figures.estimate_confidence_percent))
    names = {"enough": telling.shown(enough), "trials": telling.shown(simulation.request.trials)}
    lead = (
        say("In %(enough)s of %(trials)s trials the total of the estimate, its contingency in it, is enough.", **names)
        if telling.facts.estimate.complete
        else say(
            "In %(enough)s of %(trials)s trials the total of the estimate, its contingency in it, is enough for the "
            "part that is priced.",
            **names,
        )
    )  # fmt: skip
    yield Paragraph(lead, "lead")
    yield Paragraph(
        say(
            "Each trial prices the whole estimate with its uncertain figures drawn anew from their ranges. It was run "
            "on %(day)s by %(name)s. Costs of trials are without contingency.",
            day=telling.shown(simulation.created_at.date()), name=simulation.created_by,
        )
    )  # fmt: skip
    if simulation.uncertainty != telling.facts.stated:
        yield Paragraph(say("The ranges were changed after this simulation; it tells what they were before."))
    yield Paragraph(contingency_words(telling, figures))
    yield contingency(telling, figures)
    yield _percentiles(telling, figures)
    yield _curve(telling, figures)
    if needed.parts:
        yield contingency_parts(telling, figures)
    if figures.reopening is not None:
        yield _reopening(telling, figures.reopening)
    if figures.held:
        yield Paragraph(
            say(
                "Taken as estimated in every trial: %(names)s.",
                names=telling.listed(item_name(telling, one.item) for one in figures.held),
            )
        )
    if figures.not_priced:
        yield Paragraph(say("In no trial, since it has no amount, which is not the same as costing nothing:"))
        yield Listing(telling.entries([item_name(telling, one) for one in figures.not_priced]))


def _percentiles(telling: Telling, figures: SimulatedFigures) -> Table:
    say = telling.say
    why = telling.why("simulation", say("The trials of the simulation"), figures.derivation)
    columns = (
        Column("percent", say("Chance that the cost is no more"), Kind.PERCENT), telling.money("amount", say("Cost")),
        telling.money("low", say("Low end for sampling")), telling.money("high", say("High end for sampling")),
    )  # fmt: skip
    rows = tuple(
        Row(f"p{number}", (Cell(share(one.percent)), Cell(one.amount, why), Cell(one.low), Cell(one.high)))
        for number, one in enumerate(figures.percentiles, start=1)
    )
    notes = [
        say(
            "Mean %(mean)s, with a sampling error of %(error)s.",
            mean=telling.shown(figures.mean), error=telling.shown(figures.standard_error),
        ),
        say("The estimate without its contingency is %(base)s.", base=telling.shown(figures.base))
        if telling.facts.estimate.complete
        else say(
            "What is priced of the estimate is %(base)s without its contingency.", base=telling.shown(figures.base)
        ),
    ]  # fmt: skip
    if any(one.low is None for one in figures.percentiles):
        notes.append(say("Where no sampling error stands, there were too few trials to tell it."))
    return Table("percentiles", say("What it may cost, without contingency"), columns, rows, tuple(notes))


def _curve(telling: Telling, figures: SimulatedFigures) -> Chart:
    say, title = telling.say, telling.say("How likely a cost is not passed")
    points = figures.curve[::_EVERY]
    if figures.curve and points[-1] != figures.curve[-1]:
        points = [*points, figures.curve[-1]]
    columns = (
        Column("amount", say("Cost without contingency"), Kind.MONEY),
        Column("percent", say("Chance that the cost is no more"), Kind.PERCENT),
    )
    rows = tuple(
        Row(f"c{number}", (Cell(one.amount), Cell(share(one.percent))))
        for number, one in enumerate(points, start=1)
    )
    marks = [
        Mark(float(figures.base.amount), say("Base")),
        Mark(float(figures.estimate_total.amount), say("Estimate")),
    ]
    names = {
        "low": telling.shown(points[0].amount), "high": telling.shown(points[-1].amount),
        "total": telling.shown(figures.estimate_total),
        "percent": telling.shown(Share(one_place(figures.estimate_confidence_percent))),
    }  # fmt: skip
    words = (
        say(
            "A curve that rises from no trial at %(low)s to all trials at %(high)s. The total of the estimate, "
            "%(total)s, is enough in %(percent)s of them.",
            **names,
        )
        if telling.facts.estimate.complete
        else say(
            "A curve that rises from no trial at %(low)s to all trials at %(high)s. The total of the estimate, "
            "%(total)s, is enough for the part that is priced in %(percent)s of them.",
            **names,
        )
    )
    amounts = [float(one.amount.amount) for one in points] + [one.at for one in marks]
    drawing = likelihood_curve(
        (title, say("Cost without contingency, %(currency)s", currency=telling.facts.currency),
         say("Chance that the cost is no more, percent")),
        [(float(one.amount.amount), float(one.percent)) for one in points],
        _ticks(telling, min(amounts), max(amounts)), marks,
    )  # fmt: skip
    return Chart(
        "cost-curve", title, vega_lite_of(drawing), words, Table("cost-curve-data", title, columns, rows)
    )


def _ticks(telling: Telling, low: float, high: float) -> list[Mark]:
    """Round amounts along an axis, written as the reader writes them."""
    span = max(high - low, 1.0)
    step = Decimal(10) ** (Decimal(span / _TICKS).adjusted())
    while float(step) * _TICKS * 2 < span:
        step *= 2 if str(step.normalize().as_tuple().digits[0]) == "1" else Decimal("2.5")
    first = (Decimal(low) // step) * step
    places = [first + step * number for number in range(3 * _TICKS)]
    return [
        Mark(float(one), telling.writing.format.number(one)) for one in places if low <= float(one) <= high
    ]  # fmt: skip


def _reopening(telling: Telling, found: Reopening) -> Table:
    say = telling.say
    why = telling.why("reopening", say("The reopening over the trials"), found.derivation)
    columns = (
        Column("percent", say("Trials open again"), Kind.PERCENT), Column("day", say("By the day"), Kind.DATE),
    )  # fmt: skip
    rows = tuple(
        Row(f"p{number}", (Cell(share(one.percent)), Cell(one.day, why)))
        for number, one in enumerate(found.percentiles, start=1)
    )
    note = say(
        "Planned for %(day)s; %(percent)s of the trials reopen by the day after the closure.",
        day=telling.shown(found.planned), percent=telling.shown(Share(one_place(found.in_time_percent))),
    )  # fmt: skip
    return Table("reopening-trials", say("When the course may reopen"), columns, rows, (note,))


def _swings(telling: Telling, found: Sensitivity) -> Iterator[Part]:
    say = telling.say
    yield Section("swings", say("What moves the total"), 3)
    yield Paragraph(
        say(
            "Each uncertain figure alone at the ends of its range, everything else likely; an event without it and "
            "with it. Totals are without contingency. With everything likely the total is %(likely)s.",
            likely=telling.shown(found.likely),
        )
        if telling.facts.estimate.complete
        else say(
            "Each uncertain figure alone at the ends of its range, everything else likely; an event without it and "
            "with it. Totals are of the part that is priced, without contingency. With everything likely the total is "
            "%(likely)s.",
            likely=telling.shown(found.likely),
        )
    )
    title = say("What moves the total")
    shown = found.swings[:_MOST_SWINGS]
    columns = (
        Column("what", say("Figure or event")), telling.money("low", say("Lower total")),
        telling.money("high", say("Higher total")), telling.money("width", say("Between them")),
    )  # fmt: skip
    ends = [sorted((one.at_low, one.at_high), key=lambda money: money.amount) for one in shown]
    rows = tuple(
        Row(f"swing-{number}", (
            Cell(one.name), Cell(low), Cell(high), Cell(one.width, computed=Columns(("high",), ("low",))),
        ))
        for number, (one, (low, high)) in enumerate(zip(shown, ends, strict=True), start=1)
    )  # fmt: skip
    left_out = len(found.swings) - len(shown)
    notes = () if not left_out else (
        telling.counted(
            "%(number)s more moves it less and is not shown.", "%(number)s more move it less and are not shown.",
            left_out,
        ),
    )  # fmt: skip
    words = say(
        "A bar for each figure or event between its two totals, the widest first: %(name)s moves the total by "
        "%(width)s.",
        name=shown[0].name, width=telling.shown(shown[0].width),
    )  # fmt: skip
    bars = [
        SwingBar(one.name, float(low.amount), float(high.amount), _round(telling, low), _round(telling, high))
        for one, (low, high) in zip(shown, ends, strict=True)
    ]
    likely = Mark(
        float(found.likely.amount),
        say("Dashed: everything likely, %(total)s", total=telling.shown(found.likely)),
    )
    drawing = swing_bars(
        title, say("The axis does not begin at zero"),
        say("Total without contingency, %(currency)s", currency=telling.facts.currency), bars, likely,
    )  # fmt: skip
    yield Chart(
        "swing-chart", title, vega_lite_of(drawing), words, Table("swing-data", title, columns, rows, notes)
    )


def _round(telling: Telling, money: Money) -> str:
    return telling.writing.format.number(money.amount.quantize(Decimal(1)))
