"""What of an estimate is uncertain, and how far that may move its cost and the reopening."""

from collections.abc import Iterator, Callable
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

from swardcost._sync.jobs import Jobs
from swardcost._sync.session import Session

_ESTIMATES = "/v1/clubs/{club}/estimates"
_SIMULATIONS = "/v1/clubs/{club}/simulations"
_SVG = "image/svg+xml"
_VEGA_LITE = "application/vnd.vegalite.v6+json"


class Risk:
    """Uncertainty of estimates, and what follows from it with no chance in it: swings, grids and scenarios."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def uncertainty(self, estimate_id: UUID) -> Uncertainty:
        """What is uncertain of an estimate; empty until somebody says."""
        return self._session.get(Uncertainty, f"{_ESTIMATES}/{estimate_id}/uncertainty")

    def change_uncertainty(
        self, estimate_id: UUID, change: UncertaintyChange, version: int
    ) -> Uncertainty:
        """Replace the uncertainty that is still at `version`."""
        return self._session.replace(
            Uncertainty, f"{_ESTIMATES}/{estimate_id}/uncertainty", change, version
        )

    def propose(self, estimate_id: UUID) -> UncertaintyProposal:
        """Ranges from the lowest and highest prices of the edition; nothing is kept."""
        return self._session.get(
            UncertaintyProposal, f"{_ESTIMATES}/{estimate_id}/uncertainty/proposal"
        )

    def sensitivity(self, estimate_id: UUID) -> Sensitivity:
        """The total with one figure at a time at the ends of its range, the widest swing first."""
        return self._session.get(Sensitivity, f"{_ESTIMATES}/{estimate_id}/sensitivity")

    def sensitivity_csv(self, estimate_id: UUID) -> str:
        """The same as CSV."""
        return self._session.text(f"{_ESTIMATES}/{estimate_id}/sensitivity")

    def swings_svg(self, estimate_id: UUID) -> str:
        """The same as a chart, SVG."""
        return self._session.text(f"{_ESTIMATES}/{estimate_id}/sensitivity", accept=_SVG)

    def swings_vega_lite(self, estimate_id: UUID) -> str:
        """The same chart as a Vega-Lite specification with its data."""
        return self._session.text(f"{_ESTIMATES}/{estimate_id}/sensitivity", accept=_VEGA_LITE)

    def grid(self, estimate_id: UUID, question: GridQuestion) -> SensitivityGrid:
        """The total over the values of two figures."""
        return self._session.post(
            SensitivityGrid, f"{_ESTIMATES}/{estimate_id}/sensitivity/grid", question
        )

    def scenarios(self, estimate_id: UUID) -> ScenarioOutcomes:
        """What each scenario of an estimate comes to, and when the course then reopens."""
        return self._session.get(ScenarioOutcomes, f"{_ESTIMATES}/{estimate_id}/scenarios")


class Simulations:
    """Simulations of estimates."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def start(self, estimate_id: UUID, request: SimulationRequest) -> Job:
        """Start a job that simulates an estimate; `finish` waits for it."""
        return self._session.post(Job, f"{_ESTIMATES}/{estimate_id}/simulations", request)

    def finish(
        self, job: Job, on_progress: Callable[[Job], None] | None = None, seconds: float | None = None
    ) -> Simulation:
        """The simulation of the job that was started, once it is done; see `jobs.wait`."""
        done = Jobs(self._session).wait(job.id, on_progress, seconds)
        return self.read(SimulationStarted.model_validate(done.result).simulation_id)

    def list(self, estimate_id: UUID) -> Iterator[SimulationSummary]:
        """Every simulation of an estimate, latest first."""
        return self._session.pages(SimulationSummary, f"{_ESTIMATES}/{estimate_id}/simulations")

    def read(self, simulation_id: UUID) -> Simulation:
        """A simulation with all its figures."""
        return self._session.get(Simulation, f"{_SIMULATIONS}/{simulation_id}")

    def curve(self, simulation_id: UUID) -> SimulationCurve:
        """The cumulative curve of cost."""
        return self._session.get(SimulationCurve, f"{_SIMULATIONS}/{simulation_id}/curve")

    def curve_csv(self, simulation_id: UUID) -> str:
        """The same as CSV."""
        return self._session.text(f"{_SIMULATIONS}/{simulation_id}/curve")

    def curve_svg(self, simulation_id: UUID) -> str:
        """The same as a chart, SVG."""
        return self._session.text(f"{_SIMULATIONS}/{simulation_id}/curve", accept=_SVG)

    def curve_vega_lite(self, simulation_id: UUID) -> str:
        """The same chart as a Vega-Lite specification with its data."""
        return self._session.text(f"{_SIMULATIONS}/{simulation_id}/curve", accept=_VEGA_LITE)

    def contingency(self, simulation_id: UUID) -> SimulationContingency:
        """The contingency that the confidence takes, shared over the items."""
        return self._session.get(SimulationContingency, f"{_SIMULATIONS}/{simulation_id}/contingency")

    def contingency_csv(self, simulation_id: UUID) -> str:
        """The same as CSV."""
        return self._session.text(f"{_SIMULATIONS}/{simulation_id}/contingency")

    def reopening(self, simulation_id: UUID) -> SimulationReopening:
        """When the course reopens over the trials."""
        return self._session.get(SimulationReopening, f"{_SIMULATIONS}/{simulation_id}/reopening")

    def reopening_csv(self, simulation_id: UUID) -> str:
        """The same as CSV."""
        return self._session.text(f"{_SIMULATIONS}/{simulation_id}/reopening")

    def reopening_svg(self, simulation_id: UUID) -> str:
        """The same as a chart, SVG."""
        return self._session.text(f"{_SIMULATIONS}/{simulation_id}/reopening", accept=_SVG)

    def reopening_vega_lite(self, simulation_id: UUID) -> str:
        """The same chart as a Vega-Lite specification with its data."""
        return self._session.text(f"{_SIMULATIONS}/{simulation_id}/reopening", accept=_VEGA_LITE)
