"""Which projects somebody has priced."""

from collections.abc import Collection
from uuid import UUID

from sqlalchemy import select

from swardcost_api.estimates.tables import EstimateRow
from swardcost_api.storage.work import UnitOfWork


def estimated_projects(work: UnitOfWork, project_ids: Collection[UUID]) -> set[UUID]:
    """Those of some projects that have an estimate, of whatever status, in one query."""
    mine = select(EstimateRow.project_id).where(
        EstimateRow.club_id == work.club_id, EstimateRow.project_id.in_(project_ids)
    )
    return set(work.session.scalars(mine.distinct()))
