"""Jobs: long work that is answered at once with `202 Accepted` and carried out afterwards, told step by step."""

from typing import Literal
from uuid import UUID

from pydantic import Field, JsonValue

from swardcost_model.problems import Problem
from swardcost_model.values import Answer, Timestamp

JobStatus = Literal["queued", "running", "done", "failed", "cancelled"]
JobKindName = Literal["ledger_import", "simulation"]
ENDED: frozenset[str] = frozenset({"done", "failed", "cancelled"})
"""States that a job does not leave any more."""


class JobProgress(Answer):
    """How far a job has come: `done` of `total` units, in the step that `note` names."""

    done: int = Field(examples=[52_428_800])
    total: int | None = Field(description="Null as long as it is not known.", examples=[104_857_600])
    unit: Literal["byte", "row", "step", "trial"] = Field(description="What is counted.")
    note: str = Field(description="The step under way, in a word.", examples=["reading"])


class Job(Answer):
    """A piece of work that the service carries out by itself."""

    id: UUID
    kind: JobKindName = Field(
        description="`ledger_import`: an accounting export is imported. `simulation`: an estimate is simulated."
    )
    status: JobStatus = Field(
        description="`queued` until a process of the service takes it up, then `running`; the others are final."
    )
    progress: JobProgress
    attempts: int = Field(
        description="How often it was begun. Where the process that ran it was killed, it is begun again; what it "
        "changes is changed once, at its end, or not at all."
    )
    actor: str = Field(description="Name of the key that started it.")
    created_at: Timestamp
    started_at: Timestamp | None = Field(description="When it was first taken up.")
    ended_at: Timestamp | None
    result: dict[str, JsonValue] | None = Field(
        description="What it led to, once it is done: for `ledger_import` the `ImportResult` that an upload answers, "
        "for `simulation` the id of the simulation as `simulation_id`."
    )
    problem: Problem | None = Field(
        description="Why it failed: the problem document that the same request would have been refused with."
    )
