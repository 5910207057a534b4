"""HTTP operations of the ledger."""

from typing import IO, Annotated, Literal
from uuid import UUID

from swardcost_model import problems
from swardcost_model.access import Role
from swardcost_model.ledger import (
    HandAssignment,
    Import,
    ImportFault,
    ImportResult,
    NewRule,
    Posting,
    Rule,
    RuleChange,
    RulesApplied,
    Voiding,
)
from swardcost_model.ledger_profiles import NewProfile, Profile, ProfileChange
from swardcost_model.paging import Page
from swardcost_model.values import Month

from swardcost_api.ledger import importing, profiles, rules, service, voiding
from swardcost_api.operations import CLUB, Cursor, Limit, Query, Room
from swardcost_api.storage.work import UnitOfWork

room = Room(
    "Ledger", "Accounting exports imported as postings, and the rules that assign them to budget lines."
)
BOOKKEEPERS = frozenset({Role.CONTROLLER, Role.OWNER})

PROFILES = CLUB + "/ledger/profiles"
IMPORTS = CLUB + "/ledger/imports"
POSTINGS = CLUB + "/ledger/postings"
RULES = CLUB + "/ledger/rules"


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


@room.create(
    IMPORTS + "/upload", "Import an accounting export", needs=BOOKKEEPERS, upload=True,
    problems=[problems.BAD_ROWS, problems.WRONG_STATE], collection=IMPORTS,
)  # fmt: skip
def import_export(
    work: UnitOfWork,
    upload: IO[bytes],
    profile_id: Annotated[UUID, Query("The import profile that says how the file is laid out.")],
    filename: Annotated[
        str, Query("Name of the file, kept with the import.", example="ledger-2026-03.csv")
    ] = "",
    good_rows_only: Annotated[
        bool, Query("Post the good rows even if others are at fault; their faults are kept with the import.")
    ] = False,
    again: Annotated[
        bool,
        Query("Import the file even if it stands imported under another profile or version of the profile."),
    ] = False,
) -> ImportResult:
    """Every row is posted once, however often its file comes: rows that say the same as a posting add nothing.

    Equal rows within one file are as many postings. The very same bytes under the same version of the
    profile give the earlier import again, with `repeated` true and `rows_posted` 0. Under another profile or
    version they are refused with `wrong-state`, because a row read in another way is another posting and
    counts twice: void the earlier import first, or say `again=true`. A voided import is no obstacle.
    """
    return importing.import_file(
        work, upload, profile_id, filename, good_rows_only=good_rows_only, again=again
    )


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
    later import knew from this one are removed as well: upload that later file again to post them.
    """
    return voiding.void_import(work, import_id, data)


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
    month: Annotated[Month | None, Query("Only postings of this month.", example="2026-03")] = None,
    account: Annotated[str | None, Query("Only postings to this account.")] = None,
    budget_line_id: Annotated[UUID | None, Query("Only postings assigned to this budget line.")] = None,
    unassigned: Annotated[
        bool | None, Query("Only postings without a budget line, or only those with one.")
    ] = None,
    import_id: Annotated[UUID | None, Query("Only postings that came with this import.")] = None,
    text: Annotated[
        str | None, Query("Only postings with this in description, vendor or reference; A is a, Ä is not ä.")
    ] = None,
    sort: Annotated[
        Literal["date", "-date"], Query("By date, from the earliest or (-) from the latest.")
    ] = "date",
) -> Page[Posting]:
    wanted = service.PostingFilter(month, account, budget_line_id, unassigned, import_id, text)
    return service.list_postings(work, limit, cursor, wanted, descending=sort == "-date")


@room.read(POSTINGS + "/{posting_id}", "Read a posting")
def read_posting(work: UnitOfWork, posting_id: str) -> Posting:
    return service.read_posting(work, posting_id)


@room.act(POSTINGS + "/{posting_id}/assign", "Assign a posting by hand", needs=BOOKKEEPERS)
def assign_posting(work: UnitOfWork, posting_id: str, data: HandAssignment) -> Posting:
    return service.assign_posting(work, posting_id, data)


@room.create(RULES, "Add an assignment rule", needs=BOOKKEEPERS)
def create_assignment_rule(work: UnitOfWork, data: NewRule) -> Rule:
    """The rules of all budgets are tried on every posting that an import adds, lowest priority number first."""
    return rules.create_rule(work, data)


@room.read(RULES, "List the assignment rules")
def list_assignment_rules(
    work: UnitOfWork,
    limit: Limit = 50,
    cursor: Cursor = None,
    budget_id: Annotated[UUID | None, Query("Only rules of this budget.")] = None,
) -> Page[Rule]:
    """In the order in which they are tried."""
    return rules.list_rules(work, limit, cursor, budget_id)


@room.read(RULES + "/{rule_id}", "Read an assignment rule")
def read_assignment_rule(work: UnitOfWork, rule_id: UUID) -> Rule:
    return rules.read_rule(work, rule_id)


@room.edit(RULES + "/{rule_id}", "Edit an assignment rule", needs=BOOKKEEPERS)
def change_assignment_rule(work: UnitOfWork, rule_id: UUID, data: RuleChange, if_match: int) -> Rule:
    return rules.change_rule(work, rule_id, data, if_match)


@room.remove(RULES + "/{rule_id}", "Delete an assignment rule", needs=BOOKKEEPERS)
def delete_assignment_rule(work: UnitOfWork, rule_id: UUID, if_match: int) -> None:
    rules.delete_rule(work, rule_id, if_match)


@room.act(CLUB + "/ledger/assignments/apply", "Apply the rules to unassigned postings", needs=BOOKKEEPERS)
def apply_assignment_rules(work: UnitOfWork) -> RulesApplied:
    """Postings assigned or left unassigned by hand stay as they are."""
    return rules.apply_rules(work)
