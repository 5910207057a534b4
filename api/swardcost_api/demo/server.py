"""A server process of its own for the tour, on loopback, with a database in a new folder."""

import os
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import httpx

READY_WITHIN_SECONDS = 120


@dataclass(frozen=True)
class DemoServer:
    """Where the service of the tour listens, its database, and the settings it runs with."""

    url: str
    database: Path
    settings: dict[str, str]

    def command(self, *arguments: str) -> str:
        """What a `swardcost` command prints, run with the same settings."""
        done = subprocess.run(
            [sys.executable, "-m", "swardcost_api", *arguments],
            env=os.environ | self.settings, capture_output=True, text=True, check=True,
        )  # fmt: skip
        return done.stdout.strip()


@contextmanager
def demo_server(folder: Path) -> Iterator[DemoServer]:
    """A running service, stopped at the end; its database stays in the folder."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    database = folder / "demo.db"
    settings = {
        "SWARDCOST_DATABASE_URL": f"sqlite:///{database}",
        "SWARDCOST_PORT": str(port),
        "SWARDCOST_LOG_LEVEL": "error",
    }
    server = DemoServer(f"http://127.0.0.1:{port}", database, settings)
    process = subprocess.Popen(
        [sys.executable, "-m", "swardcost_api", "serve"],
        env=os.environ | settings, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True,
    )  # fmt: skip
    try:
        _wait_until_ready(process, server.url)
        yield server
    finally:
        process.terminate()
        process.communicate(timeout=30)


def _wait_until_ready(process: "subprocess.Popen[str]", url: str) -> None:
    until = time.monotonic() + READY_WITHIN_SECONDS
    while time.monotonic() < until:
        if process.poll() is not None:
            said = process.stderr.read() if process.stderr else ""
            raise SystemExit(f"the service ended at its start with code {process.returncode}:\n{said}")
        try:
            if httpx.get(f"{url}/health/ready").status_code == 200:
                return
        except httpx.TransportError:
            pass
        time.sleep(0.1)
    raise SystemExit(f"the service did not become ready within {READY_WITHIN_SECONDS} seconds")
