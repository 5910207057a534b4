"""The floor of a request: the same server and framework, answering bytes that were made beforehand.

python bare_server.py PORT
"""

import sys

from litestar import Litestar, Response, get

BODY = b'{"id":"0198f2a4-0000-7000-8000-000000000000","course_id":"0198f2a4-0000-7000-8000-000000000001",' \
       b'"kind":"green","name":"Green 7","hole":8,"size":{"value":"5259","unit":"square_foot"},' \
       b'"size_m2":488.577087,"version":1}'  # fmt: skip


@get("/")
async def answer() -> Response[bytes]:
    """Constant bytes."""
    return Response(BODY, media_type="application/json")


def create_app() -> Litestar:
    """An application of this one handler, without what Litestar adds by itself."""
    return Litestar([answer], openapi_config=None, logging_config=None)


def main() -> None:
    """Serve as `swardcost serve` does by default."""
    from granian import Granian
    from granian.constants import Interfaces

    Granian(
        "bare_server:create_app", address="127.0.0.1", port=int(sys.argv[1]), interface=Interfaces.ASGI,
        workers=1, factory=True, log_access=False, log_enabled=False,
    ).serve()  # fmt: skip


if __name__ == "__main__":
    main()
