"""Every trial is what the engine itself charges with the factors of that trial, to the minor unit."""

import math
import sys
from collections.abc import Mapping
from datetime import date, timedelta
from decimal import ROUND_HALF_UP, Context, Decimal, localcontext
from typing import Any

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from swardcost_api.engine.pricing.costed import CostedLine
from swardcost_api.engine.pricing.hire import Need, price_hire
from swardcost_api.engine.pricing.labor import HoursWorked, week_pay
from swardcost_api.engine.pricing.lines import price_line, purchase_quantity
from swardcost_api.engine.pricing.markups import MarkupRate, markup_chain
from swardcost_api.engine.pricing.percentage import percent_of
from swardcost_api.engine.pricing.purchase import price_purchase
from swardcost_api.engine.pricing.tax import TaxAtPlace, TaxRate
from swardcost_api.engine.risk.ranges import Triangular, Uniform
from swardcost_api.engine.risk.sampling import Event, Uncertain
from swardcost_api.engine.risk.simulated_hire import HireShare, HoursNeeded, SimulatedHire
from swardcost_api.engine.risk.simulated_lines import (
    SimulatedEstimate,
    SimulatedLine,
    SimulatedLump,
    simulate,
)
from swardcost_api.engine.risk.simulated_markups import MarkedLine, MarkupTerms, markups_in_trials
from swardcost_api.engine.risk.simulated_purchase import SimulatedPurchase
from swardcost_api.engine.risk.whole_figures import Whole
from swardcost_model.price_terms import PurchaseTerms, RentalTerms

MILLION = 10**6
WIDE = Context(prec=80)
START = date(2026, 9, 7)

decimals = st.decimals
small = decimals("0.01", "60", places=2)
prices = decimals("0", "900", places=4)
factors = st.integers(0, 3 * MILLION) | st.integers(900_000, 1_100_000) | st.just(MILLION)
above_zero = st.integers(10_000, 3 * MILLION) | st.just(MILLION)


def moved(price: Decimal, factor: int) -> Decimal:
    """A price with a factor in millionths, rounded half up to a millionth, by decimals alone."""
    with localcontext(WIDE):
        return (price * factor / MILLION).quantize(Decimal("0.000001"), ROUND_HALF_UP)


def need(measured: float, quantity: int, production: int) -> float:
    """A need with its factors, rounded half up at its twelfth digit or at that of what comes out, by decimals alone.

    What is above nothing stays so, even where it is too small for a float.
    """
    with localcontext(WIDE):
        printed = Decimal(f"{measured:.12g}")
        if not printed:
            return 0.0
        exact = printed * quantity / production
        places = 11 - printed.adjusted()
        over = exact.adjusted() - printed.adjusted() if exact else 0
        for at in (places, places - max(over, 0)):
            found = exact.quantize(Decimal(1).scaleb(-at), ROUND_HALF_UP)
            if len(found.as_tuple().digits) <= 12 or found == Decimal(1).scaleb(found.adjusted()):
                return float(found) or (sys.float_info.min if found else 0.0)
        raise AssertionError(found)


