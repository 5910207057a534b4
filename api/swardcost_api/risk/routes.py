"""HTTP operations of uncertainty, simulations and sensitivity."""

from uuid import UUID

from swardcost_model import problems
from swardcost_model.access import Role
from swardcost_model.jobs import Job
from swardcost_model.paging import Page
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
    SimulationSummary,
)
from swardcost_model.uncertainty import Uncertainty, UncertaintyChange, UncertaintyProposal

from swardcost_api.operations import CLUB, CSV, EVERYONE, Cursor, Face, Limit, Room
from swardcost_api.risk import running, service, what_if
from swardcost_api.risk.faces import CURVE_FACES, REOPENING_FACES, SENSITIVITY_FACES, contingency_csv
from swardcost_api.risk.fitting import Fitted
from swardcost_api.storage.work import UnitOfWork

room = Room(
    "Risk", "What of an estimate is uncertain, how far it may move the cost and the reopening, and by what."
)
PLANNERS = frozenset({Role.SUPERINTENDENT, Role.OWNER})

ESTIMATE = CLUB + "/estimates/{estimate_id}"
SIMULATIONS = CLUB + "/simulations"


@room.read(ESTIMATE + "/uncertainty", "Read what is uncertain of an estimate")
def read_uncertainty(work: UnitOfWork, estimate_id: UUID) -> Uncertainty:
    """Empty until somebody says; a revision begins with that of the revision before."""
    return service.read_uncertainty(work, estimate_id)


@room.edit(
    ESTIMATE + "/uncertainty", "Say what is uncertain of an estimate", needs=PLANNERS,
    problems=[problems.WRONG_STATE],
)  # fmt: skip
def change_uncertainty(
    work: UnitOfWork, estimate_id: UUID, data: UncertaintyChange, if_match: int
) -> Uncertainty:
    """Ranges of prices, quantities, paces and durations, events, and scenarios.

    Open for every estimate that is not superseded or declined: its figures stay as they are, and so do simulations
    that were run. Refused for a figure that moves nothing, and for a second one of a kind on the same resource.
    """
    return service.change_uncertainty(work, estimate_id, data, if_match)


@room.read(
    ESTIMATE + "/uncertainty/proposal", "Propose ranges for an estimate", problems=[problems.WRONG_STATE]
)
def propose_uncertainty(work: UnitOfWork, estimate_id: UUID) -> UncertaintyProposal:
    """From the lowest and highest prices of the edition; nothing is kept until it is sent as the uncertainty."""
    return service.propose_uncertainty(work, estimate_id)


@room.start(
    ESTIMATE + "/simulations", "Simulate an estimate", needs=PLANNERS, starts=running.SIMULATION_JOB,
    problems=[problems.WRONG_STATE],
)  # fmt: skip
def start_simulation(work: UnitOfWork, estimate_id: UUID, data: SimulationRequest) -> Job:
    """Prices the estimate in every trial, with all that is uncertain drawn from the seed, by the estimate's own rules.

    The job's result is the simulation's id, as `simulation_id`. The same seed and uncertainty give the same figures.
    """
    return running.start_simulation(work, estimate_id, data)


@room.read(ESTIMATE + "/simulations", "List the simulations of an estimate")
def list_simulations(
    work: UnitOfWork, estimate_id: UUID, limit: Limit = 50, cursor: Cursor = None
) -> Page[SimulationSummary]:
    """Latest first."""
    return running.list_simulations(work, estimate_id, limit, cursor)


@room.read(SIMULATIONS + "/{simulation_id}", "Read a simulation")
def read_simulation(work: UnitOfWork, simulation_id: UUID) -> Simulation:
    """Percentiles with their sampling error, the contingency for the confidence asked for, what moves the total, and
    when the course reopens; with the uncertainty as it was."""
    return running.read_simulation(work, simulation_id)


@room.read(
    SIMULATIONS + "/{simulation_id}/curve", "Read the cumulative curve of a simulation",
    faces=CURVE_FACES,
)  # fmt: skip
def read_simulation_curve(work: UnitOfWork, simulation_id: UUID) -> SimulationCurve:
    """At 101 points, from the least trial to the greatest."""
    return running.read_curve(work, simulation_id)


@room.read(
    SIMULATIONS + "/{simulation_id}/reopening", "Read the reopening of a simulation",
    faces=REOPENING_FACES, problems=[problems.WRONG_STATE],
)  # fmt: skip
def read_simulation_reopening(work: UnitOfWork, simulation_id: UUID) -> SimulationReopening:
    """By which day how many of the trials are open again."""
    return running.read_simulated_reopening(work, simulation_id)


@room.read(
    SIMULATIONS + "/{simulation_id}/contingency", "Read the contingency of a simulation",
    faces=[Face(CSV, contingency_csv)],
)  # fmt: skip
def read_simulation_contingency(work: UnitOfWork, simulation_id: UUID) -> SimulationContingency:
    """What the estimate carries, what the confidence takes, and that shared over the items; the parts sum to it."""
    return running.read_contingency(work, simulation_id)


@room.read(
    ESTIMATE + "/sensitivity", "Show what moves an estimate", reads=service.fitted_uncertainty,
    faces=SENSITIVITY_FACES, problems=[problems.WRONG_STATE, problems.INVALID_VALUES],
)  # fmt: skip
def read_sensitivity(known: Fitted) -> Sensitivity:
    """One figure or event at a time, the widest swing first."""
    return what_if.sensitivity_of(known)


@room.ask(
    ESTIMATE + "/sensitivity/grid", "Show two uncertain figures together", needs=EVERYONE,
    problems=[problems.WRONG_STATE],
)  # fmt: skip
def ask_sensitivity_grid(work: UnitOfWork, estimate_id: UUID, data: GridQuestion) -> SensitivityGrid:
    """The total over up to eleven values of each, all else likely."""
    return what_if.grid_of(work, estimate_id, data)


@room.read(
    ESTIMATE + "/scenarios", "Show the scenarios of an estimate", reads=what_if.read_scenarios,
    problems=[problems.WRONG_STATE, problems.INVALID_VALUES, problems.UNAVAILABLE],
)  # fmt: skip
def read_scenarios(known: what_if.ScenarioQuestion) -> ScenarioOutcomes:
    """What each comes to, by what it moves, and when the course then reopens; all else as estimated."""
    return what_if.scenarios_of(known)
