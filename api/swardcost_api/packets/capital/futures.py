"""Simulated futures of a capital plan: how probable a shortfall is, when, what decides it, and what would be enough."""

from collections.abc import Iterator

from swardcost_model.plan_futures import EnoughMore, FuturesDriver, FuturesShare, FuturesYear, PlanFutures

from swardcost_api.capital.service import FanDrawn, FanWords, fan_chart
from swardcost_api.charts import vega_lite_of
from swardcost_api.packets.capital.reserve_words import reserve_words
from swardcost_api.packets.capital.telling import YEARS, Telling, asset_name, year_key
from swardcost_api.packets.document import (
    Cell,
    Chart,
    Column,
    Figure,
    Figures,
    Kind,
    Paragraph,
    Part,
    Row,
    Section,
    Table,
)
from swardcost_api.packets.relations import SameAs
from swardcost_api.packets.values import Measured, Share

FUTURES, DRIVERS, UNPLANNED = "futures-by-year", "futures-drivers", "futures-unplanned"
_BANDS = ("p5", "p25", "p50", "p75", "p95")


def futures(telling: Telling) -> Iterator[Part]:
    """Where lives and costs have ranges: the fan of the reserve, the shortfall of each year, and what decides."""
    say, told = telling.say, telling.facts.futures
    yield Section("futures", say("Simulated futures"))
    if told is None:
        yield Paragraph(
            say(
                "The futures of this plan are not drawn here: its projects and assets are too many, or its amounts "
                "too large."
            )
        )
        return
    if told.all_alike or told.below_floor is None:
        yield Paragraph(_one_future(telling, told))
        return
    yield Paragraph(_drawn(telling, told))
    yield Paragraph(_shortfall(telling, told, told.below_floor))
    yield from _figures(telling, told, told.below_floor)
    yield _fan(telling, told)
    yield _by_year(telling, told)
    if told.drivers:
        yield _drivers(telling, told)
    if told.unplanned:
        yield _unplanned(telling, told)


def _one_future(telling: Telling, told: PlanFutures) -> str:
    """That nothing is uncertain, and what the plan itself shows."""
    say = telling.say
    words = [
        say(
            "Nothing in this plan is given as a range: no life and no cost. So there is one future only, the plan "
            "itself, and nothing can be said of how probable a shortfall is; that does not make the plan certain."
        )
    ]
    if told.basis == "as_decided":
        words.append(_as_decided(telling))
    words.append(reserve_words(telling, [(one.year, one.closing_in_plan) for one in told.years], told.floor))
    if told.enough is not None and told.enough.more_a_year.amount:
        more = telling.shown(told.enough.more_a_year)
        words.append(
            say("%(amount)s more in that year would keep it from that.", amount=more) if telling.one_year
            else say("%(amount)s more in every year would keep it from that.", amount=more)
        )  # fmt: skip
    return " ".join(words)


def _as_decided(telling: Telling) -> str:
    return telling.say("Projects are as they were decided: those deferred later, those declined not at all.")


def _drawn(telling: Telling, told: PlanFutures) -> str:
    drawn = telling.say(
        "%(futures)s futures of the plan were drawn, with seed %(seed)s, from so many ranges, each by itself: lives of "
        "assets, %(lives)s; costs of assets, %(assets)s; costs of projects, %(projects)s. What fails when no project "
        "replaces it any more is replaced at its own cost. Where neglect or dear years touch many at once, the real "
        "spread is wider.",
        futures=telling.shown(told.futures), seed=str(told.seed), lives=told.drawn.lives,
        assets=told.drawn.asset_costs, projects=told.drawn.project_costs,
    )  # fmt: skip
    if told.basis == "as_decided":
        return f"{drawn} {_as_decided(telling)}"
    return drawn


def _shortfall(telling: Telling, told: PlanFutures, below: FuturesShare) -> str:
    words = [_probability(telling, told, below)]
    first = max(
        (one for one in told.years if one.first_below_floor is not None),
        key=lambda one: (one.first_below_floor.futures if one.first_below_floor else 0, -one.year),
    )
    if not telling.one_year and first.first_below_floor is not None and first.first_below_floor.futures:
        words.append(telling.say("The first shortfall comes most often in %(year)s.", year=first.year))
    if told.enough is not None:
        words.append(_enough(telling, told.enough))
    return " ".join(words)


