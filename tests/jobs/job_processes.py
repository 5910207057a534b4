"""Processes that do nothing but run jobs, to be killed."""

from datetime import UTC, datetime

from swardcost_api.jobs import runner as runner_module
from swardcost_api.jobs.runner import CONNECTIONS, Runner
from swardcost_api.ledger.importing import IMPORT_JOB
from swardcost_api.storage.database import Database
from swardcost_api.web.problem_documents import problem_of

HEARTBEAT = 0.05
"""Seconds; a process is thought dead after ten times as long."""


def run_jobs(url: str, most_attempts: int) -> None:
    """Run jobs until the process is killed, each begun so often at most."""
    runner_module.MAX_ATTEMPTS = most_attempts
    runner = Runner(
        Database(url, CONNECTIONS), {IMPORT_JOB.name: IMPORT_JOB}, problem_of, lambda: datetime.now(UTC),
        heartbeat_seconds=HEARTBEAT, poll_seconds=HEARTBEAT,
    )  # fmt: skip
    runner.start()
    assert runner._thread is not None
    runner._thread.join()
