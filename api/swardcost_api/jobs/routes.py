"""HTTP operations of jobs."""

from typing import Annotated
from uuid import UUID

from swardcost_model import problems
from swardcost_model.access import Role
from swardcost_model.jobs import Job, JobKindName, JobStatus
from swardcost_model.paging import Page

from swardcost_api.jobs import service
from swardcost_api.operations import JOBS, Cursor, Limit, Query, Room
from swardcost_api.storage.work import UnitOfWork

room = Room("Jobs", "Long work that was answered with `202 Accepted`: how far it is, and what came of it.")


@room.read(JOBS, "List the jobs")
def list_jobs(
    work: UnitOfWork,
    limit: Limit = 50,
    cursor: Cursor = None,
    status: Annotated[JobStatus | None, Query("Only jobs in this state.")] = None,
    kind: Annotated[JobKindName | None, Query("Only jobs of this kind.")] = None,
) -> Page[Job]:
    """Latest first."""
    return service.list_jobs(work, limit, cursor, status, kind)


@room.read(JOBS + "/{job_id}", "Read a job")
def read_job(work: UnitOfWork, job_id: UUID) -> Job:
    """To be read again, every second or so, until `ended_at` is there."""
    return service.read_job(work, job_id)


@room.act(
    JOBS + "/{job_id}/cancel", "Cancel a job", needs=frozenset({Role.SUPERINTENDENT, Role.CONTROLLER, Role.OWNER}),
    problems=[problems.WRONG_STATE],
)  # fmt: skip
def cancel_job(work: UnitOfWork, job_id: UUID) -> Job:
    """Ends a job that is queued or running, at once; nothing of what it would have changed is changed.

    Controllers and owners cancel any job, others those that they started themselves.
    """
    return service.cancel_job(work, job_id)
