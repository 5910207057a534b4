"""HTTP operations of the ledger."""

from collections.abc import Iterator
from typing import IO, Annotated, Literal
from uuid import UUID

from swardcost_model import problems
from swardcost_model.access import Role
from swardcost_model.jobs import Job
from swardcost_model.ledger import Import, ImportFault, ImportResult, Posting, PostingExport, Voiding
from swardcost_model.ledger_profiles import (
    ControlTotals,
    NewProfile,
    Profile,
    ProfileChange,
    ProfileProposal,
    ReadyProfiles,
)
from swardcost_model.paging import Page
from swardcost_model.values import Month

from swardcost_api.ledger import (
    control_totals,
    export,
    importing,
    postings,
    profiles,
    proposals,
    service,
    voiding,
)
from swardcost_api.ledger.ready_profiles import READY
from swardcost_api.operations import CLUB, CSV, XLSX, Cursor, Limit, Query, Room, StreamedFace
from swardcost_api.storage.work import Transactions, UnitOfWork

room = Room("Ledger", "Accounting exports imported as postings.")
BOOKKEEPERS = frozenset({Role.CONTROLLER, Role.OWNER})

PROFILES = CLUB + "/ledger/profiles"
IMPORTS = CLUB + "/ledger/imports"
POSTINGS = CLUB + "/ledger/postings"
InMonth = Annotated[
    Month | None, Query("Only postings of this accounting month, late ones included.", example="2026-03")
]


@room.create(PROFILES, "Save an import profile", needs=BOOKKEEPERS)
def create_import_profile(work: UnitOfWork, data: NewProfile) -> Profile:
    """Which column of the accounting export holds what, and how its dates and amounts are written."""
    return profiles.create_profile(work, data)


@room.read(PROFILES, "List the import profiles")
def list_import_profiles(work: UnitOfWork, limit: Limit = 50, cursor: Cursor = None) -> Page[Profile]:
    return profiles.list_profiles(work, limit, cursor)


@room.read(PROFILES + "/{profile_id}", "Read an import profile")
def read_import_profile(work: UnitOfWork, profile_id: UUID) -> Profile:
    return profiles.read_profile(work, profile_id)


@room.edit(PROFILES + "/{profile_id}", "Edit an import profile", needs=BOOKKEEPERS)
def change_import_profile(work: UnitOfWork, profile_id: UUID, data: ProfileChange, if_match: int) -> Profile:
    return profiles.change_profile(work, profile_id, data, if_match)


@room.remove(
    PROFILES + "/{profile_id}", "Delete an import profile", needs=BOOKKEEPERS, problems=[problems.IN_USE]
)
def delete_import_profile(work: UnitOfWork, profile_id: UUID, if_match: int) -> None:
    profiles.delete_profile(work, profile_id, if_match)


@room.read(CLUB + "/ledger/ready-profiles", "List the ready import profiles")
def list_ready_profiles(work: UnitOfWork) -> ReadyProfiles:
    """Published and usual layouts; save one as it is, or change it first."""
    return ReadyProfiles(items=list(READY))


@room.act(
    PROFILES + "/propose", "Propose an import profile from a sample", needs=BOOKKEEPERS, upload=True,
    upload_media_types=[CSV, XLSX],
)  # fmt: skip
def propose_import_profile(
    work: UnitOfWork,
    upload: IO[bytes],
    media_type: str,
    name: Annotated[str, Query("Name that the profile shall have.")] = "Proposed",
) -> ProfileProposal:
    """What each column seems to hold and why, the first rows as they would be read, and what is in doubt.

    Nothing is saved, and the file is not kept. Save the profile when its rows are read as you know them.
    """
    return proposals.propose_profile(work, upload, media_type, name)


ProfileId = Annotated[UUID, Query("The import profile that says how the file is laid out.")]
Filename = Annotated[str, Query("Name of the file, kept with the import.", example="ledger-2026-03.csv")]
GoodRowsOnly = Annotated[
    bool, Query("Post the good rows even if others are at fault; their faults are kept with the import.")
]
Again = Annotated[
    bool, Query("Import the file even if it stands imported under another profile or version of the profile.")
]


def read_upload(
    transactions: Transactions,
    upload: IO[bytes],
    media_type: str,
    profile_id: ProfileId,
    filename: Filename = "",
    good_rows_only: GoodRowsOnly = False,
    again: Again = False,
) -> importing.ReadExport:
    """What an upload does before its transaction."""
    order = importing.ImportOrder(
        profile_id=profile_id, filename=filename, media_type=media_type, good_rows_only=good_rows_only, again=again
    )  # fmt: skip
    return importing.read_export(transactions, upload, order)


@room.create(
    IMPORTS + "/upload", "Import an accounting export", needs=BOOKKEEPERS, upload=True,
    upload_media_types=(CSV, XLSX), prepares=read_upload, problems=[problems.BAD_ROWS, problems.WRONG_STATE],
    collection=IMPORTS,
)  # fmt: skip
def import_export(work: UnitOfWork, prepared: importing.ReadExport) -> ImportResult:
    """Every row is posted once, however often its file comes: rows that say the same as a posting add nothing.

    Equal rows within one file are as many postings. The very same bytes under the same version of the
    profile give the earlier import again, with `repeated` true and `rows_posted` 0. Under another profile or
    version they are refused with `wrong-state`, because a row read in another way is another posting and
    counts twice: void the earlier import first, or say `again=true`. A voided import is no obstacle.

    A workbook (.xlsx) may have up to 100,000 rows below its header; its days and numbers are taken exactly as they
    are. A file that takes long is better imported by a job: see `start`.
    """
    return importing.post_export(work, prepared)


