"""Comparisons of estimates as they are put together and kept."""

from typing import Any
from uuid import UUID

from sqlalchemy import Row, insert, select
from swardcost_model import problems
from swardcost_model.comparisons import Comparison, ComparisonChange, ComparisonFields, NewComparison
from swardcost_model.paging import Page
from swardcost_model.problems import Fault, ProblemError

from swardcost_api.access.service import record
from swardcost_api.alternatives.tables import ComparisonRow
from swardcost_api.estimates.service import read_estimate
from swardcost_api.storage.paging import read_page
from swardcost_api.storage.rows import by_id, delete_row, edit_row, read_row
from swardcost_api.storage.work import UnitOfWork

_COMPARISON = (ComparisonRow.id, ComparisonRow.name, ComparisonRow.comparison, ComparisonRow.version)
_COMPARISON_BY_ID = by_id(ComparisonRow, _COMPARISON)


def create_comparison(work: UnitOfWork, new: NewComparison) -> Comparison:
    """Keep a comparison. Raises `duplicate` where the club has one of that name, `invalid-values` for its estimates."""
    _refuse_unusable(work, new)
    _refuse_taken_name(work, new.name)
    comparison = Comparison(id=work.new_id(), version=1, **new.model_dump())
    work.session.execute(
        insert(ComparisonRow).values(club_id=work.club_id, id=comparison.id, version=1, **_columns(new))
    )
    record(work, "create", "comparison", comparison.id, after=comparison)
    return comparison


def list_comparisons(work: UnitOfWork, limit: int, cursor: str | None) -> Page[Comparison]:
    """The club's comparisons, in the order in which they were put together."""
    statement = select(*_COMPARISON).where(ComparisonRow.club_id == work.club_id)
    rows, following = read_page(work, statement, (ComparisonRow.id,), limit, cursor)
    return Page[Comparison](items=[_comparison(row) for row in rows], next=following)


def read_comparison(work: UnitOfWork, comparison_id: UUID) -> Comparison:
    """One comparison, without its figures. Raises `not-found`."""
    return _comparison(read_row(work, _COMPARISON_BY_ID, comparison_id, "comparison"))


def change_comparison(
    work: UnitOfWork, comparison_id: UUID, change: ComparisonChange, if_match: int
) -> Comparison:
    """Replace a comparison. Raises `not-found`, `stale-version`, and as `create_comparison`."""
    before = read_comparison(work, comparison_id)
    _refuse_unusable(work, change)
    if change.name != before.name:
        _refuse_taken_name(work, change.name)
    edit_row(work, ComparisonRow, comparison_id, if_match, "comparison", **_columns(change))
    after = Comparison(id=comparison_id, version=if_match + 1, **change.model_dump())
    record(work, "change", "comparison", comparison_id, before, after)
    return after


def delete_comparison(work: UnitOfWork, comparison_id: UUID, if_match: int) -> None:
    """Delete a comparison; the estimates stay. Raises `not-found` and `stale-version`."""
    before = read_comparison(work, comparison_id)
    delete_row(work, ComparisonRow, comparison_id, if_match, "comparison")
    record(work, "delete", "comparison", comparison_id, before)


def _refuse_unusable(work: UnitOfWork, fields: ComparisonFields) -> None:
    """Raise `invalid-values` for an estimate that the club does not have, or one in another currency than the first."""
    faults: list[Fault] = []
    currency: str | None = None
    for number, one in enumerate(fields.alternatives):
        place = f"/alternatives/{number}/estimate_id"
        try:
            found = read_estimate(work, one.estimate_id).total.currency
        except ProblemError as error:
            if error.kind is not problems.NOT_FOUND:
                raise
            faults.append(Fault(pointer=place, expected="an estimate of this club", got=str(one.estimate_id)))
            continue
        currency = currency or found
        if found != currency:
            faults.append(Fault(pointer=place, expected=f"an estimate in {currency}", got=found))
    if faults:
        raise ProblemError(
            problems.INVALID_VALUES, "These estimates cannot be compared; nothing was changed.", faults
        )


def _refuse_taken_name(work: UnitOfWork, name: str) -> None:
    taken = select(ComparisonRow.id).where(ComparisonRow.club_id == work.club_id, ComparisonRow.name == name)
    if work.session.scalar(taken) is not None:
        raise ProblemError(problems.DUPLICATE, f"There is already a comparison named {name!r}.")


def _columns(fields: ComparisonFields) -> dict[str, Any]:
    document = fields.model_dump(mode="json", include=set(ComparisonFields.model_fields) - {"name"})
    return {"name": fields.name, "comparison": document}


def _comparison(row: Row[*tuple[Any, ...]]) -> Comparison:
    return Comparison(id=row.id, name=row.name, version=row.version, **row.comparison)
