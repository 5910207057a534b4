"""Who runs a job: each step is one conditional `UPDATE`, so that of two processes exactly one succeeds.

A process that takes a job up writes an id of its own (`holder`) into it. Whatever it does to the job afterwards it does
only where that id still stands, so that a job which was cancelled, or taken over by another process meanwhile, is left
alone. No clocks are compared: a process is thought dead when `beats` stood still for a while that the looker measured.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from sqlalchemy import ColumnElement, TextClause, delete, exists, select, update
from sqlalchemy.orm import Session
from swardcost_model.jobs import ENDED

from swardcost_api.jobs.tables import OPEN, JobChunkRow, JobRow
from swardcost_api.storage.work import Caller

ABANDONED = timedelta(days=7)
"""A job that no process took up for so long is ended, and its file deleted."""


class LostError(Exception):
    """The job is not this process's any more: it was cancelled, or another process has taken it over."""


@dataclass(frozen=True, slots=True)
class OpenJob:
    """A job that is not over, as it was seen."""

    club_id: str
    id: UUID
    kind: str
    status: str
    holder: UUID | None
    beats: int
    attempts: int


@dataclass(frozen=True, slots=True)
class Claim:
    """A job that this process holds."""

    club_id: str
    id: UUID
    holder: UUID


@dataclass(frozen=True, slots=True)
class Claimed:
    """What is needed to carry out a job that was claimed."""

    claim: Claim
    kind: str
    arguments: dict[str, Any]
    attempts: int
    caller: Caller


def open_jobs(session: Session) -> Sequence[OpenJob]:
    """All jobs that are not over, of all clubs, in the order in which they were started."""
    columns = (
        JobRow.club_id,
        JobRow.id,
        JobRow.kind,
        JobRow.status,
        JobRow.holder,
        JobRow.beats,
        JobRow.attempts,
    )
    rows = session.connection().execute(select(*columns).where(OPEN).order_by(JobRow.id))
    return [OpenJob(*row) for row in rows]


def claim(session: Session, job: OpenJob, holder: UUID, now: datetime) -> Claimed | None:
    """Take up a job, if it still is as it was seen."""
    unchanged = (
        JobRow.club_id == job.club_id, JobRow.id == job.id, JobRow.status == job.status, JobRow.beats == job.beats,
        JobRow.holder == job.holder if job.holder is not None else JobRow.holder.is_(None),
    )  # fmt: skip
    taken = (
        update(JobRow)
        .where(*unchanged)
        .values(status="running", holder=holder, beats=JobRow.beats + 1, attempts=JobRow.attempts + 1, done=0,
                note="starting", started_at=JobRow.started_at if job.attempts else now)
        .returning(JobRow.arguments, JobRow.actor, JobRow.actor_role, JobRow.actor_key_id, JobRow.attempts)
        .execution_options(synchronize_session=False)
    )  # fmt: skip
    row = session.execute(taken).first()
    if row is None:
        return None
    caller = Caller(row.actor, row.actor_role, row.actor_key_id)
    return Claimed(Claim(job.club_id, job.id, holder), job.kind, row.arguments, row.attempts, caller)


def beat(session: Session, held: Claim, **progress: Any) -> None:
    """Show that the holder lives, and how far it has come. Raises `LostError`."""
    _change(session, held, beats=JobRow.beats + 1, **progress)


def give_back(session: Session, held: Claim, attempts: int) -> None:
    """Put a job back into the queue. Raises `LostError`."""
    _change(session, held, status="queued", holder=None, note="waiting", done=0, attempts=attempts)


def end(session: Session, held: Claim, status: str, now: datetime, **outcome: Any) -> None:
    """End a job and delete its file. Raises `LostError`."""
    _change(session, held, status=status, holder=None, note=status, ended_at=now, **outcome)
    session.execute(delete(JobChunkRow).where(*_of(JobChunkRow.job_id, JobChunkRow.club_id, held)))


def chunks(session: Session, held: Claim) -> Iterator[bytes]:
    """The file that a job was started with, part by part."""
    number = 0
    statement = select(JobChunkRow.content).where(*_of(JobChunkRow.job_id, JobChunkRow.club_id, held))
    while True:
        number += 1
        content = session.scalar(statement.where(JobChunkRow.number == number))
        if content is None:
            return
        yield content


def has_abandoned(session: Session, now: datetime) -> bool:
    """Whether there is anything to sweep."""
    left = select(JobChunkRow.number).where(_of_an_ended_job()).limit(1)
    forgotten = select(JobRow.id).where(*_forgotten(now)).limit(1)
    return session.scalar(left) is not None or session.scalar(forgotten) is not None


def sweep(session: Session, now: datetime, problem: dict[str, Any]) -> None:
    """End the jobs that wait since long ago, with this problem, and delete what files ended jobs left."""
    session.execute(
        update(JobRow)
        .where(*_forgotten(now))
        .values(status="failed", note="failed", ended_at=now, problem=problem)
        .execution_options(synchronize_session=False)
    )
    session.execute(
        delete(JobChunkRow).where(_of_an_ended_job()).execution_options(synchronize_session=False)
    )


def _change(session: Session, held: Claim, **values: Any) -> None:
    mine = (*_of(JobRow.id, JobRow.club_id, held), JobRow.holder == held.holder)
    changed = update(JobRow).where(*mine, JobRow.status == "running").values(**values)
    if session.execute(changed.execution_options(synchronize_session=False)).rowcount != 1:  # type: ignore[attr-defined]
        raise LostError


def _of(job_id: Any, club_id: Any, held: Claim) -> tuple[ColumnElement[bool], ...]:
    return (club_id == held.club_id, job_id == held.id)


def _forgotten(now: datetime) -> tuple[ColumnElement[bool] | TextClause, ...]:
    return (OPEN, JobRow.status == "queued", JobRow.created_at < now - ABANDONED)


def _of_an_ended_job() -> ColumnElement[bool]:
    return exists().where(
        JobRow.club_id == JobChunkRow.club_id, JobRow.id == JobChunkRow.job_id, JobRow.status.in_(ENDED)
    )
