"""How a room states its operations: HTTP verb, path, who may, and what it can answer.

A room's `routes.py` decorates plain functions with `read`, `ask`, `create`, `edit`, `act` or `remove`; the
web room turns them into handlers. Each function, or what reads for it, gets the unit of work first; its
other parameters are filled by name:

- names in the path (`{area_id}`) from the path,
- `transactions`, for what it does before its own transaction, and `prepared`, what came of that,
- `data` from the JSON body, `upload` (an open binary file) from a body of one of the operation's upload media types
  (CSV, unless it says otherwise), and `media_type` says which of them came,
- `if_match` from the `If-Match` header, as the version number,
- everything else from the query, described by `typing.Annotated[..., Query(...)]`.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Annotated, Any, Literal, Protocol, TypeVar

from pydantic import BaseModel
from swardcost_model.access import Role
from swardcost_model.problems import ProblemKind

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from swardcost_api.jobs.service import JobKind

F = TypeVar("F", bound=Callable[..., Any])
Verb = Literal["GET", "POST", "PUT", "PATCH", "DELETE"]

EVERYONE = frozenset(Role)
"""Every role of the club."""
CLUB = "/v1/clubs/{club_id}"
"""Path prefix of everything that belongs to a club."""
JSON = "application/json"
CSV = "text/csv"
GEOJSON = "application/geo+json"
"""RFC 7946, section 12."""
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
"""A workbook of a spreadsheet program."""
HTML = "text/html"
PDF = "application/pdf"
SVG = "image/svg+xml"
"""A chart as a picture (W3C, Scalable Vector Graphics)."""
VEGA_LITE = "application/vnd.vegalite.v6+json"
"""A chart as a specification in the grammar of Vega-Lite, version 6, with its data in it."""
JOBS = CLUB + "/jobs"
"""Where jobs are found."""


@dataclass(frozen=True)
class Query:
    """A query parameter: what it means and its bounds."""

    description: str
    ge: int | None = None
    le: int | None = None
    max_length: int | None = 200
    example: Any = None


Limit = Annotated[int, Query("Rows a page.", ge=1, le=200)]
Cursor = Annotated[str | None, Query("`next` of the page before.", max_length=1000)]


@dataclass(frozen=True)
class Face:
    """Another form of the answer, chosen by `Accept`: its media type and how the answer is written in it.

    One for JSON takes the place of the answer's own, where its bytes are kept and not written anew.
    """

    media_type: str
    write: Callable[[Any], str | bytes]


@dataclass(frozen=True)
class StreamedFace:
    """A form of the answer that is sent as it is read, so that its length costs no memory.

    `pieces` gets what the operation's function gets, and gives the text piece by piece in one transaction; what it
    refuses it refuses before the first piece.
    """

    media_type: str
    pieces: Callable[..., Iterator[str]]


class Prepared(Protocol):
    """What an operation has done before its transaction, to be closed."""

    @property
    def connection(self) -> "Connection | None":
        """The connection that the transaction must run on, where it matters."""

    def close(self) -> None:
        """Give back what it holds."""


@dataclass(frozen=True)
class Operation:
    """One operation of the API, stated without HTTP machinery."""

    verb: Verb
    path: str
    function: Callable[..., Any]
    summary: str
    needs: frozenset[Role] | None
    """Roles that may use it; `None` means that no key is needed."""
    tag: str
    status: int = 200
    writes: bool = False
    creates: bool = False
    upload: bool = False
    upload_media_types: Sequence[str] = (CSV,)
    upload_model: type[BaseModel] | None = None
    """What an upload that is JSON looks like; it documents, and the use case checks."""
    confidential: bool = False
    """The answer holds a secret: it is not kept for a repeated request."""
    problems: Sequence[ProblemKind] = ()
    faces: Sequence[Face | StreamedFace] = ()
    collection: str | None = None
    """Path of the collection that a new thing is found in, where it is not the path posted to."""
    reads: Callable[..., Any] | None = None
    """What reads for it, where computing the answer takes long: `function` then gets what this returned and nothing
    else, when the transaction has ended and its connection and thread have been given back."""
    solves: Callable[..., Any] | None = None
    """What computes for a write what takes long: it gets what `reads` returned, when that transaction has ended, and
    `function` gets what it gave, `solved`, in a transaction of its own. By then what was read may have changed, so
    `function` looks again."""
    prepares: Callable[..., Prepared] | None = None
    """What it does before its transaction, where that takes long and would keep others from writing: `function` then
    gets the unit of work and what this gave, `prepared`."""
    starts: "JobKind | None" = None
    """The job that it starts."""

    @property
    def quick(self) -> bool:
        """Whether it reads one thing by its id."""
        return self.verb == "GET" and self.path.endswith("_id}") and not self.faces

    @property
    def changes_keys(self) -> bool:
        """Whether keys may be valid or not otherwise than before it."""
        return self.writes and "/keys" in self.path

    @property
    def id(self) -> str:
        """The operation's id: the name of its function."""
        return self.function.__name__


