"""Structured logs with a request id, and metrics."""

import logging
import re
import sys
import time
from http import HTTPStatus
from typing import Any

import structlog
from litestar.enums import HttpMethod, ScopeType
from litestar.types import ASGIApp, Message, Receive, Scope, Send
from prometheus_client import CollectorRegistry, Counter, Histogram, generate_latest, multiprocess

from swardcost_api.settings import Settings
from swardcost_api.storage.ids import new_id

log = structlog.get_logger()

_REQUEST_ID = re.compile(rb"[A-Za-z0-9._-]{1,100}")

REQUESTS = Counter("swardcost_requests_total", "Requests answered.", ["operation", "status"])
SECONDS = Histogram("swardcost_request_seconds", "Time to answer a request.", ["operation"])


def configure_logging(settings: Settings) -> None:
    """One line a record, JSON or text, on standard error."""
    renderer: Any = (
        structlog.processors.JSONRenderer()
        if settings.log_format == "json"
        else structlog.dev.ConsoleRenderer()
    )
    structlog.configure(
        processors=[
            structlog.contextvars.merge_contextvars,
            structlog.processors.add_log_level,
            structlog.processors.TimeStamper(fmt="iso", utc=True),
            structlog.processors.format_exc_info,
            renderer,
        ],
        wrapper_class=structlog.make_filtering_bound_logger(getattr(logging, settings.log_level.upper())),
        logger_factory=structlog.PrintLoggerFactory(sys.stderr),
        cache_logger_on_first_use=True,
    )


def observe(operation: str, status: int, seconds: float) -> None:
    """Count an answered request."""
    REQUESTS.labels(operation, str(status)).inc()
    SECONDS.labels(operation).observe(seconds)


def metrics_text(multiprocess_folder: str | None) -> bytes:
    """All metrics in the Prometheus text format, over all workers where they share a folder."""
    if multiprocess_folder is None:
        return generate_latest()
    registry = CollectorRegistry()
    multiprocess.MultiProcessCollector(registry, multiprocess_folder)  # type: ignore[no-untyped-call]
    return generate_latest(registry)


_LINK = re.compile(r"^(/p/)[^/]*")
"""The token of a link opens a packet, so it is not logged."""


class RequestLog:
    """Gives each request an id (the caller's `X-Request-Id` if it has one) and logs one line when it is answered.

    Stands around the whole application, so that unknown paths are logged too. `HEAD` is answered as
    `GET` without the body.
    """

    def __init__(self, application: ASGIApp) -> None:
        self._application = application

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != ScopeType.HTTP:
            await self._application(scope, receive, send)
            return
        given = next((value for name, value in scope["headers"] if name == b"x-request-id"), b"")
        request_id = given.decode() if _REQUEST_ID.fullmatch(given) else new_id().hex
        scope["state"]["request_id"] = request_id
        structlog.contextvars.clear_contextvars()
        structlog.contextvars.bind_contextvars(request_id=request_id)
        method, started, status = scope["method"], time.perf_counter(), 500
        if method == "HEAD":
            scope["method"] = HttpMethod.GET

        async def send_with_id(message: Message) -> None:
            nonlocal status
            if message["type"] == "http.response.start":
                status = message["status"]
                headers = message["headers"]
                if method == "OPTIONS" or status == HTTPStatus.METHOD_NOT_ALLOWED:
                    headers = [_with_head(name, value) for name, value in headers]
                given_back = (b"x-request-id", request_id.encode())
                message["headers"] = [*headers, given_back, (b"x-content-type-options", b"nosniff")]
            elif message["type"] == "http.response.body" and method == "HEAD":
                message["body"] = b""
            await send(message)

        try:
            await self._application(scope, receive, send_with_id)
        finally:
            log.info(
                "request", method=method, path=_LINK.sub(r"\1...", scope["path"]), status=status,
                milliseconds=round((time.perf_counter() - started) * 1000, 2),
            )  # fmt: skip


def _with_head(name: bytes, value: bytes) -> tuple[bytes, bytes]:
    """A header of an answer; what allows `GET` allows `HEAD`, which nothing behind this knows of."""
    allows = name.lower() == b"allow" and b"GET" in value and b"HEAD" not in value
    return name, value + b", HEAD" if allows else value
