"""From an operation as a room states it to an HTTP handler.

One request runs in one thread and one transaction: who asks, may they, is the request well formed,
then the use case, then the answer. Whatever is refused on the way undoes the transaction. An answer that takes
long to compute is computed after the transaction, in a thread that no other request waits for. What takes long and need
not keep others from writing is done before the transaction, for one request at a time.
"""

import inspect
import time
import typing
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import nullcontext
from dataclasses import dataclass, field
from datetime import datetime
from functools import cache
from typing import Any, TypeVar
from urllib.parse import urlencode
from uuid import UUID

import anyio
import structlog
from litestar import Response, route
from litestar.handlers import HTTPRouteHandler
from pydantic import BaseModel, ConfigDict, Field, TypeAdapter, create_model
from sqlalchemy.orm import Session
from swardcost_model import problems
from swardcost_model.problems import ProblemError

from swardcost_api.jobs.runner import Runner
from swardcost_api.operations import CSV, PDF, XLSX, Face, Operation, Prepared, Query, StreamedFace
from swardcost_api.settings import Settings
from swardcost_api.storage.database import Database
from swardcost_api.storage.work import Caller, Transactions, UnitOfWork
from swardcost_api.web import idempotency, preconditions
from swardcost_api.web.authentication import Callers
from swardcost_api.web.negotiation import best_of
from swardcost_api.web.observability import observe
from swardcost_api.web.problem_documents import problem_of, problem_response
from swardcost_api.web.receiving import (
    JSON,
    HttpRequest,
    Incoming,
    media_type_of,
    parse_body,
    query_arguments,
    receive_json,
    receive_upload,
)
from swardcost_api.web.streaming import Streams

T = TypeVar("T")
_FILE_ENDINGS = {CSV: "csv", XLSX: "xlsx", PDF: "pdf"}
_CONVERTERS: dict[Any, str] = {UUID: ":uuid", int: ":int"}
_NOT_OF_THE_REQUEST = frozenset(
    {"work", "transactions", "data", "upload", "media_type", "if_match", "database"}
)


