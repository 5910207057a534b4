"""HTTP operations on capital plans side by side: scenarios, copies, and what was not taken on."""

from uuid import UUID

from swardcost_model import problems
from swardcost_model.capital_plans import Plan
from swardcost_model.plan_deferred import PlanDeferred
from swardcost_model.plan_scenarios import PlanCopy
from swardcost_model.scenario_figures import ScenariosSideBySide

from swardcost_api.capital import not_done, plan_copies, scenarios, side_by_side
from swardcost_api.capital.counted_plans import CountedPlan
from swardcost_api.capital.plan_routes import PLANNERS, PLANS
from swardcost_api.capital.scenario_faces import SCENARIO_FACES, deferred_csv
from swardcost_api.capital.scenarios import ScenariosAsked
from swardcost_api.operations import CSV, EVERYONE, Face, Room
from swardcost_api.storage.work import UnitOfWork

room = Room(
    "Scenarios of capital plans",
    "A plan with other money, other years or without some of its projects, side by side; and copies to work on.",
)


@room.ask(
    PLANS + "/{plan_id}/scenarios", "Count scenarios side by side", needs=EVERYONE, reads=scenarios.read_scenarios,
    faces=SCENARIO_FACES, problems=[problems.UNAVAILABLE, problems.WRONG_STATE],
)  # fmt: skip
def ask_capital_plan_scenarios(asked: ScenariosAsked) -> ScenariosSideBySide:
    """The plan as dated, as decided or in its best timing, each with other contributions, loans, percentages, limits or
    projects; year by year, in sum, and beside the first. A scenario may be of another plan of the club. Nothing is
    changed. As CSV the years of every scenario; as a workbook all of it; as SVG and Vega-Lite the reserve curves."""
    return side_by_side.side_by_side(asked)


@room.read(
    PLANS + "/{plan_id}/deferred", "Show what is deferred or declined", reads=not_done.read_plan_to_defer,
    faces=[Face(CSV, deferred_csv)], problems=[problems.WRONG_STATE],
)  # fmt: skip
def read_capital_plan_deferred(counted: CountedPlan) -> PlanDeferred:
    """Projects that were deferred or declined, and those without a year: what putting each off costs until the year it
    was deferred to, or for one year where none is named; what is not spent, and further upkeep."""
    return not_done.not_done_in(counted)


@room.create(
    PLANS + "/{plan_id}/copy", "Copy a capital plan", needs=PLANNERS, collection=PLANS,
)  # fmt: skip
def copy_capital_plan(work: UnitOfWork, plan_id: UUID, data: PlanCopy) -> Plan:
    """A draft of another name with all projects of the plan, whatever its status; without decisions, so that another
    way can be worked out beside it. It goes on from no plan, and counts the assets as they stand now."""
    return plan_copies.copy_plan(work, plan_id, data)
