"""Projects, scope and estimates."""

from collections.abc import AsyncIterator, Sequence
from uuid import UUID

from swardcost_model.course_map import ProjectMap
from swardcost_model.estimate_alternates import EstimateAlternates
from swardcost_model.estimate_bridge import EstimateBridge
from swardcost_model.estimate_quality import Basis, BasisChange, EstimateQuality
from swardcost_model.estimate_views import EstimateTree, SubtotalTable
from swardcost_model.estimates import (
    Decision,
    Estimate,
    EstimateLine,
    EstimateLineDetail,
    EstimateLineList,
    EstimateRevision,
    EstimateStatus,
    EstimateSummary,
    IssueRequest,
    NewEstimate,
    ProjectTakeOff,
    TakeOff,
)
from swardcost_model.price_moves import EditionExposure
from swardcost_model.projects import (
    NewProject,
    NewScopeItem,
    Project,
    ProjectChange,
    ScopeItem,
    ScopeItemChange,
)

from swardcost._async.session import AsyncSession

_CLUB = "/v1/clubs/{club}"


class AsyncProjects:
    """Projects of the club."""

    def __init__(self, session: AsyncSession) -> None:
        self._session = session

    async def create(self, new: NewProject) -> Project:
        """Open a project."""
        return await self._session.post(Project, f"{_CLUB}/projects", new)

    def list(self) -> AsyncIterator[Project]:
        """Every project."""
        return self._session.pages(Project, f"{_CLUB}/projects")

    async def read(self, project_id: UUID) -> Project:
        """One project."""
        return await self._session.get(Project, f"{_CLUB}/projects/{project_id}")

    async def change(self, project_id: UUID, change: ProjectChange, version: int) -> Project:
        """Replace the project that is still at `version`."""
        return await self._session.replace(Project, f"{_CLUB}/projects/{project_id}", change, version)

    async def map(self, project_id: UUID) -> ProjectMap:
        """The areas of the scope with their outlines and their shares of what the scope takes."""
        return await self._session.get(ProjectMap, f"{_CLUB}/projects/{project_id}/map")

    async def map_geojson(self, project_id: UUID) -> str:
        """The same as GeoJSON text."""
        return await self._session.text(f"{_CLUB}/projects/{project_id}/map", accept="application/geo+json")

    async def delete(self, project_id: UUID, version: int) -> None:
        """Delete a project without scope and estimates."""
        await self._session.remove(f"{_CLUB}/projects/{project_id}", version)

    async def take_off(self, project_id: UUID, alternate_ids: Sequence[UUID] = ()) -> ProjectTakeOff:
        """All measures of the whole scope, with these alternates taken, and their sums."""
        return await self._session.get(
            ProjectTakeOff,
            f"{_CLUB}/projects/{project_id}/take-off",
            alternate_ids=list(alternate_ids) or None,
        )


class AsyncScopeItems:
    """Scope of a project."""

    def __init__(self, session: AsyncSession) -> None:
        self._session = session

    async def create(self, project_id: UUID, new: NewScopeItem) -> ScopeItem:
        """Add a scope item at the end of the scope."""
        return await self._session.post(ScopeItem, f"{_CLUB}/projects/{project_id}/scope-items", new)

    def list(self, project_id: UUID) -> AsyncIterator[ScopeItem]:
        """The whole scope, in order."""
        return self._session.pages(ScopeItem, f"{_CLUB}/projects/{project_id}/scope-items")

    async def read(self, scope_item_id: UUID) -> ScopeItem:
        """One scope item."""
        return await self._session.get(ScopeItem, f"{_CLUB}/scope-items/{scope_item_id}")

    async def change(self, scope_item_id: UUID, change: ScopeItemChange, version: int) -> ScopeItem:
        """Replace the scope item that is still at `version`."""
        return await self._session.replace(ScopeItem, f"{_CLUB}/scope-items/{scope_item_id}", change, version)

    async def delete(self, scope_item_id: UUID, version: int) -> None:
        """Take a scope item out of the scope."""
        await self._session.remove(f"{_CLUB}/scope-items/{scope_item_id}", version)

    async def take_off(self, scope_item_id: UUID) -> TakeOff:
        """All measures of a scope item with their derivations."""
        return await self._session.get(TakeOff, f"{_CLUB}/scope-items/{scope_item_id}/take-off")


