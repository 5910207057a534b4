"""What of an estimate is uncertain, and how far that may move its cost and the reopening."""

from collections.abc import AsyncIterator, Callable
from uuid import UUID

from swardcost_model.jobs import Job
from swardcost_model.simulations import (
    GridQuestion,
    ScenarioOutcomes,
    Sensitivity,
    SensitivityGrid,
    Simulation,
    SimulationContingency,
    SimulationCurve,
    SimulationReopening,
    SimulationRequest,
    SimulationStarted,
    SimulationSummary,
)
from swardcost_model.uncertainty import Uncertainty, UncertaintyChange, UncertaintyProposal

from swardcost._async.jobs import AsyncJobs
from swardcost._async.session import AsyncSession

_ESTIMATES = "/v1/clubs/{club}/estimates"
_SIMULATIONS = "/v1/clubs/{club}/simulations"
_SVG = "image/svg+xml"
_VEGA_LITE = "application/vnd.vegalite.v6+json"


class AsyncRisk:
    """Uncertainty of estimates, and what follows from it with no chance in it: swings, grids and scenarios."""

    def __init__(self, session: AsyncSession) -> None:
        self._session = session

    async def uncertainty(self, estimate_id: UUID) -> Uncertainty:
        """What is uncertain of an estimate; empty until somebody says."""
        return await self._session.get(Uncertainty, f"{_ESTIMATES}/{estimate_id}/uncertainty")

    async def change_uncertainty(
        self, estimate_id: UUID, change: UncertaintyChange, version: int
    ) -> Uncertainty:
        """Replace the uncertainty that is still at `version`."""
        return await self._session.replace(
            Uncertainty, f"{_ESTIMATES}/{estimate_id}/uncertainty", change, version
        )

    async def propose(self, estimate_id: UUID) -> UncertaintyProposal:
        """Ranges from the lowest and highest prices of the edition; nothing is kept."""
        return await self._session.get(
            UncertaintyProposal, f"{_ESTIMATES}/{estimate_id}/uncertainty/proposal"
        )

    async def sensitivity(self, estimate_id: UUID) -> Sensitivity:
        """The total with one figure at a time at the ends of its range, the widest swing first."""
        return await self._session.get(Sensitivity, f"{_ESTIMATES}/{estimate_id}/sensitivity")

    async def sensitivity_csv(self, estimate_id: UUID) -> str:
        """The same as CSV."""
        return await self._session.text(f"{_ESTIMATES}/{estimate_id}/sensitivity")

    async def swings_svg(self, estimate_id: UUID) -> str:
        """The same as a chart, SVG."""
        return await self._session.text(f"{_ESTIMATES}/{estimate_id}/sensitivity", accept=_SVG)

    async def swings_vega_lite(self, estimate_id: UUID) -> str:
        """The same chart as a Vega-Lite specification with its data."""
        return await self._session.text(f"{_ESTIMATES}/{estimate_id}/sensitivity", accept=_VEGA_LITE)

    async def grid(self, estimate_id: UUID, question: GridQuestion) -> SensitivityGrid:
        """The total over the values of two figures."""
        return await self._session.post(
            SensitivityGrid, f"{_ESTIMATES}/{estimate_id}/sensitivity/grid", question
        )

    async def scenarios(self, estimate_id: UUID) -> ScenarioOutcomes:
        """What each scenario of an estimate comes to, and when the course then reopens."""
        return await self._session.get(ScenarioOutcomes, f"{_ESTIMATES}/{estimate_id}/scenarios")


class AsyncSimulations:
    """Simulations of estimates."""

    def __init__(self, session: AsyncSession) -> None:
        self._session = session

    async def start(self, estimate_id: UUID, request: SimulationRequest) -> Job:
        """Start a job that simulates an estimate; `finish` waits for it."""
        return await self._session.post(Job, f"{_ESTIMATES}/{estimate_id}/simulations", request)

    async def finish(
        self, job: Job, on_progress: Callable[[Job], None] | None = None, seconds: float | None = None
    ) -> Simulation:
        """The simulation of the job that was started, once it is done; see `jobs.wait`."""
        done = await AsyncJobs(self._session).wait(job.id, on_progress, seconds)
        return await self.read(SimulationStarted.model_validate(done.result).simulation_id)

    def list(self, estimate_id: UUID) -> AsyncIterator[SimulationSummary]:
        """Every simulation of an estimate, latest first."""
        return self._session.pages(SimulationSummary, f"{_ESTIMATES}/{estimate_id}/simulations")

    async def read(self, simulation_id: UUID) -> Simulation:
        """A simulation with all its figures."""
        return await self._session.get(Simulation, f"{_SIMULATIONS}/{simulation_id}")

    async def curve(self, simulation_id: UUID) -> SimulationCurve:
        """The cumulative curve of cost."""
        return await self._session.get(SimulationCurve, f"{_SIMULATIONS}/{simulation_id}/curve")

    async def curve_csv(self, simulation_id: UUID) -> str:
        """The same as CSV."""
        return await self._session.text(f"{_SIMULATIONS}/{simulation_id}/curve")

    async def curve_svg(self, simulation_id: UUID) -> str:
        """The same as a chart, SVG."""
        return await self._session.text(f"{_SIMULATIONS}/{simulation_id}/curve", accept=_SVG)

    async def curve_vega_lite(self, simulation_id: UUID) -> str:
        """The same chart as a Vega-Lite specification with its data."""
        return await self._session.text(f"{_SIMULATIONS}/{simulation_id}/curve", accept=_VEGA_LITE)

    async def contingency(self, simulation_id: UUID) -> SimulationContingency:
        """The contingency that the confidence takes, shared over the items."""
        return await self._session.get(SimulationContingency, f"{_SIMULATIONS}/{simulation_id}/contingency")

    async def contingency_csv(self, simulation_id: UUID) -> str:
        """The same as CSV."""
        return await self._session.text(f"{_SIMULATIONS}/{simulation_id}/contingency")

    async def reopening(self, simulation_id: UUID) -> SimulationReopening:
        """When the course reopens over the trials."""
        return await self._session.get(SimulationReopening, f"{_SIMULATIONS}/{simulation_id}/reopening")

    async def reopening_csv(self, simulation_id: UUID) -> str:
        """The same as CSV."""
        return await self._session.text(f"{_SIMULATIONS}/{simulation_id}/reopening")

    async def reopening_svg(self, simulation_id: UUID) -> str:
        """The same as a chart, SVG."""
        return await self._session.text(f"{_SIMULATIONS}/{simulation_id}/reopening", accept=_SVG)

    async def reopening_vega_lite(self, simulation_id: UUID) -> str:
        """The same chart as a Vega-Lite specification with its data."""
        return await self._session.text(f"{_SIMULATIONS}/{simulation_id}/reopening", accept=_VEGA_LITE)
