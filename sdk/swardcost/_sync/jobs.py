"""Jobs: long work that the service carries out by itself, watched until it is over."""

import time
from collections.abc import Iterator, Callable
from uuid import UUID

from swardcost_model.jobs import ENDED, Job, JobKindName, JobStatus

from swardcost._sync.session import Session
from swardcost.errors import JobCancelled, JobFailed, NotDoneInTime
from swardcost.retries import wait_sync

_JOBS = "/v1/clubs/{club}/jobs"
_FIRST_WAIT, _GROWTH = 0.1, 1.5


class Jobs:
    """Jobs of the club."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def list(self, status: JobStatus | None = None, kind: JobKindName | None = None) -> Iterator[Job]:
        """Every job, latest first; all, or those in a state or of a kind."""
        return self._session.pages(Job, _JOBS, status=status, kind=kind)

    def read(self, job_id: UUID) -> Job:
        """One job as it is now."""
        return self._session.get(Job, f"{_JOBS}/{job_id}")

    def cancel(self, job_id: UUID) -> Job:
        """End a job that is not over; nothing of what it would have changed is changed."""
        return self._session.post(Job, f"{_JOBS}/{job_id}/cancel")

    def wait(
        self,
        job_id: UUID,
        on_progress: Callable[[Job], None] | None = None,
        seconds: float | None = None,
        longest_pause: float = 2.0,
    ) -> Job:
        """The job when it is done; `on_progress` is shown it whenever it has changed, the last time when it is over.

        Raises `JobFailed` or `JobCancelled` where it ended otherwise, and `NotDoneInTime` after so many `seconds`;
        the job then goes on. It is asked for again and again, with pauses that grow.
        """
        started, pause, before = time.monotonic(), _FIRST_WAIT, None
        while True:
            job = self.read(job_id)
            if on_progress is not None and job != before:
                on_progress(job)
            before = job
            if job.status in ENDED:
                break
            if seconds is not None and time.monotonic() - started + pause > seconds:
                raise NotDoneInTime(job)
            wait_sync(pause)
            pause = min(pause * _GROWTH, longest_pause)
        if job.status == "failed":
            raise JobFailed(job)
        if job.status == "cancelled":
            raise JobCancelled(job)
        return job
