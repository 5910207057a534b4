"""`Idempotency-Key`: a repeated request gets the first answer again, and is carried out once.

The answer is kept in the same transaction as the change, so neither is ever there without the other.
"""

import hashlib
from dataclasses import dataclass
from datetime import timedelta

from sqlalchemy import delete, insert, select, update
from sqlalchemy.exc import IntegrityError
from swardcost_model import problems
from swardcost_model.problems import Fault, ProblemError

from swardcost_api.access.tables import RepeatRow
from swardcost_api.storage.work import UnitOfWork

KEPT = timedelta(hours=24)
MAX_KEY = 200


@dataclass(frozen=True)
class KeptAnswer:
    """The answer to a request carried out before."""

    status: int
    body: str
    headers: dict[str, str]


def check_key(key: str | None) -> str | None:
    """The key as given, if it can be used. Raises `invalid-request` for one that is empty or too long."""
    if key is not None and not (0 < len(key) <= MAX_KEY and key.isascii() and key.isprintable()):
        raise ProblemError(
            problems.INVALID_REQUEST, "The `Idempotency-Key` cannot be used.",
            [Fault(pointer="Idempotency-Key", expected=f"1 to {MAX_KEY} printable ASCII characters")],
        )  # fmt: skip
    return key


def request_hash(verb: str, path: str, query: str, content: bytes) -> str:
    """What makes two requests the same: verb, path, query and body. `content` is the body or its digest."""
    digest = hashlib.sha256(f"{verb} {path}?{query}\n".encode())
    digest.update(content)
    return digest.hexdigest()


def claim(work: UnitOfWork, key: str, fingerprint: str) -> KeptAnswer | None:
    """Claim a key for this request, or give back the answer kept for it.

    Raises `idempotency-conflict` where the key was used for another request, or where the answer
    held a secret and was not kept.
    """
    session, caller = work.session, str(work.caller.key_id)
    session.execute(
        delete(RepeatRow).where(RepeatRow.club_id == work.club_id, RepeatRow.created_at < work.now - KEPT)
    )
    try:
        with session.begin_nested():
            session.execute(
                insert(RepeatRow).values(
                    club_id=work.club_id, caller=caller, idempotency_key=key, request_hash=fingerprint, status=0,
                    created_at=work.now,
                )
            )  # fmt: skip
        return None
    except IntegrityError:
        pass
    kept = find(work, key, fingerprint)
    assert kept is not None
    return kept


def find(work: UnitOfWork, key: str, fingerprint: str) -> KeptAnswer | None:
    """The answer kept for this request under a key that was claimed before.

    Raises `idempotency-conflict` as `claim` does.
    """
    kept = work.session.execute(
        select(RepeatRow.request_hash, RepeatRow.status, RepeatRow.body, RepeatRow.headers).where(
            RepeatRow.club_id == work.club_id,
            RepeatRow.caller == str(work.caller.key_id),
            RepeatRow.idempotency_key == key,
            RepeatRow.created_at >= work.now - KEPT,
        )
    ).first()
    if kept is None:
        return None
    if kept.request_hash != fingerprint:
        raise ProblemError(problems.IDEMPOTENCY_CONFLICT, "This key came before with another request.")
    if kept.body is None:
        raise ProblemError(
            problems.IDEMPOTENCY_CONFLICT,
            "This was carried out before; its answer held a secret and was not kept.",
        )
    return KeptAnswer(kept.status, kept.body, kept.headers or {})


def keep(work: UnitOfWork, key: str, status: int, body: str | None, headers: dict[str, str]) -> None:
    """Keep the answer for a claimed key; `body` is `None` where it must not be kept."""
    work.session.execute(
        update(RepeatRow)
        .where(
            RepeatRow.club_id == work.club_id,
            RepeatRow.caller == str(work.caller.key_id),
            RepeatRow.idempotency_key == key,
        )
        .values(status=status, body=body, headers=headers)
    )
