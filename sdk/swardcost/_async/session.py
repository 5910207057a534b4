"""Sending requests: keys, retries, problems and pages."""

import uuid
from collections.abc import AsyncIterator
from pathlib import Path
from typing import Any, TypeVar

import httpx
from pydantic import BaseModel
from swardcost_model.paging import Page

from swardcost.errors import NoAnswer, error_for
from swardcost.retries import Retries, wait_async

M = TypeVar("M", bound=BaseModel)


class AsyncSession:
    """One connection pool, one club, one key."""

    def __init__(self, http: httpx.AsyncClient, club: str, retries: Retries) -> None:
        self._http = http
        self._club = club
        self._retries = retries

    async def send(
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
                response = await self._http.request(
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
            await wait_async(wait)

    async def get(self, answer: type[M], path: str, **query: Any) -> M:
        """Read something."""
        response = await self.send("GET", path, query=query)
        return answer.model_validate_json(response.content)

    async def text(self, path: str, accept: str = "text/csv", **query: Any) -> str:
        """Read something as CSV, or as another text."""
        response = await self.send("GET", path, query=query, accept=accept)
        return response.text

    async def post(
        self, answer: type[M], path: str, body: BaseModel | None = None, idempotency_key: str | None = None
    ) -> M:
        """Make something, or move it to another state."""
        response = await self.send("POST", path, body=body, idempotency_key=idempotency_key)
        return answer.model_validate_json(response.content)

    async def upload(
        self, answer: type[M], path: str, file: str | bytes | Path, media_type: str = "text/csv", **query: Any
    ) -> M:
        """Send a file, CSV unless it says otherwise."""
        response = await self.send("POST", path, file=file, media_type=media_type, query=query)
        return answer.model_validate_json(response.content)

    async def replace(
        self, answer: type[M], path: str, body: BaseModel, version: int, verb: str = "PUT"
    ) -> M:
        """Edit what is still at this version."""
        response = await self.send(verb, path, body=body, version=version)
        return answer.model_validate_json(response.content)

    async def remove(self, path: str, version: int) -> None:
        """Delete what is still at this version."""
        await self.send("DELETE", path, version=version)

    async def pages(self, item: type[M], path: str, **query: Any) -> AsyncIterator[M]:
        """Every item of a list, fetched page by page as it is consumed."""
        page_of: type[Page[M]] = Page[item]  # type: ignore[valid-type]
        cursor = None
        while True:
            page = await self.get(page_of, path, limit=200, cursor=cursor, **query)
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
