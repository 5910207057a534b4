"""From an operation as a room states it to an HTTP handler.

One request runs in one thread and one transaction: who asks, may they, is the request well formed,
then the use case, then the answer. Whatever is refused on the way undoes the transaction. An answer that takes
long to compute is computed after the transaction, in a thread that no other request waits for.
"""

import hashlib
import inspect
import tempfile
import time
import typing
from collections.abc import Callable, Iterable, Sequence
from contextlib import nullcontext
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import IO, Any, TypeVar
from urllib.parse import urlencode
from uuid import UUID

import anyio
import structlog
from litestar import Request, Response, route
from litestar.datastructures import State
from litestar.handlers import HTTPRouteHandler
from pydantic import BaseModel, ConfigDict, Field, TypeAdapter, ValidationError, create_model
from pydantic_core import from_json
from sqlalchemy.orm import Session
from swardcost_model import problems
from swardcost_model.problems import Fault, ProblemError

from swardcost_api.faults import faults_of, shown
from swardcost_api.operations import Face, Operation, Query
from swardcost_api.settings import Settings
from swardcost_api.storage.database import Database
from swardcost_api.storage.ids import new_id
from swardcost_api.storage.work import Caller, UnitOfWork
from swardcost_api.web import idempotency, preconditions
from swardcost_api.web.authentication import Callers
from swardcost_api.web.negotiation import best_of
from swardcost_api.web.observability import observe
from swardcost_api.web.problem_documents import problem_of, problem_response

T = TypeVar("T")
HttpRequest = Request[Any, Any, State]
_CONVERTERS: dict[Any, str] = {UUID: ":uuid", int: ":int"}
JSON = "application/json"


def _utc_now() -> datetime:
    return datetime.now(UTC)


