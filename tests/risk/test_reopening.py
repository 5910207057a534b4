"""When the course reopens over the trials: the schedule's own days, with longer tasks and days that events take."""

import csv
import io
from collections.abc import Sequence
from decimal import Decimal
from math import comb

from conftest import Api
from estimate_factories import Document, a_scope_item, an_edition, an_item, priced, stated
from risk_factories import UNKNOWN, a_price, an_event, on_scope, percent_range, simulated, uncertain
from schedule_factories import a_closure, after, days, plain, schedule_of

ONE_DAY = {"shape": "uniform", "low": "1", "high": "1"}
CREW = an_item("CREW", "27.40", kind="labor", unit="hour", taxable=False)


def a_programme(api: Api, *tasks: str) -> tuple[Document, list[Document]]:
    """An estimate of tasks of so many working days, one after the other, from Monday, September 14, 2026."""
    project = a_closure(api)
    scope: list[Document] = []
    for number, working_days in enumerate(tasks):
        item = a_scope_item(api, project, plain(), [], stated("CREW", "8", "hour"), name=f"Task {number}")
        linked = {"predecessors": [after(scope[-1])]} if scope else {}
        api.created(f"/scope-items/{item['id']}/task", days(working_days) | linked)
        scope.append(item)
    return priced(api, project, an_edition(api, [CREW])), scope


def reopening_of(api: Api, estimate: Document, **request: object) -> Document:
    simulation = simulated(api, estimate, **request)
    found: Document = simulation["figures"]["reopening"]
    assert found is not None, simulation["figures"]["no_reopening_because"]
    return found


def days_of(found: Document) -> Sequence[str]:
    return [one["day"] for one in found["curve"]]


def test_without_anything_that_lengthens_the_work_every_trial_reopens_as_planned(api: Api) -> None:
    estimate, _ = a_programme(api, "3", "4")
    uncertain(api, estimate, figures=[a_price("CREW", name="Wages")])
    planned = schedule_of(api, estimate["project_id"])["reopens_on"]
    found = reopening_of(api, estimate, trials=200)
    assert found["planned"] == planned
    assert found["curve"] == [{"day": planned, "percent": "100"}]
    assert Decimal(found["in_time_percent"]) == 100


def test_a_task_twice_as_long_reopens_when_the_schedule_with_that_task_does(api: Api) -> None:
    estimate, scope = a_programme(api, "3", "4")
    longer = on_scope("duration", scope[0], name="Longer", range=percent_range("200", "200", "200"))
    uncertain(api, estimate, figures=[longer])
    found = reopening_of(api, estimate, trials=100)
    other, _ = a_programme(api, "6", "4")
    assert days_of(found) == [schedule_of(api, other["project_id"])["reopens_on"]]
    assert found["planned"] == schedule_of(api, estimate["project_id"])["reopens_on"]


def test_events_take_days_as_often_as_they_happen(api: Api) -> None:
    """Two events of one day each, in half of the trials: none, one or two days lost by the binomial distribution."""
    estimate, _ = a_programme(api, "2")
    events = [an_event(name, probability_percent="50", delay_days=ONE_DAY) for name in ("Rain", "More rain")]
    uncertain(api, estimate, events=events)
    trials = 10_000
    found = reopening_of(api, estimate, trials=trials, seed=5)
    percents = [Decimal(one["percent"]) for one in found["curve"]]
    shares = [percents[0], percents[1] - percents[0], percents[2] - percents[1]]
    for share, chance in zip(shares, (comb(2, n) / 4 for n in range(3)), strict=True):
        error = (chance * (1 - chance) / trials) ** 0.5
        assert abs(float(share) / 100 - chance) < 4 * error
    # Monday and Tuesday of work, then the following days.
    assert days_of(found) == ["2026-09-16", "2026-09-17", "2026-09-18"]
    assert [one["day"] for one in found["percentiles"]] == [
        "2026-09-16", "2026-09-17", "2026-09-18", "2026-09-18",
    ]  # fmt: skip


