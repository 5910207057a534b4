"""The application: rooms, middleware and life cycle."""

import os
from collections.abc import AsyncIterator, Callable, Sequence
from contextlib import asynccontextmanager
from datetime import UTC, datetime
from functools import cache, partial
from uuid import UUID

import anyio
from litestar import Litestar, get
from litestar.datastructures import State

from swardcost_api.jobs.runner import CONNECTIONS, Runner
from swardcost_api.operations import Room
from swardcost_api.settings import Settings
from swardcost_api.storage import ids, migration
from swardcost_api.storage.database import Database
from swardcost_api.web import collector, docs, openapi, shared_packets
from swardcost_api.web.handlers import Runtime, handler_for, litestar_path, options_handler
from swardcost_api.web.observability import RequestLog, configure_logging, metrics_text
from swardcost_api.web.problem_documents import answer_exception, problem_of
from swardcost_api.web.rooms import ROOMS


def _utc_now() -> datetime:
    return datetime.now(UTC)


def create_app(
    settings: Settings | None = None,
    *,
    clock: Callable[[], datetime] = _utc_now,
    new_id: Callable[[], UUID] = ids.new_id,
    rooms: Sequence[Room] = ROOMS,
) -> Litestar:
    """The application for these settings. The database is brought to the current schema when it starts."""
    settings = settings or Settings()
    configure_logging(settings)
    operations = [operation for room in rooms for operation in room.operations]
    jobs = Runner(
        Database(settings.database_url, CONNECTIONS),
        {operation.starts.name: operation.starts for operation in operations if operation.starts is not None},
        problem_of,
        clock,
        new_id,
        settings.job_heartbeat_seconds,
        settings.job_poll_seconds,
    )
    database = Database(settings.database_url, settings.pool_size)
    runtime = Runtime(settings, database, jobs, clock, new_id)

    @asynccontextmanager
    async def life(_app: Litestar) -> AsyncIterator[None]:
        migration.upgrade(runtime.database)
        collector.settle()
        if settings.run_jobs:
            jobs.start()
        try:
            yield
        finally:
            await anyio.to_thread.run_sync(jobs.stop, settings.stop_grace_seconds)
            runtime.database.close()

    verbs_by_path: dict[str, list[str]] = {}
    for operation in operations:
        verbs_by_path.setdefault(litestar_path(operation), []).append(operation.verb)

    @get("/metrics", media_type="text/plain; version=0.0.4", sync_to_thread=False)
    def metrics() -> bytes:
        return metrics_text(os.environ.get("PROMETHEUS_MULTIPROC_DIR"))

    app = Litestar(
        route_handlers=[
            *(
                options_handler(path, verbs) for path, verbs in verbs_by_path.items()
            ),  # before the framework's
            *(handler_for(operation, runtime) for operation in operations),
            *docs.pages(cache(partial(openapi.document, rooms))),
            *shared_packets.pages(runtime),
            metrics,
        ],
        exception_handlers={Exception: answer_exception},
        lifespan=[life],
        openapi_config=None,
        logging_config=None,
        state=State({"runtime": runtime}),
        request_max_body_size=None,
    )
    app.asgi_handler = RequestLog(app.asgi_handler)
    return app
