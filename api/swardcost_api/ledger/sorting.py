"""The rows of an export sorted: postings with the rule that takes each, rows set aside, and rows at fault."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field

from swardcost_model import problems
from swardcost_model.ledger import MAX_FAULTS_KEPT
from swardcost_model.ledger_profiles import Profile
from swardcost_model.problems import Fault, ProblemError

from swardcost_api.engine.control.assignment import Matcher
from swardcost_api.engine.control.ledger_rows import BadRowError, CellFault, row_reader
from swardcost_api.engine.control.row_kinds import RowKind, balance_reader, opening_reader, row_sorting
from swardcost_api.faults import FAULTS_SHOWN, shown
from swardcost_api.ledger.export_files import ExportFile, ExportRow
from swardcost_api.ledger.staging import StagedRow

BATCH_ROWS = 4000
BATCH_CHARACTERS = 4_000_000

BadRow = tuple[int, list[CellFault]]
"""A row's number and its faults."""


def batches(rows: Iterator[ExportRow]) -> Iterator[list[ExportRow]]:
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


class RowSorter:
    """Tells the postings of a file from its other rows and from those at fault, and finds the rule of each posting.

    A row that is no posting is set aside: counted by its kind, and an opening balance kept by its account. The last
    running balance of each account is kept as the one that the file closes it with.
    Raises `HeaderError` for a header that the profile does not fit.
    """

    def __init__(self, export: ExportFile, profile: Profile, currency: str, rule_for: Matcher | None) -> None:
        self.rows_read = 0
        self.set_aside: Counter[RowKind] = Counter()
        self.openings: dict[str, int] = {}
        self.closings: dict[str, int] = {}
        self._unreadable = export.faults
        self._kinds = row_sorting(profile, export.header)
        self._read = row_reader(profile, export.header, currency)
        self._read_opening = opening_reader(profile, export.header, currency)
        self._balance = balance_reader(profile, export.header, currency) if profile.columns.balance else None
        self._rule_for = rule_for

    def sort(self, batch: list[ExportRow]) -> tuple[list[StagedRow], list[BadRow]]:
        good: list[StagedRow] = []
        bad: list[BadRow] = []
        read, rule_for, kinds, unreadable = self._read, self._rule_for, self._kinds, self._unreadable
        line_id = rule_id = None
        for number, cells, raw in batch:
            if kinds is not None and (kind := kinds.sort(cells)) != "posting":
                self._put_aside(kind, number, cells, bad)
                continue
            if unreadable and number in unreadable:
                bad.append((number, unreadable.pop(number)))
                continue
            try:
                (
                    fingerprint, day, account, amount, description, vendor, reference, journal_id, line, project,
                ) = read(cells)  # fmt: skip
                if self._balance is not None and (balance := self._balance(cells)) is not None:
                    self.closings[account] = balance
            except BadRowError as error:
                bad.append((number, error.faults))
                continue
            if rule_for is not None:
                rule = rule_for(day, account, amount, description, vendor, project)
                line_id = (
                    rule.budget_line_id.hex if rule is not None and rule.budget_line_id is not None else None
                )
                rule_id = rule.id.hex if rule is not None else None
            good.append(
                (number, fingerprint, day, day[:7], account, amount, description, vendor or None, reference or None,
                 journal_id or None, line or None, project or None, line_id, rule_id, raw)
            )  # fmt: skip
        self.rows_read += len(batch)
        return good, bad

    def _put_aside(self, kind: RowKind, number: int, cells: list[str], bad: list[BadRow]) -> None:
        unreadable = self._unreadable.pop(number, None)
        if kind != "opening_balance":
            self.set_aside[kind] += 1
            return
        if unreadable is not None:
            bad.append((number, unreadable))
            return
        try:
            account, balance = self._read_opening(cells)
        except BadRowError as error:
            bad.append((number, error.faults))
        else:
            self.set_aside[kind] += 1
            self.openings[account] = balance


@dataclass
class RowFaults:
    """What is wrong with a file's rows: how many, the first to be shown, and more where the import keeps them."""

    keeps: bool
    rows: int = 0
    count: int = 0
    first: list[Fault] = field(default_factory=list)
    kept: list[tuple[int, str | None, str, str | None]] = field(default_factory=list)
    """Row, column, what was expected and what came."""

    def add(self, bad: list[BadRow]) -> None:
        for number, faults in bad:
            for fault in faults:
                self.count += 1
                got = shown(fault.got) if fault.got else None
                if len(self.first) < FAULTS_SHOWN:
                    place = f"row {number}, {fault.column}" if fault.column is not None else f"row {number}"
                    self.first.append(Fault(pointer=place, expected=fault.expected, got=got))
                if self.keeps and self.count <= MAX_FAULTS_KEPT:
                    self.kept.append((number, fault.column, fault.expected, got))
        self.rows += len(bad)

    def refusal(self, rows_read: int) -> ProblemError:
        return ProblemError(
            problems.BAD_ROWS, f"{self.rows} of {rows_read} rows cannot be used; nothing was posted.", self.first,
            rows_read=rows_read, rows_bad=self.rows, faults_total=self.count,
        )  # fmt: skip
