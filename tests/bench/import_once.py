"""Import a file in a process of its own and print by how many bytes its memory grew at most meanwhile.

    python import_once.py DATABASE_URL CLUB PROFILE_ID ROWS

Reads the kernel's high-water mark of resident memory, which also sees what the database drivers hold.
"""

import sys
from pathlib import Path
from uuid import UUID

from exports import export_of
from swardcost_api.ledger.importing import import_file
from swardcost_api.storage.database import Database
from swardcost_api.storage.work import OPERATOR, UnitOfWork

STATUS = Path("/proc/self/status")


def resident(field: str) -> int:
    """Resident memory in bytes: `VmRSS` now, `VmHWM` at most so far."""
    line = next(one for one in STATUS.read_text().splitlines() if one.startswith(field))
    return int(line.split()[1]) * 1024


def import_rows(database: Database, club: str, profile_id: UUID, rows: int) -> None:
    with export_of(rows) as upload, database.writing() as session:
        work = UnitOfWork(session, club, OPERATOR)
        done = import_file(work, upload, profile_id, "export.csv", good_rows_only=False)
        assert done.rows_read == rows, done


def main() -> None:
    url, club, profile_id, rows = sys.argv[1:]
    database = Database(url)
    import_rows(database, club, UUID(profile_id), 100)  # what is loaded once for any file is not counted
    before = resident("VmRSS")
    import_rows(database, club, UUID(profile_id), int(rows))
    print(resident("VmHWM") - before)
    database.close()


if __name__ == "__main__":
    main()
