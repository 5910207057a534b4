"""One attempt at a job, as the work sees it: what was asked, the file, saying how far it is, and ending."""

import tempfile
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import IO, Any

import structlog
from pydantic import BaseModel
from sqlalchemy import Connection
from sqlalchemy.exc import SQLAlchemyError

from swardcost_api.jobs import claims
from swardcost_api.jobs.claims import Claimed, LostError
from swardcost_api.storage.work import Transactions, UnitOfWork

log = structlog.get_logger()

IN_MEMORY_BYTES = 1024 * 1024


class StoppingError(Exception):
    """The process is about to end; the job goes back into the queue."""


class Attempt:
    """An attempt at a job by the process that holds it.

    The work may read and stage what it likes; what it changes it changes in `end`, in one transaction with the end of
    the job itself, so that neither is ever there without the other.
    """

    def __init__(
        self,
        claimed: Claimed,
        transactions: Transactions,
        stopping: threading.Event,
        heartbeat_seconds: float,
    ) -> None:
        self.arguments = claimed.arguments
        self.transactions = transactions
        self._claim = claimed.claim
        self._stopping = stopping
        self._lost = threading.Event()
        self._progress: dict[str, Any] = {}
        self._heart = _Heart(self._beat, heartbeat_seconds)

    @contextmanager
    def alive(self) -> Iterator[None]:
        """While in this block, others see that the job is being worked on."""
        self._heart.start()
        try:
            yield
        finally:
            self._heart.stop()

    @contextmanager
    def upload(self) -> Iterator[IO[bytes]]:
        """The file that the job was started with, on disk once it is larger than a megabyte."""
        with tempfile.SpooledTemporaryFile(max_size=IN_MEMORY_BYTES) as file:
            with self.transactions.database.reading() as session:
                for content in claims.chunks(session, self._claim):
                    self._go_on()
                    file.write(content)
            file.seek(0)
            yield file

    def progress(self, done: int, total: int | None, unit: str, note: str) -> None:
        """Say how far the work is; to be called often. Raises what ends the attempt where it is not to go on."""
        self._progress = {"done": done, "total": total, "unit": unit, "note": note}
        self._go_on()

    def end(self, change: Callable[[UnitOfWork], BaseModel], on: Connection | None = None) -> None:
        """Change what is to be changed; what `change` gives back is the job's result. All of it happens, or nothing.

        Raises `LostError` where the job was cancelled or taken over.
        """
        self._go_on()
        self._progress = self._progress | {"note": "finishing"}
        self._beat()
        self._heart.stop()
        with self.transactions.writing(on) as work:
            # Locks the job's row, so that it is neither cancelled nor taken over from here on.
            claims.beat(work.session, self._claim)
            result = change(work)
            outcome = {"result": result.model_dump(mode="json")}
            claims.end(work.session, self._claim, "done", work.now, **outcome)

    def _go_on(self) -> None:
        if self._lost.is_set():
            raise LostError
        if self._stopping.is_set():
            raise StoppingError

    def _beat(self) -> None:
        with self.transactions.writing() as work:
            try:
                claims.beat(work.session, self._claim, **self._progress)
            except LostError:
                self._lost.set()
                raise


class _Heart:
    """A thread that beats while a job is worked on; a beat that fails for want of the database is made up for."""

    def __init__(self, beat: Callable[[], None], seconds: float) -> None:
        self._beat = beat
        self._seconds = seconds
        self._stopped = threading.Event()
        self._thread = threading.Thread(target=self._run, name="job-heart", daemon=True)

    def start(self) -> None:
        self._thread.start()

    def stop(self) -> None:
        self._stopped.set()
        self._thread.join()

    def _run(self) -> None:
        while not self._stopped.wait(self._seconds):
            try:
                self._beat()
            except LostError:
                return
            except SQLAlchemyError as error:
                log.warning("job_beat_failed", error=str(error.__cause__ or error))
