"""The document of a packet as its JSON tells it: figures, tables, charts and steps, without what is only said."""

import json
from collections.abc import Callable
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from swardcost_api.packets.document import (
    Appendix,
    Cell,
    Chart,
    Column,
    Derivation,
    Document,
    Figure,
    Figures,
    Given,
    Kind,
    Mark,
    Part,
    Row,
    Step,
    Table,
    Weight,
)
from swardcost_api.packets.values import Measured, MonthOf, Share, UnitPrice, Value
from swardcost_model.values import Money

Json = dict[str, Any]


def document_of(data: Json) -> Document:
    """The document that JSON tells; one that contradicts itself cannot be built."""
    head = {name: data[name] for name in ("title", "club", "locale", "unit_system", "ton")}
    return Document(
        **head, subtitle=data["subtitle"], created=datetime.fromisoformat(data["created"]),
        mark=Mark(**data["mark"]),
        parts=tuple(_PARTS[one["kind"]](one) for one in data["parts"] if one["kind"] in _PARTS),
    )  # fmt: skip


def _figures(data: Json) -> Figures:
    items = (
        Figure(
            one["label"], _needed(one["value"]), _why(one),
            tuple(one["same_as"]) if "same_as" in one else None, one.get("note", ""),
        )
        for one in data["items"]
    )  # fmt: skip
    return Figures(tuple(items), data["large"])


def _table(data: Json) -> Table:
    columns = [Column(one["key"], one["title"], Kind(one["kind"])) for one in data["columns"]]
    rows = [
        Row(one["key"], tuple(map(_cell, one["cells"])), Weight(one["weight"]), one.get("note", ""))
        for one in data["rows"]
    ]
    return Table(data["id"], data["caption"], tuple(columns), tuple(rows), tuple(data.get("notes", ())))


def _cell(data: Json) -> Cell:
    return Cell(read_back(data["value"]), _why(data), note=data.get("note", ""))


def _chart(data: Json) -> Chart:
    specification = json.dumps(data["specification"], sort_keys=True)
    return Chart(
        data["id"],
        data["title"],
        specification,
        data["alternative"],
        _table(data["data"]),
        data.get("native"),
    )


def _appendix(data: Json) -> Appendix:
    return Appendix(tuple(
        Derivation(one["id"], one["title"], tuple(map(_step, one.get("steps", ())))) for one in data["derivations"]
    ))  # fmt: skip


def _step(data: Json) -> Step:
    inputs = tuple(Given(one["name"], _needed(one["value"])) for one in data.get("inputs", ()))
    return Step(data["name"], _needed(data["value"]), data.get("formula", ""), inputs, data.get("source", ""))


_PARTS: dict[str, Callable[[Json], Part]] = {
    "figures": _figures, "table": _table, "chart": _chart, "appendix": _appendix,
}  # fmt: skip


def _why(data: Json) -> str | None:
    return data["why"]["id"] if "why" in data else None


def _needed(data: Json) -> Value:
    value = read_back(data)
    assert value is not None
    return value


def read_back(data: Json | None) -> Value | None:
    """The value that JSON tells."""
    if data is None:
        return None
    match data["type"]:
        case "money":
            return Money.model_construct(amount=Decimal(data["amount"]), currency=data["currency"])
        case "unit_price":
            return UnitPrice(Decimal(data["amount"]), data["currency"], data["unit"])
        case "quantity":
            return Measured(Decimal(data["value"]), data["unit"], data["as_bought"])
        case "percent":
            return Share(Decimal(data["percent"]))
        case "month":
            return MonthOf.named(data["month"])
        case "date":
            return date.fromisoformat(data["date"])
        case "count":
            return int(data["count"])
        case _:
            return str(data["text"])
