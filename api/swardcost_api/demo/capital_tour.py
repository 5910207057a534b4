"""What the tour prints of the years to come: assets, the plan, what was decided, and what moved."""

from collections.abc import Iterable

from swardcost_model.assets import AssetRegister
from swardcost_model.plan_figures import LeastContributionFigures, PlanDeferrals, PlanFigures
from swardcost_model.plan_futures import PlanFutures
from swardcost_model.plan_progress import PlanStanding
from swardcost_model.plan_succession import PlanMoves
from swardcost_model.scenario_figures import ScenariosSideBySide

from swardcost_api.demo.tour import Tour, money, table

YEARS_TOLD = (0, 1, 2, 3, 4, 5, 6, 9, 14)
DEFERRALS_TOLD, MOVES_TOLD = 3, 6


class CapitalTour:
    """Writes the stages of the capital plan."""

    def __init__(self, tour: Tour) -> None:
        self._tour = tour

    def register(self, found: AssetRegister) -> None:
        """What the course is made of, when it is due, and what a reserve would hold for it."""
        shown = table(
            f"Assets at the end of {found.year}", ("Code", "left"), ("Asset", "left"), ("Since", "right"),
            ("Due", "right"), ("Early to late", "right"), ("Another one costs", "right"), ("Fully funded", "right"),
        )  # fmt: skip
        for one in found.items:
            asset, figures = one.asset, one.figures
            shown.add_row(
                asset.code, asset.name, str(asset.in_use_since), str(figures.due_in),
                f"{figures.due_early} to {figures.due_late}",
                money(figures.replacement_cost) if figures.replacement_cost else "-",
                money(figures.fully_funded) if figures.fully_funded else "-",
            )  # fmt: skip
        shown.add_section()
        shown.add_row("", "All", "", "", "", money(found.replacement_cost), money(found.fully_funded))
        self._tour.show(shown)

    def figures(self, found: PlanFigures) -> None:
        """The reserve in some of its years, and what follows."""
        shown = table(
            f"{found.name}, as dated", ("Year", "right"), ("Opening", "right"), ("Income", "right"),
            ("Loan", "right"), ("Interest", "right"), ("Projects", "right"), ("Paid back", "right"),
            ("Closing", "right"), ("Funded", "right"),
        )  # fmt: skip
        for place, year in enumerate(found.years):
            if place in YEARS_TOLD:
                income = (
                    year.contributions.amount
                    + year.dues.amount
                    + year.initiation_fees.amount
                    + year.assessments.amount
                )
                shown.add_row(
                    str(year.year), money(year.opening), f"{income:,}", money(year.loans_drawn), money(year.interest),
                    money(year.spending), money(year.loan_payments), money(year.closing), f"{year.percent_funded} %",
                )  # fmt: skip
        self._tour.show(shown)
        self.words(found.conclusions)

    def words(self, sentences: Iterable[str]) -> None:
        """Sentences, one a line."""
        for one in sentences:
            self._tour.say(f"  {one}")

    def least(self, found: LeastContributionFigures) -> None:
        """The least contribution."""
        self._tour.say("What contribution keeps the reserve above its floor?")
        self.words(found.conclusions)

    def deferrals(self, found: PlanDeferrals) -> None:
        """What waiting costs, for those whose waiting costs the most."""
        self._tour.say("What does it cost to wait two years?")
        for one in sorted(found.items, key=lambda one: -one.net.amount)[:DEFERRALS_TOLD]:
            self._tour.say(
                f"  {one.name}: {money(one.net)} (dearer work {money(one.growth)}, upkeep {money(one.upkeep)}, less "
                f"interest kept {money(one.interest_kept)})"
            )

    def scenarios(self, found: ScenariosSideBySide) -> None:
        """The scenarios beside each other."""
        shown = table(
            "Other ways of the plan", ("Scenario", "left"), ("First contribution", "right"), ("Projects cost", "right"),
            ("Least reserve", "right"), ("In", "right"), ("Below floor", "right"), ("Done", "right"),
            ("Left at the end", "right"),
        )  # fmt: skip
        for one in found.scenarios:
            totals = one.totals
            if totals is not None:
                shown.add_row(
                    one.name, money(totals.contribution_first_year), money(totals.spending),
                    money(totals.least_balance), str(totals.least_balance_year),
                    str(totals.first_year_below_floor or "never"), str(totals.projects_done), money(totals.closing),
                )  # fmt: skip
        self._tour.show(shown)
        self.words(found.conclusions)

    def futures(self, found: PlanFutures) -> None:
        """How often the reserve runs low, and what would be enough."""
        self._tour.say(f"{found.futures:,} futures of lives and costs, seed {found.seed}:")
        self.words(found.conclusions)

    def standing(self, found: PlanStanding) -> None:
        """What was opened, beside the plan."""
        for one in found.projects:
            if one.budget is not None and one.planned is not None and one.expected is not None:
                self._tour.say(
                    f"  {one.name}: planned {money(one.planned)}, budget {money(one.budget)}; {one.words} Expected "
                    f"{money(one.expected)}."
                )
        self.words(found.conclusions)

    def moves(self, found: PlanMoves) -> None:
        """What moved between the plans, and why."""
        told = [one for one in found.projects if one.kind != "kept"]
        for one in told[:MOVES_TOLD]:
            then, now = one.year_before or "no year", one.year or "out of the plan"
            year = f"{then} to {now}" if one.year_before != one.year else f"{then}"
            self._tour.say(f"  {one.name}, {year}: {' '.join(cause.words for cause in one.causes)}")
        self.words(found.conclusions)
