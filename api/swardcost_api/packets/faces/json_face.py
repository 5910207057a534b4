"""A packet as JSON: every value typed, in the units of its reader, and as it is printed."""

import json
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from datetime import date, datetime
from typing import Any

from swardcost_model.values import Money, plain

from swardcost_api.packets.document import Cell, Chart, Document, Figure, Given, Part, Step
from swardcost_api.packets.formatter import Formatter
from swardcost_api.packets.values import Measured, MonthOf, Share, UnitPrice, Value

_HEAD = ("title", "subtitle", "club", "locale", "unit_system", "ton")


def json_of(document: Document) -> str:
    """The packet as a JSON document; the same packet has the same bytes."""
    return json.dumps(json_data(document), ensure_ascii=False, separators=(",", ":"))


def json_data(document: Document) -> dict[str, Any]:
    """The packet as data: what it is, its parts in their order, each with its `kind`.

    Text is as it was given; whoever shows it must take care of it as of any text from outside.
    """
    formatter = Formatter(document.locale)
    head: dict[str, Any] = {name: getattr(document, name) for name in _HEAD}
    return head | {
        "created": document.created.isoformat(),
        "mark": {one.name: getattr(document.mark, one.name) for one in fields(document.mark)},
        "parts": [_part(part, document, formatter) for part in document.parts],
    }


def _part(part: Part, document: Document, formatter: Formatter) -> dict[str, Any]:
    kind = type(part).__name__.lower()
    kind = "sign_off" if kind == "signoff" else kind
    data: dict[str, Any] = {"kind": kind} | _mapping(part, document, formatter)
    if isinstance(part, Chart):
        data["specification"] = json.loads(part.specification)
    return data


def _mapping(one: Any, document: Document, formatter: Formatter) -> dict[str, Any]:
    data = {}
    for field in fields(one):
        value = getattr(one, field.name)
        if field.name == "value" and isinstance(one, Cell | Figure | Given | Step):
            data["value"] = value_data(value, formatter)
        elif field.name == "computed" and value is not None:
            data["computed"] = {"as": type(value).__name__.lower()} | _mapping(value, document, formatter)
        elif field.name == "why":
            if value is not None:
                data["why"] = {"id": value, "number": document.numbers[value]}
        elif value not in (None, "", ()):
            data[field.name] = _plain(value, document, formatter)
    return data


def _plain(value: Any, document: Document, formatter: Formatter) -> Any:
    if is_dataclass(value):
        return _mapping(value, document, formatter)
    if isinstance(value, tuple):
        return [_plain(one, document, formatter) for one in value]
    if isinstance(value, date | datetime):
        return value.isoformat()
    return value


def value_data(value: Value | None, formatter: Formatter) -> Mapping[str, Any] | None:
    """A value with its type, its digits or text, its currency or unit, and the text that is printed for it."""
    data: dict[str, Any]
    match value:
        case None:
            return None
        case Money():
            data = {"type": "money", "amount": plain(value.amount), "currency": value.currency}
        case UnitPrice():
            data = {
                "type": "unit_price", "amount": plain(value.amount), "currency": value.currency, "unit": value.unit,
            }  # fmt: skip
        case Measured():
            data = {
                "type": "quantity", "value": plain(value.value), "unit": value.unit, "as_bought": value.as_bought,
            }  # fmt: skip
        case Share():
            data = {"type": "percent", "percent": plain(value.percent)}
        case MonthOf():
            data = {"type": "month", "month": str(value)}
        case date():
            data = {"type": "date", "date": value.isoformat()}
        case int():
            data = {"type": "count", "count": value}
        case str():
            return {"type": "text", "text": value}
    return data | {"shown": formatter.text(value)}
