"""The sheet of a workbook that tells how everything on the others was computed."""

from collections.abc import Mapping
from typing import Any

from swardcost_api.packets.document import Document, Step
from swardcost_api.packets.faces.derivation_views import StepView, derivation_views
from swardcost_api.packets.faces.table_views import Citations, stop
from swardcost_api.packets.faces.xlsx_cells import (
    INDENT,
    LINE,
    Styles,
    digits_of,
    printed_lines,
    write_text,
    write_value,
)
from swardcost_api.packets.faces.xlsx_tables import CAPTION, HEAD, lay_out, link_to
from swardcost_api.packets.formatter import Formatter
from swardcost_api.packets.values import number_of

_WIDTHS = (5, 28, 22, 12, 20, 30, 46, 34)
_VALUES, _WIDEST_VALUE = 3, 30
_FIRST = 2
_LINE_HEIGHT = 13.5
_TEXT = {"num_format": "@", "text_wrap": True}


class StepsSheet:
    """Every derivation, a row for each of its steps."""

    def __init__(self, document: Document, formatter: Formatter, styles: Styles, sheet: str) -> None:
        self._document = document
        self._formatter = formatter
        self._styles = styles
        self.links: dict[str, str] = {}
        """Where each derivation begins, as a link."""
        row = _FIRST
        for one in document.derivations:
            self.links[one.id] = link_to(sheet, row)
            row += max(len(one.steps), 1)

    def write(self, page: Any, labels: Mapping[str, str]) -> None:
        """Write the sheet: number, figure, step, its value and unit, formula, inputs and source."""
        say = self._formatter.words.say
        heads = ("", say("Figure"), say("Step"), say("Value"), say("Unit"), labels["formula"], labels["inputs"],
                 labels["source"])  # fmt: skip
        write_text(page, 0, 0, labels["how"], self._styles.of(CAPTION))
        widths = list(_WIDTHS)
        widths[_VALUES] = self._room_for_values()
        for at, (name, width) in enumerate(zip(heads, widths, strict=True)):
            side = {"align": "right"} if at == _VALUES else INDENT if at == 4 else {}
            write_text(page, 1, at, name, self._styles.of(HEAD, side))
            page.set_column(at, at, width)
        row = _FIRST
        views = derivation_views(
            self._document.derivations, self._document, self._formatter, Citations(self._document)
        )
        for view, derivation in zip(views, self._document.derivations, strict=True):
            first = {"top": 1, "top_color": LINE}
            page.write_number(row, 0, view.number, self._styles.of(first, {"align": "left", "bold": True}))
            write_text(page, row, 1, view.title, self._styles.of(_TEXT, first, {"bold": True}))
            for index, (step, shown) in enumerate(zip(derivation.steps, view.steps, strict=True)):
                self._write_step(page, row + index, step, shown, {} if index else first)
            row += max(len(derivation.steps), 1)
        lay_out(page, labels["how"], sum(widths), kept=2)
        page.fit_to_pages(1, 0)

    def _room_for_values(self) -> int:
        """Characters that the widest value takes: a number without room is shown as no number at all."""
        numbers = [number_of(step.value) for one in self._document.derivations for step in one.steps]
        widest = max((digits_of(number) for number in numbers if number is not None), default=0)
        return min(max(widest + 2, _WIDTHS[_VALUES]), _WIDEST_VALUE)

    def _write_step(self, page: Any, row: int, step: Step, shown: StepView, look: Mapping[str, Any]) -> None:
        colon = stop(":", self._formatter.words)
        inputs = "\n".join(f"{name}{colon}{value}" for name, value in shown.inputs)
        write_text(page, row, 2, shown.name, self._styles.of(_TEXT, look))
        write_value(page, row, 3, step.value, self._styles, look)
        texts = (self._formatter.unit_words(step.value), shown.formula, inputs, shown.source)
        for at, text in enumerate(texts, start=4):
            write_text(page, row, at, text, self._styles.of(_TEXT, look, INDENT if at == 4 else {}))
        widths = zip((shown.name, *texts), (_WIDTHS[2], *_WIDTHS[4:]), strict=True)
        page.set_row(row, max(printed_lines(text, width) for text, width in widths) * _LINE_HEIGHT)
