"""Charts of a workbook, drawn by the program that opens it from the cells beside them, so that they follow a change."""

from typing import Any

from swardcost_api.packets.document import Chart
from swardcost_api.packets.faces.calm_text import calm
from swardcost_api.packets.faces.xlsx_cells import INK, LINE
from swardcost_api.packets.faces.xlsx_formulas import FIRST_ROW, Grid

_COLOURS = ("#1f6a41", "#8a6d1f", "#20639b", "#7a3b10", "#5b5f63")
"""Told apart by eyes that do not see red or green, and by their lightness in black and white."""
_BESIDE = 2


def insert_chart(book: Any, page: Any, chart: Chart, grid: Grid) -> None:
    """Draw a chart to the right of its data; nothing where a workbook cannot draw it truly."""
    if chart.native is None or not chart.data.rows:
        return
    drawn = book.add_chart({"type": chart.native})
    last = FIRST_ROW + len(chart.data.rows) - 1
    numeric = [index for index, column in enumerate(chart.data.columns) if column.kind.numeric]
    for number, index in enumerate(numeric):
        colour = _COLOURS[number % len(_COLOURS)]
        at = grid.columns[index]
        series: dict[str, Any] = {
            "name": [grid.sheet, 1, at],
            "categories": [grid.sheet, FIRST_ROW, 0, last, 0],
            "values": [grid.sheet, FIRST_ROW, at, last, at],
            "fill": {"color": colour}, "line": {"color": colour},
        }  # fmt: skip
        drawn.add_series(series)
    font = {"color": INK, "name": "Arial"}
    drawn.set_title({"name": calm(chart.title)[:255], "name_font": font | {"size": 12}})
    drawn.set_legend({"none": True} if len(numeric) == 1 else {"position": "bottom", "font": font})
    values = {"num_font": font, "major_gridlines": {"visible": True, "line": {"color": LINE}}}
    if chart.native != "line":
        values["min"] = _floor(chart, numeric)
    names = {"num_font": font, "reverse": chart.native == "bar"}
    drawn.set_x_axis(values if chart.native == "bar" else names)
    drawn.set_y_axis(names if chart.native == "bar" else values)
    drawn.set_size({"width": 640, "height": 360})
    page.insert_chart(
        1, grid.width + _BESIDE, drawn, {"description": calm(chart.alternative)[:1000], "object_position": 2}
    )


def _floor(chart: Chart, numeric: list[int]) -> int | None:
    """Bars begin at zero, unless some hang below it."""
    amounts = [getattr(value, "amount", 0) for index in numeric for value in chart.data.values(index)]
    return 0 if all(amount >= 0 for amount in amounts) else None
