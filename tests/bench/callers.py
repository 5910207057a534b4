"""Callers that read one path again and again, a bounded number of times, over connections that stay open."""

import selectors
import socket
import threading
from urllib.parse import urlsplit

import httpx
from measuring import timed


def by_client(url: str, headers: dict[str, str], connections: int, requests: int) -> float:
    """Seconds a request as callers of the client library see it: its HTTP library, a thread a connection."""

    def call() -> None:
        with httpx.Client(headers=headers, timeout=10) as client:
            for _ in range(requests // connections):
                answered.append(client.get(url).status_code)

    answered: list[int] = []
    callers = [threading.Thread(target=call) for _ in range(connections)]
    with timed() as watch:
        for caller in callers:
            caller.start()
        for caller in callers:
            caller.join()
    assert answered == [200] * (requests // connections * connections)
    return watch.seconds / len(answered)


def by_socket(url: str, headers: dict[str, str], connections: int, requests: int) -> float:
    """Seconds a request of the server alone: plain sockets in one thread, and requests made beforehand.

    A client library takes longer than a bare handler and makes what is behind it look alike.
    """
    parts = urlsplit(url)
    lines = [f"GET {parts.path or '/'} HTTP/1.1", f"Host: {parts.netloc}", "Accept: application/json"]
    lines += [f"{name}: {value}" for name, value in headers.items()]
    message = ("\r\n".join(lines) + "\r\n\r\n").encode()
    with selectors.DefaultSelector() as selector:
        for _ in range(connections):
            connection = socket.create_connection((parts.hostname, parts.port), timeout=10)
            connection.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
            selector.register(connection, selectors.EVENT_READ, bytearray())
        callers = [(key.fileobj, key.data) for key in selector.get_map().values()]
        left, under_way = requests, 0
        with timed() as watch:
            for connection, _ in callers:
                connection.sendall(message)
                left, under_way = left - 1, under_way + 1
            while under_way:
                ready = selector.select(timeout=10)
                assert ready, "no answer within ten seconds"
                for key, _ in ready:
                    if not _answered(key.fileobj, key.data):
                        continue
                    under_way -= 1
                    if left:
                        key.fileobj.sendall(message)
                        left, under_way = left - 1, under_way + 1
        for connection, _ in callers:
            connection.close()
    return watch.seconds / requests


def _answered(connection: socket.socket, received: bytearray) -> bool:
    """Read what has come; whether that completes an answer, which must be a 200."""
    chunk = connection.recv(65536)
    assert chunk, "the server closed the connection"
    received += chunk
    head, blank, body = received.partition(b"\r\n\r\n")
    if not blank:
        return False
    length = int(head.lower().partition(b"content-length:")[2].split(b"\r\n", 1)[0])
    if len(body) < length:
        return False
    assert head.startswith(b"HTTP/1.1 200"), bytes(received[:200])
    received.clear()
    return True
