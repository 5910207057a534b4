"""The thread that runs the jobs of one server process, one after another, those of dead processes too.

It sleeps until a job is started in this process; jobs of other processes it finds by looking now and then. A job that a
process left is told by its `beats`, which stand still: what was begun is begun again from the start, and since all that
a job changes is changed in one transaction together with its end, nothing of it is lost or done twice.
"""

import threading
import time
from collections.abc import Callable, Mapping
from datetime import datetime
from typing import Any
from uuid import UUID

import structlog
from sqlalchemy.exc import SQLAlchemyError
from swardcost_model import problems
from swardcost_model.problems import ProblemError

from swardcost_api.faults import problem_document
from swardcost_api.jobs import claims
from swardcost_api.jobs.attempt import Attempt, StoppingError
from swardcost_api.jobs.claims import Claim, Claimed, LostError, OpenJob
from swardcost_api.jobs.service import JobKind
from swardcost_api.storage.database import Database
from swardcost_api.storage.ids import new_id
from swardcost_api.storage.work import Transactions

log = structlog.get_logger()

CONNECTIONS = 3
"""That a runner may need at once: for the work, for its heart, and one that it holds for what it stages."""
SILENT_BEATS = 10
"""Beats that may be missing before a process is thought dead."""
MAX_ATTEMPTS = 5
SWEEP_SECONDS = 3600.0
_PASSING = frozenset({problems.UNAVAILABLE, problems.INTERNAL, problems.CHANGED_MEANWHILE})
"""Problems that may be gone when the job is tried again."""


class Runner:
    """Runs jobs of these kinds. `problem_of` says which problem an exception amounts to."""

    def __init__(
        self,
        database: Database,
        kinds: Mapping[str, JobKind],
        problem_of: Callable[[Exception], ProblemError],
        clock: Callable[[], datetime],
        new_id: Callable[[], UUID] = new_id,
        heartbeat_seconds: float = 2.0,
        poll_seconds: float = 5.0,
    ) -> None:
        self._database = database
        self._kinds = kinds
        self._problem_of = problem_of
        self._clock = clock
        self._new_id = new_id
        self._heartbeat_seconds = heartbeat_seconds
        self._poll_seconds = poll_seconds
        self._seen: dict[UUID, tuple[OpenJob, float]] = {}
        self._swept = -SWEEP_SECONDS
        self._stopping = threading.Event()
        self._awake = threading.Event()
        self._thread: threading.Thread | None = None

    def start(self) -> None:
        """Begin to look for jobs."""
        self._stopping.clear()
        self._thread = threading.Thread(target=self._run, name="jobs", daemon=True)
        self._thread.start()

    def wake(self) -> None:
        """Look for jobs now."""
        self._awake.set()

    def stop(self, seconds: float) -> None:
        """End, and put the job under way back into the queue; after so long it is left to whoever comes next."""
        self._stopping.set()
        self._awake.set()
        if self._thread is not None:
            self._thread.join(seconds)
            if self._thread.is_alive():
                log.warning("jobs_not_stopped", seconds=seconds)
                return
        self._database.close()

    def run_waiting(self) -> int:
        """Run jobs until there is none that can be; gives their number."""
        ran = 0
        while not self._stopping.is_set():
            claimed = self._next()
            if claimed is None:
                break
            ran += 1
            if not self._attempt(claimed):
                break
        return ran

    def _run(self) -> None:
        while not self._stopping.is_set():
            self._awake.clear()
            try:
                self._sweep_now_and_then()
                self.run_waiting()
            except SQLAlchemyError as error:
                log.warning("jobs_not_read", error=str(error.__cause__ or error))
            except Exception as error:
                log.error("jobs_failed", exc_info=error)
            self._awake.wait(self._poll_seconds)

    def _next(self) -> Claimed | None:
        """The first job that can be taken up, held."""
        with self._database.reading(snapshot=False) as session:
            jobs = claims.open_jobs(session)
        self._seen = {job.id: self._since_when(job) for job in jobs if job.status == "running"}
        for job in jobs:
            if job.kind not in self._kinds or (job.status == "running" and not self._is_dead(job)):
                continue
            with self._database.writing() as session:
                claimed = claims.claim(session, job, new_id(), self._clock())
            if claimed is not None and claimed.attempts > MAX_ATTEMPTS:
                self._fail(claimed.claim, _given_up(claimed))
            elif claimed is not None:
                return claimed
        return None

    def _since_when(self, job: OpenJob) -> tuple[OpenJob, float]:
        """The job, and since when it has looked exactly so."""
        before = self._seen.get(job.id)
        return before if before is not None and before[0] == job else (job, time.monotonic())

    def _is_dead(self, job: OpenJob) -> bool:
        silent = time.monotonic() - self._seen[job.id][1]
        return silent >= SILENT_BEATS * self._heartbeat_seconds

    def _attempt(self, claimed: Claimed) -> bool:
        """Run a job; `False` where it is better to wait a while before the next."""
        claim, started = claimed.claim, time.monotonic()
        told = log.bind(job=str(claim.id), kind=claimed.kind, club=claim.club_id, attempt=claimed.attempts)
        transactions = Transactions(self._database, claim.club_id, claimed.caller, self._clock, self._new_id)
        attempt = Attempt(claimed, transactions, self._stopping, self._heartbeat_seconds)
        try:
            with attempt.alive():
                self._kinds[claimed.kind].run(attempt)
        except LostError:
            told.info("job_lost")
        except StoppingError:
            self._give_back(claim, claimed.attempts - 1)
        except Exception as error:
            problem = self._problem_of(error)
            told.info("job_failed", problem=problem.kind.slug)
            if problem.kind in _PASSING and claimed.attempts < MAX_ATTEMPTS:
                self._give_back(claim, claimed.attempts)
                return False
            self._fail(claim, problem)
        else:
            told.info("job_done", seconds=round(time.monotonic() - started, 2))
        return True

    def _give_back(self, claim: Claim, attempts: int) -> None:
        with self._database.writing() as session:
            self._unless_lost(claims.give_back, session, claim, attempts)

    def _fail(self, claim: Claim, problem: ProblemError) -> None:
        document = problem_document(problem, f"/v1/clubs/{claim.club_id}/jobs/{claim.id}")
        kept = document.model_dump(mode="json", exclude_none=True)
        with self._database.writing() as session:
            self._unless_lost(claims.end, session, claim, "failed", self._clock(), problem=kept)

    @staticmethod
    def _unless_lost(change: Callable[..., None], *arguments: Any, **named: Any) -> None:
        """Change a job; one that was cancelled or taken over meanwhile is no concern of this process any more."""
        try:
            change(*arguments, **named)
        except LostError:
            log.info("job_lost")

    def _sweep_now_and_then(self) -> None:
        if time.monotonic() - self._swept < SWEEP_SECONDS:
            return
        now = self._clock()
        with self._database.reading() as session:
            found = claims.has_abandoned(session, now)
        if found:
            with self._database.writing() as session:
                claims.sweep(session, now, _ABANDONED)
        self._swept = time.monotonic()


def _given_up(claimed: Claimed) -> ProblemError:
    return ProblemError(
        problems.INTERNAL, f"The job was begun {claimed.attempts - 1} times and its process ended each time."
    )


_ABANDONED = problem_document(
    ProblemError(problems.UNAVAILABLE, f"No process took the job up within {claims.ABANDONED.days} days."),
    "/",
).model_dump(mode="json", exclude={"instance"}, exclude_none=True)
