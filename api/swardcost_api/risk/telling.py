"""What the trials of a simulation say, in the words and figures of an answer, each with its steps."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from swardcost_model import simulations as answers
from swardcost_model.access import Club
from swardcost_model.simulations import SimulationRequest
from swardcost_model.values import Money, from_minor

from swardcost_api.derivations import steps_for
from swardcost_api.engine.derivation import Input, Step
from swardcost_api.engine.pricing.percentage import percent_of_whole, to_print
from swardcost_api.engine.risk.contingency_share import ContingencyShare, share_contingency
from swardcost_api.engine.risk.influence import Influence
from swardcost_api.engine.risk.outcomes import Mean, Outcomes, Percentile
from swardcost_api.engine.risk.simulated_lines import Simulation
from swardcost_api.risk.fitting import Fitted
from swardcost_api.risk.ranges import places
from swardcost_api.risk.reopening import Opening
from swardcost_api.risk.simulating import HeldPart

CURVE_POINTS = 101
LISTED_PERCENT = 80.0
"""The percentile that a list of simulations shows."""
TRIALS = "the trials of this simulation"
_RANKED = "the k-th smallest of all trials, k = percent / 100 x trials, rounded up"
_SPEARMAN = "Spearman, American Journal of Psychology 15 (1904); shares by squares: common practice"
_EULER = "covariance share of the variance; Hamilton's apportionment (largest remainder)"


@dataclass(frozen=True, slots=True)
class Run:
    """A simulation that was run: of what, as asked, its trials, and what moved them."""

    fitted: Fitted
    request: SimulationRequest
    priced: Simulation
    influences: Sequence[Influence]

    @property
    def currency(self) -> str:
        return self.fitted.currency

    def money(self, minor: int) -> Money:
        return Money.of_minor(minor, self.currency)

    def bound(self, minor: int | None) -> Money | None:
        return None if minor is None else self.money(minor)

    def amount(self, name: str, minor: float) -> Input:
        return Input(name, float(from_minor(round_half_up(minor), self.currency)), self.currency)

    def step(self, name: str, minor: float, formula: str, *inputs: Input, source: str = TRIALS) -> Step:
        """A step to an amount of money."""
        figure = self.amount(name, minor)
        return Step(name, figure.value, figure.unit, formula, inputs, source)


def told_figures(run: Run, opening: Opening, club: Club) -> dict[str, Any]:
    """All that is told of a simulation, as it is kept: in full, and the few figures of a list."""
    outcomes, trials = Outcomes(run.priced.totals), run.fitted.trials
    mean = outcomes.mean
    confidence = outcomes.confidence_of(trials.total_minor)
    percentiles = outcomes.percentiles()
    figures = answers.SimulatedFigures(
        base=run.money(trials.base_minor), estimate_total=run.money(trials.total_minor),
        estimate_confidence_percent=places(confidence, 4),
        mean=run.money(round_half_up(mean.mean_minor)),
        standard_error=run.money(round_half_up(mean.standard_error_minor)),
        deviation=run.money(round_half_up(mean.deviation_minor)),
        percentiles=[_percentile(run, one) for one in percentiles],
        curve=[
            answers.CurvePoint(percent=places(percent, 4), amount=run.money(minor))
            for percent, minor in outcomes.curve(CURVE_POINTS)
        ],
        contingency=_contingency(run, outcomes, club),
        influences=_influences(run, club),
        reopening=opening.reopening, no_reopening_because=opening.why_not,
        held=told_held(trials.held, run.currency), not_priced=list(trials.not_priced),
        derivation=steps_for(_steps(run, mean, percentiles, confidence), club),
    )  # fmt: skip
    p80 = next(one.amount_minor for one in percentiles if one.percent == LISTED_PERCENT)
    summary = {"mean": figures.mean.model_dump(mode="json"), "p80": run.money(p80).model_dump(mode="json")}
    return {"summary": summary, "figures": figures.model_dump(mode="json")}


def told_held(held: Sequence[HeldPart], currency: str) -> list[answers.Held]:
    """What is taken as estimated in every trial."""
    return [
        answers.Held(item=one.name, amount=Money.of_minor(one.amount_minor, currency), why=one.why)
        for one in held
    ]


def base_step(fitted: Fitted) -> Step:
    """The step to the estimate without its contingency."""
    trials, currency = fitted.trials, fitted.currency
    base, total, contingency = (
        float(from_minor(minor, currency))
        for minor in (trials.base_minor, trials.total_minor, trials.contingency_minor)
    )
    inputs = (Input("estimate total", total, currency), Input("contingency", contingency, currency))
    return Step("base", base, currency, "estimate total - contingency", inputs, "the estimate")


def _percentile(run: Run, one: Percentile) -> answers.CostPercentile:
    return answers.CostPercentile(
        percent=places(one.percent, 4), amount=run.money(one.amount_minor), low=run.bound(one.low_minor),
        high=run.bound(one.high_minor),
    )  # fmt: skip


def _contingency(run: Run, outcomes: Outcomes, club: Club) -> answers.ContingencyNeeded:
    trials, percent = run.fitted.trials, run.request.confidence_percent
    found = outcomes.contingency(float(percent), trials.base_minor)
    needed, carried = found.amount_minor, trials.contingency_minor
    varies = sum(run.priced.covariances.values()) > 0
    parts = share_contingency(needed, run.priced.covariances) if varies else ()
    base = run.amount("base", trials.base_minor)
    steps = [
        run.step(
            "amount held", needed + trials.base_minor, _RANKED, Input("percent", float(percent), "percent"),
            Input("trials", float(outcomes.trials), "each"),
        ),
        run.step(
            "needed", needed, "amount held - base", run.amount("amount held", needed + trials.base_minor), base,
            source="arithmetic",
        ),
        run.step(
            "short", needed - carried, "needed - carried", run.amount("needed", needed),
            run.amount("carried", carried), source="arithmetic",
        ),
    ]  # fmt: skip
    of_base = to_print(percent_of_whole(needed, trials.base_minor)) if trials.base_minor else None
    if of_base is not None:
        steps.append(
            Step(
                "percent of base", float(of_base), "percent", "needed / base x 100",
                (run.amount("needed", needed), base), "arithmetic",
            )
        )  # fmt: skip
    return answers.ContingencyNeeded(
        confidence_percent=percent, needed=run.money(needed), low=run.bound(found.low_minor),
        high=run.bound(found.high_minor), percent_of_base=of_base, carried=run.money(carried),
        short=run.money(needed - carried),
        parts=[_part(run, one, needed, parts, club) for one in parts if one.variance_share],
        derivation=steps_for(steps, club),
    )  # fmt: skip


def _part(
    run: Run, part: ContingencyShare, needed: int, parts: Sequence[ContingencyShare], club: Club
) -> answers.ContingencyPart:
    above = math.fsum(max(one.variance_share, 0.0) for one in parts)
    step = run.step(
        "part", part.amount_minor,
        "0" if part.steadies
        else "needed x share of the variance / shares above zero, by largest remainder to the minor unit",
        run.amount("needed", needed), Input("share of the variance", part.variance_share, "ratio"),
        Input("shares above zero", above, "ratio"), source=_EULER,
    )  # fmt: skip
    return answers.ContingencyPart(
        item=part.item, amount=run.money(part.amount_minor),
        variance_percent=places(100 * part.variance_share, 4), lowers=part.steadies,
        derivation=steps_for([step], club),
    )  # fmt: skip


def _influences(run: Run, club: Club) -> list[answers.Influence]:
    events = {one.name for one in run.fitted.events}
    squares = math.fsum(one.rank_correlation**2 for one in run.influences if one.rank_correlation is not None)
    return [
        answers.Influence(
            name=one.name, kind="event" if one.name in events else "figure",
            rank_correlation=None if one.rank_correlation is None else places(one.rank_correlation, 6),
            variance_percent=None if one.variance_share is None else places(100 * one.variance_share, 4),
            derivation=steps_for(_influence_steps(one, squares), club),
        )
        for one in run.influences
    ]  # fmt: skip


def _influence_steps(one: Influence, squares: float) -> list[Step]:
    if one.rank_correlation is None or one.variance_share is None:
        return []
    correlation = Input("rank correlation", one.rank_correlation, "ratio")
    return [
        Step(
            "rank correlation", one.rank_correlation, "ratio",
            "correlation of the ranks of the figure with those of the total over all trials, alike ones sharing their "
            "mean rank", (), _SPEARMAN,
        ),
        Step(
            "share of the variance", 100 * one.variance_share, "percent",
            "rank correlation^2 / sum of rank correlation^2 of all x 100",
            (correlation, Input("sum of rank correlation^2 of all", squares, "ratio")), _SPEARMAN,
        ),
    ]  # fmt: skip


def _steps(run: Run, mean: Mean, percentiles: Sequence[Percentile], confidence: float) -> list[Step]:
    trials, count = run.fitted.trials, Input("trials", float(run.priced.trials), "each")
    steps = [
        base_step(run.fitted),
        run.step("mean", mean.mean_minor, "sum of the totals of all trials / trials", count),
        run.step(
            "standard error", mean.standard_error_minor, "deviation / sqrt(trials)",
            run.amount("deviation", mean.deviation_minor), count,
        ),
    ]  # fmt: skip
    for one in percentiles:
        percent = Input("percent", one.percent, "percent")
        rank = Input("k", float(max(math.ceil(one.percent * run.priced.trials / 100 - 1e-9), 1)), "each")
        steps.append(run.step(f"P{one.percent:g}", one.amount_minor, _RANKED, percent, count, rank))
    enough = Input("trials not above it", confidence / 100 * run.priced.trials, "each")
    steps.append(
        Step(
            "confidence of the estimate's total", confidence, "percent", "trials not above it / trials x 100",
            (enough, count, run.amount("estimate total", trials.total_minor)), TRIALS,
        )
    )  # fmt: skip
    return steps


def round_half_up(minor: float) -> int:
    """A figure in minor units as a whole number of them."""
    return math.floor(minor + 0.5)
