"""Capital plans: projects of the next years, the reserve that pays for them, and what deferring them costs."""

from collections.abc import Iterator
from decimal import Decimal
from uuid import UUID

from swardcost_model.capital_plans import (
    NewDecision,
    NewPlan,
    NewPlanProject,
    Plan,
    PlanChange,
    PlanProject,
    PlanProjectChange,
    PlanStatus,
    PlanSummary,
)
from swardcost_model.plan_figures import (
    ChartName,
    FiguresBasis,
    LeastContributionFigures,
    PlanDeferrals,
    PlanFigures,
    ProjectsFromAssets,
)
from swardcost_model.plan_futures import FuturesChart, FuturesQuestion, PlanFutures
from swardcost_model.plan_timing import BestTiming, TimingQuestion, TimingTaken

from swardcost._sync.session import Session

_PLANS = "/v1/clubs/{club}/capital-plans"
_PROJECTS = "/v1/clubs/{club}/plan-projects"
_CSV = "text/csv"
_SVG = "image/svg+xml"
_VEGA_LITE = "application/vnd.vegalite.v6+json"
_XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


class CapitalPlans:
    """Capital plans of the club, and their figures as they are dated."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def create(self, new: NewPlan) -> Plan:
        """Begin a plan as a draft."""
        return self._session.post(Plan, _PLANS, new)

    def list(self, status: PlanStatus | None = None) -> Iterator[PlanSummary]:
        """Every plan, in the order in which they were begun."""
        return self._session.pages(PlanSummary, _PLANS, status=status)

    def read(self, plan_id: UUID) -> Plan:
        """One plan, without its projects and figures."""
        return self._session.get(Plan, f"{_PLANS}/{plan_id}")

    def change(self, plan_id: UUID, change: PlanChange, version: int) -> Plan:
        """Replace the draft that is still at `version`."""
        return self._session.replace(Plan, f"{_PLANS}/{plan_id}", change, version)

    def delete(self, plan_id: UUID, version: int) -> None:
        """Delete a draft with its projects; assets and estimates stay."""
        self._session.remove(f"{_PLANS}/{plan_id}", version)

    def issue(self, plan_id: UUID) -> Plan:
        """Make a draft ready for decision, with the assets as they stand."""
        return self._session.post(Plan, f"{_PLANS}/{plan_id}/issue")

    def lock(self, plan_id: UUID) -> Plan:
        """Close an issued plan once every project of it is decided on."""
        return self._session.post(Plan, f"{_PLANS}/{plan_id}/lock")

    def figures(self, plan_id: UUID, basis: FiguresBasis = "as_dated") -> PlanFigures:
        """The plan as it is dated, or as it was decided, by year and by project."""
        return self._session.get(PlanFigures, f"{_PLANS}/{plan_id}/figures", basis=basis)

    def figures_csv(self, plan_id: UUID, basis: FiguresBasis = "as_dated") -> str:
        """Its years as CSV."""
        return self._session.text(f"{_PLANS}/{plan_id}/figures", basis=basis)

    def figures_workbook(self, plan_id: UUID, basis: FiguresBasis = "as_dated") -> bytes:
        """Years, projects and phases as a workbook."""
        response = self._session.send(
            "GET", f"{_PLANS}/{plan_id}/figures", accept=_XLSX, query={"basis": basis}
        )
        return response.content

    def chart_svg(
        self, plan_id: UUID, chart: ChartName = "reserve", basis: FiguresBasis = "as_dated"
    ) -> str:
        """The reserve curve, the spending of each year, or how well the reserve is funded, as SVG."""
        return self._session.text(f"{_PLANS}/{plan_id}/figures", accept=_SVG, chart=chart, basis=basis)

    def chart_vega_lite(
        self, plan_id: UUID, chart: ChartName = "reserve", basis: FiguresBasis = "as_dated"
    ) -> str:
        """The same charts as a Vega-Lite specification with its data."""
        return self._session.text(
            f"{_PLANS}/{plan_id}/figures", accept=_VEGA_LITE, chart=chart, basis=basis
        )

    def least_contribution(
        self, plan_id: UUID, percent_a_year: Decimal | None = None
    ) -> LeastContributionFigures:
        """The least contribution, level or rising, that keeps the reserve at or above its floor."""
        return self._session.get(
            LeastContributionFigures, f"{_PLANS}/{plan_id}/least-contribution", percent_a_year=percent_a_year
        )

    def best_timing(self, plan_id: UUID, late_percent: Decimal = Decimal(3)) -> BestTiming:
        """Which projects to begin when, so that they are worth the most within every limit; it changes nothing."""
        question = TimingQuestion(late_percent=late_percent)
        return self._session.post(BestTiming, f"{_PLANS}/{plan_id}/best-timing", question)

    def take_timing(self, plan_id: UUID, late_percent: Decimal = Decimal(3)) -> TimingTaken:
        """Find the best timing and date the projects of a draft by it; those that are not done have no year then."""
        question = TimingQuestion(late_percent=late_percent)
        return self._session.post(TimingTaken, f"{_PLANS}/{plan_id}/take-timing", question)

    def futures(self, plan_id: UUID, question: FuturesQuestion | None = None) -> PlanFutures:
        """How probable it is that the reserve runs short, from the ranges of lives and costs; it changes nothing."""
        asked = question or FuturesQuestion()
        return self._session.post(PlanFutures, f"{_PLANS}/{plan_id}/futures", asked)

    def futures_csv(self, plan_id: UUID, question: FuturesQuestion | None = None) -> str:
        """Its years as CSV."""
        return self._futures(plan_id, question or FuturesQuestion(), _CSV)

    def futures_svg(
        self, plan_id: UUID, question: FuturesQuestion | None = None, chart: FuturesChart = "balance"
    ) -> str:
        """The fan of the balance or of the spending, or how probable a shortfall is, as SVG."""
        asked = (question or FuturesQuestion()).model_copy(update={"chart": chart})
        return self._futures(plan_id, asked, _SVG)

    def futures_vega_lite(
        self, plan_id: UUID, question: FuturesQuestion | None = None, chart: FuturesChart = "balance"
    ) -> str:
        """The same charts as a Vega-Lite specification with its data."""
        asked = (question or FuturesQuestion()).model_copy(update={"chart": chart})
        return self._futures(plan_id, asked, _VEGA_LITE)

    def _futures(self, plan_id: UUID, question: FuturesQuestion, media_type: str) -> str:
        path = f"{_PLANS}/{plan_id}/futures"
        return (self._session.send("POST", path, body=question, accept=media_type)).text

    def deferrals(self, plan_id: UUID, years: int = 1) -> PlanDeferrals:
        """What it costs to begin each dated project later."""
        return self._session.get(PlanDeferrals, f"{_PLANS}/{plan_id}/deferrals", years=years)

    def deferrals_csv(self, plan_id: UUID, years: int = 1) -> str:
        """The same as CSV."""
        return self._session.text(f"{_PLANS}/{plan_id}/deferrals", years=years)


class PlanProjects:
    """Projects of capital plans."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def create(self, plan_id: UUID, new: NewPlanProject) -> PlanProject:
        """Add a project to a draft."""
        return self._session.post(PlanProject, f"{_PLANS}/{plan_id}/projects", new)

    def add_from_assets(self, plan_id: UUID) -> ProjectsFromAssets:
        """Add a project for each asset that is due within a draft and that no project replaces."""
        return self._session.post(ProjectsFromAssets, f"{_PLANS}/{plan_id}/projects/from-assets")

    def list(self, plan_id: UUID) -> Iterator[PlanProject]:
        """Every project of a plan, by number."""
        return self._session.pages(PlanProject, f"{_PLANS}/{plan_id}/projects")

    def read(self, plan_project_id: UUID) -> PlanProject:
        """One project."""
        return self._session.get(PlanProject, f"{_PROJECTS}/{plan_project_id}")

    def change(self, plan_project_id: UUID, change: PlanProjectChange, version: int) -> PlanProject:
        """Replace the project of a draft that is still at `version`."""
        return self._session.replace(PlanProject, f"{_PROJECTS}/{plan_project_id}", change, version)

    def decide(self, plan_project_id: UUID, decision: NewDecision) -> PlanProject:
        """Decide on a project of an issued plan."""
        return self._session.post(PlanProject, f"{_PROJECTS}/{plan_project_id}/decide", decision)

    def delete(self, plan_project_id: UUID, version: int) -> None:
        """Take a project out of a draft."""
        self._session.remove(f"{_PROJECTS}/{plan_project_id}", version)
