"""The OpenAPI 3.1 document, written from the operations and the models they speak.

Schemas are pydantic's own, so the document says exactly what the service checks.
"""

import inspect
import json
import typing
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any
from uuid import UUID

from pydantic import BaseModel, TypeAdapter
from pydantic.json_schema import models_json_schema
from swardcost_model import problems
from swardcost_model.problems import MEDIA_TYPE, Problem, ProblemKind
from swardcost_model.values import ClubId

from swardcost_api import __version__
from swardcost_api.operations import CSV, EVERYONE, GEOJSON, XLSX, Operation, Room
from swardcost_api.web.handlers import Shape, shape_of
from swardcost_api.web.receiving import JSON

_REF = "#/components/schemas/{model}"
_STATUS_WORDS = {
    200: "Done", 201: "Created", 202: "Accepted; the job that does it is told of at `Location`", 204: "Gone",
    304: "Unchanged since the version you hold",
}  # fmt: skip

ABOUT = """\
Estimates, budgets and budget-versus-actual reports for golf-course renovation work.

Decimals are strings. Errors are problem documents (RFC 9457). Lists page by `cursor`. Edits name the version they
edit in `If-Match`. Every POST takes an `Idempotency-Key`, so that it can be repeated safely for a day. Long work is
answered with `202 Accepted` and a job, which is read again until it is over.
Costs are estimates for planning, not an offer.
"""


def examples_folder() -> Path | None:
    """The recorded examples, in the project's `openapi/examples`, or beside this file when installed."""
    for folder in (Path(__file__).parent / "examples", Path(__file__).parents[3] / "openapi" / "examples"):
        if folder.is_dir():
            return folder
    return None


def document(rooms: Sequence[Room]) -> dict[str, Any]:
    """The whole document. Operations come in the order of the rooms and of their routes."""
    operations = [operation for room in rooms for operation in room.operations]
    shapes = {operation.id: shape_of(operation) for operation in operations}
    if len(shapes) != len(operations):
        raise RuntimeError("two operations share a name")
    models: set[type[BaseModel]] = {Problem}
    for operation in operations:
        models |= {m for m in (_body_model(operation), _answer_model(operation)) if m is not None}
    ordered, answers = sorted(models, key=lambda model: model.__name__), _answers(operations)
    refs, definitions = models_json_schema(
        [(model, "serialization" if model in answers else "validation") for model in ordered],
        ref_template=_REF,
    )
    schema_of = {model: ref for (model, _mode), ref in refs.items()}
    paths: dict[str, dict[str, Any]] = {}
    for operation in operations:
        entry = _operation_entry(operation, shapes[operation.id], schema_of)
        paths.setdefault(operation.path, {})[operation.verb.lower()] = entry
    return {
        "openapi": "3.1.0",
        "info": {
            "title": "swardcost", "version": __version__, "description": ABOUT,
            "license": {"name": "MIT", "identifier": "MIT"},
        },
        "servers": [{"url": "/"}],
        "tags": [{"name": room.tag, "description": room.about} for room in rooms],
        "security": [{"key": []}],
        "paths": paths,
        "components": {
            "securitySchemes": {"key": {"type": "http", "scheme": "bearer", "description": "A key of the club."}},
            "examples": {
                kind.slug: {"summary": kind.title, "value": kind.example()} for kind in problems.ALL.values()
            },
            "schemas": dict(sorted(definitions["$defs"].items())),
        },
    }  # fmt: skip


def _answers(operations: Iterable[Operation]) -> set[type[BaseModel]]:
    return {model for operation in operations if (model := _answer_model(operation)) is not None} | {Problem}


def _hints(operation: Operation) -> dict[str, Any]:
    return typing.get_type_hints(operation.function, include_extras=True)


def _body_model(operation: Operation) -> type[BaseModel] | None:
    if operation.upload:
        return operation.upload_model
    hints = typing.get_type_hints(operation.reads or operation.function, include_extras=True)
    model: type[BaseModel] | None = hints.get("data")
    return model


