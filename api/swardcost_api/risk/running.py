"""Simulating an estimate: a job that draws and prices the trials, and keeps what came of them with its own end."""

from collections.abc import Iterator
from typing import Any
from uuid import UUID

from pydantic import BaseModel
from sqlalchemy import Row, insert, select
from swardcost_model import problems
from swardcost_model.access import Club
from swardcost_model.jobs import Job
from swardcost_model.paging import Page
from swardcost_model.problems import ProblemError
from swardcost_model.simulations import (
    Simulation,
    SimulationContingency,
    SimulationCurve,
    SimulationReopening,
    SimulationRequest,
    SimulationStarted,
    SimulationSummary,
)
from swardcost_model.uncertainty import UncertaintyFields

from swardcost_api.access.service import read_club, record
from swardcost_api.engine.risk.influence import Influence, drawn_again, influences
from swardcost_api.engine.risk.sampling import BLOCK
from swardcost_api.engine.risk.simulated_hire import HireShare
from swardcost_api.engine.risk.simulated_lines import simulate
from swardcost_api.engine.risk.whole_figures import Ints
from swardcost_api.estimates.service import read_estimate
from swardcost_api.jobs.service import Attempt, JobKind, start_job
from swardcost_api.risk.fitting import Fitted, refusing_what_cannot_be
from swardcost_api.risk.reopening import ReopeningQuestion, Tell, read_reopening, reopening_in_trials
from swardcost_api.risk.stated import fitted_uncertainty
from swardcost_api.risk.tables import SimulationRow
from swardcost_api.risk.telling import Run, told_figures
from swardcost_api.storage.paging import read_page
from swardcost_api.storage.rows import by_id, read_row
from swardcost_api.storage.work import UnitOfWork

SLOW_BLOCK = 1_000
"""Trials at once where each is priced by itself, so that a job that is cancelled ends soon."""

_SUMMARY = (
    SimulationRow.id, SimulationRow.estimate_id, SimulationRow.seed, SimulationRow.trials, SimulationRow.created_at,
    SimulationRow.created_by, SimulationRow.asked["request"].label("request"),
    SimulationRow.found["summary"].label("summary"),
)  # fmt: skip
_SIMULATION_BY_ID = by_id(SimulationRow, list(SimulationRow.__table__.c))


class SimulationOrder(BaseModel):
    """What is asked of a simulation."""

    estimate_id: UUID
    request: SimulationRequest


def start_simulation(work: UnitOfWork, estimate_id: UUID, request: SimulationRequest) -> Job:
    """Start a job that simulates an estimate with its uncertainty as it is then.

    Raises `wrong-state` where nothing is uncertain yet, or as `fitted_uncertainty` does.
    """
    _refuse_certain(fitted_uncertainty(work, estimate_id))
    order = SimulationOrder(estimate_id=estimate_id, request=request)
    return start_job(work, SIMULATION_JOB.name, order.model_dump(mode="json"), trials=request.trials)


def run_simulation(attempt: Attempt) -> None:
    """Simulate what a job was started for; all that it rests on is read again here, at one moment."""
    order = SimulationOrder.model_validate(attempt.arguments)
    with attempt.transactions.reading() as work:
        fitted, club = fitted_uncertainty(work, order.estimate_id), read_club(work)
        reopening = read_reopening(work, fitted.repriced)
    _refuse_certain(fitted)
    found = simulated(fitted, reopening, order.request, club, attempt.progress)

    def keep(work: UnitOfWork) -> SimulationStarted:
        return SimulationStarted(simulation_id=_keep(work, order, fitted, found))

    attempt.end(keep)


SIMULATION_JOB = JobKind("simulation", run_simulation)


def simulated(
    fitted: Fitted, reopening: ReopeningQuestion, request: SimulationRequest, club: Club, tell: Tell
) -> dict[str, Any]:
    """What the trials say, as it is kept. The same uncertainty and request give the same.

    Raises `invalid-values` where some trial comes to what no estimate can be.
    """
    seed, trials = request.seed, request.trials
    tell(0, trials, "trial", "pricing")
    with refusing_what_cannot_be():
        priced = simulate(
            fitted.trials.estimate, fitted.costs, fitted.events, seed=seed, trials=trials, block=_block(fitted),
            told=lambda done: tell(done, trials, "trial", "pricing"),
        )  # fmt: skip
        opens = reopening_in_trials(reopening, fitted, seed, trials, club, tell)
    run = Run(fitted, request, priced, _influences(fitted, priced.totals, seed, tell))
    return told_figures(run, opens, club)


