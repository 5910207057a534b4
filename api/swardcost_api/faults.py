"""Faults of a request: where, what was expected and what came."""

from collections.abc import Sequence
from typing import Any

from pydantic import ValidationError
from swardcost_model.problems import Fault

FAULTS_SHOWN = 100
_GOT_SHOWN = 120


def faults_of(error: ValidationError, root: Sequence[str | int] = ()) -> list[Fault]:
    """A validation error as faults with JSON Pointers (RFC 6901), below `root`."""
    return [
        Fault(
            pointer=json_pointer((*root, *one["loc"])),
            expected=_expected(one["msg"]),
            got=shown(one["input"]),
        )
        for one in error.errors(include_url=False, include_context=False)[:FAULTS_SHOWN]
    ]


def json_pointer(path: Sequence[str | int]) -> str:
    """A path of keys and indexes as a JSON Pointer."""
    return "".join("/" + str(part).replace("~", "~0").replace("/", "~1") for part in path)


def _expected(message: str) -> str:
    message = message.removeprefix("Value error, ").removeprefix("Assertion failed, ")
    return message[:1].lower() + message[1:]


def shown(value: Any) -> str:
    """What came, short enough for a problem document and free of lone surrogates."""
    text = value if isinstance(value, str) else repr(value)
    text = text.encode("utf-8", "backslashreplace").decode()
    return text if len(text) <= _GOT_SHOWN else text[: _GOT_SHOWN - 1] + "…"
