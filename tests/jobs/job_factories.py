"""A club with a queue of jobs whose work a test decides, and runners for it."""

import io
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import Any
from uuid import UUID

from sqlalchemy import func, insert, select, update
from swardcost_api.access.service import create_club
from swardcost_api.access.tables import ClubRow
from swardcost_api.jobs import claims
from swardcost_api.jobs.runner import Runner
from swardcost_api.jobs.service import Attempt, JobKind, cancel_job, read_job, start_job
from swardcost_api.jobs.tables import JobChunkRow, JobRow
from swardcost_api.storage.database import Database
from swardcost_api.storage.ids import new_id
from swardcost_api.storage.work import OPERATOR, Transactions, UnitOfWork
from swardcost_api.web.problem_documents import problem_of
from swardcost_model.jobs import Job
from swardcost_model.service import Health

CLUB = "heron-mere"
FILE = b"one\ntwo\nthree\n"
HEARTBEAT = 0.05
"""Seconds; a process is thought dead after ten times as long."""
DONE = Health(status="live")
"""Any answer, for the result of a job."""

Work = Callable[[Attempt], None]


def rename_the_club(name: str) -> Callable[[UnitOfWork], Health]:
    """A change that a job may make, and that shows whether it was made."""

    def change(work: UnitOfWork) -> Health:
        work.session.execute(update(ClubRow).where(ClubRow.id == work.club_id).values(name=name))
        return DONE

    return change


def finishing(attempt: Attempt) -> None:
    """Work that reads its file and is done."""
    with attempt.upload() as upload:
        attempt.end(rename_the_club(upload.read().decode().splitlines()[0]))


@dataclass
class Queue:
    """The jobs of a club, without a server."""

    database: Database
    shift: timedelta = timedelta()
    runners: list[Runner] = field(default_factory=list)

    def empty(self) -> None:
        """Take out all jobs, and give the club its first name again."""
        with self.database.writing() as session:
            for table in (JobChunkRow, JobRow):
                session.execute(table.__table__.delete())
            if session.scalar(select(ClubRow.id).where(ClubRow.id == CLUB)) is None:
                create_club(UnitOfWork(session, CLUB, OPERATOR), "First", "USD")
            session.execute(update(ClubRow).values(name="First"))

    def clock(self) -> datetime:
        return datetime.now(UTC) + self.shift

    @property
    def transactions(self) -> Transactions:
        return Transactions(self.database, CLUB, OPERATOR, self.clock)

    def runner(self, work: Work, poll_seconds: float = 60, **more: Any) -> Runner:
        """A runner for jobs that do this, as a process of its own would have it."""
        kinds = {"ledger_import": JobKind("ledger_import", work)}
        made = Runner(
            Database(self.database.engine.url.render_as_string(hide_password=False), 3), kinds, problem_of, self.clock,
            heartbeat_seconds=HEARTBEAT, poll_seconds=poll_seconds, **more,
        )  # fmt: skip
        self.runners.append(made)
        return made

    def start(self, file: bytes = FILE) -> UUID:
        with self.transactions.writing() as work:
            return start_job(work, "ledger_import", {"asked": "this"}, io.BytesIO(file)).id

    def cancel(self, job_id: UUID) -> Job:
        with self.transactions.writing() as work:
            return cancel_job(work, job_id)

    def read(self, job_id: UUID) -> Job:
        with self.transactions.reading() as work:
            return read_job(work, job_id)

    def ended(self, job_id: UUID, seconds: float = 10) -> Job:
        """The job when it is over."""
        until = time.monotonic() + seconds
        while (job := self.read(job_id)).ended_at is None:
            assert time.monotonic() < until, job
            time.sleep(0.01)
        return job

    def claimed_by_another(self) -> claims.Claim:
        """The first job as a process holds it that dies, or falls silent, right afterwards."""
        with self.database.writing() as session:
            claimed = claims.claim(session, claims.open_jobs(session)[0], new_id(), self.clock())
        assert claimed is not None
        return claimed.claim

    def chunks(self) -> int:
        """How many parts of files are kept."""
        with self.database.reading() as session:
            return session.scalar(select(func.count()).select_from(JobChunkRow)) or 0

    def club_name(self) -> str:
        with self.database.reading() as session:
            return session.scalars(select(ClubRow.name)).one()

    def leave_chunk(self, job_id: UUID) -> None:
        with self.database.writing() as session:
            session.execute(insert(JobChunkRow).values(club_id=CLUB, job_id=job_id, number=9, content=b"x"))
