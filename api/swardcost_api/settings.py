"""All settings of the service, read from the environment (prefix `SWARDCOST_`)."""

import os
import sys
from pathlib import Path

from pydantic import Field
from pydantic_settings import BaseSettings, SettingsConfigDict


def user_data_folder() -> Path:
    """Where this user's programs keep their data: the platform's convention."""
    if sys.platform == "win32":
        base = Path(os.environ.get("LOCALAPPDATA", Path.home() / "AppData" / "Local"))
    elif sys.platform == "darwin":
        base = Path.home() / "Library" / "Application Support"
    else:
        base = Path(os.environ.get("XDG_DATA_HOME") or Path.home() / ".local" / "share")
    return base / "swardcost"


def default_database_url() -> str:
    """The embedded database in the user's data folder."""
    return f"sqlite:///{user_data_folder() / 'swardcost.db'}"


class Settings(BaseSettings):
    """Every setting, its default and meaning; the table in README.md is checked against this class."""

    model_config = SettingsConfigDict(env_prefix="SWARDCOST_", extra="ignore")

    database_url: str = Field(
        default_factory=default_database_url,
        description="SQLAlchemy URL: `sqlite:///file.db`, or `postgresql+psycopg://user@host/name`.",
    )
    host: str = Field(default="127.0.0.1", description="Address to listen on.")
    port: int = Field(default=8787, ge=1, le=65535, description="Port to listen on.")
    workers: int = Field(
        default=1, ge=1, le=64, description="Worker processes; use PostgreSQL for more than one."
    )
    pool_size: int = Field(
        default=10,
        ge=1,
        le=200,
        description="Database connections per worker for requests; imports and jobs take up to four more.",
    )
    max_body_bytes: int = Field(
        default=1024 * 1024, ge=1024, description="Largest JSON body taken, in bytes."
    )
    max_upload_bytes: int = Field(
        default=100 * 1024 * 1024, ge=1024, description="Largest file taken as an upload, in bytes."
    )
    receive_seconds: int = Field(
        default=30,
        ge=1,
        le=3600,
        description="How long a body may take, or an upload fall silent, before it is given up.",
    )
    stop_grace_seconds: int = Field(
        default=20,
        ge=1,
        le=600,
        description="How long requests under way may still take when the service stops.",
    )
    run_jobs: bool = Field(
        default=True,
        description="Whether these workers run jobs; where none does, jobs that were started wait.",
    )
    job_heartbeat_seconds: float = Field(
        default=2.0,
        ge=0.05,
        le=600,
        description="How often a job under way shows that its process lives; after ten times as long without a sign "
        "another process takes it over.",
    )
    job_poll_seconds: float = Field(
        default=5.0,
        ge=0.05,
        le=3600,
        description="How often an idle worker looks for jobs that other processes left; its own it takes up at once.",
    )
    log_format: str = Field(default="json", pattern="^(json|text)$", description="`json` or `text`.")
    log_level: str = Field(
        default="info",
        pattern="^(debug|info|warning|error)$",
        description="Least severe level that is logged.",
    )
