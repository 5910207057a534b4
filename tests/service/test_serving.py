"""The service as a process: first start, several workers, stopping, and its commands."""

import contextlib
import json
import os
import signal
import socket
import subprocess
import threading
import time
from pathlib import Path

import httpx
from server import run_command, running_server


def test_the_first_start_makes_the_database_and_commands_make_the_first_key(tmp_path: Path) -> None:
    url = f"sqlite:///{tmp_path / 'new' / 'folder' / 'swardcost.db'}"
    with running_server(url) as server:
        made = run_command(
            server.environment, "club", "create", "heron-mere", "--name", "Heron Mere Golf Club"
        )
        assert made.returncode == 0, made.stderr
        club = f"{server.url}/v1/clubs/heron-mere"
        answer = httpx.get(club, headers={"Authorization": f"Bearer {made.stdout.strip()}"})
        assert answer.json()["name"] == "Heron Mere Golf Club"
        again = run_command(server.environment, "club", "create", "heron-mere", "--name", "Twice")
        assert (again.returncode, "already a club" in again.stderr) == (1, True)
        assert server.stop() == 0


def test_commands_refuse_what_cannot_be_and_change_nothing(tmp_path: Path) -> None:
    environment = {"SWARDCOST_DATABASE_URL": f"sqlite:///{tmp_path / 'a.db'}", "PATH": ""}
    bad_id = run_command(environment, "club", "create", "Heron Mere", "--name", "x")
    assert bad_id.returncode == 2
    no_club = run_command(environment, "key", "create", "nowhere", "--name", "x", "--role", "owner")
    assert (no_club.returncode, no_club.stdout) == (1, "")
    bad_role = run_command(environment, "key", "create", "nowhere", "--name", "x", "--role", "king")
    assert bad_role.returncode == 2


def test_several_workers_start_at_once_on_an_empty_database(empty_database_url: str) -> None:
    with running_server(empty_database_url, workers="3") as server:
        statuses = {httpx.get(f"{server.url}/health/ready").status_code for _ in range(20)}
        assert statuses == {200}
        metrics = httpx.get(f"{server.url}/metrics").text
        assert 'operation="check_ready"' in metrics
        assert server.stop() == 0


def test_a_request_under_way_is_answered_before_the_service_stops(tmp_path: Path) -> None:
    with running_server(f"sqlite:///{tmp_path / 'a.db'}") as server:
        made = run_command(
            server.environment, "club", "create", "heron-mere", "--name", "Heron Mere Golf Club"
        )
        client = httpx.Client(
            base_url=f"{server.url}/v1/clubs/heron-mere", headers={"Authorization": f"Bearer {made.stdout.strip()}"},
            timeout=60,
        )  # fmt: skip
        course = client.post("/courses", json={"name": "Lower"}).json()["id"]
        begun, answers = threading.Event(), []

        def rows() -> object:
            yield b"kind,hole,name,size,unit\n"
            begun.set()
            for number in range(2000):
                yield f"green,,Green {number},6000,square_foot\n".encode()

        def send() -> None:
            answers.append(
                client.post(
                    f"/courses/{course}/areas/upload", content=rows(), headers={"Content-Type": "text/csv"}
                )
            )

        sender = threading.Thread(target=send)
        sender.start()
        begun.wait(10)
        assert server.stop() == 0
        sender.join(30)
        assert [answer.status_code for answer in answers] == [201]


def test_logs_are_json_with_request_ids_and_hold_no_secret(tmp_path: Path) -> None:
    log = tmp_path / "log.txt"
    with (
        log.open("w") as stream,
        running_server(f"sqlite:///{tmp_path / 'a.db'}", stream, log_level="info") as server,
    ):
        made = run_command(
            server.environment, "club", "create", "heron-mere", "--name", "Heron Mere Golf Club"
        )
        secret = made.stdout.strip()
        client = httpx.Client(
            base_url=server.url, headers={"Authorization": f"Bearer {secret}", "X-Request-Id": "r-1"}
        )
        client.get("/v1/clubs/heron-mere")
        client.post("/v1/clubs/heron-mere/keys", json={"name": "Jo", "role": "controller"})
        client.close()
    text = log.read_text()
    assert secret not in text
    assert "sward_" not in text
    lines = [json.loads(line) for line in text.splitlines() if line.startswith("{")]
    mine = [line for line in lines if line.get("request_id") == "r-1"]
    assert [(line["operation"], line["status"]) for line in mine] == [("read_club", 200), ("issue_key", 201)]


def test_a_taken_port_and_unusable_settings_are_said_plainly(tmp_path: Path) -> None:
    url = f"sqlite:///{tmp_path / 'a.db'}"
    with running_server(url) as server:
        second = run_command(server.environment, "serve")
        assert (second.returncode, "cannot listen on" in second.stderr) == (1, True)
    for setting, value in (("PORT", "99999"), ("DATABASE_URL", "mysql://nowhere/x"), ("DATABASE_URL", "nonsense"),
                           ("DATABASE_URL", "postgresql+psycopg://x@127.0.0.1:1/x")):  # fmt: skip
        done = run_command(server.environment | {f"SWARDCOST_{setting}": value}, "migrate")
        assert done.returncode == 1, (setting, value)
        assert "Traceback" not in done.stderr
        assert f"SWARDCOST_{setting}" in done.stderr


def test_a_worker_that_dies_is_replaced(tmp_path: Path) -> None:
    with running_server(f"sqlite:///{tmp_path / 'a.db'}") as server:
        worker = subprocess.run(
            ["pgrep", "-P", str(server.process.pid)], capture_output=True, text=True, check=True
        ).stdout.split()[-1]
        os.kill(int(worker), signal.SIGKILL)
        until = time.monotonic() + 30
        while time.monotonic() < until:
            time.sleep(0.3)
            with contextlib.suppress(httpx.TransportError):
                if httpx.get(f"{server.url}/health/ready", timeout=2).status_code == 200:
                    break
        else:
            raise AssertionError("no worker answered again")
        assert server.process.poll() is None


def test_a_body_that_never_ends_is_given_up(tmp_path: Path) -> None:
    with running_server(f"sqlite:///{tmp_path / 'a.db'}", receive_seconds="1") as server:
        made = run_command(
            server.environment, "club", "create", "heron-mere", "--name", "Heron Mere Golf Club"
        )
        port = int(server.url.rpartition(":")[2])
        for secret, status in ((made.stdout.strip(), b"408"), ("wrong", b"401")):
            with socket.create_connection(("127.0.0.1", port), timeout=10) as half:
                half.sendall(
                    b"POST /v1/clubs/heron-mere/courses HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\n"
                    b"Content-Length: 1000\r\nAuthorization: Bearer " + secret.encode() + b"\r\n\r\n{"
                )
                assert half.recv(100).startswith(b"HTTP/1.1 " + status)
