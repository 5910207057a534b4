"""Importing an accounting export: every good row is posted once, however often its file comes.

A posting is identified by what it says (see `engine.control.ledger_rows`) and by its number among the
equal rows of its file. Two equal rows of one file are two postings; the same file again, or another
that overlaps it, adds only what is new. Read by another profile the same file may say something else, and
count twice; so that has to be asked for.
"""

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import IO
from uuid import UUID

from sqlalchemy import exists, func, insert, or_, select, update
from sqlalchemy.orm import aliased
from swardcost_model import problems
from swardcost_model.ledger import MAX_FAULTS_KEPT, ImportResult
from swardcost_model.ledger_profiles import Profile
from swardcost_model.problems import Fault, ProblemError

from swardcost_api.access.service import read_club, record
from swardcost_api.engine.control.assignment import Matcher, matcher
from swardcost_api.engine.control.ledger_rows import (
    BadRowError,
    CellFault,
    HeaderError,
    RowReader,
    row_reader,
)
from swardcost_api.faults import FAULTS_SHOWN, shown
from swardcost_api.ledger.export_files import ExportFile, ExportRow, open_export, unreadable
from swardcost_api.ledger.profiles import read_profile
from swardcost_api.ledger.rules import rules_in_force
from swardcost_api.ledger.service import in_import, read_import
from swardcost_api.ledger.staging import Stage, StagedRow
from swardcost_api.ledger.tables import ImportFaultRow, ImportRow, PostingRow, ProfileRow
from swardcost_api.storage.work import UnitOfWork

BATCH_ROWS = 4000
BATCH_CHARACTERS = 4_000_000


def import_file(
    work: UnitOfWork,
    upload: IO[bytes],
    profile_id: UUID,
    filename: str,
    *,
    good_rows_only: bool,
    again: bool = False,
) -> ImportResult:
    """Post the rows of an export that the club does not have yet, and assign them by the club's rules.

    Raises `invalid-csv` for a file that is not what the profile says, and `bad-rows` for rows at fault
    unless `good_rows_only`, which leaves those out and keeps their faults with the import. Raises
    `wrong-state` for a file that stands imported under another profile, unless it is to be read `again`.
    """
    profile = read_profile(work, profile_id)
    sha256 = _sha256(upload)
    earlier = _earlier_import(work, profile, sha256, good_rows_only)
    if earlier is not None:
        return earlier
    if not again:
        _refuse_other_reading(work, profile, sha256)
    export = open_export(upload, profile)
    read = _reader(export, profile, read_club(work).currency)
    rules = rules_in_force(work)
    import_id = work.new_id()
    _open_import(work, import_id, profile, filename, sha256)
    sorter = _Sorter(read, matcher(rules) if rules else None)
    stage = Stage(work)
    faults = _Faults(work, import_id, kept=good_rows_only)
    for batch in _batches(export.rows):
        good, bad = sorter.sort(batch)
        faults.add(bad)
        if good_rows_only or not faults.rows:
            stage.add(good)
    if faults.rows and not good_rows_only:
        raise faults.refusal(sorter.rows_read)
    totals = stage.totals()
    posted = stage.post(import_id)
    work.session.execute(
        update(ImportRow)
        .where(ImportRow.club_id == work.club_id, ImportRow.id == import_id)
        .values(
            status="partly_posted" if faults.rows else "posted", rows_read=sorter.rows_read, rows_posted=posted,
            rows_known=totals.rows - posted, rows_bad=faults.rows, debits_minor=totals.debits_minor,
            credits_minor=totals.credits_minor, first_date=totals.first_date, last_date=totals.last_date,
        )
    )  # fmt: skip
    if rules and posted:
        _count_assigned(work, import_id)
    _mend_earlier_imports(work, sha256)
    done = ImportResult(**dict(read_import(work, import_id)), repeated=False)
    record(work, "import", "import", import_id, after=done)
    return done


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
        "rows_posted": 0, "rows_known": earlier.rows_posted + earlier.rows_known, "rows_assigned": 0,
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


