"""Orders: entering purchase orders and contracts, finding them, and holding one while something happens to it."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any
from uuid import UUID

from sqlalchemy import Row, insert, select
from swardcost_model import problems
from swardcost_model.commitments import (
    Commitment,
    CommitmentChange,
    CommitmentStatus,
    CommitmentSummary,
    NewCommitment,
    OrderedLine,
    OrderedLineFields,
    StatusEntry,
    Tolerance,
)
from swardcost_model.paging import Page
from swardcost_model.problems import Fault, ProblemError
from swardcost_model.values import Money, Quantity, from_micros, plain, to_micros, to_minor

from swardcost_api.access.service import read_club, record
from swardcost_api.budgets.service import finds_commitments, read_budget
from swardcost_api.catalog.service import vendors_with_ids
from swardcost_api.commitments.standing import Wanted, conditions, lines_on
from swardcost_api.commitments.tables import CommitmentRow, OrderedLineRow, RevisionRow, StatusRow
from swardcost_api.engine.control.matching import in_order_unit
from swardcost_api.engine.pricing.lines import BEYOND
from swardcost_api.storage.paging import read_page
from swardcost_api.storage.rows import by_id, edit_row, missing, named_in_request, read_row
from swardcost_api.storage.work import UnitOfWork
from swardcost_api.units import UNITS, exact_ratio

LOAD = "load"
_COMMITMENT_BY_ID = by_id(CommitmentRow, list(CommitmentRow.__table__.c))
_STATUSES = (
    StatusRow.status, StatusRow.since, StatusRow.reason, StatusRow.actor, StatusRow.created_at,
)  # fmt: skip


@finds_commitments
def is_of_budget(work: UnitOfWork, budget_id: UUID, commitment_id: UUID) -> bool:
    """Whether a commitment is under a budget, so that an adjustment of that may follow from it."""
    found = select(CommitmentRow.id).where(
        CommitmentRow.club_id == work.club_id,
        CommitmentRow.budget_id == budget_id,
        CommitmentRow.id == commitment_id,
    )
    return work.session.scalar(found) is not None


def create_commitment(work: UnitOfWork, new: NewCommitment) -> Commitment:
    """Enter an order as it was signed; its lines are revision 1.

    Raises `duplicate` where the club has its number, `invalid-values` for a budget, lines of it, units or vendors that
    there are not, and for amounts that no answer could hold.
    """
    expected, nothing = "the id of a budget of this club", "The commitment was not entered."
    with named_in_request("/budget_id", expected, new.budget_id, nothing):
        budget = read_budget(work, new.budget_id)
    faults = faults_of_vendor(work, new.vendor_id)
    currency = budget.total.currency
    rows, faulty = lines_to_store(new.lines, {line.id for line in budget.lines}, currency)
    if faults or faulty:
        raise ProblemError(problems.INVALID_VALUES, nothing, faults + faulty)
    key = new.number.casefold()
    taken = select(CommitmentRow.id).where(
        CommitmentRow.club_id == work.club_id, CommitmentRow.number_key == key
    )
    if work.session.scalar(taken) is not None:
        raise ProblemError(problems.DUPLICATE, f"There is already a commitment {new.number}.")
    commitment_id, ordered = work.new_id(), sum(row["amount_minor"] for row in rows)
    work.session.execute(
        insert(CommitmentRow).values(
            club_id=work.club_id, id=commitment_id, number=new.number, number_key=key, kind=new.kind,
            vendor=new.vendor, vendor_key=new.vendor.casefold(), vendor_id=new.vendor_id, budget_id=new.budget_id,
            title=new.title, signed_on=new.signed_on, status=CommitmentStatus.OPEN, revision=1,
            retainage_percent=plain(new.retainage_percent), tolerance=new.tolerance.model_dump(mode="json"),
            note=new.note, ordered_minor=ordered, created_at=work.now, version=1,
        )
    )  # fmt: skip
    store_revision(
        work,
        commitment_id,
        rows,
        revision=1,
        made_on=new.signed_on,
        reason="As signed",
        ordered_minor=ordered,
    )
    after = read_commitment(work, commitment_id)
    record(work, "create", "commitment", commitment_id, after=after)
    return after


def faults_of_vendor(work: UnitOfWork, vendor_id: UUID | None) -> list[Fault]:
    """A fault for a vendor that the club's catalog does not have."""
    if vendor_id is None or vendors_with_ids(work, [vendor_id]):
        return []
    return [
        Fault(pointer="/vendor_id", expected="the id of a vendor of this club, or null", got=str(vendor_id))
    ]