def test_the_cost_is_the_same_with_and_without_what_takes_days(api: Api) -> None:
    estimate, scope = a_programme(api, "3", "4")
    uncertain(api, estimate, figures=[a_price("CREW", name="Wages")], events=[an_event()])
    without = simulated(api, estimate, trials=500, seed=2)["figures"]
    longer = on_scope("duration", scope[0], name="Longer", range=percent_range("80", "100", "200"))
    uncertain(
        api, estimate, figures=[a_price("CREW", name="Wages"), longer], events=[an_event(delay_days=ONE_DAY)]
    )
    with_days = simulated(api, estimate, trials=500, seed=2)["figures"]
    for name in ("mean", "curve", "contingency", "percentiles"):
        assert with_days[name] == without[name]
    assert len(with_days["reopening"]["curve"]) > len(without["reopening"]["curve"])


def test_a_cause_that_lengthens_the_work_makes_it_dearer_in_the_same_trials(api: Api) -> None:
    """Both figures follow one cause wholly, so the day is late in those trials in which hours are many: no trial is
    late and cheap. With three even steps of one range each day has its own range of cost."""
    estimate, scope = a_programme(api, "10")
    cause = {"causes": [{"cause": "Weather", "load": "1"}]}
    even = {"shape": "uniform", "low": "100", "high": "130"}
    uncertain(
        api, estimate,
        figures=[
            on_scope("quantity", scope[0], name="Hours", range=even, **cause),
            on_scope("duration", scope[0], name="Days", range=even, **cause),
        ],
    )  # fmt: skip
    simulation = simulated(api, estimate, trials=3_000)
    reopening, figures = simulation["figures"]["reopening"], simulation["figures"]
    # Above 110 % of the hours in two thirds of the trials, and 12 or 13 instead of 11 days in as many.
    percents = [float(one["percent"]) for one in reopening["curve"]]
    assert len(percents) == 3
    for percent, expected in zip(percents, (100 / 3, 200 / 3, 100), strict=True):
        assert abs(percent - expected) < 4 * 100 * (2 / 9 / 3_000) ** 0.5
    assert Decimal(figures["percentiles"][3]["amount"]["amount"]) > Decimal("219.20") * Decimal("1.26")


def test_reopening_of_a_simulation_as_csv_and_as_a_chart(api: Api) -> None:
    estimate, scope = a_programme(api, "3", "4")
    longer = on_scope("duration", scope[1], name="Longer", range=percent_range("80", "100", "300"))
    uncertain(api, estimate, figures=[longer])
    simulation = simulated(api, estimate, trials=400)
    place = f"/simulations/{simulation['id']}/reopening"
    found = api.get(place).json()
    assert found["curve"] == simulation["figures"]["reopening"]["curve"]
    rows = list(csv.DictReader(io.StringIO(api.get(place, headers={"Accept": "text/csv"}).text)))
    assert rows == found["curve"]
    drawn = api.get(place, headers={"Accept": "image/svg+xml"}).text
    assert f"Planned {found['planned']}" in drawn
    assert api.get(f"/simulations/{UNKNOWN}/reopening").status_code == 404


def test_a_scenario_tells_by_how_many_days_the_reopening_moves(api: Api) -> None:
    estimate, scope = a_programme(api, "3", "4")
    longer = on_scope("duration", scope[0], name="Longer", range=percent_range("80", "100", "200"))
    scenarios = [
        {"name": "Half the crew", "settings": [{"figure": "Longer", "percent": "200"}]},
        {"name": "Storm", "settings": [], "events": ["Storm"]},
    ]
    storm = an_event("Storm", delay_days={"shape": "uniform", "low": "2", "high": "2"})
    uncertain(api, estimate, figures=[longer], events=[storm], scenarios=scenarios)
    found = api.get(f"/estimates/{estimate['id']}/scenarios").json()
    planned = schedule_of(api, estimate["project_id"])["reopens_on"]
    assert found["planned_reopening"] == planned
    other, _ = a_programme(api, "6", "4")
    half, stormy = found["scenarios"]
    assert half["reopens_on"] == schedule_of(api, other["project_id"])["reopens_on"]
    # Seven working days from Monday end on Tuesday of the week after; two more on Thursday.
    assert (planned, stormy["reopens_on"], stormy["days_later"]) == ("2026-09-23", "2026-09-25", 2)