@room.start(
    IMPORTS + "/start", "Start importing an accounting export", needs=BOOKKEEPERS, upload=True,
    upload_media_types=(CSV, XLSX), starts=importing.IMPORT_JOB,
)  # fmt: skip
def start_import(
    work: UnitOfWork,
    upload: IO[bytes],
    media_type: str,
    profile_id: ProfileId,
    filename: Filename = "",
    good_rows_only: GoodRowsOnly = False,
    again: Again = False,
) -> Job:
    """Does what an upload does, as a job: the file is taken in, and imported while you wait for nothing.

    The job's `result` is what the upload would have answered. A file that the upload would refuse makes the job
    fail, with the same problem. Until the import is posted, all at once at the end, the ledger is as it was.
    """
    order = importing.ImportOrder(
        profile_id=profile_id, filename=filename, media_type=media_type, good_rows_only=good_rows_only, again=again
    )  # fmt: skip
    return importing.start_import(work, upload, order)


@room.read(IMPORTS, "List the imports")
def list_imports(work: UnitOfWork, limit: Limit = 50, cursor: Cursor = None) -> Page[Import]:
    return service.list_imports(work, limit, cursor)


@room.read(IMPORTS + "/{import_id}", "Read an import")
def read_import(work: UnitOfWork, import_id: UUID) -> Import:
    return service.read_import(work, import_id)


@room.act(IMPORTS + "/{import_id}/void", "Void an import", needs=BOOKKEEPERS, problems=[problems.WRONG_STATE])
def void_import(work: UnitOfWork, import_id: UUID, data: Voiding) -> Import:
    """Removes the postings that the import added, those assigned by hand too; the audit trail keeps their sums.

    The import and its faults stay readable. Its file can be imported again, with any profile. Rows that a
    later import knew from this one are removed as well: upload that later file again to post them. An import with
    postings in a closed month is not voided.
    """
    return voiding.void_import(work, import_id, data)


@room.read(IMPORTS + "/{import_id}/control-totals", "Read the control totals of an import")
def read_control_totals(work: UnitOfWork, import_id: UUID) -> ControlTotals:
    """By account: what the file's rows add up to, beside the opening and closing balances that it states."""
    return control_totals.control_totals(work, import_id)


@room.read(IMPORTS + "/{import_id}/faults", "List the faults of an import")
def list_import_faults(
    work: UnitOfWork, import_id: UUID, limit: Limit = 50, cursor: Cursor = None
) -> Page[ImportFault]:
    """Why rows were left out of an import that took the good rows only: its first 10,000 faults."""
    return service.list_import_faults(work, import_id, limit, cursor)


@room.read(POSTINGS, "List the postings")
def list_postings(
    work: UnitOfWork,
    limit: Limit = 50,
    cursor: Cursor = None,
    month: InMonth = None,
    account: Annotated[str | None, Query("Only postings to this account.")] = None,
    project: Annotated[str | None, Query("Only postings with this project code.")] = None,
    budget_line_id: Annotated[
        UUID | None, Query("Only postings assigned to this budget line, whole or in part.")
    ] = None,
    unassigned: Annotated[
        bool | None, Query("Only postings without a budget line, or only those with one or several.")
    ] = None,
    late: Annotated[
        bool | None,
        Query("Only postings that count in a later month than that of their day, or only others."),
    ] = None,
    import_id: Annotated[UUID | None, Query("Only postings that came with this import.")] = None,
    text: Annotated[
        str | None, Query("Only postings with this in description, vendor or reference; A is a, Ä is not ä.")
    ] = None,
    sort: Annotated[
        Literal["date", "-date"],
        Query("By accounting month and in it by date, from the earliest or (-) from the latest."),
    ] = "date",
) -> Page[Posting]:
    wanted = postings.PostingFilter(
        month, account, project, budget_line_id, unassigned, late, import_id, text
    )
    return postings.list_postings(work, limit, cursor, wanted, descending=sort == "-date")


def _exported(
    work: UnitOfWork,
    month: InMonth = None,
    account: Annotated[str | None, Query("Only postings to this account.")] = None,
    budget_line_id: Annotated[
        UUID | None, Query("Only postings assigned to this budget line, whole or in part.")
    ] = None,
) -> Iterator[str]:
    return export.postings_csv(work, postings.PostingFilter(month, account, None, budget_line_id))


@room.read(
    POSTINGS + "/export", "Export the postings", faces=[StreamedFace(CSV, _exported)], problems=[problems.UNAVAILABLE]
)  # fmt: skip
def export_postings(
    work: UnitOfWork,
    month: InMonth = None,
    account: Annotated[str | None, Query("Only postings to this account.")] = None,
    budget_line_id: Annotated[
        UUID | None, Query("Only postings assigned to this budget line, whole or in part.")
    ] = None,
) -> PostingExport:
    """As CSV all of them in one file, sent as it is read, however many there are; a split one has a row for each part.
    As JSON how many they are and what they sum to, to check the file by."""
    return export.count_postings(work, postings.PostingFilter(month, account, None, budget_line_id))


@room.read(POSTINGS + "/{posting_id}", "Read a posting")
def read_posting(work: UnitOfWork, posting_id: str) -> Posting:
    return postings.read_posting(work, posting_id)