def lines_to_store(
    lines: Sequence[OrderedLineFields], budget_lines: Iterable[UUID], currency: str
) -> tuple[list[dict[str, Any]], list[Fault]]:
    """The columns of ordered lines, and what is wrong with them."""
    known = set(budget_lines)
    rows: list[dict[str, Any]] = []
    faults: list[Fault] = []
    for index, line in enumerate(lines):
        faults += _faults_of_line(f"/lines/{index}", line, known)
        amount = line.quantity * line.unit_price
        if amount >= BEYOND - 1:
            expected = "quantity x unit price below 1,000,000,000,000"
            faults.append(
                Fault(pointer=f"/lines/{index}/unit_price", expected=expected, got=plain(line.unit_price))
            )
            continue
        rows.append(
            {
                "number": line.number, "budget_line_id": line.budget_line_id, "description": line.description,
                "unit": line.unit, "quantity_micros": to_micros(line.quantity),
                "unit_price_micros": to_micros(line.unit_price), "amount_minor": to_minor(amount, currency),
                "per_load_micros": _per_load(line), "expected_month": line.expected_month,
            }
        )  # fmt: skip
    if not faults and sum(row["amount_minor"] for row in rows) >= to_minor(BEYOND - 1, currency):
        faults.append(Fault(pointer="/lines", expected="amounts that sum to less than 1,000,000,000,000"))
    return rows, faults


def _faults_of_line(pointer: str, line: OrderedLineFields, budget_lines: set[UUID]) -> list[Fault]:
    faults = []
    if line.budget_line_id not in budget_lines:
        expected = "the id of a line of the commitment's budget"
        faults.append(
            Fault(pointer=pointer + "/budget_line_id", expected=expected, got=str(line.budget_line_id))
        )
    if line.unit not in UNITS:
        expected = "a unit listed at /v1/units (short_ton, metric_ton or long_ton, never a bare ton)"
        faults.append(Fault(pointer=pointer + "/unit", expected=expected, got=line.unit))
    elif line.per_load is not None and not _per_load(line):
        expected = f"more than nothing, in a unit that {line.unit} compares with"
        got = f"{plain(line.per_load.value)} {line.per_load.unit}"
        faults.append(Fault(pointer=pointer + "/per_load", expected=expected, got=got))
    return faults


def _per_load(line: OrderedLineFields) -> int | None:
    """What one load holds in millionths of the line's unit, rounded half up; nothing where it does not compare."""
    if line.per_load is None or line.per_load.unit not in UNITS or line.unit not in UNITS:
        return None
    ratio = exact_ratio(UNITS[line.per_load.unit], UNITS[line.unit])
    if ratio is None or line.unit == LOAD:
        return None
    return to_micros(in_order_unit(line.per_load.value, ratio))


def store_revision(
    work: UnitOfWork, commitment_id: UUID, rows: Sequence[Mapping[str, Any]], *, revision: int, **fields: Any
) -> None:
    """Keep a revision and its lines."""
    key = {"club_id": work.club_id, "commitment_id": commitment_id, "revision": revision}
    work.session.execute(
        insert(RevisionRow).values(**key, actor=work.caller.name, created_at=work.now, **fields)
    )
    work.session.execute(insert(OrderedLineRow), [{**key, **row} for row in rows])


