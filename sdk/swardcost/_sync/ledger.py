"""Accounting exports, postings and the rules that assign them."""

from collections.abc import Iterator, Callable
from pathlib import Path
from typing import Literal
from uuid import UUID

from swardcost_model.jobs import Job
from swardcost_model.ledger import Import, ImportFault, ImportResult, Posting, PostingExport, Voiding
from swardcost_model.ledger_assignment import (
    AssignmentPreview,
    HandAssignment,
    NewRule,
    PreviewRequest,
    Rule,
    RuleChange,
    RulesApplied,
    Splitting,
    Unsplitting,
)
from swardcost_model.ledger_profiles import (
    ControlTotals,
    NewProfile,
    Profile,
    ProfileChange,
    ProfileProposal,
    ReadyProfiles,
)

from swardcost._sync.jobs import Jobs
from swardcost._sync.session import Session

XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
"""Media type of a workbook."""
_LEDGER = "/v1/clubs/{club}/ledger"


class ImportProfiles:
    """How accounting exports are laid out."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def create(self, new: NewProfile) -> Profile:
        """Save a profile."""
        return self._session.post(Profile, f"{_LEDGER}/profiles", new)

    def list(self) -> Iterator[Profile]:
        """Every profile."""
        return self._session.pages(Profile, f"{_LEDGER}/profiles")

    def read(self, profile_id: UUID) -> Profile:
        """One profile."""
        return self._session.get(Profile, f"{_LEDGER}/profiles/{profile_id}")

    def change(self, profile_id: UUID, change: ProfileChange, version: int) -> Profile:
        """Replace the profile that is still at `version`."""
        return self._session.replace(Profile, f"{_LEDGER}/profiles/{profile_id}", change, version)

    def delete(self, profile_id: UUID, version: int) -> None:
        """Delete a profile that no import used."""
        self._session.remove(f"{_LEDGER}/profiles/{profile_id}", version)

    def ready(self) -> ReadyProfiles:
        """Profiles for published and usual layouts."""
        return self._session.get(ReadyProfiles, f"{_LEDGER}/ready-profiles")

    def propose(
        self, sample: str | bytes | Path, name: str = "Proposed", media_type: str = "text/csv"
    ) -> ProfileProposal:
        """A profile proposed from a sample of an export, CSV or a workbook (`XLSX`); nothing is saved."""
        path = f"{_LEDGER}/profiles/propose"
        return self._session.upload(ProfileProposal, path, sample, media_type, name=name)


class Imports:
    """Imports of accounting exports."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def upload(
        self,
        profile_id: UUID,
        filename: str,
        csv: str | bytes | Path,
        good_rows_only: bool = False,
        again: bool = False,
    ) -> ImportResult:
        """Import an export; with bad rows nothing is posted unless `good_rows_only` says so.

        A file that stands imported under another profile is refused unless it is to be imported `again`.
        """
        return self._session.upload(
            ImportResult, f"{_LEDGER}/imports/upload", csv, profile_id=profile_id, filename=filename,
            good_rows_only=good_rows_only, again=again,
        )  # fmt: skip

    def upload_xlsx(
        self,
        profile_id: UUID,
        filename: str,
        workbook: bytes | Path,
        good_rows_only: bool = False,
        again: bool = False,
    ) -> ImportResult:
        """Import an export that is a workbook, as `upload` does one that is CSV."""
        return self._session.upload(
            ImportResult, f"{_LEDGER}/imports/upload", workbook, XLSX, profile_id=profile_id, filename=filename,
            good_rows_only=good_rows_only, again=again,
        )  # fmt: skip

    def start(
        self,
        profile_id: UUID,
        filename: str,
        file: str | bytes | Path,
        good_rows_only: bool = False,
        again: bool = False,
        media_type: str = "text/csv",
    ) -> Job:
        """Start a job that imports an export, CSV or a workbook (`XLSX`); `finish` waits for it."""
        return self._session.upload(
            Job, f"{_LEDGER}/imports/start", file, media_type, profile_id=profile_id, filename=filename,
            good_rows_only=good_rows_only, again=again,
        )  # fmt: skip

    def finish(
        self, job: Job, on_progress: Callable[[Job], None] | None = None, seconds: float | None = None
    ) -> ImportResult:
        """What the job that was started led to, once it is done; see `jobs.wait`."""
        done = Jobs(self._session).wait(job.id, on_progress, seconds)
        return ImportResult.model_validate(done.result)

    def control_totals(self, import_id: UUID) -> ControlTotals:
        """By account, what the rows of a file add up to beside the balances that it states."""
        return self._session.get(ControlTotals, f"{_LEDGER}/imports/{import_id}/control-totals")

    def list(self) -> Iterator[Import]:
        """Every import."""
        return self._session.pages(Import, f"{_LEDGER}/imports")

    def read(self, import_id: UUID) -> Import:
        """One import."""
        return self._session.get(Import, f"{_LEDGER}/imports/{import_id}")

    def void(self, import_id: UUID, reason: str) -> Import:
        """Remove what the import posted; it stays on record, and its file can be imported again."""
        return self._session.post(Import, f"{_LEDGER}/imports/{import_id}/void", Voiding(reason=reason))

    def faults(self, import_id: UUID) -> Iterator[ImportFault]:
        """Why rows were left out: the first faults of a file that has very many."""
        return self._session.pages(ImportFault, f"{_LEDGER}/imports/{import_id}/faults")