@st.composite
def terms(draw: st.DrawFn) -> PurchaseTerms:
    """Terms of purchase of every kind, mixed."""
    stated: dict[str, Any] = {}
    for name in ("increment", "minimum_order", "minimum_charge"):
        if draw(st.booleans()):
            stated[name] = str(draw(small))
    shape = draw(st.sampled_from(["plain", "breaks", "bands"]))
    if shape == "breaks":
        starts = sorted(draw(st.sets(small, min_size=1, max_size=4)))
        stated["breaks"] = {
            "apply": draw(st.sampled_from(["each_tier", "whole_quantity"])),
            "tiers": [{"from_quantity": str(one), "unit_price": str(draw(prices))} for one in starts],
        }
    if shape == "bands":
        stated["bands"] = {
            "contract_quantity": str(draw(small)), "over_percent": str(draw(decimals("0", "40", places=2))),
            "under_percent": str(draw(decimals("0", "40", places=2))), "price_over": str(draw(prices)),
            "price_under": draw(st.none() | prices.map(str)),
        }  # fmt: skip
    delivery = draw(st.sampled_from([None, "load", "zone", "zone_load", "mass_distance"]))
    if delivery == "load":
        stated["delivery"] = {"by": "load", "load_size": str(draw(small)), "charge": str(draw(prices))}
    elif delivery == "mass_distance":
        stated["delivery"] = {
            "by": "mass_distance", "rate": str(draw(decimals("0", "2", places=4))), "mass_unit": "short_ton",
            "distance": {"value": str(draw(small)), "unit": "mile"}, "least": str(draw(prices)),
        }  # fmt: skip
    elif delivery is not None:
        stated["delivery"] = {
            "by": "zone",
            "zone": "Near",
            "zones": [{"name": "Near", "charge": str(draw(prices))}],
        }
        if delivery == "zone_load":
            stated["delivery"]["load_size"] = str(draw(small))
    on = ["price", "delivery", "both"] if delivery else ["price"]
    stated["surcharges"] = [
        {"name": str(number), "when": draw(st.sampled_from(["always", "weekend"]))}
        | draw(
            st.sampled_from(on).map(lambda base: {"on": base, "percent": "7.35"})
            | prices.map(lambda price: {"per_unit": str(price)})
            | prices.map(lambda price: {"per_order": str(price)})
        )
        for number in range(draw(st.integers(0, 3)))
    ]
    return PurchaseTerms.model_validate(stated)


@st.composite
def purchases(draw: st.DrawFn) -> dict[str, Any]:
    """A purchase with its terms, as both engines take it."""
    asked = draw(terms())
    return {
        "measured": draw(st.floats(0, 900) | st.floats(1e-5, 1) | st.just(0.0) | st.integers(1, 300).map(float)),
        "unit": draw(st.sampled_from(["short_ton", "acre", "load"])),
        "counted": draw(st.booleans()),
        "waste_percent": draw(st.sampled_from(["0", "5", "7.5", "12.125", "3.333333"]).map(Decimal)),
        "unit_price": draw(prices), "terms": asked, "currency": draw(st.sampled_from(["USD", "JPY", "KWD"])),
        "weekend_percent": draw(st.sampled_from(["0", "37.5", "100"]).map(Decimal)),
        "mass_of_one": draw(st.sampled_from(["1", "1.35", "0.907184740001"]).map(Decimal)),
    }  # fmt: skip


def scalar(purchase: Mapping[str, Any], quantity: int, production: int, price: int) -> tuple[Decimal, int]:
    """Quantity and total of the engine's own purchase with these factors, in millionths."""
    asked: PurchaseTerms = purchase["terms"]
    changes: dict[str, Any] = {}
    if asked.breaks is not None:
        tiers = [
            one.model_copy(update={"unit_price": moved(one.unit_price, price)}) for one in asked.breaks.tiers
        ]
        changes["breaks"] = asked.breaks.model_copy(update={"tiers": tiers})
    if asked.bands is not None:
        prices_of = {
            name: None if (old := getattr(asked.bands, name)) is None else moved(old, price)
            for name in ("price_over", "price_under")
        }
        changes["bands"] = asked.bands.model_copy(update=prices_of)
    found = price_purchase(
        **{
            **purchase, "measured": need(purchase["measured"], quantity, production),
            "unit_price": moved(purchase["unit_price"], price), "terms": asked.model_copy(update=changes),
        }
    )  # fmt: skip
    return found.quantity, found.total_minor


def trials_of(values: list[int]) -> Whole:
    return Whole.of(np.array(values, dtype=np.int64))


def compared(purchase: Mapping[str, Any], drawn: list[tuple[int, int, int]]) -> None:
    simulated = SimulatedPurchase(**purchase, quantity_factor="q", production_factor="h", price_factor="p")
    given_factors = {
        name: trials_of(list(values)) for name, values in zip("qhp", zip(*drawn, strict=True), strict=True)
    }
    quantities = simulated.quantity_in_trials(given_factors).int64(len(drawn))
    amounts = simulated.amount_in_trials(given_factors).int64(len(drawn))
    for (q, h, p), quantity, amount in zip(drawn, quantities, amounts, strict=True):
        expected_quantity, expected = scalar(purchase, q, h, p)
        assert Decimal(int(quantity)).scaleb(-simulated.places) == expected_quantity
        assert int(amount) == expected


