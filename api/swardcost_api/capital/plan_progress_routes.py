"""HTTP operations on locked plans: projects opened and finished, their money beside the plan, and the next plan."""

from uuid import UUID

from swardcost_model import problems
from swardcost_model.capital_plans import PlanProject
from swardcost_model.plan_progress import NewCompletion, OpenedProject, PlanStanding, ProjectOpening
from swardcost_model.plan_succession import ContinuedPlan, NextPlan, PlanMoves

from swardcost_api.capital import next_plan, opened_projects, plan_moves, plan_standing
from swardcost_api.capital.move_causes import BothPlans
from swardcost_api.capital.plan_progress_faces import MOVES_FACES, STANDING_FACES
from swardcost_api.capital.plan_routes import PLANNERS, PLANS, PROJECTS
from swardcost_api.capital.plan_standing import StandingQuestion
from swardcost_api.operations import Room
from swardcost_api.storage.work import UnitOfWork

room = Room(
    "Progress of capital plans",
    "What approved projects are opened as, what they cost so far, and the plan of the next year with what moved.",
)


@room.act(
    PROJECTS + "/{plan_project_id}/open", "Open an approved project", needs=PLANNERS,
    problems=[problems.WRONG_STATE, problems.DUPLICATE],
)  # fmt: skip
def open_plan_project(work: UnitOfWork, plan_project_id: UUID, data: ProjectOpening) -> OpenedProject:
    """As the project of its estimate, which is accepted where it is issued, so that its budget is opened; as a project
    that is named; or as a new one, with a scope item begun for each of its assets whose size is known. Says what is
    left to do until there is a budget."""
    return opened_projects.open_project(work, plan_project_id, data)


@room.act(
    PROJECTS + "/{plan_project_id}/withdraw-opening", "Withdraw the opening of a project", needs=PLANNERS,
    problems=[problems.WRONG_STATE],
)  # fmt: skip
def withdraw_plan_project_opening(work: UnitOfWork, plan_project_id: UUID) -> PlanProject:
    """It can be opened as another; the club's project, its estimates and its budget stay as they are."""
    return opened_projects.withdraw_opening(work, plan_project_id)


@room.act(
    PROJECTS + "/{plan_project_id}/complete", "Finish an opened project", needs=PLANNERS,
    problems=[problems.WRONG_STATE],
)  # fmt: skip
def complete_plan_project(work: UnitOfWork, plan_project_id: UUID, data: NewCompletion) -> PlanProject:
    """Its assets begin a new life, and what it cost so far is kept with it; the next plan does not carry it on."""
    return opened_projects.complete_project(work, plan_project_id, data)


@room.read(
    PLANS + "/{plan_id}/standing", "Show a locked plan beside the money of its projects",
    reads=plan_standing.read_standing, faces=STANDING_FACES, problems=[problems.WRONG_STATE],
)  # fmt: skip
def read_capital_plan_standing(asked: StandingQuestion) -> PlanStanding:
    """What was planned, what is estimated, budgeted, posted, accrued and to come of every project, and what that leaves
    in the reserve year by year. As CSV the projects; as a workbook all of it; as SVG and Vega-Lite the reserve as
    planned and as expected."""
    return plan_standing.standing_of(asked)


@room.act(
    PLANS + "/{plan_id}/continue", "Begin the plan that follows", needs=PLANNERS,
    problems=[problems.WRONG_STATE, problems.DUPLICATE],
)  # fmt: skip
def continue_capital_plan(work: UnitOfWork, plan_id: UUID, data: NextPlan) -> ContinuedPlan:
    """A draft that goes on from a locked plan: same prices, incomes and loans; deferred projects in their new years,
    projects under way with what is to come of their budgets, without those finished or declined."""
    return next_plan.continue_plan(work, plan_id, data)


@room.read(
    PLANS + "/{plan_id}/moves", "Show what moved since the plan before", reads=plan_moves.read_both,
    faces=MOVES_FACES, problems=[problems.WRONG_STATE],
)  # fmt: skip
def read_capital_plan_moves(plans: BothPlans) -> PlanMoves:
    """Project by project what year and cost it had and has, why, and what that changes; year by year what is left in
    the reserve beside what was to be left, and what makes the difference."""
    return plan_moves.moves_of(plans)