@dataclass
class Runtime:
    """What the handlers of one process share. Clock and ids are given, so that tests can fix them."""

    settings: Settings
    database: Database
    jobs: Runner
    clock: Callable[[], datetime]
    new_id: Callable[[], UUID]
    callers: Callers = field(default_factory=Callers)
    streams: Streams = field(default_factory=Streams)
    readers: anyio.CapacityLimiter = field(init=False)
    writers: anyio.CapacityLimiter = field(init=False)
    preparing: anyio.CapacityLimiter = field(init=False)

    def __post_init__(self) -> None:
        """Writers get threads of their own, so that reads never wait behind them: on SQLite, which has one
        write lock, one thread; on PostgreSQL half of the connections."""
        pool = self.settings.pool_size
        writing = 1 if self.database.is_sqlite else max(1, pool // 2)
        self.writers = anyio.CapacityLimiter(writing)
        self.readers = anyio.CapacityLimiter(max(1, pool - writing))
        self.preparing = anyio.CapacityLimiter(
            1
        )  # since each holds a connection until its transaction has ended


@dataclass(frozen=True)
class Shape:
    """How the parameters of an operation's function are filled."""

    path: dict[str, Any]
    query: type[BaseModel] | None
    body: TypeAdapter[Any] | None
    body_may_be_absent: bool
    wants: frozenset[str]


def shape_of(operation: Operation) -> Shape:
    """Sort the parameters of an operation's function, or of what goes before it, into path, query, body and others."""
    return _shape_of(
        operation.id, operation.path, operation.reads or operation.prepares or operation.function
    )


@cache
def _shape_of(operation_id: str, operation_path: str, function: Callable[..., Any]) -> Shape:
    hints = typing.get_type_hints(function, include_extras=True)
    signature = inspect.signature(function)
    path, query = {}, {}
    for name, parameter in signature.parameters.items():
        if name in _NOT_OF_THE_REQUEST:
            continue
        if "{" + name + "}" in operation_path:
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
        f"{operation_id}_query", __config__=ConfigDict(extra="forbid"), **query
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


def handler_for(operation: Operation, runtime: Runtime) -> HTTPRouteHandler:
    """The Litestar handler of an operation."""
    shape = shape_of(operation)
    face_media = list(dict.fromkeys((JSON, *(face.media_type for face in operation.faces))))
    inline = _runs_inline(operation, shape, runtime.database)
    streamed = any(isinstance(face, StreamedFace) for face in operation.faces)

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
        if operation.verb != "GET":
            await anyio.to_thread.run_sync(authenticate, incoming, limiter=runtime.readers)
        with anyio.fail_after(runtime.settings.receive_seconds) if not operation.upload else nullcontext():
            if shape.body is not None:
                await receive_json(incoming, runtime.settings.max_body_bytes, shape.body_may_be_absent)
        if operation.upload:
            await receive_upload(incoming, operation.upload_media_types, runtime.settings)
        if inline:
            return run(incoming)
        if streamed:
            chosen = _chosen_face(incoming.request, operation, face_media)
            if isinstance(chosen, StreamedFace):
                return await begin_stream(chosen, incoming)
        if operation.reads is not None and operation.solves is not None:
            return await _solve_and_run(operation.reads, operation.solves, incoming)
        if operation.reads is not None:
            known = await anyio.to_thread.run_sync(read, operation.reads, incoming, limiter=runtime.readers)
            return await anyio.to_thread.run_sync(lambda: respond(incoming, operation.function(known)))
        if operation.prepares is not None:
            return await _prepare_and_run(operation.prepares, incoming)
        limiter = runtime.writers if operation.writes else runtime.readers
        return await anyio.to_thread.run_sync(run, incoming, limiter=limiter)

    async def _solve_and_run(
        reads: Callable[..., Any], solves: Callable[..., Any], incoming: Incoming
    ) -> Response[bytes]:
        known = await anyio.to_thread.run_sync(read_unless_repeated, reads, incoming, limiter=runtime.readers)
        if isinstance(known, Response):
            return known
        solved = await anyio.to_thread.run_sync(solves, known)
        return await anyio.to_thread.run_sync(
            lambda: run(incoming, solved={"solved": solved}), limiter=runtime.writers
        )

    async def _prepare_and_run(prepares: Callable[..., Prepared], incoming: Incoming) -> Response[bytes]:
        async with runtime.preparing:
            done = await anyio.to_thread.run_sync(prepare, prepares, incoming, limiter=runtime.readers)
            if isinstance(done, Response):
                return done
            try:
                return await anyio.to_thread.run_sync(run, incoming, done, limiter=runtime.writers)
            finally:
                done.close()

    async def begin_stream(face: StreamedFace, incoming: Incoming) -> Response[bytes]:
        def pieces() -> Iterator[str]:
            with runtime.database.reading() as session:
                work = unit_of_work(incoming, session, caller_of(incoming, session))
                yield from face.pieces(**fill(incoming, work))

        headers = {"Vary": "Accept"} | _saved_as(operation, face.media_type)
        return await runtime.streams.response(pieces(), face.media_type, headers, runtime.readers)

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

    def prepare(prepares: Callable[..., Prepared], incoming: Incoming) -> Prepared | Response[bytes]:
        """What goes before the transaction, or the answer to a request that was carried out before."""
        assert incoming.caller is not None
        club_id, key = incoming.request.path_params["club_id"], key_of(incoming)
        transactions = Transactions(runtime.database, club_id, incoming.caller, runtime.clock, runtime.new_id)
        arguments = fill(incoming, None)
        if key is not None:
            with transactions.reading() as work:
                kept = idempotency.find(work, key, _fingerprint(incoming))
            if kept is not None:
                return _replayed(kept)
        return prepares(transactions, **arguments)

    def read_unless_repeated(reads: Callable[..., Any], incoming: Incoming) -> Any:
        """What `reads` gives, or the answer to a request that was carried out before."""
        key = key_of(incoming)

        def find_or_read(work: UnitOfWork, **arguments: Any) -> Any:
            kept = None if key is None else idempotency.find(work, key, _fingerprint(incoming))
            return reads(work, **arguments) if kept is None else _replayed(kept)

        return read(find_or_read, incoming)

    def key_of(incoming: Incoming) -> str | None:
        if not operation.creates:
            return None
        return idempotency.check_key(incoming.request.headers.get("idempotency-key"))

    def run(
        incoming: Incoming, prepared: Prepared | None = None, solved: Mapping[str, Any] | None = None
    ) -> Response[bytes]:
        if operation.needs is None:
            return respond(incoming, operation.function(**fill(incoming, None)))
        if not operation.writes:
            return read(lambda **arguments: respond(incoming, operation.function(**arguments)), incoming)
        assert incoming.caller is not None
        key = key_of(incoming)
        arguments = fill(incoming, None) if prepared is None else {"prepared": prepared}
        arguments.update(solved or {})
        with runtime.database.writing(prepared.connection if prepared is not None else None) as session:
            work = unit_of_work(incoming, session, incoming.caller)
            if key is not None:
                kept = idempotency.claim(work, key, _fingerprint(incoming))
                if kept is not None:
                    return _replayed(kept)
            response = respond(incoming, operation.function(**arguments, work=work))
            if key is not None:
                body = None if operation.confidential else response.content.decode()
                headers = {
                    k: str(v) for k, v in response.headers.items() if k.lower() in {"etag", "location"}
                }
                idempotency.keep(work, key, response.status_code or operation.status, body, headers)
        if operation.changes_keys:
            runtime.callers.forget()
        if operation.starts is not None:
            runtime.jobs.wake()
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
            arguments |= query_arguments(request, shape.query)
        if shape.body is not None:
            arguments["data"] = parse_body(incoming.content, shape.body)
        if "if_match" in shape.wants:
            arguments["if_match"] = preconditions.version_in(request.headers.get("if-match"))
        if "upload" in shape.wants:
            arguments["upload"] = incoming.upload
        if "media_type" in shape.wants:
            arguments["media_type"] = media_type_of(request)
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
        if isinstance(chosen, Face):
            written = chosen.write(answer)
            content = written.encode() if isinstance(written, str) else written
            headers |= _saved_as(operation, chosen.media_type, answer)
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
            operation.status in (201, 202)
            and operation.verb == "POST"
            and isinstance(getattr(answer, "id", None), UUID)
        ):
            headers["Location"] = _location(request, operation, answer.id)
        return Response(body, status_code=operation.status, media_type=JSON, headers=headers)

    handler = route(
        litestar_path(operation), http_method=[operation.verb], status_code=200, name=operation.id
    )
    return handler(answer)