@given(purchase=purchases())
def test_with_every_factor_at_one_a_purchase_is_the_engines(purchase: dict[str, Any]) -> None:
    plain = SimulatedPurchase(**purchase)
    expected = price_purchase(**purchase)
    assert int(plain.amount_in_trials({}).values[0]) == expected.total_minor
    assert Decimal(int(plain.quantity_in_trials({}).values[0])).scaleb(-plain.places) == expected.quantity
    compared(purchase, [(MILLION, MILLION, MILLION)] * 2)


@given(purchase=purchases(), drawn=st.lists(st.tuples(factors, above_zero, factors), min_size=1, max_size=6))
@settings(max_examples=200)
def test_each_trial_of_a_purchase_is_the_engines_with_its_factors(
    purchase: dict[str, Any], drawn: list[tuple[int, int, int]]
) -> None:
    compared(purchase, drawn)


EDGES = [
    {"breaks": {"apply": "whole_quantity", "tiers": [{"from_quantity": "44", "unit_price": "7.77"}]}},
    {"breaks": {"apply": "each_tier", "tiers": [{"from_quantity": "44", "unit_price": "7.77"}]}},
    {"bands": {"contract_quantity": "55", "under_percent": "20", "over_percent": "20", "price_under": "12",
               "price_over": "9"}},
    {"increment": "22"}, {"increment": "22", "minimum_order": "44"}, {"minimum_order": "44"}, {"minimum_charge": "440"},
    {"delivery": {"by": "load", "load_size": "22", "charge": "145"}},
    {"delivery": {"by": "mass_distance", "rate": "1", "mass_unit": "short_ton",
                  "distance": {"value": "10", "unit": "mile"}, "least": "440"}},
]  # fmt: skip


@pytest.mark.parametrize("stated", EDGES, ids=str)
@pytest.mark.parametrize("counted", [False, True])
def test_trials_on_the_very_edge_of_a_rule_are_the_engines(stated: dict[str, Any], counted: bool) -> None:
    """Needs that are, but for a hair or for nothing, 44 or 66 tons: where tiers, bands, loads and minimums change."""
    millionths = [
        1_000_000,
        999_999,
        1_000_001,
        1_000_010,
        1_500_000,
        1_499_999,
        1_500_001,
        999_886,
        1_000_114,
    ]
    for measured in (44.0, 44.0000001, 43.9999999, 43.995, 44.000022, 44.00003):
        compared(
            {
                "measured": measured, "unit": "short_ton", "counted": counted, "waste_percent": Decimal(0),
                "unit_price": Decimal(10), "terms": PurchaseTerms.model_validate(stated), "currency": "USD",
                "weekend_percent": Decimal(0), "mass_of_one": Decimal(1),
            },
            [(factor, MILLION, MILLION) for factor in millionths],
        )  # fmt: skip


def test_a_need_that_outgrows_twelve_digits_is_rounded_once() -> None:
    """1.5 x 999,999,999,999.5 as measured counts at its twelfth digit, and what it becomes at its own twelfth."""
    measured = 987654321987.0
    purchase = {
        "measured": measured, "unit": "short_ton", "counted": False, "unit_price": Decimal("0.01"), "currency": "JPY"
    }  # fmt: skip
    simulated = SimulatedPurchase(**purchase, quantity_factor="q")  # type: ignore[arg-type]
    found = simulated.quantity_in_trials({"q": trials_of([1_012_345, 1_000_001])}).int64(2)
    for value, factor in zip(found, (1_012_345, 1_000_001), strict=True):
        assert (
            Decimal(int(value)).scaleb(-2)
            == purchase_quantity(need(measured, factor, MILLION), Decimal(0), False)[0]
        )


def test_hours_of_labor_divided_by_a_production_factor_are_priced_as_a_line() -> None:
    pay = week_pay(worked=[HoursWorked(Decimal("24.00"), Decimal(46))], currency="USD")
    rate = (Decimal(pay.total_minor) / 100 / 46).quantize(Decimal("0.000001"))
    simulated = SimulatedPurchase(137.7, "hour", False, rate, "USD", production_factor="pace")
    for pace in (600_000, 850_001, 1_000_000, 1_300_000):
        expected = price_line(need(137.7, MILLION, pace), "hour", False, Decimal(0), rate, "USD")
        assert simulated.amount_in_trials({"pace": trials_of([pace])}).values[0] == expected.amount_minor


