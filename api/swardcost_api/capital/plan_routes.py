"""HTTP operations of capital plans, their projects, and the figures of the plan as it is dated."""

from typing import Annotated
from uuid import UUID

from swardcost_model import problems
from swardcost_model.access import Role
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
from swardcost_model.paging import Page
from swardcost_model.plan_figures import (
    LeastContributionFigures,
    PlanDeferrals,
    PlanFigures,
    ProjectsFromAssets,
)
from swardcost_model.plan_timing import BestTiming, TimingQuestion, TimingTaken

from swardcost_api.capital import (
    deferrals,
    due_assets,
    least_contributions,
    plan_approval,
    plan_figures,
    plan_projects,
    plan_rows,
    plans,
    taking_years,
    timings,
)
from swardcost_api.capital.deferrals import DeferralQuestion
from swardcost_api.capital.least_contributions import ContributionQuestion
from swardcost_api.capital.plan_faces import FIGURES_FACES, deferrals_csv
from swardcost_api.capital.plan_figures import FiguresQuestion
from swardcost_api.capital.taking_years import TimedPlan
from swardcost_api.capital.timings import TimingAsked
from swardcost_api.operations import CLUB, CSV, EVERYONE, Cursor, Face, Limit, Query, Room
from swardcost_api.storage.work import UnitOfWork

room = Room(
    "Capital plans",
    "Projects of the next years, the reserve that pays for them, and what deferring them costs.",
)
PLANNERS = frozenset({Role.SUPERINTENDENT, Role.CONTROLLER, Role.OWNER})
DECIDERS = frozenset({Role.COMMITTEE, Role.OWNER})
PLANS = CLUB + "/capital-plans"
PROJECTS = CLUB + "/plan-projects"


@room.create(PLANS, "Begin a capital plan", needs=PLANNERS)
def create_capital_plan(work: UnitOfWork, data: NewPlan) -> Plan:
    """A draft: the years, the prices, and where the money comes from. Projects are added to it."""
    return plans.create_plan(work, data)


@room.read(PLANS, "List the capital plans")
def list_capital_plans(
    work: UnitOfWork,
    limit: Limit = 50,
    cursor: Cursor = None,
    status: Annotated[PlanStatus | None, Query("Only plans of this status.", example="draft")] = None,
) -> Page[PlanSummary]:
    """In the order in which they were begun."""
    return plans.list_plans(work, limit, cursor, status)


@room.read(PLANS + "/{plan_id}", "Read a capital plan")
def read_capital_plan(work: UnitOfWork, plan_id: UUID) -> Plan:
    return plan_rows.read_plan(work, plan_id)


@room.edit(
    PLANS + "/{plan_id}", "Edit a draft of a capital plan", needs=PLANNERS, problems=[problems.WRONG_STATE]
)
def change_capital_plan(work: UnitOfWork, plan_id: UUID, data: PlanChange, if_match: int) -> Plan:
    """Refused where a project of it would no longer fit its years, growth groups or criteria."""
    return plans.change_plan(work, plan_id, data, if_match)


@room.remove(
    PLANS + "/{plan_id}", "Delete a draft of a capital plan", needs=PLANNERS,
    problems=[problems.WRONG_STATE, problems.IN_USE],
)  # fmt: skip
def delete_capital_plan(work: UnitOfWork, plan_id: UUID, if_match: int) -> None:
    """With its projects; assets and estimates stay."""
    plans.delete_plan(work, plan_id, if_match)


@room.act(PLANS + "/{plan_id}/issue", "Issue a capital plan", needs=PLANNERS, problems=[problems.WRONG_STATE])
def issue_capital_plan(work: UnitOfWork, plan_id: UUID) -> Plan:
    """Ready for decision: it cannot be changed any more, and its figures rest on the assets as they stood."""
    return plan_approval.issue_plan(work, plan_id)


@room.act(PLANS + "/{plan_id}/lock", "Lock a capital plan", needs=DECIDERS, problems=[problems.WRONG_STATE])
def lock_capital_plan(work: UnitOfWork, plan_id: UUID) -> Plan:
    """Once every project of it is decided on."""
    return plan_approval.lock_plan(work, plan_id)


@room.act(
    PROJECTS + "/{plan_project_id}/decide", "Decide on a project of a capital plan", needs=DECIDERS,
    problems=[problems.WRONG_STATE],
)  # fmt: skip
def decide_plan_project(work: UnitOfWork, plan_project_id: UUID, data: NewDecision) -> PlanProject:
    """Approved, deferred or declined, with conditions; the last decision before the plan is locked holds."""
    return plan_approval.decide(work, plan_project_id, data)


@room.create(
    PLANS + "/{plan_id}/projects", "Add a project to a draft", needs=PLANNERS, problems=[problems.WRONG_STATE],
    collection=PROJECTS,
)  # fmt: skip
def create_plan_project(work: UnitOfWork, plan_id: UUID, data: NewPlanProject) -> PlanProject:
    """From assets, from an estimate, or by hand; with a year, a window, or neither."""
    return plan_projects.create_project(work, plan_id, data)


