"""A packet on paper: tagged PDF (ISO 14289-1, PDF/UA-1) with bookmarks, set by typst from data.

Only the fonts inside typst are used unless a folder of others is given, so the same packet has the same bytes on every
machine. Text goes in as data and is never read as markup.
"""

import json
from collections.abc import Iterable, Sequence
from dataclasses import fields, is_dataclass
from importlib.resources import as_file, files
from pathlib import Path
from typing import Any

import typst

from swardcost_api.packets.document import Chart, Document
from swardcost_api.packets.faces.calm_text import in_stretches
from swardcost_api.packets.faces.chart_pictures import PAPER, picture
from swardcost_api.packets.faces.packet_views import (
    ChartView,
    ListingView,
    PacketView,
    ParagraphView,
    PartView,
    SectionView,
    TablePart,
    packet_view,
)
from swardcost_api.packets.faces.paper_columns import Paper, data_setting_of, setting_of
from swardcost_api.packets.faces.print_letters import FONTS, STAND_IN, font_set, printable, printable_picture

_LETTER_PAPER = frozenset(
    ["BZ", "CA", "CL", "CO", "CR", "GT", "MX", "NI", "PA", "PH", "PR", "SV", "US", "VE"]
)
"""Where letters are written on 8.5 by 11 inch paper, elsewhere on A4 (CLDR 46, supplemental data, `paperSize`)."""
_MOST_LINKS = 500
"""In a packet that names derivations in more places, the first place of each is a link and the others are numbers."""
_TITLE_IN_FOOTER = 90


def pdf_of(document: Document, fonts: Path | None = None) -> bytes:
    """The packet as PDF. `fonts` is a folder of font files for letters that the built-in fonts lack."""
    view = packet_view(document)
    made = _Data(fonts)
    data = made.of_packet(view, document)
    with as_file(files("swardcost_api.packets") / "templates" / "packet.typ") as template:
        pdf = typst.compile(
            template, format="pdf", sys_inputs={"packet": json.dumps(data, ensure_ascii=False)},
            font_paths=font_set(fonts), pdf_standards=["ua-1"],
            timestamp=document.created,
        )  # fmt: skip
    assert isinstance(pdf, bytes)
    return pdf


class _Data:
    """What the template reads: plain data, its text with places to break and without letters that no font has."""

    def __init__(self, fonts: Path | None) -> None:
        self._fonts = fonts

    def of_packet(self, view: PacketView, document: Document) -> dict[str, Any]:
        language, _, region = document.locale.partition("-")
        paper: Paper = "us-letter" if region in _LETTER_PAPER else "a4"
        parts = [(part, self._part(part, paper)) for part in view.parts]
        plain = {"leaves": _leaves(parts)} | {
            one.name: getattr(view, one.name) for one in fields(view) if one.name != "parts"
        }
        plain["short"] = _shortened(f"{view.club} · {view.title}")
        letters = printable(_letters(plain), self._fonts)
        data: dict[str, Any] = _printed(plain, letters, self._fonts)
        whole = {name: _spelled(plain[name], letters) for name in ("title", "club", "short")}
        cited = sum(
            cell.why is not None for table in document.tables for row in table.rows for cell in row.cells
        )
        day = document.created.date()
        return data | {
            "lang": view.language, "region": region if language == view.language and region else None,
            "day": {"year": day.year, "month": day.month, "day": day.day},
            "fonts": list(FONTS), "paper": paper,
            "whole": whole, "linked": cited <= _MOST_LINKS,
            "stand-in": STAND_IN in letters.values() or STAND_IN in _letters(data["leaves"]),
        }  # fmt: skip

    def _part(self, part: PartView, paper: Paper) -> dict[str, Any]:
        data = _plain(part)
        assert isinstance(data, dict)
        match part:
            case TablePart():
                data["setting"] = _plain(setting_of(part.table, paper))
            case ChartView():
                data |= _plain(data_setting_of(part.data, paper))
                data["alternative"] = _Verbatim(part.alternative)
                data["picture"] = _Picture(picture(part.source, PAPER, FONTS[0]))
        return data


def _leaves(parts: Iterable[tuple[PartView, dict[str, Any]]]) -> list[dict[str, Any]]:
    """The parts in their order, those together that stand on pages of one direction.

    What leads to a table that lies across its page stands on that page, and so do the paragraphs after it.
    """
    leaves: list[dict[str, Any]] = []
    leading: list[dict[str, Any]] = []
    across = False
    for part, data in parts:
        if isinstance(part, SectionView) and leading and leading[-1]["kind"] == "paragraph":
            _add(leaves, False, leading)
            leading = []
        if isinstance(part, SectionView) or (leading and isinstance(part, ParagraphView)):
            leading.append(data)
            continue
        if not isinstance(part, ParagraphView | ListingView) or leading:
            across = isinstance(part, TablePart | ChartView) and data["setting"]["across"]
        _add(leaves, across, [*leading, data])
        leading = []
    _add(leaves, False, leading)
    return leaves


def _add(leaves: list[dict[str, Any]], across: bool, parts: list[dict[str, Any]]) -> None:
    if not parts:
        return
    if not leaves or leaves[-1]["across"] != across:
        leaves.append({"across": across, "parts": []})
    leaves[-1]["parts"] += parts


class _Verbatim(str):
    """Text that the template takes as it is."""


class _Picture(str):
    """A picture as SVG."""


def _plain(value: object) -> Any:
    """Views as mappings and lists, without the charts that they were made from."""
    if is_dataclass(value) and not isinstance(value, type | Chart):
        return {
            one.name: _plain(getattr(value, one.name))
            for one in fields(value)
            if not isinstance(getattr(value, one.name), Chart)
        }
    if isinstance(value, Sequence) and not isinstance(value, str):
        return [_plain(one) for one in value]
    return value


_NAMES = {"id", "kind", "derivation", "look", "weight", "tone", "state", "language"}
"""Fields that the template reads and never prints."""


def _letters(data: Any) -> set[str]:
    """All characters that are printed."""
    if isinstance(data, dict):
        return set().union(*(_letters(one) for name, one in data.items() if name not in _NAMES))
    if isinstance(data, list):
        return set().union(*map(_letters, data))
    return set(data) if isinstance(data, str) and not isinstance(data, _Verbatim) else set()


def _printed(data: Any, letters: dict[str, str], fonts: Path | None) -> Any:
    """The data with every text as it is printed."""
    if isinstance(data, dict):
        return {name: one if name in _NAMES else _printed(one, letters, fonts) for name, one in data.items()}
    if isinstance(data, list):
        return [_printed(one, letters, fonts) for one in data]
    if isinstance(data, _Picture):
        return printable_picture(data, letters, fonts)
    if isinstance(data, str) and not isinstance(data, _Verbatim):
        return in_stretches(_spelled(data, letters))
    return data


def _spelled(text: str, letters: dict[str, str]) -> str:
    return "".join(letters.get(one, one) for one in text) if letters else text


def _shortened(text: str) -> str:
    return text if len(text) <= _TITLE_IN_FOOTER else text[: _TITLE_IN_FOOTER - 1] + "…"
