"""The HTTP operation on the simulated futures of a capital plan."""

from swardcost_model import problems
from swardcost_model.plan_futures import PlanFutures

from swardcost_api.capital import futures
from swardcost_api.capital.futures import FuturesAsked
from swardcost_api.capital.futures_faces import FUTURES_FACES
from swardcost_api.capital.plan_routes import PLANS
from swardcost_api.operations import EVERYONE, Room

room = Room(
    "Futures of capital plans",
    "How probable it is that a reserve runs short, from the ranges of lives and costs, and what would be enough.",
)


@room.ask(
    PLANS + "/{plan_id}/futures", "Simulate the futures of a capital plan", needs=EVERYONE,
    reads=futures.read_futures_question, faces=FUTURES_FACES, problems=[problems.WRONG_STATE],
)  # fmt: skip
def ask_capital_plan_futures(asked: FuturesAsked) -> PlanFutures:
    """Each future draws the lives of assets, the costs of projects and, where asked, growth and interest, and counts
    the plan with them. By year: how probable it is that the reserve is below zero or its floor, and the fan of what is
    left and spent; which lives and costs decide; and what more a year would be enough. Without any range every future
    is the plan, which is said. Nothing is changed. As CSV the years; as SVG and Vega-Lite a fan, or how probable a
    shortfall is."""
    return futures.futures_of(asked)
