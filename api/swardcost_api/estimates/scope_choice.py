"""The scope of a project as it is with some of its alternates taken."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated
from uuid import UUID

from swardcost_model import problems
from swardcost_model.alternates import MOST_ALTERNATES
from swardcost_model.problems import Fault, ProblemError

from swardcost_api.estimates.alternates import options_of
from swardcost_api.estimates.options import Options
from swardcost_api.estimates.scopes import ScopeEntry, load_scope_items
from swardcost_api.faults import shown
from swardcost_api.operations import Query
from swardcost_api.storage.work import UnitOfWork

AlternateIds = Annotated[
    str | None,
    Query(
        "Ids of alternates that are taken, with commas between them; without any the scope is its base.",
        max_length=40 * MOST_ALTERNATES,
    ),
]


@dataclass(frozen=True, slots=True)
class ScopeChoice:
    """All scope items of a project, its alternates, and which of those are taken."""

    items: Sequence[ScopeEntry]
    options: Options
    taken: frozenset[UUID]

    @property
    def scope(self) -> list[ScopeEntry]:
        """The scope items that are in the scope."""
        return self.scope_with(self.taken)

    def scope_with(self, taken: frozenset[UUID]) -> list[ScopeEntry]:
        """The scope items that would be in the scope with these alternates taken instead."""
        return self.options.scope_of(self.items, taken)


def load_scope_choice(work: UnitOfWork, project_id: UUID, alternate_ids: Sequence[UUID] = ()) -> ScopeChoice:
    """The scope items and alternates of a project. Raises `invalid-values` where these cannot be taken together."""
    options = options_of(work, project_id)
    if faults := list(options.faults_of_choice(alternate_ids)):
        raise ProblemError(problems.INVALID_VALUES, "These alternates cannot be taken together.", faults)
    return ScopeChoice(load_scope_items(work, project_id), options, frozenset(alternate_ids))


def alternates_named(text: str | None) -> list[UUID]:
    """Ids of alternates that a query names, with commas between them, each once.

    Raises `invalid-values` for anything else.
    """
    try:
        return list(dict.fromkeys(UUID(one.strip()) for one in text.split(","))) if text else []
    except ValueError:
        fault = Fault(pointer="/alternate_ids", expected="ids with commas between them", got=shown(text))
        raise ProblemError(problems.INVALID_VALUES, "No alternates are named so.", [fault]) from None


def load_scope(work: UnitOfWork, project_id: UUID, alternate_ids: Sequence[UUID] = ()) -> list[ScopeEntry]:
    """The scope of a project with these alternates taken and no others. Raises as `load_scope_choice`."""
    return load_scope_choice(work, project_id, alternate_ids).scope
