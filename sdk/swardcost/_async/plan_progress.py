"""Locked capital plans: their projects opened and finished, their money, and the plan that follows."""

from uuid import UUID

from swardcost_model.capital_plans import PlanProject
from swardcost_model.plan_progress import NewCompletion, OpenedProject, PlanStanding, ProjectOpening
from swardcost_model.plan_succession import ContinuedPlan, NextPlan, PlanMoves

from swardcost._async.session import AsyncSession

_PLANS = "/v1/clubs/{club}/capital-plans"
_PROJECTS = "/v1/clubs/{club}/plan-projects"
_SVG = "image/svg+xml"
_VEGA_LITE = "application/vnd.vegalite.v6+json"
_XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


class AsyncPlanProgress:
    """What became of the projects of locked plans."""

    def __init__(self, session: AsyncSession) -> None:
        self._session = session

    async def open(self, plan_project_id: UUID, opening: ProjectOpening | None = None) -> OpenedProject:
        """Open an approved project as a project of the club, with its estimate and budget."""
        path = f"{_PROJECTS}/{plan_project_id}/open"
        return await self._session.post(OpenedProject, path, opening or ProjectOpening())

    async def withdraw_opening(self, plan_project_id: UUID) -> PlanProject:
        """Have it be opened as nothing again."""
        return await self._session.post(PlanProject, f"{_PROJECTS}/{plan_project_id}/withdraw-opening")

    async def complete(self, plan_project_id: UUID, completion: NewCompletion) -> PlanProject:
        """Say that its work is done; its assets begin a new life."""
        return await self._session.post(PlanProject, f"{_PROJECTS}/{plan_project_id}/complete", completion)

    async def standing(self, plan_id: UUID, through: str | None = None) -> PlanStanding:
        """A locked plan beside the money of its projects, up to the end of a month such as ``"2027-06"``."""
        return await self._session.get(PlanStanding, f"{_PLANS}/{plan_id}/standing", through=through)

    async def standing_csv(self, plan_id: UUID, through: str | None = None) -> str:
        """Its projects as CSV."""
        return await self._session.text(f"{_PLANS}/{plan_id}/standing", through=through)

    async def standing_workbook(self, plan_id: UUID, through: str | None = None) -> bytes:
        """Its projects and years as a workbook."""
        path = f"{_PLANS}/{plan_id}/standing"
        response = await self._session.send("GET", path, accept=_XLSX, query={"through": through})
        return response.content

    async def standing_svg(self, plan_id: UUID, through: str | None = None) -> str:
        """The reserve as planned and as expected, as SVG."""
        return await self._session.text(f"{_PLANS}/{plan_id}/standing", accept=_SVG, through=through)

    async def standing_vega_lite(self, plan_id: UUID, through: str | None = None) -> str:
        """The same chart as a Vega-Lite specification with its data."""
        return await self._session.text(f"{_PLANS}/{plan_id}/standing", accept=_VEGA_LITE, through=through)

    async def continue_plan(self, plan_id: UUID, following: NextPlan) -> ContinuedPlan:
        """Begin the plan that goes on from a locked one."""
        return await self._session.post(ContinuedPlan, f"{_PLANS}/{plan_id}/continue", following)

    async def moves(self, plan_id: UUID) -> PlanMoves:
        """A plan beside the one that it goes on from: what moved, and why."""
        return await self._session.get(PlanMoves, f"{_PLANS}/{plan_id}/moves")

    async def moves_csv(self, plan_id: UUID) -> str:
        """The projects of both plans as CSV."""
        return await self._session.text(f"{_PLANS}/{plan_id}/moves")

    async def moves_workbook(self, plan_id: UUID) -> bytes:
        """The projects and years of both plans as a workbook."""
        response = await self._session.send("GET", f"{_PLANS}/{plan_id}/moves", accept=_XLSX)
        return response.content

    async def moves_svg(self, plan_id: UUID) -> str:
        """The reserve of both plans, as SVG."""
        return await self._session.text(f"{_PLANS}/{plan_id}/moves", accept=_SVG)

    async def moves_vega_lite(self, plan_id: UUID) -> str:
        """The same chart as a Vega-Lite specification with its data."""
        return await self._session.text(f"{_PLANS}/{plan_id}/moves", accept=_VEGA_LITE)
