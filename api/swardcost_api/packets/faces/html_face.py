"""A packet as one page of HTML: no script, nothing fetched, its style and pictures inside it."""

import base64
import hashlib
from functools import cache
from importlib.resources import files

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from swardcost_api.packets.document import Chart, Document
from swardcost_api.packets.faces.chart_pictures import NARROW, picture
from swardcost_api.packets.faces.packet_views import packet_view

_TEMPLATES = Environment(
    loader=PackageLoader("swardcost_api.packets"), autoescape=True, undefined=StrictUndefined,
    trim_blocks=True, lstrip_blocks=True,
)  # fmt: skip


def html_of(document: Document) -> str:
    """The packet as a page of HTML."""
    view = packet_view(document)
    template = _TEMPLATES.get_template("packet.html")
    return template.render(packet=view, style=Markup(_style()), policy=_policy(), drawn=_drawn)


def _policy() -> str:
    """What the page may do: show itself, and nothing else."""
    digest = base64.b64encode(hashlib.sha256(_style().encode()).digest()).decode()
    return (
        f"default-src 'none'; img-src data:; style-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'"
    )


@cache
def _style() -> str:
    source = files("swardcost_api.packets") / "templates" / "packet.css"
    return "\n" + source.read_text(encoding="utf-8").strip() + "\n"


def _drawn(chart: Chart, narrow: bool) -> str:
    svg = picture(chart, NARROW) if narrow else picture(chart)
    return "data:image/svg+xml;base64," + base64.b64encode(svg.encode()).decode()