def _probability(telling: Telling, told: PlanFutures, below: FuturesShare) -> str:
    say = telling.say
    shown = {
        "percent": telling.shown(Share(below.percent)), "low": telling.shown(Share(below.low)),
        "high": telling.shown(Share(below.high)), "first": told.first_year, "last": told.last_year,
    }  # fmt: skip
    if told.floor.amount:
        shown |= {"floor": telling.shown(told.floor)}
        return say(
            "In %(percent)s of them the reserve falls below its floor of %(floor)s in %(first)s (95 percent interval "
            "for sampling error: %(low)s to %(high)s).",
            **shown,
        ) if telling.one_year else say(
            "In %(percent)s of them the reserve falls below its floor of %(floor)s in some year from %(first)s to "
            "%(last)s (95 percent interval for sampling error: %(low)s to %(high)s).",
            **shown,
        )  # fmt: skip
    return say(
        "In %(percent)s of them the reserve runs out in %(first)s (95 percent interval for sampling error: %(low)s to "
        "%(high)s).",
        **shown,
    ) if telling.one_year else say(
        "In %(percent)s of them the reserve runs out in some year from %(first)s to %(last)s (95 percent interval "
        "for sampling error: %(low)s to %(high)s).",
        **shown,
    )  # fmt: skip


def _enough(telling: Telling, enough: EnoughMore) -> str:
    say = telling.say
    told = {
        "percent": telling.shown(Share(enough.at_most_percent.normalize())),
        "amount": telling.shown(enough.more_a_year),
    }
    if not enough.more_a_year.amount:
        return say("Nothing more is needed to leave that in at most %(percent)s of the futures.", **told)
    if telling.one_year:
        return say(
            "%(amount)s more in that year would leave that in at most %(percent)s of the futures.", **told
        )
    return say(
        "%(amount)s more in every year would leave that in at most %(percent)s of the futures.", **told
    )


def _figures(telling: Telling, told: PlanFutures, below: FuturesShare) -> Iterator[Part]:
    say = telling.say
    why = telling.why("futures", say("The simulated futures"), told.derivation)
    items = [
        Figure(say("Futures below the floor"), Share(below.percent), why),
        Figure(say("Least balance, middle of the futures"), told.least_closing.p50, why),
    ]  # fmt: skip
    if told.enough is not None:
        enough = telling.why("futures-enough", say("What more would be enough"), told.enough.derivation)
        items.append(Figure(say("More a year that would be enough"), told.enough.more_a_year, enough))
    yield Figures(tuple(items))


def _fan(telling: Telling, told: PlanFutures) -> Chart:
    say, title = telling.say, telling.say("The reserve in the futures")
    called = FanWords(
        say("9 of 10 futures"), say("Half of the futures"), say("Median outcome"), say("The plan"), say("Floor"),
        say("Year"),
    )  # fmt: skip
    columns = (
        Column("year", called.year), telling.money("p5", say("1 in 20 below")),
        telling.money("p25", say("1 in 4 below")), telling.money("p50", say("Middle")),
        telling.money("p75", say("1 in 4 above")), telling.money("p95", say("1 in 20 above")),
        telling.money("plan", called.plan),
    )  # fmt: skip
    rows = tuple(
        Row(year_key(one.year), (
            Cell(str(one.year)), *(Cell(getattr(one.closing, name)) for name in _BANDS),
            Cell(one.closing_in_plan, computed=SameAs(FUTURES, year_key(one.year), "plan")),
        ))
        for one in told.years
    )  # fmt: skip
    drawn = [
        FanDrawn(
            one.year, float(one.closing.p5.amount), float(one.closing.p25.amount), float(one.closing.p50.amount),
            float(one.closing.p75.amount), float(one.closing.p95.amount), float(one.closing_in_plan.amount),
            float(told.floor.amount),
        )
        for one in told.years
    ]  # fmt: skip
    axis = say("Reserve at the end of the year, %(currency)s", currency=telling.facts.currency)
    drawing = fan_chart(title, [], axis, drawn, called)
    last = told.years[-1]
    words = say(
        "Bands by year of 9 of 10 futures and of half of them, with their middle, the plan and the floor. At the end "
        "of %(year)s 9 of 10 futures are between %(low)s and %(high)s; the middle is %(middle)s, the plan %(plan)s.",
        year=last.year, low=telling.shown(last.closing.p5), high=telling.shown(last.closing.p95),
        middle=telling.shown(last.closing.p50), plan=telling.shown(last.closing_in_plan),
    )  # fmt: skip
    return Chart(
        "futures-fan", title, vega_lite_of(drawing), words, Table("fan-data", title, columns, rows), "line"
    )