def _influences(fitted: Fitted, totals: Ints, seed: int, tell: Tell) -> tuple[Influence, ...]:
    used = [one for one in fitted.costs if one.name in fitted.trials.estimate.factor_names]

    def drawn() -> Iterator[tuple[str, Any]]:
        for name, values in drawn_again(used, fitted.events, seed=seed, trials=totals.size):
            tell(totals.size, totals.size, "trial", "influences")
            yield name, values

    return influences(drawn(), totals)


def _block(fitted: Fitted) -> int:
    """Trials at once: few where machines are shared, since those are hired for each trial by itself."""
    alone = any(isinstance(line.cost, HireShare) for line in fitted.trials.estimate.lines)
    return SLOW_BLOCK if alone else BLOCK


def _refuse_certain(fitted: Fitted) -> None:
    if not fitted.stated.figures and not fitted.stated.events:
        raise ProblemError(
            problems.WRONG_STATE,
            "Nothing of this estimate is said to be uncertain; write down its ranges and events first.",
        )


def _keep(work: UnitOfWork, order: SimulationOrder, fitted: Fitted, found: dict[str, Any]) -> UUID:
    simulation_id = work.new_id()
    asked = {
        "request": order.request.model_dump(mode="json"),
        "uncertainty": fitted.stated.model_dump(mode="json"),
    }
    work.session.execute(
        insert(SimulationRow).values(
            club_id=work.club_id, id=simulation_id, estimate_id=order.estimate_id, seed=order.request.seed,
            trials=order.request.trials, asked=asked, found=found, created_at=work.now, created_by=work.caller.name,
        )
    )  # fmt: skip
    after = {"estimate_id": str(order.estimate_id), **asked["request"], **found["summary"]}
    record(work, "run", "simulation", simulation_id, after=after)
    return simulation_id


def list_simulations(
    work: UnitOfWork, estimate_id: UUID, limit: int, cursor: str | None
) -> Page[SimulationSummary]:
    """The simulations of an estimate, latest first. Raises `not-found`."""
    read_estimate(work, estimate_id)
    statement = select(*_SUMMARY).where(
        SimulationRow.club_id == work.club_id, SimulationRow.estimate_id == estimate_id
    )
    rows, following = read_page(work, statement, (SimulationRow.id,), limit, cursor, descending=True)
    return Page[SimulationSummary](items=[_summary_of(row) for row in rows], next=following)


def read_simulation(work: UnitOfWork, simulation_id: UUID) -> Simulation:
    """A simulation with all that came of it. Raises `not-found`."""
    row = read_row(work, _SIMULATION_BY_ID, simulation_id, "simulation")
    return Simulation(
        id=row.id, estimate_id=row.estimate_id, request=SimulationRequest(**row.asked["request"]),
        uncertainty=UncertaintyFields(**row.asked["uncertainty"]), created_at=row.created_at,
        created_by=row.created_by, figures=row.found["figures"],
    )  # fmt: skip


def read_curve(work: UnitOfWork, simulation_id: UUID) -> SimulationCurve:
    """The cumulative curve alone. Raises `not-found`."""
    found = read_simulation(work, simulation_id)
    return SimulationCurve(
        simulation_id=found.id, seed=found.request.seed, trials=found.request.trials,
        estimate_total=found.figures.estimate_total, percentiles=found.figures.percentiles,
        curve=found.figures.curve,
    )  # fmt: skip


def read_simulated_reopening(work: UnitOfWork, simulation_id: UUID) -> SimulationReopening:
    """When the course reopens. Raises `not-found`, and `wrong-state`, with the reason, for a simulation that could not
    tell."""
    found = read_simulation(work, simulation_id)
    if found.figures.reopening is None:
        raise ProblemError(
            problems.WRONG_STATE,
            f"This simulation does not tell when the course reopens. {found.figures.no_reopening_because}",
        )
    return SimulationReopening(
        simulation_id=found.id, seed=found.request.seed, trials=found.request.trials,
        **dict(found.figures.reopening),
    )  # fmt: skip


def read_contingency(work: UnitOfWork, simulation_id: UUID) -> SimulationContingency:
    """The contingency alone. Raises `not-found`."""
    found = read_simulation(work, simulation_id)
    return SimulationContingency(
        simulation_id=found.id, base=found.figures.base, **dict(found.figures.contingency)
    )


def _summary_of(row: Row[*tuple[Any, ...]]) -> SimulationSummary:
    return SimulationSummary(
        id=row.id, estimate_id=row.estimate_id, seed=row.seed, trials=row.trials,
        confidence_percent=row.request["confidence_percent"], created_at=row.created_at, created_by=row.created_by,
        mean=row.summary["mean"], p80=row.summary["p80"],
    )  # fmt: skip
