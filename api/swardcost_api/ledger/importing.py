"""Importing an accounting export: every good row is posted once, however often its file comes.

A posting is identified by what it says (see `engine.control.ledger_rows`) and by its number among the
equal rows of its file. Two equal rows of one file are two postings; the same file again, or another
that overlaps it, adds only what is new. Read by another profile the same file may say something else, and
count twice; so that has to be asked for.

A file is read first, which may take long and locks nothing, and posted then, in one transaction that undoes all of it
if anything fails. An upload does both while the caller waits; a job does the same by itself.
"""

import hashlib
from collections.abc import Callable, Mapping
from contextlib import closing
from dataclasses import dataclass
from typing import IO, Any
from uuid import UUID

from pydantic import BaseModel
from sqlalchemy import Connection, exists, func, insert, or_, select, update
from sqlalchemy.orm import aliased
from swardcost_model import problems
from swardcost_model.ledger import ImportResult
from swardcost_model.ledger_profiles import Profile, ProfileFields
from swardcost_model.problems import ProblemError

from swardcost_api.access.service import read_club, record
from swardcost_api.engine.control.assignment import AssignmentRule, matcher
from swardcost_api.engine.control.ledger_rows import HeaderError
from swardcost_api.faults import shown
from swardcost_api.jobs.service import Attempt, Job, JobKind, start_job
from swardcost_api.ledger.assignments import split_imported
from swardcost_api.ledger.control_totals import keep_balances
from swardcost_api.ledger.export_files import ExportFile, open_export, unreadable
from swardcost_api.ledger.open_months import first_open, hold_months
from swardcost_api.ledger.profiles import read_profile
from swardcost_api.ledger.rules import rules_in_force
from swardcost_api.ledger.service import in_import, read_import
from swardcost_api.ledger.sorting import RowFaults, RowSorter, batches
from swardcost_api.ledger.staging import Stage
from swardcost_api.ledger.tables import ImportFaultRow, ImportRow, PostingRow, ProfileRow
from swardcost_api.ledger.workbook_exports import open_workbook
from swardcost_api.operations import CSV, XLSX
from swardcost_api.storage.database import Database
from swardcost_api.storage.work import Transactions, UnitOfWork
from swardcost_api.xlsx_parts import unusable

_OPENERS: Mapping[str, Callable[[IO[bytes], ProfileFields], ExportFile]] = {
    CSV: open_export,
    XLSX: open_workbook,
}

Progress = Callable[[int, int, str], None]
"""Told how much of a file has been read, of how much, in which unit."""


class ImportOrder(BaseModel):
    """What is asked of an import, beside the file."""

    profile_id: UUID
    filename: str
    media_type: str
    good_rows_only: bool = False
    again: bool = False


@dataclass(frozen=True, slots=True)
class _Basis:
    """What the rows of a file are read by."""

    profile: Profile
    currency: str
    rules: list[AssignmentRule]


@dataclass(frozen=True, slots=True)
class _Staged:
    """The rows of a file, sorted; the good ones are in a temporary table."""

    connection: Connection
    stage: Stage
    sorter: RowSorter
    faults: RowFaults


@dataclass(frozen=True, slots=True)
class ReadExport:
    """A file that was read as far as posting it: its good rows are staged, or an earlier import stands for it."""

    order: ImportOrder
    sha256: str
    basis: _Basis
    staged: _Staged | None

    @property
    def connection(self) -> Connection | None:
        """The connection that the rows are staged on, which the posting must run on."""
        return self.staged.connection if self.staged is not None else None

    def close(self) -> None:
        """Give the connection back, and with it what is staged."""
        if self.staged is not None:
            Database.let_go(self.staged.connection)


def start_import(work: UnitOfWork, upload: IO[bytes], order: ImportOrder) -> Job:
    """Start a job that imports the file. Raises `not-found` for a profile that is not there."""
    read_profile(work, order.profile_id)
    return start_job(work, IMPORT_JOB.name, order.model_dump(mode="json"), upload)


def run_import(attempt: Attempt) -> None:
    """Import the file that a job was started with; it is posted in one transaction with the end of the job."""
    order = ImportOrder.model_validate(attempt.arguments)

    def tell(done: int, total: int, unit: str) -> None:
        attempt.progress(done, total, unit, "reading")

    with (
        attempt.upload() as upload,
        closing(read_export(attempt.transactions, upload, order, tell)) as read,
    ):
        attempt.end(lambda work: post_export(work, read), on=read.connection)


IMPORT_JOB = JobKind("ledger_import", run_import)