def _by_year(telling: Telling, told: PlanFutures) -> Table:
    say = telling.say
    columns = (
        Column("year", say("Year")), telling.money("plan", say("Closing in the plan")),
        telling.money("p10", say("1 in 10 below")), telling.money("p50", say("Middle")),
        telling.money("p90", say("1 in 10 above")), telling.money("unplanned", say("Unplanned, mean")),
        Column("below", say("Below the floor"), Kind.PERCENT),
        Column("by_then", say("In this year or earlier"), Kind.PERCENT),
    )  # fmt: skip
    rows = tuple(_year(telling, told, one) for one in told.years)
    notes = (
        say(
            "Below the floor: futures of which this year closes below it. In this year or earlier: also "
            "those of which a year before did."
        ),
        say("Unplanned: replacements that no project of the plan does any more."),
    )
    return Table(FUTURES, say("The futures by year"), columns, rows, notes)


def _year(telling: Telling, told: PlanFutures, one: FuturesYear) -> Row:
    key = year_key(one.year)
    title = telling.say("The futures in %(year)s", year=one.year)
    why = telling.why(f"futures-{key}", title, one.derivation)
    same = SameAs(YEARS, key, "closing") if told.basis == "as_dated" else None
    return Row(key, (
        Cell(str(one.year)), Cell(one.closing_in_plan, computed=same), Cell(one.closing.p10, why),
        Cell(one.closing.p50, why), Cell(one.closing.p90, why), Cell(one.unplanned, why), _share(one.below_floor, why),
        _share(one.below_floor_by_then, why),
    ))  # fmt: skip


def _share(share: FuturesShare | None, why: str | None) -> Cell:
    return Cell() if share is None else Cell(Share(share.percent), why)


def _drivers(telling: Telling, told: PlanFutures) -> Table:
    say = telling.say
    columns = (
        Column("what", say("What decides")), Column("correlation", say("Rank correlation"), Kind.QUANTITY),
    )  # fmt: skip
    rows = []
    for number, one in enumerate(told.drivers, start=1):
        title = say("How much this decides: %(what)s", what=_driver(telling, one))
        why = telling.why(f"driver-{number}", title, one.derivation)
        value = Measured(one.rank_correlation, "each")
        rows.append(Row(f"d{number}", (Cell(_driver(telling, one)), Cell(value, why))))
    notes = (
        say(
            "Spearman's rank correlation with the least balance of a future: above zero where more of it leaves more, "
            "and the further from zero the more it decides."
        ),
    )
    return Table(DRIVERS, say("What decides how low the reserve falls"), columns, tuple(rows), notes)


def _driver(telling: Telling, one: FuturesDriver) -> str:
    say = telling.say
    kinds = {
        "life": lambda: say("How long %(what)s lasts", what=_asset(telling, one)),
        "asset_cost": lambda: say("What %(what)s costs", what=_asset(telling, one)),
        "project_cost": lambda: say("What %(what)s costs", what=_project(telling, one)),
        "growth": lambda: say("How costs grow"),
        "interest": lambda: say("What the reserve earns"),
    }
    return kinds[one.kind]()


def _asset(telling: Telling, one: FuturesDriver) -> str:
    return asset_name(next(asset for asset in telling.facts.counted.assets if asset.id == one.about))


def _project(telling: Telling, one: FuturesDriver) -> str:
    assert one.about is not None
    return telling.label(telling.facts.stated[one.about])


def _unplanned(telling: Telling, told: PlanFutures) -> Table:
    say = telling.say
    columns = (
        Column("asset", say("Asset")), Column("often", say("Replacements in a future, mean"), Kind.QUANTITY),
        telling.money("cost", say("Cost today")),
    )  # fmt: skip
    rows = tuple(
        Row(f"a{number}", (
            Cell(asset_name(one)),
            Cell(Measured(one.replacements, "each")), Cell(one.cost),
        ))
        for number, one in enumerate(told.unplanned, start=1)
    )  # fmt: skip
    notes = (say("Cost today: at the prices of the price year; empty where it is not known."),)
    return Table(UNPLANNED, say("Replaced without a project"), columns, rows, notes)
