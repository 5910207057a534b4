"""The documentation pages: plain HTML written by the service, with nothing fetched from elsewhere."""

import json
from collections.abc import Callable
from functools import cache
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from litestar import MediaType, Response, get
from litestar.exceptions import NotFoundException
from litestar.handlers import HTTPRouteHandler
from litestar.params import FromPath
from markupsafe import Markup, escape
from swardcost_model.problems import ALL

from swardcost_api.methods.registry import METHODS
from swardcost_api.web.method_pages import page_of

_TEMPLATES = Environment(
    loader=PackageLoader("swardcost_api.web"), autoescape=True, undefined=StrictUndefined, trim_blocks=True,
    lstrip_blocks=True,
)  # fmt: skip


def _schema_name(schema: dict[str, Any]) -> str:
    return str(schema.get("$ref", "")).rpartition("/")[2]


def _pretty(value: Any) -> str:
    return value if isinstance(value, str) else json.dumps(value, indent=2, ensure_ascii=False)


def _words(name: str) -> str:
    return name.replace("_", " ")


def _type_words(schema: dict[str, Any]) -> str:
    """A schema in a few words: `string (uuid)`, `integer 1 to 200`, `array of Area`."""
    if "$ref" in schema:
        return _schema_name(schema)
    if choices := schema.get("anyOf") or schema.get("oneOf"):
        return " or ".join(_type_words(one) for one in choices)
    if "enum" in schema:
        return "one of " + ", ".join(map(str, schema["enum"]))
    words = str(schema.get("type", "any value"))
    if words == "array":
        return "list of " + _type_words(schema.get("items", {}))
    if "format" in schema:
        words += f" ({schema['format']})"
    if "minimum" in schema and "maximum" in schema:
        words += f" {schema['minimum']} to {schema['maximum']}"
    return words


def _prose(text: str) -> Markup:
    """Text with its backticked words as code."""
    parts = [escape(part) for part in text.split("`")]
    return Markup("").join(Markup("<code>{}</code>").format(p) if i % 2 else p for i, p in enumerate(parts))


_TEMPLATES.filters |= {
    "prose": _prose,
    "schema_name": _schema_name,
    "pretty": _pretty,
    "words": _words,
    "type_words": _type_words,
}


def pages(document: Callable[[], dict[str, Any]]) -> list[HTTPRouteHandler]:
    """The documentation page, the document itself, one page a built-in method, and one a problem.

    The document is made when somebody first asks for it, so that the service starts sooner.
    """

    @cache
    def page() -> str:
        return _TEMPLATES.get_template("docs.html").render(
            document=document(), methods=METHODS.values(), problems=ALL.values()
        )

    @cache
    def text() -> str:
        return json.dumps(document(), ensure_ascii=False)

    @get(["/", "/docs"], media_type=MediaType.HTML, sync_to_thread=True)
    def docs() -> str:
        return page()

    @get("/openapi.json", sync_to_thread=True)
    def openapi() -> Response[str]:
        return Response(text(), media_type="application/json")

    @get("/docs/methods/{name:str}", media_type=MediaType.HTML, sync_to_thread=False)
    def method(name: FromPath[str]) -> str:
        if name not in METHODS:
            raise NotFoundException("There is no such method.")
        return _method_page(name)

    @get("/problems/{slug:str}", media_type=MediaType.HTML, sync_to_thread=False)
    def problem(slug: FromPath[str]) -> str:
        if slug not in ALL:
            raise NotFoundException("There is no such problem.")
        return _TEMPLATES.get_template("problem.html").render(kind=ALL[slug])

    return [docs, openapi, method, problem]


@cache
def _method_page(name: str) -> str:
    method = METHODS[name]
    return _TEMPLATES.get_template("method.html").render(method=method, page=page_of(method))
