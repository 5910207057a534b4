"""Requests as they come in: bodies and files taken in under their limits, queries and bodies parsed."""

import hashlib
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from typing import IO, Any

import anyio
from litestar import Request
from litestar.datastructures import State
from pydantic import BaseModel, TypeAdapter, ValidationError
from pydantic_core import from_json
from swardcost_model import problems
from swardcost_model.problems import Fault, ProblemError

from swardcost_api.faults import faults_of, shown
from swardcost_api.settings import Settings
from swardcost_api.storage.work import Caller

HttpRequest = Request[Any, Any, State]
JSON = "application/json"


@dataclass
class Incoming:
    """A request as far as it has been read."""

    request: HttpRequest
    request_id: str
    content: bytes = b""
    upload: IO[bytes] | None = None
    caller: Caller | None = None


def media_type_of(request: HttpRequest) -> str:
    return str(request.headers.get("content-type", "").partition(";")[0].strip().lower())


async def receive_json(incoming: Incoming, limit: int, may_be_absent: bool) -> None:
    media_type = media_type_of(incoming.request)
    if may_be_absent and not media_type and incoming.request.headers.get("content-length", "0") == "0":
        incoming.content = b"{}"
        return
    if media_type != JSON:
        raise ProblemError(
            problems.UNSUPPORTED_MEDIA_TYPE, f"Send the body as {JSON}; got {shown(media_type)!r}."
        )
    received = bytearray()
    async for chunk in incoming.request.stream():
        received += chunk
        if len(received) > limit:
            raise ProblemError(problems.TOO_LARGE, f"A JSON body may have {limit} bytes.")
    incoming.content = bytes(received)


async def receive_upload(incoming: Incoming, expected: Sequence[str], settings: Settings) -> None:
    """Take in a file; it may take long as a whole, but not fall silent."""
    media_type, limit = media_type_of(incoming.request), settings.max_upload_bytes
    if media_type not in expected:
        raise ProblemError(
            problems.UNSUPPORTED_MEDIA_TYPE,
            f"Send the file as {' or '.join(expected)}; got {shown(media_type)!r}.",
        )
    announced = incoming.request.headers.get("content-length", "0")
    if announced.isdigit() and int(announced) > limit:
        raise ProblemError(
            problems.TOO_LARGE, f"A file may have {limit} bytes; this one announces {announced}."
        )
    digest, size = hashlib.sha256(), 0
    incoming.upload = tempfile.SpooledTemporaryFile(max_size=1024 * 1024)  # noqa: SIM115
    chunks = incoming.request.stream()
    while True:
        with anyio.fail_after(settings.receive_seconds):
            chunk = await anext(chunks, None)
        if chunk is None:
            break
        size += len(chunk)
        if size > limit:
            raise ProblemError(problems.TOO_LARGE, f"A file may have {limit} bytes.")
        digest.update(chunk)
        incoming.upload.write(chunk)
    incoming.upload.seek(0)
    incoming.content = digest.digest()


def query_arguments(request: HttpRequest, model: type[BaseModel]) -> dict[str, Any]:
    given: dict[str, Any] = {}
    for name, value in request.query_params.multi_items():
        if name in given or "\x00" in str(value):
            raise ProblemError(
                problems.INVALID_REQUEST, "The query cannot be used.",
                [Fault(pointer=name, expected="one value without null characters", got=shown(str(value)))],
            )  # fmt: skip
        given[name] = value
    try:
        query = model.model_validate(given)
    except ValidationError as error:
        faults = [
            fault.model_copy(update={"pointer": fault.pointer.lstrip("/")}) for fault in faults_of(error)
        ]
        raise ProblemError(problems.INVALID_REQUEST, "The query cannot be used.", faults) from None
    return {name: getattr(query, name) for name in model.model_fields}


def parse_body(content: bytes, body: TypeAdapter[Any]) -> Any:
    try:
        return body.validate_json(content, strict=True)
    except ValidationError as error:
        faults = faults_of(error, document=_document(content))
        raise ProblemError(problems.INVALID_REQUEST, "The body cannot be used.", faults) from None


def _document(content: bytes) -> Any:
    """A body as far as it is JSON at all."""
    try:
        return from_json(content)
    except ValueError:
        return None