@st.composite
def rentals(draw: st.DrawFn) -> RentalTerms:
    """Rates of a yard, metered or not."""
    hours = st.none() | decimals("1", "60", places=1).map(str)
    days = draw(st.sets(st.sampled_from([1, 3, 7, 28]), min_size=1, max_size=3))
    stated: dict[str, Any] = {
        "periods": [
            {
                "name": f"{count} days", "days": count, "price": str(draw(decimals("20", "2000", places=2))),
                "included_hours": draw(hours), "over_hour_price": draw(st.none() | st.just("31.255")),
            }
            for count in sorted(days)
        ],
        "hours_a_day": draw(st.sampled_from(["8", "7.5", "9.333333", "24"])), "works_weekends": draw(st.booleans()),
        "delivery": "85.005", "pick_up": "60", "damage_waiver_percent": draw(st.sampled_from(["0", "12.5", "14"])),
    }  # fmt: skip
    if draw(st.booleans()):
        stated["hourly"] = {"price": "61.125", "least_hours_a_day": "4"}
    if draw(st.booleans()):
        stated["fuel"] = {"use_per_hour": "2.3", "unit": "us_gallon", "price": "4.199"}
    return RentalTerms.model_validate(stated)


@given(
    terms=rentals(), hours=st.floats(0, 90), drawn=st.lists(st.tuples(factors, factors), min_size=1, max_size=4),
    starts_after=st.integers(0, 6),
)  # fmt: skip
@example(  # a thousandth of the least float
    RentalTerms.model_validate({"periods": [{"name": "day", "days": 1, "price": "20"}]}), 5e-324, [(1_000, 31)], 0
)  # fmt: skip
@settings(max_examples=60, deadline=None)
def test_each_trial_of_a_hire_is_the_engines_with_its_hours(
    terms: RentalTerms, hours: float, drawn: list[tuple[int, int]], starts_after: int
) -> None:
    starts_on = START + timedelta(starts_after)
    simulated = SimulatedHire(
        [HoursNeeded(hours, starts_on, starts_on, quantity_factor="q")], terms, "USD", "p"
    )
    found = simulated.amount_in_trials(
        {name: trials_of(list(v)) for name, v in zip("qp", zip(*drawn, strict=True), strict=True)}
    )
    for (q, p), amount in zip(drawn, found.int64(len(drawn)), strict=True):
        needed, _ = purchase_quantity(need(hours, q, MILLION), Decimal(0), False, "hour")
        total = price_hire([Need("1", needed, starts_on, starts_on)], terms, "USD").total_minor
        assert amount == percent_of(total, Decimal(p).scaleb(-4))


def test_machines_shared_by_several_needs_are_hired_together_in_each_trial() -> None:
    terms = RentalTerms.model_validate(
        {"periods": [{"name": "day", "days": 1, "price": "300"}], "delivery": "90"}
    )
    needs = [
        HoursNeeded(20.0, START, START, quantity_factor="q"),
        HoursNeeded(30.0, START + timedelta(7), START + timedelta(7)),
    ]
    hire, drawn = SimulatedHire(needs, terms, "USD"), {"q": trials_of([MILLION, 2 * MILLION, MILLION])}
    expected = [
        price_hire(
            [Need("1", hours, START, START), Need("2", Decimal(30), START + timedelta(7), START + timedelta(7))],
            terms, "USD",
        )
        for hours in (Decimal(20), Decimal(40), Decimal(20))
    ]  # fmt: skip
    assert hire.amount_in_trials(drawn).values.tolist() == [one.total_minor for one in expected]
    for place in range(2):
        share = HireShare(hire, place).amount_in_trials(drawn)
        assert share.values.tolist() == [one.needs[place].amount_minor for one in expected]


RATES = [TaxRate("Heron Mere", "standard", Decimal("7.375"), date(2020, 1, 1), None, "invented"),
         TaxRate("Heron Mere", "reduced", Decimal("2.5"), date(2020, 1, 1), None, "invented")]  # fmt: skip