def read_export(
    transactions: Transactions, upload: IO[bytes], order: ImportOrder, tell: Progress = lambda *_: None
) -> ReadExport:
    """Read a file and stage its good rows; nothing is changed, and nobody is kept from changing anything.

    Raises `invalid-csv` or `invalid-workbook` for a file that is not what the profile says, and `bad-rows` for rows
    at fault unless the order is for `good_rows_only`, which leaves those out and keeps their faults with the import.
    Raises `wrong-state` for a file that stands imported under another profile, unless it is to be read `again`.
    """
    sha256 = _sha256(upload)
    with transactions.reading() as work:
        basis = _basis(work, order)
        if _stands(work, order, basis.profile, sha256):
            return ReadExport(order, sha256, basis, None)
    export = _OPENERS[order.media_type](upload, basis.profile)
    sorter = _sorter(export, basis, unusable if order.media_type == XLSX else unreadable)
    faults = RowFaults(keeps=order.good_rows_only)
    connection = transactions.database.hold()
    try:
        with connection.begin():
            stage = Stage(connection)
            for batch in batches(export.rows):
                good, bad = sorter.sort(batch)
                faults.add(bad)
                if order.good_rows_only or not faults.rows:
                    stage.add(good)
                tell(export.read_so_far(), export.total, export.unit)
        if faults.rows and not order.good_rows_only:
            raise faults.refusal(sorter.rows_read)
    except BaseException:
        Database.let_go(connection)
        raise
    return ReadExport(order, sha256, basis, _Staged(connection, stage, sorter, faults))


def post_export(work: UnitOfWork, read: ReadExport) -> ImportResult:
    """Post the rows of a file that the club does not have yet, assigned by the club's rules.

    Raises `changed-meanwhile` where the profile, the rules or earlier imports are not any more as they were when
    the file was read.
    """
    order, sha256 = read.order, read.sha256
    basis = _basis(work, order)
    earlier = _earlier_import(work, basis.profile, sha256, order.good_rows_only)
    if earlier is not None:
        return earlier
    if not order.again:
        _refuse_other_reading(work, basis.profile, sha256)
    if read.staged is None or basis != read.basis:
        raise ProblemError(
            problems.CHANGED_MEANWHILE,
            "The profile, the rules or an earlier import were changed while the file was read.",
        )
    import_id, sorter, faults = work.new_id(), read.staged.sorter, read.staged.faults
    _open_import(work, import_id, basis.profile, order.filename, sha256)
    _keep_faults(work, import_id, faults)
    totals = read.staged.stage.totals()
    hold_months(work)
    opened = first_open(work)
    read.staged.stage.keep_totals(work, import_id)
    keep_balances(work, import_id, sorter.openings, sorter.closings)
    posted = read.staged.stage.post(work, import_id, opened)
    work.session.execute(
        update(ImportRow)
        .where(ImportRow.club_id == work.club_id, ImportRow.id == import_id)
        .values(
            status="partly_posted" if faults.rows else "posted", rows_read=sorter.rows_read, rows_posted=posted,
            rows_known=totals.rows - posted, rows_bad=faults.rows, debits_minor=totals.debits_minor,
            credits_minor=totals.credits_minor, first_date=totals.first_date, last_date=totals.last_date,
            rows_skipped=sorter.set_aside["skipped"], opening_balances=sorter.set_aside["opening_balance"],
        )
    )  # fmt: skip
    if posted:
        _count(work, import_id, opened, totals.assigned if posted == totals.rows else None)
        split_imported(work, in_import(work, read_import(work, import_id)), basis.rules)
    _mend_earlier_imports(work, sha256)
    done = ImportResult(**dict(read_import(work, import_id)), repeated=False)
    record(work, "import", "import", import_id, after=done)
    return done


def _basis(work: UnitOfWork, order: ImportOrder) -> _Basis:
    rules = sorted(rules_in_force(work), key=lambda rule: rule.id)
    return _Basis(read_profile(work, order.profile_id), read_club(work).currency, rules)


def _stands(work: UnitOfWork, order: ImportOrder, profile: Profile, sha256: str) -> bool:
    """Whether the file was imported already, so that it need not be read."""
    if _earlier_import(work, profile, sha256, order.good_rows_only) is not None:
        return True
    if not order.again:
        _refuse_other_reading(work, profile, sha256)
    return False


def _mend_earlier_imports(work: UnitOfWork, sha256: str) -> None:
    """An earlier import of the same file is whole again: what a voiding had taken from it is posted now."""
    mine = (ImportRow.club_id == work.club_id, ImportRow.sha256 == sha256, ImportRow.weakened_by.is_not(None))
    work.session.execute(update(ImportRow).where(*mine).values(weakened_by=None))


def _sha256(upload: IO[bytes]) -> str:
    digest = hashlib.file_digest(upload, "sha256")  # type: ignore[arg-type]
    upload.seek(0)
    return digest.hexdigest()


