"""Run an import as a job in a process of its own; print its seconds and how much memory the process took at most.

    python import_once.py DATABASE_URL PROFILE_ID ROWS

Prints the seconds from handing over the file to the end of the job; the most bytes of memory that the process ever
held; and by how many it grew. Reads the kernel's high-water mark of resident memory, which also sees what the database
drivers hold. The whole service is loaded, as in a server process.
"""

import sys
import time
from datetime import UTC, datetime
from uuid import UUID

from conftest import CLUB
from exports import export_of, order_for
from memory import resident
from swardcost_api.jobs.runner import CONNECTIONS, Runner
from swardcost_api.jobs.service import read_job
from swardcost_api.ledger.importing import start_import
from swardcost_api.settings import Settings
from swardcost_api.storage.database import Database
from swardcost_api.storage.work import OPERATOR, Transactions
from swardcost_api.web.collector import settle
from swardcost_api.web.observability import configure_logging
from swardcost_api.web.problem_documents import problem_of
from swardcost_api.web.rooms import ROOMS


def import_by_job(url: str, profile_id: UUID, rows: int) -> float:
    """Start a job that imports so many rows, and run it; gives the seconds of both."""
    database = Database(url)
    transactions = Transactions(database, CLUB, OPERATOR)
    kinds = {one.starts.name: one.starts for room in ROOMS for one in room.operations if one.starts}
    runner = Runner(Database(url, CONNECTIONS), kinds, problem_of, lambda: datetime.now(UTC))
    with export_of(rows) as upload:
        started = time.perf_counter()
        with transactions.writing() as work:
            job_id = start_import(work, upload, order_for(profile_id)).id
        assert runner.run_waiting() == 1
        seconds = time.perf_counter() - started
    with transactions.reading() as work:
        job = read_job(work, job_id)
        assert job.result is not None, job
        assert job.result["rows_read"] == rows, job
    runner.stop(10)
    database.close()
    return seconds


def main() -> None:
    configure_logging(Settings(log_level="error"))
    settle()
    url, profile_id, rows = sys.argv[1:]
    import_by_job(url, UUID(profile_id), 100)  # what is loaded once for any file is not counted as growth
    before = resident("VmRSS")
    seconds = import_by_job(url, UUID(profile_id), int(rows))
    print(seconds, resident("VmHWM"), resident("VmHWM") - before)


if __name__ == "__main__":
    main()