def _reader(export: ExportFile, profile: Profile, currency: str) -> RowReader:
    try:
        return row_reader(profile, export.header, currency)
    except HeaderError as error:
        missing = ", ".join(repr(column) for column in error.columns)
        raise unreadable(
            f"row {profile.header_row}", f"one column each of {missing}", shown(",".join(export.header))
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


def _count_assigned(work: UnitOfWork, import_id: UUID) -> None:
    by_rule = (
        select(func.count())
        .select_from(PostingRow)
        .where(in_import(work, read_import(work, import_id)), PostingRow.assigned_by == "rule")
    )
    work.session.execute(
        update(ImportRow)
        .where(ImportRow.club_id == work.club_id, ImportRow.id == import_id)
        .values(rows_assigned=by_rule.scalar_subquery())
    )


def _batches(rows: Iterator[ExportRow]) -> Iterator[list[ExportRow]]:
    """The rows in batches of bounded count and size."""
    batch: list[ExportRow] = []
    characters = 0
    for row in rows:
        batch.append(row)
        characters += len(row[2])
        if len(batch) >= BATCH_ROWS or characters >= BATCH_CHARACTERS:
            yield batch
            batch, characters = [], 0
    if batch:
        yield batch


_BadRow = tuple[int, list[CellFault]]
"""A row's number and its faults."""


@dataclass
class _Sorter:
    """Tells the good rows from the bad, and finds the rule of each good one."""

    read: RowReader
    rule_for: Matcher | None
    rows_read: int = 0

    def sort(self, batch: list[ExportRow]) -> tuple[list[StagedRow], list[_BadRow]]:
        good: list[StagedRow] = []
        bad: list[_BadRow] = []
        read, rule_for = self.read, self.rule_for
        line_id = rule_id = None
        for number, cells, raw in batch:
            try:
                fingerprint, day, account, amount, description, vendor, reference, journal_id, line = read(
                    cells
                )
            except BadRowError as error:
                bad.append((number, error.faults))
                continue
            if rule_for is not None:
                rule = rule_for(day, account, amount, description, vendor)
                line_id = rule.budget_line_id.hex if rule is not None else None
                rule_id = rule.id.hex if rule is not None else None
            good.append(
                (number, fingerprint, day, day[:7], account, amount, description, vendor or None, reference or None,
                 journal_id or None, line or None, line_id, rule_id, raw)
            )  # fmt: skip
        self.rows_read += len(batch)
        return good, bad


@dataclass
class _Faults:
    """What is wrong with a file's rows: how many, the first to be shown, and more where the import keeps them."""

    work: UnitOfWork
    import_id: UUID
    kept: bool
    rows: int = 0
    count: int = 0
    first: list[Fault] = field(default_factory=list)

    def add(self, bad: list[_BadRow]) -> None:
        rows = []
        for number, faults in bad:
            for fault in faults:
                self.count += 1
                got = shown(fault.got) if fault.got else None
                if len(self.first) < FAULTS_SHOWN:
                    place = f"row {number}, {fault.column}" if fault.column is not None else f"row {number}"
                    self.first.append(Fault(pointer=place, expected=fault.expected, got=got))
                if self.kept and self.count <= MAX_FAULTS_KEPT:
                    rows.append(
                        {"club_id": self.work.club_id, "import_id": self.import_id, "number": self.count,
                         "row_number": number, "column_name": fault.column, "expected": fault.expected, "got": got}
                    )  # fmt: skip
        self.rows += len(bad)
        if rows:
            self.work.session.connection().execute(insert(ImportFaultRow), rows)

    def refusal(self, rows_read: int) -> ProblemError:
        return ProblemError(
            problems.BAD_ROWS, f"{self.rows} of {rows_read} rows cannot be used; nothing was posted.", self.first,
            rows_read=rows_read, rows_bad=self.rows, faults_total=self.count,
        )  # fmt: skip
