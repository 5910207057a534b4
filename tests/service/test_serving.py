"""The service as a process: first start, several workers, stopping, and its commands."""

import threading
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
