"""Jobs as others use them: starting one with its file, looking at it, cancelling it; and what a kind of job is."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import IO, Any
from uuid import UUID

from sqlalchemy import Row, delete, insert, select, update
from swardcost_model import problems
from swardcost_model.access import Role
from swardcost_model.jobs import ENDED, Job, JobKindName, JobProgress, JobStatus
from swardcost_model.paging import Page
from swardcost_model.problems import ProblemError

from swardcost_api.access.service import record
from swardcost_api.jobs.attempt import Attempt
from swardcost_api.jobs.tables import JobChunkRow, JobRow
from swardcost_api.storage.paging import read_page
from swardcost_api.storage.rows import by_id, read_row
from swardcost_api.storage.work import UnitOfWork

__all__ = ["Attempt", "Job", "JobKind", "cancel_job", "list_jobs", "read_job", "start_job"]

CHUNK_BYTES = 512 * 1024

_JOB = (
    JobRow.id, JobRow.kind, JobRow.status, JobRow.attempts, JobRow.actor, JobRow.created_at, JobRow.started_at,
    JobRow.ended_at, JobRow.result, JobRow.problem, JobRow.done, JobRow.total, JobRow.unit, JobRow.note,
)  # fmt: skip
_JOB_BY_ID = by_id(JobRow, _JOB)
_MAY_CANCEL_ANY = frozenset({Role.CONTROLLER, Role.OWNER})


@dataclass(frozen=True)
class JobKind:
    """A kind of job: its name, and what one attempt at it does; that ends the attempt, or raises."""

    name: JobKindName
    run: Callable[[Attempt], None]


def start_job(
    work: UnitOfWork,
    kind: JobKindName,
    arguments: dict[str, Any],
    upload: IO[bytes] | None = None,
    *,
    trials: int | None = None,
) -> Job:
    """Put a job in the queue, with its file or its number of trials; a process of the service takes it up once this is
    committed."""
    job_id, size = work.new_id(), trials
    if upload is not None:
        size = upload.seek(0, 2)
        upload.seek(0)
    work.session.execute(
        insert(JobRow).values(
            club_id=work.club_id, id=job_id, kind=kind, status="queued", arguments=arguments, done=0, total=size,
            unit="byte" if trials is None else "trial", note="waiting", attempts=0, beats=0, actor=work.caller.name,
            actor_role=work.caller.role, actor_key_id=work.caller.key_id, created_at=work.now,
        )
    )  # fmt: skip
    connection, number = work.session.connection(), 0
    while upload is not None and (content := upload.read(CHUNK_BYTES)):
        number += 1
        connection.execute(
            insert(JobChunkRow),
            {"club_id": work.club_id, "job_id": job_id, "number": number, "content": content},
        )
    started = read_job(work, job_id)
    record(work, "start", "job", job_id, after=started)
    return started


def list_jobs(
    work: UnitOfWork, limit: int, cursor: str | None, status: JobStatus | None, kind: JobKindName | None
) -> Page[Job]:
    """The club's jobs, latest first; all, or those in a state or of a kind."""
    statement = select(*_JOB).where(JobRow.club_id == work.club_id)
    if status is not None:
        statement = statement.where(JobRow.status == status)
    if kind is not None:
        statement = statement.where(JobRow.kind == kind)
    rows, following = read_page(work, statement, (JobRow.id,), limit, cursor, descending=True)
    return Page[Job](items=[_job_of(row) for row in rows], next=following)


def read_job(work: UnitOfWork, job_id: UUID) -> Job:
    """One job."""
    return _job_of(read_row(work, _JOB_BY_ID, job_id, "job"))


def cancel_job(work: UnitOfWork, job_id: UUID) -> Job:
    """End a job that is not over: what it would have changed stays as it is, and its file is deleted.

    Raises `forbidden` for another's job, except to a controller or owner, and `wrong-state` for one that is over.
    """
    owner = select(JobRow.actor_key_id).where(JobRow.club_id == work.club_id, JobRow.id == job_id)
    before = read_job(work, job_id)
    if work.caller.role not in _MAY_CANCEL_ANY and work.session.scalar(owner) != work.caller.key_id:
        raise ProblemError(
            problems.FORBIDDEN,
            "A job is cancelled with the key that started it, or by a controller or owner.",
        )
    cancel = (
        update(JobRow)
        .where(JobRow.club_id == work.club_id, JobRow.id == job_id, JobRow.status.not_in(ENDED))
        .values(status="cancelled", holder=None, note="cancelled", ended_at=work.now)
    )
    if work.session.execute(cancel).rowcount != 1:  # type: ignore[attr-defined]
        status = read_job(work, job_id).status
        raise ProblemError(
            problems.WRONG_STATE, f"The job is {status}; only one that is queued or running can be cancelled."
        )
    work.session.execute(
        delete(JobChunkRow).where(JobChunkRow.club_id == work.club_id, JobChunkRow.job_id == job_id)
    )
    after = read_job(work, job_id)
    record(work, "cancel", "job", job_id, before, after)
    return after


def _job_of(row: Row[*tuple[Any, ...]]) -> Job:
    fields = dict(row._mapping)
    progress = JobProgress.model_construct(**{k: fields.pop(k) for k in ("done", "total", "unit", "note")})
    return Job(**fields, progress=progress)
