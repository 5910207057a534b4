"""The part of the story in which a ledger is imported by a job."""

from contextlib import suppress
from typing import Any
from uuid import UUID

from swardcost import Conflict
from swardcost_model.jobs import Job


def the_jobs(client: Any, profile_id: UUID, ledger: str) -> None:
    """Start an import and think better of it; start it again, and watch it to its end."""
    hasty = client.imports.start(profile_id, "september.csv", ledger, good_rows_only=True)
    with suppress(Conflict):  # where the service was quicker
        assert client.jobs.cancel(hasty.id).status == "cancelled"
    started = client.imports.start(profile_id, "september.csv", ledger, good_rows_only=True)
    seen: list[Job] = []
    done = client.imports.finish(started, seen.append, seconds=60)
    assert (done.rows_posted, done.rows_known, done.rows_bad) == (0, 3, 1)
    assert client.jobs.read(started.id) == seen[-1]
    assert seen[-1].progress.done == seen[-1].progress.total == len(ledger.encode())
    assert {hasty.id, started.id} <= {job.id for job in client.jobs.list(kind="ledger_import")}