@dataclass
class Room:
    """The operations of one room, under one tag of the documentation."""

    tag: str
    about: str
    operations: list[Operation] = field(default_factory=list)

    def _add(
        self, verb: Verb, path: str, summary: str, needs: frozenset[Role] | None, **more: Any
    ) -> Callable[[F], F]:
        def decorate(function: F) -> F:
            self.operations.append(Operation(verb, path, function, summary, needs, self.tag, **more))
            return function

        return decorate

    def read(
        self,
        path: str,
        summary: str,
        *,
        needs: frozenset[Role] | None = EVERYONE,
        problems: Sequence[ProblemKind] = (),
        faces: Sequence[Face | StreamedFace] = (),
        reads: Callable[..., Any] | None = None,
    ) -> Callable[[F], F]:
        """`GET`: reads in one transaction and changes nothing. With `reads` the answer is computed after it."""
        return self._add("GET", path, summary, needs, problems=problems, faces=faces, reads=reads)

    def ask(
        self,
        path: str,
        summary: str,
        *,
        needs: frozenset[Role],
        problems: Sequence[ProblemKind] = (),
        faces: Sequence[Face] = (),
        reads: Callable[..., Any] | None = None,
    ) -> Callable[[F], F]:
        """`POST` of a question too long for a query: 200, and it changes nothing. With `reads`, which then gets the
        question, the answer is computed after the transaction."""
        return self._add("POST", path, summary, needs, problems=problems, faces=faces, reads=reads)

    def create(
        self,
        path: str,
        summary: str,
        *,
        needs: frozenset[Role],
        problems: Sequence[ProblemKind] = (),
        upload: bool = False,
        upload_media_types: Sequence[str] = (CSV,),
        upload_model: type[BaseModel] | None = None,
        confidential: bool = False,
        collection: str | None = None,
        prepares: Callable[..., Prepared] | None = None,
        reads: Callable[..., Any] | None = None,
        solves: Callable[..., Any] | None = None,
    ) -> Callable[[F], F]:
        """`POST` that makes something: 201, and repeatable under an `Idempotency-Key`."""
        return self._add(
            "POST", path, summary, needs, status=201, writes=True, creates=True, problems=problems, upload=upload,
            upload_media_types=upload_media_types, upload_model=upload_model, confidential=confidential,
            collection=collection, prepares=prepares, reads=reads, solves=solves,
        )  # fmt: skip

    def start(
        self,
        path: str,
        summary: str,
        *,
        needs: frozenset[Role],
        starts: "JobKind",
        problems: Sequence[ProblemKind] = (),
        upload: bool = False,
        upload_media_types: Sequence[str] = (CSV,),
    ) -> Callable[[F], F]:
        """`POST` that starts a job and answers at once: 202 with the job, repeatable under an `Idempotency-Key`."""
        return self._add(
            "POST", path, summary, needs, status=202, writes=True, creates=True, problems=problems, upload=upload,
            upload_media_types=upload_media_types, collection=JOBS, starts=starts,
        )  # fmt: skip

    def act(
        self,
        path: str,
        summary: str,
        *,
        needs: frozenset[Role],
        problems: Sequence[ProblemKind] = (),
        upload: bool = False,
        upload_media_types: Sequence[str] = (CSV,),
        reads: Callable[..., Any] | None = None,
        solves: Callable[..., Any] | None = None,
    ) -> Callable[[F], F]:
        """`POST` that moves something to another state, or tells of a file without keeping it: 200."""
        return self._add(
            "POST", path, summary, needs, writes=True, creates=True, problems=problems, upload=upload,
            upload_media_types=upload_media_types, reads=reads, solves=solves,
        )  # fmt: skip

    def edit(
        self,
        path: str,
        summary: str,
        *,
        needs: frozenset[Role],
        problems: Sequence[ProblemKind] = (),
        verb: Literal["PUT", "PATCH"] = "PUT",
    ) -> Callable[[F], F]:
        """`PUT` or `PATCH`: replaces what `If-Match` names."""
        return self._add(verb, path, summary, needs, writes=True, problems=problems)

    def remove(
        self, path: str, summary: str, *, needs: frozenset[Role], problems: Sequence[ProblemKind] = ()
    ) -> Callable[[F], F]:
        """`DELETE`: 204."""
        return self._add("DELETE", path, summary, needs, status=204, writes=True, problems=problems)
