"""Projects, scope and estimates."""

from collections.abc import Iterator, Sequence
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

from swardcost._sync.session import Session

_CLUB = "/v1/clubs/{club}"


class Projects:
    """Projects of the club."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def create(self, new: NewProject) -> Project:
        """Open a project."""
        return self._session.post(Project, f"{_CLUB}/projects", new)

    def list(self) -> Iterator[Project]:
        """Every project."""
        return self._session.pages(Project, f"{_CLUB}/projects")

    def read(self, project_id: UUID) -> Project:
        """One project."""
        return self._session.get(Project, f"{_CLUB}/projects/{project_id}")

    def change(self, project_id: UUID, change: ProjectChange, version: int) -> Project:
        """Replace the project that is still at `version`."""
        return self._session.replace(Project, f"{_CLUB}/projects/{project_id}", change, version)

    def map(self, project_id: UUID) -> ProjectMap:
        """The areas of the scope with their outlines and their shares of what the scope takes."""
        return self._session.get(ProjectMap, f"{_CLUB}/projects/{project_id}/map")

    def map_geojson(self, project_id: UUID) -> str:
        """The same as GeoJSON text."""
        return self._session.text(f"{_CLUB}/projects/{project_id}/map", accept="application/geo+json")

    def delete(self, project_id: UUID, version: int) -> None:
        """Delete a project without scope and estimates."""
        self._session.remove(f"{_CLUB}/projects/{project_id}", version)

    def take_off(self, project_id: UUID, alternate_ids: Sequence[UUID] = ()) -> ProjectTakeOff:
        """All measures of the whole scope, with these alternates taken, and their sums."""
        return self._session.get(
            ProjectTakeOff,
            f"{_CLUB}/projects/{project_id}/take-off",
            alternate_ids=list(alternate_ids) or None,
        )


class ScopeItems:
    """Scope of a project."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def create(self, project_id: UUID, new: NewScopeItem) -> ScopeItem:
        """Add a scope item at the end of the scope."""
        return self._session.post(ScopeItem, f"{_CLUB}/projects/{project_id}/scope-items", new)

    def list(self, project_id: UUID) -> Iterator[ScopeItem]:
        """The whole scope, in order."""
        return self._session.pages(ScopeItem, f"{_CLUB}/projects/{project_id}/scope-items")

    def read(self, scope_item_id: UUID) -> ScopeItem:
        """One scope item."""
        return self._session.get(ScopeItem, f"{_CLUB}/scope-items/{scope_item_id}")

    def change(self, scope_item_id: UUID, change: ScopeItemChange, version: int) -> ScopeItem:
        """Replace the scope item that is still at `version`."""
        return self._session.replace(ScopeItem, f"{_CLUB}/scope-items/{scope_item_id}", change, version)

    def delete(self, scope_item_id: UUID, version: int) -> None:
        """Take a scope item out of the scope."""
        self._session.remove(f"{_CLUB}/scope-items/{scope_item_id}", version)

    def take_off(self, scope_item_id: UUID) -> TakeOff:
        """All measures of a scope item with their derivations."""
        return self._session.get(TakeOff, f"{_CLUB}/scope-items/{scope_item_id}/take-off")


