"""Who asks, and whether they may: bearer keys, remembered for a moment."""

import time
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime

from sqlalchemy.orm import Session
from swardcost_model import problems
from swardcost_model.problems import ProblemError

from swardcost_api.access import service as access
from swardcost_api.operations import Operation
from swardcost_api.storage.work import Caller

REMEMBERED_SECONDS = 1.0
"""A key found valid is not looked up again for so long; in other processes, a revoked key may work that much longer."""
MOST_REMEMBERED = 10_000


@dataclass
class Callers:
    """The callers of one process whose keys were found valid a moment ago."""

    _known: dict[str, tuple[access.FoundKey, float]] = field(default_factory=dict)

    def caller(
        self,
        operation: Operation,
        path: Mapping[str, object],
        authorization: str,
        session: Session,
        now: datetime,
    ) -> Caller:
        """Who asks. Raises `unauthenticated`, `not-found` (a key of another club) or `forbidden` (another role)."""
        assert operation.needs is not None
        scheme, _, given = authorization.partition(" ")
        secret = given.strip() if scheme.lower() == "bearer" else ""
        found = self._find(secret, session)
        if found is None or found.expires_at <= now:
            raise ProblemError(problems.UNAUTHENTICATED, "The key is missing, unknown, expired or revoked.")
        if found.club_id != path["club_id"]:
            raise ProblemError(problems.NOT_FOUND, "This key sees no such club.")
        if found.caller.role not in operation.needs:
            roles = ", ".join(sorted(operation.needs))
            raise ProblemError(
                problems.FORBIDDEN, f"This needs one of the roles {roles}; the key's is {found.caller.role}."
            )
        return found.caller

    def forget(self) -> None:
        """Look every key up again, because keys have changed."""
        self._known.clear()

    def _find(self, secret: str, session: Session) -> access.FoundKey | None:
        secret_hash = access.hash_secret(secret)
        known = self._known.get(secret_hash)
        if known is not None and time.monotonic() - known[1] < REMEMBERED_SECONDS:
            return known[0]
        found = access.find_key(session, secret)
        if found is not None:
            if len(self._known) >= MOST_REMEMBERED:
                self._known.clear()
            self._known[secret_hash] = (found, time.monotonic())
        return found
