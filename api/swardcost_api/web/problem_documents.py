"""Problem documents (RFC 9457) out of everything that can go wrong."""

from typing import Any

import structlog
from litestar import Request, Response
from litestar.exceptions import HTTPException, InternalServerException
from pydantic import ValidationError
from sqlalchemy.exc import DataError, IntegrityError, InterfaceError, OperationalError
from sqlalchemy.exc import TimeoutError as PoolTimeoutError
from swardcost_model import problems
from swardcost_model.problems import MEDIA_TYPE, ProblemError, ProblemKind

from swardcost_api.faults import faults_of, problem_document

log = structlog.get_logger()

_HUNG_UP = "client disconnected prematurely"
_DISK_FULL = "database or disk is full"
_BY_STATUS: dict[int, ProblemKind] = {
    400: problems.INVALID_REQUEST,
    404: problems.NOT_FOUND,
    405: problems.METHOD_NOT_ALLOWED,
    413: problems.TOO_LARGE,
    415: problems.UNSUPPORTED_MEDIA_TYPE,
}


def problem_of(error: Exception) -> ProblemError:
    """The problem that an exception amounts to; what is nobody's fault but ours becomes `internal-error`."""
    if isinstance(error, ProblemError):
        return error
    if isinstance(error, ValidationError):
        return ProblemError(
            problems.INVALID_VALUES, "The request's content cannot be used.", faults_of(error)
        )
    if isinstance(error, IntegrityError):
        if _breaks_a_reference(error):
            return ProblemError(
                problems.CHANGED_MEANWHILE, "Something that this refers to was removed just now."
            )
        return ProblemError(
            problems.DUPLICATE, "This conflicts with what is stored, perhaps through a change made just now."
        )
    if isinstance(error, TimeoutError):
        return ProblemError(problems.TOO_SLOW, "The rest of the body did not come in time.")
    if isinstance(error, InternalServerException) and error.detail == _HUNG_UP:
        return ProblemError(problems.INVALID_REQUEST, "The body ended before its end.")
    if isinstance(error, OperationalError) and _DISK_FULL in str(error):
        log.error("disk_full", error=str(error.__cause__ or error))
        return ProblemError(problems.UNAVAILABLE, "The disk of the database is full.")
    if isinstance(error, (OperationalError, InterfaceError, PoolTimeoutError)):
        log.error("database_unavailable", error=str(error.__cause__ or error))
        return ProblemError(problems.UNAVAILABLE, "The database did not answer in time.")
    if isinstance(error, DataError):
        return ProblemError(problems.INVALID_VALUES, "A value is outside what can be stored.")
    if isinstance(error, HTTPException) and error.status_code in _BY_STATUS:
        return ProblemError(_BY_STATUS[error.status_code], error.detail)
    log.error("request_failed", exc_info=error)
    return ProblemError(problems.INTERNAL, "The service failed; the request id finds the cause in its log.")


def _breaks_a_reference(error: IntegrityError) -> bool:
    """Whether a foreign key was broken, rather than a name used twice."""
    return getattr(error.orig, "sqlstate", None) == "23503" or "FOREIGN KEY" in str(error.orig)


def problem_response(error: ProblemError, path: str, request_id: str | None) -> Response[bytes]:
    """The HTTP answer for a problem."""
    document = problem_document(error, path, request_id)
    headers = {}
    if error.kind is problems.UNAUTHENTICATED:
        headers["WWW-Authenticate"] = "Bearer"
    if error.kind is problems.UNAVAILABLE:
        headers["Retry-After"] = "2"
    return Response(
        document.model_dump_json(exclude_none=True).encode(),
        status_code=error.kind.status, media_type=MEDIA_TYPE, headers=headers,
    )  # fmt: skip


def answer_exception(request: Request[Any, Any, Any], error: Exception) -> Response[bytes]:
    """Litestar's exception handler for what happens outside the operations, such as an unknown path."""
    response = problem_response(problem_of(error), request.url.path, request.state.get("request_id"))
    if isinstance(error, HTTPException) and error.headers:
        response.headers.update({k: v for k, v in error.headers.items() if k.lower() == "allow"})
    return response
