"""A document in the units of its reader: what is bought by a unit stays in it, and every total is summed anew."""

from dataclasses import replace

from swardcost_api.packets.document import Chart, Document, Figure, Figures, Kind, Part, Row, Table
from swardcost_api.packets.relations import recomputed
from swardcost_api.packets.unit_names import in_unit, reader_unit
from swardcost_api.packets.values import Measured


def in_reader_units(document: Document) -> Document:
    """The document with quantities of the other system of units in the units of its own.

    All quantities of a column get one unit. What is printed is rounded first and added up then, so that the printed
    rows sum to the printed total.
    """
    tables = {table.id: _columns_converted(table, document) for table in document.tables}
    if all(tables[table.id] is table for table in document.tables) and not _figures_to_convert(document):
        return document
    tables = recomputed(tables)
    return replace(document, parts=tuple(_part(part, tables, document) for part in document.parts))


def _figures_to_convert(document: Document) -> bool:
    return any(_figure(one, {}, document) is not one for one in document.figures if one.same_as is None)


def _part(part: Part, tables: dict[str, Table], document: Document) -> Part:
    match part:
        case Table():
            return tables[part.id]
        case Chart():
            return replace(part, data=tables[part.data.id])
        case Figures():
            return replace(part, items=tuple(_figure(one, tables, document) for one in part.items))
        case _:
            return part


def _figure(figure: Figure, tables: dict[str, Table], document: Document) -> Figure:
    if figure.same_as is not None:
        table, row, column = figure.same_as
        value = tables[table].cell(row, column).value
        return figure if value is None else replace(figure, value=value)
    if not isinstance(figure.value, Measured):
        return figure
    unit = reader_unit([figure.value], document.unit_system, document.ton)
    return figure if unit is None else replace(figure, value=in_unit([figure.value], unit)[0])


def _columns_converted(table: Table, document: Document) -> Table:
    rows = list(table.rows)
    for index, column in enumerate(table.columns):
        if column.kind is not Kind.QUANTITY:
            continue
        places = [at for at, row in enumerate(rows) if isinstance(row.cells[index].value, Measured)]
        measured = [value for value in table.values(index) if isinstance(value, Measured)]
        unit = reader_unit(measured, document.unit_system, document.ton) if measured else None
        if unit is not None:
            for at, value in zip(places, in_unit(measured, unit), strict=True):
                rows[at] = _with_cell(rows[at], index, value)
    return table if rows == list(table.rows) else replace(table, rows=tuple(rows))


def _with_cell(row: Row, index: int, value: Measured) -> Row:
    cells = list(row.cells)
    cells[index] = replace(cells[index], value=value)
    return replace(row, cells=tuple(cells))
