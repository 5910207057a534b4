"""What every part of a capital plan packet is told with: its facts, its language, and the steps behind its figures."""

from collections.abc import Iterable

from swardcost_model.capital_plans import PlanProject
from swardcost_model.plan_figures import PlanYear, ProjectDeferral, ProjectInFigures
from swardcost_model.plan_futures import AssetInFutures
from swardcost_model.plan_progress import ProjectStanding

from swardcost_api.capital.service import PlanAsset
from swardcost_api.engine.capital.year_runs import runs_of
from swardcost_api.packets.capital.facts import CapitalFacts
from swardcost_api.packets.document import Given, Step
from swardcost_api.packets.telling import Told
from swardcost_api.packets.values import Measured

YEARS, BALANCE, WORK = "plan-by-year", "reserve-and-floor", "work-by-year"
"""Tables that others repeat figures of."""


class Telling(Told[CapitalFacts]):
    """A capital plan packet while it is composed."""

    def label(self, project: PlanProject | ProjectInFigures | ProjectDeferral | ProjectStanding) -> str:
        """How a project is named in tables and sentences: its number and its name."""
        return self.numbered(project.number, project.name)

    @property
    def one_year(self) -> bool:
        """Whether the plan has one year alone."""
        return self.facts.plan.years == 1

    def no_projects(self) -> str:
        """That nothing is planned so far."""
        return self.say("The plan has no projects yet.")

    def span(self, first: int, last: int) -> str:
        """A year, or from one to another."""
        if first == last:
            return str(first)
        return self.say("%(first)s to %(last)s", first=first, last=last)

    def years(self, years: Iterable[int]) -> str:
        """Years in rising order, three or more in a row as from one to another."""
        named = [[self.span(run[0], run[-1])] if len(run) > 2 else map(str, run) for run in runs_of(years)]
        return ", ".join(name for names in named for name in names)


def year_key(year: int) -> str:
    """The key of a year's row, and of its derivation."""
    return f"y{year}"


def asset_name(asset: PlanAsset | AssetInFutures) -> str:
    """How an asset is named in tables and sentences: its code and its name."""
    return f"{asset.code} {asset.name}"


def why_year(telling: Telling, year: PlanYear) -> str | None:
    """The derivation of a year of the reserve."""
    title = telling.say("The reserve in %(year)s", year=year.year)
    incomes = [
        Step(
            one.name, one.amount, "units x each, rounded half up",
            (Given("units", Measured(one.units, "each")), Given("each", one.each)), "the terms of the plan",
        )
        for one in year.incomes
    ]  # fmt: skip
    return telling.why(year_key(year.year), title, year.derivation, incomes)