class Postings:
    """Rows of the club's accounts."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def export(
        self, month: str | None = None, account: str | None = None, budget_line_id: UUID | None = None
    ) -> PostingExport:
        """How many postings the exported file has and what they sum to, to check it by."""
        return self._session.get(
            PostingExport,
            f"{_LEDGER}/postings/export",
            month=month,
            account=account,
            budget_line_id=budget_line_id,
        )

    def export_csv(
        self, month: str | None = None, account: str | None = None, budget_line_id: UUID | None = None
    ) -> str:
        """All postings, or those that the filters leave, as one CSV file; a split one has a row for each part."""
        return self._session.text(
            f"{_LEDGER}/postings/export", month=month, account=account, budget_line_id=budget_line_id
        )

    def list(
        self,
        month: str | None = None,
        account: str | None = None,
        budget_line_id: UUID | None = None,
        unassigned: bool | None = None,
        import_id: UUID | None = None,
        text: str | None = None,
        sort: Literal["date", "-date"] | None = None,
        project: str | None = None,
        late: bool | None = None,
    ) -> Iterator[Posting]:
        """Every posting; all, or those that the filters leave."""
        return self._session.pages(
            Posting, f"{_LEDGER}/postings", month=month, account=account, budget_line_id=budget_line_id,
            unassigned=unassigned, import_id=import_id, text=text, sort=sort, project=project,
            late=late,
        )  # fmt: skip

    def read(self, posting_id: str) -> Posting:
        """One posting."""
        return self._session.get(Posting, f"{_LEDGER}/postings/{posting_id}")

    def assign(self, posting_id: str, budget_line_id: UUID | None, reason: str) -> Posting:
        """Assign a posting by hand, or with `None` keep it unassigned; rules leave it alone afterwards."""
        assignment = HandAssignment(budget_line_id=budget_line_id, reason=reason)
        return self._session.post(Posting, f"{_LEDGER}/postings/{posting_id}/assign", assignment)

    def split(self, posting_id: str, splitting: Splitting) -> Posting:
        """Split a posting over budget lines by shares or by amounts; rules leave it alone afterwards."""
        return self._session.post(Posting, f"{_LEDGER}/postings/{posting_id}/split", splitting)

    def unsplit(self, posting_id: str, reason: str) -> Posting:
        """Make a split posting whole again, and unassigned."""
        return self._session.post(
            Posting, f"{_LEDGER}/postings/{posting_id}/unsplit", Unsplitting(reason=reason)
        )


class AssignmentRules:
    """Rules that assign postings to budget lines."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def create(self, new: NewRule) -> Rule:
        """Add a rule."""
        return self._session.post(Rule, f"{_LEDGER}/rules", new)

    def list(self, budget_id: UUID | None = None) -> Iterator[Rule]:
        """Every rule; all, or those of a budget."""
        return self._session.pages(Rule, f"{_LEDGER}/rules", budget_id=budget_id)

    def read(self, rule_id: UUID) -> Rule:
        """One rule."""
        return self._session.get(Rule, f"{_LEDGER}/rules/{rule_id}")

    def change(self, rule_id: UUID, change: RuleChange, version: int) -> Rule:
        """Replace the rule that is still at `version`."""
        return self._session.replace(Rule, f"{_LEDGER}/rules/{rule_id}", change, version)

    def delete(self, rule_id: UUID, version: int) -> None:
        """Delete a rule; what it assigned stays assigned."""
        self._session.remove(f"{_LEDGER}/rules/{rule_id}", version)

    def preview(
        self, rule: NewRule | None = None, in_place_of: UUID | None = None
    ) -> AssignmentPreview:
        """What a rule that is not saved would take of the unassigned postings, or what all rules would; no change."""
        asked = PreviewRequest(rule=rule, in_place_of=in_place_of)
        return self._session.post(AssignmentPreview, f"{_LEDGER}/assignments/preview", asked)

    def apply(self) -> RulesApplied:
        """Apply all rules to the postings that are not assigned."""
        return self._session.post(RulesApplied, f"{_LEDGER}/assignments/apply")
