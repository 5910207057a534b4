"""Whether the service lives and is ready to work."""

from sqlalchemy.exc import SQLAlchemyError
from swardcost_model import problems
from swardcost_model.problems import ProblemError
from swardcost_model.service import Health

from swardcost_api.operations import Room
from swardcost_api.storage import migration
from swardcost_api.storage.database import Database

room = Room("Service", "Health of the service.")


@room.read("/health/live", "Is the process alive", needs=None)
def check_live() -> Health:
    return Health(status="live")


@room.read("/health/ready", "Is the service ready for requests", needs=None, problems=[problems.UNAVAILABLE])
def check_ready(database: Database) -> Health:
    try:
        with database.engine.connect() as connection:
            current = migration.is_current(connection)
    except SQLAlchemyError:
        raise ProblemError(problems.UNAVAILABLE, "The database cannot be reached.") from None
    if not current:
        raise ProblemError(problems.UNAVAILABLE, "The database schema is not the one of this release.")
    return Health(status="ready")
