"""Whether a document holds together: ids, headings, references, and every cell that follows from others."""

import re
from typing import TYPE_CHECKING

from swardcost_api.packets.relations import cell_at, check_relations

if TYPE_CHECKING:
    from swardcost_api.packets.document import Document

_ID = re.compile(r"[a-z][a-z0-9-]{0,60}")


def check(document: "Document") -> None:
    """Raise `ValueError` where the document contradicts itself."""
    if document.created.tzinfo is None:
        raise ValueError("`created` needs its time zone")
    _check_ids(document)
    _check_headings(document)
    _check_tables(document)
    _check_figures(document)
    check_relations({table.id: table for table in document.tables})


def _check_ids(document: "Document") -> None:
    of_parts = [section.id for section in document.sections] + [chart.id for chart in document.charts]
    for names in (
        of_parts + [table.id for table in document.tables],
        [derivation.id for derivation in document.derivations],
    ):
        if len(set(names)) != len(names):
            raise ValueError(f"an id is used twice among {sorted(names)}")
        for name in names:
            if not _ID.fullmatch(name):
                raise ValueError(f"{name!r} is no id: small letters, digits and hyphens, a letter first")


def _check_headings(document: "Document") -> None:
    level = 1
    for section in document.sections:
        if section.level > level + 1:
            raise ValueError(f"heading {section.heading!r} skips a level")
        level = section.level


def _check_tables(document: "Document") -> None:
    for table in document.tables:
        for row in table.rows:
            if len(row.cells) != len(table.columns):
                raise ValueError(f"table {table.id}, row {row.key}: not one cell for each column")
            for cell in row.cells:
                _check_why(document, cell.why)


def _check_figures(document: "Document") -> None:
    tables = {table.id: table for table in document.tables}
    for figure in document.figures:
        _check_why(document, figure.why)
        if figure.same_as is not None and cell_at(tables, figure.same_as).value != figure.value:
            raise ValueError(f"figure {figure.label!r} differs from the cell that it repeats")


def _check_why(document: "Document", why: str | None) -> None:
    if why is not None and why not in document.numbers:
        raise ValueError(f"there is no derivation {why!r}")
