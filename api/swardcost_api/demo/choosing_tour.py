"""What the tour prints of choosing: ranges of the outcome, what makes them, and what could be done instead."""

from swardcost_model.choosing import BreakEven, BudgetReach
from swardcost_model.comparisons import ComparisonFigures
from swardcost_model.estimate_alternates import EstimateAlternates
from swardcost_model.jobs import Job
from swardcost_model.life_cycle import LifeCycleFigures
from swardcost_model.simulations import ScenarioOutcomes, Simulation

from swardcost_api.demo.tour import Tour, money, table

INFLUENCES_TOLD, PARTS_TOLD = 5, 4


class ChoosingTour:
    """Writes the stages of choosing."""

    def __init__(self, tour: Tour) -> None:
        self._tour = tour

    def progress(self, job: Job) -> None:
        """How far the job is."""
        if job.progress.note != "waiting":
            self._tour.say(
                f"  {job.status}: {job.progress.note}, {job.progress.done:,} of {job.progress.total:,} trials"
            )

    def outcome(self, simulation: Simulation) -> None:
        """What the trials say of the cost and of the reopening."""
        figures, trials = simulation.figures, simulation.request.trials
        shown = table(
            f"{trials:,} trials of the estimate, seed {simulation.request.seed}, without its contingency",
            ("Of 100 trials", "left"), ("Cost at most", "right"), ("Sampling error, 95 %", "right"),
            ("Open again by", "left"),
        )  # fmt: skip
        days = [one.day for one in figures.reopening.percentiles] if figures.reopening else []
        for place, one in enumerate(figures.percentiles):
            assert one.low is not None
            assert one.high is not None
            day = days[place].isoformat() if days else "-"
            shown.add_row(
                f"{one.percent:f}", money(one.amount), f"{money(one.low)} to {money(one.high)}", day
            )
        shown.add_section()
        shown.add_row("mean", money(figures.mean), f"{money(figures.standard_error)}", "")
        self._tour.show(shown)
        if figures.reopening is not None:
            self._tour.say(
                f"Planned is {figures.reopening.planned}; {figures.reopening.in_time_percent:.1f} % of the trials "
                "reopen by the day after the closure."
            )

    def contingency(self, simulation: Simulation) -> None:
        """What contingency the confidence takes, against what the estimate carries, and for what."""
        figures, found = simulation.figures, simulation.figures.contingency
        short = "too little by" if found.short.amount > 0 else "more than that by"
        self._tour.say(
            f"Contingency for {found.confidence_percent:f} of 100: {money(found.needed)} on {money(figures.base)} "
            f"({found.percent_of_base} %); the estimate carries {money(found.carried)}, {short} "
            f"{abs(found.short.amount):,}."
        )
        parts = sorted(found.parts, key=lambda one: -one.amount.amount)
        told = ", ".join(f"{one.item} {money(one.amount)}" for one in parts[:PARTS_TOLD])
        rest = sum(one.amount.amount for one in parts[PARTS_TOLD:])
        self._tour.say(f"  It is there for {told}, and {rest:,} for {len(parts) - PARTS_TOLD} more.")
        self._tour.say("What moves the cost:")
        for one in figures.influences[:INFLUENCES_TOLD]:
            if one.variance_percent is not None and one.rank_correlation is not None:
                self._tour.say(
                    f"  {one.variance_percent:5.1f} %  {one.name} (rank correlation {one.rank_correlation:+.2f})"
                )

    def scenarios(self, outcomes: ScenarioOutcomes) -> None:
        """What if: each scenario beside the estimate without contingency."""
        shown = table(
            f"What if? Beside {money(outcomes.base)} without contingency", ("Scenario", "left"), ("Total", "right"),
            ("Difference", "right"), ("Open again", "left"), ("Later by", "right"),
        )  # fmt: skip
        for one in outcomes.scenarios:
            later = "" if one.days_later is None else f"{one.days_later} days"
            opens = one.reopens_on.isoformat() if one.reopens_on else "-"
            shown.add_row(one.name, money(one.total), f"{one.difference.amount:+,}", opens, later)
        self._tour.show(shown)

    def alternates(self, found: EstimateAlternates) -> None:
        """What each option changes in the estimate that takes them."""
        for one in found.alternates:
            state = "taken" if one.taken else "not taken"
            self._tour.say(
                f"  {one.kind:<10} {one.name} ({state}): {one.difference.amount:+,} with it; otherwise the total "
                f"would be {money(one.total_otherwise)}"
            )

    def comparison(self, found: ComparisonFigures) -> None:
        """The alternatives side by side, what they leave out, and what is to be said of them."""
        sides = found.alternatives
        shown = table(found.name, ("", "left"), *((one.label, "right") for one in sides))
        shown.add_row("Total", *(money(one.total) for one in sides))
        shown.add_row("Cash", *(money(one.cash_total) for one in sides))
        shown.add_row("Days closed for work", *(str(one.days_closed.days) for one in sides))
        for name, of in (
            ("Ground worked on", [one.area_worked for one in sides]),
            ("Surface opened", [one.area_touched for one in sides]),
            ("Sand", [one.sand for one in sides]),
            ("Trips", [one.trips for one in sides]),
            ("Labor hours", [one.labor_hours for one in sides]),
            ("Machine hours", [one.machine_hours for one in sides]),
        ):
            shown.add_row(name, *("-" if figure is None else figure.shown for figure in of))
        risks = [one.risk for one in sides]
        shown.add_row("Cost at most in 80 of 100", *("-" if one is None else money(one.p80) for one in risks))
        shown.add_row(
            "Open again in 80 of 100", *("-" if one is None else str(one.reopens_p80) for one in risks)
        )
        self._tour.show(shown)
        for side in sides:
            for left in side.leaves_out:
                cost = "" if left.cost_elsewhere is None else f" ({money(left.cost_elsewhere)} there)"
                self._tour.say(f"  {side.label} leaves out: {left.words}{cost}")
        for words in found.conclusions[:3]:
            self._tour.say(f"  {words}")

    def studies(self, broken: BreakEven, study: LifeCycleFigures, reach: BudgetReach) -> None:
        """Buy or hire, over the years, and how far a budget reaches."""
        self._tour.say("Hire a loader every autumn or buy one?")
        for words in broken.words:
            self._tour.say(f"  {words}")
        for one in study.alternatives:
            self._tour.say(
                f"  {one.label}: {money(one.life_cycle_cost)} over {study.study_years} years at "
                f"{study.rate_percent.normalize():f} % {study.rate_kind}, {money(one.annual_equivalent)} a year"
            )
        for words in study.conclusions:
            self._tour.say(f"  {words}")
        self._tour.say(f"How deep can the fairways be dressed for {money(reach.budget)} in all?")
        for words in reach.words:
            self._tour.say(f"  {words}")
