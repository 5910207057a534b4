"""Pages for whoever has a link to an issued packet: its cover and its files, without a key."""

from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from litestar import Response, get
from litestar.handlers import HTTPRouteHandler
from litestar.params import FromPath
from swardcost_model.problems import ProblemError

from swardcost_api.packets.service import FoundLink, find_link, read_named_file, shared_packet
from swardcost_api.storage.work import Caller, UnitOfWork
from swardcost_api.web.handlers import Runtime

_TEMPLATES = Environment(
    loader=PackageLoader("swardcost_api.web"), autoescape=True, undefined=StrictUndefined, trim_blocks=True,
    lstrip_blocks=True,
)  # fmt: skip
_READER = Caller("a link", "committee")
_HEADERS = {
    "Cache-Control": "no-store",
    "Content-Security-Policy": "default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; "
    "form-action 'none'; frame-ancestors 'none'",
    "Referrer-Policy": "no-referrer",
    "X-Robots-Tag": "noindex",
}
"""The token is in the address: nothing is kept, told on, or fetched from elsewhere."""
_HTML = "text/html"


def pages(runtime: Runtime) -> list[HTTPRouteHandler]:
    """The cover of a packet, and its files by their names, byte for byte as they were issued."""

    @get("/p/{token:str}", sync_to_thread=True)
    def cover(token: FromPath[str]) -> Response[Any]:
        with runtime.database.reading() as session:
            found = find_link(session, token, runtime.clock())
            if found is None:
                return _no_such_link()
            packet = shared_packet(_work(runtime, session, found), found.packet_id, found.expires_at)
        page = _TEMPLATES.get_template("shared_packet.html").render(cover=packet, token=token)
        return Response(page.encode(), media_type=_HTML, headers=_HEADERS)

    @get("/p/{token:str}/{name:str}", sync_to_thread=True)
    def file(token: FromPath[str], name: FromPath[str]) -> Response[Any]:
        with runtime.database.reading() as session:
            found = find_link(session, token, runtime.clock())
            if found is None:
                return _no_such_link()
            try:
                kept = read_named_file(_work(runtime, session, found), found.packet_id, name)
            except ProblemError:
                return _no_such_link()
        shown = "inline" if kept.name.endswith((".html", ".pdf")) else "attachment"
        headers = _HEADERS | {
            "Content-Disposition": f'{shown}; filename="{kept.name}"', "ETag": f'"{kept.sha256}"',
        }  # fmt: skip
        return Response(kept.content, media_type=kept.media_type, headers=headers)

    return [cover, file]


def _work(runtime: Runtime, session: Any, found: FoundLink) -> UnitOfWork:
    return UnitOfWork(session, found.club_id, _READER, runtime.clock(), runtime.new_id)


def _no_such_link() -> Response[Any]:
    """The same for a token that was never given, has expired or is revoked, and for a file that is not there."""
    page = _TEMPLATES.get_template("no_packet.html").render()
    return Response(page.encode(), status_code=404, media_type=_HTML, headers=_HEADERS)