class AsyncEstimates:
    """Estimates from pricing to decision."""

    def __init__(self, session: AsyncSession) -> None:
        self._session = session

    async def create(self, project_id: UUID, new: NewEstimate) -> Estimate:
        """Price a project's scope as it stands now."""
        return await self._session.post(Estimate, f"{_CLUB}/projects/{project_id}/estimates", new)

    def list(
        self, project_id: UUID | None = None, status: EstimateStatus | None = None
    ) -> AsyncIterator[EstimateSummary]:
        """Every estimate; all, or those of a project or in a state."""
        return self._session.pages(
            EstimateSummary, f"{_CLUB}/estimates", project_id=project_id, status=status
        )

    async def read(self, estimate_id: UUID) -> Estimate:
        """One estimate, without its lines."""
        return await self._session.get(Estimate, f"{_CLUB}/estimates/{estimate_id}")

    def lines(self, estimate_id: UUID) -> AsyncIterator[EstimateLine]:
        """Every line, page by page."""
        return self._session.pages(EstimateLine, f"{_CLUB}/estimates/{estimate_id}/lines")

    async def explain(self, estimate_id: UUID, number: int) -> EstimateLineDetail:
        """A line with its derivation and its shares by area."""
        return await self._session.get(EstimateLineDetail, f"{_CLUB}/estimates/{estimate_id}/lines/{number}")

    async def export(self, estimate_id: UUID) -> EstimateLineList:
        """All lines at once."""
        return await self._session.get(EstimateLineList, f"{_CLUB}/estimates/{estimate_id}/export")

    async def export_csv(self, estimate_id: UUID) -> str:
        """All lines as CSV."""
        return await self._session.text(f"{_CLUB}/estimates/{estimate_id}/export")

    async def alternates(self, estimate_id: UUID) -> EstimateAlternates:
        """What each alternate of the project changes in an estimate, line by line."""
        return await self._session.get(EstimateAlternates, f"{_CLUB}/estimates/{estimate_id}/alternates")

    async def alternates_csv(self, estimate_id: UUID) -> str:
        """The same as CSV."""
        return await self._session.text(f"{_CLUB}/estimates/{estimate_id}/alternates")

    async def basis(self, estimate_id: UUID) -> Basis:
        """What an estimate is for, and what it rests on."""
        return await self._session.get(Basis, f"{_CLUB}/estimates/{estimate_id}/basis")

    async def change_basis(self, estimate_id: UUID, change: BasisChange, version: int) -> Basis:
        """Replace the basis of a draft that is still at `version`."""
        return await self._session.replace(Basis, f"{_CLUB}/estimates/{estimate_id}/basis", change, version)

    async def quality(self, estimate_id: UUID) -> EstimateQuality:
        """The checklist, doubtful prices, and where the prices come from."""
        return await self._session.get(EstimateQuality, f"{_CLUB}/estimates/{estimate_id}/quality")

    async def exposure(self, estimate_id: UUID, edition_id: UUID) -> EditionExposure:
        """What another edition would change in it."""
        return await self._session.get(
            EditionExposure, f"{_CLUB}/estimates/{estimate_id}/exposure", edition_id=edition_id
        )

    async def subtotals(self, estimate_id: UUID, by: str) -> SubtotalTable:
        """Direct cost by headings, named with commas between: ``"hole,month"``."""
        return await self._session.get(SubtotalTable, f"{_CLUB}/estimates/{estimate_id}/subtotals", by=by)

    async def subtotals_csv(self, estimate_id: UUID, by: str) -> str:
        """The same as CSV."""
        return await self._session.text(f"{_CLUB}/estimates/{estimate_id}/subtotals", by=by)

    async def tree(self, estimate_id: UUID, by: str | None = None) -> EstimateTree:
        """Direct cost as a tree that can be folded at any depth."""
        return await self._session.get(EstimateTree, f"{_CLUB}/estimates/{estimate_id}/tree", by=by)

    async def bridge(self, estimate_id: UUID, from_estimate_id: UUID) -> EstimateBridge:
        """Why it differs from another: price, quantity, scope and markups, summing to the difference."""
        return await self._session.get(
            EstimateBridge, f"{_CLUB}/estimates/{estimate_id}/bridge", from_estimate_id=from_estimate_id
        )

    async def revise(self, estimate_id: UUID, revision: EstimateRevision) -> Estimate:
        """Price the scope again as the next revision."""
        return await self._session.post(Estimate, f"{_CLUB}/estimates/{estimate_id}/revisions", revision)

    async def issue(self, estimate_id: UUID, incomplete_because: str | None = None) -> Estimate:
        """Make a draft ready for decision; one with gaps needs a reason."""
        request = IssueRequest(incomplete_because=incomplete_because)
        return await self._session.post(Estimate, f"{_CLUB}/estimates/{estimate_id}/issue", request)

    async def accept(self, estimate_id: UUID, note: str = "") -> Estimate:
        """Accept an issued estimate; `budget_id` of the answer is the budget it opened."""
        return await self._session.post(
            Estimate, f"{_CLUB}/estimates/{estimate_id}/accept", Decision(note=note)
        )

    async def decline(self, estimate_id: UUID, note: str = "") -> Estimate:
        """Decline an issued estimate."""
        return await self._session.post(
            Estimate, f"{_CLUB}/estimates/{estimate_id}/decline", Decision(note=note)
        )
