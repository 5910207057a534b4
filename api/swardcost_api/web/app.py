"""The application: rooms, middleware and life cycle."""

import os
from collections.abc import AsyncIterator, Callable, Sequence
from contextlib import asynccontextmanager
from datetime import datetime
from uuid import UUID

from litestar import Litestar, get
from litestar.datastructures import State

from swardcost_api.operations import Room
from swardcost_api.settings import Settings
from swardcost_api.storage import migration
from swardcost_api.storage.database import Database
from swardcost_api.web import collector, docs, openapi
from swardcost_api.web.handlers import Runtime, handler_for, litestar_path, options_handler
from swardcost_api.web.observability import RequestLog, configure_logging, metrics_text
from swardcost_api.web.problem_documents import answer_exception
from swardcost_api.web.rooms import ROOMS


def create_app(
    settings: Settings | None = None,
    *,
    clock: Callable[[], datetime] | None = None,
    new_id: Callable[[], UUID] | None = None,
    rooms: Sequence[Room] = ROOMS,
) -> Litestar:
    """The application for these settings. The database is brought to the current schema when it starts."""
    settings = settings or Settings()
    configure_logging(settings)
    runtime = Runtime(settings, Database(settings.database_url, settings.pool_size))
    if clock is not None:
        runtime.clock = clock
    if new_id is not None:
        runtime.new_id = new_id

    @asynccontextmanager
    async def life(_app: Litestar) -> AsyncIterator[None]:
        migration.upgrade(runtime.database)
        collector.settle()
        try:
            yield
        finally:
            runtime.database.close()

    document = openapi.document(rooms)
    operations = [operation for room in rooms for operation in room.operations]
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
            *docs.pages(document),
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