percents = st.sampled_from(["0", "3.25", "7.125", "12"]).map(Decimal)
LINES = st.builds(
    MarkedLine, account=st.sampled_from([None, "5100", "5200"]), taxable=st.booleans(),
    tax_class=st.sampled_from(["standard", "reduced", "unknown"]), in_cash=st.booleans(),
    work_midpoint=st.sampled_from([None, date(2026, 10, 1), date(2027, 3, 1)]),
)  # fmt: skip


@st.composite
def markup_terms(draw: st.DrawFn) -> MarkupTerms:
    """Any of the four markups."""
    rates = []
    if draw(st.booleans()):
        here = TaxAtPlace("Heron Mere", date(2026, 9, 1), RATES)
        rates.append(MarkupRate("tax", draw(percents | st.just(here))))
    rates += [
        MarkupRate(kind, draw(percents))
        for kind in ("overhead", "escalation", "contingency")
        if draw(st.booleans())
    ]
    return MarkupTerms(rates, "USD", date(2026, 3, 1), date(2026, 10, 1))


@pytest.mark.parametrize(("same_days", "most"), [(True, 10**7), (False, 10**7), (False, 10**13)])
@given(lines=st.lists(LINES, min_size=1, max_size=6), terms=markup_terms(), seed=st.integers(0, 10**6))
def test_each_trial_of_the_markups_is_the_chain_itself(
    lines: list[MarkedLine], terms: MarkupTerms, seed: int, same_days: bool, most: int
) -> None:
    if same_days:
        lines = [MarkedLine(one.account, one.taxable, one.tax_class, one.in_cash) for one in lines]
    amounts = [np.random.default_rng([seed, number]).integers(0, most, 4) for number in range(len(lines))]
    found = markups_in_trials(lines, amounts, terms, 4)
    for trial in range(4):
        chain = terms.chain(
            [line.costed(int(of_line[trial])) for line, of_line in zip(lines, amounts, strict=True)]
        )
        by_kind = dict.fromkeys(terms.kinds, 0)
        for markup in chain.markups:
            by_kind[markup.kind] += markup.amount_minor
        assert {kind: int(amount[trial]) for kind, amount in found.items()} == by_kind


def estimate(currency: str = "USD") -> SimulatedEstimate:
    """An invented bunker job: sand by the load, hours of a crew, a machine and a mobilization."""
    sand = PurchaseTerms.model_validate(
        {"increment": "22", "delivery": {"by": "load", "load_size": "22", "charge": "145.00"}}
    )
    yard = RentalTerms.model_validate(
        {
            "periods": [
                {"name": "day", "days": 1, "price": "310"},
                {"name": "week", "days": 7, "price": "1190"},
            ]
        }
    )
    marked = MarkedLine("5100", taxable=True)
    bought = SimulatedPurchase(
        412.5, "short_ton", False, Decimal("46.5"), currency, Decimal(5), sand, quantity_factor="depth",
        price_factor="sand price",
    )  # fmt: skip
    hours = SimulatedPurchase(260.0, "hour", False, Decimal("38.125"), currency, production_factor="pace")
    machine = SimulatedHire([HoursNeeded(61.5, START, START, production_factor="pace")], yard, currency)
    return SimulatedEstimate(
        [
            SimulatedLine("sand", bought, marked),
            SimulatedLine("crew", hours),
            SimulatedLine("excavator", machine),
            SimulatedLine("mobilization", SimulatedLump(125_000, currency)),
        ],
        MarkupTerms(
            [MarkupRate("tax", Decimal("7.25")), MarkupRate("overhead", Decimal("4"))], currency, START, START
        ),
    )


FIGURES = [
    Uncertain("depth", Triangular(0.9, 1.0, 1.35), {"care": 0.4}),
    Uncertain("sand price", Uniform(0.95, 1.15), {"fuel": 0.6}),
    Uncertain("pace", Triangular(0.7, 1.0, 1.1), {"weather": -0.8}),
]
RAIN = Event("rain stops work", 0.3, Uniform(1_000, 6_000), {"weather": 0.8})


