"""A whole packet as it is printed: pages and paper are made from the same views, so that they say the same."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal

from swardcost_api.packets.document import (
    Appendix,
    Cautions,
    Chart,
    Document,
    Figures,
    Listing,
    Paragraph,
    Part,
    Section,
    SignOff,
    Table,
)
from swardcost_api.packets.faces.calm_text import calm
from swardcost_api.packets.faces.derivation_views import DerivationView, derivation_views
from swardcost_api.packets.faces.table_views import Citation, Citations, TableView, stop, table_view
from swardcost_api.packets.formatter import Formatter
from swardcost_api.packets.values import Measured, Value
from swardcost_api.packets.wording import Words


@dataclass(frozen=True, slots=True)
class FigureView:
    """A figure as it is printed."""

    label: str
    text: str
    unit: str
    """The name of the unit, which stands smaller beside the digits."""
    citation: Citation | None
    note: str


@dataclass(frozen=True, slots=True)
class SectionView:
    """A heading with its level, 2 to 4."""

    id: str
    heading: str
    level: int
    kind: Literal["section"] = "section"


@dataclass(frozen=True, slots=True)
class ParagraphView:
    """Running text."""

    text: str
    tone: str
    kind: Literal["paragraph"] = "paragraph"


@dataclass(frozen=True, slots=True)
class ListingView:
    """A list, or cautions."""

    items: tuple[str, ...]
    kind: Literal["listing", "cautions"] = "listing"


@dataclass(frozen=True, slots=True)
class FiguresView:
    """Figures side by side or below each other."""

    items: tuple[FigureView, ...]
    large: bool
    kind: Literal["figures"] = "figures"


@dataclass(frozen=True, slots=True)
class TablePart:
    """A table."""

    table: TableView
    kind: Literal["table"] = "table"


@dataclass(frozen=True, slots=True)
class ChartView:
    """A chart: its pictures are drawn by the face."""

    title: str
    alternative: str
    data: TableView
    source: Chart = field(repr=False)
    kind: Literal["chart"] = "chart"


@dataclass(frozen=True, slots=True)
class AppendixView:
    """Derivations; their headings stand one level below the section that they are in."""

    derivations: Sequence[DerivationView]
    level: int
    kind: Literal["appendix"] = "appendix"


@dataclass(frozen=True, slots=True)
class SignOffView:
    """What is approved, and lines of role, name and day."""

    statement: str
    signatures: tuple[tuple[str, str, str], ...]
    kind: Literal["sign_off"] = "sign_off"


PartView = (
    SectionView | ParagraphView | ListingView | FiguresView | TablePart | ChartView | AppendixView | SignOffView
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class PacketView:
    """A packet as it is printed, in the language tagged `language`."""

    title: str
    subtitle: str
    club: str
    language: str
    created: str
    state: str
    mark: str
    parts: tuple[PartView, ...]
    labels: dict[str, str]


def packet_view(document: Document) -> PacketView:
    """A document as it is printed."""
    formatter, citations = Formatter(document.locale), Citations(document)
    words, parts, level = formatter.words, [], 1
    for part in document.parts:
        if isinstance(part, Section):
            level = part.level
        parts.append(_part(part, level, document, formatter, citations))
    return PacketView(
        calm(document.title), calm(document.subtitle), calm(document.club), words.language,
        words.say("Figures as of %(moment)s", moment=formatter.moment(document.created)),
        document.mark.state, mark_words(document, words), tuple(parts), labels(words),
    )  # fmt: skip


def mark_words(document: Document, words: Words) -> str:
    """Draft or issued, in words."""
    if document.mark.state == "draft":
        return words.say("Draft: not issued")
    return words.say("Issued as %(number)s", number=calm(document.mark.number))


def labels(words: Words) -> dict[str, str]:
    """What the faces themselves say."""
    return {
        "contents": words.say("Contents"),
        "skip": words.say("Skip to the packet"),
        "how": words.say("How this was computed"),
        "formula": words.say("Formula"),
        "inputs": words.say("Inputs"),
        "source": words.say("Source"),
        "used_in": words.say("Used in"),
        "cautions": words.say("Cautions"),
        "data": words.say("Figures of the chart"),
        "role": words.say("Role"),
        "name": words.say("Name"),
        "signature": words.say("Signature"),
        "date": words.say("Date"),
        "page": words.say("Page"),
        "why": words.say("Why"),
        "note": words.say("Note"),
        "colon": stop(":", words),
        "semicolon": stop(";", words),
        "asked": words.say("Decision asked"),
        "unprintable": words.say("Characters that this print has no letters for are shown as □."),
    }


def _part(part: Part, level: int, document: Document, formatter: Formatter, citations: Citations) -> PartView:
    match part:
        case Section():
            return SectionView(part.id, calm(part.heading), part.level)
        case Paragraph():
            return ParagraphView(calm(part.text), part.tone)
        case Listing():
            return ListingView(tuple(map(calm, part.items)))
        case Cautions():
            return ListingView(tuple(map(calm, part.items)), "cautions")
        case Figures():
            return FiguresView(
                tuple(
                    FigureView(
                        calm(one.label), *_figure_texts(one.value, formatter), citations.cite(one.why, one.label),
                        calm(one.note),
                    )
                    for one in part.items
                ),
                part.large,
            )  # fmt: skip
        case Table():
            return TablePart(table_view(part, formatter, citations))
        case Chart():
            data = table_view(part.data, formatter, citations)
            return ChartView(calm(part.title), calm(part.alternative), data, part)
        case Appendix():
            views = derivation_views(part.derivations, document, formatter, citations)
            return AppendixView(views, min(level + 1, 6))
        case SignOff():
            return SignOffView(
                calm(part.statement),
                tuple(
                    (calm(one.role), calm(one.name), formatter.day(one.on) if one.on else "")
                    for one in part.signatures
                ),
            )


def _figure_texts(value: Value, formatter: Formatter) -> tuple[str, str]:
    """What stands large, and beside it the name of the unit."""
    if isinstance(value, Measured):
        return formatter.quantity_parts(value)
    return calm(formatter.text(value)), ""
