"""Problem details (RFC 9457): every way in which the service refuses, and what the caller can do next.

A problem's `type` is a path on the service that serves it, where the problem is explained.
"""

from dataclasses import dataclass
from typing import Any

from pydantic import BaseModel, ConfigDict, Field

MEDIA_TYPE = "application/problem+json"


@dataclass(frozen=True)
class ProblemKind:
    """One way of refusing: a stable slug, the HTTP status, a short title and what to do about it."""

    slug: str
    status: int
    title: str
    mend: str

    @property
    def type(self) -> str:
        return f"/problems/{self.slug}"

    def example(self) -> dict[str, Any]:
        """What a problem document of this kind looks like."""
        return {
            "type": self.type,
            "title": self.title,
            "status": self.status,
            "detail": self.mend,
            "faults": [],
        }


class Fault(BaseModel):
    """One thing that is wrong with a request, and where."""

    pointer: str = Field(description="JSON Pointer (RFC 6901) into the body, or the name of a parameter.")
    expected: str
    got: str | None = Field(default=None, description="What came, shortened.")


class Problem(BaseModel):
    """A problem document as it travels."""

    model_config = ConfigDict(extra="allow")

    type: str = Field(examples=["/problems/invalid-request"])
    title: str
    status: int
    detail: str
    instance: str | None = None
    request_id: str | None = None
    faults: list[Fault] = Field(default_factory=list)


class ProblemError(Exception):
    """Raised anywhere in the service to refuse a request; the web room turns it into a problem document."""

    def __init__(
        self, kind: ProblemKind, detail: str, faults: list[Fault] | None = None, **more: Any
    ) -> None:
        super().__init__(detail)
        self.kind = kind
        self.detail = detail
        self.faults = faults or []
        self.more = more


def _kind(slug: str, status: int, title: str, mend: str) -> ProblemKind:
    kind = ProblemKind(slug, status, title, mend)
    ALL[slug] = kind
    return kind


ALL: dict[str, ProblemKind] = {}

INVALID_REQUEST = _kind(
    "invalid-request",
    400,
    "The request does not have the expected form",
    "Each fault names the place, what was expected and what came. Mend those and send the request again.",
)
INVALID_CSV = _kind(
    "invalid-csv",
    400,
    "The file cannot be read as the expected CSV",
    "Send UTF-8 text with the header row shown in the documentation; each fault names its row and column.",
)
INVALID_WORKBOOK = _kind(
    "invalid-workbook",
    400,
    "The file cannot be read as the expected workbook",
    "Send a workbook (.xlsx) whose sheet has the header row shown in the documentation; each fault names its place.",
)
UNKNOWN_CURSOR = _kind(
    "unknown-cursor",
    400,
    "The cursor was not given out by this list",
    "Start again without a cursor, with the same filters and sort order for every page.",
)
UNAUTHENTICATED = _kind(
    "unauthenticated",
    401,
    "A valid key is needed",
    "Send `Authorization: Bearer <key>` with a key that is neither expired nor revoked.",
)
FORBIDDEN = _kind(
    "forbidden",
    403,
    "This key's role may not do that",
    "Ask an owner for a key with one of the roles named in the detail.",
)
NOT_FOUND = _kind(
    "not-found",
    404,
    "There is nothing here for this key",
    "Check the path and the ids; a key sees its own club only.",
)
METHOD_NOT_ALLOWED = _kind(
    "method-not-allowed",
    405,
    "This path does not take that HTTP method",
    "The `Allow` header lists the methods it takes.",
)
NOT_ACCEPTABLE = _kind(
    "not-acceptable",
    406,
    "None of the accepted media types can be produced",
    "Ask for one of the media types that the operation documents.",
)
CHANGED_MEANWHILE = _kind(
    "changed-meanwhile",
    409,
    "Something it refers to was changed or removed just now",
    "Read again what the request refers to, and send it again if it still makes sense.",
)
TOO_SLOW = _kind(
    "too-slow",
    408,
    "The body did not arrive in time",
    "Send it again over a better connection, or in smaller parts; nothing was changed.",
)
DUPLICATE = _kind(
    "duplicate",
    409,
    "Something with this name or code exists already",
    "Choose another name, or edit the one that exists.",
)
IN_USE = _kind(
    "in-use",
    409,
    "It is in use and cannot be deleted",
    "Remove what refers to it first; the detail names it.",
)
WRONG_STATE = _kind(
    "wrong-state",
    409,
    "Its present state does not allow that",
    "The detail names the state it has and the state that is needed.",
)
INCOMPLETE_ESTIMATE = _kind(
    "incomplete-estimate",
    409,
    "The estimate has gaps",
    "Mend the warnings and price a revision, or issue it with the reason in `incomplete_because`.",
)
IDEMPOTENCY_CONFLICT = _kind(
    "idempotency-conflict",
    409,
    "This idempotency key was used for another request",
    "Use a new key for a new request; repeat a request with exactly the same body.",
)
STALE_VERSION = _kind(
    "stale-version",
    412,
    "It has changed since you read it",
    "Read it again, look at what changed, and send your edit with the new ETag in `If-Match`.",
)
TOO_LARGE = _kind(
    "too-large",
    413,
    "The body is larger than this service takes",
    "Split the file, or raise the limit in the service's settings.",
)
UNSUPPORTED_MEDIA_TYPE = _kind(
    "unsupported-media-type",
    415,
    "The body has another media type than expected",
    "Send the media type that the operation documents in `Content-Type`.",
)
INVALID_VALUES = _kind(
    "invalid-values",
    422,
    "The request is well formed but its content cannot be used",
    "Each fault names the place, what was expected and what came. Nothing was changed.",
)
BAD_ROWS = _kind(
    "bad-rows",
    422,
    "Some rows of the file cannot be used",
    "Each fault names row, column, value and reason. Mend the file, or ask for the good rows alone.",
)
IF_MATCH_REQUIRED = _kind(
    "if-match-required",
    428,
    "The edit must say which version it edits",
    "Read the resource and send its ETag in `If-Match`.",
)
INTERNAL = _kind(
    "internal-error",
    500,
    "The service failed",
    "Nothing was changed. Try again; if it persists, report the request id.",
)
UNAVAILABLE = _kind(
    "unavailable",
    503,
    "The service cannot reach its database just now",
    "Try again after the time in `Retry-After`; nothing was changed.",
)
