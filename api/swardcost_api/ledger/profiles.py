"""Import profiles: how the club's accounting exports are laid out."""

from typing import Any
from uuid import UUID

from sqlalchemy import Row, insert, select
from swardcost_model import problems
from swardcost_model.ledger_profiles import NewProfile, Profile, ProfileChange, ProfileFields
from swardcost_model.paging import Page
from swardcost_model.problems import ProblemError

from swardcost_api.access.service import record
from swardcost_api.ledger.tables import ProfileRow
from swardcost_api.storage.paging import read_page
from swardcost_api.storage.rows import delete_row, edit_row, missing
from swardcost_api.storage.work import UnitOfWork

_PROFILE = (ProfileRow.id, ProfileRow.name, ProfileRow.layout, ProfileRow.version)


def create_profile(work: UnitOfWork, new: NewProfile) -> Profile:
    """Save a profile. Raises `duplicate` where the club has one of that name."""
    _refuse_taken_name(work, new.name)
    profile = _profile(work.new_id(), new, version=1)
    work.session.execute(
        insert(ProfileRow).values(club_id=work.club_id, id=profile.id, version=1, **_columns(new))
    )
    record(work, "create", "import_profile", profile.id, after=profile)
    return profile


def list_profiles(work: UnitOfWork, limit: int, cursor: str | None) -> Page[Profile]:
    """The club's profiles, by name."""
    statement = select(*_PROFILE).where(ProfileRow.club_id == work.club_id)
    rows, following = read_page(work, statement, (ProfileRow.name,), limit, cursor)
    return Page[Profile](items=[_profile_of(row) for row in rows], next=following)


def read_profile(work: UnitOfWork, profile_id: UUID) -> Profile:
    """One profile."""
    statement = select(*_PROFILE).where(ProfileRow.club_id == work.club_id, ProfileRow.id == profile_id)
    row = work.session.execute(statement).first()
    if row is None:
        raise missing("import profile")
    return _profile_of(row)


def change_profile(work: UnitOfWork, profile_id: UUID, change: ProfileChange, if_match: int) -> Profile:
    """Replace a profile."""
    before = read_profile(work, profile_id)
    if change.name != before.name:
        _refuse_taken_name(work, change.name)
    edit_row(work, ProfileRow, profile_id, if_match, "import profile", **_columns(change))
    after = _profile(profile_id, change, version=if_match + 1)
    record(work, "change", "import_profile", profile_id, before, after)
    return after


def delete_profile(work: UnitOfWork, profile_id: UUID, if_match: int) -> None:
    """Delete a profile that no import was made with."""
    before = read_profile(work, profile_id)
    delete_row(work, ProfileRow, profile_id, if_match, "import profile")
    record(work, "delete", "import_profile", profile_id, before)


def _profile(profile_id: UUID, fields: ProfileFields, version: int) -> Profile:
    stated = {name: getattr(fields, name) for name in ProfileFields.model_fields}
    return Profile.model_construct(id=profile_id, version=version, **stated)


def _profile_of(row: Row[*tuple[Any, ...]]) -> Profile:
    return Profile(id=row.id, version=row.version, name=row.name, **row.layout)


def _columns(fields: ProfileFields) -> dict[str, Any]:
    layout = fields.model_dump(mode="json", include=set(ProfileFields.model_fields) - {"name"})
    return {"name": fields.name, "layout": layout}


def _refuse_taken_name(work: UnitOfWork, name: str) -> None:
    taken = select(ProfileRow.id).where(ProfileRow.club_id == work.club_id, ProfileRow.name == name)
    if work.session.scalar(taken) is not None:
        raise ProblemError(problems.DUPLICATE, f"There is already an import profile named {name!r}.")
