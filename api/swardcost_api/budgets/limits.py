"""Who may approve an adjustment: by role and amount, with limits of their own for unplanned work."""

from typing import Any

from sqlalchemy import Row, insert, select, update
from swardcost_model import problems
from swardcost_model.access import Role
from swardcost_model.adjustments import ApprovalLimit, ApprovalLimits, ApprovalLimitsChange
from swardcost_model.problems import Fault, ProblemError
from swardcost_model.values import from_minor, to_minor

from swardcost_api.access.service import hold_club, read_club, record
from swardcost_api.budgets.amounts import stated_minor
from swardcost_api.budgets.tables import ApprovalLimitsRow
from swardcost_api.storage.rows import stale
from swardcost_api.storage.work import UnitOfWork

AT_FIRST = ApprovalLimits(
    limits=[ApprovalLimit(role=Role.OWNER, up_to=None)], another_person=False, version=1
)
"""The limits of a club that has set none: an owner approves any amount."""


def read_limits(work: UnitOfWork) -> ApprovalLimits:
    """The limits as they are now."""
    row = work.session.execute(
        select(ApprovalLimitsRow.limits, ApprovalLimitsRow.another_person, ApprovalLimitsRow.version).where(
            ApprovalLimitsRow.club_id == work.club_id
        )
    ).first()
    return AT_FIRST if row is None else ApprovalLimits(**row._mapping)


def change_limits(work: UnitOfWork, change: ApprovalLimitsChange, if_match: int) -> ApprovalLimits:
    """Replace the limits; they hold for every adjustment that is not decided yet."""
    hold_club(work)
    before = read_limits(work)
    if before.version != if_match:
        raise stale("document of approval limits", before.version, if_match)
    _refuse_unusable(work, change)
    after = ApprovalLimits(**change.model_dump(), version=if_match + 1)
    values = after.model_dump(mode="json")
    if before is AT_FIRST:
        work.session.execute(insert(ApprovalLimitsRow).values(club_id=work.club_id, **values))
    else:
        work.session.execute(
            update(ApprovalLimitsRow).where(ApprovalLimitsRow.club_id == work.club_id).values(**values)
        )
    record(work, "change", "approval_limits", work.club_id, before, after)
    return after


def _refuse_unusable(work: UnitOfWork, change: ApprovalLimitsChange) -> None:
    currency = read_club(work).currency
    faults: list[Fault] = []
    for index, limit in enumerate(change.limits):
        for name, money in (("up_to", limit.up_to), ("emergency_up_to", limit.emergency_up_to)):
            if money is not None and stated_minor(money, currency, f"/limits/{index}/{name}", faults) < 0:
                expected = "zero or more"
                faults.append(
                    Fault(pointer=f"/limits/{index}/{name}/amount", expected=expected, got=str(money.amount))
                )
    if faults:
        raise ProblemError(problems.INVALID_VALUES, "The limits were not changed.", faults)


def refuse_approval(work: UnitOfWork, adjustment: Row[*tuple[Any, ...]]) -> None:
    """Raise `forbidden` where the caller may not approve an adjustment, naming the limit."""
    limits = read_limits(work)
    limit = _limit_of(work, limits)
    if limits.another_person and _is_proposer(work, adjustment):
        raise ProblemError(
            problems.FORBIDDEN, "Whoever proposed an adjustment may not approve it here; another person must."
        )
    up_to = limit.up_to
    if adjustment.unplanned and limit.emergency_up_to is not None:
        up_to = limit.emergency_up_to
    if up_to is not None and adjustment.amount_minor > to_minor(up_to.amount, up_to.currency):
        what = "unplanned work" if adjustment.unplanned else "adjustments"
        amount = from_minor(adjustment.amount_minor, up_to.currency)
        raise ProblemError(
            problems.FORBIDDEN,
            f"A key of the role {limit.role} may approve {what} up to {up_to.amount} {up_to.currency}; this one is "
            f"{amount} {up_to.currency}.",
        )


def refuse_decision(work: UnitOfWork) -> None:
    """Raise `forbidden` where the caller's role has no limit of approval, so may not decline either."""
    _limit_of(work, read_limits(work))


def _limit_of(work: UnitOfWork, limits: ApprovalLimits) -> ApprovalLimit:
    for limit in limits.limits:
        if limit.role == work.caller.role:
            return limit
    allowed = ", ".join(limit.role for limit in limits.limits)
    raise ProblemError(problems.FORBIDDEN, f"Adjustments are decided by the roles {allowed}.")


def _is_proposer(work: UnitOfWork, adjustment: Row[*tuple[Any, ...]]) -> bool:
    """The same key, or another key of the same name."""
    same_key = work.caller.key_id is not None and adjustment.proposed_by_key == work.caller.key_id
    return same_key or str(adjustment.proposed_by).casefold() == work.caller.name.casefold()