def test_the_base_is_the_estimate_to_the_cent() -> None:
    whole = estimate()
    sand = price_purchase(
        measured=412.5, unit="short_ton", counted=False, waste_percent=Decimal(5), unit_price=Decimal("46.5"),
        terms=whole.lines[0].cost.terms, currency="USD",  # type: ignore[attr-defined]
    ).total_minor  # fmt: skip
    crew = price_line(260.0, "hour", False, Decimal(0), Decimal("38.125"), "USD").amount_minor
    assert crew is not None
    hired = price_hire(
        [Need("1", Decimal("61.5"), START, START)], whole.lines[2].cost.terms, "USD"
    ).total_minor  # type: ignore[attr-defined]
    costed = [
        CostedLine(sand, "5100", True),
        *(CostedLine(one, None, False) for one in (crew, hired, 125_000)),
    ]
    chain = markup_chain(costed, whole.markups.rates, currency="USD", priced_on=START, work_midpoint=START)
    base = whole.base()
    assert [int(one[0]) for one in base.items.values()] == [
        sand, crew, hired, 125_000, *(one.amount_minor for one in chain.markups)
    ]  # fmt: skip
    assert int(base.total[0]) == chain.total_minor
    degenerate = [Uncertain(one.name, Triangular(1.0, 1.0, 1.0), one.loads) for one in FIGURES]
    assert set(simulate(whole, degenerate, seed=5, trials=50).totals.tolist()) == {chain.total_minor}


@pytest.mark.parametrize("block", [1, 7, 64, 1000])
def test_the_size_of_a_block_changes_nothing(block: int) -> None:
    whole = simulate(estimate(), FIGURES, [RAIN], seed=11, trials=300)
    found = simulate(estimate(), FIGURES, [RAIN], seed=11, trials=300, block=block)
    assert found.totals.tobytes() == whole.totals.tobytes()
    assert (found.sums_above_base, found.covariances) == (whole.sums_above_base, whole.covariances)


def test_covariances_of_items_sum_to_the_variance_of_the_total_exactly() -> None:
    found = simulate(estimate(), FIGURES, [RAIN], seed=3, trials=2_000)
    above = [int(one) - found.base_total_minor for one in found.totals]
    assert sum(found.covariances.values()) == 2_000 * sum(one * one for one in above) - sum(above) ** 2
    assert sum(found.sums_above_base.values()) == sum(above)
    assert math.isclose(sum(found.mean_of(name) for name in found.base_by_item), float(found.totals.mean()))


def test_an_event_adds_what_it_costs_and_nothing_else() -> None:
    without, with_rain = (
        simulate(estimate(), FIGURES, events, seed=9, trials=500) for events in ([], [RAIN])
    )
    added = with_rain.totals - without.totals
    happened = added > 0
    assert 0.2 < happened.mean() < 0.4
    assert added[happened].min() >= 100_000
    assert added[happened].max() <= 600_000
    assert not added[~happened].any()


def test_what_cannot_be_is_refused() -> None:
    whole = estimate()
    with pytest.raises(ValueError, match="a range for each of sand price"):
        simulate(whole, [FIGURES[0], FIGURES[2]], seed=1, trials=10)
    with pytest.raises(ValueError, match="zero or more and below 1,000,000"):
        whole.in_trials({"depth": np.array([-0.1]), "sand price": np.ones(1), "pace": np.ones(1)})
    with pytest.raises(ValueError, match="production factor: expected more than zero"):
        whole.in_trials({"depth": np.ones(1), "sand price": np.ones(1), "pace": np.zeros(1)})
    with pytest.raises(ValueError, match="names that no line"):
        simulate(whole, FIGURES, [Event("sand", 0.1, Uniform(1, 2))], seed=1, trials=10)
    with pytest.raises(ValueError, match="each with a name of its own"):
        SimulatedEstimate([whole.lines[0], whole.lines[0]], whole.markups)
    dear = SimulatedPurchase(9e8, "short_ton", False, Decimal(1000), "USD", price_factor="p")
    with pytest.raises(ValueError, match="could pay"):
        dear.amount_in_trials({"p": trials_of([MILLION, 2 * MILLION])})
