"""The `swardcost` command: run the service, make clubs and keys, look after the database."""

import json
import os
import socket
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any, get_args

import click
from pydantic import TypeAdapter, ValidationError
from sqlalchemy.exc import SQLAlchemyError
from swardcost_model.access import Locale, NewKey, Role, UnitSystem
from swardcost_model.problems import ProblemError
from swardcost_model.values import ClubId, Currency, Name

from swardcost_api import __version__
from swardcost_api.access import service as access
from swardcost_api.settings import Settings
from swardcost_api.storage import migration
from swardcost_api.storage.database import Database
from swardcost_api.storage.work import OPERATOR, UnitOfWork


@click.group()
@click.version_option(__version__)
def main() -> None:
    """Estimates, budgets and budget-versus-actual reports for golf-course renovation work."""


@main.command()
@click.option("--host", help="Address to listen on (SWARDCOST_HOST).")
@click.option("--port", type=click.IntRange(1, 65535), help="Port to listen on (SWARDCOST_PORT).")
@click.option("--workers", type=click.IntRange(1, 64), help="Worker processes (SWARDCOST_WORKERS).")
def serve(**given: Any) -> None:
    """Run the service until it is told to stop."""
    from granian import Granian
    from granian.constants import Interfaces
    from granian.log import LogLevels

    settings = _settings(**{name: value for name, value in given.items() if value is not None})
    _refuse_taken_port(settings)
    _open(settings).close()
    if settings.workers > 1 and "PROMETHEUS_MULTIPROC_DIR" not in os.environ:
        os.environ["PROMETHEUS_MULTIPROC_DIR"] = tempfile.mkdtemp(prefix="swardcost-metrics-")
    click.echo(
        f"swardcost {__version__} on http://{settings.host}:{settings.port} (documentation at /docs)",
        err=True,
    )
    Granian(
        "swardcost_api.web.app:create_app",
        address=settings.host,
        port=settings.port,
        interface=Interfaces.ASGI,
        workers=settings.workers,
        factory=True,
        log_access=False,
        log_level=LogLevels.debug if settings.log_level == "debug" else LogLevels.warning,
        respawn_failed_workers=True,
        workers_kill_timeout=settings.stop_grace_seconds,
    ).serve()


@main.command()
def migrate() -> None:
    """Bring the database to the current schema (the service also does so when it starts)."""
    _open(_settings()).close()
    click.echo("the database is at the current schema")


@main.group()
def club() -> None:
    """Clubs of this service."""


@club.command("create")
@click.argument("club_id")
@click.option("--name", required=True, help="The club's name.")
@click.option("--currency", default="USD", type=click.Choice(get_args(Currency)), show_default=True)
@click.option("--locale", default="en-US", show_default=True)
@click.option("--units", default="us_customary", type=click.Choice(get_args(UnitSystem)), show_default=True)
def create_club(club_id: str, name: str, currency: str, locale: str, units: str) -> None:
    """Make a club and its first key, an owner's. The key is shown once."""
    with _working(club_id) as work:
        access.create_club(work, _checked(Name, name), currency, _checked(Locale, locale), units)
        key = access.issue_key(work, NewKey(name="First owner", role=Role.OWNER))
    click.echo(key.secret)


@main.group()
def key() -> None:
    """Keys of a club."""


@key.command("create")
@click.argument("club_id")
@click.option("--name", required=True, help="Who will use it, and for what.")
@click.option("--role", required=True, type=click.Choice([role.value for role in Role]))
@click.option(
    "--days", default=365, type=click.IntRange(1, 3650), show_default=True, help="Days it is valid."
)
def create_key(club_id: str, name: str, role: str, days: int) -> None:
    """Make a key. It is shown once."""
    with _working(club_id) as work:
        access.read_club(work)
        issued = access.issue_key(work, NewKey(name=_checked(Name, name), role=Role(role), valid_days=days))
    click.echo(issued.secret)


@main.command()
def openapi() -> None:
    """Print the OpenAPI document."""
    from swardcost_api.web.openapi import document
    from swardcost_api.web.rooms import ROOMS

    json.dump(document(ROOMS), sys.stdout, indent=1, ensure_ascii=False)
    click.echo()


def _settings(**given: Any) -> Settings:
    try:
        return Settings(**given)
    except ValidationError as error:
        first = error.errors()[0]
        name = f"SWARDCOST_{str(first['loc'][0]).upper()}"
        raise click.ClickException(f"{name}: {first['msg']}") from None


def _refuse_taken_port(settings: Settings) -> None:
    """Workers share their port, so a second service on it would silently take half of the requests."""
    with socket.socket() as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((settings.host, settings.port))
        except OSError as error:
            where = f"{settings.host}:{settings.port}"
            raise click.ClickException(f"cannot listen on {where}: {error.strerror}") from None


def _open(settings: Settings) -> Database:
    try:
        database = Database(settings.database_url, settings.pool_size)
        migration.upgrade(database)
    except (SQLAlchemyError, OSError, ImportError) as error:
        reason = str(getattr(error, "orig", None) or error).splitlines()[0]
        raise click.ClickException(
            f"the database of SWARDCOST_DATABASE_URL cannot be used: {reason}"
        ) from None
    return database


@contextmanager
def _working(club_id: str) -> Iterator[UnitOfWork]:
    club_id = _checked(ClubId, club_id)
    database = _open(_settings())
    try:
        with database.writing() as session:
            yield UnitOfWork(session, club_id, OPERATOR)
    except ProblemError as error:
        raise click.ClickException(error.detail) from None
    finally:
        database.close()


def _checked(kind: Any, value: str) -> str:
    try:
        checked: str = TypeAdapter(kind).validate_python(value)
    except ValidationError as error:
        raise click.BadParameter(f"{value!r}: {error.errors()[0]['msg']}") from None
    return checked
