"""A real server process on loopback, for tests that need one."""

import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from typing import IO

import httpx


@dataclass
class Server:
    """A running `swardcost serve`, where it listens, and the environment it was given."""

    process: "subprocess.Popen[str]"
    url: str
    environment: dict[str, str]

    def stop(self, seconds: float = 30) -> int:
        """Ask it to stop, and give its exit code."""
        self.process.send_signal(signal.SIGTERM)
        return self.process.wait(seconds)

    def kill(self) -> None:
        """Kill it and its workers at once, as a power cut would."""
        children = subprocess.run(
            ["pgrep", "-P", str(self.process.pid)], capture_output=True, text=True, check=False
        ).stdout
        for pid in [self.process.pid, *map(int, children.split())]:
            with suppress(ProcessLookupError):
                os.kill(pid, signal.SIGKILL)
        self.process.wait(10)


def free_port() -> int:
    """A port of the loopback interface that nobody listens on just now."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port


def run_command(environment: dict[str, str], *arguments: str) -> "subprocess.CompletedProcess[str]":
    """Run a `swardcost` command to its end."""
    return subprocess.run(
        [sys.executable, "-m", "swardcost_api", *arguments],
        env=environment, capture_output=True, text=True, timeout=60, check=False,
    )  # fmt: skip


@contextmanager
def running_server(database_url: str, log: IO[str] | None = None, **settings: str) -> Iterator[Server]:
    """A server process on a free port, ended when the block is left; `log` takes what it writes."""
    port = free_port()
    environment = {
        **os.environ,
        "SWARDCOST_DATABASE_URL": database_url,
        "SWARDCOST_PORT": str(port),
        "SWARDCOST_LOG_LEVEL": "warning",
        **{f"SWARDCOST_{name.upper()}": value for name, value in settings.items()},
    }
    process = subprocess.Popen(
        [sys.executable, "-m", "swardcost_api", "serve"], env=environment, text=True, stderr=log
    )
    server = Server(process, f"http://127.0.0.1:{port}", environment)
    try:
        _wait_until_ready(server)
        yield server
    finally:
        if process.poll() is None:
            server.stop()


def _wait_until_ready(server: Server) -> None:
    for _ in range(200):
        if server.process.poll() is not None:
            raise RuntimeError(f"the server ended with {server.process.returncode}")
        try:
            if httpx.get(f"{server.url}/health/ready", timeout=5).status_code == 200:
                return
        except httpx.TransportError:
            pass
        time.sleep(0.1)
    raise RuntimeError("the server did not become ready")
