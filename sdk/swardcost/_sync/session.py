"""Sending requests: keys, retries, problems and pages."""

import uuid
from collections.abc import Iterator
from pathlib import Path
from typing import Any, TypeVar

import httpx
from pydantic import BaseModel
from swardcost_model.paging import Page

from swardcost.errors import NoAnswer, error_for
from swardcost.retries import Retries, wait_sync

M = TypeVar("M", bound=BaseModel)


class Session:
    """One connection pool, one club, one key."""

    def __init__(self, http: httpx.Client, club: str, retries: Retries) -> None:
        self._http = http
        self._club = club
        self._retries = retries

    def send(
        self,
        verb: str,
        path: str,
        *,
        body: BaseModel | None = None,
        file: str | bytes | Path | None = None,
        media_type: str = "text/csv",
        query: dict[str, Any] | None = None,
        version: int | None = None,
        accept: str = "application/json",
        idempotency_key: str | None = None,
    ) -> httpx.Response:
        """Send a request, again where that is safe, and give back the answer or raise what it amounts to.

        A POST gets an idempotency key, so that a lost answer can be asked for again.
        """
        headers = {"Accept": accept}
        if verb == "POST":
            headers["Idempotency-Key"] = idempotency_key or str(uuid.uuid4())
        if version is not None:
            headers["If-Match"] = f'"{version}"'
        content: str | bytes | None = None
        if body is not None:
            headers["Content-Type"], content = "application/json", body.model_dump_json()
        elif file is not None:
            headers["Content-Type"] = media_type
            content = file.read_bytes() if isinstance(file, Path) else file
        url = path.replace("{club}", self._club)
        params = {name: _plain(value) for name, value in (query or {}).items() if value is not None}
        repeatable = verb in {"GET", "POST"}
        tried = 0
        while True:
            tried += 1
            response, failure = None, None
            try:
                response = self._http.request(
                    verb, url, content=content, headers=headers, params=params
                )
            except httpx.TransportError as error:
                failure = error
                if not repeatable and not isinstance(error, httpx.ConnectError):
                    raise NoAnswer(f"{verb} {url}: {error}") from error
            if response is not None and response.is_success:
                return response
            wait = self._retries.wait_after(tried, response, repeatable)
            if wait is None:
                if response is not None:
                    raise error_for(response)
                raise NoAnswer(f"{verb} {url}: {failure}") from failure
            wait_sync(wait)

    def get(self, answer: type[M], path: str, **query: Any) -> M:
        """Read something."""
        response = self.send("GET", path, query=query)
        return answer.model_validate_json(response.content)

    def text(self, path: str, accept: str = "text/csv", **query: Any) -> str:
        """Read something as CSV, or as another text."""
        response = self.send("GET", path, query=query, accept=accept)
        return response.text

    def post(
        self, answer: type[M], path: str, body: BaseModel | None = None, idempotency_key: str | None = None
    ) -> M:
        """Make something, or move it to another state."""
        response = self.send("POST", path, body=body, idempotency_key=idempotency_key)
        return answer.model_validate_json(response.content)

    def upload(
        self, answer: type[M], path: str, file: str | bytes | Path, media_type: str = "text/csv", **query: Any
    ) -> M:
        """Send a file, CSV unless it says otherwise."""
        response = self.send("POST", path, file=file, media_type=media_type, query=query)
        return answer.model_validate_json(response.content)

    def replace(
        self, answer: type[M], path: str, body: BaseModel, version: int, verb: str = "PUT"
    ) -> M:
        """Edit what is still at this version."""
        response = self.send(verb, path, body=body, version=version)
        return answer.model_validate_json(response.content)

    def remove(self, path: str, version: int) -> None:
        """Delete what is still at this version."""
        self.send("DELETE", path, version=version)

    def pages(self, item: type[M], path: str, **query: Any) -> Iterator[M]:
        """Every item of a list, fetched page by page as it is consumed."""
        page_of: type[Page[M]] = Page[item]  # type: ignore[valid-type]
        cursor = None
        while True:
            page = self.get(page_of, path, limit=200, cursor=cursor, **query)
            for one in page.items:
                yield one
            cursor = page.next
            if cursor is None:
                return


def _plain(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, list):
        return ",".join(map(str, value))
    return str(value)