def _earlier_import(
    work: UnitOfWork, profile: Profile, sha256: str, good_rows_only: bool
) -> ImportResult | None:
    """The import of the same bytes under the same profile, told as a repetition that posts nothing.

    One from before an import was voided does not count: rows that it knew may have gone with that one.
    """
    voided = aliased(ImportRow)
    voided_since = exists().where(voided.club_id == work.club_id, voided.voided_at >= ImportRow.created_at)
    statement = select(ImportRow.id).where(
        ImportRow.club_id == work.club_id, ImportRow.profile_id == profile.id, ImportRow.sha256 == sha256,
        ImportRow.profile_version == profile.version, ~voided_since,
    )  # fmt: skip
    if not good_rows_only:
        statement = statement.where(ImportRow.rows_bad == 0)
    import_id = work.session.scalar(statement.order_by(ImportRow.id).limit(1))
    if import_id is None:
        return None
    earlier = read_import(work, import_id)
    nothing_new = {
        "rows_posted": 0, "rows_known": earlier.rows_posted + earlier.rows_known, "rows_assigned": 0, "rows_late": 0,
    }  # fmt: skip
    return ImportResult(**dict(earlier) | nothing_new, repeated=True)


def _refuse_other_reading(work: UnitOfWork, profile: Profile, sha256: str) -> None:
    """Raise `wrong-state` where the same bytes stand imported under another profile or version of this one."""
    statement = (
        select(ImportRow.id, ImportRow.profile_version, ProfileRow.name)
        .join(
            ProfileRow, (ProfileRow.club_id == ImportRow.club_id) & (ProfileRow.id == ImportRow.profile_id)
        )
        .where(
            ImportRow.club_id == work.club_id, ImportRow.sha256 == sha256, ImportRow.status != "voided",
            or_(ImportRow.profile_id != profile.id, ImportRow.profile_version != profile.version),
        )
        .order_by(ImportRow.id)
        .limit(1)
    )  # fmt: skip
    earlier = work.session.execute(statement).first()
    if earlier is not None:
        raise ProblemError(
            problems.WRONG_STATE,
            f"This file was imported with version {earlier.profile_version} of the profile {earlier.name!r} "
            f"(import {earlier.id}); read in another way its rows may count twice. Void that import first, "
            "or say `again=true`.",
            import_id=str(earlier.id),
        )


def _sorter(export: ExportFile, basis: _Basis, refusal: Callable[[str, str, str], ProblemError]) -> RowSorter:
    try:
        rule_for = matcher(basis.rules) if basis.rules else None
        return RowSorter(export, basis.profile, basis.currency, rule_for)
    except HeaderError as error:
        missing = ", ".join(repr(column) for column in error.columns)
        raise refusal(
            f"row {basis.profile.header_row}", f"one column each of {missing}", shown(",".join(export.header))
        ) from None


def _open_import(work: UnitOfWork, import_id: UUID, profile: Profile, filename: str, sha256: str) -> None:
    name = "".join(c if c.isprintable() else " " for c in filename).strip()
    work.session.execute(
        insert(ImportRow).values(
            club_id=work.club_id, id=import_id, profile_id=profile.id, profile_version=profile.version,
            filename=name, sha256=sha256, status="posted", rows_read=0, rows_posted=0, rows_known=0, rows_bad=0,
            rows_assigned=0, debits_minor=0, credits_minor=0, created_at=work.now, actor=work.caller.name,
        )
    )  # fmt: skip


def _count(work: UnitOfWork, import_id: UUID, opened: str, assigned: int | None) -> None:
    """Count what an import added: late rows, which are in the month first open, and those that a rule assigned.

    The latter are `assigned`, where that is known since every row of the file was new.
    """
    late = select(func.count()).where(
        PostingRow.club_id == work.club_id, PostingRow.late, PostingRow.month == opened,
        PostingRow.import_id == import_id,
    )  # fmt: skip
    mine = (ImportRow.club_id == work.club_id, ImportRow.id == import_id)
    work.session.execute(update(ImportRow).where(*mine).values(rows_late=late.scalar_subquery()))
    if assigned is None:
        by_rule = select(func.count()).where(
            in_import(work, read_import(work, import_id)), PostingRow.assigned_by == "rule"
        )
        assigned = work.session.scalar(by_rule)
    work.session.execute(update(ImportRow).where(*mine).values(rows_assigned=assigned))


def _keep_faults(work: UnitOfWork, import_id: UUID, faults: RowFaults) -> None:
    rows: list[dict[str, Any]] = [
        {"club_id": work.club_id, "import_id": import_id, "number": number, "row_number": row, "column_name": column,
         "expected": expected, "got": got}
        for number, (row, column, expected, got) in enumerate(faults.kept, start=1)
    ]  # fmt: skip
    if rows:
        work.session.connection().execute(insert(ImportFaultRow), rows)
