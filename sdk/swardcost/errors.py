"""Errors of the client: one class a family of answers, each with the problem document inside."""

import httpx
from pydantic import ValidationError
from swardcost_model.jobs import Job
from swardcost_model.problems import Fault, Problem


class SwardcostError(Exception):
    """Anything that went wrong with a call."""


class NoAnswer(SwardcostError):
    """The service could not be reached, or broke off, after all tries. `__cause__` says how."""


class ApiError(SwardcostError):
    """The service refused. `problem` says why, and what was wrong where."""

    def __init__(self, response: httpx.Response) -> None:
        self.response = response
        self.problem = _problem_in(response)
        places = "".join(f"\n  {_words(fault)}" for fault in self.problem.faults)
        super().__init__(f"{response.status_code} {self.problem.title}: {self.problem.detail}{places}")

    @property
    def status(self) -> int:
        """The HTTP status."""
        return self.response.status_code

    @property
    def faults(self) -> list[Fault]:
        """What was wrong with the request, and where."""
        return self.problem.faults


class InvalidRequest(ApiError):
    """400, 413, 415, 422, 428: the request cannot be used as it is."""


class NotAllowed(ApiError):
    """401 and 403: the key is not valid, or its role may not do that."""


class NotFound(ApiError):
    """404: there is nothing with this id for this key."""


class Conflict(ApiError):
    """409: a name is taken, something is in use, or its state does not allow it."""


class StaleVersion(ApiError):
    """412: it has changed since it was read; read it again."""


class ServiceFailed(ApiError):
    """5xx: the service failed, or cannot work just now, after all tries."""


class JobError(SwardcostError):
    """A job that was waited for is not done. `job` is what it came to."""

    def __init__(self, job: Job, words: str) -> None:
        self.job = job
        super().__init__(f"job {job.id} ({job.kind}) {words}")


class JobFailed(JobError):
    """The job failed; `problem` says why, as a refused request's would."""

    def __init__(self, job: Job) -> None:
        assert job.problem is not None
        self.problem = job.problem
        places = "".join(f"\n  {_words(fault)}" for fault in self.problem.faults)
        super().__init__(job, f"failed: {self.problem.title}: {self.problem.detail}{places}")


class JobCancelled(JobError):
    """The job was cancelled; it changed nothing."""

    def __init__(self, job: Job) -> None:
        super().__init__(job, "was cancelled")


class NotDoneInTime(JobError):
    """The job is still going on."""

    def __init__(self, job: Job) -> None:
        super().__init__(job, f"is still {job.status}")


_CLASSES: dict[int, type[ApiError]] = {
    401: NotAllowed,
    403: NotAllowed,
    404: NotFound,
    409: Conflict,
    412: StaleVersion,
}


def error_for(response: httpx.Response) -> ApiError:
    """The error that an answer amounts to."""
    if response.status_code >= 500:
        return ServiceFailed(response)
    return _CLASSES.get(response.status_code, InvalidRequest)(response)


def _problem_in(response: httpx.Response) -> Problem:
    try:
        return Problem.model_validate_json(response.content)
    except ValidationError:
        return Problem(
            type="about:blank",
            title=response.reason_phrase,
            status=response.status_code,
            detail=response.text[:500],
        )


def _words(fault: Fault) -> str:
    got = f", got {fault.got}" if fault.got is not None else ""
    return f"{fault.pointer or 'the body'}: expected {fault.expected}{got}"
