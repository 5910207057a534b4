"""Charts of a workbook, drawn by the program that opens it from the cells beside them, so that they follow a change."""

from typing import Any

from swardcost_api.charts import BAND, LINE, PAPER
from swardcost_api.charts import INK as DARK
from swardcost_api.packets.document import Chart
from swardcost_api.packets.faces.calm_text import calm
from swardcost_api.packets.faces.xlsx_cells import INK
from swardcost_api.packets.faces.xlsx_cells import LINE as GRID
from swardcost_api.packets.faces.xlsx_formulas import FIRST_ROW, Grid
from swardcost_api.packets.values import number_of

_STROKES = (LINE, DARK, "#b08a2a", "#7a3b10", "#2b8757", "#4b2a57")
"""Lines: each of another lightness, those that follow each other of a very different one, all dark enough for paper."""
_DASHES = ("solid", "dash", "round_dot", "long_dash_dot", "long_dash")
_MARKS = ("circle", "square", "triangle", "diamond")
"""With the dashes they tell lines apart whose colours come again."""
_FILLS = (LINE, BAND, DARK, PAPER, "#b08a2a")
"""Bars: each of a very different lightness and outlined in ink. No chart of a packet has more than three kinds."""
_BESIDE = 2


def insert_chart(book: Any, page: Any, chart: Chart, grid: Grid) -> None:
    """Draw a chart to the right of its data; nothing where a workbook cannot draw it truly."""
    if chart.native is None or not chart.data.rows:
        return
    drawn = book.add_chart({"type": chart.native})
    last = FIRST_ROW + len(chart.data.rows) - 1
    numeric = [index for index, column in enumerate(chart.data.columns) if column.kind.numeric]
    for number, index in enumerate(numeric):
        at = grid.columns[index]
        series: dict[str, Any] = {
            "name": [grid.sheet, 1, at],
            "categories": [grid.sheet, FIRST_ROW, 0, last, 0],
            "values": [grid.sheet, FIRST_ROW, at, last, at],
        }  # fmt: skip
        drawn.add_series(series | (_line(number) if chart.native == "line" else _bar(number)))
    font = {"color": INK, "name": "Arial"}
    drawn.set_title({"name": calm(chart.title)[:255], "name_font": font | {"size": 12}})
    drawn.set_legend({"none": True} if len(numeric) == 1 else {"position": "bottom", "font": font})
    values = {"num_font": font, "major_gridlines": {"visible": True, "line": {"color": GRID}}}
    if chart.native != "line":
        values["min"] = _floor(chart, numeric)
    names = {"num_font": font, "reverse": chart.native == "bar"}
    drawn.set_x_axis(values if chart.native == "bar" else names)
    drawn.set_y_axis(names if chart.native == "bar" else values)
    drawn.set_size({"width": 640, "height": 360})
    page.insert_chart(
        1, grid.width + _BESIDE, drawn, {"description": calm(chart.alternative)[:1000], "object_position": 2}
    )


def _line(number: int) -> dict[str, Any]:
    colour = _STROKES[number % len(_STROKES)]
    mark = {
        "type": _MARKS[number % len(_MARKS)],
        "size": 6,
        "fill": {"color": colour},
        "border": {"color": colour},
    }
    dash = _DASHES[number % len(_DASHES)]
    return {"line": {"color": colour, "width": 2, "dash_type": dash}, "marker": mark}


def _bar(number: int) -> dict[str, Any]:
    return {"fill": {"color": _FILLS[number % len(_FILLS)]}, "border": {"color": DARK, "width": 0.75}}


def _floor(chart: Chart, numeric: list[int]) -> int | None:
    """Bars begin at zero, unless some hang below it."""
    numbers = [number_of(value) for index in numeric for value in chart.data.values(index)]
    return 0 if all(number is None or number >= 0 for number in numbers) else None
