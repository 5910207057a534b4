"""The charts of packets as SVG, in the type of the face that they stand in."""

import json
from functools import lru_cache
from typing import Any

import vl_convert

from swardcost_api.packets.document import Chart

WIDE, NARROW, PAPER = 640, 300, 500
"""Widths in pixels: on a screen, on a phone, and on paper, where the picture is drawn larger."""
_BETWEEN = 28
"""Pixels between the entries of a legend on a screen, enough where its letters are wider than they were measured."""
SCREEN = "Arial, Liberation Sans, Arimo, sans-serif"
"""Fonts of one width on every system, so that labels fit where they were measured to."""


def picture(chart: Chart, width: int = WIDE, font: str = SCREEN) -> str:
    """The chart as an SVG document. The same chart gives the same bytes; nothing is fetched."""
    return _picture(chart.specification, width, font)


@lru_cache(maxsize=64)
def _picture(specification: str, width: int, font: str) -> str:
    spec: dict[str, Any] = json.loads(specification)
    spec.setdefault("config", {})["font"] = font
    spec["background"] = None
    # Room for the labels of a reader whose sans serif is wider than the one they are measured with.
    spec["padding"] = {"left": 24, "right": 16, "top": 6, "bottom": 4}
    legend = spec["config"].setdefault("legend", {})
    legend |= {"rowPadding": 6} | ({"columnPadding": _BETWEEN} if font == SCREEN else {})
    legend |= {"columns": 1} if width == NARROW else {}
    if isinstance(spec.get("width"), int):
        spec["width"] = width
    # The caption of the figure says it already, and a reader of pictures would hear it twice.
    spec.pop("title", None)
    return str(vl_convert.vegalite_to_svg(json.dumps(spec), allowed_base_urls=[]))
