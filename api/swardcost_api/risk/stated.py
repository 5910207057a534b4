"""What is uncertain of an estimate as it was written down, and how it fits what the estimate was priced from."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from sqlalchemy import select
from swardcost_model import problems
from swardcost_model.uncertainty import Uncertainty, UncertaintyFields

from swardcost_api.estimates.service import repriceable
from swardcost_api.risk.fitting import Fitted, fit
from swardcost_api.risk.tables import UncertaintyRow
from swardcost_api.storage.rows import missing
from swardcost_api.storage.work import UnitOfWork

FIELDS = set(UncertaintyFields.model_fields)


def read_uncertainty(work: UnitOfWork, estimate_id: UUID) -> Uncertainty:
    """What is uncertain of an estimate. Raises `not-found`."""
    row = work.session.execute(
        select(UncertaintyRow.uncertainty, UncertaintyRow.version).where(
            UncertaintyRow.club_id == work.club_id, UncertaintyRow.estimate_id == estimate_id
        )
    ).first()
    if row is None:
        raise missing("estimate")
    return Uncertainty(estimate_id=estimate_id, version=row.version, **_fields(row.uncertainty))


def fitted_uncertainty(work: UnitOfWork, estimate_id: UUID) -> Fitted:
    """An estimate with its uncertainty, to be simulated.

    Raises `wrong-state` where the estimate was priced from something else than there is now, or where the uncertainty,
    which comes over from the revision before, does not fit it any more.
    """
    stated = UncertaintyFields(**read_uncertainty(work, estimate_id).model_dump(include=FIELDS))
    return fit(
        repriceable(work, estimate_id), stated, problems.WRONG_STATE,
        "The uncertainty does not fit this estimate any more; change it where it is at fault.",
    )  # fmt: skip


def _fields(kept: Mapping[str, Any]) -> dict[str, Any]:
    return UncertaintyFields(**kept).model_dump()