def list_commitments(
    work: UnitOfWork, limit: int, cursor: str | None, wanted: Wanted
) -> Page[CommitmentSummary]:
    """The commitments that are wanted, by number."""
    statement = select(*CommitmentRow.__table__.c).where(*conditions(work, wanted))
    rows, following = read_page(work, statement, (CommitmentRow.number_key,), limit, cursor)
    currency = read_club(work).currency
    return Page[CommitmentSummary](
        items=[CommitmentSummary(**_summary(row, currency)) for row in rows], next=following
    )


def read_commitment(work: UnitOfWork, commitment_id: UUID) -> Commitment:
    """One commitment with its lines in force."""
    row = read_row(work, _COMMITMENT_BY_ID, commitment_id, "commitment")
    currency = read_club(work).currency
    statuses = work.session.execute(
        select(*_STATUSES)
        .where(StatusRow.club_id == work.club_id, StatusRow.commitment_id == commitment_id)
        .order_by(StatusRow.number)
    )
    lines = lines_on(work, Wanted(ids=[commitment_id]), None)
    return Commitment(
        **_summary(row, currency), retainage_percent=row.retainage_percent, tolerance=Tolerance(**row.tolerance),
        note=row.note, created_at=row.created_at,
        lines=[ordered_line(line, currency) for line in lines.get(commitment_id, [])],
        statuses=[StatusEntry(**status._mapping) for status in statuses],
    )  # fmt: skip


def change_commitment(
    work: UnitOfWork, commitment_id: UUID, change: CommitmentChange, if_match: int
) -> Commitment:
    """Change what is not on the lines. Raises `stale-version`, or `invalid-values` for an unknown vendor."""
    before = read_commitment(work, commitment_id)
    faults = faults_of_vendor(work, change.vendor_id)
    if faults:
        raise ProblemError(problems.INVALID_VALUES, "The commitment was not changed.", faults)
    edit_row(
        work, CommitmentRow, commitment_id, if_match, "commitment", title=change.title, vendor_id=change.vendor_id,
        retainage_percent=plain(change.retainage_percent), tolerance=change.tolerance.model_dump(mode="json"),
        note=change.note,
    )  # fmt: skip
    after = read_commitment(work, commitment_id)
    record(work, "change", "commitment", commitment_id, before, after)
    return after


def held(work: UnitOfWork, commitment_id: UUID) -> Row[Any]:
    """A commitment to which nothing else happens until this unit of work ends. Raises `not-found`."""
    statement = (
        select(*CommitmentRow.__table__.c)
        .where(CommitmentRow.club_id == work.club_id, CommitmentRow.id == commitment_id)
        .with_for_update()
    )
    row = work.session.execute(statement).first()
    if row is None:
        raise missing("commitment")
    return row


def held_open(work: UnitOfWork, commitment_id: UUID) -> Row[Any]:
    """A held commitment that is open. Raises `not-found`, or `wrong-state` for one that is not."""
    row = held(work, commitment_id)
    if row.status != CommitmentStatus.OPEN:
        raise ProblemError(
            problems.WRONG_STATE, f"The commitment is {row.status}; reopen it first, with the reason."
        )
    return row


def ordered_line(row: Row[Any], currency: str) -> OrderedLine:
    """A stored line as it is shown."""
    per_load = None
    if row.per_load_micros is not None:
        per_load = Quantity.model_construct(value=from_micros(row.per_load_micros), unit=row.unit)
    return OrderedLine(
        number=row.number, budget_line_id=row.budget_line_id, description=row.description,
        quantity=from_micros(row.quantity_micros), unit=row.unit,
        unit_price=price_of(row.unit_price_micros, currency),
        amount=Money.of_minor(row.amount_minor, currency), per_load=per_load, expected_month=row.expected_month,
    )  # fmt: skip


def price_of(micros: int, currency: str) -> Money:
    """A stored unit price."""
    return Money.model_construct(amount=from_micros(micros), currency=currency)  # type: ignore[arg-type]


def _summary(row: Row[Any], currency: str) -> dict[str, Any]:
    shown = {name: getattr(row, name) for name in CommitmentSummary.model_fields if name != "ordered"}
    return shown | {"ordered": Money.of_minor(row.ordered_minor, currency)}
