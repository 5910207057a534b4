"""Move a price list in a process of its own and print by how many bytes its memory grew at most meanwhile.

    python price_list_once.py DATABASE_URL CLUB upload|export EDITION_ID MEDIA_TYPE [FILE]

An upload takes FILE into the draft, an export writes the edition. Reads the kernel's high-water mark of resident
memory.
"""

import sys
from pathlib import Path
from uuid import UUID

from memory import resident
from swardcost_api.catalog.item_files import export_edition, put_items, write_items
from swardcost_api.catalog.item_workbook import write_edition
from swardcost_api.operations import CSV
from swardcost_api.storage.database import Database
from swardcost_api.storage.work import OPERATOR, UnitOfWork


def upload(database: Database, club: str, edition_id: UUID, media_type: str, file: Path) -> None:
    with file.open("rb") as content, database.writing() as session:
        put_items(UnitOfWork(session, club, OPERATOR), edition_id, content, media_type)


def export(database: Database, club: str, edition_id: UUID, media_type: str) -> None:
    with database.reading() as session:
        exported = export_edition(UnitOfWork(session, club, OPERATOR), edition_id)
    assert write_items(exported) if media_type == CSV else write_edition(exported)


def main() -> None:
    url, club, task, edition_id, media_type, *file = sys.argv[1:]
    database = Database(url)
    before = resident("VmRSS")
    if task == "upload":
        upload(database, club, UUID(edition_id), media_type, Path(file[0]))
    else:
        export(database, club, UUID(edition_id), media_type)
    print(resident("VmHWM") - before)
    database.close()


if __name__ == "__main__":
    main()