class Estimates:
    """Estimates from pricing to decision."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def create(self, project_id: UUID, new: NewEstimate) -> Estimate:
        """Price a project's scope as it stands now."""
        return self._session.post(Estimate, f"{_CLUB}/projects/{project_id}/estimates", new)

    def list(
        self, project_id: UUID | None = None, status: EstimateStatus | None = None
    ) -> Iterator[EstimateSummary]:
        """Every estimate; all, or those of a project or in a state."""
        return self._session.pages(
            EstimateSummary, f"{_CLUB}/estimates", project_id=project_id, status=status
        )

    def read(self, estimate_id: UUID) -> Estimate:
        """One estimate, without its lines."""
        return self._session.get(Estimate, f"{_CLUB}/estimates/{estimate_id}")

    def lines(self, estimate_id: UUID) -> Iterator[EstimateLine]:
        """Every line, page by page."""
        return self._session.pages(EstimateLine, f"{_CLUB}/estimates/{estimate_id}/lines")

    def explain(self, estimate_id: UUID, number: int) -> EstimateLineDetail:
        """A line with its derivation and its shares by area."""
        return self._session.get(EstimateLineDetail, f"{_CLUB}/estimates/{estimate_id}/lines/{number}")

    def export(self, estimate_id: UUID) -> EstimateLineList:
        """All lines at once."""
        return self._session.get(EstimateLineList, f"{_CLUB}/estimates/{estimate_id}/export")

    def export_csv(self, estimate_id: UUID) -> str:
        """All lines as CSV."""
        return self._session.text(f"{_CLUB}/estimates/{estimate_id}/export")

    def alternates(self, estimate_id: UUID) -> EstimateAlternates:
        """What each alternate of the project changes in an estimate, line by line."""
        return self._session.get(EstimateAlternates, f"{_CLUB}/estimates/{estimate_id}/alternates")

    def alternates_csv(self, estimate_id: UUID) -> str:
        """The same as CSV."""
        return self._session.text(f"{_CLUB}/estimates/{estimate_id}/alternates")

    def basis(self, estimate_id: UUID) -> Basis:
        """What an estimate is for, and what it rests on."""
        return self._session.get(Basis, f"{_CLUB}/estimates/{estimate_id}/basis")

    def change_basis(self, estimate_id: UUID, change: BasisChange, version: int) -> Basis:
        """Replace the basis of a draft that is still at `version`."""
        return self._session.replace(Basis, f"{_CLUB}/estimates/{estimate_id}/basis", change, version)

    def quality(self, estimate_id: UUID) -> EstimateQuality:
        """The checklist, doubtful prices, and where the prices come from."""
        return self._session.get(EstimateQuality, f"{_CLUB}/estimates/{estimate_id}/quality")

    def exposure(self, estimate_id: UUID, edition_id: UUID) -> EditionExposure:
        """What another edition would change in it."""
        return self._session.get(
            EditionExposure, f"{_CLUB}/estimates/{estimate_id}/exposure", edition_id=edition_id
        )

    def subtotals(self, estimate_id: UUID, by: str) -> SubtotalTable:
        """Direct cost by headings, named with commas between: ``"hole,month"``."""
        return self._session.get(SubtotalTable, f"{_CLUB}/estimates/{estimate_id}/subtotals", by=by)

    def subtotals_csv(self, estimate_id: UUID, by: str) -> str:
        """The same as CSV."""
        return self._session.text(f"{_CLUB}/estimates/{estimate_id}/subtotals", by=by)

    def tree(self, estimate_id: UUID, by: str | None = None) -> EstimateTree:
        """Direct cost as a tree that can be folded at any depth."""
        return self._session.get(EstimateTree, f"{_CLUB}/estimates/{estimate_id}/tree", by=by)

    def bridge(self, estimate_id: UUID, from_estimate_id: UUID) -> EstimateBridge:
        """Why it differs from another: price, quantity, scope and markups, summing to the difference."""
        return self._session.get(
            EstimateBridge, f"{_CLUB}/estimates/{estimate_id}/bridge", from_estimate_id=from_estimate_id
        )

    def revise(self, estimate_id: UUID, revision: EstimateRevision) -> Estimate:
        """Price the scope again as the next revision."""
        return self._session.post(Estimate, f"{_CLUB}/estimates/{estimate_id}/revisions", revision)

    def issue(self, estimate_id: UUID, incomplete_because: str | None = None) -> Estimate:
        """Make a draft ready for decision; one with gaps needs a reason."""
        request = IssueRequest(incomplete_because=incomplete_because)
        return self._session.post(Estimate, f"{_CLUB}/estimates/{estimate_id}/issue", request)

    def accept(self, estimate_id: UUID, note: str = "") -> Estimate:
        """Accept an issued estimate; `budget_id` of the answer is the budget it opened."""
        return self._session.post(
            Estimate, f"{_CLUB}/estimates/{estimate_id}/accept", Decision(note=note)
        )

    def decline(self, estimate_id: UUID, note: str = "") -> Estimate:
        """Decline an issued estimate."""
        return self._session.post(
            Estimate, f"{_CLUB}/estimates/{estimate_id}/decline", Decision(note=note)
        )