@dataclass
class Runtime:
    """What the handlers of one process share. Clock and ids are given, so that tests can fix them."""

    settings: Settings
    database: Database
    clock: Callable[[], datetime] = _utc_now
    new_id: Callable[[], UUID] = new_id
    callers: Callers = field(default_factory=Callers)
    readers: anyio.CapacityLimiter = field(init=False)
    writers: anyio.CapacityLimiter = field(init=False)

    def __post_init__(self) -> None:
        """Writers get threads of their own, so that reads never wait behind them: on SQLite, which has one
        write lock, one thread; on PostgreSQL half of the connections."""
        pool = self.settings.pool_size
        writing = 1 if self.database.is_sqlite else max(1, pool // 2)
        self.writers = anyio.CapacityLimiter(writing)
        self.readers = anyio.CapacityLimiter(max(1, pool - writing))


@dataclass(frozen=True)
class Shape:
    """How the parameters of an operation's function are filled."""

    path: dict[str, Any]
    query: type[BaseModel] | None
    body: TypeAdapter[Any] | None
    body_may_be_absent: bool
    wants: frozenset[str]


def shape_of(operation: Operation) -> Shape:
    """Sort the parameters of an operation's function, or of what reads for it, into path, query, body and the rest."""
    function = operation.reads or operation.function
    hints = typing.get_type_hints(function, include_extras=True)
    signature = inspect.signature(function)
    path, query = {}, {}
    for name, parameter in signature.parameters.items():
        if name in {"work", "data", "upload", "media_type", "if_match", "database"}:
            continue
        if "{" + name + "}" in operation.path:
            path[name] = hints[name]
            continue
        note = next(meta for meta in hints[name].__metadata__ if isinstance(meta, Query))
        bounds = {"ge": note.ge, "le": note.le}
        if str in (hints[name].__origin__, *typing.get_args(hints[name].__origin__)):
            bounds = {"max_length": note.max_length}
        default = ... if parameter.default is inspect.Parameter.empty else parameter.default
        constraint: Any = Field(  # type: ignore[call-overload]
            default, description=note.description, examples=[note.example] if note.example is not None else None,
            **{k: v for k, v in bounds.items() if v is not None},
        )  # fmt: skip
        query[name] = (hints[name].__origin__, constraint)
    model: type[BaseModel] = create_model(  # type: ignore[call-overload]
        f"{operation.id}_query", __config__=ConfigDict(extra="forbid"), **query
    )
    body = TypeAdapter(hints["data"]) if "data" in hints else None
    fields = getattr(hints.get("data"), "model_fields", {})
    may_be_absent = body is not None and not any(one.is_required() for one in fields.values())
    return Shape(path, model, body, may_be_absent, frozenset(signature.parameters))


def litestar_path(operation: Operation) -> str:
    """The operation's path with Litestar's converters: ids are UUIDs, everything else is text."""
    shape = shape_of(operation)
    path = operation.path.replace("{club_id}", "{club_id:str}")
    for name, kind in shape.path.items():
        path = path.replace("{" + name + "}", "{" + name + _CONVERTERS.get(kind, ":str") + "}")
    return path


@dataclass
class Incoming:
    """A request as far as it has been read."""

    request: HttpRequest
    request_id: str
    content: bytes = b""
    upload: IO[bytes] | None = None
    caller: Caller | None = None


def handler_for(operation: Operation, runtime: Runtime) -> HTTPRouteHandler:
    """The Litestar handler of an operation."""
    shape = shape_of(operation)
    face_media = [JSON, *(face.media_type for face in operation.faces)]
    inline = _runs_inline(operation, shape, runtime.database)

    async def answer(request: HttpRequest) -> Response[bytes]:
        started = time.perf_counter()
        incoming = Incoming(request, request.state.request_id)
        structlog.contextvars.bind_contextvars(
            operation=operation.id, club=request.path_params.get("club_id")
        )
        try:
            response = await _read_and_run(incoming)
        except Exception as error:
            response = problem_response(problem_of(error), request.url.path, incoming.request_id)
        finally:
            if incoming.upload is not None:
                incoming.upload.close()
        observe(operation.id, response.status_code or operation.status, time.perf_counter() - started)
        return response

    async def _read_and_run(incoming: Incoming) -> Response[bytes]:
        if operation.writes:
            await anyio.to_thread.run_sync(authenticate, incoming, limiter=runtime.readers)
        with anyio.fail_after(runtime.settings.receive_seconds) if not operation.upload else nullcontext():
            if shape.body is not None:
                await _receive_json(incoming, runtime.settings.max_body_bytes, shape.body_may_be_absent)
        if operation.upload:
            await _receive_upload(incoming, operation.upload_media_types, runtime.settings)
        if inline:
            return run(incoming)
        if operation.reads is not None:
            known = await anyio.to_thread.run_sync(read, operation.reads, incoming, limiter=runtime.readers)
            return await anyio.to_thread.run_sync(lambda: respond(incoming, operation.function(known)))
        limiter = runtime.writers if operation.writes else runtime.readers
        return await anyio.to_thread.run_sync(run, incoming, limiter=limiter)

    def authenticate(incoming: Incoming) -> None:
        with runtime.database.reading(snapshot=False) as session:
            incoming.caller = caller_of(incoming, session)

    def caller_of(incoming: Incoming, session: Session) -> Caller:
        request = incoming.request
        caller = runtime.callers.caller(
            operation, request.path_params, request.headers.get("authorization", ""), session, runtime.clock()
        )
        structlog.contextvars.bind_contextvars(caller=caller.name)
        return caller

    def run(incoming: Incoming) -> Response[bytes]:
        if operation.needs is None:
            return respond(incoming, operation.function(**fill(incoming, None)))
        if not operation.writes:
            return read(lambda **arguments: respond(incoming, operation.function(**arguments)), incoming)
        assert incoming.caller is not None
        key = (
            idempotency.check_key(incoming.request.headers.get("idempotency-key"))
            if operation.creates
            else None
        )
        arguments = fill(incoming, None)
        with runtime.database.writing() as session:
            work = unit_of_work(incoming, session, incoming.caller)
            if key is not None:
                kept = idempotency.claim(work, key, _fingerprint(incoming))
                if kept is not None:
                    return Response(
                        kept.body.encode(), status_code=kept.status, media_type=JSON,
                        headers={**kept.headers, "Idempotency-Replayed": "true"},
                    )  # fmt: skip
            response = respond(incoming, operation.function(**arguments, work=work))
            if key is not None:
                body = None if operation.confidential else response.content.decode()
                headers = {
                    k: str(v) for k, v in response.headers.items() if k.lower() in {"etag", "location"}
                }
                idempotency.keep(work, key, response.status_code or operation.status, body, headers)
        if operation.changes_keys:
            runtime.callers.forget()
        return response

    def read(function: Callable[..., T], incoming: Incoming) -> T:
        with runtime.database.reading(snapshot=not operation.quick) as session:
            work = unit_of_work(incoming, session, caller_of(incoming, session))
            return function(**fill(incoming, work))

    def unit_of_work(incoming: Incoming, session: Session, caller: Caller) -> UnitOfWork:
        club_id = incoming.request.path_params["club_id"]
        return UnitOfWork(session, club_id, caller, runtime.clock(), runtime.new_id)

    def fill(incoming: Incoming, work: UnitOfWork | None) -> dict[str, Any]:
        request = incoming.request
        arguments: dict[str, Any] = {name: request.path_params[name] for name in shape.path}
        if shape.query is not None:
            arguments |= _query_arguments(request, shape.query)
        if shape.body is not None:
            arguments["data"] = _parse_body(incoming.content, shape.body)
        if "if_match" in shape.wants:
            arguments["if_match"] = preconditions.version_in(request.headers.get("if-match"))
        if "upload" in shape.wants:
            arguments["upload"] = incoming.upload
        if "media_type" in shape.wants:
            arguments["media_type"] = _media_type(request)
        if "database" in shape.wants:
            arguments["database"] = runtime.database
        if work is not None:
            arguments["work"] = work
        return arguments

    def respond(incoming: Incoming, answer: Any) -> Response[bytes]:
        if operation.status == 204:
            return Response(b"", status_code=204, media_type=JSON)
        request = incoming.request
        headers = {"Vary": "Accept"} if operation.faces else {}
        chosen = _chosen_face(request, operation, face_media)
        if chosen is not None:
            written = chosen.write(answer)
            content = written.encode() if isinstance(written, str) else written
            return Response(
                content, status_code=operation.status, media_type=chosen.media_type, headers=headers
            )
        body = answer.model_dump_json().encode()
        version = getattr(answer, "version", None)
        if isinstance(version, int):
            headers["ETag"] = preconditions.etag(version, body)
            if operation.verb == "GET" and preconditions.is_unchanged(
                request.headers.get("if-none-match"), headers["ETag"]
            ):
                return Response(b"", status_code=304, media_type=JSON, headers=headers)
        following = getattr(answer, "next", None)
        if isinstance(following, str):
            headers["Link"] = f'<{_with_cursor(request, following)}>; rel="next"'
        if (
            operation.status == 201
            and operation.verb == "POST"
            and isinstance(getattr(answer, "id", None), UUID)
        ):
            headers["Location"] = _location(request, operation, answer.id)
        return Response(body, status_code=operation.status, media_type=JSON, headers=headers)

    handler = route(
        litestar_path(operation), http_method=[operation.verb], status_code=200, name=operation.id
    )
    return handler(answer)


def _with_cursor(request: HttpRequest, cursor: str) -> str:
    query = [(name, value) for name, value in request.query_params.multi_items() if name != "cursor"]
    return f"{request.url.path}?{urlencode([*query, ('cursor', cursor)])}"


def options_handler(path: str, verbs: Iterable[str]) -> HTTPRouteHandler:
    """`OPTIONS` of a path, naming every verb it takes; `path` is in Litestar's form."""
    allow = ", ".join(sorted({*verbs, "OPTIONS"}))

    async def options() -> Response[bytes]:
        return Response(b"", status_code=204, media_type=JSON, headers={"Allow": allow})

    return route(path, http_method=["OPTIONS"], status_code=200)(options)


def _runs_inline(operation: Operation, shape: Shape, database: Database) -> bool:
    """Whether an operation is so short that a thread of its own would cost more than it.

    That is what touches no database, and a read by id on SQLite, where readers wait for nobody.
    """
    if operation.needs is None:
        return "database" not in shape.wants
    return operation.quick and database.is_sqlite


def _location(request: HttpRequest, operation: Operation, new: UUID) -> str:
    base = (
        request.url.path
        if operation.collection is None
        else operation.collection.format(**request.path_params)
    )
    return f"{base}/{new}"


def _media_type(request: HttpRequest) -> str:
    return str(request.headers.get("content-type", "").partition(";")[0].strip().lower())


async def _receive_json(incoming: Incoming, limit: int, may_be_absent: bool) -> None:
    media_type = _media_type(incoming.request)
    if may_be_absent and not media_type and incoming.request.headers.get("content-length", "0") == "0":
        incoming.content = b"{}"
        return
    if media_type != JSON:
        raise ProblemError(
            problems.UNSUPPORTED_MEDIA_TYPE, f"Send the body as {JSON}; got {shown(media_type)!r}."
        )
    received = bytearray()
    async for chunk in incoming.request.stream():
        received += chunk
        if len(received) > limit:
            raise ProblemError(problems.TOO_LARGE, f"A JSON body may have {limit} bytes.")
    incoming.content = bytes(received)


async def _receive_upload(incoming: Incoming, expected: Sequence[str], settings: Settings) -> None:
    """Take in a file; it may take long as a whole, but not fall silent."""
    media_type, limit = _media_type(incoming.request), settings.max_upload_bytes
    if media_type not in expected:
        raise ProblemError(
            problems.UNSUPPORTED_MEDIA_TYPE,
            f"Send the file as {' or '.join(expected)}; got {shown(media_type)!r}.",
        )
    announced = incoming.request.headers.get("content-length", "0")
    if announced.isdigit() and int(announced) > limit:
        raise ProblemError(
            problems.TOO_LARGE, f"A file may have {limit} bytes; this one announces {announced}."
        )
    digest, size = hashlib.sha256(), 0
    incoming.upload = tempfile.SpooledTemporaryFile(max_size=1024 * 1024)  # noqa: SIM115
    chunks = incoming.request.stream()
    while True:
        with anyio.fail_after(settings.receive_seconds):
            chunk = await anext(chunks, None)
        if chunk is None:
            break
        size += len(chunk)
        if size > limit:
            raise ProblemError(problems.TOO_LARGE, f"A file may have {limit} bytes.")
        digest.update(chunk)
        incoming.upload.write(chunk)
    incoming.upload.seek(0)
    incoming.content = digest.digest()


def _fingerprint(incoming: Incoming) -> str:
    url = incoming.request.url
    return idempotency.request_hash(incoming.request.method, url.path, url.query, incoming.content)


def _query_arguments(request: HttpRequest, model: type[BaseModel]) -> dict[str, Any]:
    given: dict[str, Any] = {}
    for name, value in request.query_params.multi_items():
        if name in given or "\x00" in str(value):
            raise ProblemError(
                problems.INVALID_REQUEST, "The query cannot be used.",
                [Fault(pointer=name, expected="one value without null characters", got=shown(str(value)))],
            )  # fmt: skip
        given[name] = value
    try:
        query = model.model_validate(given)
    except ValidationError as error:
        faults = [
            fault.model_copy(update={"pointer": fault.pointer.lstrip("/")}) for fault in faults_of(error)
        ]
        raise ProblemError(problems.INVALID_REQUEST, "The query cannot be used.", faults) from None
    return {name: getattr(query, name) for name in model.model_fields}


def _parse_body(content: bytes, body: TypeAdapter[Any]) -> Any:
    try:
        return body.validate_json(content, strict=True)
    except ValidationError as error:
        faults = faults_of(error, document=_document(content))
        raise ProblemError(problems.INVALID_REQUEST, "The body cannot be used.", faults) from None


def _document(content: bytes) -> Any:
    """A body as far as it is JSON at all."""
    try:
        return from_json(content)
    except ValueError:
        return None


def _chosen_face(request: HttpRequest, operation: Operation, media: list[str]) -> Face | None:
    if not operation.faces:
        return None
    best = best_of(media, request.headers.get("accept"))
    if best is None:
        raise ProblemError(problems.NOT_ACCEPTABLE, f"This can be had as {', '.join(media)}.")
    return next((face for face in operation.faces if face.media_type == best), None)