@room.act(
    PLANS + "/{plan_id}/projects/from-assets", "Add a project for each asset due within a draft", needs=PLANNERS,
    problems=[problems.WRONG_STATE],
)  # fmt: skip
def add_plan_projects_from_assets(work: UnitOfWork, plan_id: UUID) -> ProjectsFromAssets:
    """For each asset that is due within the plan, or overdue, and that no project of it replaces: named after the asset
    and dated in the year in which it is first due. Tells which assets were left out, and why."""
    return due_assets.add_projects_from_assets(work, plan_id)


@room.read(PLANS + "/{plan_id}/projects", "List the projects of a capital plan")
def list_plan_projects(
    work: UnitOfWork, plan_id: UUID, limit: Limit = 50, cursor: Cursor = None
) -> Page[PlanProject]:
    """By number."""
    return plan_projects.list_projects(work, plan_id, limit, cursor)


@room.read(PROJECTS + "/{plan_project_id}", "Read a project of a capital plan")
def read_plan_project(work: UnitOfWork, plan_project_id: UUID) -> PlanProject:
    return plan_rows.read_project(work, plan_project_id)


@room.edit(
    PROJECTS + "/{plan_project_id}", "Edit a project of a draft", needs=PLANNERS, problems=[problems.WRONG_STATE]
)  # fmt: skip
def change_plan_project(
    work: UnitOfWork, plan_project_id: UUID, data: PlanProjectChange, if_match: int
) -> PlanProject:
    return plan_projects.change_project(work, plan_project_id, data, if_match)


@room.remove(
    PROJECTS + "/{plan_project_id}", "Take a project out of a draft", needs=PLANNERS,
    problems=[problems.WRONG_STATE, problems.IN_USE],
)  # fmt: skip
def delete_plan_project(work: UnitOfWork, plan_project_id: UUID, if_match: int) -> None:
    """Refused while another project needs it first."""
    plan_projects.delete_project(work, plan_project_id, if_match)


@room.read(
    PLANS + "/{plan_id}/figures", "Show a capital plan in figures", reads=plan_figures.read_figures,
    faces=FIGURES_FACES, problems=[problems.WRONG_STATE],
)  # fmt: skip
def read_capital_plan_figures(asked: FiguresQuestion) -> PlanFigures:
    """The plan as it is dated, or as it was decided: by year what comes in, what goes out, what is left and how well
    that is funded; by project what it costs in the money of its years. As CSV the years; as a workbook all of it; as
    SVG and Vega-Lite the reserve curve, or another chart."""
    return plan_figures.figures_of(asked)


@room.read(
    PLANS + "/{plan_id}/least-contribution", "Find the least contribution", reads=least_contributions.read_question,
    problems=[problems.WRONG_STATE],
)  # fmt: skip
def read_least_contribution(asked: ContributionQuestion) -> LeastContributionFigures:
    """The least yearly contribution, level or rising, with which every year closes at or above the floor, to the minor
    unit, beside the plan's own; and which year asks for it."""
    return least_contributions.least_of(asked)


@room.ask(
    PLANS + "/{plan_id}/best-timing", "Find the best set and timing of projects", needs=EVERYONE,
    reads=timings.read_timing_question, problems=[problems.UNAVAILABLE, problems.WRONG_STATE],
)  # fmt: skip
def ask_best_timing(asked: TimingAsked) -> BestTiming:
    """Which projects to begin when, so that they are worth the most within spending limits, closure days, the floor of
    the reserve, prerequisites and partners; how near that is proven to the best, and why each one moved. Where no
    timing keeps every limit, which of them conflict. Nothing is changed."""
    return timings.best_of(asked)


@room.act(
    PLANS + "/{plan_id}/take-timing", "Take the best timing's years into a draft", needs=PLANNERS,
    reads=taking_years.read_draft_to_time, solves=taking_years.solve_years,
    problems=[problems.UNAVAILABLE, problems.WRONG_STATE],
)  # fmt: skip
def take_timing(work: UnitOfWork, plan_id: UUID, data: TimingQuestion, solved: TimedPlan) -> TimingTaken:
    """The best timing is found, and the year in which each project begins by it becomes its year; one that is not done
    has none. Projects that could not be considered keep theirs. Taking it again changes nothing. Refused where no
    timing keeps every limit, and where the plan was changed while it was solved."""
    return taking_years.take_years(work, plan_id, data, solved)


@room.read(
    PLANS + "/{plan_id}/deferrals", "Show what deferring costs", reads=deferrals.read_question,
    faces=[Face(CSV, deferrals_csv)], problems=[problems.WRONG_STATE],
)  # fmt: skip
def read_capital_plan_deferrals(asked: DeferralQuestion) -> PlanDeferrals:
    """For each dated project by itself: how much dearer the work gets, further upkeep, and interest that is kept."""
    return deferrals.deferrals_of(asked)