def _answer_model(operation: Operation) -> type[BaseModel] | None:
    answer = _hints(operation)["return"]
    return answer if inspect.isclass(answer) and issubclass(answer, BaseModel) else None


def _operation_entry(operation: Operation, shape: Shape, schema_of: dict[Any, Any]) -> dict[str, Any]:
    example = _recorded(operation)
    entry: dict[str, Any] = {
        "operationId": operation.id,
        "summary": operation.summary,
        "description": _description(operation),
        "tags": [operation.tag],
        "parameters": list(_parameters(operation, shape)),
    }
    body = _body_model(operation)
    if body is not None or operation.upload:
        schema = None if body is None else schema_of[body]
        content = {
            media_type: {"schema": _schema_in(media_type, schema)}
            | (_example(example.get("request")) if media_type != XLSX else {})
            for media_type in (operation.upload_media_types if operation.upload else (JSON,))
        }
        entry["requestBody"] = {"required": not shape.body_may_be_absent, "content": content}
    entry["responses"] = _responses(operation, shape, schema_of, example)
    if operation.needs is None:
        entry["security"] = []
    return entry


def _schema_in(media_type: str, of_json: dict[str, Any] | None) -> dict[str, Any]:
    """The schema of a body in a media type: the one of the JSON, text, or for bytes none (OpenAPI 3.1, 4.8.14.3)."""
    if media_type == XLSX:
        return {}
    return of_json if of_json is not None and media_type in (JSON, GEOJSON) else {"type": "string"}


def _description(operation: Operation) -> str:
    about = inspect.getdoc(operation.function) or ""
    if operation.needs is None:
        needs = "No key is needed."
    elif operation.needs == EVERYONE:
        needs = "Needs a key; every role may use it."
    else:
        needs = "Needs a key with one of the roles: " + ", ".join(sorted(operation.needs)) + "."
    return f"{about}\n\n{needs}".strip()


def _parameters(operation: Operation, shape: Shape) -> Iterable[dict[str, Any]]:
    if "{club_id}" in operation.path:
        yield {"name": "club_id", "in": "path", "required": True, "schema": TypeAdapter(ClubId).json_schema()}
    for name, kind in shape.path.items():
        schema = {"type": "string", "format": "uuid"} if kind is UUID else TypeAdapter(kind).json_schema()
        yield {"name": name, "in": "path", "required": True, "schema": schema}
    if shape.query is not None:
        query = shape.query.model_json_schema(ref_template=_REF)
        for name, schema in query.get("properties", {}).items():
            schema.pop("title", None)
            description = schema.pop("description")
            yield {
                "name": name, "in": "query", "required": name in query.get("required", ()),
                "description": description, "schema": _without_null(schema),
            }  # fmt: skip
    if "if_match" in shape.wants:
        yield {
            "name": "If-Match", "in": "header", "required": True, "description": "ETag of the version to edit.",
            "schema": {"type": "string", "pattern": '^"[1-9][0-9]{0,8}(-[0-9a-f]+)?"$', "examples": ['"1"']},
        }  # fmt: skip
    if operation.creates:
        yield {
            "name": "Idempotency-Key", "in": "header", "required": False,
            "description": "Any text of your own; repeating the request with it gets the first answer again.",
            "schema": {"type": "string", "minLength": 1, "maxLength": 200, "pattern": "^[!-~]+$"},
        }  # fmt: skip


def _without_null(schema: dict[str, Any]) -> dict[str, Any]:
    """An absent query parameter is absent, never the text `null`."""
    schema.pop("default", None) if schema.get("default", 0) is None else None
    choices = [one for one in schema.get("anyOf", []) if one != {"type": "null"}]
    if len(choices) == 1:
        schema = {**{k: v for k, v in schema.items() if k != "anyOf"}, **choices[0]}
    return schema


