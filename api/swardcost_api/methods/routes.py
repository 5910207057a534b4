"""HTTP operations of the methods of work, built-in and the club's own, and of the units."""

from swardcost_model import problems
from swardcost_model.access import Role
from swardcost_model.club_methods import (
    ClubMethod,
    ClubMethodChange,
    ClubMethodRevision,
    ClubMethodSummary,
    NewClubMethod,
)
from swardcost_model.methods import MethodDescription, MethodList, UnitList
from swardcost_model.paging import Page

from swardcost_api.methods import own, service
from swardcost_api.operations import CLUB, Cursor, Limit, Room
from swardcost_api.storage.work import UnitOfWork

room = Room(
    "Methods",
    "Methods of work: their parameters, measures, sources and cautions; the club's own methods; and the units.",
)
PLANNERS = frozenset({Role.SUPERINTENDENT, Role.OWNER})

CLUB_METHODS = CLUB + "/methods"
CLUB_METHOD = CLUB_METHODS + "/{name}"


@room.read("/v1/methods", "List the methods", needs=None)
def list_methods() -> MethodList:
    return service.list_methods()


@room.read("/v1/methods/{name}", "Describe a method", needs=None)
def read_method(name: str) -> MethodDescription:
    """Parameters as a JSON Schema, measures with units, sources, a worked example and cautions."""
    return service.describe(name)


@room.read("/v1/units", "List the units", needs=None)
def list_units() -> UnitList:
    return service.list_units()


@room.create(CLUB_METHODS, "Keep a method of the club's own", needs=PLANNERS)
def create_club_method(work: UnitOfWork, data: NewClubMethod) -> ClubMethod:
    """It is a built-in method with parameters set (`base`), or rates for what one counts or measures (`driver`).

    Its lines name items of the catalog and how much of them is needed; each gives a measure. A scope item uses
    the method by its name, in the revision that is the latest when the scope item is saved.
    """
    return own.create_club_method(work, data)


@room.read(CLUB_METHODS, "List the club's own methods")
def list_club_methods(work: UnitOfWork, limit: Limit = 50, cursor: Cursor = None) -> Page[ClubMethodSummary]:
    """By name, each in its latest revision. The built-in ones are at `GET /v1/methods`."""
    return own.list_club_methods(work, limit, cursor)


@room.read(CLUB_METHOD, "Read a method of the club's own")
def read_club_method(work: UnitOfWork, name: str) -> ClubMethod:
    """The latest revision, with what a scope item gives and what the method yields."""
    return own.read_club_method(work, name)


@room.edit(CLUB_METHOD, "Revise a method of the club's own", needs=PLANNERS)
def change_club_method(work: UnitOfWork, name: str, data: ClubMethodChange, if_match: int) -> ClubMethod:
    """Makes the next revision. Scope items keep the one they have until they are saved again."""
    return own.change_club_method(work, name, data, if_match)


@room.remove(CLUB_METHOD, "Delete a method of the club's own", needs=PLANNERS, problems=[problems.IN_USE])
def delete_club_method(work: UnitOfWork, name: str, if_match: int) -> None:
    """With all its revisions, while no scope item uses one."""
    own.delete_club_method(work, name, if_match)


@room.read(CLUB_METHOD + "/revisions/{number}", "Read a revision of a method of the club's own")
def read_club_method_revision(work: UnitOfWork, name: str, number: int) -> ClubMethodRevision:
    return own.read_club_method_revision(work, name, number)
