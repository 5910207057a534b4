"""Faults of a request: where, what was expected and what came."""

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from pydantic import ValidationError
from swardcost_model.problems import Fault, Problem, ProblemError
from swardcost_model.values import plain

FAULTS_SHOWN = 100
_GOT_SHOWN = 120


def faults_of(error: ValidationError, root: Sequence[str | int] = (), document: Any = None) -> list[Fault]:
    """A validation error as faults with JSON Pointers (RFC 6901), below `root`.

    Where one of several forms may stand at a place, a validation error names the form as if it were a field; with
    the `document` that was validated, such names are left out of the pointers.
    """
    faults = [
        Fault(
            pointer=json_pointer((*root, *_within(document, one["loc"], one["type"]))),
            expected=_expected(one["msg"]),
            got=shown(one["input"]),
        )
        for one in error.errors(include_url=False, include_context=False)[:FAULTS_SHOWN]
    ]
    return list({(fault.pointer, fault.expected): fault for fault in faults}.values())


def _within(document: Any, path: Sequence[str | int], kind: str) -> Sequence[str | int]:
    """The part of a path that leads through the document, with a field that is missing there at its end."""
    if not isinstance(document, dict | list):
        return path
    found: list[str | int] = []
    here: Any = document
    for number, step in enumerate(path, start=1):
        try:
            here = here[step]
        except (KeyError, IndexError, TypeError):
            if not (kind == "missing" and number == len(path)):
                continue
        found.append(step)
    return found


def problem_document(error: ProblemError, instance: str, request_id: str | None = None) -> Problem:
    """A refusal as the document that travels."""
    return Problem(
        type=error.kind.type, title=error.kind.title, status=error.kind.status, detail=error.detail, instance=instance,
        request_id=request_id, faults=error.faults[:FAULTS_SHOWN], **error.more,
    )  # fmt: skip


def json_pointer(path: Sequence[str | int]) -> str:
    """A path of keys and indexes as a JSON Pointer."""
    return "".join("/" + str(part).replace("~", "~0").replace("/", "~1") for part in path)


def _expected(message: str) -> str:
    message = message.removeprefix("Value error, ").removeprefix("Assertion failed, ")
    return message[:1].lower() + message[1:]


def shown(value: Any) -> str:
    """What came, short enough for a problem document and free of lone surrogates."""
    text = value if isinstance(value, str) else plain(value) if isinstance(value, Decimal) else repr(value)
    text = text.encode("utf-8", "backslashreplace").decode()
    return text if len(text) <= _GOT_SHOWN else text[: _GOT_SHOWN - 1] + "…"