def _responses(
    operation: Operation, shape: Shape, schema_of: dict[Any, Any], example: dict[str, Any]
) -> dict[str, Any]:
    success: dict[str, Any] = {"description": _STATUS_WORDS[operation.status]}
    answer = _answer_model(operation)
    if answer is not None:
        success["content"] = {JSON: {"schema": schema_of[answer]} | _example(example.get("response"))}
        success["headers"] = _headers(operation, answer)
    for face in operation.faces:
        success["content"].setdefault(
            face.media_type, {"schema": _schema_in(face.media_type, schema_of[answer])}
        )
    if not success.get("headers"):
        success.pop("headers", None)
    responses = {str(operation.status): success}
    if operation.verb == "GET" and answer is not None and "version" in answer.model_fields:
        responses["304"] = {"description": _STATUS_WORDS[304]}
    by_status: dict[int, list[ProblemKind]] = {}
    for kind in problems_of(operation, shape):
        by_status.setdefault(kind.status, []).append(kind)
    for status, kinds in sorted(by_status.items()):
        responses[str(status)] = {
            "description": "; ".join(kind.title for kind in kinds),
            "content": {
                MEDIA_TYPE: {
                    "schema": schema_of[Problem],
                    "examples": {
                        kind.slug: {"$ref": f"#/components/examples/{kind.slug}"} for kind in kinds
                    },
                }
            },
        }  # fmt: skip
    return dict(sorted(responses.items()))


def problems_of(operation: Operation, shape: Shape) -> list[ProblemKind]:
    """Every problem an operation may answer with: its own, and those that follow from its shape."""
    kinds: list[ProblemKind] = []
    if operation.needs is not None:
        kinds += [problems.UNAUTHENTICATED, problems.FORBIDDEN, problems.NOT_FOUND, problems.UNAVAILABLE]
    if shape.query is not None or shape.body is not None or operation.upload or operation.creates:
        kinds.append(problems.INVALID_REQUEST)
    if shape.query is not None and "cursor" in shape.query.model_fields:
        kinds.append(problems.UNKNOWN_CURSOR)
    if operation.needs is None and shape.path:
        kinds.append(problems.NOT_FOUND)
    if shape.body is not None or operation.upload:
        kinds += [
            problems.TOO_SLOW,
            problems.TOO_LARGE,
            problems.UNSUPPORTED_MEDIA_TYPE,
            problems.INVALID_VALUES,
        ]
    if operation.upload and CSV in operation.upload_media_types:
        kinds.append(problems.INVALID_CSV)
    if operation.upload and XLSX in operation.upload_media_types:
        kinds.append(problems.INVALID_WORKBOOK)
    if operation.faces:
        kinds.append(problems.NOT_ACCEPTABLE)
    if "if_match" in shape.wants:
        kinds += [problems.STALE_VERSION, problems.IF_MATCH_REQUIRED]
    if operation.creates:
        kinds += [problems.IDEMPOTENCY_CONFLICT, problems.DUPLICATE]
    if operation.verb in {"PUT", "PATCH"}:
        kinds.append(problems.DUPLICATE)
    if operation.writes:
        kinds.append(problems.CHANGED_MEANWHILE)
    kinds += operation.problems
    return list(dict.fromkeys(kinds))


def _headers(operation: Operation, answer: type[BaseModel]) -> dict[str, Any]:
    headers: dict[str, Any] = {}
    if "version" in answer.model_fields:
        headers["ETag"] = {"description": "Version of what was answered.", "schema": {"type": "string"}}
    if "next" in answer.model_fields:
        headers["Link"] = {"description": "The next page, if there is one.", "schema": {"type": "string"}}
    if operation.status in (201, 202) and "id" in answer.model_fields:
        headers["Location"] = {"description": "Where the new thing is found.", "schema": {"type": "string"}}
    return headers


def _recorded(operation: Operation) -> dict[str, Any]:
    folder = examples_folder()
    path = folder / f"{operation.id}.json" if folder else None
    if path is None or not path.is_file():
        return {}
    recorded: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))
    return recorded


def _example(value: Any) -> dict[str, Any]:
    return {} if value is None else {"example": value}
