"""Capital plans side by side: scenarios, copies, and what is not done as dated."""

from uuid import UUID

from swardcost_model.capital_plans import Plan
from swardcost_model.plan_deferred import PlanDeferred
from swardcost_model.plan_scenarios import PlanCopy, ScenarioQuestion
from swardcost_model.scenario_figures import ScenariosSideBySide

from swardcost._sync.session import Session

_PLANS = "/v1/clubs/{club}/capital-plans"
_CSV = "text/csv"
_SVG = "image/svg+xml"
_VEGA_LITE = "application/vnd.vegalite.v6+json"
_XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


class PlanScenarios:
    """Other ways that a capital plan could go."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def ask(self, plan_id: UUID, question: ScenarioQuestion) -> ScenariosSideBySide:
        """Scenarios in figures, each beside the first; nothing is changed."""
        return self._session.post(ScenariosSideBySide, f"{_PLANS}/{plan_id}/scenarios", question)

    def ask_csv(self, plan_id: UUID, question: ScenarioQuestion) -> str:
        """The years of every scenario as CSV."""
        return (self._face(plan_id, question, _CSV)).decode()

    def ask_workbook(self, plan_id: UUID, question: ScenarioQuestion) -> bytes:
        """All of it as a workbook."""
        return self._face(plan_id, question, _XLSX)

    def chart_svg(self, plan_id: UUID, question: ScenarioQuestion) -> str:
        """The reserve curves as SVG."""
        return (self._face(plan_id, question, _SVG)).decode()

    def chart_vega_lite(self, plan_id: UUID, question: ScenarioQuestion) -> str:
        """The same chart as a Vega-Lite specification with its data."""
        return (self._face(plan_id, question, _VEGA_LITE)).decode()

    def copy(self, plan_id: UUID, copy: PlanCopy) -> Plan:
        """A draft of another name with all projects of a plan, without decisions."""
        return self._session.post(Plan, f"{_PLANS}/{plan_id}/copy", copy)

    def deferred(self, plan_id: UUID) -> PlanDeferred:
        """What is deferred, declined or not dated, and what that costs."""
        return self._session.get(PlanDeferred, f"{_PLANS}/{plan_id}/deferred")

    def deferred_csv(self, plan_id: UUID) -> str:
        """The same as CSV."""
        return self._session.text(f"{_PLANS}/{plan_id}/deferred")

    def _face(self, plan_id: UUID, question: ScenarioQuestion, media_type: str) -> bytes:
        path = f"{_PLANS}/{plan_id}/scenarios"
        return (self._session.send("POST", path, body=question, accept=media_type)).content
