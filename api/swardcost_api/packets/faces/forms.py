"""The forms in which a packet is read, all written from one document that is in the units of its reader."""

from collections.abc import Callable
from dataclasses import dataclass

from swardcost_api.operations import CSV, HTML, JSON, PDF, XLSX
from swardcost_api.packets.document import Document
from swardcost_api.packets.faces.csv_face import csv_of
from swardcost_api.packets.faces.html_face import html_of
from swardcost_api.packets.faces.json_face import json_of
from swardcost_api.packets.faces.pdf_face import pdf_of
from swardcost_api.packets.faces.xlsx_face import xlsx_of


@dataclass(frozen=True, slots=True)
class PacketFace:
    """A form: the ending of its files, its media type, and how a document is written in it."""

    ending: str
    media_type: str
    write: Callable[[Document], bytes]


FACES = (
    PacketFace("html", HTML, lambda document: html_of(document).encode()),
    PacketFace("pdf", PDF, pdf_of),
    PacketFace("xlsx", XLSX, xlsx_of),
    PacketFace("csv", CSV, lambda document: csv_of(document).encode()),
    PacketFace("json", JSON, lambda document: json_of(document).encode()),
)