def _replayed(kept: idempotency.KeptAnswer) -> Response[bytes]:
    return Response(
        kept.body.encode(), status_code=kept.status, media_type=JSON,
        headers={**kept.headers, "Idempotency-Replayed": "true"},
    )  # fmt: skip


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


def _fingerprint(incoming: Incoming) -> str:
    url = incoming.request.url
    return idempotency.request_hash(incoming.request.method, url.path, url.query, incoming.content)


def _saved_as(operation: Operation, media_type: str, answer: Any = None) -> dict[str, str]:
    """The name under which a program saves a form that is a file: the answer's own, or that of what is read."""
    ending = _FILE_ENDINGS.get(media_type)
    if ending is None:
        return {}
    name = getattr(answer, "file_name", None) or operation.id.partition("_")[2].replace("_", "-")
    return {"Content-Disposition": f'attachment; filename="{name}.{ending}"'}


def _chosen_face(request: HttpRequest, operation: Operation, media: list[str]) -> Face | StreamedFace | None:
    if not operation.faces:
        return None
    best = best_of(media, request.headers.get("accept"))
    if best is None:
        raise ProblemError(problems.NOT_ACCEPTABLE, f"This can be had as {', '.join(media)}.")
    return next((face for face in operation.faces if face.media_type == best), None)
