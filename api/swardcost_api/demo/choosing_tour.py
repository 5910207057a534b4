"""What the tour prints of choosing: ranges of the outcome, what makes them, and what could be done instead."""

from swardcost_model.jobs import Job
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
