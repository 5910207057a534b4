"""Reading a row by its id costs a small multiple of a bare handler on the same kind of server."""

import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path

import httpx
import pytest
from bare_server import BODY
from callers import by_client, by_socket
from conftest import CLUB
from grounds import add_areas, kind_of, opened, writing
from measuring import hold_by_turns
from server import free_port, running_server
from swardcost_api.access.service import issue_key
from swardcost_model.access import NewKey, Role

pytestmark = pytest.mark.bench


REQUESTS = 800
BY_CLIENT = 6
BY_SOCKET = {"SQLite": 6, "PostgreSQL": 16}
"""Limits for the server alone, without the time that a client takes for itself.

Around five on SQLite, where such a read runs on the event loop. On PostgreSQL, six to fifteen: the bare
handler answers without leaving the event loop, ours waits for a server in a thread. Six is not met there;
the limit only keeps it from growing.
"""


@contextmanager
def bare_server() -> Iterator[str]:
    """The floor's server process; gives its URL."""
    port = free_port()
    script = Path(__file__).with_name("bare_server.py")
    process = subprocess.Popen([sys.executable, str(script), str(port)], cwd=script.parent)
    url = f"http://127.0.0.1:{port}/"
    try:
        for _ in range(100):
            try:
                if httpx.get(url, timeout=5).content == BODY:
                    break
            except httpx.TransportError:
                time.sleep(0.1)
        yield url
    finally:
        process.terminate()
        process.wait(30)


@pytest.mark.parametrize("connections", [1, 8])
def test_a_read_by_id_costs_a_small_multiple_of_a_bare_answer(
    empty_database_url: str, connections: int
) -> None:
    with opened(empty_database_url) as database:
        with writing(database) as work:
            area_id = add_areas(work)[7]
            secret = issue_key(work, NewKey(name="Reader", role=Role.INTEGRATOR)).secret
        kind = kind_of(database)
        what = f"area by id, {connections} connection{'s' * (connections > 1)}, {kind}"
    with bare_server() as bare, running_server(empty_database_url) as server:
        url = f"{server.url}/v1/clubs/{CLUB}/areas/{area_id}"
        headers = {"Authorization": f"Bearer {secret}"}
        for call, limit in ((by_client, BY_CLIENT), (by_socket, BY_SOCKET[kind])):
            hold_by_turns(
                f"{what}, {call.__name__.replace('_', ' ')}",
                partial(call, bare, headers, connections, REQUESTS),
                partial(call, url, headers, connections, REQUESTS),
                limit=limit,
                repetitions=4,
            )
